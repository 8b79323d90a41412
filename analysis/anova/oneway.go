// Package anova computes the one-way and two-way analyses of variance on
// which reliability rests.
//
// Sums of squares are sums of squared deviations, each deviation and each sum
// carried with twice the digits of float64 and rounded once at the end, so a
// common offset in the data costs nothing and a residual that is exactly zero
// comes out as exactly zero.
package anova

import (
	"errors"
	"fmt"
	"math"

	"noisefloor/analysis/compensated"
)

// Errors that callers test with errors.Is.
var (
	ErrTooFew    = errors.New("too few values for an analysis of variance")
	ErrRagged    = errors.New("the table is not rectangular")
	ErrNonFinite = errors.New("a value is not a finite number")
	ErrOverflow  = errors.New("the sums are too large to hold")
)

// A OneWay is the analysis-of-variance table of a one-way layout.
type OneWay struct {
	Groups, N           int     // groups with at least one value; values in all
	GrandMean           float64 // mean of all values
	SSBetween, SSWithin float64 // sums of squares, in the square of the unit
	DFBetween, DFWithin float64 // Groups-1 and N-Groups
	MSBetween, MSWithin float64 // SS / DF
	F                   float64 // MSBetween/MSWithin; +Inf if only MSWithin is 0, NaN if both are
}

// AnalyseOneWay analyses values in groups, whose sizes may differ. With n_i
// values in group i, group means m_i and grand mean M,
//
//	SSBetween = Σ n_i (m_i - M)²     DFBetween = Groups - 1
//	SSWithin  = Σ Σ (y_ij - m_i)²    DFWithin  = N - Groups
//
// Groups without any value are left out. The groups are not modified, and
// their order does not matter beyond the last digit.
//
// It fails with [ErrTooFew] if fewer than two groups have values or no group
// has two, with [ErrNonFinite] on a NaN or ±Inf, and with [ErrOverflow] if the
// sums exceed float64.
//
// Source: Snedecor GW, Cochran WG (1967). Statistical Methods, 6th edition,
// chapter 10.
func AnalyseOneWay(groups [][]float64) (OneWay, error) {
	r := OneWay{}
	for i, g := range groups {
		for j, v := range g {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return OneWay{}, fmt.Errorf("%w: group %d, value %d is %g", ErrNonFinite, i+1, j+1, v)
			}
		}
		if len(g) > 0 {
			r.Groups++
			r.N += len(g)
		}
	}
	if r.Groups < 2 || r.N <= r.Groups {
		return OneWay{}, fmt.Errorf("%w: %d values in %d groups, need two groups and one of them with two values",
			ErrTooFew, r.N, r.Groups)
	}
	r.fill(groups)
	if !finite(r.SSBetween, r.SSWithin, r.GrandMean) {
		return OneWay{}, ErrOverflow
	}
	return r, nil
}

// fill works on n_i y - Σy and N Σ_i y - n_i Σ y, which are exact for whole
// numbers, and divides last.
func (r *OneWay) fill(groups [][]float64) {
	var total compensated.Number
	for _, g := range groups {
		total = total.Add(compensated.Sum(g))
	}
	var between, within compensated.Number
	n := float64(r.N)
	for _, g := range groups {
		if len(g) == 0 {
			continue
		}
		size, sum := float64(len(g)), compensated.Sum(g)
		apart := sum.Times(n).Sub(total.Times(size)).Over(n)
		between = between.Add(apart.Square().Over(size))
		within = within.Add(deviations(g, sum))
	}
	r.GrandMean = total.Over(n).Float()
	r.SSBetween, r.SSWithin = between.Float(), within.Float()
	r.DFBetween, r.DFWithin = float64(r.Groups-1), float64(r.N-r.Groups)
	r.MSBetween, r.MSWithin = r.SSBetween/r.DFBetween, r.SSWithin/r.DFWithin
	r.F = r.MSBetween / r.MSWithin
}

// deviations returns Σ (y - sum/n)².
func deviations(y []float64, sum compensated.Number) compensated.Number {
	var ss compensated.Number
	n := float64(len(y))
	for _, v := range y {
		d := compensated.Product(n, v).Sub(sum).Float()
		ss = ss.Add(compensated.Product(d, d))
	}
	return ss.Over(n).Over(n)
}

func finite(x ...float64) bool {
	for _, v := range x {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}
