package varcomp

import "math"

// The components, in the order of every array of three.
const (
	trial = iota
	session
	athlete
)

// A point is the criterion and its derivatives at some variances.
type point struct {
	v     [3]float64 // trial, athlete×session, athlete, in squares of the design's scale
	value float64
	slope [3]float64    // ∂value/∂v
	curve [3][3]float64 // ∂²value/∂v∂v
	info  [3][3]float64 // its expectation, tr(P V_a P V_b)
	beta  []float64     // mean of the first session and changes from it, less the offsets
	m     square        // Cholesky factor of X'V⁻¹X
}

// A likelihood evaluates the criterion of a design. It holds scratch space and
// serves one goroutine.
//
// With d_j = σ²as + σ²e/n_j the variance of a cell mean given the athlete,
// w_j = 1/d_j and S = Σ w_j, the cell means of one athlete have the covariance
// matrix and inverse
//
//	U = diag(d) + σ²a 11'      A = U⁻¹ = diag(w) - c ww',  c = σ²a/(1+σ²a S)
//
// and the trials within cells add (N-cells) ln σ²e + SSW/σ²e. No matrix is
// larger than the number of session means, and per athlete nothing but
// diagonals and outer products is needed.
type likelihood struct {
	*design
	restricted bool

	w, x, h []float64 // of the pattern at hand
}

func newLikelihood(d *design, restricted bool) *likelihood {
	k := 0
	for _, p := range d.patterns {
		k = max(k, len(p.mean))
	}
	scratch := make([]float64, 3*k)
	return &likelihood{design: d, restricted: restricted, w: scratch[:k], x: scratch[k : 2*k], h: scratch[2*k:]}
}

// weigh fills w for pattern p and returns S and c.
func (l *likelihood) weigh(p *pattern, v [3]float64) (total, c float64) {
	for j, share := range p.share {
		l.w[j] = 1 / (v[session] + float64(v[trial]*share))
		total += l.w[j]
	}
	return total, v[athlete] / (1 + float64(v[athlete]*total))
}

// quadratic sets x = A r and returns r'A r and Σ x, without subtracting large
// numbers.
func (l *likelihood) quadratic(r []float64, total, between float64) (q, sum float64) {
	w := l.w[:len(r)]
	mean := dot(w, r) / total
	shrunk := mean / (1 + float64(between*total))
	q = float64(total * mean * shrunk)
	for j, v := range r {
		apart := v - mean
		q += float64(w[j] * apart * apart)
		l.x[j] = float64(w[j] * (apart + shrunk))
	}
	return q, float64(total * shrunk)
}

// at returns the criterion at v; ok is false where it is not finite.
func (l *likelihood) at(v [3]float64) (p point, ok bool) {
	p = point{v: v, m: newSquare(l.means), beta: make([]float64, l.means)}
	logDet := l.logTrials
	for i := range l.patterns {
		logDet += l.normal(&l.patterns[i], &p)
	}
	logM, ok := p.m.cholesky()
	if !ok {
		return p, false
	}
	p.m.solve(p.beta)
	quad := 0.0
	for i := range l.patterns {
		quad += l.squares(&l.patterns[i], &p)
	}
	if l.dfWithin > 0 {
		logDet += float64(l.dfWithin * math.Log(v[trial]))
		quad += l.within / v[trial]
	}
	df := float64(l.n)
	if l.restricted {
		df -= float64(l.means)
		logDet += logM
	}
	p.value = float64(df*math.Log(2*math.Pi)) + logDet + quad
	return p, !math.IsNaN(p.value) && !math.IsInf(p.value, 0)
}

// normal adds a pattern to the normal equations and returns its ln|U|.
func (l *likelihood) normal(g *pattern, p *point) (logDet float64) {
	total, c := l.weigh(g, p.v)
	_, sum := l.quadratic(g.mean, total, p.v[athlete])
	shrink := 1 / (1 + float64(p.v[athlete]*total))
	logDet = math.Log1p(p.v[athlete] * total)
	p.beta[0] += float64(g.size * sum)
	p.m.add(0, 0, g.size*total*shrink)
	for j, col := range g.column {
		logDet -= math.Log(l.w[j])
		if col == 0 {
			continue
		}
		p.beta[col] += float64(g.size * l.x[j])
		p.m.addBoth(0, int(col), g.size*l.w[j]*shrink)
		p.m.add(int(col), int(col), g.size*l.w[j])
		for i, other := range g.column {
			if other > 0 {
				p.m.add(int(col), int(other), -float64(g.size*c*l.w[j]*l.w[i]))
			}
		}
	}
	return float64(g.size * logDet)
}

// squares returns the r'Ar of a pattern, r = cell mean - fixed mean.
func (l *likelihood) squares(g *pattern, p *point) float64 {
	total, _ := l.weigh(g, p.v)
	q, _ := l.quadratic(l.residual(g, p.beta), total, p.v[athlete])
	sum := float64(g.size * q)
	for k, rest := len(g.mean), g.deviations; len(rest) > 0; rest = rest[k:] {
		q, _ = l.quadratic(rest[:k], total, p.v[athlete])
		sum += q
	}
	return sum
}

// residual returns the average of g less the fixed means.
func (l *likelihood) residual(g *pattern, beta []float64) []float64 {
	r := l.h[:len(g.mean)]
	for j, m := range g.mean {
		r[j] = m - beta[0]
		if col := g.column[j]; col > 0 {
			r[j] -= beta[col]
		}
	}
	return r
}
