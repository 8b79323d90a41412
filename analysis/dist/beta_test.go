package dist_test

import (
	"math"
	"testing"

	"noisefloor/analysis/dist"
	"noisefloor/internal/numtest"
)

// R 4.2.2: qbeta(.025, 3, 9), qbeta(.975, 1, 200), qbeta(.5, 7.5, 2), qbeta(1e-6, 2, 2).
func TestBetaQuantileAgainstRecordedR(t *testing.T) {
	for _, c := range []struct{ p, a, b, want float64 }{
		{0.025, 3, 9, 0.0602177341729066}, {0.975, 1, 200, 0.0182753403551362}, {0.5, 7.5, 2, 0.810231833268321},
		{1e-6, 2, 2, 0.00057746143379204}, {0, 2, 3, 0}, {1, 2, 3, 1},
	} {
		numtest.CloseAbs(t, "quantile", dist.BetaQuantile(c.p, c.a, c.b), c.want, 1e-14)
	}
	if x := dist.BetaQuantile(0.5, -1, 2); !math.IsNaN(x) {
		t.Errorf("a of -1: %g", x)
	}
}
