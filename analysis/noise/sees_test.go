package noise_test

import (
	"math"
	"testing"

	"noisefloor/analysis/noise"
	"noisefloor/internal/numtest"
)

// R 4.2.2, power.t.test(n, sd = 1, type = "paired", power = 0.8, strict = TRUE)$delta; the
// standard error is 1/√n, the degrees of freedom n-1.
func TestSees(t *testing.T) {
	for n, want := range map[float64]float64{8: 1.156034678, 20: 0.660441655} {
		s := noise.Shift{SE: 1 / math.Sqrt(n)}
		numtest.Close(t, "seen from", s.Sees(0.95, 0.8, n-1), want, 1e-6)
		s.DF = n - 1
		numtest.Close(t, "on its own df", s.Sees(0.95, 0.8, 3), want, 1e-6)
	}
	if s := (noise.Shift{SE: math.NaN()}); !math.IsNaN(s.Sees(0.95, 0.8, 7)) || !math.IsNaN((noise.Shift{SE: 1}).Sees(0.95, 0.8, 0)) {
		t.Error("without an error, or degrees of freedom")
	}
}
