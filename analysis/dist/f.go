package dist

import "math"

// FSurvival returns the probability that F with df1 and df2 degrees of freedom
// exceeds x. It is 1 for x <= 0, 0 for x = +Inf (a residual of zero), and NaN
// if x is NaN or one df is not positive and finite.
func FSurvival(x, df1, df2 float64) float64 {
	if math.IsNaN(x) || !positive(df1) || !positive(df2) {
		return math.NaN()
	}
	_, upper, _ := fTails(x, df1, df2)
	return upper
}

// FQuantile returns the x that F with df1 and df2 degrees of freedom does not
// exceed with probability p.
//
// Special cases are:
//
//	FQuantile(0, df1, df2) = 0
//	FQuantile(1, df1, df2) = +Inf
//	FQuantile(p, df1, df2) = NaN if p is outside [0, 1] or one df is not positive and finite
func FQuantile(p, df1, df2 float64) float64 {
	switch {
	case !probability(p) || !positive(df1) || !positive(df2):
		return math.NaN()
	case p == 0:
		return 0
	case p == 1:
		return math.Inf(1)
	}
	guess := math.Exp(NormalQuantile(p) * math.Sqrt(2/df1+2/df2))
	if p <= 0.5 {
		return solve(func(x float64) (float64, float64) {
			lower, _, kernel := fTails(x, df1, df2)
			return lower, kernel
		}, p, guess)
	}
	return solve(func(x float64) (float64, float64) {
		_, upper, kernel := fTails(x, df1, df2)
		return upper, -kernel
	}, 1-p, guess) // 1-p is exact here
}

// fTails returns P(F <= x), P(F > x) and the derivative of the former by log x.
func fTails(x, df1, df2 float64) (lower, upper, kernel float64) {
	if x <= 0 {
		return 0, 1, 0
	}
	ratio := df1 / df2
	odds, against := x*ratio, 1/x/ratio // against does not overflow where odds does
	y := 1 / (1 + odds)
	if math.IsInf(odds, 1) {
		y = against
	}
	return incompleteBeta(df1/2, df2/2, 1/(1+against), y)
}

// BetaQuantile returns the x with P(X <= x) = p for X of Beta(a, b): aF/(b + aF), F the p
// quantile of F on 2a and 2b degrees of freedom.
//
// Special cases are:
//
//	BetaQuantile(p, a, b) = NaN if p is outside [0, 1], or a or b is not positive
//	BetaQuantile(1, a, b) = 1
func BetaQuantile(p, a, b float64) float64 {
	f := float64(a * FQuantile(p, 2*a, 2*b))
	if math.IsInf(f, 1) {
		return 1
	}
	return f / (b + f)
}
