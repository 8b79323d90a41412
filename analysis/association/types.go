// Package association asks which tests go with throwing or bat speed, and
// whether rotational tests do so more than straight-line ones.
package association

import (
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
)

// A Variable is one column, a number for each athlete, NaN where missing.
type Variable struct {
	Name, Unit string
	Plane      string // transverse (rotational), sagittal (straight-line), frontal, ""
	Value      []float64

	// Better says which way the measure improves. It leaves every r of an
	// [Association] as the data have it; comparisons and plane summaries turn
	// the tests so that better is higher, and say so. Where it is unknown, of a
	// test or of the outcome, nothing is turned: sizes |r| are compared, and
	// planes as wholes are not.
	Better score.Direction

	// Reliability of Value (of the mean over the sessions that made it), and in
	// words where it is from; NaN when unknown, or 0 without a source.
	Reliability       float64
	ReliabilitySource string
	// Sessions, when the reliability is from the same table, holds the session
	// scores behind Value, row-major, athletes by len/athletes, for the
	// bootstrap of the corrected correlation; nil otherwise.
	Sessions []float64

	// Study holds, when the reliability is from a study of other athletes, the
	// session scores of that study, row-major, Input.StudyAthletes by
	// len/StudyAthletes, NaN where missing; nil otherwise. The bootstrap then
	// resamples both studies. Sessions, if given, come first.
	Study []float64
	// ValueSessions is the number of sessions of which Value is the mean: the
	// study's reliability of one session is stepped up to it; 0 means 1.
	ValueSessions int
}

// An Input is one outcome, the tests to compare with it, and what to allow for.
type Input struct {
	Athletes   []string
	Outcome    Variable
	Tests      []Variable
	Covariates []Variable
	Group      []string // level of play of each athlete for the within-level analysis, "" where missing; nil means none
	GroupName  string

	StudyAthletes []string // the athletes of the separate study, one for each row of every Variable.Study
}

// Options choose the level and the comparisons. The zero value: 95 %,
// transverse against sagittal.
type Options struct {
	Level      float64   // confidence level; 0 means 0.95
	Planes     [2]string // planes whose tests are compared pair by pair; empty means transverse, sagittal
	Seed       uint64
	Replicates int // of every bootstrap; 0 means 2000

	Bootstrap bool      // fill the BCa fields of correlations and comparisons
	Blocks    BlockForm // how [Models] takes the tests of a plane

}

// A Correlation is an r with its interval and p values.
type Correlation struct {
	estimate.Estimate
	N     int
	DF    float64
	P     float64
	PHolm float64 // over all tests of this kind of r
	PBH   float64

	PMethod PMethod // how P was made

	BCa *estimate.Estimate // with Options.Bootstrap: athletes resampled (Efron 1987); else nil
}

// A PMethod says how a p value was made.
type PMethod string

// The methods of the p values of correlations.
const (
	NoP      PMethod = ""      // there is none
	StudentP PMethod = "t"     // Student t of r
	ExactP   PMethod = "exact" // the share of all orders
)

// An Association is one test against the outcome.
type Association struct {
	Measure, Unit, Plane string
	N                    int
	Flipped              bool // lower is better: r counts with the other sign in comparisons and plane summaries
	Undirected           bool // nobody said which way the test or the outcome improves: r has a size only
	Pearson              Correlation
	Spearman             Correlation
	Partial              *Correlation // covariates held constant
	Within               *WithinGroups
	Corrected            *Corrected
	Slope                estimate.Estimate // outcome's unit for one unit of the test
	// the least-squares line with its confidence band, left to right; nil when there is none
	Line    []LinePoint
	Caveats []caveat.Caveat
	Points  []Point
}

// WithinGroups is the correlation with the level means removed.
type WithinGroups struct {
	Correlation         // pooled within levels, df n-g-1
	Across      float64 // r over the same athletes, levels ignored
	Groups      []GroupR
	Homogeneity Test // are the levels' r equal?
	Differ      bool // they are not, by that test alone: the pooled r describes none of them
	Parted      bool // Across and the r within a level disagree; see [Within]
	Says        Mixing
	Corrected   *Corrected // the pooled r, with both reliabilities within a level
}

// GroupR is the correlation inside one group.
type GroupR struct {
	Group       string
	Correlation // its Kind says why there is no r
}

// A Test is a chi-square test.
type Test struct{ Statistic, DF, P float64 }

// Corrected is r / sqrt(rel_x rel_y) (Spearman 1904).
type Corrected struct {
	estimate.Estimate
	ReliabilityTest, ReliabilityOutcome float64
	AboveOne                            bool      // shown as it is, and flagged
	Sources                             [2]Source // of the two reliabilities, test and outcome
}

// A Source says where the reliability of a variable is from.
type Source struct {
	Variable     string
	Given        string  // in the words of who gave it, "" when nobody did
	Sessions     int     // behind it, when it was computed here
	Apart        bool    // those are sessions of another study
	TypicalError float64 // of a change: what its reliability was computed from; else 0
}

// A Comparison is the difference of two correlations that share the outcome.
type Comparison struct {
	A, B                            string
	PlaneA, PlaneB                  string
	N                               int               // athletes with all three
	FlippedA, FlippedB              bool              // lower is better: the signs of its r are turned
	Absolute                        bool              // sizes |r| are compared: no direction of A, B or the outcome
	RA, RB, RAB                     float64           // outcome with A, outcome with B, A with B; better is higher
	Difference                      estimate.Estimate // RA - RB, Zou 2007
	T, DF, PWilliams, PWilliamsHolm float64           // Williams' t (Steiger 1980)
	Z, PMeng                        float64           // Meng, Rosenthal & Rubin 1992
	Within                          bool              // level means were removed first

	// of the difference, with Options.Bootstrap and 40 athletes or more (Efron 1987); else nil
	BCa *estimate.Estimate
}

// A PlaneSummary describes the tests of one plane together, each turned so that
// better is higher.
type PlaneSummary struct {
	Plane           string
	Tests           int     // tests with an r
	MeanR           float64 // back-transformed mean of Fisher's z
	Absolute        bool    // of sizes |r|: nobody said which way some test or the outcome improves
	Lowest, Highest float64
	Best            string // test with the largest |r|; chosen after looking
}

// A Point is one athlete in a scatter.
type Point struct {
	Athlete, Group string
	X, Y           float64
}

// A Result is everything about one outcome.
type Result struct {
	Outcome, OutcomeUnit string
	Level                float64
	Athletes             int // with an outcome
	Associations         []Association
	Comparisons          []Comparison
	WithinComparisons    []Comparison // the same with level means removed, when levels were given
	Planes               []PlaneSummary
	Family               int // tests looked at
	Caveats              []caveat.Caveat

	// the planes of the options, all their tests together; nil unless both have tests
	PlaneContrast       *PlaneContrast
	WithinPlaneContrast *PlaneContrast // the same with level means removed, when levels were given
}
