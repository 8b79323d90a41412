package anova_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat"

	"noisefloor/analysis/anova"
	"noisefloor/internal/numtest"
)

// R 4.x: var.test(a, b) and bartlett.test(list(a, b, c)), with
//
//	a <- c(1.2,2.4,1.3,1.3,0,1,1.8,.8,4.6,1.4); b <- c(2,-1,3,.5,1.5,-2,0); c <- c(1,4,2,-3,0,5)
//
// recorded with 17 digits; R puts the first variance above, here the larger.
func TestEqualVariances(t *testing.T) {
	a := []float64{1.2, 2.4, 1.3, 1.3, 0, 1, 1.8, .8, 4.6, 1.4}
	b := []float64{2, -1, 3, .5, 1.5, -2, 0}
	c := []float64{1, 4, 2, -3, 0, 5}
	va, vb, vc := stat.Variance(a, nil), stat.Variance(b, nil), stat.Variance(c, nil)
	for _, swap := range []bool{false, true} {
		f, p := anova.VarianceRatio(va, 9, vb, 6)
		if swap {
			f, p = anova.VarianceRatio(vb, 6, va, 9)
		}
		numtest.Close(t, "F", f, 2.0065679033070341, 1e-13)
		numtest.Close(t, "p", p, 0.3340693874598108, 1e-12)
	}
	s, p := anova.Bartlett([]float64{va, vb, vc}, []float64{9, 6, 5})
	numtest.Close(t, "Bartlett", s, 4.6809472892632442, 1e-13)
	numtest.Close(t, "its p", p, 0.096282023965097024, 1e-12)
	if f, p := anova.VarianceRatio(2, 5, 2, 5); f != 1 || math.Abs(p-1) > 1e-14 {
		t.Errorf("equal variances: F %g, p %g", f, p)
	}
}
