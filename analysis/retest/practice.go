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
// expected to bring, on the scale of the noise model.
type practice struct {
	shift, se, df float64
	learning      estimate.Estimate // the shift with its interval at Options.Level
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
	p := practice{shift: last.Value, se: last.SE, df: df}
	reach := dist.TQuantile(0.5+j.o.Level/2, df) * p.se
	p.learning = estimate.Around(p.shift, reach, p.se, df, j.o.Level, estimate.StudentT)
	j.practice = &p
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
		j.doubt(caveat.New(PracticeSubtracted).With(append([]string{from, to}, distinct(far)...)...))
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

// reach returns half the width of the interval of a change less the practice.
func (p *practice) reach(of *precision, level float64) reach {
	se, df := together(of.se, of.df, p.se, p.df)
	return reach{half: dist.TQuantile(0.5+level/2, df) * se, se: se, df: df}
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

// learn adds the second reading to a change.
func (j *judge) learn(c *Change, r reach) {
	learning := j.practice.learning
	d := c.Change.Value - learning.Value
	c.Learning = &learning
	after := estimate.Around(d, r.half, r.se, r.df, j.o.Level, estimate.CombinedT)
	c.AfterLearning = &after
	c.PastAfterLearning = after.Excludes(0)
}
