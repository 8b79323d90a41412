package score_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"noisefloor/analysis/cell"
	"noisefloor/analysis/score"
)

var nan = math.NaN()

var same = cmp.Options{cmpopts.EquateNaNs(), cmpopts.EquateEmpty()}

// Three athletes, two sessions, attempts in no order; c never came.
func attempts() cell.Attempts {
	return cell.Attempts{
		Athletes: []string{"a", "b", "c"}, Sessions: []string{"1", "2"},
		Athlete: []int32{0, 1, 0, 0, 1, 0, 0},
		Session: []int32{0, 0, 0, 0, 1, 1, 0},
		Trial:   []int32{3, 2, 1, 4, 1, 7, 2},
		Value:   []float64{10, -4, 13, 30, 8, 5, 11},
	}
}

// By hand: a's session 1 holds 10 (third), 13 (first), 30 (fourth), 11 (second).
func TestSummarise(t *testing.T) {
	for _, tt := range []struct {
		how    score.Summary
		better score.Direction
		want   []float64
	}{
		{score.Mean, score.Higher, []float64{16, 5, -4, 8, nan, nan}},
		{score.Best, score.Higher, []float64{30, 5, -4, 8, nan, nan}},
		{score.Best, score.Unknown, []float64{30, 5, -4, 8, nan, nan}},
		{score.Best, score.Lower, []float64{10, 5, -4, 8, nan, nan}},
		{score.Median, score.Higher, []float64{12, 5, -4, 8, nan, nan}},
		{score.First, score.Higher, []float64{13, 5, -4, 8, nan, nan}},
	} {
		a := attempts()
		got, err := score.Summarise(a.Table(cell.Options{Values: true}), tt.how, tt.better)
		if err != nil {
			t.Fatal(err)
		}
		want := score.Table{Athletes: []string{"a", "b", "c"}, Sessions: []string{"1", "2"}, Value: tt.want,
			Trials: []int32{4, 1, 1, 1, 0, 0}}
		if diff := cmp.Diff(want, got, same); diff != "" {
			t.Errorf("%s, %d (-want +got):\n%s", tt.how, tt.better, diff)
		}
		if diff := cmp.Diff(attempts(), a); diff != "" {
			t.Errorf("%s changed its argument:\n%s", tt.how, diff)
		}
	}
	if _, err := score.Summarise(attempts().Table(cell.Options{}), score.Median, score.Higher); !errors.Is(err,
		score.ErrValues) {
		t.Errorf("median of cells without values: %v", err)
	}
	if _, err := score.Summarise(attempts().Table(cell.Options{Values: true}), "worst", score.Higher); !errors.Is(err,
		score.ErrSummary) {
		t.Errorf("unknown summary: %v", err)
	}
}

// The middle two of an even number are averaged without overflow, and an odd
// number has its middle one.
func TestMedian(t *testing.T) {
	for _, tt := range []struct {
		in   []float64
		want float64
	}{
		{[]float64{3}, 3}, {[]float64{3, 1}, 2}, {[]float64{9, 1, 4}, 4}, {[]float64{4, 1, 3, 2}, 2.5},
		{[]float64{1.5e308, 1.7e308}, 1.6e308},
	} {
		n := len(tt.in)
		got, err := score.Summarise(cell.Attempts{Athletes: []string{"a"}, Sessions: []string{"1"},
			Athlete: make([]int32, n),
			Session: make([]int32, n), Trial: make([]int32, n), Value: tt.in}.Table(cell.Options{Values: true}),
			score.Median, score.Higher)
		if err != nil || got.Value[0] != tt.want {
			t.Errorf("median of %v: %v, %v; want %g", tt.in, got.Value, err, tt.want)
		}
	}
}

// NIST NumAcc4's trap: 10000000.2 and deviations of 0.1. A one-pass mean of
// such numbers loses digits; the mean of offset data is the offset mean.
func TestMeanKeepsDigits(t *testing.T) {
	var a cell.Attempts
	a.Athletes, a.Sessions = []string{"a"}, []string{"1"}
	for i := range 1001 {
		v := 10000000.2
		if i > 0 {
			v += float64(2*(i%2)-1) * -0.1
		}
		a.Athlete, a.Session, a.Trial = append(a.Athlete, 0), append(a.Session, 0), append(a.Trial, int32(i))
		a.Value = append(a.Value, v)
	}
	got, err := score.Summarise(a.Table(cell.Options{Values: true}), score.Mean, score.Higher)
	if err != nil || math.Abs(got.Value[0]-10000000.2) > 2e-9 { // one unit in the last place
		t.Errorf("mean %.12f, %v", got.Value[0], err)
	}
}

func table() score.Table {
	return score.Table{Athletes: []string{"a", "b", "c"}, Sessions: []string{"1", "2", "3"},
		Value: []float64{1, 2, 3, 4, nan, 6, nan, nan, nan}, Trials: []int32{1, 1, 1, 2, 0, 2, 0, 0, 0}}
}

