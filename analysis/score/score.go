// Package score turns attempts at a test into session scores: one number for
// each athlete and session, which is what every other analysis works on.
package score

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"noisefloor/analysis/cell"
)

// A Direction says which way a measure improves.
type Direction int8

// The directions.
const (
	Unknown Direction = iota // nobody said; [Best] takes the highest
	Higher                   // more is better: power, distance, speed
	Lower                    // less is better: time to peak, sprint time
)

// A Summary names how the attempts of one session become one score.
type Summary string

// The summaries. Best depends on the direction of the measure.
const (
	Mean   Summary = "mean"
	Best   Summary = "best"
	Median Summary = "median"
	First  Summary = "first"
)

// A Scale is the scale on which a measure is analysed.
type Scale string

// The scales. Log is the natural logarithm, for measures whose error grows
// with the value.
const (
	Raw Scale = "raw"
	Log Scale = "log"
)

// A Table holds session scores: n athletes by k sessions, row-major. An athlete
// with no attempt in a session has NaN there.
type Table struct {
	Athletes []string
	Sessions []string
	Value    []float64 // len(Athletes)*len(Sessions); NaN is missing
	Trials   []int32   // attempts behind each score, 0 where missing
}

// Errors that callers test with errors.Is.
var (
	ErrSummary     = errors.New("unknown summary of the trials")
	ErrValues      = errors.New("the median needs every attempt, and the cells did not keep them")
	ErrNotPositive = errors.New("the log scale needs values above zero")
	ErrNoSession   = errors.New("no such session")
)

// Summarise makes the session scores of the cells of a measure. Athletes without any
// attempt are kept as empty rows, so that the tables of one cohort share their rows.
//
// Mean is the arithmetic mean, rounded once; Median the middle attempt or the mean
// of the middle two; Best the largest (or smallest, when better is [Lower]) attempt;
// First the attempt with the smallest trial number, of several the smallest.
//
// It fails with [ErrSummary] on another summary, and with [ErrValues] when the
// median is asked of cells that did not keep their attempts.
func Summarise(a *cell.Table, how Summary, better Direction) (Table, error) {
	t := Table{Athletes: a.Athletes, Sessions: a.Sessions,
		Value: make([]float64, len(a.Cells)), Trials: make([]int32, len(a.Cells))}
	one, err := summary(a, how, better)
	if err != nil {
		return Table{}, err
	}
	for at, c := range a.Cells {
		t.Value[at], t.Trials[at] = math.NaN(), c.N
		if c.N > 0 {
			t.Value[at] = one(at, c)
		}
	}
	return t, nil
}

// summary is the function that makes one score of one cell.
func summary(a *cell.Table, how Summary, better Direction) (func(at int, c cell.Cell) float64, error) {
	switch how {
	case Mean:
		return func(_ int, c cell.Cell) float64 { return c.Mean() }, nil
	case Best:
		return func(_ int, c cell.Cell) float64 {
			if better == Lower {
				return c.Min
			}
			return c.Max
		}, nil
	case First:
		return func(_ int, c cell.Cell) float64 { return c.First }, nil
	case Median:
		if _, kept := a.Values(0); !kept && len(a.Cells) > 0 {
			return nil, ErrValues
		}
		return func(at int, _ cell.Cell) float64 {
			values, _ := a.Values(at)
			return median(slices.Sorted(slices.Values(values)))
		}, nil
	}
	return nil, fmt.Errorf("%w: %q (mean, best, median or first)", ErrSummary, how)
}

// median is that of sorted values.
func median(x []float64) float64 {
	m := len(x) / 2
	if len(x)%2 == 1 {
		return x[m]
	}
	return x[m-1] + (x[m]-x[m-1])/2
}

// At returns the score of athlete i in session j, NaN where missing.
func (t Table) At(i, j int) float64 { return t.Value[i*len(t.Sessions)+j] }

// Row returns the scores of athlete i; the caller must not write to it.
func (t Table) Row(i int) []float64 {
	k := len(t.Sessions)
	return t.Value[i*k : (i+1)*k : (i+1)*k]
}

// Select returns the table of the named sessions, in the order given. Its
// athletes are the same, even those with no score left.
func (t Table) Select(sessions ...string) (Table, error) {
	cols := make([]int, len(sessions))
	for c, s := range sessions {
		if cols[c] = slices.Index(t.Sessions, s); cols[c] < 0 {
			return Table{}, fmt.Errorf("%w: %q", ErrNoSession, s)
		}
	}
	return t.pick(nil, cols), nil
}

// Rows returns the table of the athletes whose indices are given.
func (t Table) Rows(athletes []int) Table {
	return t.pick(athletes, nil)
}

// Complete returns the indices of the athletes that have every session.
func (t Table) Complete() []int {
	var rows []int
	for i := range t.Athletes {
		if !slices.ContainsFunc(t.Row(i), math.IsNaN) {
			rows = append(rows, i)
		}
	}
	return rows
}

// Seen returns the indices of the athletes that have at least one session.
func (t Table) Seen() []int {
	var rows []int
	for i := range t.Athletes {
		if slices.ContainsFunc(t.Row(i), func(v float64) bool { return !math.IsNaN(v) }) {
			rows = append(rows, i)
		}
	}
	return rows
}

// Log returns the table of natural logarithms. It fails with [ErrNotPositive]
// on a score of zero or below, and names it.
func (t Table) Log() (Table, error) {
	out := t
	out.Value = make([]float64, len(t.Value))
	for c, v := range t.Value {
		if v <= 0 {
			k := len(t.Sessions)
			return Table{}, fmt.Errorf("%w: athlete %s, session %s has %g",
				ErrNotPositive, t.Athletes[c/k], t.Sessions[c%k], v)
		}
		out.Value[c] = math.Log(v)
	}
	return out, nil
}

// AthleteMeans returns the mean of each athlete's scores over the sessions that
// are there, NaN for an athlete with none.
func (t Table) AthleteMeans() []float64 {
	out := make([]float64, len(t.Athletes))
	for i := range out {
		out[i] = mean(t.Row(i))
	}
	return out
}

// Mean returns the mean of all scores that are there, NaN when there is none.
func (t Table) Mean() float64 { return mean(t.Value) }

// mean skips missing values; two passes.
func mean(x []float64) float64 {
	sum, n := 0.0, 0
	for _, v := range x {
		if !math.IsNaN(v) {
			sum, n = sum+v, n+1
		}
	}
	if n == 0 {
		return math.NaN()
	}
	first, rest := sum/float64(n), 0.0
	for _, v := range x {
		if !math.IsNaN(v) {
			rest += v - first
		}
	}
	return first + rest/float64(n)
}

// pick copies rows and columns; nil means all.
func (t Table) pick(rows, cols []int) Table {
	if rows == nil {
		rows = indices(len(t.Athletes))
	}
	if cols == nil {
		cols = indices(len(t.Sessions))
	}
	out := Table{
		Athletes: make([]string, len(rows)), Sessions: make([]string, len(cols)),
		Value:  make([]float64, 0, len(rows)*len(cols)),
		Trials: make([]int32, 0, len(rows)*len(cols)),
	}
	for j, c := range cols {
		out.Sessions[j] = t.Sessions[c]
	}
	k := len(t.Sessions)
	for i, r := range rows {
		out.Athletes[i] = t.Athletes[r]
		for _, c := range cols {
			out.Value = append(out.Value, t.Value[r*k+c])
			out.Trials = append(out.Trials, t.Trials[r*k+c])
		}
	}
	return out
}

func indices(n int) []int {
	x := make([]int, n)
	for i := range x {
		x[i] = i
	}
	return x
}
