package bootstrap

import (
	"math"
	"slices"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/moment"
	"noisefloor/analysis/rank"
)

// Percentile returns theta with the percentile interval: the quantiles of the
// bootstrap distribution at (1-level)/2 and (1+level)/2, by definition type 6
// (the (B+1)p-th of B ordered replicates, interpolated linearly).
//
// Replicates that are NaN are dropped. A level of 0 means 0.95. There is no
// interval, and Kind says why, if theta is NaN or
// infinite, if the level is not in (0, 1), or if no replicate has a value. The
// replicates are not modified.
//
// Source: Efron B, Tibshirani RJ (1993). An Introduction to the Bootstrap,
// chapter 13.
func Percentile(theta float64, replicates []float64, level float64) estimate.Estimate {
	r, reason := prepare(theta, replicates, level)
	if reason != estimate.None {
		return estimate.Bare(theta, reason)
	}
	return r.between(estimate.Percentile, r.tail, 1-r.tail)
}

// BCa returns theta with the bias-corrected and accelerated interval: the
// quantiles (type 6) of the bootstrap distribution at
//
//	p = Φ(z0 + (z0 + z) / (1 - a (z0 + z)))    z = Φ⁻¹((1 ± level)/2)
//	z0 = Φ⁻¹(share of replicates below theta)
//	a  = Σ u³ / (6 (Σ u²)^1.5),   u_i = mean of the jackknife values - value i
//
// where jackknife holds the statistic with each unit left out (see
// [Jackknife]). The interval does not change with the scale on which theta is
// measured. Where it asks for more than the most extreme replicate, that
// replicate is the limit: more replicates are needed.
//
// Replicates that are NaN are dropped. A level of 0 means 0.95. There is no
// interval, and Kind says why, in the cases of
// [Percentile] and if all replicates lie on one side of theta, if the
// jackknife values are fewer than two, not finite or all equal, or if the
// correction has no solution. The arguments are not modified.
//
// Source: Efron B (1987). Better bootstrap confidence intervals. Journal of
// the American Statistical Association 82:171-185.
func BCa(theta float64, replicates, jackknife []float64, level float64) estimate.Estimate {
	r, reason := prepare(theta, replicates, level)
	if reason != estimate.None {
		return estimate.Bare(theta, reason)
	}
	z0 := r.bias(theta)
	if math.IsInf(z0, 0) {
		return estimate.Bare(theta, estimate.OneSided)
	}
	a, reason := acceleration(jackknife)
	if reason != estimate.None {
		return estimate.Bare(theta, reason)
	}
	lower, upper := corrected(r.tail, z0, a), corrected(1-r.tail, z0, a)
	if math.IsNaN(lower) || math.IsNaN(upper) {
		return estimate.Bare(theta, estimate.Skewed)
	}
	return r.between(estimate.BCa, lower, upper)
}

// resamples are replicates ready for an interval.
type resamples struct {
	theta  float64
	sorted []float64
	tail   float64 // probability on each side
}

func prepare(theta float64, replicates []float64, level float64) (r resamples, reason estimate.Kind) {
	if level == 0 {
		level = DefaultLevel
	}
	switch {
	case math.IsNaN(theta) || math.IsInf(theta, 0):
		return r, estimate.NoRange
	case !(level > 0 && level < 1):
		return r, estimate.Failed
	}
	r = resamples{theta: theta, tail: (1 - level) / 2, sorted: make([]float64, 0, len(replicates))}
	for _, v := range replicates {
		if !math.IsNaN(v) {
			r.sorted = append(r.sorted, v)
		}
	}
	if len(r.sorted) == 0 {
		return r, estimate.NoResample
	}
	slices.Sort(r.sorted)
	return r, estimate.None
}

// between returns the interval from the quantile at p to that at q.
func (r resamples) between(kind estimate.Kind, p, q float64) estimate.Estimate {
	return estimate.Estimate{
		Value: r.theta, Kind: kind, Level: 1 - 2*r.tail,
		Lower: rank.Quantile(r.sorted, p, 6), Upper: rank.Quantile(r.sorted, q, 6),
	}
}

// bias returns z0.
func (r resamples) bias(theta float64) float64 {
	below, _ := slices.BinarySearch(r.sorted, theta)
	return dist.NormalQuantile(float64(below) / float64(len(r.sorted)))
}

// acceleration returns a, or the reason why there is none.
func acceleration(jackknife []float64) (a float64, reason estimate.Kind) {
	if len(jackknife) < 2 {
		return 0, estimate.TooFew
	}
	mean := moment.Mean(jackknife)
	if math.IsNaN(mean) || math.IsInf(mean, 0) {
		return 0, estimate.NoResample
	}
	if slices.Min(jackknife) == slices.Max(jackknife) {
		return 0, estimate.NoVariation
	}
	var squares, cubes float64
	for _, v := range jackknife {
		u := mean - v
		squares += float64(u * u)
		cubes += float64(u * u * u)
	}
	return cubes / (6 * squares * math.Sqrt(squares)), estimate.None
}

// corrected returns the probability at which BCa reads off its limit, NaN if
// the denominator is not positive.
func corrected(p, z0, a float64) float64 {
	z := z0 + dist.NormalQuantile(p)
	if stretch := 1 - float64(a*z); stretch > 0 {
		return dist.NormalCDF(z0 + z/stretch)
	}
	return math.NaN()
}
