package reliability

import (
	"math"
	"testing"

	"noisefloor/analysis/dist"
)

// Between whole degrees of freedom the pivots are those of the exact quantiles to
// 0.2 % where limits of 95 % lie, from 7 df on; at whole ones they are those.
func TestPivotsBetweenWholeDF(t *testing.T) {
	for _, df := range []float64{1, 3.5, 7.25, 12.5, 38.9, 0.5} {
		worst := 0.0
		got := pivots(3, df)
		for i := 0; i < pivotPoints; i += 37 {
			p := dist.Halton(i+1, 3)
			if p < 0.01 || p > 0.99 {
				continue
			}
			want := df / dist.ChiSquareQuantile(p, df)
			worst = max(worst, math.Abs(got[i]/want-1))
		}
		t.Logf("%g df: %.2g", df, worst)
		if whole := df == math.Floor(df) || df < 1; whole && worst > 1e-13 || worst > 0.02 || df > 7 && worst > 0.002 {
			t.Errorf("%g df: off by %.3g", df, worst)
		}
	}
}
