// Package moment holds means, standard deviations and the straight line, with
// sums that lose no digits to a common offset in the data.
package moment

import (
	"math"

	"noisefloor/analysis/compensated"
)

// Mean returns the arithmetic mean of x, Σ x / n, in the unit of x. It is NaN
// if x is empty or holds a NaN or ±Inf.
func Mean(x []float64) float64 {
	return compensated.Sum(x).Over(float64(len(x))).Float()
}

// Variance returns the sample variance of x with divisor n-1,
//
//	s² = Σ (x - mean)² / (n - 1)
//
// in the square of the unit of x. It is NaN if x has fewer than two values or
// holds a NaN or ±Inf.
func Variance(x []float64) float64 { return Covariance(x, x) }

// SD returns the sample standard deviation of x, the square root of
// [Variance] (divisor n-1), in the unit of x.
func SD(x []float64) float64 { return math.Sqrt(Variance(x)) }

// Covariance returns the sample covariance of the pairs (x, y) with divisor n-1,
//
//	Σ (x - mean x)(y - mean y) / (n - 1)
//
// in the product of the two units. It is NaN if x and y differ in length, have
// fewer than two values, or hold a NaN or ±Inf.
func Covariance(x, y []float64) float64 {
	if len(x) != len(y) || len(x) < 2 {
		return math.NaN()
	}
	return products(x, y).Over(float64(len(x) - 1)).Float()
}

// products returns Σ (x - mean x)(y - mean y). It works on
// n x - Σ x, which is exactly 0 for equal values, and divides last.
func products(x, y []float64) compensated.Number {
	n := float64(len(x))
	sumX, sumY := compensated.Sum(x), compensated.Sum(y)
	var s compensated.Number
	for i := range x {
		dx := compensated.Product(n, x[i]).Sub(sumX)
		dy := compensated.Product(n, y[i]).Sub(sumY)
		s = s.Add(dx.Mul(dy))
	}
	return s.Over(n).Over(n)
}
