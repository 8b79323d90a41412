package profile

import (
	"math"
	"slices"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/noise"
)

// means are the mean index of each kind that has several, and what it came to. Its error
// is that of the mean index of the noise sessions, from the covariances of the indices.
func (w *work) means(g *group, at int, all []looked) (out []Index, came []found) {
	for _, kind := range []IndexKind{SideDifference, Gain, Gap} {
		for _, direction := range []string{Above, Below} {
			held := slices.DeleteFunc(w.held(g, all, kind, direction), func(h held) bool { return !all[h.at].signed })
			if len(held) < 2 {
				continue
			}
			value, se, df, ok := w.meanOf(g, at, kind, all, held)
			if !ok {
				continue
			}
			index, f := w.meanIndex(g, at, kind, direction, all, held, around(value, se, df, w.o.Level))
			out = keep(out, index)
			if f.grade != None {
				came = append(came, f)
			}
		}
	}
	return out, came
}

// keep holds one mean a kind: that of the direction in which it lies further.
func keep(all []Index, one Index) []Index {
	for i, have := range all {
		if have.Kind == one.Kind {
			if one.Past > have.Past {
				all[i] = one
			}
			return all
		}
	}
	return append(all, one)
}

// meanOf is the mean of the indices with its standard error.
func (w *work) meanOf(g *group, at int, kind IndexKind, all []looked, held []held) (value, se, df float64, ok bool) {
	if kind == Gap {
		var terms []term
		for _, h := range held {
			terms = append(terms, gapTerms(all[h.at].pair, 1/float64(len(held)))...)
		}
		m, ok := g.mix(at, terms)
		return m.value, m.se(), m.df, ok
	}
	v, df, known := meanError(g.errors[string(kind)], g, all, held)
	for _, h := range held {
		value += all[h.at].Estimate.Value / float64(len(held))
	}
	return value, math.Sqrt(v), df, known
}

// meanError is the variance of the error of a mean of indices.
func meanError(t noise.Together, g *group, all []looked, held []held) (v, df float64, known bool) {
	df = math.Inf(1)
	n := float64(len(held))
	for _, a := range held {
		for _, b := range held {
			s, own, known := t.At(g.b.tests[all[a.at].pair.first].Name, g.b.tests[all[b.at].pair.first].Name)
			if !known {
				return 0, 0, false
			}
			v, df = v+s/float64(n*n), min(df, own)
		}
	}
	return v, df, v > 0
}

// meanIndex grades a mean, against the mean of the thresholds.
func (w *work) meanIndex(g *group, at int, kind IndexKind, direction string, all []looked, held []held,
	e estimate.Estimate) (Index, found) {
	threshold := 0.0
	var terms []term
	var tests []string
	for _, h := range held {
		threshold += h.rule.Threshold / float64(len(held))
		for _, t := range all[h.at].terms() {
			terms = append(terms, term{t.test, t.weight / float64(len(held))})
		}
		tests = append(tests, all[h.at].Measure)
	}
	past := func(threshold float64) float64 {
		if direction == Below {
			return (threshold - e.Value) / e.SE
		}
		return (e.Value - threshold) / e.SE
	}
	shift := threshold - held[0].rule.Threshold // where thresholds differ, or are those of the group
	f := found{kind: kind, direction: direction, grade: w.sure(past(threshold), e.DF, routes)}
	f.high, f.low = w.power(g, at, terms)
	f.rule = w.furthest(f.suiting(held[0].rules), f.grade, func(r Rule) Grade { return w.sure(past(r.Threshold+shift), e.DF, routes) })
	one := Rule{Direction: direction, Threshold: threshold}
	index := Index{Kind: kind, Estimate: e, Unit: all[held[0].at].Unit, Grade: f.grade, Rule: f.rule.Key,
		Past: past(threshold), Nearest: w.nearest(e, one), Share: math.NaN(), Of: tests}
	if f.grade != None {
		index.RestsOn = "mean"
	}
	return index, f
}

// routes are the ways to a grade where a kind has several indices, one of them or their
// mean: each has half of α.
const routes = 2

// around is an estimate with Student's interval.
func around(value, se, df, level float64) estimate.Estimate {
	return estimate.Around(value, dist.TQuantile((1+level)/2, df)*se, se, df, level, estimate.StudentT)
}
