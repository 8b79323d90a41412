package profile

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/moment"
)

// A part is one of several composites of the same athletes, such as a quality of the
// spectrum: x the mean of z of each athlete, NaN where a test is missing.
type part struct {
	name  string
	tests []int
	x     []float64 // by place in the group
	scale []float64 // of its tests
}

// parts are the composites by what key says of a test, over the group; only the tests that
// this athlete has and that are not set aside count, for all alike.
func (w *work) parts(g *group, at int, key func(Test) string) []part {
	var out []part
	for _, name := range w.names(key) {
		p := part{name: name, tests: w.those(g, at, func(t Test) bool { return key(t) == name })}
		if len(p.tests) == 0 {
			continue
		}
		terms := even(p.tests)
		members := g.reference(terms, -1)
		all := make([]sums, len(terms))
		for k, t := range terms {
			all[k] = sumsOf(pick(g.x[t.test], members))
			p.scale = append(p.scale, all[k].spread(g.models[t.test].TypicalError))
		}
		p.x = make([]float64, len(g.rows))
		for k := range p.x {
			p.x[k] = math.NaN()
		}
		for _, m := range members {
			p.x[m] = g.sum(m, terms, all)
		}
		out = append(out, p)
	}
	return out
}

// A believed is what is believed of an athlete's true parts after the scores.
type believed struct {
	observed, mean, sd []float64 // by part, in SD of the group
	lowest             []float64 // chance that it is truly the lowest
	athletes           int
}

// belief is the posterior of the true parts of an athlete. Observed x ~ N(θ, E) with E the
// covariance of the errors, and θ ~ N(m, T) over the group, T = cov(x) - E with its
// correlations at their mean and its eigenvalues at least 2 % of the mean variance, so
//
//	θ | x ~ N(m + G(x - m), T - G T)    G = T (T + E)⁻¹
//
// A part is the lowest where (θ_j - m_j)/√T_jj is; its chance is the share of 4096 fixed
// points (Halton's, made normal) in which it is. ok is false where fewer athletes than
// leastParts have all parts, or the matrices do not serve.
//
// Sources: Laird NM, Louis TA (1989), Journal of Educational Statistics 14:29-46 (ranks of
// what is estimated); Halton JH (1960), Numerische Mathematik 2:84-90.
func (g *group) belief(at int, parts []part, normals [][]float64) (b believed, ok bool) {
	var rows []int
	for k := range g.rows {
		whole := true
		for _, p := range parts {
			whole = whole && !math.IsNaN(p.x[k])
		}
		if whole {
			rows = append(rows, k)
		}
	}
	if b.athletes = len(rows); len(parts) < 2 || len(rows) < leastParts || math.IsNaN(parts[0].x[at]) {
		return b, false
	}
	e := g.partErrors(parts)
	t := trueSpread(covarianceOf(parts, rows), e)
	var sum mat.SymDense
	sum.AddSym(t, e)
	var chol mat.Cholesky
	if !chol.Factorize(&sum) {
		return b, false
	}
	ok = b.follow(at, parts, rows, t, &chol, normals)
	return b, ok
}

// leastParts is the fewest athletes from whom the spread of true parts is taken.
const leastParts = 8

// follow fills in the posterior.
func (b *believed) follow(at int, parts []part, rows []int, t *mat.SymDense, chol *mat.Cholesky,
	normals [][]float64) bool {
	n := len(parts)
	off := mat.NewVecDense(n, nil)
	means := make([]float64, n)
	for j, p := range parts {
		means[j] = moment.Mean(pick(p.x, rows))
		off.SetVec(j, p.x[at]-means[j])
		b.observed = append(b.observed, p.x[at])
	}
	var weighed mat.VecDense
	var half mat.Dense
	if chol.SolveVecTo(&weighed, off) != nil || chol.SolveTo(&half, t) != nil {
		return false
	}
	var drawn mat.VecDense
	drawn.MulVec(t, &weighed)
	var less mat.Dense
	less.Mul(t, &half)
	left := mat.NewSymDense(n, nil)
	for j := range n {
		for k := j; k < n; k++ {
			left.SetSym(j, k, t.At(j, k)-less.At(j, k))
		}
		b.mean = append(b.mean, means[j]+drawn.AtVec(j))
		b.sd = append(b.sd, math.Sqrt(max(0, left.At(j, j))))
	}
	var c mat.Cholesky
	if !c.Factorize(left) {
		return false
	}
	var l mat.TriDense
	c.LTo(&l)
	b.lowest = lowestChances(&l, drawn.RawVector().Data, t, normals)
	return true
}

// points of the fixed set, and the bases of its sequences: a battery has at most so many
// parts.
const points = 4096

var bases = [...]int{2, 3, 5, 7, 11, 13, 17, 19}

// lowestChances are the shares of points in which each part is the lowest.
func lowestChances(l *mat.TriDense, mean []float64, t *mat.SymDense, normals [][]float64) []float64 {
	n := len(mean)
	out := make([]float64, n)
	for _, z := range normals {
		least, at := math.Inf(1), 0
		for j := range n {
			v := mean[j]
			for k := range j + 1 {
				v += float64(l.At(j, k) * z[k%len(z)])
			}
			if v /= math.Sqrt(t.At(j, j)); v < least {
				least, at = v, j
			}
		}
		out[at] += 1 / float64(len(normals))
	}
	return out
}

