package reliability_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"noisefloor/analysis/reliability"
	"noisefloor/internal/numtest"
)

// Coverage of the 95 % intervals in seeded studies of which 15 % of the scores
// are missing at random, against the truth. That of ICC(C,1) is exact: within 4
// Monte Carlo standard errors. The others are approximate: profile likelihood
// (typical error), Satterthwaite F (ICC(A,1)), Satterthwaite t (change of the
// mean); they may miss by 3 points here, and do by 1 in longer runs. The false-alarm rate of the detectable
// change keeps its 5 % to 2 points.
func TestIntervalsKeepTheirPromiseWithGaps(t *testing.T) {
	numtest.Heavy(t)
	const studies = 1000
	for _, design := range []struct {
		n, k int
		icc  float64 // ICC(C,1)
	}{{10, 2, 0.8}, {12, 3, 0.5}} {
		rng := rand.New(rand.NewPCG(uint64(design.n), 15))
		a := math.Sqrt(design.icc / (1 - design.icc))
		const s = 0.5
		names := []string{"ICC(C,1)", "ICC(C,k)", "typical error", "ICC(A,1)", "change of the mean"}
		k := float64(design.k)
		truths := []float64{design.icc, k * a * a / (k*a*a + 1), 1, a * a / (a*a + s*s + 1), 0}
		var hits [5]int
		var alarms, used int
		var unbiased float64
		for used < studies {
			table := drawn(rng, design.n, design.k, a, s)
			for i := range table.Value {
				if rng.Float64() < 0.15 {
					table.Value[i], table.Trials[i] = nan, 0
				}
			}
			r, err := reliability.Analyse(table, reliability.Options{Replicates: 1,
				Worthwhile: reliability.Worthwhile{Basis: reliability.Fixed, Value: 1}})
			if errors.Is(err, reliability.ErrFewAthletes) || err == nil && r.Complete {
				continue
			} else if err != nil {
				t.Fatal(err)
			}
			used++
			unbiased += r.TypicalError.Value * r.TypicalError.Value / studies
			for i, e := range []reliability.ICC{r.ICC[4], r.ICC[5], {Value: r.TypicalError}, r.ICC[2]} {
				if !e.Value.Excludes(truths[i]) {
					hits[i]++
				}
			}
			if math.Abs(math.Sqrt2*rng.NormFloat64()) > r.DetectableChange.Value {
				alarms++
			}
			fixed := drawn(rng, design.n, design.k, a, 0)
			for i, v := range table.Value {
				if math.IsNaN(v) {
					fixed.Value[i], fixed.Trials[i] = nan, 0
				}
			}
			if !analyse(t, fixed, reliability.Options{Replicates: 1,
				Worthwhile: reliability.Worthwhile{Basis: reliability.Fixed,
					Value: 1}}).MeanChanges[0].Change.Excludes(0) {
				hits[4]++
			}
		}
		se := math.Sqrt(0.95 * 0.05 / studies)
		for i, name := range names {
			got := float64(hits[i]) / studies
			t.Logf("n = %d, k = %d, ICC %g, 15 %% missing: the interval of the %s covers %.4f (SE %.4f)", design.n,
				design.k, design.icc, name, got, se)
			if exact := i < 2; exact && math.Abs(got-0.95) > 4*se || math.Abs(got-0.95) > 0.03 {
				t.Errorf("n = %d, k = %d: %s covers %.4f", design.n, design.k, name, got)
			}
		}
		rate := float64(alarms) / studies
		t.Logf("n = %d, k = %d: false alarms %.4f, mean of TE² %.4f of 1", design.n, design.k, rate, unbiased)
		if math.Abs(rate-0.05) > 0.02 || math.Abs(unbiased-1) > 0.06 {
			t.Errorf("n = %d, k = %d: false alarms %.4f, mean of TE² %.4f", design.n, design.k, rate, unbiased)
		}
	}
}
