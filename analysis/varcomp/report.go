package varcomp

import (
	"math"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
)

// report fills everything of r but what separate and minimise have set.
func (f *fitted) report(r *Result) {
	for c, to := range r.components() {
		variance := f.best.v[c] * f.like.scale * f.like.scale
		*to = Component{
			Estimate: estimate.Bare(variance, estimate.None),
			SD:       estimate.Bare(math.Sqrt(f.best.v[c])*f.like.scale, estimate.None),
			AtZero:   f.best.v[c] == 0,
		}
	}
	if !f.free[session] {
		r.AthleteSession = absent()
	}
	r.Singular = f.best.v[athlete] == 0 || (f.free[session] && f.best.v[session] == 0)
	f.means(r)
	f.criterion(r)
	f.limits(r)
	r.NoResidual, r.EqualTrials = f.noResidual, f.sameTrials && !f.noResidual
}

func (r *Result) components() [3]*Component {
	return [3]*Component{trial: &r.Trial, session: &r.AthleteSession, athlete: &r.Athlete}
}

// absent is a component that Merged says nothing can be told of.
func absent() Component {
	return Component{Estimate: estimate.Bare(math.NaN(), estimate.None), SD: estimate.Bare(math.NaN(), estimate.None)}
}

func (f *fitted) means(r *Result) {
	s := f.like.design
	var covariance square
	if !f.noResidual {
		covariance = f.best.m.inverse()
	}
	for c := range s.means {
		m := Mean{Session: s.sessions[c], N: s.attempts[c]}
		if f.noResidual {
			m.Value = s.offset[c] + float64(s.scale*f.levels.beta[c])
			m.SE = s.scale * math.Sqrt(f.best.v[athlete]/f.levels.connected[c])
		} else {
			m.Value = s.offset[c] + float64(s.scale*f.mean(c))
			m.SE = s.scale * math.Sqrt(covariance.between(c, c))
		}
		r.Fixed = append(r.Fixed, m)
	}
}

// mean returns the fixed mean of a column on the design's scale.
func (f *fitted) mean(column int) float64 {
	if column == 0 {
		return f.best.beta[0]
	}
	return f.best.beta[0] + f.best.beta[column]
}

// criterion puts the criterion on the scale of the data.
func (f *fitted) criterion(r *Result) {
	if f.noResidual || f.sameTrials {
		r.Criterion, r.LogLik = math.NaN(), math.NaN()
		return
	}
	df := float64(r.N)
	if f.like.restricted {
		df -= float64(f.like.means)
	}
	r.Criterion = f.best.value + float64(df*2*math.Log(f.like.scale))
	r.LogLik = -r.Criterion / 2
}

// limits fills the intervals of the components.
func (f *fitted) limits(r *Result) {
	if f.o.Limits == NoLimits {
		return
	}
	if f.sameTrials {
		r.Trial.without(estimate.NoVariation)
	}
	switch {
	case f.noResidual:
		f.chiSquare(r)
	case f.o.Limits == Bootstrap:
		f.bootstrapLimits(r)
	default:
		f.profileLimits(r)
	}
}

func (c *Component) without(reason estimate.Kind) {
	c.Estimate = estimate.Bare(c.Value, reason)
	c.SD = estimate.Bare(c.SD.Value, reason)
}

// between sets the interval of the SD, in the unit of the data, and of the variance.
func (c *Component) between(lower, upper, level float64, kind estimate.Kind) {
	c.SD.Lower, c.SD.Upper, c.SD.Level, c.SD.Kind = lower, upper, level, kind
	c.Lower, c.Upper, c.Level, c.Kind = lower*lower, upper*upper, level, kind
}

// chiSquare is exact where the athletes' levels are seen without error.
func (f *fitted) chiSquare(r *Result) {
	r.Trial.without(estimate.NoError)
	if f.free[session] {
		r.AthleteSession.without(estimate.NoError)
	}
	df, tail := f.levels.athlete, (1-f.o.Level)/2
	if r.Athlete.AtZero {
		r.Athlete.without(estimate.NoVariation)
		return
	}
	size := f.like.scale * math.Sqrt(f.levels.between)
	r.Athlete.between(size/math.Sqrt(dist.ChiSquareQuantile(1-tail, df)),
		size/math.Sqrt(dist.ChiSquareQuantile(tail, df)), f.o.Level, estimate.ChiSquare)
}
