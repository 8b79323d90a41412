package programme_test

import (
	"errors"
	"math"
	"testing"

	"noisefloor/analysis/programme"
	"noisefloor/internal/numtest"
)

// An invented block of seven trained and seven control athletes.
func block() programme.Input {
	return programme.Input{Measure: "throw", Reliability: math.NaN(),
		Before:  []float64{50.1, 47.3, 52.8, 49.9, 45.2, 51.7, 48.8, 46.4, 53.3, 50.6, 44.9, 49.1, 47.7, 51.2},
		After:   []float64{53.0, 49.1, 57.2, 51.5, 48.8, 52.9, 52.4, 47.1, 53.0, 51.9, 44.2, 50.0, 48.9, 50.7},
		Trained: []bool{true, true, true, true, true, true, true, false, false, false, false, false, false, false}}
}

// lm, matrices for HC2, HC3 and Bell & McCaffrey's degrees of freedom, t.test, wilcox.test
// and uniroot on pt in R: testdata/programme.R.
func TestBlockAgainstRecordedR(t *testing.T) {
	r, err := programme.Analyse(block(), programme.Options{})
	if err != nil {
		t.Fatal(err)
	}
	numtest.Close(t, "adjusted difference", r.Adjusted.HC2.Value, 2.3624982089124495, 1e-12)
	numtest.Close(t, "HC2", r.Adjusted.HC2.SE, 0.57425542146083164, 1e-11)
	numtest.Close(t, "HC3", r.Adjusted.HC3.SE, 0.65678342173994508, 1e-11)
	numtest.Close(t, "degrees of freedom", r.Adjusted.HC2.DF, 10.688376089784819, 1e-11)
	g := r.Groups[0]
	numtest.Close(t, "change", g.Change.Value, 2.7285714285714286, 1e-12)
	numtest.Close(t, "lower", g.Change.Lower, 1.6076188478039771, 1e-12)
	numtest.Close(t, "upper", g.Change.Upper, 3.8495240093388801, 1e-12)
	numtest.Close(t, "p", g.P, 0.0010023373648759347, 1e-10)
	numtest.Close(t, "Hedges' g", g.Hedges.Value, 0.91793964134447759, 1e-11)
	numtest.Close(t, "g lower", g.Hedges.Lower, 0.32103503395119987, 1e-6)
	numtest.Close(t, "g upper", g.Hedges.Upper, 1.49899913392780082, 1e-6)
	numtest.Close(t, "J(6)", programme.J(6), 0.86862668782741326, 1e-13)
	if !r.AllPermuted || r.Permuted != 3432 || r.Permutation > 0.02 {
		t.Errorf("p %g of %d permutations, all %v", r.Permutation, r.Permuted, r.AllPermuted)
	}
}

// R's wilcox.test(y - x, conf.int = TRUE) on its own example of depression scores (Hollander &
// Wolfe 1973): p 0.0390625, -0.46 (-0.786 to -0.010).
func TestWilcoxonAgainstRecordedR(t *testing.T) {
	x := []float64{1.83, 0.50, 1.62, 2.48, 1.68, 1.88, 1.55, 3.06, 1.30}
	y := []float64{0.878, 0.647, 0.598, 2.05, 1.06, 1.29, 1.06, 3.14, 1.29}
	var d []float64
	for i := range x {
		d = append(d, y[i]-x[i])
	}
	w := programme.Wilcoxon(d, 0.95)
	numtest.Close(t, "p", w.P, 0.0390625, 1e-12)
	numtest.Close(t, "shift", w.Shift.Value, -0.46, 1e-9)
	numtest.Close(t, "lower", w.Shift.Lower, -0.786, 1e-9)
	numtest.Close(t, "upper", w.Shift.Upper, -0.010, 1e-7)
	if !w.Exact {
		t.Error("no ties, and not exact")
	}
}

func TestTooFew(t *testing.T) {
	in := block()
	for i := range 4 {
		in.After[i] = math.NaN()
	}
	if _, err := programme.Analyse(in, programme.Options{}); !errors.Is(err, programme.ErrTooFew) {
		t.Errorf("three trained: %v", err)
	}
	in.After = in.After[:3]
	if _, err := programme.Analyse(in, programme.Options{}); !errors.Is(err, programme.ErrInput) {
		t.Errorf("columns of other lengths: %v", err)
	}
}
