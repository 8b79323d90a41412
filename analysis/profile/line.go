package profile

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
)

// TooClose is the kind of an interval that is missing because the loads lie too close
// together for the noise: no load is excluded.
const TooClose estimate.Kind = "loads-too-close"

// Loads.
const (
	leastLoads = 3
	farthest   = 1.5 // times the heaviest load, beyond which F0 is extrapolated
)

// findLines finds the tests of one movement at three or more loads.
func (b *battery) findLines() {
	at := map[string]int{}
	for i, t := range b.tests {
		if t.Role == Outcome || !(t.Load > 0) || t.Quantity != "speed" && t.Quantity != "velocity" || t.Scale == score.Log {
			continue
		}
		key := fmt.Sprintf("%q %q %q %q %q", t.Plane, t.Region, t.Side, t.Countermovement, t.Unit)
		if _, known := at[key]; !known {
			at[key] = len(b.lines)
			b.lines = append(b.lines, nil)
		}
		b.lines[at[key]] = append(b.lines[at[key]], i)
	}
	b.lines = slices.DeleteFunc(b.lines, func(l []int) bool {
		slices.SortStableFunc(l, func(x, y int) int { return compare(b.tests[x].Load, b.tests[y].Load) })
		different := map[float64]bool{}
		for _, t := range l {
			different[b.tests[t].Load] = true
		}
		return len(different) < leastLoads
	})
}

// line is the velocity of one movement against its load by generalised least squares with
// the covariances E of the velocities' errors,
//
//	(V0, b) = (X'E⁻¹X)⁻¹ X'E⁻¹ v    V0 ∓ t √C_00    F0 = -V0/b
//
// C = (X'E⁻¹X)⁻¹, t on the degrees of freedom of the noise, F0 by Fieller's set. The
// residuals serve a test of lack of fit only, r'E⁻¹r/(m-2) by F(m-2, df): with few loads
// they say nothing of the noise, which is known from the noise study.
func (w *work) line(g *group, at int, tests []int) (Line, bool) {
	l := Line{LackOfFit: math.NaN()}
	for _, t := range tests {
		if g.has(at, []term{{t, 1}}) && !w.aside(g.rows[at], t) {
			l.Tests, l.Loads = append(l.Tests, t), append(l.Loads, g.b.tests[t].Load)
			l.Velocities = append(l.Velocities, last(g.b.tests[t], g.rows[at]))
		}
	}
	if len(l.Tests) < leastLoads {
		return l, false
	}
	n := len(l.Tests)
	e, df := mat.NewSymDense(n, nil), math.Inf(1)
	x := mat.NewDense(n, 2, nil)
	for j, t := range l.Tests {
		x.Set(j, 0, 1)
		x.Set(j, 1, l.Loads[j])
		for k, u := range l.Tests[:j+1] {
			c := g.co[t][u]
			e.SetSym(j, k, c.s)
			if c.known {
				df = min(df, c.df)
			}
		}
	}
	var chol mat.Cholesky
	return l, chol.Factorize(e) && l.fit(x, &chol, df, w.o.Level)
}

func (l *Line) fit(x *mat.Dense, e *mat.Cholesky, df, level float64) bool {
	var ex mat.Dense
	var information mat.SymDense
	if e.SolveTo(&ex, x) != nil {
		return false
	}
	var product mat.Dense
	product.Mul(x.T(), &ex)
	information = *mat.NewSymDense(2, []float64{product.At(0, 0), product.At(0, 1), product.At(0, 1), product.At(1, 1)})
	var chol mat.Cholesky
	if !chol.Factorize(&information) {
		return false
	}
	var c mat.SymDense
	if chol.InverseTo(&c) != nil {
		return false
	}
	v := mat.NewVecDense(len(l.Velocities), l.Velocities)
	var right, beta, fitted, left, weighed mat.VecDense
	right.MulVec(ex.T(), v)
	beta.MulVec(&c, &right)
	fitted.MulVec(x, &beta)
	left.SubVec(v, &fitted)
	if e.SolveVecTo(&weighed, &left) != nil {
		return false
	}
	free := float64(len(l.Velocities) - 2)
	l.LackOfFit = dist.FSurvival(mat.Dot(&left, &weighed)/free, free, df)
	l.Slope = -beta.AtVec(1)
	l.V0 = around(beta.AtVec(0), math.Sqrt(c.At(0, 0)), df, level)
	l.F0 = l.crossing(&c, df, level)
	l.Extrapolated = l.F0.Value > farthest*slices.Max(l.Loads)
	return true
}

// crossing is F0, the ratio of V0 to the slope.
func (l *Line) crossing(c *mat.SymDense, df, level float64) estimate.Estimate {
	r := ratio{num: l.V0.Value, den: l.Slope, vNum: c.At(0, 0), vDen: c.At(1, 1), co: -c.At(0, 1), df: df}
	if !(l.Slope > 0) {
		return estimate.Bare(math.NaN(), TooClose)
	}
	e := r.index(func(x float64) float64 { return x }, level)
	if !e.HasInterval() {
		e.Kind = TooClose
	}
	return e
}

// lineIndices are a line as indices: V0 and F0 are read from the same line, so neither its
// slope nor F0/V0 carries a grade.
func (w *work) lineIndices(g *group, l Line) []Index {
	name := func(t int) string { return g.b.tests[t].Name }
	one := Index{Kind: LoadVelocity, Measure: name(l.Tests[0]), With: name(l.Tests[len(l.Tests)-1]), Grade: None,
		Past: math.NaN(), Share: math.NaN(), Ungraded: NoRule}
	v0, f0 := one, one
	v0.Estimate, v0.Unit = l.V0, g.b.tests[l.Tests[0]].Unit
	f0.Estimate, f0.Unit = l.F0, "kg"
	return []Index{v0, f0}
}
