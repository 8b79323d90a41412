// Package retest judges the changes of single athletes: is a change more than
// noise, and is it large enough to matter? The two questions are never merged.
//
// The noise comes from a study in which nothing was trained between sessions
// ([noise.Model]), never from the change that is judged: [Judge] refuses that.
package retest

import (
	"slices"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/score"
)

// A Test is one measure to judge.
type Test struct {
	Measure    string
	Unit       string
	Better     score.Direction
	Scores     score.Table // all sessions of the table; raw scale, the analysis takes logs when Noise.Scale is Log
	Noise      noise.Model
	Baseline   []string   // sessions averaged into the baseline
	FollowUp   [][]string // each entry is judged on its own: sessions averaged into one follow-up
	Arms       []string   // of each athlete of Scores: true changes are alike within an arm; nil means one
	Worthwhile *float64   // overrides Noise.Worthwhile, on Noise.Scale; 0 means none
	// Studied are, for each of the studies that made the noise, the sessions of
	// Scores that were in it, to recognise a change that was part of it; nil to skip.
	Studied [][]string

	// Summary is how the attempts became Scores; a warning says when the noise
	// study used another. "" skips the comparison.
	Summary score.Summary
}

// Options choose levels and extras. The zero value: 95 % and 80 % intervals.
type Options struct {
	Level      float64  // 0 means 0.95
	Narrow     float64  // level of the second interval; 0 means 0.80
	Regression bool     // add the change expected from regression to the mean, and the change beyond it
	UpTo       bool     // fill Family.UpTo, which takes a simulation
	Family     []string // athletes whose changes are looked at; nil means all. The others show the spread alone
	Cohort     bool     // fill Change.Best and Change.ChanceCohort from the changes of all athletes
	Own        bool     // judge each athlete by their own noise, where the noise model has it
	Learning   bool     // add the change expected from practice with the test, and the change beyond it

	Sight  bool        // fill Result.Practice: how much practice the noise study could have seen
	Season *SeasonPlan // add the seasons; nil leaves them out
	nulls  *nulls
}

// A State says how a change stands to the noise.
type State string

// The states. Among many changes some lie past the noise by chance alone: only
// what stands out may be called real.
const (
	StandsOut   State = "stands-out"   // kept by Benjamini & Hochberg at 1 - Options.Level over the whole call
	PastNoise   State = "past-noise"   // its own interval excludes 0, but it is not kept
	InsideNoise State = "inside-noise" // its interval holds 0
)

// Matters says whether a change is large enough to matter: whether the interval of
// |D| - w excludes 0, with h half the width of the change's interval and w_L to w_U
// that of the worthwhile change (MOVER: Zou & Donner 2008); both are w where it is a
// stated number.
type Matters string

// The answers. A limit of exactly 0 excludes nothing.
const (
	MattersYes     Matters = "yes"     // |D| - w - sqrt(h² + (w_U - w)²) > 0
	MattersNo      Matters = "no"      // |D| - w + sqrt(h² + (w - w_L)²) < 0
	MattersUnclear Matters = "unclear" // every other, and where there is no w
)

// A Verdict is one of six answers, from the state and whether it matters.
type Verdict string

// The verdicts, in plain words.
const (
	OutMatters Verdict = "stands out and matters"
	OutMay     Verdict = "stands out, may matter"
	OutSmall   Verdict = "stands out, too small to matter"
	Past       Verdict = "past the noise on its own"
	Steady     Verdict = "steady: too small to matter either way"
	Inside     Verdict = "inside the noise"
)

// Verdicts are all of them, in the order of what weighs most.
func Verdicts() []Verdict { return []Verdict{OutMatters, OutMay, OutSmall, Past, Inside, Steady} }

// An Occasion is one comparison that was asked for: every Change says by its
// place in Result.Occasions which one it answers.
type Occasion struct {
	Baseline, FollowUp []string // sessions that are averaged
	GapDays            *float64 // from the mean day of the one to that of the other; nil when not known
}

