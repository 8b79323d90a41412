package profile

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"

	"noisefloor/analysis/dist"
)

// overview counts what was named, and orders the athletes: by grade, then by how far the
// limit nearest the threshold lies past it; never by an estimate.
func (w *work) overview(out *Result, expected [][3]float64) {
	o := Overview{Athletes: len(out.Athletes)}
	nearest := make([]float64, len(out.Athletes))
	for i, a := range out.Athletes {
		switch a.Graded() {
		case Clear:
			o.Clear++
		case Possible:
			o.Possible++
		case None:
			o.Lowest += tick(a.Lowest())
		}
		nearest[i] = math.Inf(-1)
		for _, x := range slices.Concat(a.Indices, a.Means) {
			if x.Ungraded == "" && x.Kind != LoadVelocity {
				o.Indices += tick(x.Measure != "")
				nearest[i] = max(nearest[i], closest(x))
			}
		}
		o.ExpectedClear += expected[i][0]
		o.ExpectedPossible += expected[i][1]
		o.WorstClear += expected[i][2]
		out.Order = append(out.Order, i)
	}
	slices.SortStableFunc(out.Order, func(a, b int) int {
		return cmp.Or(-cmp.Compare(weight(out.Athletes[a].Graded()), weight(out.Athletes[b].Graded())),
			-cmp.Compare(nearest[a], nearest[b]), cmp.Compare(out.Athletes[a].Name, out.Athletes[b].Name))
	})
	out.Overview = o
}

// closest is Nearest in standard errors, so that percents and SD can be put in one order.
func closest(x Index) float64 {
	if math.IsNaN(x.Past) {
		return math.Inf(-1)
	}
	return x.Past
}

func weight(g Grade) int { return map[Grade]int{Possible: 1, Clear: 2}[g] }

func tick(b bool) int {
	if b {
		return 1
	}
	return 0
}

// ordinary is what an athlete inside all thresholds truly has: side differences N(2, 3) %,
// gains between 11 and 19 %, gaps N(0, 0.2). Common practice, no source.
func ordinary(kind IndexKind, rng *rand.Rand) float64 {
	switch kind {
	case SideDifference:
		return 2 + 3*rng.NormFloat64()
	case Gain:
		return 11 + 8*rng.Float64()
	}
	return 0.2 * rng.NormFloat64()
}

// draws of an ordinary athlete with the indices and the noise of each athlete profiled.
const draws = 64

// An expecting is one index as it can be graded, with its thresholds both ways.
type expecting struct {
	kind         IndexKind
	se, df       float64
	above, below float64 // thresholds; infinite where there is none
	train        bool    // a small gain names something to be trained
	spread       float64 // of the group's true gaps
}

// expected are the chances that an athlete with the indices of this one, but all truth
// ordinary, has a clear emphasis, a possible one at most, and a clear one were every truth
// a hair inside its threshold.
func (w *work) expected(g *group, at int, all []looked, seed uint64) [3]float64 {
	var kinds [][]expecting
	var roots []*mat.TriDense
	for _, kind := range []IndexKind{SideDifference, Gain, Gap} {
		list, root := w.expecting(g, at, all, kind)
		kinds, roots = append(kinds, list), append(roots, root)
	}
	rng := rand.New(rand.NewPCG(seed, 0x0ff1ce))
	var out [3]float64
	for range draws {
		ordinarily, worst := None, None
		for k, list := range kinds {
			ordinarily = surer(ordinarily, w.draw(list, roots[k], rng, false))
			worst = surer(worst, w.draw(list, roots[k], rng, true))
		}
		out[0] += float64(tick(ordinarily == Clear)) / draws
		out[1] += float64(tick(ordinarily == Possible)) / draws
		out[2] += float64(tick(worst == Clear)) / draws
	}
	return out
}

