package reliability_test

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/internal/published"
)

// Values of Weir (2005), set A, as in TestWeir (data from memory).
func TestNoise(t *testing.T) {
	r := analyse(t, tableOf(published.Rows(t, "icc/weir_2005_a.csv")),
		reliability.Options{Worthwhile: reliability.Worthwhile{Basis: reliability.Fixed, Value: 10}})
	got := reliability.Noise(r, "leg press", "kg", score.Best, "sessions 1, 2 of this table")
	want := noise.Model{
		Measure: "leg press", Unit: "kg", Scale: score.Raw,
		TypicalError: 7.556926813006916, DF: 7,
		Athletes: 8, Sessions: []string{"1", "2"}, Summary: score.Best, Trials: 1,
		Mean: 154.625, TrueSD: math.Sqrt(28580.0 / 28), ICC: 28580.0 / 30179, ICCK: 57160.0 / 58759,
		Worthwhile: 10, WorthwhileBasis: "fixed",
		Source: "sessions 1, 2 of this table",
	}
	// Mean difference -2.75, MSE 57.107, as TestWeir has them: SE² = 2 MSE/n.
	want.Shifts = []noise.Shift{{From: "1", To: "2", Value: -2.75, SE: math.Sqrt(2 * 57.107142857142854 / 8), DF: 7}}
	want.TrueSD = math.Sqrt((58759.0/28 - 1599.0/28) / 2)
	if len(got.Own) != 8 || !(got.EqualP > 0) { // their values are checked with limma
		t.Errorf("%d athletes with their own noise, p %g", len(got.Own), got.EqualP)
	}
	got.Own, got.EqualP = nil, 0
	if diff := cmp.Diff(want, got, cmp.Comparer(func(a,
		b float64) bool {
		return math.Abs(a-b) <= 1e-13*math.Abs(a)
	})); diff != "" {
		t.Errorf("model (-want +got):\n%s", diff)
	}
}

func TestNoiseWithoutWorthwhileChange(t *testing.T) {
	r := analyse(t, tableOf([][]float64{{1, 5}, {5, 1}, {1, 5}, {5, 1}}), reliability.Options{})
	if m := reliability.Noise(r, "m", "s", score.Mean, ""); m.Worthwhile != 0 || m.WorthwhileBasis != "" ||
		m.TrueSD != 0 {
		t.Errorf("model %+v", m)
	}
}
