package profile

import (
	"math"
	"slices"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/norms"
)

// A found is what one kind of index in one direction came to.
type found struct {
	kind      IndexKind
	direction string
	grade     Grade
	rule      Rule
	tests     []string // of the index; none where it rests on the mean
	chance    float64  // of a part to be truly the lowest; 0 for an index
	high, low Grade    // how surely the power it is read with is high, or low
}

// A held is an index against the mildest rule that is for it.
type held struct {
	at    int // in the athlete's indices
	rule  Rule
	rules []Rule  // all that are for it, as they hold in this group
	t     float64 // standard errors past the threshold
	df    float64
}

// grades reads the indices of a kind in one direction: one that stands t(1-α/k) standard
// errors past its threshold, of k looked at, or a mean of several that stands t(1-α), each
// with half of α where there are several.
func (w *work) grades(g *group, at int, all []looked, kind IndexKind, direction string) []found {
	held := w.held(g, all, kind, direction)
	k := 0.0
	for _, h := range held {
		k++
		if !all[h.at].signed {
			k++ // looked at from both sides
		}
	}
	if len(held) > 1 {
		k *= routes
	}
	var out []found
	for _, h := range held {
		l := &all[h.at]
		grade := w.sure(h.t, h.df, k)
		if math.IsNaN(l.Past) || h.t > l.Past {
			l.Past, l.Rule, l.Nearest = h.t, h.rule.Key, w.nearest(l.Estimate, h.rule)
		}
		if grade == None {
			continue
		}
		l.Grade, l.RestsOn = grade, "one"
		f := found{kind: kind, direction: direction, grade: grade, tests: []string{l.Measure, l.With}}
		f.high, f.low = w.power(g, at, l.terms())
		f.rule = w.furthest(f.suiting(h.rules), grade, func(r Rule) Grade { return w.sure(l.past(r), h.df, k) })
		l.Rule = f.rule.Key
		out = append(out, f)
	}
	return out
}

// suiting are the rules whose need is met by the standing that the index is read with.
func (f found) suiting(rules []Rule) []Rule {
	return slices.DeleteFunc(slices.Clone(rules), func(r Rule) bool {
		switch r.Needs {
		case NeedsHigh:
			return f.high == None
		case NeedsLow:
			return f.low == None
		case NeedsNeither:
			return f.high != None || f.low != None
		}
		return false
	})
}

// held are the indices that can be graded, each with its rules.
func (w *work) held(g *group, all []looked, kind IndexKind, direction string) []held {
	var out []held
	for i := range all {
		l := &all[i]
		if l.Kind != kind || l.Ungraded != "" && l.Ungraded != NoRule || !l.signed && direction == Below {
			continue
		}
		rules := w.rules(g, l.pair, kind, direction)
		if len(rules) == 0 {
			continue
		}
		mild := mildest(rules)
		out = append(out, held{at: i, rule: mild, rules: rules, t: l.past(mild), df: l.df()})
	}
	return out
}

// past is how many standard errors an index lies past the threshold of a rule.
func (l looked) past(r Rule) float64 {
	sign := 1.0
	if r.Direction == Below {
		sign = -1
	}
	switch l.Kind {
	case SideDifference:
		return sign * l.ratio.beyond(sideRatio(r.Threshold))
	case Gain:
		return sign * l.ratio.beyond(gainRatio(r.Threshold))
	}
	return sign * (l.mixed.value - r.Threshold) / l.mixed.se()
}

func (l looked) df() float64 {
	if l.Kind == Gap {
		return l.mixed.df
	}
	return l.ratio.df
}

// terms are the mean of the tests of an index: what it is read with.
func (l looked) terms() []term { return []term{{l.first, 0.5}, {l.second, 0.5}} }

// sure is the grade of an index t standard errors past its threshold, one of k.
func (w *work) sure(t, df, k float64) Grade {
	switch {
	case math.IsNaN(t) || !(df >= 1):
		return None
	case t > w.quantile(w.o.Rules.Grades.Clear.Alpha/k, df):
		return Clear
	case t > w.quantile(w.o.Rules.Grades.Possible.Alpha/k, df):
		return Possible
	}
	return None
}

