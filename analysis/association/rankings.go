package association

import (
	"cmp"
	"math"
	"slices"

	"noisefloor/analysis/rank"
)

// A ranking is an order made once from which the mid-ranks of any resample
// follow in one pass.
type ranking struct {
	order []int // units, smallest value first
	first []int // where each run of equal values begins in order, and its end
}

func rankingOf(x []float64) ranking {
	r := ranking{order: indices(len(x))}
	slices.SortStableFunc(r.order, func(a, b int) int { return cmp.Compare(x[a], x[b]) })
	for k, i := range r.order {
		if k == 0 || !rank.Tied(x[i], x[r.order[k-1]]) {
			r.first = append(r.first, k)
		}
	}
	r.first = append(r.first, len(x))
	return r
}

// mid writes, for each unit, its mid-rank where unit i occurs w[i] times, less
// the mean of all ranks.
func (r ranking) mid(w, out []float64) {
	var total, before float64
	for _, v := range w {
		total += v
	}
	for k := 1; k < len(r.first); k++ {
		run := r.order[r.first[k-1]:r.first[k]]
		var here float64
		for _, i := range run {
			here += w[i]
		}
		for _, i := range run {
			out[i] = before + here/2 - total/2 // (before + (here+1)/2) - (total+1)/2
		}
		before += here
	}
}

// spearman returns Spearman's r of the columns, which are complete, with the
// weights; NaN where nothing varies.
func spearman(x, y []float64) weighed {
	rx, ry := rankingOf(x), rankingOf(y)
	return func(w, _ []float64) float64 {
		mx, my := make([]float64, len(w)), make([]float64, len(w))
		rx.mid(w, mx)
		ry.mid(w, my)
		var xx, yy, xy float64
		for i, v := range w {
			xx += float64(v * mx[i] * mx[i])
			yy += float64(v * my[i] * my[i])
			xy += float64(v * mx[i] * my[i])
		}
		if xx == 0 || yy == 0 {
			return math.NaN()
		}
		return onLine(xy/(math.Sqrt(xx)*math.Sqrt(yy)), rounding)
	}
}
