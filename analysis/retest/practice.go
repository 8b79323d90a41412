package retest

import (
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
)

// A practice is the change of the mean that one more exposure to the test is
// expected to bring, on the scale of the noise model, and what was reckoned with it.
type practice struct {
	shift, se, df float64
	from, to      string // sessions of the shift
	known         map[exposures]reach
}

// exposures are what the interval of a change less its practice depends on, the
// precision of the change aside: how many exposures of practice are taken off, and how
// the baseline shares its errors with the shift.
type exposures struct {
	of            *precision
	steps, shares float64
}

// choosePractice takes the last change of the mean in the noise study as the
// practice of one more exposure, with its standard error and df (n-1 where the
// model does not say).
func (j *judge) choosePractice() {
	if !j.o.Learning {
		return
	}
	m := j.t.Noise
	if len(m.Shifts) == 0 {
		j.doubt(caveat.New(NoPractice))
		return
	}
	last := m.Shifts[len(m.Shifts)-1]
	df := last.DF
	if !(df > 0) { // a study without gaps has n-1
		df = float64(m.Athletes - 1)
	}
	switch {
	case !last.Known():
		j.doubt(caveat.New(PracticeWithoutError).With(last.From, last.To))
		return
	case df < 1:
		j.doubt(caveat.New(PracticeOfUnknownMany))
		return
	}
	j.practice = &practice{shift: last.Value, se: last.SE, df: df, from: last.From, to: last.To,
		known: map[exposures]reach{}}
	j.sayPractice(last.From, last.To)
}

// sayPractice says what is subtracted, and from which follow-ups it is not or
// may not be enough.
func (j *judge) sayPractice(from, to string) {
	var early, far []string
	last := slices.Max(j.baseline.columns)
	for _, f := range j.followUp {
		switch {
		case !j.late(f):
			early = append(early, f.names...)
		case slices.Max(f.columns) > last+1:
			far = append(far, f.names...)
		}
	}
	if len(early) < len(slices.Concat(namesOf(j.followUp)...)) {
		steps, _ := j.exposures(j.baseline.columns)
		j.doubt(caveat.New(PracticeSubtracted, steps).With(append([]string{from, to}, distinct(far)...)...))
	}
	if len(early) > 0 {
		j.doubt(caveat.New(NotAfterBaseline).With(append([]string{strings.Join(j.baseline.names, ", ")},
			distinct(early)...)...))
	}
}

func namesOf(all []occasion) (names [][]string) {
	for _, o := range all {
		names = append(names, o.names)
	}
	return names
}

// distinct drops repetitions and keeps the order.
func distinct(names []string) (out []string) {
	for _, n := range names {
		if !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}

// late reports whether all of a follow-up lies after all of the baseline.
func (j *judge) late(f occasion) bool {
	return slices.Min(f.columns) > slices.Max(j.baseline.columns)
}

// exposures says of a baseline of the columns given how many exposures of practice lie
// between it and the next session: steady practice of s an exposure raises the score at
// place p by s p, so from the mean place of the baseline to the place after its last it
// is
//
//	steps = last + 1 - mean place
//
// 1 for a baseline of one session, 1.5 for sessions 1 and 2, 2 for 1, 2 and 3. shares is
// the part of the baseline that was the later session of the shift, less that which was
// the earlier one: 0 where the baseline has both alike, or neither.
func (j *judge) exposures(columns []int) (steps, shares float64) {
	b := float64(len(columns))
	for _, c := range columns {
		steps -= float64(c) / b
		if !j.studied(c) {
			continue
		}
		switch j.t.Scores.Sessions[c] {
		case j.practice.to:
			shares += 1 / b
		case j.practice.from:
			shares -= 1 / b
		}
	}
	return steps + float64(slices.Max(columns)) + 1, shares
}

// reach returns half the width of the interval of a change less the practice of so many
// exposures. Where a baseline has the later session of the shift and not the earlier, an
// athlete of the study who was high then is in both: with n athletes and L = steps ×
// shift the covariance of D and L is -steps shares TE²/n, and
//
//	Var(D - L) = SE² + (steps SE_s)² + 2 steps shares TE²/n
//
// For a baseline that is the mean of the sessions of the study it is 0.
func (j *judge) reach(e exposures) reach {
	p := j.practice
	if known, ok := p.known[e]; ok {
		return known
	}
	te := j.t.Noise.TypicalError
	own := math.Sqrt(max(0, float64(e.of.se*e.of.se)+float64(2*e.steps*e.shares*te*te)/float64(max(1, j.t.Noise.Athletes))))
	se, df := together(own, e.of.df, e.steps*p.se, p.df)
	p.known[e] = reach{half: dist.TQuantile(0.5+j.o.Level/2, df) * se, se: se, df: df}
	return p.known[e]
}

// together combines two standard errors, a and b, of independent parts of a
// sum, which were estimated from the same study,
//
//	SE² = a² + b²    df = (a² + b²)² / (a²/√df_a + b²/√df_b)²
//
// This is Satterthwaite's 2 E²/Var with the two mean squares fully correlated.
// With two sessions in the study they are: both are the variance of the same
// differences, and the interval is that of Student for the prediction of one
// more difference, with n-1 df. Welch's df takes them as independent and is
// above n-1 then. With more sessions the correlation is less than full and the
// df here are cautious.
//
// Source: Satterthwaite FE (1946). Biometrics Bulletin 2:110-114.
func together(a, dfA, b, dfB float64) (se, df float64) {
	se = math.Hypot(a, b)
	if se == 0 {
		return 0, dfA
	}
	a, b = a/se, b/se
	root := float64(a*a)/math.Sqrt(dfA) + float64(b*b)/math.Sqrt(dfB)
	return se, 1 / (root * root)
}

// learn adds the second reading to the change of an athlete who has the sessions of the
// baseline in the columns given.
func (j *judge) learn(c *Change, of *precision, columns []int) {
	p := j.practice
	steps, shares := j.exposures(columns)
	se := steps * p.se
	half := dist.TQuantile(0.5+j.o.Level/2, p.df) * se
	learning := estimate.Around(steps*p.shift, half, se, p.df, j.o.Level, estimate.StudentT)
	r := j.reach(exposures{of, steps, shares})
	after := estimate.Around(c.Change.Value-learning.Value, r.half, r.se, r.df, j.o.Level, estimate.CombinedT)
	c.Learning, c.AfterLearning, c.Exposures = &learning, &after, steps
	c.PastAfterLearning = after.Excludes(0)
}
