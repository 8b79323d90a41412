package association

import (
	"math"
	"slices"
)

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

// leastP is the share of the n! orders of y that leave r as it is because values
// are tied: the orders inside the ties of x, or of y, whichever are more. At
// r = ±1 the reverse is as extreme, and the share is that of both. Where it is
// too small for a float64 it is the smallest one.
func leastP(r float64, rx, ry []float64) float64 {
	log := max(logOrdersOfTies(rx), logOrdersOfTies(ry)) - logFactorial(len(rx))
	if math.Abs(r) == 1 {
		log += math.Ln2
	}
	return max(math.Exp(log), math.SmallestNonzeroFloat64)
}

// logOrdersOfTies is the logarithm of the number of orders inside the ties.
func logOrdersOfTies(ranks []float64) float64 {
	sorted := slices.Sorted(slices.Values(ranks))
	var sum float64
	run := 1
	for i := 1; i <= len(sorted); i++ {
		if i < len(sorted) && sorted[i] == sorted[i-1] {
			run++
			continue
		}
		sum += logFactorial(run)
		run = 1
	}
	return sum
}

func logFactorial(n int) float64 {
	v, _ := math.Lgamma(float64(n) + 1)
	return v
}
