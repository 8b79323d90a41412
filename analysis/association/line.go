package association

import (
	"math"
	"slices"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/moment"
)

// A LinePoint is a place on the fitted line: the outcome to be expected at X on
// average, with the confidence interval of that mean.
type LinePoint struct {
	X float64
	Y estimate.Estimate
}

const linePoints = 41 // places along the line, enough for a smooth band

// line walks the least-squares line from the smallest x to the largest,
//
//	y(x) -+ t(1-alpha/2, n-2) s sqrt(1/n + (x - mean x)^2 / Sxx)
//
// (Draper & Smith 1998, Applied Regression Analysis, section 1.4; from memory).
// It is nil where no line can be fitted.
func line(x, y []float64, level float64) []LinePoint {
	fit, err := moment.Line(x, y)
	if err != nil || fit.DF < 1 {
		return nil
	}
	low, high := slices.Min(x), slices.Max(x)
	t := dist.TQuantile((1+level)/2, fit.DF)
	out := make([]LinePoint, linePoints)
	for i := range out {
		at := low + (high-low)*float64(i)/(linePoints-1)
		d := at - fit.MeanX
		se := fit.ResidualSD * math.Sqrt(1/float64(fit.N)+float64(d*d)/fit.SSX)
		half := t * se
		mean := fit.At(at)
		out[i] = LinePoint{at, estimate.Around(mean, half, se, fit.DF, level, estimate.StudentT)}
	}
	return out
}
