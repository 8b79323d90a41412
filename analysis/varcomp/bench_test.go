package varcomp_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"noisefloor/analysis/cell"
	"noisefloor/analysis/varcomp"
)

// trained returns n athletes by 2 sessions by 3 trials with a tenth of the
// attempts missing, in an order that is none.
func trained(n int) cell.Values {
	rng := rand.New(rand.NewPCG(1, 2))
	d := study{athletes: n, sessions: 2, trials: 3, a: 10, as: 3, e: 2, offset: 500}.draw(1)
	d = keep(d, func(int) bool { return rng.Float64() >= 0.1 })
	shuffled := cell.Values{Athletes: d.Athletes, Sessions: d.Sessions}
	for _, i := range rng.Perm(len(d.Value)) {
		add(&shuffled, int(d.Athlete[i]), int(d.Session[i]), d.Value[i])
	}
	return shuffled
}

func BenchmarkFit(b *testing.B) {
	for _, n := range []int{60, 2000, 100_000} {
		d := trained(n)
		for _, limits := range []varcomp.Limits{varcomp.NoLimits, varcomp.Profile} {
			b.Run(fmt.Sprintf("athletes=%d/limits=%s", n, limits), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if _, err := varcomp.Fit(d.Grid(), varcomp.Options{Limits: limits}); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

// Every athlete a pattern of their own: nothing is shared.
func BenchmarkFitUnshared(b *testing.B) {
	d := study{athletes: 2000, sessions: 24, trials: 3, a: 10, as: 3, e: 2, missed: 0.4, uneven: true}.draw(1)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := varcomp.Fit(d.Grid(), varcomp.Options{Limits: varcomp.NoLimits}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSimulate(b *testing.B) {
	r, err := varcomp.Fit(trained(60).Grid(), varcomp.Options{Limits: varcomp.NoLimits})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		r.Simulate(2000, 1)
	}
}

// Memory grows with the attempts, not with their square.
func TestMemoryIsLinear(t *testing.T) {
	bytes := func(n int) float64 {
		d := trained(n)
		return float64(testing.Benchmark(func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := varcomp.Fit(d.Grid(), varcomp.Options{Limits: varcomp.NoLimits}); err != nil {
					b.Fatal(err)
				}
			}
		}).AllocedBytesPerOp())
	}
	sizes := []float64{bytes(4000), bytes(16000)}
	t.Logf("bytes for 4000 and 16000 athletes: %.0f, %.0f", sizes[0], sizes[1])
	if slices.Max(sizes)/slices.Min(sizes) > 4.5 || sizes[1]/16000 > 500 {
		t.Error("memory is not linear")
	}
}
