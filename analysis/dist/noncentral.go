package dist

import "math"

// NoncentralTCDF returns the probability that noncentral t is at most t,
//
//	P(T <= t) = E Φ(t S - delta),   S = √(χ²/df)
//
// with df degrees of freedom and noncentrality delta: T is (Z + delta)/S for a
// standard normal Z independent of S. It is accurate relatively in the lower
// tail; the upper tail is NoncentralTCDF(-t, df, -delta).
//
// Special cases are:
//
//	NoncentralTCDF(±Inf, df, delta) = 1, 0
//	NoncentralTCDF(t, df, delta)    = NaN if any argument is NaN, df is not
//	                                  positive, or delta is infinite
//
// df = +Inf is the normal distribution with mean delta.
//
// Source of the definition: Johnson NL, Welch BL (1940). Applications of the
// non-central t-distribution. Biometrika 31:362-389.
func NoncentralTCDF(t, df, delta float64) float64 {
	switch {
	case math.IsNaN(t) || !(df > 0) || math.IsNaN(delta) || math.IsInf(delta, 0):
		return math.NaN()
	case math.IsInf(t, 1):
		return 1
	case math.IsInf(t, -1):
		return 0
	case math.IsInf(df, 1):
		return NormalCDF(t - delta)
	}
	p, _ := noncentral(t, df, delta)
	return min(p, 1)
}

// NoncentralTQuantile returns the t with NoncentralTCDF(t, df, delta) = p.
//
// Special cases are:
//
//	NoncentralTQuantile(0, df, delta) = -Inf
//	NoncentralTQuantile(1, df, delta) = +Inf
//	NoncentralTQuantile(p, df, delta) = NaN if p is outside [0, 1], df is not
//	                                    positive, or delta is NaN or infinite
func NoncentralTQuantile(p, df, delta float64) float64 {
	switch {
	case !probability(p) || !(df > 0) || math.IsNaN(delta) || math.IsInf(delta, 0):
		return math.NaN()
	case p == 0 || p == 1:
		return NormalQuantile(p)
	case math.IsInf(df, 1):
		return delta + NormalQuantile(p)
	case delta == 0:
		return TQuantile(p, df)
	case p > 0.5:
		return -lowerNoncentral(1-p, df, -delta) // exact here
	}
	return lowerNoncentral(p, df, delta)
}

// lowerNoncentral solves for p <= 1/2 by Newton steps on log p, halving a
// bracket when a step leaves it.
func lowerNoncentral(p, df, delta float64) float64 {
	low, high := math.Inf(-1), math.Inf(1)
	t := delta + float64(TQuantile(p, df)*math.Sqrt(1+delta*delta/(2*df)))
	for range 200 {
		got, density := noncentral(t, df, delta)
		if got < p {
			low = t
		} else {
			high = t
		}
		step := math.Log1p((p-got)/got) * got / density
		if math.Abs(step) <= 1e-9*math.Abs(t) {
			return t + step
		}
		next := t + step
		if step/t < -1 && math.Abs(t) > 1+math.Abs(delta) {
			next = t * math.Exp(step/t) // a power-law tail is straight in log t
		}
		if !(next > low && next < high) {
			next = middle(t, low, high)
		}
		if next == t {
			break
		}
		t = next
	}
	return t
}

// middle returns a point between low and high, or a wider step where one of
// them is not known.
func middle(t, low, high float64) float64 {
	reach := 1 + math.Abs(t)
	switch {
	case math.IsInf(low, -1):
		return t - reach
	case math.IsInf(high, 1):
		return t + reach
	}
	return low + (high-low)/2
}

// noncentral returns P(T <= t) and the density of T at t. With S = exp(w) the
// expectation is an integral over the whole line of a smooth function that
// dies out at both ends, for which the trapezoidal rule converges
// geometrically: see Trefethen LN, Weideman JAC (2014). The exponentially
// convergent trapezoidal rule. SIAM Review 56:385-458. All terms are positive,
// so small probabilities keep their digits.
func noncentral(t, df, delta float64) (p, density float64) {
	mode := peak(t, df, delta)
	step := spacing(t, df, delta, mode)
	// The density of w is scale exp(-df/2 (e^(2w) - 1 - 2w)), see [stirling].
	scale := 2 * math.Sqrt(df/4/math.Pi) * math.Exp(-stirling(df/2))
	side := func(from, stride float64) (p, density float64) {
		for i := from; math.Abs(i) < maxTerms; i += stride {
			w := float64(i*step) + mode
			s, g := math.Exp(w), math.Exp(-df/2*expBeyondLine(2*w))
			z := math.FMA(t, s, -delta)
			dp, dd := g*NormalCDF(z), g*s*normalDensity(z)
			p, density = p+dp, density+dd
			if dp <= 1e-19*p && dd <= 1e-19*density && i != from {
				break
			}
		}
		return p, density
	}
	p, density = side(0, 1)
	left, leftDensity := side(-1, -1)
	scale *= step
	return scale * (p + left), scale * (density + leftDensity)
}

// spacing returns the distance of the points of the trapezoidal rule: half the
// width of the integrand's narrowest feature, which is the density of w
// (standard deviation 1/√(2 df)) or the rise of Φ, whose rate is |t| e^w. Where
// t and delta have the same sign the rise is at t e^w = delta, and for t > 0
// over at delta + 10, so that a large t does not make it narrower.
func spacing(t, df, delta, mode float64) float64 {
	s := math.Exp(mode)
	rate := math.Abs(t) * s
	if t > 0 {
		rate = min(rate, math.Abs(delta)+10)
	}
	if (t > 0) == (delta > 0) {
		rate = max(rate, math.Abs(delta))
	}
	return min(0.1, 0.5/math.Sqrt(float64(2*df*s*s)+float64(rate*rate)+1))
}

// expBeyondLine returns exp(x) - 1 - x, accurate near 0.
func expBeyondLine(x float64) float64 {
	if math.Abs(x) > 0.5 {
		return math.Expm1(x) - x
	}
	sum, term := 0.0, x
	for k := 2.0; ; k++ {
		term *= x / k
		if next := sum + term; next == sum {
			return sum
		}
		sum += term
	}
}

// peak returns the w at which the integrand of [noncentral] is largest, to
// within a few hundredths of its width: the function has a single peak.
func peak(t, df, delta float64) float64 {
	height := func(w float64) float64 {
		return logNormalCDF(float64(t*math.Exp(w))-delta) - float64(df/2*expBeyondLine(2*w))
	}
	low, high := -20-50/df, 3.0
	for range 60 {
		third := (high - low) / 3
		if height(low+third) < height(high-third) {
			low += third
		} else {
			high -= third
		}
	}
	return (low + high) / 2
}

// logNormalCDF returns log Φ(z), by the leading terms of its expansion where
// Φ underflows.
func logNormalCDF(z float64) float64 {
	if z > -30 {
		return math.Log(NormalCDF(z))
	}
	return -z*z/2 - math.Log(-z*sqrt2Pi)
}
