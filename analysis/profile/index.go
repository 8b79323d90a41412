package profile

import (
	"math"
	"slices"

	"noisefloor/analysis/estimate"
	"noisefloor/analysis/moment"
	"noisefloor/analysis/rank"
	"noisefloor/analysis/score"
)

// A looked is an index of one athlete with what its grade is made of.
type looked struct {
	Index
	first, second int
	signed        bool // which side is dominant is known; always so for other kinds
	pair          pair
	ratio         ratio // of sides and gains
	mixed         mixed // of gaps
	guessed       bool
}

// ratioOf is the ratio of two scores of an athlete with their errors; ok is false where a
// score is missing.
func (g *group) ratioOf(at, first, second int) (r ratio, guessed, ok bool) {
	a, b := g.b.tests[first], g.b.tests[second]
	va, vb := last(a, g.rows[at]), last(b, g.rows[at])
	if math.IsNaN(va) || math.IsNaN(vb) {
		return r, false, false
	}
	r = ratio{num: va, den: vb, log: a.Scale == score.Log}
	ma, mb := g.models[first], g.models[second]
	if ma != nil && mb != nil && a.Scale == b.Scale {
		r.vNum, r.vDen, r.df = float64(ma.TypicalError*ma.TypicalError), float64(mb.TypicalError*mb.TypicalError), min(ma.DF, mb.DF)
		c := g.co[first][second] // of two tests that improve alike the turned one is the same
		if c.known {
			r.co, r.df = c.s, min(r.df, c.df)
		}
		guessed = !c.known
	}
	if a.Better == score.Lower { // 1/value in both: the ratio turned round
		r.num, r.den, r.vNum, r.vDen = r.den, r.num, r.vDen, r.vNum
	}
	return r, guessed, true
}

// ratios are the side differences or the gains of an athlete.
func (w *work) ratios(g *group, at int, kind IndexKind) []looked {
	var out []looked
	f := side
	if kind == Gain {
		f = gain
	}
	for _, p := range g.b.pairs[kind] {
		first, second, signed := p.order(text(w.in.Dominant, g.rows[at]))
		if w.aside(g.rows[at], first) || w.aside(g.rows[at], second) {
			continue
		}
		r, guessed, ok := g.ratioOf(at, first, second)
		if !ok || !(r.num > 0 && r.den > 0) {
			continue
		}
		if !signed && r.num < r.den { // nobody said which side is dominant: the better one first
			first, second = second, first
			r, guessed, _ = g.ratioOf(at, first, second)
		}
		l := looked{first: first, second: second, signed: signed, pair: p, ratio: r, guessed: guessed,
			Index: Index{Kind: kind, Measure: g.b.tests[first].Name, With: g.b.tests[second].Name, Unit: "%", Grade: None,
				Share: math.NaN(), Past: math.NaN()}}
		switch {
		case !r.usable():
			l.Estimate, l.Ungraded = estimate.Bare(f(r.value()), NoNoise), NoErrors
		default:
			l.Estimate = r.index(f, w.o.Level)
			if !l.Estimate.HasInterval() {
				l.Ungraded = OpenInterval
			}
		}
		if kind == Gain && l.Ungraded == "" && min(w.exposures(first, g.rows[at]), w.exposures(second, g.rows[at])) < 2 {
			l.Ungraded, l.First = FirstExposure, true
		}
		out = append(out, l)
	}
	return out
}

// NoNoise is the kind of an interval that is missing because the noise of a test is not
// known.
const NoNoise estimate.Kind = "no-noise"

