package association

import (
	"math"
	"slices"

	"noisefloor/analysis/bootstrap"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/linear"
)

// both is the place of the model with both planes, when there are both.
const both = 2

// add fills what each plane adds, with the intervals of ΔR².
func (d *design) add(s *ModelSet, fits []linear.Fit, o Options) {
	steps := [][2]int{{0, 1}, {1, 2}, {0, 3}, {3, 2}}
	if len(fits) < both+1 { // one plane, or none
		steps = steps[:len(fits)-1]
	}
	for _, step := range steps {
		s.Added = append(s.Added, added(s.Models, fits, step[0], step[1]))
	}
	if len(s.Added) == 0 {
		return
	}
	for k, m := range s.Models {
		if m.Reason != "" && k != both {
			return // without the model of each plane there are no resamples
		}
	}
	statistic, theta := d.deltas(len(s.Added))
	sizes := []int{len(d.y)}
	replicates := bootstrap.Joint(sizes, len(s.Added), statistic, bootstrap.Options{Replicates: o.Replicates,
		Seed: o.Seed})
	jackknife := bootstrap.JointJackknife(sizes, len(s.Added), statistic)
	for k := range s.Added {
		a := &s.Added[k]
		if math.IsNaN(a.F) {
			continue
		}
		e := bcaOrPercentile(theta[k], replicates[k], jackknife[k], s.Level)
		e.Value = a.DeltaR2.Value // the same but for rounding
		a.DeltaR2 = e
	}
}

// added compares two models, the second of which has all terms of the first.
func added(models []Model, fits []linear.Fit, from, to int) Added {
	small, large, nan := models[from], models[to], math.NaN()
	a := Added{After: small.Name, From: from, To: to, F: nan, DF1: nan, DF2: nan, P: nan, DeltaR2LOO: nan,
		DeltaR2: estimate.Bare(nan, large.Reason)}
	for _, b := range large.Blocks {
		a.Block = b
		if !slices.Contains(small.Blocks, b) {
			break
		}
	}
	if large.Reason != "" {
		return a
	}
	f0, f1 := fits[from], fits[to]
	a.DF1, a.DF2 = f0.DF-f1.DF, f1.DF
	a.F = max(0, f0.SSResidual-f1.SSResidual) / a.DF1 / (f1.SSResidual / a.DF2)
	a.P = dist.FSurvival(a.F, a.DF1, a.DF2)
	a.DeltaR2 = estimate.Bare(max(0, f1.RSquared-f0.RSquared), estimate.None)
	a.DeltaR2LOO = f1.RSquaredLOO - f0.RSquaredLOO
	return a
}

// A layout says which columns of a gram are which.
type layout struct {
	base   int // the first columns: covariates and levels, orthonormal
	second []int
	first  []int
	// second and first are composites: their columns are the tests
	secondComposed, firstComposed bool
}

// deltas returns the function that computes ΔR² of every step for a resample,
// and its values for the athletes as they are. The terms are first made
// orthogonal inside their block and to the covariates, which changes no R² and
// keeps the sums of a resample well behaved.
func (d *design) deltas(steps int) (bootstrap.Weighted, []float64) {
	var l layout
	var columns [][]float64
	add := func(more [][]float64) (at []int) {
		for _, c := range more {
			at = append(at, len(columns))
			columns = append(columns, c)
		}
		return at
	}
	l.base = len(add(d.orthonormal(d.base)))
	l.second, l.secondComposed = add(d.plane(d.second)), d.second.members != nil
	l.first, l.firstComposed = add(d.plane(d.first)), d.first.members != nil
	columns = append(columns, centre(d.y).d)
	stat := func(weight [][]float64, out []float64) { l.deltas(gramOf(columns, weight[0]), out) }
	theta := make([]float64, steps)
	stat([][]float64{ones(len(d.y))}, theta)
	return stat, theta
}

// plane returns the columns of a plane: the tests of its composite, or its
// terms, orthogonal to the covariates.
func (d *design) plane(b block) [][]float64 {
	if b.members != nil {
		return columnsOf(b.members)
	}
	return d.orthonormal(d.base, b)[len(d.base.terms):]
}

// orthonormal returns the terms of the blocks as orthonormal columns.
func (d *design) orthonormal(blocks ...block) [][]float64 {
	f, err := linear.LeastSquares(d.y, d.columns(blocks...))
	if err != nil {
		panic("association: a model that was fitted before: " + err.Error())
	}
	return f.Orthonormal()
}

// deltas computes ΔR² of second after base, first after both; first after
// base, second after both; only as many as out holds.
func (l layout) deltas(g gram, out []float64) {
	g, second, first := l.compose(g)
	y := len(g.s) - 1
	total := g.s[y][y]
	if g.original[y] == 0 {
		total = math.NaN()
	}
	for j := range l.base {
		g.out(j)
	}
	ab := g.steps(second, first, y)
	out[0] = ab[0] / total
	if len(out) == 1 {
		if len(second) == 0 {
			out[0] = ab[1] / total
		}
		return
	}
	ba := g.steps(first, second, y)
	out[1], out[2], out[3] = ab[1]/total, ba[0]/total, ba[1]/total
}

// steps returns what taking out a, and then b, takes from the sum of squares of y.
func (g gram) steps(a, b []int, y int) [2]float64 {
	order := append(append(append([]int{}, a...), b...), y)
	h, last := g.in(order), len(order)-1
	var taken [2]float64
	before := h.s[last][last]
	for j := range last {
		h.out(j)
		k := 0
		if j >= len(a) {
			k = 1
		}
		taken[k] += before - h.s[last][last]
		before = h.s[last][last]
	}
	return taken
}

// compose replaces the tests of a composite by their sum after standardising
// each in this resample, and returns the places of the two planes.
func (l layout) compose(g gram) (out gram, second, first []int) {
	var t [][]float64 // rows: new columns in terms of the old
	p := len(g.s)
	unit := func(j int) []float64 {
		row := make([]float64, p)
		row[j] = 1
		return row
	}
	for j := range l.base {
		t = append(t, unit(j))
	}
	plane := func(at []int, composed bool) (places []int) {
		if composed {
			places, t = []int{len(t)}, append(t, g.standardise(at))
			return places
		}
		for _, j := range at {
			places, t = append(places, len(t)), append(t, unit(j))
		}
		return places
	}
	second, first = plane(l.second, l.secondComposed), plane(l.first, l.firstComposed)
	if !l.secondComposed && !l.firstComposed {
		return g, second, first
	}
	return g.transformed(append(t, unit(p-1))), second, first
}

// standardise returns 1/SD of each of the columns, 0 for one that does not vary.
func (g gram) standardise(at []int) []float64 {
	row := make([]float64, len(g.s))
	for _, j := range at {
		if g.original[j] > 0 {
			row[j] = 1 / math.Sqrt(g.s[j][j])
		}
	}
	return row
}

// transformed returns t g tᵀ.
func (g gram) transformed(t [][]float64) gram {
	half := make([][]float64, len(t)) // t g
	for a, row := range t {
		half[a] = make([]float64, len(g.s))
		for j, v := range row {
			if v != 0 {
				for k := range g.s {
					half[a][k] += float64(v * g.s[j][k])
				}
			}
		}
	}
	out := gram{make([][]float64, len(t)), make([]float64, len(t))}
	for a := range t {
		out.s[a] = make([]float64, len(t))
		for b, row := range t {
			for k, v := range row {
				if v != 0 {
					out.s[a][b] += float64(half[a][k] * v)
				}
			}
		}
		out.original[a] = out.s[a][a]
	}
	return out
}
