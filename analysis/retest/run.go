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
	states := make([]State, len(s.Value))
	for i, base := range j.base {
		r.of[i] = -1
		if base.sessions == 0 {
			continue
		}
		r.of[i] = len(r.list)
		half := j.precisionFor(s.Athletes[i], base.effort, j.like()).half
		at, end := i*k, (i+1)*k
		r.list = append(r.list, Run{
			Athlete: s.Athletes[i], Measure: j.t.Measure, Sessions: sessions,
			Value: values[at:end:end], Baseline: base.raw,
			Low: j.unscaled(base.value - half), High: j.unscaled(base.value + half),
			State: states[at:end:end],
		})
		r.half = append(r.half, 0)
	}
	return r
}

// band widens the band of athlete i's run where the follow-up is a single
// session, to the widest of them: what lies outside it is past the noise, whichever
// follow-up it is.
func (j *judge) band(r *runs, i int, o occasion, c Change) {
	if len(o.columns) != 1 {
		return
	}
	at := r.of[i]
	run := &r.list[at]
	run.State[o.columns[0]] = c.State
	if c.Detectable > r.half[at] {
		r.half[at] = c.Detectable
		base := j.base[i].value
		run.Low, run.High = j.unscaled(base-c.Detectable), j.unscaled(base+c.Detectable)
	}
}

// markOut tells the runs which changes stand out, once that is known.
func markOut(r *Result) {
	type course struct{ athlete, measure string }
	at := map[course]int{}
	for i, run := range r.Runs {
		at[course{run.Athlete, run.Measure}] = i
	}
	for _, c := range r.Changes {
		i, ok := at[course{c.Athlete, c.Measure}]
		if !ok || !c.Out() || len(r.Occasions[c.Occasion].FollowUp) != 1 {
			continue
		}
		run := r.Runs[i]
		run.State[slices.Index(run.Sessions, c.To[0])] = StandsOut
	}
}
