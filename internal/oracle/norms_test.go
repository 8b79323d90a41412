package oracle_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"noisefloor/analysis/moment"
	"noisefloor/analysis/norms"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
	"noisefloor/internal/oracle"
)

// TestNormsLive compares standings, quantiles with their limits, and standings in a norms
// file with base R (qbeta, qt, pbinom, quantile type 8, approx on qnorm), for 200 groups.
func TestNormsLive(t *testing.T) {
	type drawn struct {
		y            []float64
		x, te, df, q float64
	}
	var groups []drawn
	var text strings.Builder
	rng := rand.New(rand.NewPCG(4, 9))
	for i := range 200 {
		d := drawn{te: 0.2 + 2*rng.Float64(), df: float64(2 + rng.IntN(60)), q: []float64{0.05, 0.1, 0.25, 0.5, 0.75, 0.9}[i%6]}
		var words []string
		for range 10 + rng.IntN(120) {
			v := math.Round(10*(50+3*rng.NormFloat64())) / 10
			d.y, words = append(d.y, v), append(words, fmt.Sprint(v))
		}
		d.x = math.Round(100*(50+3*rng.NormFloat64()))/100 + 0.001
		groups = append(groups, d)
		fmt.Fprintf(&text, "%v,%v,%v,%v,%s\n", d.x, d.te, d.df, d.q, strings.Join(words, ";"))
	}
	lines := strings.Split(strings.TrimSpace(string(oracle.R(t, "norms.R", text.String()))), "\n")
	if len(lines) != len(groups) {
		t.Fatalf("%d lines for %d groups", len(lines), len(groups))
	}
	inFile := 0
	for i, d := range groups {
		var want []float64
		for _, w := range strings.Fields(lines[i]) {
			v, err := strconv.ParseFloat(w, 64)
			if err != nil { // NA
				v = math.NaN()
			}
			want = append(want, v)
		}
		s, err := norms.Stand(d.x, norms.Group{Scores: d.y, TypicalError: d.te, DF: d.df}, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		q, err := norms.Quantile(d.y, d.q, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		got := []float64{s.Rank, s.Shrink, s.Sampling.Lower, s.Sampling.Upper, s.Noise.Lower, s.Noise.Upper, s.Band.Lower,
			s.Band.Upper, q.Value, q.Lower, q.Upper, q.Level}
		if !q.HasInterval() {
			got[11] = math.NaN()
		}
		if f, ok := standInFile(t, d.y, d.x, d.te, d.df); ok {
			inFile++
			got = append(got, f.Rank, f.Sampling.Lower, f.Sampling.Upper)
		}
		for j, g := range got {
			if math.IsNaN(g) != math.IsNaN(want[j]) {
				t.Errorf("group %d, column %d: %g, R %g", i, j+1, g, want[j])
			} else if !math.IsNaN(g) {
				numtest.CloseAbs(t, fmt.Sprintf("group %d, column %d", i, j+1), g, want[j], 1e-9)
			}
		}
	}
	if inFile < 60 {
		t.Errorf("only %d scores lie between the quartiles", inFile)
	}
}

// standInFile is the standing in a file that keeps the quartiles unrounded; false beyond
// them.
func standInFile(t *testing.T, y []float64, x, te, df float64) (norms.Standing, bool) {
	t.Helper()
	k := norms.Kept{Scale: score.Raw, Better: score.Higher, Athletes: len(y), Mean: moment.Mean(y), SD: moment.SD(y),
		Noise: norms.Noise{TypicalError: te, DF: df}}
	for _, p := range []float64{0.25, 0.5, 0.75} {
		q, err := norms.Quantile(y, p, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		k.Quantiles = append(k.Quantiles, norms.KeptQuantile{P: p, Value: q.Value})
	}
	s, err := k.Stand(x, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	return s, s.Above == 0 && s.Under == 0
}
