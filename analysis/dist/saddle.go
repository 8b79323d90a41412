package dist

import "math"

// The factors in front of the beta and gamma integrals are products of huge
// and tiny numbers. Following Loader C (2000), Fast and accurate computation
// of binomial probabilities, they are written as exp of two small parts that
// are each accurate by themselves: stirling, what Stirling's formula leaves of
// log Γ, and deviance, which vanishes where the density has its peak.

// stirling returns log Γ(a) - (a - ½) log a + a - ½ log 2π.
func stirling(a float64) float64 {
	shift := 0.0
	for a < 10 {
		shift += float64((a+0.5)*math.Log1p(1/a)) - 1
		a++
	}
	s := 1 / (a * a)
	series := 1.0/156 - float64(s*3617/122400)
	for _, c := range [...]float64{-691.0 / 360360, 1.0 / 1188, -1.0 / 1680, 1.0 / 1260, -1.0 / 360, 1.0 / 12} {
		series = c + float64(s*series)
	}
	return shift + series/a
}

// deviance returns x log(x/m) + m - x, which is 0 at x = m.
func deviance(x, m float64) float64 {
	if !(math.Abs(x-m) < 0.1*(x+m)) {
		return float64(x*logRatio(x, m)) + m - x
	}
	v := (x - m) / (x + m)
	sum := float64((x - m) * v)
	term, square := float64(2*x*v), float64(v*v)
	for j := 3.0; ; j += 2 {
		term *= square
		next := sum + term/j
		if next == sum {
			return sum
		}
		sum = next
	}
}

// logRatio returns log(x/m), also where x/m over- or underflows.
func logRatio(x, m float64) float64 {
	if r := x / m; r > 0 && !math.IsInf(r, 1) {
		return math.Log(r)
	}
	fx, ex := math.Frexp(x)
	fm, em := math.Frexp(m) // exact, where Log of a subnormal number is not on every processor
	return math.Log(fx) - math.Log(fm) + float64(float64(ex-em)*math.Ln2)
}
