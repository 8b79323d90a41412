// Package estimate holds the one shape in which every number of this module
// travels: a value, its interval, what it takes to use it further, and how the
// interval was made or why there is none.
package estimate

import "math"

// A Kind says how an interval was made or, for one of the reasons, why there
// is none. It is a name, not a sentence: reports say it in words.
type Kind string

// The ways in which intervals are made.
const (
	ExactF             Kind = "exact-f"               // F distribution of a ratio of mean squares
	ApproximateF       Kind = "approximate-f"         // exact F of the complete table, used with variances by REML
	Satterthwaite      Kind = "satterthwaite"         // F with Satterthwaite's degrees of freedom (McGraw & Wong 1996)
	Generalized        Kind = "generalized"           // quantiles of the pivots of three mean squares (Tian & Cappelleri 2004)
	ChiSquare          Kind = "chi-square"            // of a mean square
	ChiSquareDF        Kind = "chi-square-df"         // chi-square with Satterthwaite's degrees of freedom
	StudentT           Kind = "student-t"             // Student t with DF degrees of freedom
	PairedT            Kind = "paired-t"              // Student t of paired differences
	GLST               Kind = "gls-t"                 // Student t, generalised least squares
	CombinedT          Kind = "combined-t"            // Student t, two standard errors with their own DF
	NoncentralT        Kind = "noncentral-t"          // exact limits of agreement (Carkeet 2015)
	LargeSample1986    Kind = "large-sample-1986"     // Bland & Altman 1986
	FisherZ            Kind = "fisher-z"              // normal on Fisher's z
	BonettWright       Kind = "bonett-wright"         // Spearman's r (Bonett & Wright 2000)
	Zou                Kind = "zou"                   // difference of two r (Zou 2007)
	Meng               Kind = "meng"                  // difference of two z (Meng, Rosenthal & Rubin 1992)
	OlkinSiotani       Kind = "olkin-siotani"         // normal on Fisher's z, covariances of dependent r (Olkin & Siotani 1976)
	NoncentralF        Kind = "noncentral-f"          // of an added R² (Smithson 2001)
	Profile            Kind = "profile"               // profile likelihood
	BCa                Kind = "bca"                   // bootstrap, bias-corrected and accelerated (Efron 1987)
	Percentile         Kind = "percentile"            // bootstrap quantiles
	ParametricBCa      Kind = "parametric-bca"        // BCa of data simulated from the fitted model
	ParametricQuantile Kind = "parametric-percentile" // quantiles of data simulated from the fitted model
	Slope              Kind = "slope"                 // of a regression slope, scaled
	Posterior          Kind = "posterior"             // quantiles of a posterior distribution
	BootstrapT         Kind = "bootstrap-t"           // quantiles of resampled (estimate - value)/SE (Efron 1982)
)

// The reasons for which there is no interval, or no value.
const (
	None          Kind = ""               // not asked for
	TooFew        Kind = "too-few"        // too little data
	NoVariation   Kind = "no-variation"   // nothing varies
	NoError       Kind = "no-error"       // no residual was seen
	NoRange       Kind = "no-range"       // the ratio or its degrees of freedom leave their range
	OnALine       Kind = "on-a-line"      // all points on one line
	NotPositive   Kind = "not-positive"   // needs a mean above zero
	Known         Kind = "known"          // the parts are taken as known
	OneSided      Kind = "one-sided"      // every resample lies on one side of the estimate
	Skewed        Kind = "skewed"         // the acceleration is too large for this level
	NoResample    Kind = "no-resample"    // too many resamples without a value
	NoReliability Kind = "no-reliability" // no reliability to correct with
	NoSessions    Kind = "no-sessions"    // a reliability without sessions to resample
	Collinear     Kind = "collinear"      // one variable is a combination of the others
	Failed        Kind = "failed"         // the computation did not converge
)

// An Estimate is a value with its interval.
type Estimate struct {
	Value float64 // the point estimate, in the unit its owner states

	// Lower and Upper are the limits of the interval at Level. Both are NaN when
	// there is no interval; a limit that does not exist on one side only is
	// -Inf or +Inf.
	Lower, Upper float64

	SE    float64 // standard error of Value; 0 when the interval does not rest on one
	DF    float64 // degrees of freedom behind the interval; 0 when it has none
	Level float64 // confidence level of Lower and Upper; 0 when its owner states it
	Kind  Kind    // how the interval was made, or why there is none
}

// Bare returns an estimate that has no interval, for the reason given.
func Bare(value float64, reason Kind) Estimate {
	return Estimate{Value: value, Lower: math.NaN(), Upper: math.NaN(), Kind: reason}
}

// Around returns value -+ half, an interval of the kind, standard error and
// degrees of freedom given.
func Around(value, half, se, df, level float64, kind Kind) Estimate {
	return Estimate{Value: value, Lower: value - half, Upper: value + half, SE: se, DF: df, Level: level, Kind: kind}
}

// HasInterval reports whether e has an interval (possibly open on one side).
func (e Estimate) HasInterval() bool {
	return !math.IsNaN(e.Lower) && !math.IsNaN(e.Upper)
}

// Excludes reports whether e has an interval and x lies outside it.
func (e Estimate) Excludes(x float64) bool {
	return e.HasInterval() && (x < e.Lower || x > e.Upper)
}

// Map returns e with the increasing function f applied to the value and to
// both limits: the interval of a monotone function of the parameter. The
// standard error, which does not carry over, is left out.
func (e Estimate) Map(f func(float64) float64) Estimate {
	e.Value, e.SE = f(e.Value), 0
	if e.HasInterval() {
		e.Lower, e.Upper = f(e.Lower), f(e.Upper)
	}
	return e
}

// Percent turns a difference on the natural-log scale into a percent change,
//
//	100 (exp(d) - 1).
//
// It is not symmetric: Percent(0.1) is 10.52, Percent(-0.1) is -9.52.
func Percent(d float64) float64 { return 100 * math.Expm1(d) }
