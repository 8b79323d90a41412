package retest

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"noisefloor/analysis/dist"
)

// chanceStudies are the simulated calls from which Family.UpTo is read; the seed is
// fixed, so the same call has the same number.
const (
	chanceStudies = 2000
	chanceSeed    = 20041
)

// upTo is the 95 % quantile of how many changes would be past the noise had nobody
// changed: the sum over tests of Bin(n, 2 Φ(-t s)), where s² ~ χ²_df/df, the noise of
// a test as it was estimated, is shared by its n changes.
func upTo(changes []Change, level float64) int {
	type key struct {
		measure, group, athlete string // athlete where the noise is their own
		df                      float64
	}
	at := map[key]int{}
	var tests []key
	var n []int
	for _, c := range changes {
		k := key{c.Measure, c.Group, "", c.DF}
		if c.OwnNoise {
			k.athlete = c.Athlete
		}
		i, ok := at[k]
		if !ok {
			i, at[k] = len(tests), len(tests)
			tests, n = append(tests, k), append(n, 0)
		}
		n[i]++
	}
	rng := rand.NewPCG(chanceSeed, uint64(len(changes)))
	uniform := rand.New(rng)
	counts := make([]int, chanceStudies)
	for i, k := range tests {
		square := distuv.ChiSquared{K: k.df, Src: rng}
		t := dist.TQuantile(0.5+level/2, k.df)
		for s := range counts {
			p := 1 - level // the noise is known
			if !math.IsInf(k.df, 1) {
				p = 2 * dist.NormalCDF(-t*math.Sqrt(square.Rand()/k.df))
			}
			counts[s] += binomial(n[i], p, uniform)
		}
	}
	slices.Sort(counts)
	return counts[int(math.Ceil(0.95*chanceStudies))-1]
}

// binomial draws the number of successes among n, from one to the next.
func binomial(n int, p float64, rng *rand.Rand) (successes int) {
	if !(p > 0) {
		return 0
	}
	q := math.Log1p(-min(p, 1-1e-16))
	for at := 0.0; ; successes++ {
		if at += math.Floor(math.Log(1-rng.Float64())/q) + 1; at > float64(n) {
			return successes
		}
	}
}
