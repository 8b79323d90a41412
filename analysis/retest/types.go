// Package retest judges the changes of single athletes: is a change more than
// noise, and is it large enough to matter? The two questions are never merged.
//
// The noise comes from a study in which nothing was trained between sessions
// ([noise.Model]), never from the change that is judged: [Judge] refuses that.
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
	Worthwhile *float64   // overrides Noise.Worthwhile, on Noise.Scale; 0 means none
	// Digests of the table's sessions (same order as Scores.Sessions), to
	// recognise a change that was part of the noise study; nil to skip.
	Digests []string

	// Summary is how the attempts became Scores; a warning says when the noise
	// study used another. "" skips the comparison.
	Summary score.Summary
}

// Options choose levels and extras. The zero value: 95 % and 80 % intervals.
type Options struct {
	Level      float64 // 0 means 0.95
	Narrow     float64 // level of the second interval; 0 means 0.80
	Regression bool    // add the change expected from regression to the mean, and the change beyond it
	Learning   bool    // add the change expected from practice with the test, and the change beyond it
}

// A Verdict is one of five answers.
type Verdict string

// The verdicts, in plain words. L to U is the interval at Options.Level, w the
// worthwhile change; the first that holds is given. A limit that equals 0 or w
// exactly is past neither.
const (
	RealWorthwhile Verdict = "real and worthwhile"         // L > 0 or U < 0, and L > w or U < -w
	RealSmall      Verdict = "real but small"              // L > 0 or U < 0, and -w < L, U < w
	RealUnclear    Verdict = "real, worth unclear"         // L > 0 or U < 0
	TriviallySmall Verdict = "shown to be trivially small" // -w < L, U < w
	WithinNoise    Verdict = "not shown: within the noise" // every other
)

// A Change is one athlete's change in one measure, on the scale of the noise
// model (natural-log units on the log scale, with percent companions).
type Change struct {
	Athlete  string
	Measure  string
	From, To []string // the sessions that were averaged: those of the occasion that the athlete has

	Baseline, FollowUp float64           // raw units; on the log scale the geometric mean of several sessions
	Change             estimate.Estimate // D with its interval at Options.Level
	Narrow             estimate.Estimate // the same at Options.Narrow
	SE, DF             float64
	FromComponents     bool               // SE and DF are from the variance components, for other numbers of attempts than the study's
	NoiseWords         string             // where SE is from: "typical error of the noise study"
	Detectable         float64            // t(1-alpha/2, df) SE
	Worthwhile         float64            // NaN when there is none
	Percent            *estimate.Estimate // log scale only: 100(exp(D)-1)

	P, PHolm, PBH float64 // of no change, two-sided; adjusted over the family
	Chance        *Chance // nil when there is no worthwhile change

	Real        bool // the interval excludes 0
	Verdict     Verdict
	Direction   string // "rise", "fall", "none" (exactly no change)
	Better      string // "better", "worse", "" when Direction is none or nobody said which is better
	RealAfterBH bool   // PBH <= 1 - level

	RCI      float64            // Jacobson & Truax 1991: D / SE, which is D / (sqrt(2) TE) for one session each; NaN when SE is 0
	Expected *float64           // regression to the mean: (1-r)(mean - baseline), on the scale
	Beyond   *estimate.Estimate // D - Expected

	// A second reading, which changes no verdict; nil unless asked for and known.
	Learning          *estimate.Estimate // what one more exposure to the test is expected to bring, on the scale
	AfterLearning     *estimate.Estimate // D - Learning, with the uncertainty of both
	RealAfterLearning bool               // its interval excludes 0
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
// the baseline. Athletes without a baseline have none.
type Run struct {
	Athlete, Measure string
	Sessions         []string  // all of the table
	Value            []float64 // raw units, NaN where missing
	Baseline         float64   // raw units
	Low, High        float64   // baseline -+ the detectable change of a single-session follow-up, the largest of those judged, raw units
	Real             []bool    // session judged and past the noise
	Judged           []bool    // session is a follow-up of its own
}

// A LeftOut names the athletes that could not be judged, for one reason. With
// several follow-ups an athlete can lack one and be judged in another.
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
