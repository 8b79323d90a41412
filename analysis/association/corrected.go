package association

import (
	"fmt"
	"math"

	"noisefloor/analysis/bootstrap"
	"noisefloor/analysis/estimate"
)

// sourceGap is how far a stated reliability may lie from that of the
// sessions before a warning says so. Common practice, no source.
const sourceGap = 0.05

// correct returns r freed of the noise in both variables,
//
//	r / √(rel_test rel_outcome)
//
// with a percentile bootstrap interval over athletes in which r and both
// reliabilities, the consistency ICC of the mean of k sessions
//
//	ICC(C,k) = (MSR - MSE)/MSR
//
// are computed anew from every resample. There is no correction, and words
// say why, unless both reliabilities lie in (0, 1]; words are "" when neither
// is known. There is no interval when a reliability comes from elsewhere.
//
// Source: Spearman C (1904). The proof and measurement of association between
// two things. American Journal of Psychology 15:72-101.
func correct(in Input, test Variable, r float64, o Options) (c *Corrected, words []string) {
	n := len(in.Athletes)
	relTest, relOutcome := test.reliability(n), in.Outcome.reliability(n)
	if math.IsNaN(relTest.value) && math.IsNaN(relOutcome.value) || math.IsNaN(r) {
		return nil, nil
	}
	for _, rel := range []known{relTest, relOutcome} {
		if reason := rel.unusable(); reason != "" {
			return nil, []string{"no correction for unreliability: " + reason}
		}
		if rel.hasSessions && math.Abs(rel.value-rel.fromSessions) > sourceGap {
			words = append(words, fmt.Sprintf("the reliability of %q is given as %.2f, its sessions here give %.2f: the interval of the corrected r rests on the sessions", rel.name, rel.value, rel.fromSessions))
		}
	}
	value := r / math.Sqrt(relTest.value*relOutcome.value)
	c = &Corrected{
		ReliabilityTest: relTest.value, ReliabilityOutcome: relOutcome.value,
		AboveOne: math.Abs(value) > 1,
		Source:   fmt.Sprintf("%s: %s; %s: %s", test.Name, relTest.source, in.Outcome.Name, relOutcome.source),
	}
	if c.AboveOne {
		words = append(words, fmt.Sprintf("corrected r = %.2f lies beyond 1: a reliability is too low, or test and outcome share their errors", value))
	}
	for _, rel := range []known{relTest, relOutcome} {
		if !rel.hasSessions {
			c.Estimate = estimate.Without(value, fmt.Sprintf("the reliability of %q has no sessions here to resample", rel.name))
			return c, words
		}
	}
	m := newMoments(test, in.Outcome, n)
	dist := bootstrap.Distribution(m.athletes(), m.corrected, bootstrap.Options{Replicates: o.Replicates, Seed: o.Seed})
	c.Estimate = bootstrap.Percentile(value, dist, o.Level)
	return c, words
}

// known is what is known of a variable's reliability.
type known struct {
	name, source        string
	value, fromSessions float64
	hasSessions         bool // enough to compute fromSessions
}

// reliability is the stated one, else that of the sessions, else NaN.
func (v Variable) reliability(n int) known {
	k := known{name: v.Name, value: v.Reliability, source: v.ReliabilitySource, fromSessions: math.NaN()}
	if k.value == 0 && k.source == "" {
		k.value = math.NaN()
	}
	if len(v.Sessions) >= 2*n && n > 0 {
		m := newMoments(v, v, n)
		k.fromSessions = m.corner(m.total(), m.x)
		k.hasSessions = !math.IsNaN(k.fromSessions)
	}
	if math.IsNaN(k.value) && k.hasSessions {
		k.value = k.fromSessions
	}
	if k.source == "" && k.hasSessions {
		k.source = fmt.Sprintf("ICC(C,%d) of the same table", len(v.Sessions)/n)
	} else if k.source == "" {
		k.source = "as given"
	}
	return k
}

func (k known) unusable() string {
	switch {
	case math.IsNaN(k.value):
		return fmt.Sprintf("the reliability of %q is not known", k.name)
	case !(k.value > 0):
		return fmt.Sprintf("the reliability of %q is %.2f, not above 0", k.name, k.value)
	case k.value > 1:
		return fmt.Sprintf("the reliability of %q is %.2f, which no reliability can be", k.name, k.value)
	}
	return ""
}

// moments hold, for every athlete, the terms whose sums give r and the two
// reliabilities, one row for each athlete, so that a resample costs one pass:
//
//	pair:    1, x, y, x², y², xy                 where x and y are there
//	session: 1, m, m², Σe², e_1 ... e_k           where all k sessions are there
//
// with x and y centred, m the centred mean of the athlete's sessions, e_j the
// session less that mean.
type moments struct {
	row    []float64
	stride int
	x, y   block
}

