package association

import "math"

// exactN is the largest n whose n! orders are all looked at (362,880 for 9).
const exactN = 9

// permutationP returns the share of all orders of ry whose Σ rx ry lies as far
// from its mean as the one seen, which orders |r| of the ranks. Mid-ranks are
// multiples of ½, so the sums are exact and ties compare as equal.
func permutationP(rx, ry []float64) float64 {
	n := len(rx)
	centre := float64(n+1) / 2
	p := orders{x: make([]float64, n), y: make([]float64, n)}
	for i := range rx {
		p.x[i], p.y[i] = rx[i]-centre, ry[i]-centre
		p.seen += p.x[i] * p.y[i]
	}
	p.seen = math.Abs(p.seen)
	p.place(0, 0)
	return float64(p.extreme) / float64(p.all)
}

// orders walks the orders of y against x.
type orders struct {
	x, y         []float64
	seen         float64
	extreme, all int
}

// place puts each value not yet used at position i; sum is that of the
// positions before.
func (o *orders) place(i int, sum float64) {
	if i == len(o.x) {
		o.all++
		if math.Abs(sum) >= o.seen {
			o.extreme++
		}
		return
	}
	for j := i; j < len(o.y); j++ {
		o.y[i], o.y[j] = o.y[j], o.y[i]
		o.place(i+1, sum+o.x[i]*o.y[i])
		o.y[i], o.y[j] = o.y[j], o.y[i]
	}
}
