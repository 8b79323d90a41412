// Package linear fits the linear model with an intercept by least squares, and
// says how well it predicts someone it has not seen.
package linear

import (
	"errors"
	"fmt"
	"math"

	"noisefloor/analysis/compensated"
)

// Errors that callers test with errors.Is.
var (
	ErrTooFew    = errors.New("too few rows for the columns")
	ErrNonFinite = errors.New("not a finite number")
	ErrLength    = errors.New("columns of different length")
	ErrConstant  = errors.New("the same value in every row")
	ErrCollinear = errors.New("a combination of the other columns")
)

// A ColumnError says which column a model cannot use; Column counts the
// columns of x from 0 and is -1 for y.
type ColumnError struct {
	Column int
	Err    error
}

func (e *ColumnError) Error() string {
	if e.Column < 0 {
		return fmt.Sprintf("y: %v", e.Err)
	}
	return fmt.Sprintf("column %d: %v", e.Column+1, e.Err)
}

// Unwrap returns the reason.
func (e *ColumnError) Unwrap() error { return e.Err }

// A Fit is the outcome of [LeastSquares].
type Fit struct {
	N  int
	DF float64 // N - p - 1, for p columns

	Intercept, InterceptSE float64   // unit of y
	Slope, SlopeSE         []float64 // unit of y for one unit of the column

	SSTotal    float64 // Σ (y - mean)²
	SSModel    float64
	SSResidual float64
	RSquared   float64 // 1 - SSResidual/SSTotal
	Adjusted   float64 // 1 - (SSResidual/DF)/(SSTotal/(N-1))
	ResidualSD float64 // √(SSResidual/DF), unit of y

	Residual []float64 // y less what the model fits
	Leverage []float64 // diagonal of the hat matrix
	// Alone lists the rows of leverage 1: the model fits them whatever their y,
	// and says nothing about them once they are left out.
	Alone []int

	// PRESS is Σ (residual/(1 - leverage))², the squared errors of predicting
	// each row from all others. RSquaredLOO sets it against those of predicting
	// each row by the mean of all others,
	//
	//	1 - PRESS / Σ (y - mean of the others)²
	//
	// so that a model without columns has 0 and a useless one is below 0.
	// PredictionSD is √(PRESS/N), in the unit of y. All are NaN when Alone is
	// not empty.
	PRESS, RSquaredLOO, PredictionSD float64

	// Condition is the ratio of the largest to the smallest singular value of
	// the columns, each centred and scaled to length 1; 1 without columns.
	Condition float64

	scale   []float64   // SD of each column
	gram    [][]float64 // correlations of the columns
	inverse [][]float64 // and their inverse

	orthonormal [][]float64
}

// leastLeft is the share of a centred column's length below which what other
// columns leave of it is taken for rounding.
const leastLeft = 1e-11

// alone is the distance from leverage 1 that is taken for rounding.
const alone = 1e-12

// LeastSquares fits y = b0 + Σ b_j x_j, where x holds one slice for each
// column. Without columns it is the mean.
//
// The columns are centred and made orthogonal (modified Gram-Schmidt, which is
// the QR decomposition) with 32 decimal digits, so that columns which nearly
// determine one another cost no digits; the results are rounded once. y and x
// are not modified.
//
// The errors are [ErrLength], [ErrTooFew] below p+2 rows, and, inside a
// [*ColumnError], [ErrNonFinite], [ErrConstant], and [ErrCollinear] for a
// column of which the columns before it leave less than 1e-11.
//
// Sources: Björck Å (1967). Solving linear least squares problems by
// Gram-Schmidt orthogonalization. BIT 7:1-21. Allen DM (1974). The
// relationship between variable selection and data augmentation and a method
// for prediction. Technometrics 16:125-127 (PRESS).
func LeastSquares(y []float64, x [][]float64) (Fit, error) {
	if err := check(y, x); err != nil {
		return Fit{}, err
	}
	b, err := orthogonalise(y, x)
	if err != nil {
		return Fit{}, err
	}
	f := Fit{N: len(y), DF: float64(len(y) - len(x) - 1)}
	b.sums(&f)
	b.coefficients(&f)
	b.relations(&f)
	b.prediction(&f)
	return f, nil
}

func check(y []float64, x [][]float64) error {
	for j := -1; j < len(x); j++ {
		c := y
		if j >= 0 {
			c = x[j]
		}
		if len(c) != len(y) {
			return fmt.Errorf("%w: y has %d values, column %d has %d", ErrLength, len(y), j+1, len(c))
		}
		for i, v := range c {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return &ColumnError{j, fmt.Errorf("row %d: %w: %g", i+1, ErrNonFinite, v)}
			}
		}
	}
	if need := len(x) + 2; len(y) < need {
		return fmt.Errorf("%w: have %d rows, need %d for %d columns", ErrTooFew, len(y), need, len(x))
	}
	return nil
}

