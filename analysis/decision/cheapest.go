package decision

import (
	"fmt"
	"math"
	"slices"

	"noisefloor/analysis/varcomp"
)

// A Goal is what a target is about.
type Goal string

// The goals.
const (
	Reliability  Goal = "reliability"       // at least
	TypicalError Goal = "typical error"     // at most
	Detectable   Goal = "detectable change" // at most
	SeenChange   Goal = "change seen"       // at most: give the worthwhile change
)

var goals = []Goal{Reliability, TypicalError, Detectable, SeenChange}

// A Target is what a design has to reach.
type Target struct {
	Goal  Goal
	Value float64 // Reliability: above 0 and below 1; else in the unit of the data, above 0
}

// An Answer is the cheapest design that meets a target, or why there is none.
type Answer struct {
	Found bool
	Row   Row // of the design found

	// Never reports that no number of trials helps, not even with the most
	// sessions allowed: the day-to-day part alone misses the target. Limit is
	// what trials without number would reach with that many sessions. NaN where
	// trials and days are not known apart.
	Never bool
	Limit float64

	// Needed is the smallest number of trials in each of the most sessions
	// allowed that would do, where that is more than the trials allowed; else 0.
	Needed int
}

// most is the largest number of trials that is looked at.
const most = 1 << 30

// Cheapest returns the cheapest design of at most o.Sessions sessions and
// o.Trials trials whose estimated value meets the target. With o.Setup = 0 that
// is the one of fewest sessions, then of fewest trials; else the one of lowest
// cost, sessions × (setup + trials), of equal ones that of fewest sessions.
//
// It fails as [Study] does, and with [ErrTarget] on a target that is none.
//
// Source: as [Study].
func Cheapest(c varcomp.Components, target Target, o Options) (Answer, error) {
	o, err := o.withDefaults()
	if err != nil {
		return Answer{}, err
	}
	if err := check(c); err != nil {
		return Answer{}, err
	}
	if err := target.check(); err != nil {
		return Answer{}, err
	}
	s := search{c: c, target: target, o: o, trials: mostTrials(c, o)}
	a := Answer{Limit: math.NaN()}
	if c.Merged == varcomp.NotMerged {
		a.Limit = s.limit(o.Sessions)
	}
	if best, ok := s.best(); ok {
		a.Found, a.Row = true, row(c, best, o)
	} else {
		s.explain(&a)
	}
	return a, nil
}

func (t Target) check() error {
	switch {
	case !slices.Contains(goals, t.Goal):
		return fmt.Errorf("%w: %q (%q)", ErrTarget, t.Goal, goals)
	case !(t.Value > 0) || math.IsInf(t.Value, 0), t.Goal == Reliability && t.Value >= 1:
		return fmt.Errorf("%w: %s of %g", ErrTarget, t.Goal, t.Value)
	}
	return nil
}

type search struct {
	c      varcomp.Components
	target Target
	o      Options
	trials int
}

// best returns the cheapest design that meets the target. More trials in the
// same number of sessions always cost more, so the first that does is enough.
func (s search) best() (best Design, ok bool) {
	for sessions := 1; sessions <= s.o.Sessions; sessions++ {
		for t := 1; t <= s.trials; t++ {
			d := Design{sessions, t}
			if !s.meets(s.value(s.c, d)) {
				continue
			}
			if !ok || s.o.cost(d) < s.o.cost(best) {
				best, ok = d, true
			}
			break
		}
		if ok && s.o.Setup == 0 {
			return best, true
		}
	}
	return best, ok
}

// value returns what the target is about, for design d.
func (s search) value(c varcomp.Components, d Design) float64 {
	if size := s.size(); size != nil {
		return least(c, d, s.o, size)
	}
	as, e := d.weights()
	return s.judge(c, as, e)
}

func (s search) judge(c varcomp.Components, as, e float64) float64 {
	square, df := c.Satterthwaite(0, as, e)
	switch s.target.Goal {
	case Reliability:
		return c.Athlete / (c.Athlete + square)
	case TypicalError:
		return math.Sqrt(square)
	}
	return s.size()(square, df)
}

// size is the change that the target is about, nil for one about something else.
func (s search) size() change {
	switch s.target.Goal {
	case Detectable:
		return s.o.detectable
	case SeenChange:
		return s.o.seen
	}
	return nil
}

func (s search) meets(v float64) bool {
	if s.target.Goal == Reliability {
		return v >= s.target.Value
	}
	return v <= s.target.Value
}

// limit returns the value that trials without number approach.
func (s search) limit(sessions int) float64 {
	limit := s.judge(s.c, 1/float64(sessions), 0)
	if size := s.size(); size != nil {
		limit = min(limit, least(s.c, Design{sessions, most}, s.o, size))
	}
	return limit
}

// explain fills why there is no design: never, or only with more trials.
func (s search) explain(a *Answer) {
	if s.c.Merged != varcomp.NotMerged {
		return
	}
	low, high := s.trials, 2*s.trials // low misses, high is to meet
	for !s.meets(s.value(s.c, Design{s.o.Sessions, high})) {
		if high >= most {
			a.Never = true
			return
		}
		low, high = high, 2*high
	}
	for high-low > 1 {
		if mid := low + (high-low)/2; s.meets(s.value(s.c, Design{s.o.Sessions, mid})) {
			high = mid
		} else {
			low = mid
		}
	}
	a.Needed = high
}