// expecting are the gradable indices of a kind, and the root of the correlations of their
// errors; nil where these are not known and taken as 0.
func (w *work) expecting(g *group, at int, all []looked, kind IndexKind) ([]expecting, *mat.TriDense) {
	var out []expecting
	var of []looked
	for _, l := range all {
		if l.Kind != kind || l.Ungraded != "" && l.Ungraded != CommonGap || !l.signed {
			continue
		}
		e := expecting{kind: kind, df: l.df(), above: math.Inf(1), below: math.Inf(-1)}
		if r := w.rules(g, l.pair, kind, Above); len(r) > 0 {
			e.above = mildest(r).Threshold
		}
		if r := w.rules(g, l.pair, kind, Below); len(r) > 0 {
			e.below = mildest(r).Threshold
		}
		if math.IsInf(e.above, 1) && math.IsInf(e.below, -1) {
			continue
		}
		e.se = l.standardError()
		high, low := w.power(g, at, l.terms())
		e.train = kind != Gain || high != None || low != None
		if kind == Gap {
			e.spread = w.spreads[shareKey{g, l.pair}]
		}
		out, of = append(out, e), append(of, l)
	}
	return out, g.root(kind, of)
}

// standardError is that of an index in its unit; of a ratio that of its interval.
func (l looked) standardError() float64 {
	if l.Kind == Gap {
		return l.mixed.se()
	}
	return (l.Estimate.Upper - l.Estimate.Lower) / (2 * dist.TQuantile((1+l.Estimate.Level)/2, l.ratio.df))
}

// root is the Cholesky root of the correlations of the errors of indices.
func (g *group) root(kind IndexKind, of []looked) *mat.TriDense {
	t, known := g.errors[string(kind)]
	if !known || len(of) == 0 {
		return nil
	}
	c := mat.NewSymDense(len(of), nil)
	for j := range of {
		for k := range j + 1 {
			s, _, ok := t.At(g.b.tests[of[j].pair.first].Name, g.b.tests[of[k].pair.first].Name)
			if !ok {
				return nil
			}
			c.SetSym(j, k, s)
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(correlations(c)) {
		return nil
	}
	var l mat.TriDense
	chol.LTo(&l)
	return &l
}

func correlations(c *mat.SymDense) *mat.SymDense {
	n := c.SymmetricDim()
	out := mat.NewSymDense(n, nil)
	for j := range n {
		for k := range j + 1 {
			out.SetSym(j, k, c.At(j, k)/math.Sqrt(c.At(j, j)*c.At(k, k)))
		}
	}
	return out
}

// draw is the grade of one draw of the indices of a kind.
func (w *work) draw(list []expecting, root *mat.TriDense, rng *rand.Rand, worst bool) Grade {
	if len(list) == 0 {
		return None
	}
	n := float64(len(list))
	looks := n
	if n > 1 {
		looks *= routes
	}
	z := make([]float64, len(list))
	for j := range z {
		z[j] = rng.NormFloat64()
	}
	best, df := None, math.Inf(1)
	mean, above, below, variance := 0.0, 0.0, 0.0, 0.0
	for j, e := range list {
		df = min(df, e.df)
		error := z[j]
		if root != nil {
			error = 0
			for k := range j + 1 {
				error += root.At(j, k) * z[k]
			}
		}
		truth := ordinary(e.kind, rng)
		if worst {
			truth = e.above
			if math.IsInf(truth, 1) {
				truth = e.below
			}
		}
		x := truth + e.se*error
		mean += x / n
		above += e.above / n
		below += e.below / n
		variance += e.se * e.se / (n * n)
		if e.spread > 0 && math.Erfc(math.Abs(x)/e.spread/math.Sqrt2) > mostShare {
			continue
		}
		best = surer(best, w.sure((x-e.above)/e.se, e.df, looks))
		if e.train {
			best = surer(best, w.sure((e.below-x)/e.se, e.df, looks))
		}
	}
	if len(list) > 1 {
		if root != nil {
			variance *= meanInflation(root)
		}
		se := math.Sqrt(variance)
		best = surer(best, surer(w.sure((mean-above)/se, df, routes), w.sure((below-mean)/se, df, routes)))
	}
	return best
}

// meanInflation is how many times larger the variance of a mean is than of independent
// errors.
func meanInflation(root *mat.TriDense) float64 {
	n, _ := root.Dims()
	v := 0.0
	for k := range n {
		s := 0.0
		for j := k; j < n; j++ {
			s += root.At(j, k)
		}
		v += s * s
	}
	return v / float64(n)
}
