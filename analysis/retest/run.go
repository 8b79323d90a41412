package retest

import (
	"slices"
)

// runs are the courses of one test's athletes.
type runs struct {
	list []Run
	of   []int     // athlete -> place in list, -1 for none
	half []float64 // widest of the judged follow-ups of a run, 0 for none
}

// newRuns makes the run of every athlete with a baseline, nothing judged yet.
func (j *judge) newRuns() *runs {
	s := j.t.Scores
	k := len(s.Sessions)
	r := &runs{of: make([]int, len(s.Athletes)), half: make([]float64, 0, len(s.Athletes))}
	sessions, values := slices.Clone(s.Sessions), slices.Clone(s.Value)
	marks := make([]bool, 2*len(s.Value))
	for i, base := range j.base {
		r.of[i] = -1
		if base.sessions == 0 {
			continue
		}
		r.of[i] = len(r.list)
		half := j.precisionOf(base.effort, j.like()).half
		at, end := i*k, (i+1)*k
		r.list = append(r.list, Run{
			Athlete: s.Athletes[i], Measure: j.t.Measure, Sessions: sessions,
			Value: values[at:end:end], Baseline: base.raw,
			Low: j.unscaled(base.value - half), High: j.unscaled(base.value + half),
			Real: marks[2*at : 2*at+k : 2*at+k], Judged: marks[2*at+k : 2*end : 2*end],
		})
		r.half = append(r.half, 0)
	}
	return r
}

// mark notes the verdict on athlete i where the follow-up is a single session.
// The band is that of the widest: what lies outside it is real, whichever
// follow-up it is.
func (j *judge) mark(r *runs, i int, o occasion, c Change) {
	if len(o.columns) != 1 {
		return
	}
	at := r.of[i]
	run := &r.list[at]
	run.Judged[o.columns[0]] = true
	run.Real[o.columns[0]] = c.Real
	if c.Detectable > r.half[at] {
		r.half[at] = c.Detectable
		base := j.base[i].value
		run.Low, run.High = j.unscaled(base-c.Detectable), j.unscaled(base+c.Detectable)
	}
}
