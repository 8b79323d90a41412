package anova

import (
	"fmt"
	"math"

	"noisefloor/analysis/compensated"
)

// A TwoWay is the analysis of a complete table with one value per cell: N rows
// (athletes) by K columns (sessions).
type TwoWay struct {
	N, K               int
	GrandMean          float64
	RowMeans, ColMeans []float64 // len N and len K

	SSRows, SSCols, SSError, SSWithin float64 // sums of squares; SSWithin = SSCols + SSError
	MSR, MSC, MSE, MSW                float64 // mean squares: rows, columns, residual, within rows
	DFRows, DFCols, DFError, DFWithin float64 // N-1, K-1, (N-1)(K-1), N(K-1)
}

// AnalyseTwoWay analyses a complete table of n rows and k columns, y row by
// row. With row means r_i, column means c_j and grand mean M,
//
//	SSRows   = k Σ (r_i - M)²                  DFRows   = n-1
//	SSCols   = n Σ (c_j - M)²                  DFCols   = k-1
//	SSError  = Σ Σ (y_ij - r_i - c_j + M)²     DFError  = (n-1)(k-1)
//	SSWithin = Σ Σ (y_ij - r_i)²               DFWithin = n(k-1)
//
// A table of whole numbers without residual has SSError exactly 0. y is not
// modified.
//
// It fails with [ErrTooFew] if n or k is below 2, with [ErrRagged] if y does
// not hold n k values, with [ErrNonFinite] on a NaN or ±Inf (a table with a
// missing score is not complete), and with [ErrOverflow] if the sums exceed
// float64.
//
// Source: Shrout PE, Fleiss JL (1979). Intraclass correlations: uses in
// assessing rater reliability. Psychological Bulletin 86:420-428, table 1.
func AnalyseTwoWay(y []float64, n, k int) (TwoWay, error) {
	if n < 2 || k < 2 {
		return TwoWay{}, fmt.Errorf("%w: %d rows by %d columns, need 2 by 2", ErrTooFew, n, k)
	}
	if len(y)/n != k || len(y)%n != 0 {
		return TwoWay{}, fmt.Errorf("%w: %d values for %d rows by %d columns", ErrRagged, len(y), n, k)
	}
	for i, v := range y {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return TwoWay{}, fmt.Errorf("%w: row %d, column %d is %g", ErrNonFinite, i/k+1, i%k+1, v)
		}
	}
	r := TwoWay{N: n, K: k}
	r.fill(y, marginsOf(y, n, k))
	if !finite(r.SSRows, r.SSCols, r.SSError, r.SSWithin, r.GrandMean) {
		return TwoWay{}, ErrOverflow
	}
	return r, nil
}

// margins are the sums of a table: by row, by column and of everything.
type margins struct {
	row, col []compensated.Number
	all      compensated.Number
}

func marginsOf(y []float64, n, k int) margins {
	m := margins{row: make([]compensated.Number, n), col: make([]compensated.Number, k)}
	for i, v := range y {
		m.row[i/k] = m.row[i/k].Plus(v)
		m.col[i%k] = m.col[i%k].Plus(v)
	}
	for _, s := range m.row {
		m.all = m.all.Add(s)
	}
	return m
}

// fill works on whole multiples of the deviations (n k times the residual and
// so on), which are exact for whole numbers, and divides last.
func (r *TwoWay) fill(y []float64, m margins) {
	n, k := float64(r.N), float64(r.K)
	var rows, cols, residual, within compensated.Number
	for _, s := range m.row {
		rows = rows.Add(square(s.Times(n).Sub(m.all)))
		r.RowMeans = append(r.RowMeans, s.Over(k).Float())
	}
	ofCol := make([]compensated.Number, r.K) // n k (c_j - M)
	for j, s := range m.col {
		ofCol[j] = s.Times(k).Sub(m.all)
		cols = cols.Add(square(ofCol[j]))
		r.ColMeans = append(r.ColMeans, s.Over(n).Float())
	}
	for at, v := range y {
		fromRow := compensated.Product(k, v).Sub(m.row[at/r.K]) // k (y - r_i)
		within = within.Add(square(fromRow))
		residual = residual.Add(square(fromRow.Times(n).Sub(ofCol[at%r.K])))
	}
	r.GrandMean = m.all.Over(n * k).Float()
	r.SSRows = rows.Over(n * n * k).Float()
	r.SSCols = cols.Over(n * k * k).Float()
	r.SSError = residual.Over(n * k).Over(n * k).Float()
	r.SSWithin = within.Over(k * k).Float()
	r.DFRows, r.DFCols = n-1, k-1
	r.DFError, r.DFWithin = (n-1)*(k-1), n*(k-1)
	r.MSR, r.MSC = r.SSRows/r.DFRows, r.SSCols/r.DFCols
	r.MSE, r.MSW = r.SSError/r.DFError, r.SSWithin/r.DFWithin
}

// square returns d², d rounded to float64: the sum of squares keeps all the
// digits it is rounded to in the end.
func square(d compensated.Number) compensated.Number {
	x := d.Float()
	return compensated.Product(x, x)
}
