package planning

import (
	"fmt"
	"math"

	"noisefloor/analysis/dist"
)

// An ICC is the wish for an interval of ICC(C,1) of a width at most Width.
type ICC struct {
	Expected float64 // true ICC(C,1), between 0 and 1
	Width    float64 // of the interval, between 0 and 1
	Sessions int     // k, 2 or more
	Level    float64 // of the interval
}

// Plan returns the smallest n with which the exact F interval of ICC(C,1) is at most Width
// wide in [Assurance] of studies. With MSR/MSE = F0,
//
//	L = (F0/F_U - 1)/(F0/F_U + k - 1)    U = (F0 F_L - 1)/(F0 F_L + k - 1)
//	F0 = (1 + (k-1)ρ)/(1 - ρ) · F(n-1, (n-1)(k-1))
//
// so the chance of a narrow interval is one minus that of F0 lying where it is wide. The
// start value is Bonett's, 8 z² (1-ρ)² (1+(k-1)ρ)²/(k(k-1)w²) + 1, which reaches the width
// in half of studies; with two sessions and ρ of 0.7 or more he adds 5ρ. The curve is the
// width reached in Assurance of studies.
//
// Source: Bonett DG (2002), Statistics in Medicine 21:1331-1335.
func (p ICC) Plan() (Plan, error) {
	if err := first(within("the expected ICC", p.Expected, 0, 1), within("the width", p.Width, 0, 1),
		within("the level", p.Level, 0, 1)); err != nil {
		return Plan{}, err
	}
	if p.Sessions < 2 {
		return Plan{}, fmt.Errorf("%w: %d sessions, at least 2 are needed", ErrGoal, p.Sessions)
	}
	n, err := smallest(3, func(n int) bool { return p.Chance(n) >= Assurance })
	if err != nil {
		return Plan{}, err
	}
	out := Plan{Athletes: n, Start: p.Start(), Reached: p.Chance(n), Before: p.Chance(n - 1)}
	for _, m := range around(4, n) {
		out.Curve = append(out.Curve, Point{float64(m), p.assured(m)})
	}
	return out, nil
}

// Start is Bonett's number of athletes.
func (p ICC) Start() float64 {
	k, r, z := float64(p.Sessions), p.Expected, dist.NormalQuantile((1+p.Level)/2)
	a := z * (1 - r) * (1 + (k-1)*r)
	n := 8*a*a/(k*(k-1)*p.Width*p.Width) + 1
	if p.Sessions == 2 && r >= 0.7 {
		n += 5 * r
	}
	return n
}

// Chance is the share of studies of n athletes whose interval is at most Width wide.
func (p ICC) Chance(n int) float64 {
	if n < 3 {
		return 0
	}
	df1, df2 := float64(n-1), float64(n-1)*float64(p.Sessions-1)
	width := p.width(df1, df2)
	low, high := 1e-6, 1e9
	peak := highest(width, math.Log(low), math.Log(high))
	if width(peak) <= p.Width {
		return 1
	}
	c := (1 + float64(p.Sessions-1)*p.Expected) / (1 - p.Expected)
	from := bisect(func(x float64) float64 { return -width(x) }, -p.Width, math.Log(low), peak)
	to := bisect(width, p.Width, peak, math.Log(high))
	return 1 - dist.FSurvival(math.Exp(from)/c, df1, df2) + dist.FSurvival(math.Exp(to)/c, df1, df2)
}

// width is that of the interval by the logarithm of F0.
func (p ICC) width(df1, df2 float64) func(float64) float64 {
	fu, fl := dist.FQuantile((1+p.Level)/2, df1, df2), dist.FQuantile((1+p.Level)/2, df2, df1)
	k := float64(p.Sessions)
	icc := func(f float64) float64 { return (f - 1) / (f + k - 1) }
	return func(log float64) float64 {
		f := math.Exp(log)
		return icc(f*fl) - icc(f/fu)
	}
}

// assured is the width that Assurance of studies reach.
func (p ICC) assured(n int) float64 {
	return bisect(func(w float64) float64 {
		q := p
		q.Width = w
		return Assurance - q.Chance(n)
	}, 0, 1e-6, 2)
}

// highest is where f, which rises and then falls, is highest.
func highest(f func(float64) float64, low, high float64) float64 {
	golden := (math.Sqrt(5) - 1) / 2
	for high-low > 1e-7 {
		a, b := high-golden*(high-low), low+golden*(high-low)
		if f(a) < f(b) {
			low = a
		} else {
			high = b
		}
	}
	return low + (high-low)/2
}

// A Noise is the wish for a typical error that is known well.
type Noise struct {
	Ratio    float64 // above 1
	Upper    bool    // the upper limit is to be at most Ratio times the typical error; else √(upper/lower)
	Sessions int     // k, 2 or more
	Level    float64
}

