package reliability

import (
	"math"

	"noisefloor/analysis/decision"
)

// A Seeing says whether a single retest of one athlete can see the smallest
// worthwhile change: whether the true change that is seen with the power asked for is
// no larger.
type Seeing string

// The verdicts.
const (
	Sees     Seeing = "yes"
	SeesNot  Seeing = "no"
	NotKnown Seeing = "not-known" // no worthwhile change, or no error at all
)

// A Telling says whether a test is shown to tell athletes apart: whether the
// interval of ICC(C,1) lies above 0.
type Telling string

// The verdicts.
const (
	TellsApart    Telling = "shown"
	NotShownApart Telling = "not-shown"
	ApartNotKnown Telling = "not-known" // no interval
)

// A Settling says whether the test has settled: whether from some session on
// every change of the mean is shown to lie inside -+ the worthwhile change.
type Settling string

// The verdicts.
const (
	Settled       Settling = "settled"
	NotSettled    Settling = "not-shown"
	NothingToHold Settling = "no-worthwhile-change" // nothing to hold the changes against
)

// A DesignVerdict says which numbers of sessions and trials bring the change that is
// seen down to the worthwhile one.
type DesignVerdict string

// The verdicts.
const (
	DesignFound DesignVerdict = "found" // Result.Cheapest has it
	// the day-to-day part is known too poorly to promise it of any number of trials
	DesignUnknown DesignVerdict = "not-shown"
	DesignNever   DesignVerdict = "never"       // the day-to-day part alone keeps it above
	DesignMore    DesignVerdict = "more-trials" // only with more trials than were looked at
	// one trial in each session is not enough, and of more nothing is known
	DesignOne  DesignVerdict = "one-trial"
	DesignNone DesignVerdict = "not-asked-for" // no decision study, or no worthwhile change
)

// An Equality says whether the groups have the same typical error.
type Equality string

// The verdicts.
const (
	GroupsDiffer    Equality = "differ"
	GroupsNotShown  Equality = "no-sign"    // of a difference; not proof that they are equal
	GroupsNotTested Equality = "not-tested" // see GroupTest.Why
)

// verdicts fills what the numbers say, once all of them are there.
func (r *Result) verdicts() {
	r.Sees = sees(r.SeenRatio, r.TypicalError.Value)
	r.Tells = ApartNotKnown
	if c := r.ICC[4].Value; c.HasInterval() {
		r.Tells = NotShownApart
		if c.Lower > 0 {
			r.Tells = TellsApart
		}
	}
	r.Design = r.design()
}

func sees(ratio, typicalError float64) Seeing {
	switch {
	case math.IsNaN(ratio) || math.IsInf(ratio, 0) || typicalError == 0:
		return NotKnown
	case ratio <= 1:
		return Sees
	}
	return SeesNot
}

func (r Result) design() DesignVerdict {
	a := r.Cheapest
	switch {
	case a == nil:
		return DesignNone
	case a.Found:
		return DesignFound
	case a.Never && r.poorlyKnown(r.Decision[len(r.Decision)-1].Sessions):
		return DesignUnknown
	case a.Never:
		return DesignNever
	case a.Needed > 0:
		return DesignMore
	}
	return DesignOne
}

// poorlyKnown reports whether the day-to-day part would do, were it known: then
// it is not its size that stands in the way but the few degrees of freedom.
func (r Result) poorlyKnown(sessions int) bool {
	z := decision.Seen(r.Level, r.DetectableChange.Power, math.Inf(1))
	return z*math.Sqrt(2/float64(sessions))*r.Components.AthleteSession.SD.Value <= r.Worthwhile.Value
}

// settled returns the session from which on every change of the mean has its
// interval inside -+ worthwhile: shown to be small, which is more than not shown
// to be there. It is -1 where that is not so.
func settled(changes []MeanChange, worthwhile float64) (Settling, int) {
	if !(worthwhile > 0) {
		return NothingToHold, -1
	}
	first := len(changes)
	for first > 0 && inside(changes[first-1].Change, worthwhile) {
		first--
	}
	if first == len(changes) {
		return NotSettled, -1
	}
	return Settled, first
}

// SettledSession is the name of the session from which on the test has settled,
// "" when that is not shown.
func (r Result) SettledSession() string {
	if r.Settling != Settled || r.SettledFrom < 0 || r.SettledFrom >= len(r.Sessions) {
		return ""
	}
	return r.Sessions[r.SettledFrom]
}
