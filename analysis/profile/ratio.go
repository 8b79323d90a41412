package profile

import (
	"math"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
)

// Fieller is the kind of an interval of a ratio of two scores, by Fieller's set.
const Fieller estimate.Kind = "fieller"

// Unbounded is the kind of an interval that is missing because the noise of the lower
// score leaves it open: no ratio is excluded.
const Unbounded estimate.Kind = "unbounded"

// A ratio is one score over another with the errors of both. On the log scale num and
// den are the scores and the errors are those of their logarithms.
type ratio struct {
	num, den       float64
	vNum, vDen, co float64 // variances and covariance of the errors
	df             float64
	log            bool
}

// value is the ratio itself.
func (r ratio) value() float64 { return r.num / r.den }

// usable says whether there is a ratio at all.
func (r ratio) usable() bool { return r.num > 0 && r.den > 0 && r.df >= 1 }

// limits are those of the true ratio θ at a level. On the raw scale they are the ends of
// Fieller's set,
//
//	(D - θN)² <= t² (S_DD - 2θ S_DN + θ² S_NN)
//
// with t = t(1-α/2, df); where the set is not one stretch of positive length ok is false.
// On the log scale they are exp(ln(D/N) ∓ t √(S_DD - 2 S_DN + S_NN)).
//
// Source: Fieller EC (1954), Journal of the Royal Statistical Society B 16:175-185.
func (r ratio) limits(level float64) (lower, upper float64, ok bool) {
	t := dist.TQuantile((1+level)/2, r.df)
	if r.log {
		half := t * math.Sqrt(r.spread(1))
		return r.value() * math.Exp(-half), r.value() * math.Exp(half), true
	}
	tt := float64(t * t)
	a := float64(r.den*r.den) - float64(tt*r.vDen)
	b := float64(r.num*r.den) - float64(tt*r.co)
	c := float64(r.num*r.num) - float64(tt*r.vNum)
	root := float64(b*b) - float64(a*c)
	if !(a > 0) || !(root >= 0) {
		return math.NaN(), math.NaN(), false
	}
	s := math.Sqrt(root)
	return (b - s) / a, (b + s) / a, true
}

// spread is the variance of D - θN, on the log scale of ln D - ln N.
func (r ratio) spread(theta float64) float64 {
	if r.log {
		theta = 1
	}
	return max(0, r.vNum-float64(2*theta*r.co)+float64(theta*theta*r.vDen))
}

// beyond is how many standard errors the ratio lies above θ: t of the hypothesis that it
// is θ, the very one that limits inverts.
func (r ratio) beyond(theta float64) float64 {
	se := math.Sqrt(r.spread(theta))
	distance := r.num - float64(theta*r.den)
	if r.log {
		distance = math.Log(r.num) - math.Log(r.den) - math.Log(theta)
	}
	if se == 0 {
		return math.Inf(int(math.Copysign(1, distance)))
	}
	return distance / se
}

// index is the ratio as an index: f, which increases, of the value and of both limits.
func (r ratio) index(f func(float64) float64, level float64) estimate.Estimate {
	lower, upper, ok := r.limits(level)
	if !ok {
		return estimate.Bare(f(r.value()), Unbounded)
	}
	kind := Fieller
	if r.log {
		kind = estimate.StudentT
	}
	return estimate.Estimate{Value: f(r.value()), Lower: f(lower), Upper: f(upper), DF: r.df, Level: level, Kind: kind}
}

// side is 100 (D - N)/max(D, N) of θ = D/N, and sideRatio its inverse.
func side(theta float64) float64 {
	if theta >= 1 {
		return 100 * (1 - 1/theta)
	}
	return 100 * (theta - 1)
}

func sideRatio(percent float64) float64 {
	if percent >= 0 {
		return 1 / (1 - percent/100)
	}
	return 1 + percent/100
}

// gain is 100 (with - without)/without of θ = with/without, and gainRatio its inverse.
func gain(theta float64) float64        { return 100 * (theta - 1) }
func gainRatio(percent float64) float64 { return 1 + percent/100 }
