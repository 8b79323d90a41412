package agreement

import (
	"math"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/moment"
)

// slopes fills the proportional bias, the spread and the advice on the scale.
func (r *Result) slopes(p pairs, o Options) {
	bias, size, why := p.lines()
	if why != "" {
		r.Slope, r.SlopeP = estimate.Without(bias.Slope, why), math.NaN()
		r.Spread, r.SpreadP = estimate.Without(size.Slope, why), math.NaN()
		return
	}
	r.Slope, r.SlopeP = slope(bias, o.Level)
	r.Spread, r.SpreadP = slope(size, o.Level)
	if r.Slope.Excludes(0) {
		r.Warnings = append(r.Warnings,
			"the difference itself changes with the value (proportional bias): one bias for all athletes is not enough")
	}
	r.advise(p, o)
}

// lines fits the difference on the mean, and then the absolute residuals of
// that line on the mean. why is not empty when the data allow no slopes; what
// is 0 for certain is then 0, and the rest NaN.
func (p pairs) lines() (bias, size moment.Fit, why string) {
	bias.Slope, size.Slope = math.NaN(), math.NaN()
	rounding := 16 * 0x1p-52 * p.largest()
	switch {
	case moment.SD(p.difference) <= rounding:
		bias.Slope, size.Slope = 0, 0
		return bias, size, "no slope to test: all differences are equal"
	case moment.SD(p.mean) <= rounding:
		return bias, size, "no slope: the means of the pairs are all equal"
	}
	bias, err := moment.Line(p.mean, p.difference)
	if err != nil {
		return bias, size, "no slope: " + err.Error()
	}
	if bias.ResidualSD <= rounding {
		size.Slope = 0
		return bias, size, "no slope to test: the differences lie exactly on a line"
	}
	size, err = moment.Line(p.mean, p.residuals(bias))
	if err != nil {
		return bias, size, "no slope: " + err.Error()
	}
	if size.ResidualSD <= rounding {
		return bias, size, "no slope to test: the absolute residuals lie exactly on a line"
	}
	return bias, size, ""
}

// residuals returns |d - (b0 + b1 m)|.
func (p pairs) residuals(bias moment.Fit) []float64 {
	size := make([]float64, len(p.mean))
	for i, m := range p.mean {
		size[i] = math.Abs(p.difference[i] - bias.At(m))
	}
	return size
}

// slope returns the slope of f with its Student t interval, and the two-sided
// p value of no slope.
func slope(f moment.Fit, level float64) (estimate.Estimate, float64) {
	half := dist.TQuantile((1+level)/2, f.DF) * f.SlopeSE
	return around(f.Slope, half, "Student t"), dist.TTwoSided(f.Slope/f.SlopeSE, f.DF)
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
	var again estimate.Estimate
	_, size, why := p.lines()
	if why != "" {
		again = estimate.Without(size.Slope, why)
	} else {
		again, _ = slope(size, level)
	}
	r.SpreadOnLog = &again
	r.Cured = size.Slope == 0 || (again.HasInterval() && !again.Excludes(0))
	r.Advice = "the error grows with the value: use the log scale, where it no longer does"
	if !r.Cured {
		r.Advice = "the error grows with the value: use the log scale, although the error is not even there either"
	}
}
