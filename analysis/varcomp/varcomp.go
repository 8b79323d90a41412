// Package varcomp splits the variation of repeated tests into its components:
// between athletes, from day to day within an athlete, and from trial to trial
// within a day. Any pattern of missing sessions and trials is allowed.
//
// The model of one attempt is
//
//	y = mean of the session + athlete + athlete×session + trial
//
// with fixed session means and three independent normal effects of variances
// σ²a, σ²as and σ²e.
package varcomp

import (
	"errors"

	"noisefloor/analysis/estimate"
)

// A Method is what the fit maximises.
type Method string

// The methods.
const (
	REML Method = "REML" // restricted maximum likelihood (Patterson & Thompson 1971)
	ML   Method = "ML"   // maximum likelihood: variances biased down in small studies
)

// A Model says which components there are.
type Model string

// The models.
const (
	Nested Model = "athlete + athlete×session + trial" // attempts
	Scores Model = "athlete + residual"                // session scores: the residual is called Trial
)

// Limits say how intervals are made.
type Limits string

// The kinds of limits.
const (
	Profile   Limits = "profile"    // of the criterion that was minimised: REML for a REML fit
	ProfileML Limits = "ML profile" // of the ML deviance, whatever the fit: the convention of lme4
	Bootstrap Limits = "bootstrap"  // parametric
	NoLimits  Limits = "none"
)

// Options say how to fit. The zero value is REML of the three components with
// session means, and REML profile limits at 95 %.
type Options struct {
	Method     Method  // "" means REML
	Model      Model   // "" means Nested
	SingleMean bool    // one mean for all sessions in place of one for each
	Limits     Limits  // "" means Profile
	Level      float64 // confidence level in (0, 1); 0 means 0.95
	Replicates int     // of the bootstrap; 0 means 2000
	Seed       uint64  // of the bootstrap
}

// A Merged says which components the data cannot tell apart.
type Merged string

// The kinds of merging.
const (
	NotMerged Merged = ""
	WithTrial Merged = "athlete×session with trial" // one trial per session: Trial holds the sum
	// one session per athlete, or too few shared: Athlete holds the sum
	WithAthlete Merged = "athlete×session with athlete"
	NotInTheFit Merged = "no athlete×session component" // Model is Scores
)

// A Component is a variance, in the squared unit of the data, with its SD.
type Component struct {
	estimate.Estimate                   // the variance
	SD                estimate.Estimate // its square root, in the unit of the data
	AtZero            bool              // the estimate is on the boundary, 0
}

// A Mean is the estimated mean of a session (by generalised least squares), in
// the unit of the data.
type Mean struct {
	Session   int // number in Data; -1 for the single mean of all
	N         int // attempts
	Value, SE float64
}

// A Result is a fitted model.
type Result struct {
	Method   Method
	Model    Model
	Level    float64
	Athletes int // with at least one attempt
	Sessions int // with at least one attempt
	Cells    int // pairs of athlete and session with at least one attempt
	N        int // attempts

	// The components. One that is merged into another (see Merged), or not in
	// the model, has the value NaN and says why.
	Athlete, AthleteSession, Trial Component
	Merged                         Merged

	Fixed []Mean // sessions with data, in order; or the single mean

	// Criterion is what the fit minimised: for REML
	//
	//	(N-p) ln 2π + ln|V| + ln|X'V⁻¹X| + r'V⁻¹r
	//
	// with p means (no term ln|X'X|), for ML N ln 2π + ln|V| + r'V⁻¹r. LogLik is
	// minus half of it. Both are NaN where a residual of 0 makes them infinite.
	Criterion, LogLik float64

	Iterations int
	Singular   bool // a component is at 0

	// NoResidual: every athlete changes exactly as the session means do, so the
	// error and its components come out as 0. EqualTrials: the trials of a session
	// are all the same, so the trial component does; rounded, or copied?
	NoResidual, EqualTrials bool

	fit *fitted
}

// Errors that callers test with errors.Is.
var (
	ErrTooFew    = errors.New("too little data for variance components")
	ErrShape     = errors.New("the columns of the data do not fit together")
	ErrNonFinite = errors.New("a value is not a finite number")
	ErrOption    = errors.New("no such option")
	ErrDiverged  = errors.New("the fit did not converge")
)
