package association

import "math"

// rounding is the share of a sum of squares below which what is left of it,
// less its mean, is noise.
const rounding = 1e-12

// A resampler computes the corrected r of any resample of the athletes from
// terms made once, so that each costs a few additions for every athlete.
type resampler struct {
	athletes int
	pairs    []pair
	x, y     sessions
}

// newResampler leaves out the athletes that have neither the pair nor all
// sessions of one of the two.
func newResampler(x, y Variable, n int) resampler {
	px, sx, sy := pairsOf(x.Value, y.Value), sessionsOf(x.Sessions, n), sessionsOf(y.Sessions, n)
	var at []int
	for i := range n {
		if px[i].n+sx.one[i].n+sy.one[i].n > 0 {
			at = append(at, i)
		}
	}
	return resampler{len(at), pick(px, at), sx.pick(at), sy.pick(at)}
}

// corrected is the corrected r of a resample; NaN where a reliability is not
// above 0 or nothing varies.
func (m resampler) corrected(index []int) float64 {
	relX, relY := m.x.reliability(index), m.y.reliability(index)
	if !(relX > 0 && relY > 0) {
		return math.NaN()
	}
	return pairedR(m.pairs, index) / math.Sqrt(relX*relY)
}

// A pair is an athlete's two values less the means of all; n is 0, and so are
// the others, where one of them is missing.
type pair struct{ n, x, y float64 }

func pairsOf(x, y []float64) []pair {
	out := make([]pair, len(x))
	at := complete(len(x), x, y)
	cx, cy := centre(pick(x, at)).d, centre(pick(y, at)).d
	for i, a := range at {
		out[a] = pair{1, cx[i], cy[i]}
	}
	return out
}

// pairedR is r of the pairs drawn, NaN where nothing varies. One pass is
// enough because the values are centred.
func pairedR(pairs []pair, index []int) float64 {
	var n, x, y, xx, yy, xy float64
	for _, i := range index {
		p := &pairs[i]
		n += p.n
		x += p.x
		y += p.y
		xx += float64(p.x * p.x)
		yy += float64(p.y * p.y)
		xy += float64(p.x * p.y)
	}
	sxx, syy := xx-x*x/n, yy-y*y/n
	if !(sxx > rounding*xx && syy > rounding*yy) {
		return math.NaN()
	}
	return (xy - x*y/n) / (math.Sqrt(sxx) * math.Sqrt(syy))
}

// sessions are the terms of a reliability: what each athlete adds to the mean
// squares between and within athletes.
type sessions struct {
	k   int
	one []athlete
	e   []float64 // k-1 for each athlete: score less the athlete's mean; the last follows from them
}

// An athlete's mean over the sessions, less that of all, and Σe². n is 0, and
// so are the others, where a session is missing.
type athlete struct{ n, mean, within float64 }

// sessionsOf reads the session scores of n athletes, row-major. Fewer than
// two sessions have no terms.
func sessionsOf(score []float64, n int) sessions {
	k := len(score) / n
	if k < 2 {
		return sessions{one: make([]athlete, n)}
	}
	s := sessions{k, make([]athlete, n), make([]float64, n*(k-1))}
	var at []int
	var used []float64
	for i := range n {
		if row := score[i*k : (i+1)*k]; len(complete(k, row)) == k {
			at, used = append(at, i), append(used, row...)
		}
	}
	d := centre(used).d
	for i, a := range at {
		s.set(a, d[i*k:(i+1)*k])
	}
	return s
}

func (s sessions) set(at int, d []float64) {
	a := athlete{n: 1}
	for _, v := range d {
		a.mean += v / float64(s.k)
	}
	for j, v := range d {
		e := v - a.mean
		a.within += float64(e * e)
		if j < s.k-1 {
			s.e[at*(s.k-1)+j] = e
		}
	}
	s.one[at] = a
}

func (s sessions) pick(at []int) sessions {
	out := sessions{s.k, pick(s.one, at), nil}
	if s.k < 2 {
		return out
	}
	for _, i := range at {
		out.e = append(out.e, s.e[i*(s.k-1):(i+1)*(s.k-1)]...)
	}
	return out
}

// reliability is the consistency ICC of the mean of k sessions of the
// athletes drawn,
//
//	ICC(C,k) = (MSR - MSE)/MSR = 1 - SSE/((k-1) SSR)
//	SSR = k Σ(mean - mean of means)²,  SSE = ΣΣe² - n Σ(mean of e in a session)²
//
// NaN below two sessions or when the athletes' means do not vary.
func (s sessions) reliability(index []int) float64 {
	if s.k < 2 {
		return math.NaN()
	}
	var n, mean, square, sse float64
	for _, i := range index {
		a := &s.one[i]
		n += a.n
		mean += a.mean
		square += float64(a.mean * a.mean)
		sse += a.within
	}
	between := square - mean*mean/n
	if !(between > rounding*square) {
		return math.NaN()
	}
	var last float64
	for j := range s.k - 1 {
		var sum float64
		for _, i := range index {
			sum += s.e[i*(s.k-1)+j]
		}
		last -= sum
		sse -= sum * sum / n
	}
	sse -= last * last / n
	return 1 - sse/(float64(s.k)*float64(s.k-1)*between)
}

func indices(n int) []int {
	x := make([]int, n)
	for i := range x {
		x[i] = i
	}
	return x
}
