package agreement

import (
	"math"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/moment"
)

// A line is a least-squares line through values against the pairs' means. Both
// lines of a comparison share those means, which are centred once.
type line struct {
	intercept, slope, slopeSE, residualSD, df float64

	why estimate.Kind // why there is no interval, "" when there is one
}

// centred returns x less its mean.
func centred(x []float64) []float64 {
	mean := moment.Mean(x)
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = v - mean
	}
	return out
}

// fit returns the line of y on x, which is centred, and the residuals: slope
// Sxy/Sxx, its standard error sqrt(SSE/(n-2)/Sxx).
func fit(x, y []float64) (line, []float64) {
	left := centred(y)
	var sxx, sxy float64
	for i, v := range x {
		sxx += float64(v * v)
		sxy += float64(v * left[i])
	}
	f := line{slope: sxy / sxx, df: float64(len(x) - 2)}
	for i, v := range x {
		left[i] -= float64(f.slope * v)
	}
	f.residualSD = rms(left, len(x)-2)
	f.slopeSE = f.residualSD / math.Sqrt(sxx)
	return f, left
}

// rms is sqrt(sum of squares / df).
func rms(x []float64, df int) float64 {
	var s float64
	for _, v := range x {
		s += float64(v * v)
	}
	return math.Sqrt(s / float64(df))
}

// through returns f with the intercept of a line through the means of x and y.
func (f line) through(x, y []float64) line {
	f.intercept = moment.Mean(y) - float64(f.slope*moment.Mean(x))
	return f
}

// interval returns the slope with its Student t interval and the two-sided p
// value of no slope, or without both when f says why not.
func (f line) interval(level float64) (estimate.Estimate, float64) {
	if f.why != "" {
		return estimate.Bare(f.slope, f.why), math.NaN()
	}
	half := dist.TQuantile((1+level)/2, f.df) * f.slopeSE
	return estimate.Around(f.slope, half, f.slopeSE, f.df, level,
		estimate.StudentT), dist.TTwoSided(f.slope/f.slopeSE, f.df)
}
