package reliability_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
)

// drawn makes normal scores: athlete SD a, session SD s (random), error SD 1.
func drawn(rng *rand.Rand, n, k int, a, s float64) score.Table {
	rows := make([][]float64, n)
	shift := make([]float64, k)
	for j := range shift {
		shift[j] = s * rng.NormFloat64()
	}
	for i := range rows {
		level := 100 + a*rng.NormFloat64()
		for j := range k {
			rows[i] = append(rows[i], level+shift[j]+rng.NormFloat64())
		}
	}
	return tableOf(rows)
}

// Coverage of the 95 % intervals against the truth of seeded simulations. The
// exact ones must lie within 4 Monte Carlo standard errors of 95 %; the
// Satterthwaite interval of ICC(A,1) is approximate and must stay above 93 %.
func TestIntervalsKeepTheirPromise(t *testing.T) {
	numtest.Heavy(t)
	const studies = 3000
	for _, design := range []struct {
		n, k int
		icc  float64 // ICC(C,1)
	}{{8, 2, 0.8}, {12, 3, 0.5}} {
		rng := rand.New(rand.NewPCG(uint64(design.n), 95))
		a := math.Sqrt(design.icc / (1 - design.icc))
		const s = 0.5
		truths := []float64{1, design.icc, a * a / (a*a + s*s + 1)}
		var hits [3]int
		for range studies {
			r := analyse(t, drawn(rng, design.n, design.k, a, s), reliability.Options{Replicates: 1})
			if !r.TypicalError.Excludes(truths[0]) {
				hits[0]++
			}
			for i, form := range []int{4, 2} {
				if !r.ICC[form].Value.Excludes(truths[1+i]) {
					hits[1+i]++
				}
			}
		}
		se := math.Sqrt(0.95 * 0.05 / studies)
		for i, name := range []string{"typical error", "ICC(C,1)", "ICC(A,1)"} {
			got := float64(hits[i]) / studies
			t.Logf("n = %d, k = %d, ICC %g: the interval of the %s covers %.4f (SE %.4f)", design.n, design.k,
				design.icc, name, got, se)
			if exact := i < 2; exact && math.Abs(got-0.95) > 4*se || !exact && got < 0.93 {
				t.Errorf("n = %d, k = %d: %s covers %.4f", design.n, design.k, name, got)
			}
		}
	}
}

// A further change of one athlete, with no true change, passes the detectable
// change in 5 % of studies; with the normal factor it does in about 9 %, which
// a study of 8 athletes and 2 sessions cannot afford. The exact rate of the
// latter is P(|t(7)| > 1.96).
func TestDetectableChangeKeepsItsErrorRate(t *testing.T) {
	numtest.Heavy(t)
	const studies = 8000
	rng := rand.New(rand.NewPCG(8, 2))
	var byT, byNormal int
	for range studies {
		te := analyse(t, drawn(rng, 8, 2, 2, 0), reliability.Options{Replicates: 1,
			Worthwhile: reliability.Worthwhile{Basis: reliability.Fixed, Value: 1}}).DetectableChange
		change := math.Abs(math.Sqrt2 * rng.NormFloat64())
		if change > te.Value {
			byT++
		}
		if change > te.LargeSample {
			byNormal++
		}
	}
	rate, large := float64(byT)/studies, float64(byNormal)/studies
	t.Logf("false alarms at n = 8, k = 2: %.4f by t, %.4f by the normal factor", rate, large)
	if se := math.Sqrt(0.05 * 0.95 / studies); math.Abs(rate-0.05) > 4*se {
		t.Errorf("false alarms by t: %.4f", rate)
	}
	want := dist.TTwoSided(1.959963984540054, 7)
	if se := math.Sqrt(want * (1 - want) / studies); math.Abs(large-want) > 4*se || want < 0.085 {
		t.Errorf("false alarms by the normal factor: %.4f, in theory %.4f", large, want)
	}
}