// partErrors is E: the covariances of the errors of the parts.
func (g *group) partErrors(parts []part) *mat.SymDense {
	e := mat.NewSymDense(len(parts), nil)
	for j, p := range parts {
		for k := j; k < len(parts); k++ {
			q, v := parts[k], 0.0
			for a, t := range p.tests {
				for b, u := range q.tests {
					v += g.co[t][u].s / float64(p.scale[a]*q.scale[b])
				}
			}
			e.SetSym(j, k, v/float64(len(p.tests)*len(q.tests)))
		}
	}
	return e
}

func covarianceOf(parts []part, rows []int) *mat.SymDense {
	c := mat.NewSymDense(len(parts), nil)
	for j, p := range parts {
		for k := j; k < len(parts); k++ {
			c.SetSym(j, k, moment.Covariance(pick(p.x, rows), pick(parts[k].x, rows)))
		}
	}
	return c
}

// least is the share of the mean variance that an eigenvalue of T has at least.
const least = 0.02

// trueSpread is T = cov(x) - E with variances of at least 2 % of their mean, all
// correlations at their mean, and eigenvalues lifted likewise.
func trueSpread(c, e *mat.SymDense) *mat.SymDense {
	n := c.SymmetricDim()
	v, mean := make([]float64, n), 0.0
	for j := range n {
		v[j] = c.At(j, j) - e.At(j, j)
		mean += max(0, v[j]) / float64(n)
	}
	if mean == 0 {
		mean = c.At(0, 0) * least
	}
	r := 0.0
	for j := range n {
		v[j] = max(v[j], least*mean)
	}
	for j := range n {
		for k := range j {
			r += (c.At(j, k) - e.At(j, k)) / math.Sqrt(v[j]*v[k]) / (float64(n*(n-1)) / 2)
		}
	}
	r = max(-1, min(1, r))
	t := mat.NewSymDense(n, nil)
	for j := range n {
		t.SetSym(j, j, v[j])
		for k := range j {
			t.SetSym(j, k, r*math.Sqrt(v[j]*v[k]))
		}
	}
	return lifted(t, least*mean)
}

// lifted is a symmetric matrix whose eigenvalues are at least so large.
func lifted(t *mat.SymDense, least float64) *mat.SymDense {
	var eigen mat.EigenSym
	if !eigen.Factorize(t, true) {
		return t
	}
	var q mat.Dense
	eigen.VectorsTo(&q)
	n := t.SymmetricDim()
	out := mat.NewSymDense(n, nil)
	for j := range n {
		for k := j; k < n; k++ {
			s := 0.0
			for m, v := range eigen.Values(nil) {
				s += float64(q.At(j, m) * q.At(k, m) * max(v, least))
			}
			out.SetSym(j, k, s)
		}
	}
	return out
}

// spectrum is what is believed of each quality, and the lowest when it is told apart.
func (w *work) spectrum(g *group, at int) ([]Quality, []found) {
	parts := w.parts(g, at, func(t Test) string { return t.Quality })
	b, ok := g.belief(at, parts, w.normals)
	if !ok {
		return nil, nil
	}
	half := dist.NormalQuantile((1 + w.o.Level) / 2)
	var out []Quality
	for j, p := range parts {
		q := Quality{Quality: p.name, Tests: p.tests, Observed: b.observed[j], ChanceLowest: b.chance(j),
			Standing: estimate.Estimate{Value: b.mean[j], Lower: b.mean[j] - float64(half*b.sd[j]),
				Upper: b.mean[j] + float64(half*b.sd[j]), SE: b.sd[j], Level: w.o.Level, Kind: estimate.Posterior}}
		out = append(out, q)
	}
	return out, w.told(b, parts, SpectrumLowest)
}

// chance is that of a part to be the lowest; from fewer than surest athletes none above
// 80 % is given.
func (b believed) chance(j int) float64 {
	if b.athletes < leastGap {
		return min(b.lowest[j], mostFromFew)
	}
	return b.lowest[j]
}

// mostFromFew is the largest chance that few athletes can give.
const mostFromFew = 0.8

// told is the lowest part where its chance and its distance to the mean of the others are
// large enough.
func (w *work) told(b believed, parts []part, kind IndexKind) []found {
	for j, p := range parts {
		others := 0.0
		for k := range parts {
			if k != j {
				others += b.mean[k] / float64(len(parts)-1)
			}
		}
		for _, r := range w.o.Rules.Rules {
			if r.Index != kind || len(r.Quality) > 0 && !slices.Contains(r.Quality, p.name) || r.past(b.mean[j]-others) <= 0 {
				continue
			}
			switch grades := w.o.Rules.Grades; {
			case b.athletes >= leastGap && b.lowest[j] >= grades.Clear.Chance:
				return []found{{kind: kind, grade: Clear, rule: r, tests: []string{p.name}, chance: b.lowest[j]}}
			case b.chance(j) >= grades.Possible.Chance:
				return []found{{kind: kind, grade: Possible, rule: r, tests: []string{p.name}, chance: b.lowest[j]}}
			}
		}
	}
	return nil
}
