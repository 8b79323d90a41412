package dist

import "math"

// maxTerms ends a continued fraction or series that does not settle; the
// slowest one met, at a million degrees of freedom, takes a few thousand.
const maxTerms = 100000

// incompleteBeta returns both tails of the beta distribution at x = 1 - y,
//
//	lower = I_x(a, b)    upper = 1 - I_x(a, b)
//
// and the kernel x^a y^b / B(a, b), the derivative of lower by the log odds
// of x. Both x and y are arguments because one of them may be so near 1 that
// it says nothing about the other. The smaller tail is the one computed.
func incompleteBeta(a, b, x, y float64) (lower, upper, kernel float64) {
	if x <= 0 {
		return 0, 1, 0
	}
	if y <= 0 {
		return 1, 0, 0
	}
	n := a + b
	kernel = math.Sqrt(a/n*b/2/math.Pi) * math.Exp(stirling(n)-stirling(a)-stirling(b)-
		deviance(a, n*x)-deviance(b, n*y))
	if float64(a*y) > float64(b*x) {
		lower = kernel * betaFraction(a, b, x, y)
		return lower, 1 - lower, kernel
	}
	upper = kernel * betaFraction(b, a, y, x)
	return 1 - upper, upper, kernel
}

// betaFraction returns I_x(a, b) B(a, b) / (x^a y^b) for x <= a/(a+b) by the
// continued fraction of DiDonato AR, Morris AH (1992). Algorithm 708:
// significant digit computation of the incomplete beta function ratios. ACM
// Transactions on Mathematical Software 18:360-373, section 4.
func betaFraction(a, b, x, y float64) float64 {
	c := 1 + float64(a*y) - float64(b*x)
	c0, c1 := b/a, 1+1/a
	p, s := 1.0, a+1
	an, bn, an1, bn1 := 0.0, 1.0, 1.0, c/c1
	r := c1 / c
	for n := 1.0; n < maxTerms; n++ {
		t := n / a
		w := n * (b - n) * x
		e := a / s
		alpha := p * (p + c0) * e * e * (w * x)
		e = (1 + t) / (c1 + t + t)
		beta := n + w/s + float64(e*(c+float64(n*(1+y))))
		p, s = 1+t, s+2
		an, an1 = an1, float64(alpha*an)+float64(beta*an1)
		bn, bn1 = bn1, float64(alpha*bn)+float64(beta*bn1)
		before := r
		r = an1 / bn1
		if math.Abs(r-before) <= 1e-16*r {
			break
		}
		an, bn, an1, bn1 = an/bn1, bn/bn1, r, 1
	}
	return r
}
