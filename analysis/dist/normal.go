package dist

import "math"

// invSqrt2High and invSqrt2Low sum to 1/√2 with twice the digits of float64.
const (
	invSqrt2High = math.Sqrt2 / 2
	invSqrt2Low  = -4.833646656726457e-17
)

// NormalCDF returns Φ(z), the probability that a standard normal variable is
// at most z, accurate relatively in the lower tail too. The upper tail is
// NormalCDF(-z).
//
// Special cases are:
//
//	NormalCDF(±Inf) = 1, 0
//	NormalCDF(NaN)  = NaN
func NormalCDF(z float64) float64 {
	x := float64(-z * invSqrt2High)
	p := math.Erfc(x) / 2
	if math.IsInf(z, 0) || p == 0 {
		return p
	}
	// x lost up to half a unit in its last place, which the tail magnifies by
	// about 2x²: add what was lost times the slope of erfc/2.
	lost := math.FMA(-z, invSqrt2High, -x) + float64(-z*invSqrt2Low)
	return p - float64(math.Exp(float64(-x*x))*lost)/sqrtPi
}

// NormalQuantile returns the z with NormalCDF(z) = p.
//
// Special cases are:
//
//	NormalQuantile(0) = -Inf
//	NormalQuantile(1) = +Inf
//	NormalQuantile(p) = NaN if p is outside [0, 1] or NaN
func NormalQuantile(p float64) float64 {
	switch {
	case !probability(p):
		return math.NaN()
	case p == 0 || p == 1:
		return math.Inf(int(p+p) - 1)
	case p > 0.75:
		return -lowerNormal(1 - p) // 1-p is exact here
	case p < 0.25:
		return lowerNormal(p)
	}
	return math.Sqrt2 * math.Erfinv(2*(p-0.5))
}

// lowerNormal returns the quantile for p below 1/4: a rational start, good to
// 4.5e-4 (Abramowitz & Stegun 1964, 26.2.23), polished by Newton steps on
// log Φ.
func lowerNormal(p float64) float64 {
	t := math.Sqrt(-2 * math.Log(p))
	top := 2.515517 + float64(t*(0.802853+float64(t*0.010328)))
	bottom := 1 + float64(t*(1.432788+float64(t*(0.189269+float64(t*0.001308)))))
	z := top/bottom - t
	for range 4 {
		got := NormalCDF(z)
		z += math.Log1p((p-got)/got) * got / normalDensity(z)
	}
	return z
}

// sqrtPi and sqrt2Pi are √π and √(2π).
const (
	sqrtPi  = 1.77245385090551602729816748334114518
	sqrt2Pi = 2.50662827463100050241576528481104525
)

// normalDensity returns exp(-z²/2)/√(2π) with the square kept exact.
func normalDensity(z float64) float64 {
	square := float64(z * z)
	lost := math.FMA(z, z, -square)
	return math.Exp(-square/2) * (1 - lost/2) / sqrt2Pi
}
