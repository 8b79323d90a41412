// Package cell summarises the attempts of one athlete in one session, so that
// what the analyses hold grows with athletes and sessions, not with attempts.
// Summaries merge: cells made of parts of a table, in any order, are those of the
// whole.
package cell

import (
	"math"

	"noisefloor/analysis/compensated"
)

// A Cell summarises attempts at one measure. The zero value is that of none.
//
// Sums are taken about the first attempt added and carried with twice the digits
// of float64, so that neither a common offset nor the order costs digits.
type Cell struct {
	N        int32
	Min, Max float64
	First    float64 // the attempt with the smallest trial number; of several, the smallest

	trial       int32
	shift       float64
	sum, square compensated.Number // of the deviations from shift, and of their squares
}

// Of returns the cell of one attempt, or of one score.
func Of(v float64) Cell {
	var c Cell
	c.Add(0, v)
	return c
}

// Add adds an attempt; trial is its number within the session.
func (c *Cell) Add(trial int32, v float64) {
	if c.N == 0 {
		*c = Cell{N: 1, Min: v, Max: v, First: v, trial: trial, shift: v}
		if math.IsNaN(v) || math.IsInf(v, 0) {
			c.sum = compensated.Of(math.NaN())
		}
		return
	}
	d := compensated.Of(v).Sub(compensated.Of(c.shift))
	c.N++
	c.sum, c.square = c.sum.Add(d), c.square.Add(d.Square())
	c.Min, c.Max = min(c.Min, v), max(c.Max, v)
	c.first(trial, v)
}

// Merge adds the attempts that o summarises. With δ = o's shift less c's, for o of
// n attempts,
//
//	Σ(v - c's) = Σ(v - o's) + n δ
//	Σ(v - c's)² = Σ(v - o's)² + 2 δ Σ(v - o's) + n δ²
//
// (Chan, Golub & LeVeque 1979, updating formulae, carried in twice the digits).
func (c *Cell) Merge(o Cell) {
	switch {
	case o.N == 0:
		return
	case c.N == 0:
		*c = o
		return
	}
	n, d := float64(o.N), compensated.Of(o.shift).Sub(compensated.Of(c.shift))
	c.square = c.square.Add(o.square).Add(o.sum.Mul(d).Times(2)).Add(d.Square().Times(n))
	c.sum = c.sum.Add(o.sum).Add(d.Times(n))
	c.N += o.N
	c.Min, c.Max = min(c.Min, o.Min), max(c.Max, o.Max)
	c.first(o.trial, o.First)
}

func (c *Cell) first(trial int32, v float64) {
	if trial < c.trial || trial == c.trial && v < c.First {
		c.trial, c.First = trial, v
	}
}

// Sum returns the sum of the attempts.
func (c Cell) Sum() compensated.Number {
	return compensated.Product(c.shift, float64(c.N)).Add(c.sum)
}

// Mean returns the mean of the attempts, NaN of none.
func (c Cell) Mean() float64 {
	if c.N == 0 {
		return math.NaN()
	}
	return c.mean().Float()
}

func (c Cell) mean() compensated.Number {
	return compensated.Of(c.shift).Add(c.sum.Over(float64(c.N)))
}

// MeanLess returns the mean less x, rounded once.
func (c Cell) MeanLess(x float64) float64 { return c.mean().Sub(compensated.Of(x)).Float() }

// M2 returns Σ (v - mean)², 0 of one attempt.
func (c Cell) M2() float64 {
	if c.N < 2 {
		return 0
	}
	m := c.square.Sub(c.sum.Square().Over(float64(c.N))).Float()
	if m < 0 {
		return 0 // rounding below zero
	}
	return m
}

// Finite reports whether every attempt is a finite number of magnitude at most
// limit.
func (c Cell) Finite(limit float64) bool {
	return math.Abs(c.Min) <= limit && math.Abs(c.Max) <= limit && !math.IsNaN(c.sum.Float())
}