// Plan returns the smallest n for which the χ² interval of the typical error on df =
// (n-1)(k-1),
//
//	TE √(df/χ²(1-α/2)) to TE √(df/χ²(α/2))
//
// is as narrow as wanted: √(upper/lower) at most Ratio, or the upper limit. Reached and
// Before are that ratio less 1; the curve is it too. More sessions do the same as more
// athletes. At 95 % a factor of 1.2 needs 59 degrees of freedom.
func (p Noise) Plan() (Plan, error) {
	if !(p.Ratio > 1) || math.IsInf(p.Ratio, 1) {
		return Plan{}, fmt.Errorf("%w: the ratio %g must be above 1", ErrGoal, p.Ratio)
	}
	if err := within("the level", p.Level, 0, 1); err != nil {
		return Plan{}, err
	}
	if p.Sessions < 2 {
		return Plan{}, fmt.Errorf("%w: %d sessions, at least 2 are needed", ErrGoal, p.Sessions)
	}
	n, err := smallest(2, func(n int) bool { return p.Factor(n) <= p.Ratio })
	if err != nil {
		return Plan{}, err
	}
	out := Plan{Athletes: n, Reached: p.Factor(n), Before: math.Inf(1)}
	if n > 2 {
		out.Before = p.Factor(n - 1)
	}
	for _, m := range around(3, n) {
		out.Curve = append(out.Curve, Point{float64(m), p.Factor(m)})
	}
	return out, nil
}

// Factor is by how much the typical error is known from n athletes.
func (p Noise) Factor(n int) float64 {
	df := float64(n-1) * float64(p.Sessions-1)
	low, high := dist.ChiSquareQuantile((1-p.Level)/2, df), dist.ChiSquareQuantile((1+p.Level)/2, df)
	if p.Upper {
		return math.Sqrt(df / low)
	}
	return math.Pow(high/low, 0.25)
}

// Hit is the share of studies of n athletes whose typical error lies within the factor of
// the true one, P(1/r² <= χ²/df <= r²).
func (p Noise) Hit(n int) float64 {
	df := float64(n-1) * float64(p.Sessions-1)
	return dist.ChiSquareCDF(df*p.Ratio*p.Ratio, df) - dist.ChiSquareCDF(df/(p.Ratio*p.Ratio), df)
}

// A Correlation is the wish for an interval of Pearson's r of a width at most Width.
type Correlation struct {
	Expected float64 // true r, between -1 and 1
	Width    float64 // between 0 and 2
	Level    float64
}

// Plan returns the smallest n with which Fisher's interval, tanh(z ∓ h), h = z(1-α/2)/√(n-3),
// is at most Width wide in [Assurance] of studies, z ~ N(artanh ρ, 1/(n-3)). The start value
// is that of Bonett & Wright, whose width is reached in about half of studies. The curve is
// the width reached in Assurance of studies.
//
// Source: Bonett DG, Wright TA (2000), Psychometrika 65:23-28.
func (p Correlation) Plan() (Plan, error) {
	if err := first(within("the expected r", p.Expected, -1, 1), within("the width", p.Width, 0, 2),
		within("the level", p.Level, 0, 1)); err != nil {
		return Plan{}, err
	}
	n, err := smallest(5, func(n int) bool { return p.Chance(n) >= Assurance })
	if err != nil {
		return Plan{}, err
	}
	out := Plan{Athletes: n, Start: p.Start(), Reached: p.Chance(n), Before: p.Chance(n - 1)}
	for _, m := range around(6, n) {
		out.Curve = append(out.Curve, Point{float64(m), p.assured(m)})
	}
	return out, nil
}

// Start is the number of the second stage of Bonett & Wright.
func (p Correlation) Start() float64 {
	z := dist.NormalQuantile((1 + p.Level) / 2)
	b := 1 - p.Expected*p.Expected
	n := math.Ceil(4*b*b*(z/p.Width)*(z/p.Width) + 3)
	if n < 10 {
		n = 10
	}
	w := p.width(math.Atanh(p.Expected), n)
	return (n-3)*(w/p.Width)*(w/p.Width) + 3
}

func (p Correlation) width(z, n float64) float64 {
	h := dist.NormalQuantile((1+p.Level)/2) / math.Sqrt(n-3)
	return math.Tanh(z+h) - math.Tanh(z-h)
}

// Chance is the share of studies of n athletes whose interval is at most Width wide: the
// further r from 0, the narrower.
func (p Correlation) Chance(n int) float64 {
	if n < 5 {
		return 0
	}
	if p.width(0, float64(n)) <= p.Width {
		return 1
	}
	edge := bisect(func(z float64) float64 { return p.width(z, float64(n)) }, p.Width, 0, 20)
	root, zeta := math.Sqrt(float64(n-3)), math.Atanh(p.Expected)
	return dist.NormalCDF((zeta-edge)*root) + dist.NormalCDF((-edge-zeta)*root)
}

func (p Correlation) assured(n int) float64 {
	return bisect(func(w float64) float64 {
		q := p
		q.Width = w
		return Assurance - q.Chance(n)
	}, 0, 1e-6, 2)
}
