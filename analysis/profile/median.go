package profile

import (
	"math"
	"slices"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/moment"
	"noisefloor/analysis/norms"
	"noisefloor/analysis/rank"
)

// medianError is the standard error of the median of a normal sample over s/√n, √(π/2).
var medianError = math.Sqrt(math.Pi / 2)

// aboveMedian is the chance that the true score lies above the group's median,
//
//	P = T((x - median)/√(TE² + π s²/(2n)), df)
//
// T the distribution function of Student's t on the degrees of freedom of the typical
// error: the noise of the score and that of the median, nothing assumed of where the
// athlete stands.
func aboveMedian(x float64, g norms.Group) float64 {
	sorted := slices.Sorted(slices.Values(g.Scores))
	se := math.Hypot(g.TypicalError, medianError*moment.SD(sorted)/math.Sqrt(float64(len(sorted))))
	return dist.TCDF((x-rank.Quantile(sorted, 0.5, 8))/se, g.DF)
}
