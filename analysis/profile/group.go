package profile

import (
	"math"
	"slices"

	"noisefloor/analysis/moment"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/norms"
	"noisefloor/analysis/score"
)

// leastShare keeps the spread of a group apart whose spread is nearly all noise, as
// norms.Stand does.
const leastShare = 0.05

// leastUseful is the share of a test's spread that must not be noise for it to count in a
// mean of z: of less, its z is mostly error divided by little. Common practice, no source.
const leastUseful = 0.25

// A group is a reference: its athletes, their scores at the session spoken of, and the
// noise of one score.
type group struct {
	name   string
	rows   []int       // in Input.Athletes
	x      [][]float64 // by test and row: on the scale of the test, better upwards
	models []*noise.Model
	errors map[string]noise.Together
	b      *battery
	co     [][]covariance // of the errors of two tests, turned
	useful []bool         // by test: enough of the spread is no noise for a mean of z
}

// A covariance of errors, with its degrees of freedom; not known is taken as 0.
type covariance struct {
	s, df float64
	known bool
}

func newGroup(name string, rows []int, b *battery, all []Noise) *group {
	g := &group{name: name, rows: rows, b: b, errors: map[string]noise.Together{}, models: make([]*noise.Model, len(b.tests))}
	for _, n := range all {
		if n.Group == name {
			g.takes(n)
		}
	}
	for _, t := range b.tests {
		x := make([]float64, len(rows))
		for k, i := range rows {
			x[k] = t.turned(last(t, i))
		}
		g.x = append(g.x, x)
	}
	for t, x := range g.x {
		m, v := g.models[t], sumsOf(x).variance()
		g.useful = append(g.useful, m != nil && v > 0 && 1-float64(m.TypicalError*m.TypicalError)/v >= leastUseful)
	}
	g.covary()
	return g
}

// covary looks up the covariances of the errors of every two tests.
func (g *group) covary() {
	g.co = make([][]covariance, len(g.b.tests))
	for a, ta := range g.b.tests {
		g.co[a] = make([]covariance, len(g.b.tests))
		for b, tb := range g.b.tests {
			switch m := g.models[a]; {
			case a == b && m != nil:
				g.co[a][b] = covariance{float64(m.TypicalError * m.TypicalError), m.DF, true}
			case a != b:
				s, df, known := g.errors[Scores].At(ta.Name, tb.Name)
				g.co[a][b] = covariance{ta.sign() * tb.sign() * s, df, known}
			}
		}
	}
}

func (g *group) takes(n Noise) {
	for _, m := range n.Models {
		if at := slices.IndexFunc(g.b.tests, func(t Test) bool { return t.Name == m.Measure }); at >= 0 && m.TypicalError > 0 && m.DF >= 1 {
			g.models[at] = &m
		}
	}
	for _, t := range n.Errors {
		g.errors[t.Kind] = t
	}
}

// last is an athlete's score in the session spoken of.
func last(t Test, i int) float64 { return t.Scores.At(i, len(t.Scores.Sessions)-1) }

// turned is a score on the scale of the test, better upwards.
func (t Test) turned(v float64) float64 { return t.sign() * t.scaled(v) }

func (t Test) sign() float64 {
	if t.Better == score.Lower {
		return -1
	}
	return 1
}

// sums are those of a column, so that one value can be taken out.
type sums struct{ n, mean, m2 float64 }

func sumsOf(x []float64) sums {
	var kept []float64
	for _, v := range x {
		if !math.IsNaN(v) {
			kept = append(kept, v)
		}
	}
	if len(kept) == 0 {
		return sums{}
	}
	s := sums{n: float64(len(kept)), mean: moment.Mean(kept)}
	if len(kept) > 1 {
		s.m2 = moment.Variance(kept) * (s.n - 1)
	}
	return s
}

// without are the sums of the others.
func (s sums) without(x float64) sums {
	if math.IsNaN(x) || s.n < 2 {
		return s
	}
	n := s.n - 1
	mean := s.mean - (x-s.mean)/n
	return sums{n, mean, max(0, s.m2-float64((x-s.mean)*(x-mean)))}
}

func (s sums) variance() float64 {
	if s.n < 2 {
		return 0
	}
	return s.m2 / (s.n - 1)
}

// spread is the SD of the true scores, √(s² - TE²), at least the share of s that
// norms.Stand keeps.
func (s sums) spread(te float64) float64 {
	v := s.variance()
	return math.Sqrt(max(leastShare*v, v-float64(te*te)))
}

// A term is a test with a weight.
type term struct {
	test   int
	weight float64
}