func TestTable(t *testing.T) {
	x := table()
	if x.At(1, 2) != 6 || !slices.Equal(x.Row(0), []float64{1, 2, 3}) {
		t.Errorf("At %g, Row %v", x.At(1, 2), x.Row(0))
	}
	if !slices.Equal(x.Complete(), []int{0}) || !slices.Equal(x.Seen(), []int{0, 1}) {
		t.Errorf("complete %v, seen %v", x.Complete(), x.Seen())
	}
	got, err := x.Select("3", "1")
	want := score.Table{Athletes: x.Athletes, Sessions: []string{"3", "1"}, Value: []float64{3, 1, 6, 4, nan, nan},
		Trials: []int32{1, 1, 2, 2, 0, 0}}
	if diff := cmp.Diff(want, got, same); diff != "" || err != nil {
		t.Errorf("Select: %v\n%s", err, diff)
	}
	if _, err := x.Select("1", "9"); !errors.Is(err, score.ErrNoSession) {
		t.Errorf("Select of no session: %v", err)
	}
	want = score.Table{Athletes: []string{"b"}, Sessions: x.Sessions, Value: []float64{4, nan, 6}, Trials: []int32{2,
		0, 2}}
	if diff := cmp.Diff(want, x.Rows([]int{1}), same); diff != "" {
		t.Errorf("Rows:\n%s", diff)
	}
	if diff := cmp.Diff(table(), x, same); diff != "" {
		t.Errorf("the table was changed:\n%s", diff)
	}
}

func TestMeans(t *testing.T) {
	x := table()
	if diff := cmp.Diff([]float64{2, 5, nan}, x.AthleteMeans(), same); diff != "" {
		t.Errorf("AthleteMeans:\n%s", diff)
	}
	if got := x.Mean(); math.Abs(got-3.2) > 1e-15 {
		t.Errorf("Mean %g", got)
	}
	if got := (score.Table{}).Mean(); !math.IsNaN(got) {
		t.Errorf("mean of nothing %g", got)
	}
}

func TestLog(t *testing.T) {
	x := table()
	got, err := x.Log()
	if err != nil || got.Value[0] != 0 || got.Value[5] != math.Log(6) || !math.IsNaN(got.Value[4]) || x.Value[1] != 2 {
		t.Errorf("Log %v, %v", got.Value, err)
	}
	x.Value[5] = 0
	if _, err := x.Log(); !errors.Is(err, score.ErrNotPositive) ||
		err.Error() != "the log scale needs values above zero: athlete b, session 3 has 0" {
		t.Errorf("Log of zero: %v", err)
	}
}

// The order of the rows, and how athletes are numbered, do not matter.
func TestOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 30).Draw(t, "attempts")
		a := cell.Attempts{Athletes: []string{"a", "b"}, Sessions: []string{"1", "2"}}
		for i := range n {
			a.Athlete = append(a.Athlete, rapid.Int32Range(0, 1).Draw(t, "athlete"))
			a.Session = append(a.Session, rapid.Int32Range(0, 1).Draw(t, "session"))
			a.Trial = append(a.Trial, int32(i))
			a.Value = append(a.Value, float64(rapid.IntRange(-1000, 1000).Draw(t, "value")))
		}
		order := rapid.Permutation(indices(n)).Draw(t, "order")
		b := cell.Attempts{Athletes: a.Athletes, Sessions: a.Sessions}
		for _, i := range order {
			b.Athlete, b.Session = append(b.Athlete, a.Athlete[i]), append(b.Session, a.Session[i])
			b.Trial, b.Value = append(b.Trial, a.Trial[i]), append(b.Value, a.Value[i])
		}
		for _, how := range []score.Summary{score.Mean, score.Best, score.Median, score.First} {
			x, _ := score.Summarise(a.Table(cell.Options{Values: true}), how, score.Higher)
			y, _ := score.Summarise(b.Table(cell.Options{Values: true}), how, score.Higher)
			if diff := cmp.Diff(x, y, same, cmpopts.EquateApprox(1e-13, 1e-10)); diff != "" {
				t.Fatalf("%s:\n%s", how, diff)
			}
		}
	})
}

func indices(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

func ExampleSummarise() {
	t, err := score.Summarise(cell.Attempts{
		Athletes: []string{"P07"}, Sessions: []string{"1", "2"},
		Athlete: []int32{0, 0, 0}, Session: []int32{0, 0, 1}, Trial: []int32{1, 2, 1},
		Value: []float64{412, 420, 431}, // W
	}.Table(cell.Options{}), score.Best, score.Higher)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(t.Row(0))
	// Output: [420 431]
}

// The attempts of some athletes summarise to the rows of the whole table.
func TestAttemptsOfSome(t *testing.T) {
	a := cell.Attempts{Athletes: []string{"P", "Q", "R"}, Sessions: []string{"1", "2"},
		Athlete: []int32{2, 0, 1, 2, 2, 0}, Session: []int32{0, 0, 1, 0, 1, 1}, Trial: []int32{1, 1, 1, 2, 1, 1},
		Value: []float64{3, 5, 7, 9, 11, 13}}
	for _, how := range []score.Summary{score.Mean, score.First} {
		whole, err := score.Summarise(a.Table(cell.Options{Values: true}), how, score.Higher)
		if err != nil {
			t.Fatal(err)
		}
		some, err := score.Summarise(a.Table(cell.Options{}).Of([]int{2, 0}), how, score.Higher)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(whole.Rows([]int{2, 0}), some, cmpopts.EquateNaNs()); diff != "" {
			t.Errorf("%s (-whole +some):\n%s", how, diff)
		}
	}
	if none := a.Table(cell.Options{}).Of(nil); len(none.Athletes) != 0 || len(none.Cells) != 0 {
		t.Errorf("nobody: %+v", none)
	}
}
