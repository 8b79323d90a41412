package simulate_test

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"math"
	"slices"
	"strconv"
	"testing"

	"noisefloor/datasets/simulate"
)

func TestWriteLongIsCompleteAndSeeded(t *testing.T) {
	const athletes, sessions, trials, measures = 7, 3, 2, 4
	var a, b, c bytes.Buffer
	for _, run := range []struct {
		w    io.Writer
		seed uint64
	}{{&a, 1}, {&b, 1}, {&c, 2}} {
		if err := simulate.WriteLong(run.w, athletes, sessions, trials, measures, run.seed); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) || bytes.Equal(a.Bytes(), c.Bytes()) {
		t.Error("the bytes do not follow from the seed")
	}
	rows, err := csv.NewReader(&a).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"athlete", "level", "session", "trial", "measure", "value"}
	if !slices.Equal(rows[0], want) {
		t.Errorf("header %v", rows[0])
	}
	seen := map[[4]string]bool{}
	for _, r := range rows[1:] {
		seen[[4]string{r[0], r[2], r[3], r[4]}] = true
	}
	if n := athletes * sessions * trials * measures; len(rows) != 1+n || len(seen) != n {
		t.Errorf("%d rows, %d of them distinct, want %d", len(rows)-1, len(seen), n)
	}
	if !seen[[4]string{"A000007", "3", "2", "test4"}] {
		t.Error("the last attempt of the last athlete is not there")
	}
}

func TestWriteLongRecoversTruth(t *testing.T) {
	const athletes, sessions, trials, measures = 3000, 2, 3, 3
	var b bytes.Buffer
	if err := simulate.WriteLong(&b, athletes, sessions, trials, measures, 11); err != nil {
		t.Fatal(err)
	}
	score, level := readLong(t, &b, trials)
	for _, u := range simulate.TruthLong(measures, trials) {
		var difference, first, second []float64
		for a, l := range level {
			x, y := score[[3]string{a, "1", u.Measure}], score[[3]string{a, "2", u.Measure}]
			difference = append(difference, y-x)
			first, second = append(first, x-u.LevelMeans[l]), append(second, y-u.LevelMeans[l])
		}
		within5(t, u.Measure+": typical error", math.Sqrt(covariance(difference, difference)/2), u.TypicalError,
			athletes)
		within5(t, u.Measure+": athlete SD", math.Sqrt(covariance(first, second)), u.AthleteSD, athletes)
		if m := mean(first); math.Abs(m) > 5*u.AthleteSD*1.1/math.Sqrt(athletes) {
			t.Errorf("%s: scores are off their level means by %g", u.Measure, m)
		}
	}
}

// within5 compares an SD with its true value to 5 standard errors, SD/√(2n),
// a tenth wider for the error in the scores.
func within5(t *testing.T, name string, got, want float64, n int) {
	t.Helper()
	if math.Abs(got-want) > 5*1.1*want/math.Sqrt(2*float64(n)) {
		t.Errorf("%s %g, truth %g", name, got, want)
	}
}

func readLong(t *testing.T, r io.Reader, trials int) (score map[[3]string]float64, level map[string]string) {
	t.Helper()
	rows, err := csv.NewReader(r).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	score, level = map[[3]string]float64{}, map[string]string{}
	for _, c := range rows[1:] {
		v, err := strconv.ParseFloat(c[5], 64)
		if err != nil {
			t.Fatal(err)
		}
		level[c[0]] = c[1]
		score[[3]string{c[0], c[2], c[4]}] += v / float64(trials)
	}
	return score, level
}

func TestWriteLongErrors(t *testing.T) {
	for _, shape := range [][4]int{{0, 2, 3, 8}, {1, 0, 3, 8}, {1, 2, 0, 8}, {1, 2, 3, -1}} {
		err := simulate.WriteLong(io.Discard, shape[0], shape[1], shape[2], shape[3], 1)
		if !errors.Is(err, simulate.ErrShape) {
			t.Errorf("%v: got %v, want %v", shape, err, simulate.ErrShape)
		}
	}
	var whole bytes.Buffer
	if err := simulate.WriteLong(&whole, 1000, 2, 3, 8, 1); err != nil {
		t.Fatal(err)
	}
	for _, room := range []full{0, 100_000, full(whole.Len() - 1)} {
		if err := simulate.WriteLong(&room, 1000, 2, 3, 8, 1); !errors.Is(err, errFull) {
			t.Errorf("got %v, want %v", err, errFull)
		}
	}
}

func BenchmarkWriteLong(b *testing.B) {
	for b.Loop() {
		if err := simulate.WriteLongRows(io.Discard, 1_000_000, 1); err != nil {
			b.Fatal(err)
		}
	}
}