// A mixed is a weighted sum of z of one athlete: z = (x - m)/√(s² - TE²), m and s of the
// group's other athletes.
type mixed struct {
	value     float64
	noise     float64 // variance by the noise of the scores
	reference float64 // variance by the reference being a sample, jackknifed
	df        float64
	guessed   bool // a covariance of errors was not known and taken as 0
	others    int
}

// mix is the weighted sum for the athlete at a place of the group; ok is false where a
// score or its noise is missing. The reference are the others that have all its tests.
func (g *group) mix(at int, terms []term) (m mixed, ok bool) {
	if !g.has(at, terms) {
		return m, false
	}
	ref := g.reference(terms, at)
	if len(ref) < norms.MinAthletes {
		return m, false
	}
	m.others = len(ref)
	all := make([]sums, len(terms))
	scale := make([]float64, len(terms))
	for k, t := range terms {
		all[k] = sumsOf(pick(g.x[t.test], ref))
		if scale[k] = all[k].spread(g.models[t.test].TypicalError); !(scale[k] > 0) {
			return m, false
		}
	}
	m.value = g.sum(at, terms, all)
	m.noise, m.df, m.guessed = g.noiseOf(terms, scale)
	m.reference = g.jackknife(at, terms, all, ref)
	return m, true
}

// sum is Σ w (x - m)/σ.
func (g *group) sum(at int, terms []term, s []sums) float64 {
	v := 0.0
	for k, t := range terms {
		v += float64(t.weight*(g.x[t.test][at]-s[k].mean)) / s[k].spread(g.models[t.test].TypicalError)
	}
	return v
}

// noiseOf is the variance of a weighted sum of z by the noise, Σ w w' S/(σ σ').
func (g *group) noiseOf(terms []term, scale []float64) (v, df float64, guessed bool) {
	df = math.Inf(1)
	for a, t := range terms {
		for b, u := range terms {
			c := g.co[t.test][u.test]
			if !c.known {
				guessed = true
				continue
			}
			df = min(df, c.df)
			v += float64(t.weight*u.weight*c.s) / float64(scale[a]*scale[b])
		}
	}
	return max(0, v), df, guessed
}

// jackknife is the variance of the sum by the reference,
//
//	(n-1)/n Σ (v(-j) - mean)²
//
// v(-j) the sum with athlete j out of the reference.
func (g *group) jackknife(at int, terms []term, all []sums, ref []int) float64 {
	out := make([]float64, len(ref))
	less := make([]sums, len(terms))
	for j, r := range ref {
		for k, t := range terms {
			less[k] = all[k].without(g.x[t.test][r])
		}
		out[j] = g.sum(at, terms, less)
	}
	n := float64(len(ref))
	return moment.Variance(out) * (n - 1) * (n - 1) / n
}

// has says whether an athlete has a score in every test, with noise that is known.
func (g *group) has(at int, terms []term) bool {
	for _, t := range terms {
		if math.IsNaN(g.x[t.test][at]) || g.models[t.test] == nil {
			return false
		}
	}
	return len(terms) > 0
}

// reference are the places of the others that have all tests.
func (g *group) reference(terms []term, at int) []int {
	var out []int
	for k := range g.rows {
		if k != at && g.has(k, terms) {
			out = append(out, k)
		}
	}
	return out
}

func pick(x []float64, at []int) []float64 {
	out := make([]float64, len(at))
	for k, i := range at {
		out[k] = x[i]
	}
	return out
}

// stand is where an athlete stands in one test among the others; ok is false where too
// few are there, or no score.
func (g *group) stand(at, test int, level float64) (Standing, bool) {
	var others []float64
	for k, x := range g.x[test] {
		if k != at && !math.IsNaN(x) {
			others = append(others, x)
		}
	}
	in := norms.Group{Scores: others, DF: math.Inf(1)}
	if m := g.models[test]; m != nil {
		in.TypicalError, in.DF = m.TypicalError, m.DF
	}
	return g.among(g.x[test][at], in, level)
}

// among is the standing of x, with the chance that it truly lies above the median: x and
// the median of the others differ by a t of the noise's degrees of freedom, the median's
// own error 1.2533 s/√n.
func (g *group) among(x float64, in norms.Group, level float64) (Standing, bool) {
	s, err := norms.Stand(x, in, level)
	if err != nil {
		return Standing{}, false
	}
	out := Standing{Group: g.name, Standing: s, AboveMedian: math.NaN()}
	if in.TypicalError > 0 {
		out.AboveMedian = aboveMedian(x, in)
	}
	return out, true
}
