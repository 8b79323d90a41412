package dist

import "math"

// ChiSquareSurvival returns the probability that chi-square with df degrees of
// freedom exceeds x. It is 1 for x <= 0, 0 for x = +Inf, and NaN if x is NaN or
// df is not positive and finite.
func ChiSquareSurvival(x, df float64) float64 {
	if math.IsNaN(x) || !positive(df) {
		return math.NaN()
	}
	_, upper, _ := incompleteGamma(df/2, x/2)
	return upper
}

// ChiSquareQuantile returns the x that chi-square with df degrees of freedom
// does not exceed with probability p.
//
// Special cases are:
//
//	ChiSquareQuantile(0, df) = 0
//	ChiSquareQuantile(1, df) = +Inf
//	ChiSquareQuantile(p, df) = NaN if p is outside [0, 1] or df is not positive and finite
func ChiSquareQuantile(p, df float64) float64 {
	switch {
	case !probability(p) || !positive(df):
		return math.NaN()
	case p == 0:
		return 0
	case p == 1:
		return math.Inf(1)
	}
	guess := chiSquareGuess(p, df)
	if p <= 0.5 {
		return solve(func(x float64) (float64, float64) {
			lower, _, kernel := incompleteGamma(df/2, x/2)
			return lower, kernel
		}, p, guess)
	}
	return solve(func(x float64) (float64, float64) {
		_, upper, kernel := incompleteGamma(df/2, x/2)
		return upper, -kernel
	}, 1-p, guess) // 1-p is exact here
}

// chiSquareGuess is the cube-root approximation of Wilson & Hilferty (1931),
// or the median's neighbourhood where that is not positive.
func chiSquareGuess(p, df float64) float64 {
	v := 2 / (9 * df)
	root := 1 - v + float64(NormalQuantile(p)*math.Sqrt(v))
	return df * max(root*root*root, 0.01)
}

// ChiSquareCDF returns the probability that chi-square with df degrees of freedom does
// not exceed x, to full relative precision in the lower tail. It is 0 for x <= 0, 1 for
// x = +Inf, and NaN if x is NaN or df is not positive and finite.
func ChiSquareCDF(x, df float64) float64 {
	if math.IsNaN(x) || !positive(df) {
		return math.NaN()
	}
	lower, _, _ := incompleteGamma(df/2, x/2)
	return lower
}
