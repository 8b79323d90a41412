package noise

import (
	"math"

	"noisefloor/analysis/dist"
)

// Sees returns the smallest true change of the mean that a study like this one shows,
// that is, whose interval at the level given excludes 0, with the power given:
//
//	δ with P(|T| > t(1-α/2, df)) = power, T noncentral t on df with δ/SE
//
// SE is taken as found. df are those given where the shift has none of its own. It is NaN
// where the standard error is not known, or less than 1 df stand behind it.
//
// Source: Student's paired t test with the noncentral t, as in Cohen J (1988),
// Statistical Power Analysis for the Behavioral Sciences, 2nd ed., chapter 2.
func (s Shift) Sees(level, power, df float64) float64 {
	if s.DF > 0 {
		df = s.DF
	}
	if !s.Known() || !(df >= 1) {
		return math.NaN()
	}
	t := dist.TQuantile(0.5+level/2, df)
	over := func(delta float64) float64 {
		return dist.NoncentralTCDF(-t, df, -delta) + dist.NoncentralTCDF(-t, df, delta) - power
	}
	was, delta := t, t+dist.NormalQuantile(power) // the large-sample answer
	missed := over(was)
	for range 30 { // the secant; the power rises almost like a line there
		misses := over(delta)
		if math.Abs(delta-was) < 1e-10*delta || misses == missed {
			break
		}
		was, delta, missed = delta, delta-misses*(delta-was)/(misses-missed), misses
	}
	return s.SE * delta
}
