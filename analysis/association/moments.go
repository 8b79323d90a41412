package association

import (
	"errors"
	"fmt"
	"math"

	"noisefloor/analysis/compensated"
)

// Errors that callers test with errors.Is.
var (
	ErrTooFew    = errors.New("too few athletes")
	ErrConstant  = errors.New("the same value for every athlete")
	ErrNonFinite = errors.New("not a finite number")
	ErrLength    = errors.New("columns of different length")
	ErrCollinear = errors.New("a combination of the other columns")
	ErrLevel     = errors.New("the confidence level must lie between 0 and 1")
)

// minN is the fewest athletes that give a correlation: one more than the
// three at which Fisher's standard error 1/√(n-3) is infinite.
const minN = 4

// deviations are the values of a column less their mean, times 2^-exponent
// so that no sum of squares can over- or underflow.
type deviations struct {
	d        []float64
	exponent int
}

// centre returns the deviations of x from its mean. The mean is a compensated
// sum, so that a large common offset costs no digits. x is not modified.
func centre(x []float64) deviations {
	before := scale(x)
	d := make([]float64, len(x))
	for i, v := range x {
		d[i] = math.Ldexp(v, -before)
	}
	mean := compensated.Sum(d).Over(float64(len(d))).Float()
	for i := range d {
		d[i] -= mean
	}
	after := scale(d)
	for i := range d {
		d[i] = math.Ldexp(d[i], -after)
	}
	return deviations{d, before + after}
}

// scale returns the binary exponent of the largest |x|.
func scale(x []float64) int {
	largest := 0.0
	for _, v := range x {
		largest = max(largest, math.Abs(v))
	}
	_, e := math.Frexp(largest)
	return e
}

// crossProduct returns Σ a b less the product of the (nearly zero) sums over n:
// the second pass of the corrected two-pass algorithm.
func crossProduct(a, b []float64) float64 {
	var ab, sa, sb float64
	for i := range a {
		ab += float64(a[i] * b[i])
		sa += a[i]
		sb += b[i]
	}
	return ab - float64(sa*sb)/float64(len(a))
}

// cosine returns Σab/√(Σa²Σb²), which is r for deviations and for residuals.
// A value within rounding of ±1 is ±1: points on a line.
func cosine(a, b []float64) float64 {
	r := crossProduct(a, b) / (math.Sqrt(crossProduct(a, a)) * math.Sqrt(crossProduct(b, b)))
	if math.Abs(r) > 1-1e-15 {
		return math.Copysign(1, r)
	}
	return r
}

// constant reports whether x does not vary beyond the rounding of its values:
// means of three and of two equal attempts can differ in the last bit.
func constant(x []float64) bool {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range x {
		low, high = min(low, v), max(high, v)
	}
	return !(high/2-low/2 > 0x1p-50*max(math.Abs(low), math.Abs(high)))
}

// A series is a column with the name that errors use for it.
type series struct {
	name string
	x    []float64
}

// check refuses columns that differ in length from the first, hold a value
// that is not finite, have fewer than need values, or do not vary.
func check(need int, columns ...series) error {
	n := len(columns[0].x)
	for _, c := range columns {
		if len(c.x) != n {
			return fmt.Errorf("%w: %s has %d values, %s has %d",
				ErrLength, columns[0].name, n, c.name, len(c.x))
		}
		for i, v := range c.x {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("%s: value %d: %w: %g", c.name, i+1, ErrNonFinite, v)
			}
		}
	}
	if n < need {
		return fmt.Errorf("%w: have %d, need %d", ErrTooFew, n, need)
	}
	for _, c := range columns {
		if constant(c.x) {
			return fmt.Errorf("%s: %w", c.name, ErrConstant)
		}
	}
	return nil
}

// confidence returns the level, 0.95 where it is 0.
func confidence(level float64) (float64, error) {
	if level == 0 {
		return 0.95, nil
	}
	if !(level > 0 && level < 1) {
		return 0, fmt.Errorf("%w: %g", ErrLevel, level)
	}
	return level, nil
}
