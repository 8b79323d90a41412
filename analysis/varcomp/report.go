package varcomp

import (
	"fmt"
	"math"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
)

// report fills everything of r but what separate and minimise have set.
func (f *fitted) report(r *Result) {
	for c, to := range r.components() {
		variance := f.best.v[c] * f.like.scale * f.like.scale
		*to = Component{
			Estimate: estimate.Without(variance, "no interval asked for"),
			SD:       estimate.Without(math.Sqrt(f.best.v[c])*f.like.scale, "no interval asked for"),
			AtZero:   f.best.v[c] == 0,
		}
	}
	if !f.free[session] {
		r.AthleteSession = absent(string(r.Merged))
	}
	r.Singular = f.best.v[athlete] == 0 || (f.free[session] && f.best.v[session] == 0)
	f.means(r)
	f.criterion(r)
	f.limits(r)
	r.Warnings = append(r.Warnings, f.warnings(r)...)
}

func (r *Result) components() [3]*Component {
	return [3]*Component{trial: &r.Trial, session: &r.AthleteSession, athlete: &r.Athlete}
}

func absent(reason string) Component {
	return Component{Estimate: estimate.Without(math.NaN(), reason), SD: estimate.Without(math.NaN(), reason)}
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
		r.Trial.without("no interval: the trials of a session are all the same")
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

func (c *Component) without(reason string) {
	c.Estimate = estimate.Without(c.Value, reason)
	c.SD = estimate.Without(c.SD.Value, reason)
}

// between sets the interval of the SD, in the unit of the data, and of the variance.
func (c *Component) between(lower, upper float64, method string) {
	c.SD.Lower, c.SD.Upper, c.SD.Method = lower, upper, method
	c.Lower, c.Upper, c.Method = lower*lower, upper*upper, method
}

// chiSquare is exact where the athletes' levels are seen without error.
func (f *fitted) chiSquare(r *Result) {
	const none = "no interval: every athlete changes exactly as the session means do"
	r.Trial.without(none)
	if f.free[session] {
		r.AthleteSession.without(none)
	}
	df, tail := f.levels.athlete, (1-f.o.Level)/2
	if r.Athlete.AtZero {
		r.Athlete.without("no interval: the athletes are all the same")
		return
	}
	size := f.like.scale * math.Sqrt(f.levels.between)
	r.Athlete.between(size/math.Sqrt(dist.ChiSquareQuantile(1-tail, df)),
		size/math.Sqrt(dist.ChiSquareQuantile(tail, df)), "chi-square")
}

// warnings says in words what is special about the fit.
func (f *fitted) warnings(r *Result) (w []string) {
	switch r.Merged {
	case WithTrial:
		w = append(w, "one trial per session: the day-to-day part cannot be told from the trial-to-trial part; their sum is given as the trial component")
	case WithAthlete:
		w = append(w, "one session per athlete, or hardly more: the day-to-day part cannot be told from the athletes' levels; their sum is given as the athlete component")
	}
	switch {
	case f.noResidual:
		w = append(w, "every athlete changes exactly as the session means do: the error is estimated as 0, and so are its components")
	case f.sameTrials:
		w = append(w, "the trials of a session are all the same: the trial component is estimated as 0; are the values rounded, or copied?")
	}
	if f.free[session] && !f.noResidual && r.AthleteSession.AtZero {
		w = append(w, "singular fit: the athlete×session variance is estimated as 0; sessions differ no more than the trials within them explain"+r.AthleteSession.upTo())
	}
	if r.Athlete.AtZero {
		w = append(w, "singular fit: the athlete variance is estimated as 0; athletes differ no more than the scores of one athlete do"+r.Athlete.upTo())
	}
	return w
}

// upTo says how large the SD may be all the same.
func (c Component) upTo() string {
	if !c.SD.HasInterval() {
		return ""
	}
	return fmt.Sprintf(" (SD up to %.3g)", c.SD.Upper)
}
