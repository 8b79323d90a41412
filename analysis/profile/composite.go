package profile

import (
	"math"
	"slices"

	"noisefloor/analysis/norms"
)

// composite is a mean of z as a score of its own: z of all tests from the group's athletes
// who have them all, its noise from the covariances of their errors, and its standing
// among the others.
func (g *group) composite(at int, terms []term, level float64) (Composite, bool) {
	if !g.has(at, terms) {
		return Composite{}, false
	}
	members := g.reference(terms, -1)
	all, scale := make([]sums, len(terms)), make([]float64, len(terms))
	for k, t := range terms {
		all[k] = sumsOf(pick(g.x[t.test], members))
		if scale[k] = all[k].spread(g.models[t.test].TypicalError); !(scale[k] > 0) {
			return Composite{}, false
		}
	}
	noise, df, _ := g.noiseOf(terms, scale)
	in := norms.Group{TypicalError: math.Sqrt(noise), DF: df}
	for _, m := range members {
		if m != at {
			in.Scores = append(in.Scores, g.sum(m, terms, all))
		}
	}
	value := g.sum(at, terms, all)
	s, ok := g.among(value, in, level)
	return Composite{Value: around(value, in.TypicalError, df, level), Standing: s}, ok
}

// composites are the means of z by what key says of a test, for the tests that the athlete
// has and that are not set aside; one test alone is no composite.
func (w *work) composites(g *group, at int, key func(Test) string) []Composite {
	var out []Composite
	for _, name := range w.names(key) {
		tests := w.those(g, at, func(t Test) bool { return key(t) == name })
		if len(tests) < 2 {
			continue
		}
		c, ok := g.composite(at, even(tests), w.o.Level)
		if !ok {
			continue
		}
		c.Name, c.Tests = name, tests
		w.lowest(g, at, &c)
		out = append(out, c)
	}
	return out
}

// even are terms of equal weight that sum to 1.
func even(tests []int) []term {
	var out []term
	for _, t := range tests {
		out = append(out, term{t, 1 / float64(len(tests))})
	}
	return out
}

// those are the tests of an athlete that count in a mean: with a score, with noise that
// leaves something of the spread, not set aside, and no outcome.
func (w *work) those(g *group, at int, want func(Test) bool) []int {
	var out []int
	for k, t := range g.b.tests {
		if t.Role != Outcome && want(t) && g.has(at, []term{{k, 1}}) && g.useful[k] && !w.aside(g.rows[at], k) {
			out = append(out, k)
		}
	}
	return out
}

// names are what key says of the tests, in the order of the tests.
func (w *work) names(key func(Test) string) []string {
	var out []string
	for _, t := range w.in.Tests {
		if n := key(t); n != "" && t.Role != Outcome && !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}

// lowest finds the test of a composite that stands furthest below the mean of the others,
// and whether it is past a rule for one part: t(1-α/k) standard errors, of the k tests.
func (w *work) lowest(g *group, at int, c *Composite) {
	k := float64(len(c.Tests))
	c.Lowest, c.LowestZ = -1, math.NaN()
	least, at1 := math.Inf(1), -1
	for _, t := range c.Tests {
		s := sumsOf(g.x[t]).without(g.x[t][at])
		if z := (g.x[t][at] - s.mean) / s.spread(g.models[t].TypicalError); z < least {
			least, at1 = z, t
		}
	}
	if at1 < 0 {
		return
	}
	terms := []term{{at1, 1}}
	for _, u := range c.Tests {
		if u != at1 {
			terms = append(terms, term{u, -1 / (k - 1)})
		}
	}
	low, ok := g.mix(at, terms)
	if !ok {
		return
	}
	c.Lowest, c.LowestZ = at1, low.value
	for _, r := range w.o.Rules.of(OnePart, Below, g.b.tests[c.Lowest]) {
		if grade := w.sure((r.Threshold-low.value)/low.se(), low.df, k); grade != None {
			c.OneHidden, c.HiddenGrade, c.HiddenRule = true, surer(grade, c.HiddenGrade), r.Key
		}
	}
}

// legs says whether a test of the lower body is of one leg or of two.
func legs(t Test) string {
	switch {
	case t.Region != "lower":
		return ""
	case t.Side == "" || t.Side == "both":
		return TwoLegs
	}
	return OneLeg
}

// Names of the composites of the lower body.
const (
	OneLeg  = "one leg"
	TwoLegs = "two legs"
)
