// Package profile says what an athlete needs: where each test stands in the right
// group, and what is one-sided, slow, elastic or weak beyond the noise.
package profile

import (
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/norms"
	"noisefloor/analysis/score"
)

// An Input is a cohort as it was tested, with the noise of its tests.
type Input struct {
	Athletes []string
	Group    []string // level of each athlete; nil or "" where there is none
	Dominant []string // "left", "right" or "" of each athlete; nil when nobody said
	Tests    []Test
	Noise    []Noise // of each group, and of everybody (Group "")
	SetAside []SetAside
	Asked    []int // athletes to be profiled; nil for all. The others are their reference
}

// A Test is one test, and what it is a test of.
type Test struct {
	Name, Unit      string
	Better          score.Direction
	Scale           score.Scale // of its noise
	Role            string      // "test" or "outcome": an outcome stands, and feeds no index
	Quantity        string      // power, time, distance, speed, ...
	Region          string      // upper, trunk, lower, whole
	Plane           string      // sagittal, frontal, transverse
	Quality         string      // absolute strength, strength-speed, speed-strength, absolute speed
	Side            string      // left, right, dominant, other, both or ""
	Pair            string      // the test of the other side
	Counterpart     string      // the same with, or without, a countermovement
	Countermovement string      // "with", "without" or ""
	Quickness       string      // the test that says how fast this one's peak is reached
	Load            float64     // kg; NaN when not stated

	// Scores are the session scores in order of time, in the unit of the test, rows as
	// Athletes; the last session is the one spoken of.
	Scores score.Table
}

// A Noise is the noise of the tests in one group of athletes, or of everybody.
type Noise struct {
	Group  string
	Models []noise.Model    // at most one a test
	Errors []noise.Together // covariances of errors: of the scores, of the indices of a kind
}

// A SetAside test is left out for an athlete, with a reason.
type SetAside struct{ Athlete, Test, Reason string }

// A Grade says how sure it is that an index lies past a threshold.
type Grade string

// The grades.
const (
	None     Grade = "none"
	Possible Grade = "possible"
	Clear    Grade = "clear"
)

// An IndexKind is what an index compares.
type IndexKind string

// The kinds of index.
const (
	SideDifference IndexKind = "side_difference"
	Gain           IndexKind = "countermovement_gain"
	Gap            IndexKind = "quickness_gap"
	LoadVelocity   IndexKind = "load_velocity"
)

// An Emphasis is what training may stress: a closed set.
type Emphasis string

// The emphases.
const (
	BuildForce    Emphasis = "build force"
	MoveFaster    Emphasis = "move lighter and faster"
	UseStretch    Emphasis = "use the stretch"
	AllOfTheRange Emphasis = "all of the range"
	EvenSides     Emphasis = "even the sides"
	PlaneFirst    Emphasis = "this plane first"
	TestAgain     Emphasis = "test again first"
	SeeClinician  Emphasis = "see a clinician first"
)

// A Result is the profiles of all athletes asked for, in the order of Input.
type Result struct {
	Athletes []Athlete
	Order    []int // indices of Athletes: by grade, then by the limit nearest the threshold
	Overview Overview
	Rules    Rules
	Level    float64 // of every interval
	Caveats  []caveat.Caveat
}

// An Overview counts what was named, and what would be with nothing to find.
type Overview struct {
	Athletes, Clear, Possible       int     // profiled; with a clear emphasis by an index; with a possible one at most
	Lowest                          int     // with none, but a quality or plane told apart as the lowest
	Indices                         int     // graded, over all athletes
	ExpectedClear, ExpectedPossible float64 // athletes, were all of them ordinary
	WorstClear                      float64 // athletes, were every truth a hair inside its threshold
}

// An Athlete is one profile.
type Athlete struct {
	Name, Group string
	Index       int // in Input.Athletes
	Tests       []Score
	Indices     []Index
	Means       []Index // of the kinds with several tests: Measure is ""
	Spectrum    []Quality
	Regions     []Composite
	Planes      []Composite
	Legs        []Composite // one leg, two legs
	Lines       []Line
	Emphases    []Named
	Again       []Because
	Refer       []Because
}

