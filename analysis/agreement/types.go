// Package agreement compares two occasions of the same test on the same
// athletes: mean difference, limits of agreement, and whether the error grows
// with the value (Bland & Altman 1986, 1999).
package agreement

import (
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
)

// Options choose the levels. The zero value means 95 % for both.
type Options struct {
	Level    float64 // confidence level of the intervals; 0 means 0.95
	Coverage float64 // share of differences inside the limits; 0 means 0.95
	OnLog    bool    // the scores are logarithms already: do not advise the log scale
}

// A Point is one athlete's pair.
type Point struct {
	Athlete          string
	Mean, Difference float64 // (first+second)/2, second-first
}

// A Result is the agreement of two occasions.
type Result struct {
	From, To string // the occasions: differences are To minus From
	N        int    // athletes with both
	Level    float64
	Coverage float64

	Bias estimate.Estimate // mean difference; Student t interval
	SD   float64           // of the differences, n-1

	// The limits of agreement, bias -+ z SD, with exact intervals
	// (noncentral t, Carkeet 2015).
	Lower, Upper estimate.Estimate
	// The same limits with the large-sample intervals of Bland & Altman 1986.
	LowerApprox, UpperApprox estimate.Estimate
	// Where one further difference is expected: bias -+ t SD sqrt(1+1/n).
	PredictionLower, PredictionUpper float64

	Slope  estimate.Estimate // of the difference on the mean (proportional bias)
	SlopeP float64
	// slope, on the mean, of the absolute residual of the line behind Slope (error grows with the
	// value)
	Spread  estimate.Estimate
	SpreadP float64
	// The lines behind Slope and Spread, difference = B0 + B1·mean and absolute
	// residual = C0 + C1·mean: B1 and C1 are the values of Slope and Spread. NaN
	// where there is no line. See [Result.LimitsAt].
	B0, B1, C0, C1 float64
	LogAdvised     bool               // Spread's interval lies above zero and every score is positive
	SpreadOnLog    *estimate.Estimate // Spread refitted on logarithms, when LogAdvised
	Cured          bool               // on the log scale the interval of Spread holds zero
	Advice         caveat.Kind        // on the scale: one of the kinds of caveats, "" when there is nothing to say

	Points  []Point
	Caveats []caveat.Caveat // the advice is one of them
}
