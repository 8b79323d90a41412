package varcomp

import (
	"math"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
)

// A Ratio is what the model [Scores] says of θ = σ²athlete/σ²residual without
// any approximation.
type Ratio struct {
	estimate.Estimate // of θ, with its exact interval

	// F tests θ = 0: athletes adjusted for the session means against the
	// residual, with DF1 and DF2 degrees of freedom; P is one-sided.
	F, DF1, DF2, P float64
}

// Ratio returns the ratio of the athlete variance to the residual variance with
// an interval at the level given. With R(θ) the residual sum of squares by
// generalised least squares in units of σ²residual, and R(∞) that of athletes
// and sessions both fixed,
//
//	F(θ) = [(R(θ) - R(∞))/df₁] / [R(∞)/df₂]
//
// follows the F distribution exactly at the true θ, whatever scores are
// missing, and falls as θ grows. The limits are where it equals the quantiles,
// none below 0; on a complete table they are those of F = MSR/MSE.
//
// There is no interval, and Kind says why, unless the model is [Scores] with
// one score per athlete and session and some residual.
//
// Sources: Wald A (1947). A note on regression analysis. Annals of Mathematical
// Statistics 18:586-589. Harville DA, Fenech AP (1985). Confidence intervals
// for a variance ratio, or for heritability, in an unbalanced mixed linear
// model. Biometrics 41:137-152.
func (r Result) Ratio(level float64) Ratio {
	none := func(why estimate.Kind) Ratio {
		nan := math.NaN()
		return Ratio{Estimate: estimate.Bare(r.Athlete.Value/r.Trial.Value, why), F: nan, DF1: nan, DF2: nan, P: nan}
	}
	switch {
	case r.fit == nil || r.Model != Scores || r.fit.like.dfWithin > 0:
		return none(estimate.Failed) // not one score for each athlete and session
	case r.fit.noResidual:
		return none(estimate.NoError)
	case !(level > 0 && level < 1):
		return none(estimate.NoRange)
	}
	q := r.fit.quotient()
	out := Ratio{F: q.at(0), DF1: q.df1, DF2: q.df2}
	out.P = dist.FSurvival(out.F, q.df1, q.df2)
	out.Estimate = estimate.Estimate{Value: r.Athlete.Value / r.Trial.Value, Level: level, Kind: estimate.ExactF,
		Lower: q.solve(dist.FQuantile((1+level)/2, q.df1, q.df2)),
		Upper: q.solve(dist.FQuantile((1-level)/2, q.df1, q.df2))}
	return out
}

// A quotient is F as a function of θ.
type quotient struct {
	like     *likelihood
	rest     float64 // R(∞)
	df1, df2 float64
}

func (f *fitted) quotient() quotient {
	like := newLikelihood(f.like.design, true) // scratch of its own
	a := like.additiveFit()
	return quotient{like: like, rest: a.residual, df1: a.athlete, df2: a.df}
}

func (q quotient) at(theta float64) float64 {
	p, ok := q.like.at([3]float64{trial: 1, athlete: theta})
	if !ok {
		return math.NaN()
	}
	sum := 0.0
	for i := range q.like.patterns {
		sum += q.like.squares(&q.like.patterns[i], &p)
	}
	return max(sum-q.rest, 0) / q.df1 / (q.rest / q.df2)
}

// solve returns the θ at which F is f, 0 if it is below f everywhere. The
// inverse of F is nearly a line in θ, so that the secant gets there soon; it
// is kept inside a shrinking bracket.
func (q quotient) solve(f float64) float64 {
	miss := func(theta float64) float64 { return 1/q.at(theta) - 1/f } // rises with θ
	low, atLow := 0.0, miss(0)
	if !(atLow < 0) {
		return 0
	}
	high := 1.0
	atHigh := miss(high)
	for ; atHigh < 0; atHigh = miss(high) {
		low, atLow = high, atHigh
		if high *= 4; math.IsInf(high, 1) {
			return high
		}
	}
	for side, step := 0, 0; step < 200 && high-low > 1e-14*high; step++ {
		theta := low + (high-low)*(atLow/(atLow-atHigh))
		if !(theta > low && theta < high) {
			theta = low + (high-low)/2
		}
		at := miss(theta)
		switch {
		case math.Abs(at) <= 1e-15/f:
			return theta
		case at < 0:
			low, atLow = theta, at
			if side < 0 {
				atHigh /= 2 // or the other end would never move
			}
			side = -1
		default:
			high, atHigh = theta, at
			if side > 0 {
				atLow /= 2
			}
			side = 1
		}
	}
	return low + (high-low)/2
}
