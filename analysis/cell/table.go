package cell

import "math"

// A Grid is cells of rows (athletes) by columns (sessions), row-major; a cell
// without attempts has N = 0.
type Grid struct {
	Rows, Columns int
	Cells         []Cell // len Rows*Columns
}

// NewGrid returns a grid of cells without attempts.
func NewGrid(rows, columns int) Grid {
	return Grid{Rows: rows, Columns: columns, Cells: make([]Cell, rows*columns)}
}

// At returns the cell of row i and column j.
func (g Grid) At(i, j int) *Cell { return &g.Cells[i*g.Columns+j] }

// N counts the attempts.
func (g Grid) N() (n int) {
	for _, c := range g.Cells {
		n += int(c.N)
	}
	return n
}

// Only returns the grid in which all other rows are without attempts.
func (g Grid) Only(rows []int) Grid {
	out := NewGrid(g.Rows, g.Columns)
	for _, i := range rows {
		copy(out.Cells[i*g.Columns:(i+1)*g.Columns], g.Cells[i*g.Columns:(i+1)*g.Columns])
	}
	return out
}

// Options say what the cells of a table hold.
type Options struct {
	Log    bool // natural logarithms of the attempts
	Values bool // keep every attempt, for the median: memory then grows with them
}

// A Table is the cells of one measure, with the names of athletes and sessions.
type Table struct {
	Grid
	Athletes []string // codes, distinct
	Sessions []string // names, distinct, in order of time

	// Low are the attempts without a logarithm, at most one for each athlete, in
	// the order of the athletes; they are in no cell. With Options.Log only.
	Low []Low

	log    bool
	values [][]float64 // by cell; nil unless they are kept
}

// A Low is an attempt that has no logarithm.
type Low struct {
	Athlete, Session int
	Value            float64
}

// New returns the table of cells without attempts.
func New(athletes, sessions []string, o Options) *Table {
	t := &Table{Grid: NewGrid(len(athletes), len(sessions)), Athletes: athletes, Sessions: sessions, log: o.Log}
	if o.Values {
		t.values = make([][]float64, len(t.Cells))
	}
	return t
}

// Add adds an attempt.
func (t *Table) Add(athlete, session int, trial int32, v float64) {
	if t.log {
		if !(v > 0) {
			t.low(Low{athlete, session, v})
			return
		}
		v = math.Log(v)
	}
	at := athlete*t.Columns + session
	t.Cells[at].Add(trial, v)
	if t.values != nil {
		t.values[at] = append(t.values[at], v)
	}
}

// low keeps the first of each athlete.
func (t *Table) low(l Low) {
	at := len(t.Low)
	for i, k := range t.Low {
		if k.Athlete == l.Athlete {
			return
		}
		if k.Athlete > l.Athlete {
			at = i
			break
		}
	}
	t.Low = append(t.Low, Low{})
	copy(t.Low[at+1:], t.Low[at:])
	t.Low[at] = l
}

// Values returns the attempts of a cell in the order in which they came, and
// false unless they are kept.
func (t *Table) Values(at int) ([]float64, bool) {
	if t.values == nil {
		return nil, false
	}
	return t.values[at], true
}

// Of returns the table of the athletes whose indices are given, in that order.
func (t *Table) Of(athletes []int) *Table {
	out := New(make([]string, len(athletes)), t.Sessions, Options{Log: t.log, Values: t.values != nil})
	for i, r := range athletes {
		out.Athletes[i] = t.Athletes[r]
		copy(out.Cells[i*t.Columns:], t.Cells[r*t.Columns:(r+1)*t.Columns])
		if t.values != nil {
			copy(out.values[i*t.Columns:], t.values[r*t.Columns:(r+1)*t.Columns])
		}
		for _, l := range t.Low {
			if l.Athlete == r {
				out.low(Low{i, l.Session, l.Value})
			}
		}
	}
	return out
}

// Values are attempts in long form, for simulations and examples: attempt i is of
// athlete Athlete[i], from 0 below Athletes, in session Session[i], from 0 below
// Sessions.
type Values struct {
	Athletes, Sessions int
	Athlete, Session   []int32
	Value              []float64
}

// Grid returns the cells of the attempts.
func (v Values) Grid() Grid {
	g := NewGrid(v.Athletes, v.Sessions)
	for i, x := range v.Value {
		g.At(int(v.Athlete[i]), int(v.Session[i])).Add(0, x)
	}
	return g
}

// Attempts are attempts in long form with names: attempt i was made by
// Athletes[Athlete[i]] in session Sessions[Session[i]], as the Trial[i]-th. The four
// columns have the same length. Missing attempts are left out, never NaN.
type Attempts struct {
	Athletes, Sessions      []string
	Athlete, Session, Trial []int32
	Value                   []float64
}

// Table returns the cells of the attempts.
func (a Attempts) Table(o Options) *Table {
	t := New(a.Athletes, a.Sessions, o)
	for i, v := range a.Value {
		t.Add(int(a.Athlete[i]), int(a.Session[i]), a.Trial[i], v)
	}
	return t
}

// Values returns the attempts without the names.
func (a Attempts) Values() Values {
	return Values{len(a.Athletes), len(a.Sessions), a.Athlete, a.Session, a.Value}
}
