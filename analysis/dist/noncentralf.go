package dist

import "math"

// NoncentralFCDF returns the probability that noncentral F is at most x,
//
//	P(F' <= x) = Σ_j e^-h h^j/j! I_q(df1/2 + j, df2/2),   h = ncp/2,  q = df1 x/(df1 x + df2)
//
// with df1 and df2 degrees of freedom and noncentrality ncp: F' is
// (Σ(Z_i + d_i)²/df1)/(χ²/df2) with df1 normal deviates Z and Σd_i² = ncp. It is
// accurate relatively in the lower tail; the upper is [NoncentralFSurvival].
//
// Special cases are:
//
//	NoncentralFCDF(x, df1, df2, 0)   = that of F
//	NoncentralFCDF(x, df1, df2, ncp) = 0 for x <= 0, 1 for x = +Inf
//	NoncentralFCDF(x, df1, df2, ncp) = NaN if any argument is NaN, one df is not
//	                                   positive and finite, or ncp is negative or infinite
//
// Source of the series: Johnson NL, Kotz S, Balakrishnan N (1995). Continuous
// Univariate Distributions, volume 2, chapter 30 (from memory).
func NoncentralFCDF(x, df1, df2, ncp float64) float64 {
	lower, _ := noncentralF(x, df1, df2, ncp)
	return lower
}

// NoncentralFSurvival returns the probability that noncentral F exceeds x,
// accurate relatively in the upper tail. Its arguments and special cases are
// those of [NoncentralFCDF].
func NoncentralFSurvival(x, df1, df2, ncp float64) float64 {
	_, upper := noncentralF(x, df1, df2, ncp)
	return upper
}

// noncentralF returns both tails at x.
func noncentralF(x, df1, df2, ncp float64) (lower, upper float64) {
	switch {
	case math.IsNaN(x) || !positive(df1) || !positive(df2) || !(ncp >= 0) || math.IsInf(ncp, 1):
		return math.NaN(), math.NaN()
	case x <= 0:
		return 0, 1
	}
	odds := x * (df1 / df2)
	share, rest := 1/(1+1/odds), 1/(1+odds) // of the beta distribution, and what is left of it
	tails := func(j float64) (lower, upper float64) {
		lower, upper, _ = incompleteBeta(df1/2+j, df2/2, share, rest)
		w := poisson(j, ncp/2)
		return w * lower, w * upper
	}
	mode := math.Floor(ncp / 2)
	lower, upper = poissonSum(tails, mode, -1)
	more, moreUpper := poissonSum(tails, mode+1, 1)
	return min(1, lower+more), min(1, upper+moreUpper)
}

// poissonSum adds the terms from a place on, upwards or downwards, until both
// sums stand still: each list of terms has a single peak.
func poissonSum(term func(j float64) (a, b float64), from, stride float64) (a, b float64) {
	var lastA, lastB float64
	for j := from; j >= 0; j += stride {
		nextA, nextB := term(j)
		a, b = a+nextA, b+nextB
		if a > 0 && b > 0 && nextA <= lastA && nextB <= lastB && nextA <= 1e-18*a && nextB <= 1e-18*b {
			break
		}
		if stride > 0 && nextA == 0 && nextB == 0 {
			break
		}
		lastA, lastB = nextA, nextB
	}
	return a, b
}

// poisson returns e^-mean mean^j / j!.
func poisson(j, mean float64) float64 {
	switch {
	case mean == 0 && j == 0:
		return 1
	case mean == 0:
		return 0
	case j == 0:
		return math.Exp(-mean)
	}
	return math.Exp(-stirling(j)-deviance(j, mean)) / math.Sqrt(2*math.Pi*j)
}

// NoncentralFLimits returns the noncentralities for which the F seen, x, is just
// the quantile 1-(1-level)/2 and (1-level)/2: the limits of the two-sided
// interval of the noncentrality. A limit is 0 where no noncentrality, not even
// 0, makes an F so large, or so small, that improbable.
//
// Both are NaN where [NoncentralFCDF] is, for x = +Inf, and for a level that
// does not lie between 0 and 1.
//
// Source: Smithson M (2001). Correct confidence intervals for various
// regression effect sizes and parameters. Educational and Psychological
// Measurement 61:605-632; Steiger JH (2004). Beyond the F test. Psychological
// Methods 9:164-182.
func NoncentralFLimits(x, df1, df2, level float64) (lower, upper float64) {
	if math.IsNaN(NoncentralFCDF(x, df1, df2, 0)) || math.IsInf(x, 1) || !(level > 0 && level < 1) {
		return math.NaN(), math.NaN()
	}
	tail := (1 - level) / 2
	lower = rootFrom0(func(ncp float64) float64 { return NoncentralFSurvival(x, df1, df2, ncp) - tail })
	upper = rootFrom0(func(ncp float64) float64 { return tail - NoncentralFCDF(x, df1, df2, ncp) })
	return lower, upper
}

// rootFrom0 returns where a function that rises steadily from 0 on is 0; 0
// where it is above 0 from the start.
func rootFrom0(f func(float64) float64) float64 {
	low, atLow := 0.0, f(0)
	if atLow >= 0 {
		return 0
	}
	high := 1.0
	atHigh := f(high)
	for ; atHigh < 0; atHigh = f(high) {
		low, atLow = high, atHigh
		high *= 2
	}
	return illinois(f, low, atLow, high, atHigh)
}

// illinois finds the root between low and high by false position, with half of
// an end's value where that end stays twice (Dowell M, Jarratt P (1971). BIT
// 11:168-174).
func illinois(f func(float64) float64, low, atLow, high, atHigh float64) float64 {
	last, side := math.NaN(), 0
	for range 200 {
		at := high - atHigh*((high-low)/(atHigh-atLow))
		if !(at > low && at < high) || math.Abs(at-last) <= 1e-14*at {
			return min(max(at, low), high)
		}
		last = at
		if value := f(at); value < 0 {
			low, atLow = at, value
			if side < 0 {
				atHigh /= 2
			}
			side = -1
		} else {
			high, atHigh = at, value
			if side > 0 {
				atLow /= 2
			}
			side = 1
		}
	}
	return last
}
