package moment

import (
	"errors"
	"fmt"
	"math"

	"noisefloor/analysis/compensated"
)

// Errors that callers test with errors.Is.
var (
	ErrLengths   = errors.New("x and y differ in length")
	ErrTooFew    = errors.New("too few pairs for a line")
	ErrNonFinite = errors.New("a value is not a finite number")
	ErrNoSpread  = errors.New("all x are equal")
	ErrOverflow  = errors.New("the sums are too large to hold")
)

// A Fit is the least-squares line y = Intercept + Slope x.
type Fit struct {
	N                int
	Intercept, Slope float64 // unit of y; unit of y per unit of x
	InterceptSE      float64 // standard errors, same units; 0 for an exact fit
	SlopeSE          float64
	ResidualSD       float64 // √(Σ residual² / DF), in the unit of y
	DF               float64 // N - 2
	RSquared         float64 // share of Σ (y - mean y)² explained; NaN if all y are equal
	MeanX            float64
	SSX              float64 // Σ (x - mean x)²
}

// At returns the height of the line at x.
func (f Fit) At(x float64) float64 { return float64(f.Slope*x) + f.Intercept }

// Line fits y = b0 + b1 x to the pairs (x, y) by least squares,
//
//	b1 = Sxy/Sxx      SE(b1) = s/√Sxx
//	b0 = mean y - b1 mean x      SE(b0) = s √(1/n + (mean x)²/Sxx)
//	s  = √(Σ (y - b0 - b1 x)²/(n-2))
//
// where Sxy and Sxx are the sums of products of deviations. x and y are not
// modified.
//
// It fails with [ErrLengths], with [ErrTooFew] below three pairs, with
// [ErrNonFinite] on a NaN or ±Inf, with [ErrNoSpread] if all x are equal, and
// with [ErrOverflow] if the sums exceed float64.
//
// Source: Snedecor GW, Cochran WG (1967). Statistical Methods, 6th edition,
// chapter 6.
func Line(x, y []float64) (Fit, error) {
	if err := checkPairs(x, y); err != nil {
		return Fit{}, err
	}
	n := float64(len(x))
	sxx, sxy, syy := products(x, x), products(x, y), products(y, y)
	if sxx.Float() == 0 {
		return Fit{}, ErrNoSpread
	}
	meanX, meanY := compensated.Sum(x).Over(n), compensated.Sum(y).Over(n)
	slope := sxy.Divided(sxx)
	intercept := meanY.Sub(slope.Mul(meanX))
	rss := residuals(x, y, intercept, slope).Float()

	f := Fit{N: len(x), DF: n - 2, MeanX: meanX.Float(), SSX: sxx.Float(),
		Intercept: intercept.Float(), Slope: slope.Float()}
	f.ResidualSD = math.Sqrt(rss / f.DF)
	f.SlopeSE = f.ResidualSD / math.Sqrt(f.SSX)
	f.InterceptSE = f.ResidualSD * math.Sqrt(1/n+float64(f.MeanX*(f.MeanX/f.SSX)))
	f.RSquared = 1 - rss/syy.Float()
	if v := f.Intercept + f.Slope + f.InterceptSE + f.SlopeSE; math.IsNaN(v) || math.IsInf(v, 0) {
		return Fit{}, ErrOverflow
	}
	return f, nil
}

func checkPairs(x, y []float64) error {
	switch {
	case len(x) != len(y):
		return fmt.Errorf("%w: %d and %d", ErrLengths, len(x), len(y))
	case len(x) < 3:
		return fmt.Errorf("%w: have %d, need 3", ErrTooFew, len(x))
	}
	for i := range x {
		if v := x[i] - x[i] + y[i] - y[i]; v != 0 { // NaN for NaN and ±Inf
			return fmt.Errorf("%w: pair %d is (%g, %g)", ErrNonFinite, i+1, x[i], y[i])
		}
	}
	return nil
}

// residuals returns Σ (y - b0 - b1 x)².
func residuals(x, y []float64, b0, b1 compensated.Number) compensated.Number {
	var s compensated.Number
	for i := range x {
		s = s.Add(compensated.Of(y[i]).Sub(b0).Sub(b1.Times(x[i])).Square())
	}
	return s
}
