package retest

import (
	"math"
	"slices"
)

// runs are the courses of one test's athletes.
type runs struct {
	list []Run
	of   []int // athlete -> place in list, -1 for none
	k    int
}

// newRuns makes the run of every athlete with a baseline, nothing judged yet.
func (j *judge) newRuns() *runs {
	s := j.t.Scores
	k := len(s.Sessions)
	r := &runs{of: make([]int, len(s.Athletes)), k: k}
	sessions, values := slices.Clone(s.Sessions), slices.Clone(s.Value)
	marks := make([]bool, 2*len(s.Value))
	for i, base := range j.base {
		r.of[i] = -1
		if base.n == 0 {
			continue
		}
		r.of[i] = len(r.list)
		half := j.factor * j.t.Noise.TypicalError * math.Sqrt(1/float64(base.n)+1)
		at, end := i*k, (i+1)*k
		r.list = append(r.list, Run{
			Athlete: s.Athletes[i], Measure: j.t.Measure, Sessions: sessions,
			Value: values[at:end:end], Baseline: base.raw,
			Low: j.unscaled(base.value - half), High: j.unscaled(base.value + half),
			Real: marks[2*at : 2*at+k : 2*at+k], Judged: marks[2*at+k : 2*end : 2*end],
		})
	}
	return r
}

// mark notes the verdict on athlete i where the follow-up is a single session.
func (r *runs) mark(i int, o occasion, real bool) {
	if len(o.columns) != 1 {
		return
	}
	run := &r.list[r.of[i]]
	run.Judged[o.columns[0]] = true
	run.Real[o.columns[0]] = real
}