// A Change is one athlete's change in one measure, on the scale of the noise
// model (natural-log units on the log scale, with percent companions).
type Change struct {
	Athlete  string
	Measure  string
	Group    string   // that of the noise; "" for all
	Occasion int      // place in Result.Occasions
	From, To []string // the sessions that were averaged: those of the occasion that the athlete has

	Baseline, FollowUp float64           // raw units; on the log scale the geometric mean of several sessions
	Change             estimate.Estimate // D with its interval at Options.Level
	Narrow             estimate.Estimate // the same at Options.Narrow
	SE, DF             float64
	// SE and DF are from the variance components, for other numbers of attempts than the study's
	FromComponents bool
	OwnNoise       bool               // SE is from the athlete's own typical error
	Detectable     float64            // t(1-alpha/2, df) SE
	Worthwhile     float64            // NaN when there is none
	Percent        *estimate.Estimate // log scale only: 100(exp(D)-1)

	P, PHolm, PBH float64 // of no change, two-sided; adjusted over the family

	// Best is the true change as the changes of all athletes make it likely, on the
	// scale; nil unless Options.Cohort, and in arms of fewer than 6.
	Best *estimate.Estimate
	// The chances of a true change that matters; nil when there is no worthwhile change.
	Chance       *Chance // above and below the smaller of the other two, within the rest
	ChanceCohort *Chance // as Best; nil where Best is
	ChanceFlat   *Chance // of this change alone

	// Selected is D with its interval at level 1 - q R/m, of those R that stand out
	// among m (Benjamini & Yekutieli 2005): what was picked for being far out needs a
	// wider one. nil for the others.
	Selected *estimate.Estimate

	State     State
	Matters   Matters
	Verdict   Verdict
	Direction string // "rise", "fall", "none" (exactly no change)
	Better    string // "better", "worse", "" when Direction is none or nobody said which is better

	Ratio    float64            // D / SE; NaN when SE is 0
	Expected *float64           // regression to the mean: (1-r)(mean - baseline), on the scale
	Beyond   *estimate.Estimate // D - Expected

	// A second reading, which changes no verdict; nil unless asked for and known.
	Learning          *estimate.Estimate // what practice is expected to bring from the baseline to the exposure after it, on the scale
	Exposures         float64            // of practice in Learning: 1.5 from the mean of sessions 1 and 2
	AfterLearning     *estimate.Estimate // D - Learning, with the uncertainty of both
	PastAfterLearning bool               // its interval excludes 0
}

// A Chance splits belief about the true change three ways: above +worthwhile, within,
// below -worthwhile. The sum is 1.
type Chance struct{ Above, Within, Below float64 }

// A Family counts the comparisons that were made together.
type Family struct {
	Changes             int
	PastNoise           int     // whose own interval excludes 0, those that stand out among them
	StandOut            int     // kept by Benjamini & Hochberg
	ExpectedFalseAlarms float64 // changes * (1 - level): past the noise, had nobody changed
	UpTo                int     // the 95 % quantile of that number: so many can be chance alone; with Options.UpTo, else 0

	Seasons    int // readings of seasons, members of the family beside the changes
	SeasonsOut int // kept
}

// Out reports whether the change stands out.
func (c Change) Out() bool { return c.State == StandsOut }

// Past reports whether the change's own interval excludes 0.
func (c Change) Past() bool { return c.State != InsideNoise }

// A Run is one athlete's course over the sessions on a band of noise around
// the baseline. Athletes without a baseline have none.
type Run struct {
	Athlete, Measure string
	Sessions         []string  // all of the table
	Value            []float64 // raw units, NaN where missing
	Baseline         float64   // raw units
	// baseline -+ the detectable change of a single-session follow-up, the largest of those judged,
	// raw units
	Low, High float64
	State     []State // of each session that is a follow-up of its own; "" for the others
}

// A Reason says why an athlete could not be judged.
type Reason string

// The reasons.
const (
	NeverSeen   Reason = "never-seen"   // no score in any session
	NoBaseline  Reason = "no-baseline"  // none in the sessions of the baseline
	NoFollowUp  Reason = "no-follow-up" // none in those of the follow-up
	NotPositive Reason = "not-positive" // a score of zero or below, on the log scale
	Infinite    Reason = "infinite"     // a score that is no finite number
	TooLarge    Reason = "too-large"    // a change that is no finite number
)

// A LeftOut names the athletes that could not be judged, for one reason. With
// several follow-ups an athlete can lack one and be judged in another.
type LeftOut struct {
	Measure  string
	Reason   Reason
	Sessions []string // that the reason is about; nil for [NeverSeen]
	Athletes []string
}

// A Result holds every change of every test.
type Result struct {
	Level, Narrow float64
	Occasions     []Occasion
	Changes       []Change      // by test, then follow-up, then athlete, in the order given
	Noise         []noise.Model // one for each test
	Runs          []Run
	Family        Family
	LeftOut       []LeftOut
	Caveats       []caveat.Caveat

	Seasons     []Season     // with Options.Season: by test, then athlete
	SeasonTests []SeasonTest // one for each test with seasons
	Practice    []Practice   // with Options.Sight: one for each test whose noise study has several sessions
}

// Of returns the result for the athletes given alone, with the noise that judged them;
// the family stays that of the
// call, since it was looked at as a whole.
func (r Result) Of(athletes []string) Result {
	other := func(name string) bool { return !slices.Contains(athletes, name) }
	r.Changes = slices.DeleteFunc(slices.Clone(r.Changes), func(c Change) bool { return other(c.Athlete) })
	r.Runs = slices.DeleteFunc(slices.Clone(r.Runs), func(run Run) bool { return other(run.Athlete) })
	r.Noise = slices.DeleteFunc(slices.Clone(r.Noise), func(n noise.Model) bool {
		return !slices.ContainsFunc(r.Changes, func(c Change) bool { return c.Measure == n.Measure && c.Group == n.Group })
	})
	var left []LeftOut
	for _, l := range r.LeftOut {
		if l.Athletes = slices.DeleteFunc(slices.Clone(l.Athletes), other); len(l.Athletes) > 0 {
			left = append(left, l)
		}
	}
	r.LeftOut = left
	r.seasonsOf(athletes)
	r.practiceOf()
	return r
}
