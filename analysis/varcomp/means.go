package varcomp

import (
	"math"
	"slices"
)

// MeansCovariance returns the covariance matrix of the fixed means, in the
// order of Fixed, at the estimated variances: (X'V⁻¹X)⁻¹.
func (r Result) MeansCovariance() [][]float64 {
	if r.fit == nil {
		return nil
	}
	out := make([][]float64, len(r.Fixed))
	for i := range out {
		out[i] = make([]float64, len(r.Fixed))
	}
	f, unit := r.fit, r.fit.like.scale*r.fit.like.scale
	var inverse square
	if !f.noResidual {
		inverse = f.best.m.inverse()
	}
	for i := range out {
		for j := range out {
			switch {
			case !f.noResidual:
				out[i][j] = unit * inverse.between(i, j)
			case f.levels.part[i] == f.levels.part[j]: // the same athletes
				out[i][j] = unit * f.best.v[athlete] / f.levels.connected[i]
			}
		}
	}
	return out
}

// ChangeDF returns the Satterthwaite degrees of freedom of the squared standard
// error of [Result.Change],
//
//	df = 2 SE⁴ / (g' C g)
//
// with g its derivatives by the variances and C the covariance matrix of their
// estimates. NaN where Change is, or where the standard error is 0.
//
// Source: Giesbrecht FG, Burns JC (1985). Two-stage analysis based on a mixed
// model. Biometrics 41:477-486.
func (r Result) ChangeDF(from, to int) float64 {
	i := slices.IndexFunc(r.Fixed, func(m Mean) bool { return m.Session == from })
	j := slices.IndexFunc(r.Fixed, func(m Mean) bool { return m.Session == to })
	if r.fit == nil || i < 0 || j < 0 || i == j || r.fit.noResidual {
		return math.NaN()
	}
	f := r.fit
	contrast := make([]float64, f.like.means)
	contrast[j]++
	contrast[i]--
	contrast[0] = 0 // the column of ones is in both
	weight := f.best.m.solve(slices.Clone(contrast))
	square := dot(contrast, weight)
	slope, spread := f.contrastSlope(weight), 0.0
	for c := range 3 {
		if !f.free[c] {
			slope[c] = 0
		}
	}
	x, ok := solve3(f.info, slope, f.free)
	if !ok {
		return math.NaN()
	}
	for c := range 3 {
		spread += float64(2 * slope[c] * x[c])
	}
	return 2 * (square / spread) * square
}

// contrastSlope returns w'X'V⁻¹V_aV⁻¹Xw for the three components.
func (f *fitted) contrastSlope(weight []float64) (slope [3]float64) {
	p := f.best
	d := newLikelihood(f.like.design, true).gather(&p)
	for c := range 3 {
		for i, v := range weight {
			slope[c] += float64(v * dot(d.seen[c].row(i), weight))
		}
	}
	return slope
}
