package rank

import "math"

// fuzz is how far, relatively, n p may sit below a whole number and still
// count as that number: 0.29 × 100 is 28.999999999999996 in float64. Only
// types 1 to 3, which jump there, depend on it.
const fuzz = 4 * 0x1p-52

// Quantile returns the sample quantile at probability p of values that are
// already in rising order, by definition typ of Hyndman & Fan (1996).
// With n values x(1) <= ... <= x(n), j = floor(np + m) and g = np + m - j:
//
//	type 1  inverse of the empirical distribution function, m = 0
//	type 2  as type 1, but the mean of the two neighbours at a jump, m = 0
//	type 3  the nearest even order statistic, m = -1/2
//	types 4-9  (1-g) x(j) + g x(j+1) with
//	type 4  m = 0              type 5  m = 1/2
//	type 6  m = p              type 7  m = 1 - p
//	type 8  m = (p + 1)/3      type 9  m = p/4 + 3/8
//
// Type 6 is the (n+1)p-th order statistic (bootstrap limits), type 7 the
// (n-1)p+1-th (spreadsheets), type 8 is close to median-unbiased for any
// distribution. Positions before the first or after the last value give that
// value. The result has the unit of the data.
//
// Quantile returns NaN if there are no values, p is outside [0, 1] or NaN, or
// typ is not 1 to 9. The values are not checked to be in order, and must not
// contain NaN.
//
// Source: Hyndman RJ, Fan Y (1996). Sample quantiles in statistical packages.
// The American Statistician 50:361-365.
func Quantile(sorted []float64, p float64, typ int) float64 {
	n := float64(len(sorted))
	if n == 0 || !(p >= 0 && p <= 1) || typ < 1 || typ > 9 {
		return math.NaN()
	}
	at := position(n, p, typ)
	j := math.Floor(at + fuzz*max(1, math.Abs(at)))
	g := max(at-j, 0)
	if g <= fuzz*max(1, math.Abs(at)) {
		g = 0
	}
	switch typ {
	case 1, 2:
		g = jump(g, typ)
	case 3:
		g = nearestEven(g, j)
	}
	return between(sorted, int(j), g)
}

// position returns np + m, with the products kept from being fused so that
// every processor finds the same order statistic.
func position(n, p float64, typ int) float64 {
	np := float64(n * p)
	switch typ {
	case 3:
		return np - 0.5
	case 5:
		return np + 0.5
	case 6:
		return float64((n + 1) * p)
	case 7:
		return float64((n-1)*p) + 1
	case 8:
		return float64((n+1.0/3)*p) + 1.0/3
	case 9:
		return float64((n+0.25)*p) + 0.375
	}
	return np
}

func jump(g float64, typ int) float64 {
	switch {
	case g > 0:
		return 1
	case typ == 2:
		return 0.5
	}
	return 0
}

func nearestEven(g, j float64) float64 {
	if g == 0 && math.Mod(j, 2) == 0 {
		return 0
	}
	return 1
}

// between returns the value at position j+g, j counted from 1.
func between(sorted []float64, j int, g float64) float64 {
	n := len(sorted)
	if j < 1 {
		return sorted[0]
	}
	if j >= n {
		return sorted[n-1]
	}
	a, b := sorted[j-1], sorted[j]
	switch {
	case g == 0 || a == b:
		return a
	case g == 1:
		return b
	case g == 0.5:
		return a/2 + b/2
	}
	return float64((1-g)*a) + float64(g*b)
}
