// Package multiplicity adjusts p values for the size of the family that was
// looked at.
package multiplicity

import (
	"cmp"
	"math"
	"slices"
)

// Holm returns the p values adjusted for the family-wise error rate: the
// chance of even one false alarm in the family. For the m values in rising
// order p(1) <= ... <= p(m), the step-down adjusted values are
//
//	adj(i) = max over j <= i of min(1, (m - j + 1) p(j))
//
// The result is in the order of p, which is not modified. NaN, and anything
// outside [0, 1], comes back as NaN and is not counted in m.
//
// Source: Holm S (1979). A simple sequentially rejective multiple test
// procedure. Scandinavian Journal of Statistics 6:65-70.
func Holm(p []float64) []float64 {
	adjusted, order := family(p)
	running := 0.0
	for i, at := range order {
		running = max(running, min(1, float64(len(order)-i)*p[at]))
		adjusted[at] = running
	}
	return adjusted
}

// BenjaminiHochberg returns the p values adjusted for the false discovery
// rate: the expected share of false alarms among what is called real. For the
// m values in rising order p(1) <= ... <= p(m), the step-up adjusted values are
//
//	adj(i) = min over j >= i of min(1, m p(j) / j)
//
// It holds for independent tests and for the usual positive dependence. The
// result is in the order of p, which is not modified. NaN, and anything
// outside [0, 1], comes back as NaN and is not counted in m.
//
// Source: Benjamini Y, Hochberg Y (1995). Controlling the false discovery
// rate. Journal of the Royal Statistical Society B 57:289-300.
func BenjaminiHochberg(p []float64) []float64 {
	adjusted, order := family(p)
	running := 1.0
	for i, at := range slices.Backward(order) {
		running = min(running, p[at]*(float64(len(order))/float64(i+1)))
		adjusted[at] = running
	}
	return adjusted
}

// family returns a result filled with NaN and the positions of the p values
// that count, smallest p first, equal ones in the order given.
func family(p []float64) (adjusted []float64, order []int) {
	adjusted = make([]float64, len(p))
	for i, v := range p {
		adjusted[i] = math.NaN()
		if v >= 0 && v <= 1 {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(p[a], p[b]) })
	return adjusted, order
}
