// Package dist holds the distribution functions and quantiles that intervals
// and tests need: normal, Student t, chi-square, F, and noncentral t and F.
//
// Results are accurate to about 1e-13 relative, in both tails and near the
// centre: a survival function is computed as such, never as 1 - CDF, and a
// quantile is polished until its probability is the one asked for. Degrees of
// freedom need not be whole numbers.
//
// No function panics. An argument outside its range (a probability outside
// [0, 1], degrees of freedom that are not positive, any NaN) gives NaN.
// Probabilities 0 and 1 give the ends of the distribution's support.
package dist

import "math"

// probability reports whether p is one.
func probability(p float64) bool { return p >= 0 && p <= 1 }

// positive reports whether x is positive and finite.
func positive(x float64) bool { return x > 0 && !math.IsInf(x, 1) }
