package association

import (
	"fmt"
	"math"
)

// Partial returns the correlation of x and y with the q columns of z held
// constant: the correlation of what is left of x and of y after regressing
// each on z with an intercept. z holds one slice for each covariate.
//
// The p value is that of t = r √(df/(1-r²)) with df = n-q-2, the interval
// tanh(atanh r ± z/√(n-q-3)); with n-q-3 = 0 there is no interval. Without
// columns in z it is [Pearson]. The arguments are not modified.
//
// The regressions use orthogonal columns (Gram-Schmidt, applied twice). A
// covariate of which less than 1e-7 is left once those before it are allowed
// for is an error that wraps [ErrCollinear] and says which; so is an x or y
// that the covariates determine. Other errors are those of [Pearson], with
// [ErrTooFew] below max(4, q+3) values.
//
// Source: Fisher RA (1924). The distribution of the partial correlation
// coefficient. Metron 3:329-332.
func Partial(x, y []float64, z [][]float64, level float64) (Correlation, error) {
	level, err := confidence(level)
	if err != nil {
		return missing(len(x), reasonOf(err)), err
	}
	columns := make([]series, len(z))
	for i, c := range z {
		columns[i] = series{fmt.Sprintf("covariate %d", i+1), c}
	}
	return partial(series{"x", x}, series{"y", y}, columns, level)
}

func partial(x, y series, z []series, level float64) (Correlation, error) {
	n, q := len(x.x), len(z)
	if err := check(max(minN, q+3), append([]series{x, y}, z...)...); err != nil {
		return missing(n, reasonOf(err)), err
	}
	basis, err := orthonormal(z)
	if err != nil {
		return missing(n, reasonOf(err)), err
	}
	var left [2][]float64
	for i, s := range []series{x, y} {
		if left[i], err = residual(s, basis); err != nil {
			return missing(n, reasonOf(err)), err
		}
	}
	return fromR(cosine(left[0], left[1]), n, q, level), nil
}

// orthonormal returns columns of length 1, at right angles to each other and
// to the intercept, that span the columns of z.
func orthonormal(z []series) ([][]float64, error) {
	basis := make([][]float64, 0, len(z))
	for _, c := range z {
		e, err := residual(c, basis)
		if err != nil {
			return nil, err
		}
		length := norm(e)
		for i := range e {
			e[i] /= length
		}
		basis = append(basis, e)
	}
	return basis, nil
}

// residual returns the deviations of s less their part along basis.
func residual(s series, basis [][]float64) ([]float64, error) {
	const least = 1e-7 // of the column; the tolerance of R's lm
	e := centre(s.x).d
	before := norm(e)
	for range 2 { // the second pass removes what rounding left
		for _, b := range basis {
			along := crossProduct(e, b)
			for i := range e {
				e[i] -= float64(along * b[i])
			}
		}
	}
	if norm(e) < least*before {
		return nil, fmt.Errorf("%s: %w", s.name, ErrCollinear)
	}
	return e, nil
}

func norm(e []float64) float64 { return math.Sqrt(crossProduct(e, e)) }
