package estimate_test

import (
	"fmt"
	"math"
	"testing"

	"noisefloor/analysis/estimate"
	"noisefloor/internal/numtest"
)

func TestInterval(t *testing.T) {
	closed := estimate.Estimate{Value: 2, Lower: 1, Upper: 3}
	open := estimate.Estimate{Value: 2, Lower: 1, Upper: math.Inf(1)}
	none := estimate.Bare(2, estimate.TooFew)
	for name, tt := range map[string]struct {
		e        estimate.Estimate
		has      bool
		excludes map[float64]bool
	}{
		"closed": {closed, true, map[float64]bool{0: true, 1: false, 2: false, 3: false, 3.1: true}},
		"open":   {open, true, map[float64]bool{0: true, 1e300: false}},
		"none":   {none, false, map[float64]bool{0: false, 100: false}},
	} {
		if got := tt.e.HasInterval(); got != tt.has {
			t.Errorf("%s: HasInterval %t", name, got)
		}
		for x, want := range tt.excludes {
			if got := tt.e.Excludes(x); got != want {
				t.Errorf("%s: Excludes(%g) %t", name, x, got)
			}
		}
	}
	if none.Kind != estimate.TooFew || none.Value != 2 {
		t.Errorf("Bare: %+v", none)
	}
}

func TestMap(t *testing.T) {
	got := estimate.Estimate{Value: 1, Lower: 0, Upper: 2, Kind: estimate.StudentT}.Map(math.Exp)
	if got.Lower != 1 || got.Kind != estimate.StudentT || got.Value != math.E || got.Upper != math.Exp(2) {
		t.Errorf("Map: %+v", got)
	}
	if got := estimate.Bare(1, estimate.NoError).Map(math.Exp); got.Value != math.E || got.HasInterval() ||
		got.Kind != estimate.NoError {
		t.Errorf("Map without interval: %+v", got)
	}
}

// By hand: e^0.1 = 1.10517..., e^-0.1 = 0.90483...; doubling is +100 %, halving
// -50 %; for small d the percent is 100 d (1 + d/2).
func TestPercent(t *testing.T) {
	numtest.Close(t, "Percent(0.1)", estimate.Percent(0.1), 10.517091807564762, 1e-14)
	numtest.Close(t, "Percent(-0.1)", estimate.Percent(-0.1), -9.516258196404043, 1e-14)
	numtest.Close(t, "Percent(ln 2)", estimate.Percent(math.Ln2), 100, 1e-14)
	numtest.Close(t, "Percent(-ln 2)", estimate.Percent(-math.Ln2), -50, 1e-14)
	numtest.Close(t, "Percent(1e-12)", estimate.Percent(1e-12), 1e-10*(1+0.5e-12), 1e-14)
	numtest.Close(t, "Percent(0)", estimate.Percent(0), 0, 0)
}

func ExamplePercent() {
	fmt.Printf("%.1f %% up, %.1f %% down\n", estimate.Percent(0.1), estimate.Percent(-0.1))
	// Output: 10.5 % up, -9.5 % down
}
