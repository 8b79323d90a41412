// Package score turns attempts at a test into session scores: one number for
// each athlete and session, which is what every other analysis works on.
package score

import (
	"errors"
	"fmt"
	"math"
	"slices"
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

// Attempts are all attempts at one measure, in long form: attempt i was made
// by Athletes[Athlete[i]] in session Sessions[Session[i]]. The four columns
// have the same length. Missing attempts are left out, never NaN.
type Attempts struct {
	Athletes []string // codes, distinct
	Sessions []string // names, distinct, in order of time
	Athlete  []int32
	Session  []int32
	Trial    []int32 // the trial's number within its session; the order decides [First]
	Value    []float64
}

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
	ErrNotPositive = errors.New("the log scale needs values above zero")
	ErrNoSession   = errors.New("no such session")
)

// Summarise makes the session scores of a. Athletes without any attempt are
// kept as empty rows, so that the tables of one cohort share their rows.
//
// Mean is the arithmetic mean; Median the middle attempt or the mean of the
// middle two; Best the largest (or smallest, when better is [Lower]) attempt;
// First the attempt with the smallest trial number.
func Summarise(a Attempts, how Summary, better Direction) (Table, error) {
	n, k := len(a.Athletes), len(a.Sessions)
	t := Table{Athletes: a.Athletes, Sessions: a.Sessions,
		Value: make([]float64, n*k), Trials: make([]int32, n*k)}
	for i := range t.Value {
		t.Value[i] = math.NaN()
	}
	for i, at := range a.Athlete {
		t.Trials[int(at)*k+int(a.Session[i])]++
	}
	switch how {
	case Mean:
		meanScores(a, t)
	case Best:
		bestScores(a, t, better)
	case First:
		firstScores(a, t)
	case Median:
		medianScores(a, t)
	default:
		return Table{}, fmt.Errorf("%w: %q (mean, best, median or first)", ErrSummary, how)
	}
	return t, nil
}

// meanScores uses two passes, so that a large common offset costs no digits.
func meanScores(a Attempts, t Table) {
	k := len(t.Sessions)
	sum := make([]float64, len(t.Value))
	for i, v := range a.Value {
		sum[int(a.Athlete[i])*k+int(a.Session[i])] += v
	}
	for c, trials := range t.Trials {
		if trials > 0 {
			t.Value[c] = sum[c] / float64(trials)
			sum[c] = 0
		}
	}
	for i, v := range a.Value {
		c := int(a.Athlete[i])*k + int(a.Session[i])
		sum[c] += v - t.Value[c]
	}
	for c, trials := range t.Trials {
		if trials > 0 {
			t.Value[c] += sum[c] / float64(trials)
		}
	}
}

func bestScores(a Attempts, t Table, better Direction) {
	k := len(t.Sessions)
	for i, v := range a.Value {
		c := int(a.Athlete[i])*k + int(a.Session[i])
		old := t.Value[c]
		if math.IsNaN(old) || (better != Lower && v > old) || (better == Lower && v < old) {
			t.Value[c] = v
		}
	}
}

func firstScores(a Attempts, t Table) {
	k := len(t.Sessions)
	first := make([]int32, len(t.Value))
	for i, v := range a.Value {
		c := int(a.Athlete[i])*k + int(a.Session[i])
		if math.IsNaN(t.Value[c]) || a.Trial[i] < first[c] {
			t.Value[c], first[c] = v, a.Trial[i]
		}
	}
}

func medianScores(a Attempts, t Table) {
	k := len(t.Sessions)
	start := make([]int, len(t.Value)+1)
	for c, trials := range t.Trials {
		start[c+1] = start[c] + int(trials)
	}
	byCell, next := make([]float64, len(a.Value)), slices.Clone(start)
	for i, v := range a.Value {
		c := int(a.Athlete[i])*k + int(a.Session[i])
		byCell[next[c]] = v
		next[c]++
	}
	for c := range t.Value {
		cell := byCell[start[c]:start[c+1]]
		if len(cell) == 0 {
			continue
		}
		slices.Sort(cell)
		m := len(cell) / 2
		t.Value[c] = cell[m]
		if len(cell)%2 == 0 {
			t.Value[c] = cell[m-1] + (cell[m]-cell[m-1])/2
		}
	}
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

// Rows returns the attempts of the athletes whose indices are given, which get
// the indices 0, 1, … in that order; each index stands once at most.
func (a Attempts) Rows(athletes []int) Attempts {
	place := make([]int32, len(a.Athletes))
	for i := range place {
		place[i] = -1
	}
	out := Attempts{Sessions: a.Sessions}
	for i, r := range athletes {
		place[r] = int32(i)
		out.Athletes = append(out.Athletes, a.Athletes[r])
	}
	for i, athlete := range a.Athlete {
		if p := place[athlete]; p >= 0 {
			out.Athlete, out.Session = append(out.Athlete, p), append(out.Session, a.Session[i])
			out.Trial, out.Value = append(out.Trial, a.Trial[i]), append(out.Value, a.Value[i])
		}
	}
	return out
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

// mean skips missing values; two passes, as in [Summarise].
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
