package dist

import "math"

// incompleteGamma returns both tails of the gamma distribution of shape a at x,
//
//	lower = P(a, x)    upper = Q(a, x) = 1 - P(a, x)
//
// and the kernel x^a e^-x / Γ(a), the derivative of lower by log x. The
// smaller tail is the one computed: the series of P below a+1, the continued
// fraction of Q above (Abramowitz & Stegun 1964, 6.5.29 and 6.5.31).
func incompleteGamma(a, x float64) (lower, upper, kernel float64) {
	if x <= 0 {
		return 0, 1, 0
	}
	if math.IsInf(x, 1) {
		return 1, 0, 0
	}
	kernel = math.Sqrt(a/2/math.Pi) * math.Exp(-stirling(a)-deviance(a, x))
	if x < a+1 {
		lower = kernel * gammaSeries(a, x)
		return lower, 1 - lower, kernel
	}
	upper = kernel * gammaFraction(a, x)
	return 1 - upper, upper, kernel
}

func gammaSeries(a, x float64) float64 {
	sum, term := 1/a, 1/a
	for n := 1.0; n < maxTerms; n++ {
		term *= x / (a + n)
		if sum+term == sum {
			break
		}
		sum += term
	}
	return sum
}

// gammaFraction uses the modified Lentz method.
func gammaFraction(a, x float64) float64 {
	b := x - a + 1
	c, d := math.Inf(1), 1/b
	h := d
	for n := 1.0; n < maxTerms; n++ {
		an := n * (a - n)
		b += 2
		d = 1 / (float64(an*d) + b)
		c = b + an/c
		step := c * d
		h *= step
		if math.Abs(step-1) < 1e-16 {
			break
		}
	}
	return h
}
