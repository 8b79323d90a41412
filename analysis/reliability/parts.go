package reliability

import "noisefloor/analysis/anova"

// parts are the pieces of a complete table that resampling, influence and the
// large-sample interval work on. Each athlete adds its own piece to the sums
// of squares, so that a resample needs additions only.
type parts struct {
	n, k       int
	row        []float64 // athlete's mean - grand mean
	residual   []float64 // session by session: residual[j*n+i] of athlete i; sums to 0 over the athletes
	residualSS []float64 // athlete's sum of squared residuals
}

func partsOf(y []float64, a anova.TwoWay) parts {
	p := parts{n: a.N, k: a.K, row: make([]float64, a.N),
		residual: make([]float64, len(y)), residualSS: make([]float64, a.N)}
	for i := range p.n {
		p.row[i] = a.RowMeans[i] - a.GrandMean
		for j := range p.k {
			e := (y[i*p.k+j] - a.RowMeans[i]) - (a.ColMeans[j] - a.GrandMean)
			p.residual[j*p.n+i] = e
			p.residualSS[i] += float64(e * e)
		}
	}
	return p
}

// meanSquares returns MSR and MSE of the resampled athletes. Session effects
// are common to all athletes and drop out of both:
//
//	SSR = k (Σ r² - (Σ r)²/n),  SSE = Σ Σ e² - Σ_j (Σ_i e_ij)²/n
func (p parts) meanSquares(index []int) (msr, mse float64) {
	n, k := float64(p.n), float64(p.k)
	var sum, squares, sse float64
	for _, i := range index {
		r := p.row[i]
		sum += r
		squares += float64(r * r)
		sse += p.residualSS[i]
	}
	for j := range p.k {
		session := p.residual[j*p.n : (j+1)*p.n]
		var s float64
		for _, i := range index {
			s += session[i]
		}
		sse -= s * s / n
	}
	msr = k * max(0, squares-sum*sum/n) / (n - 1)
	return msr, max(0, sse) / ((n - 1) * (k - 1))
}
