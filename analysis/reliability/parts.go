package reliability

import "noisefloor/analysis/anova"

// parts are the pieces of a complete table that influence and the large-sample
// interval work on: what each athlete adds to the sums of squares.
type parts struct {
	n, k       int
	row        []float64 // athlete's mean - grand mean
	residualSS []float64 // athlete's sum of squared residuals
}

func partsOf(y []float64, a anova.TwoWay) parts {
	p := parts{n: a.N, k: a.K, row: make([]float64, a.N), residualSS: make([]float64, a.N)}
	for i := range p.n {
		p.row[i] = a.RowMeans[i] - a.GrandMean
		for j := range p.k {
			e := (y[i*p.k+j] - a.RowMeans[i]) - (a.ColMeans[j] - a.GrandMean)
			p.residualSS[i] += float64(e * e)
		}
	}
	return p
}
