package association

import (
	"math"
	"slices"
)

// rounding is the share of a sum of squares below which what is left of it,
// less its mean, is noise.
const rounding = 1e-12

// A correction computes the corrected r of any resample from terms made once,
// so that each costs a few additions for every athlete.
type correction struct {
	units, study []int // athletes of the two studies it rests on; study is nil when there is none
	pairs        pairing
	x, y         reliabilityTerms
	test         Variable
}

// newCorrection leaves out the athletes that have neither the pair nor all
// sessions of one of the two, and those of the study who have all sessions of
// neither.
func newCorrection(in Input, test Variable) correction {
	tx, ty := in.termsOf(test), in.termsOf(in.Outcome)
	c := correction{test: test}
	for i := range in.Athletes {
		paired := !math.IsNaN(test.Value[i]) && !math.IsNaN(in.Outcome.Value[i])
		if paired || tx.uses(i, false) || ty.uses(i, false) {
			c.units = append(c.units, i)
		}
	}
	if tx.apart || ty.apart {
		c.study = []int{}
	}
	for i := range in.StudyAthletes {
		if tx.uses(i, true) || ty.uses(i, true) {
			c.study = append(c.study, i)
		}
	}
	c.pairs = pair(test.Value, in.Outcome.Value, c.units)
	c.x, c.y = tx.of(c.units, c.study), ty.of(c.units, c.study)
	return c
}

// within takes the level means out of the pairs and of both reliabilities, and
// leaves out the athletes without a level.
func (c correction) within(in Input) correction {
	c.units = slices.DeleteFunc(slices.Clone(c.units), func(i int) bool { return in.Group[i] == "" })
	group := pick(in.Group, c.units)
	out := correction{units: c.units, x: in.termsOf(c.test), y: in.termsOf(in.Outcome)}
	out.pairs = pair(c.test.Value, in.Outcome.Value, c.units).within(group)
	for _, t := range []*reliabilityTerms{&out.x, &out.y} {
		if !t.apart {
			*t = t.of(c.units, nil)
			t.group, t.groups = out.pairs.group, out.pairs.groups
		}
	}
	return out
}

// r is the corrected r; NaN where a reliability is not above 0 or nothing
// varies.
func (c correction) r(w, v []float64) float64 {
	relX, relY := c.x.at(w, v), c.y.at(w, v)
	if !(relX > 0 && relY > 0) {
		return math.NaN()
	}
	return c.pairs.r(w, nil) / math.Sqrt(relX*relY)
}

// reliabilityTerms say which sessions a reliability is computed from.
type reliabilityTerms struct {
	sessions
	apart  bool    // sessions of the separate study
	factor float64 // sessions behind Value over sessions of the study
}

func (in Input) termsOf(v Variable) reliabilityTerms {
	n, m := len(in.Athletes), len(in.StudyAthletes)
	if len(v.Sessions) < 2*n && m > 0 && len(v.Study) >= 2*m {
		s := sessionsOf(v.Study, m)
		return reliabilityTerms{s, true, float64(max(1, v.ValueSessions)) / float64(s.k)}
	}
	return reliabilityTerms{sessionsOf(v.Sessions, n), false, 1}
}

func (t reliabilityTerms) uses(i int, apart bool) bool {
	return t.apart == apart && t.one[i].n > 0
}

func (t reliabilityTerms) of(units, study []int) reliabilityTerms {
	if t.apart {
		units = study
	}
	t.sessions = t.pick(units)
	return t
}

// here is the reliability of n athletes as they are; NaN when it is from another
// study.
func (t reliabilityTerms) here(n int) float64 {
	if t.apart {
		return math.NaN()
	}
	return t.at(ones(n), nil)
}

// at is the reliability with the weights w of the athletes and v of those of
// the study, stepped from the study's k sessions to those behind Value,
//
//	f ICC(C,k) / (1 + (f-1) ICC(C,k)),   f = sessions behind Value / k
//
// (Spearman C 1910, Brown W 1910. British Journal of Psychology 3:271-322).
func (t reliabilityTerms) at(w, v []float64) float64 {
	if !t.apart {
		return t.reliability(w)
	}
	rel := t.reliability(v)
	return t.factor * rel / (1 + float64((t.factor-1)*rel))
}

// sessions are the terms of a reliability: what each athlete adds to the mean
// squares between and within athletes.
type sessions struct {
	k   int
	one []athlete
	// the level of each athlete, and how many there are; nil: no level means taken out
	group  []int
	groups int
	e      []float64 // k-1 for each athlete: score less the athlete's mean; the last follows from them
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
	s := sessions{k: k, one: make([]athlete, n), e: make([]float64, n*(k-1))}
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
	out := sessions{k: s.k, one: pick(s.one, at)}
	if s.k < 2 {
		return out
	}
	for _, i := range at {
		out.e = append(out.e, s.e[i*(s.k-1):(i+1)*(s.k-1)]...)
	}
	return out
}

// reliability is the consistency ICC of the mean of k sessions where athlete i
// counts w[i] times,
//
//	ICC(C,k) = (MSR - MSE)/MSR = 1 - SSE/((k-1) SSR)
//	SSR = k Σ(mean - mean of means)²,  SSE = ΣΣe² - n Σ(mean of e in a session)²
//
// with the sums of every level added up where there are levels. NaN below two
// sessions or when the athletes' means do not vary.
func (s sessions) reliability(w []float64) float64 {
	if s.k < 2 {
		return math.NaN()
	}
	if s.group == nil {
		between, within, square := s.sums(w, nil, 0)
		return s.ratio(between, within, square)
	}
	var between, within, square float64
	for g := range s.groups {
		b, e, q := s.sums(w, s.group, g)
		between, within, square = between+b, within+e, square+q
	}
	return s.ratio(between, within, square)
}

func (s sessions) ratio(between, within, square float64) float64 {
	if !(between > rounding*square) {
		return math.NaN()
	}
	return 1 - within/(float64(s.k)*float64(s.k-1)*between)
}

// sums returns SSR/k, SSE and the sum of squares about no mean, of the athletes
// of one group; of all when group is nil.
func (s sessions) sums(w []float64, group []int, g int) (between, sse, square float64) {
	var n, mean float64
	for i, a := range s.one {
		if group != nil && group[i] != g {
			continue
		}
		n += float64(w[i] * a.n)
		mean += float64(w[i] * a.mean)
		square += float64(w[i] * a.mean * a.mean)
		sse += float64(w[i] * a.within)
	}
	if n == 0 {
		return 0, 0, 0
	}
	var last float64
	for j := range s.k - 1 {
		var sum float64
		for i, v := range w {
			if group == nil || group[i] == g {
				sum += float64(v * s.e[i*(s.k-1)+j])
			}
		}
		last -= sum
		sse -= sum * sum / n
	}
	return square - mean*mean/n, sse - last*last/n, square
}

func indices(n int) []int {
	x := make([]int, n)
	for i := range x {
		x[i] = i
	}
	return x
}
