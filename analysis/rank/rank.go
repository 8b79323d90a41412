// Package rank holds mid-ranks and the sample quantiles of all nine
// definitions in use.
package rank

import (
	"cmp"
	"math"
	"slices"
)

// Mid returns the ranks of x from 1, smallest value first. Equal values share
// the mean of the ranks they cover, so the ranks of n values always sum to
// n(n+1)/2. A NaN has rank NaN and is not counted. x is not modified.
//
// Values are equal when they differ by no more than 1e-12 of their size: two
// athletes with the same attempts in another order have means that differ in the
// last bit.
func Mid(x []float64) []float64 {
	ranks := make([]float64, len(x))
	order := make([]int, 0, len(x))
	for i, v := range x {
		if math.IsNaN(v) {
			ranks[i] = math.NaN()
			continue
		}
		order = append(order, i)
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(x[a], x[b]) })
	for from := 0; from < len(order); {
		to := from + 1
		for to < len(order) && Tied(x[order[to]], x[order[from]]) {
			to++
		}
		shared := float64(from+1+to) / 2
		for _, at := range order[from:to] {
			ranks[at] = shared
		}
		from = to
	}
	return ranks
}

// Tied reports whether two values count as equal, as [Mid] has it.
func Tied(a, b float64) bool {
	return a == b || math.Abs(a-b) <= 1e-12*max(math.Abs(a), math.Abs(b)) && !math.IsInf(a, 0) && !math.IsInf(b, 0)
}
