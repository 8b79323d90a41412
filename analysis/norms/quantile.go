package norms

import (
	"fmt"
	"math"
	"slices"

	"noisefloor/analysis/estimate"
	"noisefloor/analysis/rank"
)

// OrderStatistics is the kind of an interval that lies between two of the scores.
const OrderStatistics estimate.Kind = "order-statistics"

// Quantile returns the quantile p of a group's scores, type 8 of Hyndman & Fan (1996),
// which is close to median-unbiased for any distribution, with limits that are scores
// themselves: of x(1) <= ... <= x(n) the limits are x(r) and x(s), r the largest with
//
//	P(B <= r-1) <= (1-level)/2
//
// and s the smallest with P(B >= s) <= (1-level)/2, B binomial (n, p). The interval holds
// the quantile of the population, whatever its distribution, at the level that is printed
// with it, P(r <= B <= s-1), which is level or more. Where no score lies so far out there
// is no interval (estimate.TooFew): at 95 % the median needs 6 scores, quartiles 13, the
// 10th and 90th 36, the 5th and 95th 72. It is never interpolated past the extremes. The
// result has the unit of the scores, which are not modified.
//
// Quantile fails with [ErrTooFew] without scores, [ErrScore] where one is no finite
// number, and [ErrLevel] where level or p is not between 0 and 1.
//
// Sources: Hyndman RJ, Fan Y (1996), The American Statistician 50:361-365; Thompson WR
// (1936), Annals of Mathematical Statistics 7:122-128 (limits by order statistics; from
// memory).
func Quantile(scores []float64, p, level float64) (estimate.Estimate, error) {
	if !(level > 0 && level < 1) || !(p > 0 && p < 1) {
		return estimate.Estimate{}, fmt.Errorf("%w: level %g, quantile %g", ErrLevel, level, p)
	}
	if len(scores) == 0 {
		return estimate.Estimate{}, ErrTooFew
	}
	for _, y := range scores {
		if math.IsNaN(y) || math.IsInf(y, 0) {
			return estimate.Estimate{}, fmt.Errorf("%w: %g", ErrScore, y)
		}
	}
	sorted := slices.Sorted(slices.Values(scores))
	value := rank.Quantile(sorted, p, 8)
	r, s, attained := places(len(sorted), p, level)
	if r < 1 || s > len(sorted) {
		return estimate.Bare(value, estimate.TooFew), nil
	}
	return estimate.Estimate{Value: value, Lower: sorted[r-1], Upper: sorted[s-1], Level: attained,
		Kind: OrderStatistics}, nil
}

// places are those of the limits among n scores, from 1, and the level that they attain;
// 0 and n+1 where there is none.
func places(n int, p, level float64) (r, s int, attained float64) {
	tail := (1 - level) / 2
	at := binomial(n, p)
	below, above := 0.0, 0.0
	for r = 0; r < n && below+at[r] <= tail; r++ {
		below += at[r]
	}
	for s = n + 1; s > 1 && above+at[s-1] <= tail; s-- {
		above += at[s-1]
	}
	return r, s, 1 - below - above
}

// binomial are the probabilities of 0 to n.
func binomial(n int, p float64) []float64 {
	out := make([]float64, n+1)
	all, _ := math.Lgamma(float64(n + 1))
	for k := range out {
		a, _ := math.Lgamma(float64(k + 1))
		b, _ := math.Lgamma(float64(n - k + 1))
		out[k] = math.Exp(all - a - b + float64(float64(k)*math.Log(p)) + float64(float64(n-k)*math.Log1p(-p)))
	}
	return out
}
