package association

import (
	"math"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
)

// Williams tests whether two correlations that share a variable are equal:
// r12 and r13, with r23 between the two that are not shared, all from the
// same n athletes:
//
//	t = (r12-r13) √( (n-1)(1+r23) / (2 (n-1)/(n-3) |R| + r̄² (1-r23)³) )
//	|R| = 1 - r12² - r13² - r23² + 2 r12 r13 r23,  r̄ = (r12+r13)/2
//
// on n-3 degrees of freedom; p is two-sided. Exchanging r12 and r13 changes
// the sign of t.
//
// Special cases: all three are NaN below n = 4, when a correlation is NaN or
// outside [-1, 1], when no three variables can have these correlations
// (|R| < 0), and when r23 = ±1 (one of the two says all that the other does).
//
// Source: Williams EJ (1959). The comparison of regression variables. Journal
// of the Royal Statistical Society B 21:396-399; in the form of Steiger JH
// (1980). Tests for comparing elements of a correlation matrix. Psychological
// Bulletin 87:245-251.
func Williams(r12, r13, r23 float64, n int) (t, df, p float64) {
	det, ok := determinant(r12, r13, r23)
	if !ok || n < minN {
		return math.NaN(), math.NaN(), math.NaN()
	}
	m, mean := float64(n), (r12+r13)/2
	spread := float64(2*(m-1)/(m-3)*det) + float64(mean*mean*math.Pow(1-r23, 3))
	df = m - 3
	t = (r12 - r13) * math.Sqrt((m-1)*(1+r23)/spread)
	return t, df, dist.TTwoSided(t, df)
}

// Meng tests the same hypothesis as [Williams] on Fisher's scale,
//
//	z = (atanh r12 - atanh r13) √( (n-3) / (2 (1-r23) h) )
//	h = (1 - f m)/(1 - m),  m = (r12² + r13²)/2,  f = min(1, (1-r23)/(2 (1-m)))
//
// with its two-sided normal p value, and the interval at the confidence level
// (0 means 0.95) of the difference atanh r12 - atanh r13. That is not the
// interval of r12 - r13; [Zou] is.
//
// Special cases are those of Williams; r12 or r13 of ±1 also gives NaN.
//
// Source: Meng X-L, Rosenthal R, Rubin DB (1992). Comparing correlated
// correlation coefficients. Psychological Bulletin 111:172-175.
func Meng(r12, r13, r23 float64, n int, level float64) (z, p float64, ci estimate.Estimate) {
	level, err := confidence(level)
	if reason := incomparable(r12, r13, r23, n); err != nil || reason != "" {
		if err != nil {
			reason = reasonOf(err)
		}
		return math.NaN(), math.NaN(), estimate.Bare(math.NaN(), reason)
	}
	m := (float64(r12*r12) + float64(r13*r13)) / 2
	f := min(1, (1-r23)/(2*(1-m)))
	h := (1 - float64(f*m)) / (1 - m)
	se := math.Sqrt(2 * (1 - r23) * h / float64(n-3))
	d := math.Atanh(r12) - math.Atanh(r13)
	half := dist.NormalQuantile((1+level)/2) * se
	return d / se, 2 * dist.NormalCDF(-math.Abs(d/se)),
		estimate.Around(d, half, se, 0, level, estimate.Meng)
}

// Zou returns r12 - r13 with its interval at the confidence level (0 means
// 0.95), for correlations as in [Williams]. With (l1, u1) and (l2, u2) the
// Fisher limits of the two correlations,
//
//	lower = r12-r13 - √( (r12-l1)² + (u2-r13)² - 2c (r12-l1)(u2-r13) )
//	upper = r12-r13 + √( (u1-r12)² + (r13-l2)² - 2c (u1-r12)(r13-l2) )
//	c = ((r23 - r12 r13/2)(1 - r12² - r13² - r23²) + r23³) / ((1-r12²)(1-r13²))
//
// where c is the correlation of the two correlations.
// Where Williams is NaN, and where r12 or r13 is ±1, there is no interval and
// Kind says why.
//
// Source: Zou GY (2007). Toward using confidence intervals to compare
// correlations. Psychological Methods 12:399-413.
func Zou(r12, r13, r23 float64, n int, level float64) estimate.Estimate {
	level, err := confidence(level)
	if err != nil {
		return estimate.Bare(r12-r13, reasonOf(err))
	}
	if reason := incomparable(r12, r13, r23, n); reason != "" {
		return estimate.Bare(r12-r13, reason)
	}
	se := 1 / math.Sqrt(float64(n-3))
	a, b := fisher(r12, se, level, estimate.FisherZ), fisher(r13, se, level, estimate.FisherZ)
	c := correlationOfCorrelations(r12, r13, r23)
	reach := func(p, q float64) float64 {
		return math.Sqrt(max(0, float64(p*p)+float64(q*q)-float64(2*c*p*q)))
	}
	d := r12 - r13
	return estimate.Estimate{Value: d, Level: level, Kind: estimate.Zou,
		Lower: d - reach(r12-a.Lower, b.Upper-r13), Upper: d + reach(a.Upper-r12, r13-b.Lower)}
}

// correlationOfCorrelations is c in [Zou] (Olkin I, Siotani M 1976).
func correlationOfCorrelations(r12, r13, r23 float64) float64 {
	s12, s13, s23 := r12*r12, r13*r13, r23*r23
	return (float64((r23-r12*r13/2)*(1-s12-s13-s23)) + float64(r23*s23)) / ((1 - s12) * (1 - s13))
}

// determinant returns |R|, and false when no three variables of which the last
// two differ can have these correlations. Rounding below 0 is 0.
func determinant(r12, r13, r23 float64) (float64, bool) {
	for _, r := range []float64{r12, r13, r23} {
		if !(math.Abs(r) <= 1) {
			return math.NaN(), false
		}
	}
	shared := float64(r12*r12) + float64(r13*r13) // one term, so that exchanging them changes no bit
	det := 1 - shared - float64(r23*r23) + float64(2*r12*r13*r23)
	return max(0, det), det > -1e-12 && math.Abs(r23) < 1
}

// incomparable says why two correlations have no difference to speak of.
func incomparable(r12, r13, r23 float64, n int) estimate.Kind {
	if n < minN {
		return estimate.TooFew
	}
	if _, ok := determinant(r12, r13, r23); !ok {
		if math.Abs(r23) == 1 {
			return estimate.Collinear // one test is the other in another unit
		}
		return estimate.NoRange // no three variables can have these correlations
	}
	if math.Abs(r12) == 1 || math.Abs(r13) == 1 {
		return estimate.OnALine
	}
	return ""
}
