package noise

import "math"

// Covary returns the covariance of the errors of two measures from the sessions of
// a noise study,
//
//	S = sum of e_ij f_ij / ((n-1)(k-1))
//
// where e and f are what athletes and sessions leave over in each measure, x_ij less
// the mean of athlete i and the mean of session j plus the grand mean. With two
// sessions it is the covariance of the differences, halved. a and b are scores of
// the same athletes in the same k sessions, row-major, on the scales wanted, NaN
// where missing; athletes without all scores are left out. With a = b it is the
// squared typical error. The covariance is NaN, on 0 df, below 2 athletes or
// sessions.
func Covary(a, b []float64, k int) (covariance, df float64, athletes int) {
	var rows []int
	if k > 0 {
		for i := range len(a) / k {
			whole := true
			for j := i * k; j < (i+1)*k; j++ {
				whole = whole && isFinite(a[j]) && isFinite(b[j])
			}
			if whole {
				rows = append(rows, i)
			}
		}
	}
	n := len(rows)
	if n < 2 || k < 2 {
		return math.NaN(), 0, n
	}
	e, f := residuals(a, rows, k), residuals(b, rows, k)
	sum := 0.0
	for i := range e {
		sum += float64(e[i] * f[i])
	}
	df = float64(n-1) * float64(k-1)
	return sum / df, df, n
}

// residuals of the rows given, by two passes.
func residuals(x []float64, rows []int, k int) []float64 {
	n := len(rows)
	column, grand := make([]float64, k), 0.0
	mean := make([]float64, n)
	for at, i := range rows {
		for j := range k {
			v := x[i*k+j]
			mean[at] += v / float64(k)
			column[j] += v / float64(n)
			grand += v / float64(n*k)
		}
	}
	out := make([]float64, 0, n*k)
	for at, i := range rows {
		for j := range k {
			out = append(out, (x[i*k+j]-mean[at])-(column[j]-grand))
		}
	}
	return out
}

func isFinite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