// quantile is t(1-p, df), kept: profiles ask for the same few.
func (w *work) quantile(p, df float64) float64 {
	key := [2]float64{p, df}
	q, known := w.quantiles[key]
	if !known {
		q = dist.TQuantile(1-p, df)
		w.quantiles[key] = q
	}
	return q
}

// mildest is the rule that is met first.
func mildest(rules []Rule) Rule {
	return slices.MinFunc(rules, func(a, b Rule) int { return compare(a.sternness(), b.sternness()) })
}

// sternness is how far out the threshold lies.
func (r Rule) sternness() float64 {
	if r.Direction == Below {
		return -r.Threshold
	}
	return r.Threshold
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// furthest is the outermost rule that still has the grade.
func (w *work) furthest(rules []Rule, grade Grade, of func(Rule) Grade) Rule {
	if len(rules) == 0 {
		return Rule{}
	}
	best := mildest(rules)
	for _, r := range rules {
		if r.sternness() > best.sternness() && of(r) == grade {
			best = r
		}
	}
	return best
}

// nearest is how far the limit of an interval that is nearest the threshold lies past it.
func (w *work) nearest(e estimate.Estimate, r Rule) float64 {
	switch {
	case !e.HasInterval():
		return math.Inf(-1)
	case r.Direction == Below:
		return r.Threshold - e.Upper
	}
	return e.Lower - r.Threshold
}

// rules are those of a kind and direction for a pair of tests as they hold in a group:
// where more than two fifths of the group lie past a threshold, the rule does not fit the
// test, and its threshold is set from the group's median as it is from its centre.
func (w *work) rules(g *group, p pair, kind IndexKind, direction string) []Rule {
	key := ruleKey{g, p, direction}
	if known, ok := w.fitted[key]; ok {
		return known
	}
	rules := w.o.Rules.of(kind, direction, g.b.tests[p.first])
	if kind != Gap && len(rules) > 0 {
		median, past, n := w.medianOf(g, kind, p, mildest(rules))
		if past > mostPast && n >= norms.MinAthletes {
			w.doubt(RuleDoesNotFit, g, p, past, median)
			for i := range rules {
				rules[i].Threshold = shifted(kind, median+rules[i].Threshold-rules[i].Centre)
			}
		}
	}
	w.fitted[key] = rules
	return rules
}

// shifted keeps a threshold where a ratio has one.
func shifted(kind IndexKind, threshold float64) float64 {
	if kind == SideDifference {
		return max(-95, min(95, threshold))
	}
	return max(-95, threshold)
}

type ruleKey struct {
	g         *group
	p         pair
	direction string
}

// mostPast is the share of a group past a threshold from which the rule does not fit.
const mostPast = 0.4

// power says how surely the mean of the tests stands above the group's median, or below:
// clear at 1-α of that grade, possible at leastPower.
func (w *work) power(g *group, at int, terms []term) (high, low Grade) {
	c, ok := g.composite(at, terms, w.o.Level)
	if !ok || math.IsNaN(c.Standing.AboveMedian) {
		return None, None
	}
	grade := func(p float64) Grade {
		switch {
		case p >= max(leastPower, 1-w.o.Rules.Grades.Clear.Alpha):
			return Clear
		case p >= leastPower:
			return Possible
		}
		return None
	}
	return grade(c.Standing.AboveMedian), grade(1 - c.Standing.AboveMedian)
}

// leastPower is the least chance with which power is called high or low.
const leastPower = 0.9

// weaker is the less sure of two grades.
func weaker(a, b Grade) Grade {
	if a == None || b == None {
		return None
	}
	if a == Possible || b == Possible {
		return Possible
	}
	return Clear
}

// surer is the surer of two grades.
func surer(a, b Grade) Grade {
	if a == Clear || b == Clear {
		return Clear
	}
	if a == Possible || b == Possible {
		return Possible
	}
	return None
}
