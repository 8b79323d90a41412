package varcomp

import "math"

// A square is a dense square matrix, row by row, of the size of the fixed means.
type square struct {
	n int
	x []float64
}

func newSquare(n int) square { return square{n, make([]float64, n*n)} }

func (a square) at(i, j int) float64     { return a.x[i*a.n+j] }
func (a square) add(i, j int, v float64) { a.x[i*a.n+j] += v }

// addBoth adds v above and below the diagonal.
func (a square) addBoth(i, j int, v float64) {
	a.add(i, j, v)
	a.add(j, i, v)
}

// between returns x'a z, where x and z are 1 in the first place and in place i
// and j: the rows of the fixed columns for sessions i and j.
func (a square) between(i, j int) float64 {
	s := a.at(0, 0)
	if i > 0 {
		s += a.at(i, 0)
	}
	if j > 0 {
		s += a.at(0, j)
	}
	if i > 0 && j > 0 {
		s += a.at(i, j)
	}
	return s
}

func (a square) row(i int) []float64 { return a.x[i*a.n : (i+1)*a.n] }

// cholesky overwrites the lower triangle of a, symmetric, with L, a = L L', and
// returns ln|a|; ok is false if a is not positive definite.
func (a square) cholesky() (logDet float64, ok bool) {
	for i := range a.n {
		for j := range i + 1 {
			s := a.at(i, j) - dot(a.row(i)[:j], a.row(j)[:j])
			switch {
			case j < i:
				a.x[i*a.n+j] = s / a.at(j, j)
			case !(s > 0):
				return 0, false
			default:
				a.x[i*a.n+i] = math.Sqrt(s)
				logDet += math.Log(s)
			}
		}
	}
	return logDet, !math.IsInf(logDet, 0)
}

// solve returns the solution of L L' x = b, where a holds L. It overwrites b.
func (a square) solve(b []float64) []float64 {
	for i := range a.n {
		b[i] = (b[i] - dot(a.row(i)[:i], b[:i])) / a.at(i, i)
	}
	for i := a.n - 1; i >= 0; i-- {
		for l := i + 1; l < a.n; l++ {
			b[i] -= float64(a.at(l, i) * b[l])
		}
		b[i] /= a.at(i, i)
	}
	return b
}

// inverse returns (L L')⁻¹, where a holds L.
func (a square) inverse() square {
	out := newSquare(a.n)
	for i := range a.n {
		out.row(i)[i] = 1
		a.solve(out.row(i)) // symmetric: rows are columns
	}
	return out
}

// times returns a b.
func (a square) times(b square) square {
	out := newSquare(a.n)
	for i := range a.n {
		for l := range a.n {
			v, to := a.at(i, l), out.row(i)
			for j, w := range b.row(l) {
				to[j] += float64(v * w)
			}
		}
	}
	return out
}

// traceOf returns tr(a b).
func traceOf(a, b square) float64 {
	t := 0.0
	for i := range a.n {
		for j := range a.n {
			t += float64(a.at(i, j) * b.at(j, i))
		}
	}
	return t
}

func dot(a, b []float64) float64 {
	s := 0.0
	for i, v := range a {
		s += float64(v * b[i])
	}
	return s
}

// triangle overwrites the matrix x of n >= k rows and k columns, row by row,
// by the R of its QR decomposition (Householder 1958) and returns its k rows.
// x'x does not change, so nor does any quadratic form summed over rows.
func triangle(x []float64, k int) []float64 {
	n := len(x) / k
	sums := make([]float64, k)
	for j := range k {
		largest := 0.0
		for i := j; i < n; i++ {
			largest = max(largest, math.Abs(x[i*k+j]))
		}
		if largest == 0 {
			continue
		}
		norm := 0.0
		for i := j; i < n; i++ {
			v := x[i*k+j] / largest
			norm += float64(v * v)
		}
		norm = math.Copysign(largest*math.Sqrt(norm), x[j*k+j])
		// The reflection vector is column j with norm added to its head.
		head := x[j*k+j] + norm
		clear(sums)
		for l := j + 1; l < k; l++ {
			sums[l] = float64(head * x[j*k+l])
		}
		for i := j + 1; i < n; i++ {
			for l := j + 1; l < k; l++ {
				sums[l] += float64(x[i*k+j] * x[i*k+l])
			}
		}
		for l := j + 1; l < k; l++ {
			sums[l] /= float64(head * norm)
			x[j*k+l] -= float64(sums[l] * head)
		}
		for i := j + 1; i < n; i++ {
			for l := j + 1; l < k; l++ {
				x[i*k+l] -= float64(sums[l] * x[i*k+j])
			}
			x[i*k+j] = 0
		}
		x[j*k+j] = -norm
	}
	return x[: k*k : k*k]
}
