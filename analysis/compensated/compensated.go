// Package compensated adds, multiplies and subtracts with about 32 decimal
// digits, twice those of float64, so that a large common offset in the data
// (body mass in grams, times since an epoch) costs a sum of squares nothing.
//
// The error-free transformations are those of Knuth and Møller for sums and
// of the fused multiply-add for products; the arithmetic on pairs follows
// Dekker TJ (1971). A floating-point technique for extending the available
// precision. Numerische Mathematik 18:224-242.
package compensated

import "math"

// A Number is the unevaluated sum of two float64, the second much smaller than
// the first. The zero value is 0. Once an operation overflows the Number is
// NaN or infinite.
type Number struct{ high, low float64 }

// Of returns x as a Number, exactly.
func Of(x float64) Number { return Number{high: x} }

// Product returns x y, exactly while nothing under- or overflows.
func Product(x, y float64) Number {
	p := float64(x * y)
	return Number{p, math.FMA(x, y, -p)}
}

// Sum returns the sum of x.
func Sum(x []float64) Number {
	var s Number
	for _, v := range x {
		s = s.Plus(v)
	}
	return s
}

// Float returns n rounded to float64.
func (n Number) Float() float64 { return n.high + n.low }

// Plus returns n + x.
func (n Number) Plus(x float64) Number {
	s, e := twoSum(n.high, x)
	return normal(s, e+n.low)
}

// Add returns n + m.
func (n Number) Add(m Number) Number {
	s, e := twoSum(n.high, m.high)
	t, f := twoSum(n.low, m.low)
	r := normal(s, e+t)
	return normal(r.high, r.low+f)
}

// Sub returns n - m.
func (n Number) Sub(m Number) Number { return n.Add(Number{-m.high, -m.low}) }

// Times returns n x.
func (n Number) Times(x float64) Number {
	p := Product(n.high, x)
	return normal(p.high, p.low+float64(n.low*x))
}

// Mul returns n m.
func (n Number) Mul(m Number) Number {
	p := Product(n.high, m.high)
	return normal(p.high, p.low+(float64(n.high*m.low)+float64(n.low*m.high)))
}

// Over returns n / x.
func (n Number) Over(x float64) Number {
	q := n.high / x
	rest := n.Sub(Product(q, x))
	return normal(q, rest.Float()/x)
}

// Divided returns n / m.
func (n Number) Divided(m Number) Number {
	q := n.high / m.high
	rest := n.Sub(m.Times(q))
	return normal(q, rest.Float()/m.high)
}

// Square returns n².
func (n Number) Square() Number { return n.Mul(n) }

// twoSum returns a + b rounded, and what the rounding lost.
func twoSum(a, b float64) (sum, lost float64) {
	sum = a + b
	bb := sum - a
	return sum, (a - (sum - bb)) + (b - bb)
}

// normal makes |low| at most half a unit in the last place of high; it needs
// |high| >= |low| or high = 0.
func normal(high, low float64) Number {
	s := high + low
	return Number{s, low - (s - high)}
}
