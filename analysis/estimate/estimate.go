// Package estimate holds the one shape in which every number of this module
// travels: a value, its interval, and in words how the interval was made or
// why there is none.
package estimate

import "math"

// An Estimate is a value with its interval.
type Estimate struct {
	Value float64 // the point estimate, in the unit its owner states

	// Lower and Upper are the limits of the interval at the level its owner
	// states. Both are NaN when there is no interval; a limit that does not
	// exist on one side only is -Inf or +Inf.
	Lower, Upper float64

	// Method says how the interval was made ("exact F", "chi-square",
	// "Student t", "BCa bootstrap, 10000 resamples"), or, when there is no
	// interval, why ("fewer than 3 athletes").
	Method string
}

// Without returns an estimate that has no interval, for the reason given.
func Without(value float64, reason string) Estimate {
	return Estimate{Value: value, Lower: math.NaN(), Upper: math.NaN(), Method: reason}
}

// HasInterval reports whether e has an interval (possibly open on one side).
func (e Estimate) HasInterval() bool {
	return !math.IsNaN(e.Lower) && !math.IsNaN(e.Upper)
}

// Excludes reports whether e has an interval and x lies outside it.
func (e Estimate) Excludes(x float64) bool {
	return e.HasInterval() && (x < e.Lower || x > e.Upper)
}

// Map returns e with the increasing function f applied to the value and to
// both limits: the interval of a monotone function of the parameter.
func (e Estimate) Map(f func(float64) float64) Estimate {
	e.Value = f(e.Value)
	if e.HasInterval() {
		e.Lower, e.Upper = f(e.Lower), f(e.Upper)
	}
	return e
}

// Percent turns a difference on the natural-log scale into a percent change,
//
//	100 (exp(d) - 1).
//
// It is not symmetric: Percent(0.1) is 10.52, Percent(-0.1) is -9.52.
func Percent(d float64) float64 { return 100 * math.Expm1(d) }
