package dist

import "math"

// TCDF returns the probability that Student's t with df degrees of freedom is
// at most t, accurate relatively in the lower tail. The upper tail is
// TCDF(-t, df). df = +Inf is the normal distribution.
//
// Special cases are:
//
//	TCDF(±Inf, df) = 1, 0
//	TCDF(t, df)    = NaN if t is NaN or df is not positive
func TCDF(t, df float64) float64 {
	if math.IsInf(df, 1) {
		return NormalCDF(t)
	}
	outside, _, _ := student(t, df)
	if t <= 0 {
		return outside / 2
	}
	return 1 - outside/2
}

// TTwoSided returns P(|T| >= |t|), the two-sided p value of t with df degrees
// of freedom. df = +Inf is the normal distribution.
//
// Special cases are:
//
//	TTwoSided(±Inf, df) = 0
//	TTwoSided(t, df)    = NaN if t is NaN or df is not positive
func TTwoSided(t, df float64) float64 {
	if math.IsInf(df, 1) {
		return 2 * NormalCDF(-math.Abs(t))
	}
	outside, _, _ := student(t, df)
	return outside
}

// TQuantile returns the t with TCDF(t, df) = p. df = +Inf is the normal
// distribution.
//
// Special cases are:
//
//	TQuantile(0, df) = -Inf
//	TQuantile(1, df) = +Inf
//	TQuantile(p, df) = NaN if p is outside [0, 1] or df is not positive
func TQuantile(p, df float64) float64 {
	switch {
	case !probability(p) || !(df > 0):
		return math.NaN()
	case p == 0 || p == 1 || math.IsInf(df, 1):
		return NormalQuantile(p)
	case p == 0.5:
		return 0
	case p < 0.5:
		return -upperT(p, df)
	}
	return upperT(1-p, df) // exact here
}

// upperT returns the t > 0 that is exceeded with probability q < 1/2. Near the
// centre it solves for the probability between -t and t, which is exact there.
func upperT(q, df float64) float64 {
	z := -NormalQuantile(q)
	guess := z * (1 + (float64(z*z)+1)/(4*df))
	if central := 2 * (0.5 - q); central < 0.5 {
		return solve(func(t float64) (float64, float64) {
			_, inside, slope := student(t, df)
			return inside, slope
		}, central, guess)
	}
	return solve(func(t float64) (float64, float64) {
		outside, _, slope := student(t, df)
		return outside, -slope
	}, 2*q, guess)
}

// student returns P(|T| >= |t|), P(|T| < |t|) and the derivative of the latter
// by log |t|. A |t| whose square exceeds float64 counts as infinite.
func student(t, df float64) (outside, inside, slope float64) {
	if math.IsNaN(t) || !positive(df) {
		return math.NaN(), math.NaN(), math.NaN()
	}
	ratio := math.Abs(t) / math.Sqrt(df)
	ratio *= ratio // t²/df, without overflow of t²
	x, y := 1/(1+ratio), 1/(1+1/ratio)
	outside, inside, kernel := incompleteBeta(df/2, 0.5, x, y)
	return outside, inside, 2 * kernel
}
