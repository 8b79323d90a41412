package agreement

import (
	"math"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/moment"
)

// slopes fills the proportional bias, the spread and the advice on the scale.
func (r *Result) slopes(p pairs, o Options) {
	bias, size := p.lines()
	r.Slope, r.SlopeP = bias.interval(o.Level)
	r.Spread, r.SpreadP = size.interval(o.Level)
	r.B0, r.B1, r.C0, r.C1 = bias.intercept, bias.slope, size.intercept, size.slope
	if r.Slope.Excludes(0) {
		r.doubt(ProportionalBias)
	}
	r.advise(p, o)
}

// LimitsAt returns the bias and the limits of agreement at a mean of the pair,
// for differences whose bias and spread change with the value,
//
//	B0 + B1 mean  and  B0 + B1 mean -+ z sqrt(π/2) (C0 + C1 mean)
//
// with z the (1+coverage)/2 normal quantile; 2.46 of the absolute residuals'
// line for 95 %. They are straight lines: two means are enough to draw one.
// Where the spread comes out below 0 it counts as 0. All are NaN where there is
// no line.
//
// Source: Bland & Altman (1999), Stat Methods Med Res 8, 135-160, section 3.2.
func (r Result) LimitsAt(mean float64) (bias, lower, upper float64) {
	bias = r.B0 + float64(r.B1*mean)
	z := dist.NormalQuantile((1+r.Coverage)/2) * math.Sqrt(math.Pi/2)
	half := z * max(0, r.C0+float64(r.C1*mean))
	return bias, bias - half, bias + half
}

// lines fits the difference on the mean, and then the absolute residuals of
// that line on the mean. Where the data allow no interval, a slope that is 0
// for certain is 0, and one that is unknown NaN.
func (p pairs) lines() (bias, size line) {
	rounding := 16 * 0x1p-52 * p.largest()
	x := centred(p.mean)
	switch {
	case moment.SD(p.difference) <= rounding:
		none := line{why: estimate.NoVariation}
		return none.through(p.mean, p.difference), none
	case rms(x, len(x)-1) <= rounding:
		none := line{slope: math.NaN(), intercept: math.NaN(), why: estimate.NoRange}
		return none, none
	}
	bias, left := fit(x, p.difference)
	bias = bias.through(p.mean, p.difference)
	if bias.residualSD <= rounding {
		bias.why = estimate.OnALine
		return bias, line{why: bias.why}
	}
	for i, e := range left {
		left[i] = math.Abs(e)
	}
	size, _ = fit(x, left)
	size = size.through(p.mean, left)
	if size.residualSD <= rounding {
		size.why = estimate.OnALine
	}
	return bias, size
}

// advise says which scale fits, from the interval of Spread.
func (r *Result) advise(p pairs, o Options) {
	grows, shrinks := r.Spread.Lower > 0, r.Spread.Upper < 0
	switch {
	case grows && o.OnLog:
		r.Advice = LogNotEnough
	case shrinks && o.OnLog:
		r.Advice = LogTooMuch
	case shrinks:
		r.Advice = Shrinks
	case grows && !p.positive():
		r.Advice = NoLog
	case grows:
		r.LogAdvised = true
		r.refitOnLog(p.log(), o.Level)
	}
	if r.Advice != "" {
		r.doubt(r.Advice)
	}
}

// refitOnLog shows whether the log scale cures an error that grows.
func (r *Result) refitOnLog(p pairs, level float64) {
	_, size := p.lines()
	again, _ := size.interval(level)
	r.SpreadOnLog = &again
	r.Cured = again.Value == 0 || (again.HasInterval() && !again.Excludes(0))
	r.Advice = UseLog
	if !r.Cured {
		r.Advice = UseLogAllTheSame
	}
}