// gaps are the quickness gaps of an athlete: z of the power less z of the quickness.
func (w *work) gaps(g *group, at int) []looked {
	var out []looked
	for _, p := range g.b.pairs[Gap] {
		if w.aside(g.rows[at], p.first) || w.aside(g.rows[at], p.second) {
			continue
		}
		m, ok := g.mix(at, gapTerms(p, 1))
		if !ok {
			continue
		}
		l := looked{first: p.first, second: p.second, signed: true, pair: p, mixed: m, guessed: m.guessed,
			Index: Index{Kind: Gap, Measure: g.b.tests[p.first].Name, With: g.b.tests[p.second].Name, Unit: "SD", Grade: None,
				Past: math.NaN()}}
		l.Estimate = m.estimate(w.o.Level)
		l.Share = w.share(g, p, m)
		l.First = w.exposures(p.second, g.rows[at]) < 2
		switch {
		case m.others+1 < leastGap:
			l.Ungraded = SmallGroup
		case l.Share > mostShare:
			l.Ungraded = CommonGap
		}
		out = append(out, l)
	}
	return out
}

// A gap is read in groups of at least so many athletes, and says nothing where more than
// this share of them truly have one so large.
const (
	leastGap  = 20
	mostShare = 0.25
)

func gapTerms(p pair, weight float64) []term { return []term{{p.first, weight}, {p.second, -weight}} }

func (m mixed) se() float64 { return math.Sqrt(m.noise + m.reference) }

func (m mixed) estimate(level float64) estimate.Estimate {
	return around(m.value, m.se(), m.df, level)
}

// share is how many of the group truly have a gap so large, 2 (1 - Φ(|g|/σ_g)) with σ_g²
// = max(0, var g - SE²): the gaps of all athletes, freed of the noise.
//
// Source: Crawford JR, Garthwaite PH (2005), Neuropsychology 19:318-331.
func (w *work) share(g *group, p pair, m mixed) float64 {
	key := shareKey{g, p}
	spread, known := w.spreads[key]
	if !known {
		spread = g.gapSpread(p)
		w.spreads[key] = spread
	}
	if spread == 0 {
		return 0
	}
	return math.Erfc(math.Abs(m.value) / spread / math.Sqrt2)
}

type shareKey struct {
	g *group
	p pair
}

// gapSpread is the SD of the true gaps of a group. z of all its athletes is of one mean
// and spread, so that nothing is added by the reference.
func (g *group) gapSpread(p pair) float64 {
	terms := gapTerms(p, 1)
	ref := g.reference(terms, -1)
	all, scale := make([]sums, 2), make([]float64, 2)
	for k, t := range terms {
		all[k] = sumsOf(pick(g.x[t.test], ref))
		scale[k] = all[k].spread(g.models[t.test].TypicalError)
	}
	var gaps []float64
	for _, at := range ref {
		gaps = append(gaps, g.sum(at, terms, all))
	}
	if len(gaps) < 2 {
		return 0
	}
	noise, _, _ := g.noiseOf(terms, scale)
	return math.Sqrt(max(0, moment.Variance(gaps)-noise))
}

// medianOf is the median of an index over a group's athletes, with the share of them past
// a threshold once the indices are drawn to the spread that is theirs without noise.
func (w *work) medianOf(g *group, kind IndexKind, p pair, rule Rule) (median, past float64, n int) {
	var all []float64
	for _, i := range g.rows {
		first, second, signed := p.order(text(w.in.Dominant, i))
		v := g.b.percent(kind, first, second, i, len(g.b.tests[first].Scores.Sessions)-1)
		if math.IsNaN(v) || !signed {
			continue
		}
		all = append(all, v)
	}
	if len(all) < 2 {
		return math.NaN(), 0, len(all)
	}
	slices.Sort(all)
	median = rank.Quantile(all, 0.5, 8)
	error2, _, _ := g.errors[string(kind)].At(g.b.tests[p.first].Name, g.b.tests[p.first].Name)
	root := math.Sqrt(max(0, 1-error2/moment.Variance(all)))
	for _, v := range all {
		past += float64(tick(rule.past(median+float64(root*(v-median))) > 0)) / float64(len(all))
	}
	return median, past, len(all)
}
