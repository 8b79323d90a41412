package association

import "math"

// A State says how far the data show that a test goes with the outcome.
type State string

// The states. Among many tests some go with the outcome by chance alone.
const (
	Shown    State = "shown"      // beyond chance, allowing for all tests looked at (Holm)
	OnItsOwn State = "on-its-own" // its own interval excludes 0, but it is not kept
	NotShown State = "not-shown"  // its interval holds 0, or it has no r
)

// Leading returns the correlation to go by: within level when there is one, else
// over all; and whether it is the one within level.
func (a Association) Leading() (r Correlation, within bool) {
	if a.Within != nil && !math.IsNaN(a.Within.Value) {
		return a.Within.Correlation, true
	}
	return a.Pearson, false
}

// State is that of the correlation to go by, at a confidence level.
func (a Association) State(level float64) State {
	r, _ := a.Leading()
	return r.State(level)
}

// State says whether r is shown: its p value adjusted by Holm over the tests of
// this kind is at most 1 - level; or, on its own, its interval excludes 0.
func (c Correlation) State(level float64) State {
	switch {
	case c.PHolm <= 1-level:
		return Shown
	case c.Excludes(0):
		return OnItsOwn
	}
	return NotShown
}

// Verdict is the answer to which tests go with the outcome: how many are shown
// to, of those that have an r, and which has the largest |r|, "" when none has
// an r.
type Verdict struct {
	Shown, Tests int
	Closest      string
}

// Verdict counts what is shown.
func (r Result) Verdict() Verdict {
	v, best := Verdict{}, -1.0
	for _, a := range r.Associations {
		c, _ := a.Leading()
		if math.IsNaN(c.Value) {
			continue
		}
		v.Tests++
		if c.State(r.Level) == Shown {
			v.Shown++
		}
		if math.Abs(c.Value) > best {
			best, v.Closest = math.Abs(c.Value), a.Measure
		}
	}
	return v
}
