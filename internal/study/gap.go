package study

import (
	"slices"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/retest"
	"noisefloor/internal/cohort"
)

// daysOf are the days of sessions, counted from the first of the table; nil when the
// names of its sessions are not dates.
func daysOf(t *cohort.Table) map[string]float64 {
	apart := cohort.DaysApart(t.Sessions)
	if apart == nil {
		return nil
	}
	out := map[string]float64{t.Sessions[0]: 0}
	for i, days := range apart {
		out[t.Sessions[i+1]] = out[t.Sessions[i]] + float64(days)
	}
	return out
}

// gapOf is how many days lie between one session and the next, the median of
// several; nil when they are not known.
func gapOf(t *cohort.Table, sessions []string) *float64 {
	days := daysOf(t)
	if days == nil || len(sessions) < 2 {
		return nil
	}
	var gaps []float64
	for i := range sessions[1:] {
		gaps = append(gaps, days[sessions[i+1]]-days[sessions[i]])
	}
	m := median(gaps)
	return &m
}

// gapBetween is how many days lie between the mean days of two occasions; nil when
// they are not known.
func gapBetween(t *cohort.Table, from, to []string) *float64 {
	days := daysOf(t)
	if days == nil {
		return nil
	}
	mean := func(sessions []string) (m float64) {
		for _, s := range sessions {
			m += days[s] / float64(len(sessions))
		}
		return m
	}
	gap := mean(to) - mean(from)
	return &gap
}

// caveatGaps says where a change took much longer than the noise study.
func (r *Retest) caveatGaps(d *desk, j *judging) {
	for _, m := range j.models {
		if m.noise.GapDays == nil {
			continue
		}
		c := caveat.New(retest.LongerGap, *m.noise.GapDays)
		var gaps []float64
		for _, f := range j.followUp {
			if gap := gapBetween(d.whole, j.baseline, f); gap != nil && retest.Longer(*m.noise.GapDays, *gap) {
				c.Names, gaps = append(c.Names, f...), append(gaps, *gap)
			}
		}
		if len(gaps) > 0 {
			c.Numbers = append(c.Numbers, slices.Min(gaps), slices.Max(gaps))
			d.caveats = append(d.caveats, c.About(m.measure.Name))
		}
	}
}

// putGaps notes the days of each occasion.
func putGaps(t *cohort.Table, r *retest.Result) {
	for i := range r.Occasions {
		o := &r.Occasions[i]
		o.GapDays = gapBetween(t, o.Baseline, o.FollowUp)
	}
}
