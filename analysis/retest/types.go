// Package retest judges the changes of single athletes: is a change more than
// noise, and is it large enough to matter? The two questions are never merged.
package retest

import (
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
	Worthwhile *float64   // overrides Noise.Worthwhile, on Noise.Scale
	// Digests of the table's sessions (same order as Scores.Sessions), to
	// recognise a change that was part of the noise study; nil to skip.
	Digests []string
}

// Options choose levels and extras. The zero value: 95 % and 80 % intervals.
type Options struct {
	Level      float64 // 0 means 0.95
	Narrow     float64 // level of the second interval; 0 means 0.80
	Regression bool    // add the change expected from regression to the mean, and the change beyond it
}

// A Verdict is one of five answers.
type Verdict string

// The verdicts, in plain words.
const (
	RealWorthwhile Verdict = "real and worthwhile"
	RealUnclear    Verdict = "real, worth unclear"
	RealSmall      Verdict = "real but small"
	WithinNoise    Verdict = "not shown: within the noise"
	TriviallySmall Verdict = "shown to be trivially small"
)

// A Change is one athlete's change in one measure, on the scale of the noise
// model (natural-log units on the log scale, with percent companions).
type Change struct {
	Athlete  string
	Measure  string
	From, To []string // sessions

	Baseline, FollowUp float64           // raw units; on the log scale the geometric mean of several sessions
	Change             estimate.Estimate // D with its interval at Options.Level
	Narrow             estimate.Estimate // the same at Options.Narrow
	SE, DF             float64
	Detectable         float64            // t(1-alpha/2, df) SE
	Worthwhile         float64            // NaN when there is none
	Percent            *estimate.Estimate // log scale only: 100(exp(D)-1)

	P, PHolm, PBH float64 // of no change, two-sided; adjusted over the family
	Chance        *Chance // nil when there is no worthwhile change

	Real        bool // the interval excludes 0
	Verdict     Verdict
	Direction   string // "rise", "fall", "none" (exactly no change)
	Better      string // "better", "worse", "" when Direction is none
	RealAfterBH bool   // PBH <= 1 - level

	RCI      float64            // Jacobson & Truax 1991: D / (sqrt(2) TE)
	Expected *float64           // regression to the mean: (1-r)(mean - baseline), on the scale
	Beyond   *estimate.Estimate // D - Expected
}

// A Chance splits belief about the true change three ways (t distribution, flat
// prior): above +worthwhile, inside, below -worthwhile. The sum is 1.
type Chance struct{ Rise, Trivial, Fall float64 }

// A Family counts the comparisons that were made together.
type Family struct {
	Changes             int
	Real                int
	RealAfterBH         int
	ExpectedFalseAlarms float64 // changes * (1 - level), had nobody changed
}

// A Run is one athlete's course over the sessions on a band of noise around
// the baseline.
type Run struct {
	Athlete, Measure string
	Sessions         []string
	Value            []float64 // raw units, NaN where missing
	Baseline         float64
	Low, High        float64 // baseline -+ detectable change, raw units
	Real             []bool  // session judged and past the noise
	Judged           []bool
}

// A LeftOut counts athletes that could not be judged.
type LeftOut struct {
	Measure, Reason string
	Athletes        []string
}

// A Result holds every change of every test.
type Result struct {
	Level, Narrow float64
	Changes       []Change      // by test, then follow-up, then athlete, in the order given
	Noise         []noise.Model // one for each test
	Runs          []Run
	Family        Family
	LeftOut       []LeftOut
	Warnings      []string
}
