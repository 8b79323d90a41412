package agreement

import (
	"math"

	"noisefloor/analysis/moment"
)

// slopes fills the proportional bias, the spread and the advice on the scale.
func (r *Result) slopes(p pairs, o Options) {
	bias, size := p.lines()
	r.Slope, r.SlopeP = bias.interval(o.Level)
	r.Spread, r.SpreadP = size.interval(o.Level)
	if r.Slope.Excludes(0) {
		r.Warnings = append(r.Warnings,
			"the difference itself changes with the value (proportional bias): one bias for all athletes is not enough")
	}
	r.advise(p, o)
}

// lines fits the difference on the mean, and then the absolute residuals of
// that line on the mean. Where the data allow no interval, a slope that is 0
// for certain is 0, and one that is unknown NaN.
func (p pairs) lines() (bias, size line) {
	rounding := 16 * 0x1p-52 * p.largest()
	x := centred(p.mean)
	switch {
	case moment.SD(p.difference) <= rounding:
		none := line{why: "no slope to test: all differences are equal"}
		return none, none
	case rms(x, len(x)-1) <= rounding:
		none := line{slope: math.NaN(), why: "no slope: the means of the pairs are all equal"}
		return none, none
	}
	bias, left := fit(x, p.difference)
	if bias.residualSD <= rounding {
		bias.why = "no slope to test: the differences lie exactly on a line"
		return bias, line{why: bias.why}
	}
	for i, e := range left {
		left[i] = math.Abs(e)
	}
	size, _ = fit(x, left)
	if size.residualSD <= rounding {
		size.why = "no slope to test: the absolute residuals lie exactly on a line"
	}
	return bias, size
}

// advise says which scale fits, from the interval of Spread.
func (r *Result) advise(p pairs, o Options) {
	grows, shrinks := r.Spread.Lower > 0, r.Spread.Upper < 0
	switch {
	case grows && o.OnLog:
		r.Advice = "even on the log scale the error grows with the value"
	case shrinks && o.OnLog:
		r.Advice = "on the log scale the error shrinks as the value grows: the raw scale may fit better"
	case shrinks:
		r.Advice = "the error shrinks as the value grows: the log scale would not help"
	case grows && !p.positive():
		r.Advice = "the error grows with the value, but the log scale needs every score above zero"
	case grows:
		r.LogAdvised = true
		r.refitOnLog(p.log(), o.Level)
	}
}

// refitOnLog shows whether the log scale cures an error that grows.
func (r *Result) refitOnLog(p pairs, level float64) {
	_, size := p.lines()
	again, _ := size.interval(level)
	r.SpreadOnLog = &again
	r.Cured = again.Value == 0 || (again.HasInterval() && !again.Excludes(0))
	r.Advice = "the error grows with the value: use the log scale, where it no longer does"
	if !r.Cured {
		r.Advice = "the error grows with the value: use the log scale, although the error is not even there either"
	}
}