// block is where a variable's session terms start, and its sessions.
type block struct{ at, k int }

const pairTerms, sessionTerms = 6, 4

// newMoments leaves out the athletes that have neither the pair nor all
// sessions of one of the two.
func newMoments(x, y Variable, n int) moments {
	m := moments{}
	m.x = block{pairTerms, len(x.Sessions) / n}
	m.y = block{m.x.at + sessionTerms + m.x.k, len(y.Sessions) / n}
	m.stride = m.y.at + sessionTerms + m.y.k
	all := make([]float64, n*m.stride)
	pairRows(all, m.stride, x.Value, y.Value)
	sessionRows(all[m.x.at:], m.stride, x.Sessions, m.x.k)
	sessionRows(all[m.y.at:], m.stride, y.Sessions, m.y.k)
	for i := range n {
		if r := all[i*m.stride : (i+1)*m.stride]; r[0]+r[m.x.at]+r[m.y.at] > 0 {
			m.row = append(m.row, r...)
		}
	}
	return m
}

func pairRows(rows []float64, stride int, x, y []float64) {
	at := complete(len(x), x, y)
	cx, cy := centre(pick(x, at)).d, centre(pick(y, at)).d
	for i, a := range at {
		copy(rows[a*stride:], []float64{1, cx[i], cy[i], cx[i] * cx[i], cy[i] * cy[i], cx[i] * cy[i]})
	}
}

func sessionRows(rows []float64, stride int, sessions []float64, k int) {
	if k < 2 {
		return
	}
	n := len(sessions) / k
	columns := make([][]float64, k)
	for j := range columns {
		columns[j] = make([]float64, n)
		for i := range n {
			columns[j][i] = sessions[i*k+j]
		}
	}
	at := complete(n, columns...)
	long := make([]float64, 0, len(at)*k)
	for _, a := range at {
		long = append(long, sessions[a*k:(a+1)*k]...)
	}
	d := centre(long).d
	for i, a := range at {
		sessionRow(rows[a*stride:], d[i*k:(i+1)*k])
	}
}

func sessionRow(row, d []float64) {
	mean := 0.0
	for _, v := range d {
		mean += v / float64(len(d))
	}
	row[0], row[1], row[2] = 1, mean, mean*mean
	for j, v := range d {
		e := v - mean
		row[3] += float64(e * e)
		row[sessionTerms+j] = e
	}
}

func (m moments) athletes() int { return len(m.row) / m.stride }

// total returns the sums over all athletes.
func (m moments) total() []float64 {
	sum := make([]float64, m.stride)
	for i := range m.athletes() {
		m.addTo(sum, i)
	}
	return sum
}

func (m moments) addTo(sum []float64, athlete int) {
	row := m.row[athlete*m.stride:][:len(sum)]
	for f, v := range row {
		sum[f] += v
	}
}

// corrected is the corrected r of a resample; NaN where a reliability is not
// above 0 or nothing varies.
func (m moments) corrected(index []int) float64 {
	sum := make([]float64, m.stride)
	for _, i := range index {
		m.addTo(sum, i)
	}
	relX, relY := m.corner(sum, m.x), m.corner(sum, m.y)
	if !(relX > 0 && relY > 0) {
		return math.NaN()
	}
	n := sum[0]
	sxx, syy := sum[3]-sum[1]*sum[1]/n, sum[4]-sum[2]*sum[2]/n
	if !(sxx > rounding*sum[3] && syy > rounding*sum[4]) {
		return math.NaN()
	}
	r := (sum[5] - sum[1]*sum[2]/n) / (math.Sqrt(sxx) * math.Sqrt(syy))
	return r / math.Sqrt(relX*relY)
}

// rounding is the share of a sum of squares below which what is left is noise.
const rounding = 1e-12

// corner returns ICC(C,k) = 1 - SSE/((k-1) SSR), from the sums of block b.
func (m moments) corner(sum []float64, b block) float64 {
	s := sum[b.at : b.at+sessionTerms+b.k]
	n := s[0]
	ssr := s[2] - s[1]*s[1]/n
	if b.k < 2 || n < 2 || !(ssr > rounding*s[2]) {
		return math.NaN()
	}
	sse := s[3]
	for _, e := range s[sessionTerms:] {
		sse -= e * e / n
	}
	return 1 - sse/(float64(b.k)*float64(b.k-1)*ssr)
}
