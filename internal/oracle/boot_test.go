package oracle_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"noisefloor/analysis/bootstrap"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/reliability"
	"noisefloor/internal/numtest"
	"noisefloor/internal/oracle"
)

// TestResampledICCLive compares 10,000 resamples of ICC(A,1), 200 athletes by 2
// sessions, with R's boot: the estimate to 1e-12, and the width of the BCa
// interval with the spread of R's resamples. The two use different random
// numbers, so the spread agrees only to its Monte Carlo error. The ratio of the
// times is logged, not asserted.
func TestResampledICCLive(t *testing.T) {
	const n, k = 200, 2
	r := rand.New(rand.NewPCG(1, 2))
	var y []float64
	var text strings.Builder
	for range n {
		athlete := 50 + 3*r.NormFloat64()
		for j := range k {
			v := math.Round(1000*(athlete+0.3*float64(j)+r.NormFloat64())) / 1000
			y = append(y, v)
			fmt.Fprintf(&text, "%g%s", v, [2]string{",", "\n"}[j])
		}
	}
	out := oracle.R(t, "boot_icc.R", text.String())
	var want struct{ Estimate, Mean, SD, Seconds float64 }
	if err := json.Unmarshal(out, &want); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	var got estimate.Estimate
	took := math.Inf(1)
	for range 3 { // the best of three, as in R
		start := time.Now()
		var err error
		if got, err = reliability.ResampledICC(y, n, k, "A,1", bootstrap.Options{Replicates: 10_000,
			Seed: 1}); err != nil {
			t.Fatal(err)
		}
		took = min(took, time.Since(start).Seconds())
	}
	numtest.Close(t, "ICC(A,1)", got.Value, want.Estimate, 1e-12)
	// An interval of 2 x 1.96 SD, skewed: its width is within a few per cent of that.
	numtest.Close(t, "width of the interval", got.Upper-got.Lower, 2*1.96*want.SD, 0.06)
	t.Logf("10,000 resamples of ICC(A,1), n = 200, k = 2: R boot %.2f s, here %.4f s, ratio %.0f", want.Seconds, took,
		want.Seconds/took)
}
