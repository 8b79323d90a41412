package association

import "math"

// A gram is the symmetric matrix of sums of products of columns about their
// means, from which columns can be taken out one after the other.
type gram struct {
	s        [][]float64
	original []float64 // diagonal before anything was taken out
}

// singular is the share of a column's sum of squares below which what the
// columns before it leave is taken for rounding: it adds nothing.
const singular = 1e-12

// gramOf returns the sums of the columns where row i counts w[i] times. The
// columns should be near mean 0 and of like size.
func gramOf(columns [][]float64, w []float64) gram {
	p := len(columns)
	var n float64
	for _, v := range w {
		n += v
	}
	g := gram{make([][]float64, p), make([]float64, p)}
	sum, weighted := make([]float64, p), make([]float64, len(w))
	for j, c := range columns {
		for i, v := range c {
			weighted[i] = w[i] * v
			sum[j] += weighted[i]
		}
		g.s[j] = make([]float64, p)
		for k := range j + 1 {
			var s float64
			for i, v := range columns[k] {
				s += float64(weighted[i] * v)
			}
			g.s[j][k] = s - sum[j]*sum[k]/n
			g.s[k][j] = g.s[j][k]
		}
		g.original[j] = g.s[j][j]
		if !(g.s[j][j] > rounding*(g.s[j][j]+sum[j]*sum[j]/n)) {
			g.original[j] = 0 // does not vary
		}
	}
	for j, v := range g.original {
		for k := range p {
			if v == 0 {
				g.s[j][k], g.s[k][j] = 0, 0
			}
		}
	}
	return g
}

// out takes column j out of the columns after it: what is left of them after
// regressing on j. A column that does not vary, or of which nothing is left,
// takes nothing.
func (g gram) out(j int) {
	pivot := g.s[j][j]
	if !(pivot > singular*g.original[j]) {
		return
	}
	for a := j + 1; a < len(g.s); a++ {
		along := g.s[j][a] / pivot
		for b := j + 1; b <= a; b++ {
			g.s[a][b] -= float64(along * g.s[j][b])
			g.s[b][a] = g.s[a][b]
		}
	}
}

// r is the correlation of what is left of columns j and k; NaN if nothing is.
func (g gram) r(j, k int) float64 {
	if !(g.s[j][j] > singular*g.original[j] && g.s[k][k] > singular*g.original[k]) {
		return math.NaN()
	}
	return onLine(g.s[j][k]/(math.Sqrt(g.s[j][j])*math.Sqrt(g.s[k][k])), rounding)
}

// partialR returns the partial correlation of complete columns x and y with the
// columns z held constant, with the weights.
func partialR(x, y []float64, z []series) (weighed, error) {
	basis, err := orthonormal(z)
	if err != nil {
		return nil, err
	}
	columns := append(basis, centre(x).d, centre(y).d)
	q := len(basis)
	return func(w, _ []float64) float64 {
		g := gramOf(columns, w)
		for j := range q {
			g.out(j)
		}
		return g.r(q, q+1)
	}, nil
}