// A column is a centred column of x or y times 2^-exponent.
type column struct {
	d        []compensated.Number
	mean     compensated.Number
	exponent int
	square   compensated.Number // Σ d² before anything was taken from it
}

// centre returns the deviations of x from its mean.
func centre(x []float64) (column, error) {
	largest := 0.0
	for _, v := range x {
		largest = max(largest, math.Abs(v))
	}
	c := column{d: make([]compensated.Number, len(x))}
	_, c.exponent = math.Frexp(largest)
	varies := false
	var sum compensated.Number
	for i, v := range x {
		v = math.Ldexp(v, -c.exponent)
		c.d[i] = compensated.Of(v)
		sum = sum.Plus(v)
		varies = varies || math.Abs(v-c.d[0].Float()) > 0x1p-50
	}
	if !varies {
		return c, ErrConstant
	}
	c.mean = sum.Over(float64(len(x)))
	for i := range c.d {
		c.d[i] = c.d[i].Sub(c.mean)
	}
	c.square = dot(c.d, c.d)
	return c, nil
}

func dot(a, b []compensated.Number) compensated.Number {
	var s compensated.Number
	for i := range a {
		s = s.Add(a[i].Mul(b[i]))
	}
	return s
}

// A basis is the decomposition X = V U: orthogonal columns V and a unit upper
// triangular U, with y along V and what is left of it.
type basis struct {
	y       column                 // y.d is the residual
	columns []column               // d are the columns of V
	length  []compensated.Number   // Σ v²
	upper   [][]compensated.Number // upper[j][k], k > j; upper[j][p] is that of y
}

func orthogonalise(y []float64, x [][]float64) (basis, error) {
	p := len(x)
	b := basis{columns: make([]column, p), length: make([]compensated.Number, p), upper: make([][]compensated.Number,
		p)}
	var err error
	if b.y, err = centre(y); err != nil {
		return b, &ColumnError{-1, err}
	}
	for j, c := range x {
		if b.columns[j], err = centre(c); err != nil {
			return b, &ColumnError{j, err}
		}
	}
	for j := range p {
		v := b.columns[j].d
		b.length[j] = dot(v, v)
		if b.length[j].Float() < leastLeft*leastLeft*b.columns[j].square.Float() {
			return b, &ColumnError{j, ErrCollinear}
		}
		b.upper[j] = make([]compensated.Number, p+1)
		for k := j + 1; k <= p; k++ {
			to := b.y.d
			if k < p {
				to = b.columns[k].d
			}
			b.upper[j][k] = dot(v, to).Divided(b.length[j])
			subtract(to, v, b.upper[j][k])
		}
	}
	return b, nil
}

// subtract takes u v from to.
func subtract(to, v []compensated.Number, u compensated.Number) {
	for i := range to {
		to[i] = to[i].Sub(v[i].Mul(u))
	}
}

// sums fills the sums of squares and what follows from them.
func (b basis) sums(f *Fit) {
	unit := func(n compensated.Number) float64 { return math.Ldexp(n.Float(), 2*b.y.exponent) }
	residual := dot(b.y.d, b.y.d)
	var model compensated.Number
	for j, l := range b.length {
		model = model.Add(b.upper[j][len(b.length)].Square().Mul(l))
	}
	f.SSTotal, f.SSModel, f.SSResidual = unit(b.y.square), unit(model), unit(residual)
	share := residual.Divided(b.y.square).Float()
	f.RSquared = 1 - share
	f.Adjusted = 1 - share*float64(f.N-1)/f.DF
	f.ResidualSD = math.Ldexp(math.Sqrt(residual.Float()/f.DF), b.y.exponent)
}

// coefficients solves U b = (y along V) from below.
func (b basis) coefficients(f *Fit) {
	p := len(b.columns)
	slope := make([]compensated.Number, p)
	intercept := b.y.mean
	for j := p - 1; j >= 0; j-- {
		slope[j] = b.upper[j][p]
		for k := j + 1; k < p; k++ {
			slope[j] = slope[j].Sub(b.upper[j][k].Mul(slope[k]))
		}
		intercept = intercept.Sub(slope[j].Mul(b.columns[j].mean))
	}
	f.Intercept = math.Ldexp(intercept.Float(), b.y.exponent)
	for j, s := range slope {
		f.Slope = append(f.Slope, math.Ldexp(s.Float(), b.y.exponent-b.columns[j].exponent))
	}
}

// inverseUpper returns the inverse of U.
func (b basis) inverseUpper() [][]compensated.Number {
	p := len(b.columns)
	out := make([][]compensated.Number, p)
	for j := p - 1; j >= 0; j-- {
		out[j] = make([]compensated.Number, p)
		out[j][j] = compensated.Of(1)
		for k := j + 1; k < p; k++ {
			var s compensated.Number
			for m := j + 1; m <= k; m++ {
				s = s.Sub(b.upper[j][m].Mul(out[m][k]))
			}
			out[j][k] = s
		}
	}
	return out
}
