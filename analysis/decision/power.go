package decision

import (
	"math"
	"sync"

	"noisefloor/analysis/dist"
)

// DefaultPower is the power where none is asked for: a true change that is seen in
// four of five retests.
const DefaultPower = 0.8

// Seen returns how large a true change of one athlete must be, in standard errors of
// a change, to be seen with a given power: the noncentrality δ with
//
//	P(T > t(1-α/2, df)) = power,   T noncentral t on df degrees of freedom
//
// The change and the typical error that it is judged by are independent, so T is
// (change)/(√2 TE) exactly. The true change is δ √2 TE; at α = 0.05 and many df δ is
// 1.96 + 0.84 for a power of 0.8, with 7 df 3.36. A power of 1/2 gives about the
// detectable change itself. Below 1 df it is +Inf: so poorly known a noise promises
// nothing. It is NaN unless 0 < level < 1, 0 < power < 1, df > 0.
//
// Source of the distribution: Johnson & Welch (1940), as [dist.NoncentralTCDF].
func Seen(level, power, df float64) float64 {
	if !(level > 0 && level < 1 && power > 0 && power < 1 && df > 0) {
		return math.NaN()
	}
	t := dist.TQuantile((1+level)/2, df)
	switch {
	case math.IsInf(df, 1):
		return t + dist.NormalQuantile(power)
	case df < 1:
		return math.Inf(1)
	}
	key := seenKey{level, power, df}
	if d, ok := seenBefore(key); ok {
		return d
	}
	d := shift(t, df, power)
	keep(key, d)
	return d
}

// shift is the noncentrality at which T lies above t with the power given, by regula
// falsi on normal deviates of the power (Illinois), on which it is nearly a line.
func shift(t, df, power float64) float64 {
	z := dist.NormalQuantile(power)
	miss := func(d float64) float64 { return -dist.NormalQuantile(dist.NoncentralTCDF(t, df, d)) - z }
	near := float64(t*(1-1/(4*df))) + float64(z*math.Sqrt(1+t*t/(2*df))) // T - t S is nearly normal
	low, high := near-0.1, near+0.1
	for miss(low) > 0 {
		low -= high - low
	}
	for miss(high) < 0 {
		high += high - low
	}
	a, b := miss(low), miss(high)
	for range 100 {
		mid := high - b*(high-low)/(b-a)
		v := miss(mid)
		if math.Abs(v) < 1e-12 || mid == low || mid == high {
			return mid
		}
		if (v < 0) == (b < 0) {
			high, b, a = mid, v, a/2
		} else {
			low, a, b = mid, v, b/2
		}
	}
	return (low + high) / 2
}

type seenKey struct{ level, power, df float64 }

// seen are factors made before: many designs and tests share their df.
var seen = struct {
	sync.Mutex
	factors map[seenKey]float64
}{factors: map[seenKey]float64{}}

const mostFactors = 4096

func seenBefore(k seenKey) (float64, bool) {
	seen.Lock()
	defer seen.Unlock()
	d, ok := seen.factors[k]
	return d, ok
}

func keep(k seenKey, d float64) {
	seen.Lock()
	defer seen.Unlock()
	if len(seen.factors) >= mostFactors {
		clear(seen.factors)
	}
	seen.factors[k] = d
}