// A Score is an athlete's score in one test.
type Score struct {
	Test      int     // in Input.Tests
	Value     float64 // session score; NaN when the athlete was not tested
	Lower     float64 // its noise interval, in the unit; NaN when the noise is not known
	Upper     float64
	Exposures int        // sessions in which the athlete had met the test, this one too
	Standings []Standing // own level first, then the whole cohort
	SetAside  string     // the reason; "" when it counts
}

// A Standing is a place in one reference group, better always towards 1.
type Standing struct {
	Group string // "" for the whole cohort
	norms.Standing
	AboveMedian float64 // chance that the true standing is above the group's median
}

// An Index compares two scores of one athlete.
type Index struct {
	Kind          IndexKind
	Of            []string          // of a mean: the first test of each index
	Measure, With string            // names of the tests; "" and "" for a mean
	Estimate      estimate.Estimate // in Unit
	Unit          string            // "%", "SD", "m/s", "kg"
	Grade         Grade
	RestsOn       string   // "mean", "one" or "" (grade none)
	Rule          string   // key of the rule that it met, or that it is read by
	Nearest       float64  // (limit nearest the threshold - threshold), for the order of the overview
	First         bool     // a first exposure: it feeds no grade
	Past          float64  // standard errors past the threshold of Rule; NaN without one
	Share         float64  // Gap: share of the group that truly has one so large; NaN otherwise
	Ungraded      Ungraded // why it can have no grade; "" when it can
}

// An Ungraded is why an index can have no grade.
type Ungraded string

// The reasons.
const (
	NoRule        Ungraded = "no-rule"        // no rule is for tests of this quantity
	FirstExposure Ungraded = "first-exposure" // the athlete met the test for the first time
	SmallGroup    Ungraded = "small-group"    // fewer athletes than a gap is read in
	CommonGap     Ungraded = "common-gap"     // so many truly have one that it says nothing
	OpenInterval  Ungraded = "open-interval"  // the noise leaves the ratio open
	NoErrors      Ungraded = "no-noise"       // the noise of a test is not known
)

// A Line is velocity against load: v = V0 - slope·load.
type Line struct {
	Tests        []int
	Loads        []float64         // kg
	Velocities   []float64         // in the unit of the tests
	V0           estimate.Estimate // velocity without load
	F0           estimate.Estimate // load without velocity, kg
	Slope        float64           // velocity lost a kg
	LackOfFit    float64           // p of the points being on one line; NaN where it cannot be told
	Extrapolated bool              // F0 lies beyond 1.5 times the heaviest load
}

// A Quality is a part of the spectrum, from absolute strength to absolute speed.
type Quality struct {
	Quality      string
	Tests        []int
	Standing     estimate.Estimate // posterior mean in SD of the group, with limits
	Observed     float64           // mean z of the tests
	ChanceLowest float64           // NaN where it is not given
}

// A Composite is a mean of z over the same tests for all, with the tests under it.
type Composite struct {
	Name        string // region, plane, or "one leg", "two legs"
	Tests       []int
	Value       estimate.Estimate // in SD of the group
	Standing    Standing
	Lowest      int     // test that stands lowest
	LowestZ     float64 // its z
	HiddenGrade Grade   // how surely
	HiddenRule  string  // by which rule
	OneHidden   bool    // that test is past the noise below the others
}

// A Named emphasis, with what it rests on.
type Named struct {
	Emphasis Emphasis
	Grade    Grade
	Because  []string // keys of rules, names of tests
	Plane    string   // of PlaneFirst
	Index    Grade    // how sure by indices alone
	Chance   float64  // that a quality or plane is truly the lowest; 0 where it rests on indices
}

// A Because is a test and the kind of reason.
type Because struct {
	Test string
	Why  string // a key of the rules' words
}
