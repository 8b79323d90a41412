package norms

import (
	"fmt"
	"math"
	"slices"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/moment"
)

// MinCentiles is the fewest athletes of one level from whom smooth centiles are made:
// common practice, no source.
const MinCentiles = 50

// Centiles are a group's scores made normal by a power: z = (y^(λ) - μ)/σ with
// y^(λ) = (y^λ - 1)/λ, ln y for λ = 0.
type Centiles struct{ Lambda, Mu, Sigma float64 }

// widestPower is how far λ may lie from 0.
const widestPower = 2

// Smooth fits the centiles of a group of one level: λ in [-2, 2] of the largest
// likelihood,
//
//	-n/2 ln σ²(λ) + (λ - 1) Σ ln y    σ²(λ) = Σ (y^(λ) - mean)²/n
//
// found by golden section to 1e-8, μ the mean and σ the standard deviation (n - 1) of the
// scores so made. The unit of the scores goes into μ and σ. Scores of several levels
// together have several humps, and no power makes them one: the caller sees to that.
//
// Smooth fails with [ErrTooFew] below MinCentiles scores and where all are the same, and
// with [ErrScore] where one is not above 0 or no finite number. The scores are not
// modified.
//
// Source: Box GEP, Cox DR (1964), Journal of the Royal Statistical Society B 26:211-252.
func Smooth(scores []float64) (Centiles, error) {
	if len(scores) < MinCentiles {
		return Centiles{}, fmt.Errorf("%w: %d, smooth centiles need %d", ErrTooFew, len(scores), MinCentiles)
	}
	for _, y := range scores {
		if !(y > 0) || math.IsInf(y, 1) {
			return Centiles{}, fmt.Errorf("%w: %g, smooth centiles need scores above 0", ErrScore, y)
		}
	}
	if slices.Min(scores) == slices.Max(scores) {
		return Centiles{}, fmt.Errorf("%w: all scores are the same", ErrTooFew)
	}
	logs := make([]float64, len(scores))
	for i, y := range scores {
		logs[i] = math.Log(y)
	}
	centre := moment.Mean(logs) // the scores over their geometric mean: no power overflows
	for i := range logs {
		logs[i] -= centre
	}
	lambda := highest(func(l float64) float64 { return -math.Log(moment.Variance(powers(logs, l))) }, -widestPower,
		widestPower)
	made := make([]float64, len(logs))
	for i, l := range logs {
		made[i] = power(l+centre, lambda)
	}
	return Centiles{Lambda: lambda, Mu: moment.Mean(made), Sigma: moment.SD(made)}, nil
}

// powers are those of scores over their geometric mean, given as logarithms: for them
// the likelihood is that of the variance alone.
func powers(logs []float64, lambda float64) []float64 {
	out := make([]float64, len(logs))
	for i, l := range logs {
		out[i] = power(l, lambda)
	}
	return out
}

// power is y^(λ) of ln y, without loss near λ = 0.
func power(log, lambda float64) float64 {
	if lambda == 0 {
		return log
	}
	return math.Expm1(lambda*log) / lambda
}

// At is the score at centile p, (1 + λ(μ + σ z))^(1/λ); NaN where the power has no such
// score.
func (c Centiles) At(p float64) float64 {
	y := c.Mu + float64(c.Sigma*dist.NormalQuantile(p))
	if c.Lambda == 0 {
		return math.Exp(y)
	}
	return math.Exp(math.Log1p(c.Lambda*y) / c.Lambda)
}

// Rank is the centile of a score, 0 to 1; NaN for one that is not above 0.
func (c Centiles) Rank(y float64) float64 {
	if !(y > 0) {
		return math.NaN()
	}
	return dist.NormalCDF((power(math.Log(y), c.Lambda) - c.Mu) / c.Sigma)
}

// highest is where f, which rises and then falls, is highest from low to high: golden
// section.
func highest(f func(float64) float64, low, high float64) float64 {
	golden := (math.Sqrt(5) - 1) / 2
	a, b := high-float64(golden*(high-low)), low+float64(golden*(high-low))
	fa, fb := f(a), f(b)
	for high-low > 1e-8 {
		if fa < fb {
			low, a, fa = a, b, fb
			b = low + float64(golden*(high-low))
			fb = f(b)
		} else {
			high, b, fb = b, a, fa
			a = high - float64(golden*(high-low))
			fa = f(a)
		}
	}
	return low + (high-low)/2
}
