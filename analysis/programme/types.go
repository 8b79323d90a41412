package programme

import (
	"errors"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
)

// Errors that callers test with errors.Is.
var (
	// ErrTooFew: too few athletes have both scores.
	ErrTooFew = errors.New("too few athletes with both scores")
	// ErrInput: the parts of the input do not belong together.
	ErrInput = errors.New("unusable input")
)

// An Assigned says how the groups arose.
type Assigned string

// The ways.
const (
	Unknown  Assigned = "unknown"  // nobody said: read as existing
	Random   Assigned = "random"   // by lot
	ByScore  Assigned = "by-score" // picked by the score before
	Existing Assigned = "existing" // groups that were there before, such as two squads
)

// An Input is one outcome of athletes before and after.
type Input struct {
	Measure string
	Before  []float64 // NaN where missing; logarithms on the log scale
	After   []float64
	Trained []bool   // nil: one group, all trained
	Level   []string // nil or the level of each: a factor, and permutations stay within it

	Worthwhile   float64 // smallest difference that matters; 0 when nobody said
	Reliability  float64 // of the score before, of its sessions and attempts; NaN when not known
	TypicalError float64 // of a score; 0 when not known
}

// Options are choices; the zero value is of use.
type Options struct {
	Level      float64  // of intervals; 0 means 0.95
	Assigned   Assigned // "" means Unknown
	Replicates int      // permutations where there are too many for all; 0 means 9999
	Seed       uint64
}

// A Result is what one outcome came to.
type Result struct {
	Measure  string
	Assigned Assigned
	Groups   []Group // the trained first
	Missing  []Missing

	Adjusted    *Coefficient // trained less control by ANCOVA; nil with one group
	Permutation float64      // p of the robust t over permuted labels; NaN with one group
	Permuted    int          // permutations behind it
	AllPermuted bool         // all there are
	Change      *Coefficient // difference of the changes; nil where groups did not exist before
	Baseline    float64      // baseline difference, trained less control, in SD within groups
	Artefact    float64      // what ANCOVA shows of that without any effect; NaN when not known
	Regression  float64      // what the trained are expected to change by having been picked; NaN when not

	Spread  *Spread
	Matters Matters
	Caveats []caveat.Caveat
	Level   float64
	Worthy  float64 // the worthwhile difference it was held against
}

// Matters says whether a difference is large enough to matter.
type Matters string

// The answers.
const (
	Yes     Matters = "yes"
	No      Matters = "no"
	Unclear Matters = "unclear"
)

// A Group is the athletes of one arm who have both scores.
type Group struct {
	Trained       bool
	N             int
	Before, After float64 // means
	Change        estimate.Estimate
	P             float64
	Hedges        estimate.Estimate // change over the SD before, with J
	SignedRank    SignedRank
	Changes       []float64 // of the athletes, in the order of the input
	Athletes      []int     // their places in the input
}

// A Missing counts those who lack a score, with the mean before of those who have that.
type Missing struct {
	Trained bool
	N       int
	Before  float64 // NaN when none has it
}

// A Spread is how far true responses differ.
type Spread struct {
	SD         estimate.Estimate // sign·√|V| of V = s²(trained) - s²(control)
	Differ     bool              // lower limit above 0 and Brown-Forsythe under 0.05
	BrownP     float64           // NaN without a control
	Controlled bool              // false: the noise of the study stands in for a control, and there is no verdict
	Share      estimate.Estimate // of athletes whose true response is beyond the worthwhile one; NaN without one
}

// The doubts.
const (
	// LordsParadox: ANCOVA and change scores part, Numbers[0] and Numbers[1]: the answer hangs
	// on how the groups would have moved anyway.
	LordsParadox caveat.Kind = "answers-part"
	// NotSaidHow: nobody said how the groups arose.
	NotSaidHow caveat.Kind = "not-said-how"
	// PickedByScore: the trained were picked by their score, so they are expected to change by
	// Numbers[0] without any training; NaN is left out.
	PickedByScore caveat.Kind = "picked-by-score"
	// NoControl: one group alone: a change holds whatever the weeks added.
	NoControl caveat.Kind = "no-control"
	// LostAthletes: Numbers[0] of the trained and Numbers[1] of the control lack a score.
	LostAthletes caveat.Kind = "lost-athletes"
	// SmallArm: an arm has Numbers[0] athletes: intervals of skewed scores hold about 90 %.
	SmallArm caveat.Kind = "small-arm"
)
