package reliability

import (
	"math"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/score"
)

// Noise returns the noise model that r leaves behind for the judging of single
// athletes: typical error, its degrees of freedom, and what is needed to tell
// where it came from. All numbers are on the scale of r. summary says how the
// attempts of a session became its score, source names the study in words, and
// digests holds a hash of each session's values, in the order of r.Sessions.
// Components are there if r has them, told apart, and the scores are means.
// Without a worthwhile change Worthwhile is 0; an ICC that is not defined is
// NaN. r is not modified; digests is kept.
func Noise(r Result, measure, unit string, summary score.Summary, source string, digests []string) noise.Model {
	m := noise.Model{
		Measure: measure, Unit: unit, Scale: r.Scale,
		TypicalError: r.TypicalError.Value, DF: r.DF,
		Athletes: r.Athletes, Sessions: r.Sessions, Summary: summary, Trials: r.Trials,
		Mean: r.Mean, TrueSD: r.TrueSD,
		ICC: r.ICC[4].Value.Value, ICCK: r.ICC[5].Value.Value,
		Source: source, Digests: digests,
	}
	for _, c := range r.MeanChanges {
		m.Shifts = append(m.Shifts, shiftOf(c))
	}
	if summary == score.Mean {
		m.Components = saved(r.Components)
	}
	if c := saved(r.Components); c != nil {
		m.TrialSD = math.Sqrt(c.Trial)
	}
	if r.Worthwhile.Value > 0 {
		m.Worthwhile, m.WorthwhileBasis = r.Worthwhile.Value, string(r.Worthwhile.Basis)
	}
	return m
}

// shiftOf is the change of the mean without its interval: whoever reads it
// makes one at a level of their own.
func shiftOf(c MeanChange) noise.Shift {
	s := noise.Shift{From: c.From, To: c.To, Value: c.Change.Value, SE: math.NaN(), DF: c.DF}
	if c.Change.HasInterval() {
		s.SE = c.Change.SE
	}
	return s
}
