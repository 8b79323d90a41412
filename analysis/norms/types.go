package norms

import (
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
)

// A Test is the scores of one session in one test, an athlete each.
type Test struct {
	Measure, Unit string
	Scale         score.Scale     // the scale of the noise, on which scores are drawn to their spread
	Better        score.Direction // percentiles count towards it; unknown counts as [score.Higher]
	Athletes      []string
	Scores        []float64        // in the unit; NaN where an athlete has none
	Groups        []string         // of each athlete, "" for none; nil when athletes are not told apart
	Levels        []string         // of play of each athlete, "" when not known; nil for all
	Noise         map[string]Noise // by group, "" for all athletes; a group without one has no known noise
}

// A Noise is the typical error of one session score, on the scale of its test.
type Noise struct {
	TypicalError, DF float64
	Source           string // in words
}

// Known reports whether there is a typical error.
func (n Noise) Known() bool { return n.TypicalError > 0 }

// Whom says of which athletes a reference is: of those with a value of a column, or of
// the whole cohort, where both are "".
type Whom struct{ Column, Value string }

// Whole reports whether all athletes are meant.
func (w Whom) Whole() bool { return w.Column == "" }

// A QuantileAt is a quantile of a group. P counts towards better: at 0.9, nine in ten of
// the group are worse.
type QuantileAt struct {
	P float64
	estimate.Estimate
}

// A Reference is what is known of one group in one test. Scores, mean, standard deviation
// and quantiles are in the unit of the test on either scale.
type Reference struct {
	Measure, Unit string
	Scale         score.Scale
	Better        score.Direction
	Whom

	Athletes  int
	Mean, SD  float64      // NaN when there are too few athletes
	Quantiles []QuantileAt // those that lie between the extremes
	// Coarse says that at least one quantile has no attainable limits, or that the numbers
	// are those of a norms file, which rounds them.
	Coarse   bool
	Centiles *Centiles // nil where they are not allowed

	Noise  Noise
	Rho    float64   // the share of the group's variance that is not noise; NaN when the noise is not known
	Scores []float64 // the group's own, in order of size; nil out of a norms file

	scaled [2]float64 // mean and standard deviation on Scale
}

// A Place is where an athlete stands in one test and group.
type Place struct {
	Athlete, Measure string
	Score            float64 // in the unit
	// ScoreLower and ScoreUpper are as far as its noise reaches, x ∓ t TE on the scale of the
	// test; NaN when the noise is not known.
	ScoreLower, ScoreUpper float64
	Whom
	Others   int       // in the group, the athlete not counted
	Rank     int       // of the score as measured, the athlete counted; 1 is best; 0 when not known
	Standing *Standing // nil when the group is too small
}

// A Result is the references of one test, each group in order of its name and then the
// whole cohort, and the places of athletes, own group first.
type Result struct {
	References []Reference
	Places     []Place
	Caveats    []caveat.Caveat
}

// Options say how a test is analysed. The zero value is useful.
type Options struct {
	Level  float64  // of limits, in (0, 1); 0 means 0.95
	Column string   // of the groups
	Asked  []string // athletes whose places are wanted; nil: all
}

func (o Options) level() float64 {
	if o.Level == 0 {
		return 0.95
	}
	return o.Level
}

// Percentiles are the quantiles of a reference table.
func Percentiles() []float64 { return []float64{0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95} }

// The doubts of norms.
const (
	// NoiseNotKnown: the bands are those of sampling alone.
	NoiseNotKnown caveat.Kind = "norms-noise-not-known"
	// NoNoiseFor: noise was named, and there is none for the test: Names[0] says why.
	NoNoiseFor caveat.Kind = "norms-no-noise-for"
	// GroupTooSmall: Names[0] has Numbers[0] others, fewer than are needed to stand among.
	GroupTooSmall caveat.Kind = "norms-group-too-small"
	// WithoutScore: Numbers[0] of Numbers[1] athletes have no score in the session.
	WithoutScore caveat.Kind = "norms-without-score"
	// MostlyNoise: in the group Names[0] a share Numbers[0] of the spread, or less, is the
	// athletes'.
	MostlyNoise caveat.Kind = "norms-mostly-noise"
	// MoreCounted: nobody said which way is better.
	MoreCounted caveat.Kind = "norms-more-counted-as-better"
	// Ungrouped: Numbers[0] athletes have no group, and stand in the whole cohort alone.
	Ungrouped caveat.Kind = "norms-ungrouped"
	// SharedNoise: the noise of all athletes together stands in for that of Names, groups.
	SharedNoise caveat.Kind = "norms-shared-noise"
	// OtherAttempts: the scores rest on Numbers[0] attempts, those of the noise study on
	// Numbers[1].
	OtherAttempts caveat.Kind = "norms-other-attempts"
	// SameTable: the norms file was made of the very table.
	SameTable caveat.Kind = "norms-same-table"
	// NotInFile: the norms file keeps no group Names[0] of the test.
	NotInFile caveat.Kind = "norms-not-in-file"
	// NotKept: what a norms file leaves out, and why: Names are the test's group and a
	// [Reason].
	NotKept caveat.Kind = "norms-not-kept"
)
