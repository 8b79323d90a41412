package retest

import (
	"math"
	"slices"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
)

// PracticeUnseen: the noise study saw no practice, and would have seen a gain from one
// session to the next only from Numbers[0] on, which is more than the worthwhile change;
// Numbers[1] athletes. Names[0] is the scale.
const PracticeUnseen caveat.Kind = "practice-unseen"

// seenPower is how often a gain of Practice.SeenFrom is seen.
const seenPower = 0.80

// A Practice is what the noise study showed of practice with a test, and what it could
// have shown.
type Practice struct {
	Measure, Group, From, To string
	Change                   estimate.Estimate // the last change of the mean
	SeenFrom                 float64           // the smallest that the study shows with 80 % power, on the scale
}

// tellPractice adds what the noise study could have seen of practice: where it saw none,
// silence is no proof that there is none.
func (j *judge) tellPractice(r *Result) {
	m := j.t.Noise
	if !j.o.Sight || len(m.Shifts) == 0 {
		return
	}
	df := float64(m.Athletes - 1)
	last := m.Shifts[len(m.Shifts)-1]
	p := Practice{Measure: j.t.Measure, Group: m.Group, From: last.From, To: last.To,
		Change: last.Interval(j.o.Level, df), SeenFrom: last.Sees(j.o.Level, seenPower, df)}
	r.Practice = append(r.Practice, p)
	seen := false
	for _, s := range m.Shifts {
		seen = seen || s.Interval(j.o.Level, df).Excludes(0)
	}
	if !seen && !math.IsNaN(p.SeenFrom) && !(p.SeenFrom <= j.worthwhile.value) {
		j.doubt(caveat.New(PracticeUnseen, p.SeenFrom, float64(m.Athletes)).With(string(m.Scale)))
	}
}

// practiceOf keeps those of the tests whose changes are shown.
func (r *Result) practiceOf() {
	r.Practice = slices.DeleteFunc(slices.Clone(r.Practice), func(p Practice) bool {
		return !slices.ContainsFunc(r.Changes, func(c Change) bool { return c.Measure == p.Measure && c.Group == p.Group })
	})
}
