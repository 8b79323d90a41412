package varcomp

import "math"

// An additive is the least-squares fit of cell means by athlete + session: it
// gives the starting values, and shows residuals that are exactly 0.
type additive struct {
	residual, df     float64 // sum of squares of the cell means about the fit
	between, athlete float64 // sum of squares of the athletes' levels and its df
	share            float64 // mean of 1/trials over cells
	lost             float64 // mean of 1/sessions over athletes

	// The session means if the athletes' levels are seen without error, and
	// the number of athletes connected with each.
	beta, connected []float64
	part            []int32 // group of connected sessions
}

// additiveFit solves the normal equations of the sessions with the athletes
// eliminated. One session of every group of connected ones is the reference.
func (l *likelihood) additiveFit() additive {
	m, beta := newSquare(l.means), make([]float64, l.means)
	link := newLinks(l.means)
	for i := range l.patterns {
		g := &l.patterns[i]
		k := float64(len(g.mean))
		level := 0.0
		for _, v := range g.mean {
			level += v / k
		}
		for j, col := range g.column {
			link.join(col, g.column[0])
			beta[col] += float64(g.size * (g.mean[j] - level))
			m.add(int(col), int(col), g.size)
			for _, other := range g.column {
				m.add(int(col), int(other), -g.size/k)
			}
		}
	}
	parts := l.pin(m, beta, link)
	if _, ok := m.cholesky(); ok {
		m.solve(beta)
	}
	f := l.additiveSums(beta, link)
	f.df = float64(l.cells - l.athletes - l.means + parts)
	f.athlete = float64(l.athletes - parts)
	return f
}

// pin fixes the mean of one session in each connected part at 0 and returns
// the number of parts. A single mean is one part.
func (l *likelihood) pin(m square, beta []float64, link links) (parts int) {
	for col := range l.means {
		if int(link.root(int32(col))) != col {
			continue
		}
		parts++
		beta[col] = 0
		for other := range l.means {
			m.row(col)[other], m.row(other)[col] = 0, 0
		}
		m.row(col)[col] = 1
	}
	return parts
}

// The first session is pinned, so beta holds changes from it as residual wants
// them. additiveSums needs beta only up to a constant for each connected part; the
// athletes' levels are taken about the mean of their part.
func (l *likelihood) additiveSums(beta []float64, link links) (f additive) {
	size, centre := make([]float64, l.means), make([]float64, l.means)
	level := make([]float64, len(l.patterns))
	for i := range l.patterns {
		g := &l.patterns[i]
		var squares float64
		level[i], squares = apart(l.residual(g, beta))
		f.residual += float64(g.size * squares)
		for k, rest := len(g.mean), g.deviations; len(rest) > 0; rest = rest[k:] {
			own, squares := apart(rest[:k])
			f.residual += squares
			f.between += float64(own * own)
		}
		part := link.root(g.column[0])
		size[part] += g.size
		centre[part] += float64(g.size * level[i])
		for _, share := range g.share {
			f.share += float64(g.size*share) / float64(l.cells)
		}
		f.lost += g.size / float64(len(g.mean)*l.athletes)
	}
	f.beta, f.connected = make([]float64, l.means), make([]float64, l.means)
	for col := range beta {
		part := link.root(int32(col))
		f.part = append(f.part, part)
		f.beta[col], f.connected[col] = beta[col]+centre[part]/size[part], size[part]
	}
	for i := range l.patterns {
		part := link.root(l.patterns[i].column[0])
		d := level[i] - centre[part]/size[part]
		f.between += float64(l.patterns[i].size * d * d)
	}
	return f
}

// apart returns the mean of r and the sum of squares about it.
func apart(r []float64) (mean, squares float64) {
	for _, v := range r {
		mean += v
	}
	mean /= float64(len(r))
	for _, v := range r {
		squares += float64((v - mean) * (v - mean))
	}
	return mean, squares
}

// start returns moment estimates, exact analyses of variance on complete
// tables. A component that would be negative starts at 0.
func (l *likelihood) start(f additive, free [3]bool) (v [3]float64) {
	cell := f.residual / f.df // of a cell mean within athletes
	if f.df == 0 {
		cell = 0
	}
	if l.dfWithin > 0 && free[trial] {
		v[trial] = l.within / l.dfWithin
	}
	switch {
	case free[session]:
		v[session] = max(cell-float64(v[trial]*f.share), 0)
	case l.dfWithin > 0:
		v[trial] = (l.within + f.residual/f.share) / (l.dfWithin + f.df)
	default:
		v[trial] = cell / f.share
	}
	if f.athlete > 0 {
		own := v[session] + float64(v[trial]*f.share)
		v[athlete] = max(f.between/f.athlete-float64(own*f.lost), 0)
	}
	if v[trial]+v[session] == 0 {
		v[trial] = math.Max(v[athlete], 1) * 1e-3
	}
	return v
}

// links joins sessions that share an athlete (union by smallest number).
type links []int32

func newLinks(n int) links {
	l := make(links, n)
	for i := range l {
		l[i] = int32(i)
	}
	return l
}

func (l links) root(i int32) int32 {
	for l[i] != i {
		l[i] = l[l[i]]
		i = l[i]
	}
	return i
}

func (l links) join(i, j int32) {
	i, j = l.root(i), l.root(j)
	l[max(i, j)] = min(i, j)
}
