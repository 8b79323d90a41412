package association

import (
	"encoding/binary"
	"math"
	"strings"

	"noisefloor/analysis/bootstrap"
	"noisefloor/analysis/estimate"
)

// A batch collects statistics of athletes and computes the bootstrap of all
// that rest on the same athletes from the same resamples.
type batch struct {
	options bootstrap.Options
	groups  []*unitGroup
	at      map[string]*unitGroup
}

// A unitGroup is the statistics that rest on the same units.
type unitGroup struct {
	sizes  []int
	values []weighed
	done   []func(replicates, jackknife []float64) // one for each
}

// A weighed computes a statistic in which unit i counts w[i] times, and unit i
// of a second study v[i] times; v is nil when there is none.
type weighed func(w, v []float64) float64

func newBatch(o Options) *batch {
	return &batch{options: bootstrap.Options{Replicates: o.Replicates, Seed: o.Seed}, at: map[string]*unitGroup{}}
}

// add asks for the bootstrap and jackknife of a statistic over the athletes at
// units and, unless nil, those of the second study at study.
func (b *batch) add(units, study []int, value weighed, done func(replicates, jackknife []float64)) {
	key := keyOf(units) + "/" + keyOf(study)
	g := b.at[key]
	if g == nil {
		g = &unitGroup{sizes: []int{len(units)}}
		if study != nil {
			g.sizes = append(g.sizes, len(study))
		}
		b.at[key] = g
		b.groups = append(b.groups, g)
	}
	g.values, g.done = append(g.values, value), append(g.done, done)
}

// addBCa asks for the BCa interval of the statistic that value computes.
func (b *batch) addBCa(units, study []int, value weighed, level float64, done func(estimate.Estimate)) {
	theta := value(ones(len(units)), ones(len(study)))
	b.add(units, study, value, func(replicates, jackknife []float64) {
		done(bcaOrPercentile(theta, replicates, jackknife, level))
	})
}

// keyOf is a text that differs for different positions.
func keyOf(at []int) string {
	var s strings.Builder
	for _, i := range at {
		var four [4]byte
		binary.BigEndian.PutUint32(four[:], uint32(i))
		s.Write(four[:])
	}
	return s.String()
}

func (b *batch) run() {
	for _, g := range b.groups {
		replicates := bootstrap.Joint(g.sizes, len(g.done), g.all, b.options)
		jackknife := bootstrap.JointJackknife(g.sizes, len(g.done), g.all)
		for k, done := range g.done {
			done(replicates[k], jackknife[k])
		}
	}
}

// all computes every statistic of the group.
func (g *unitGroup) all(weight [][]float64, out []float64) {
	var v []float64
	if len(weight) > 1 {
		v = weight[1]
	}
	for k, value := range g.values {
		out[k] = value(weight[0], v)
	}
}

// bcaOrPercentile is the BCa interval or, where there is none, the percentile
// interval; its Kind says which.
func bcaOrPercentile(theta float64, replicates, jackknife []float64, level float64) estimate.Estimate {
	e := bootstrap.BCa(theta, replicates, jackknife, level)
	if e.HasInterval() {
		return e
	}
	return bootstrap.Percentile(theta, replicates, level)
}

func ones(n int) []float64 {
	w := make([]float64, n)
	for i := range w {
		w[i] = 1
	}
	return w
}

// A pairing is the pairs of two columns, one for each unit: values less their
// mean, or less that of their group. one is 0, and so are x and y, where a
// value is missing.
type pairing struct {
	one, x, y []float64
	group     []int // nil: no groups
	groups    int
}

// pair reads two columns at units; a NaN leaves the unit without a pair.
func pair(x, y []float64, units []int) pairing {
	p := pairing{one: make([]float64, len(units)), x: make([]float64, len(units)), y: make([]float64, len(units))}
	px, py := pick(x, units), pick(y, units)
	at := complete(len(units), px, py)
	cx, cy := centre(pick(px, at)).d, centre(pick(py, at)).d
	for i, a := range at {
		p.one[a], p.x[a], p.y[a] = 1, cx[i], cy[i]
	}
	return p
}

// within removes group means and keeps them removed in every resample.
func (p pairing) within(group []string) pairing {
	names, members := groups(group)
	q := pairing{one: make([]float64, len(group)), x: make([]float64, len(group)), y: make([]float64, len(group)),
		group: make([]int, len(group)), groups: len(names)}
	for g, m := range members {
		var paired []int
		for _, i := range m {
			q.group[i] = g
			if p.one[i] > 0 {
				paired = append(paired, i)
			}
		}
		dx, dy := centre(pick(p.x, paired)), centre(pick(p.y, paired))
		for k, i := range paired {
			q.one[i], q.x[i], q.y[i] = 1, math.Ldexp(dx.d[k], dx.exponent), math.Ldexp(dy.d[k], dy.exponent)
		}
	}
	return q
}

// products are the sums of one group.
type products struct{ n, x, y, xx, yy, xy float64 }

func (s *products) add(w, x, y float64) {
	s.n += w
	s.x += float64(w * x)
	s.y += float64(w * y)
	s.xx += float64(w * x * x)
	s.yy += float64(w * y * y)
	s.xy += float64(w * x * y)
}

// r is the correlation with the weights w, NaN where nothing varies. One pass
// is enough because the values are centred.
func (p pairing) r(w, _ []float64) float64 {
	if p.group == nil {
		var s products
		for i, one := range p.one {
			s.add(w[i]*one, p.x[i], p.y[i])
		}
		return correlationOf([]products{s})
	}
	s := make([]products, p.groups)
	for i, one := range p.one {
		s[p.group[i]].add(w[i]*one, p.x[i], p.y[i])
	}
	return correlationOf(s)
}

func correlationOf(groups []products) float64 {
	var xx, yy, sxx, syy, sxy float64
	for _, s := range groups {
		if s.n == 0 {
			continue
		}
		xx += s.xx
		yy += s.yy
		sxx += s.xx - s.x*s.x/s.n
		syy += s.yy - s.y*s.y/s.n
		sxy += s.xy - s.x*s.y/s.n
	}
	if !(sxx > rounding*xx && syy > rounding*yy) {
		return math.NaN()
	}
	return onLine(sxy/(math.Sqrt(sxx)*math.Sqrt(syy)), rounding*max(xx/sxx, yy/syy))
}

// onLine makes a resampled r within slack of ±1 exactly that: points on a line.
func onLine(r, slack float64) float64 {
	if math.Abs(r) > 1-slack {
		return math.Copysign(1, r)
	}
	return r
}
