package retest

import (
	"math"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
)

// A mixture is the belief about one athlete: t distributions of one df.
type mixture struct {
	t                       *tails
	weight, centre, breadth []float64
}

// of is the belief about a change d of relative error g in an arm.
func (b *belief) of(d, g float64, arm int) mixture {
	m := mixture{t: b.t}
	for _, n := range b.nodes {
		keep, lose := n.rho2/(float64(g*g)+n.rho2), g*g/(float64(g*g)+n.rho2)
		m.weight = append(m.weight, n.weight)
		m.centre = append(m.centre, n.mean[arm]+float64(keep*(d-n.mean[arm])))
		m.breadth = append(m.breadth, n.s*math.Sqrt(float64(g*g*keep)+float64(lose*lose*n.inv[arm])))
	}
	return m
}

// above is the chance of a true change above x.
func (m mixture) above(x float64) float64 {
	sum := 0.0
	for i, w := range m.weight {
		sum += float64(w * m.t.above((x-m.centre[i])/m.breadth[i]))
	}
	return sum
}

// chance splits the belief at -w and w.
func (m mixture) chance(w float64) Chance {
	c := Chance{Above: m.above(w), Below: 1 - m.above(-w)}
	c.Within = max(0, 1-c.Above-c.Below)
	return c
}

// estimate is the mean of the belief with the interval that leaves (1-level)/2 on
// each side.
func (m mixture) estimate(level float64) estimate.Estimate {
	e := estimate.Estimate{Level: level, Kind: estimate.Posterior}
	for i, w := range m.weight {
		e.Value += float64(w * m.centre[i])
	}
	t := dist.TQuantile(0.5+level/2, m.t.df)
	e.Lower, e.Upper = m.quantile((1+level)/2, -t), m.quantile((1-level)/2, t)
	return e
}

// quantile is the x that the true change exceeds with chance p; t is the quantile of
// the parts, between whose largest and smallest that of the whole lies. It halves by
// false position (Illinois).
func (m mixture) quantile(p, t float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for i, c := range m.centre {
		at := c + float64(t*m.breadth[i])
		low, high = min(low, at), max(high, at)
	}
	over, under := m.above(low)-p, m.above(high)-p // above and below 0
	for range 60 {
		if high-low < exact*m.breadth[0] {
			break
		}
		x := high - float64(under*(high-low)/(under-over))
		switch f := m.above(x) - p; {
		case math.Abs(f) < exact:
			return x
		case f > 0:
			low, over, under = x, f, under/2
		default:
			high, under, over = x, f, over/2
		}
	}
	return low + (high-low)/2
}

// exact is how near a chance is to the one wanted.
const exact = 1e-10

// tails are the upper tail of Student's t with df degrees of freedom, from a table:
// cubic between points where it and its slope are exact, even in x up to 8 and in log x
// beyond. It is off by less than 1e-9.
type tails struct {
	df        float64
	near, far curve
}

// A curve is values and slopes, these a step of its table wide.
type curve struct{ value, slope []float64 }

// The table ends at some 130,000, beyond which no tail of 6 or more degrees of freedom is
// left.
const (
	nearEnd  = 8
	perUnit  = 64 // points
	farEnd   = 9.75
	perFold  = 40 // points an e-fold
	farSteps = farEnd * perFold
)

func newTails(df float64) *tails {
	t := &tails{df: df}
	for i := range nearEnd*perUnit + 1 {
		x := float64(i) / perUnit
		t.near.add(dist.TCDF(-x, df), -density(x, df)/perUnit)
	}
	for i := range int(farSteps) + 1 {
		x := nearEnd * math.Exp(float64(i)/perFold)
		t.far.add(dist.TCDF(-x, df), -density(x, df)*x/perFold)
	}
	return t
}

func (c *curve) add(value, slope float64) {
	c.value, c.slope = append(c.value, value), append(c.slope, slope)
}

// at is the curve at so many steps from its beginning, 0 past its end.
func (c *curve) at(steps float64) float64 {
	i := int(steps)
	if i >= len(c.value)-1 {
		return 0
	}
	f := steps - float64(i)
	g := 1 - f
	return float64(c.value[i]*float64(1+2*f)*g*g) + float64(c.slope[i]*f*g*g) +
		float64(c.value[i+1]*float64(1+2*g)*f*f) - float64(c.slope[i+1]*g*f*f)
}

// density is that of Student's t,
//
//	Γ((ν+1)/2) / (sqrt(νπ) Γ(ν/2)) (1 + x²/ν)^(-(ν+1)/2)
//
// and from 1e6 degrees of freedom on the normal one, which is off by less than 1e-6
// of itself where there is any of it.
func density(x, df float64) float64 {
	if df > 1e6 {
		return math.Exp(-x*x/2) / math.Sqrt(2*math.Pi)
	}
	top, _ := math.Lgamma((df + 1) / 2)
	bottom, _ := math.Lgamma(df / 2)
	return math.Exp(top-bottom-float64((df+1)/2*math.Log1p(x*x/df))) / math.Sqrt(df*math.Pi)
}

// above returns P(T > x).
func (t *tails) above(x float64) float64 {
	switch {
	case x < 0:
		return 1 - t.above(-x)
	case x < nearEnd:
		return t.near.at(x * perUnit)
	case math.IsInf(x, 1):
		return 0
	}
	return t.far.at(math.Log(x/nearEnd) * perFold)
}
