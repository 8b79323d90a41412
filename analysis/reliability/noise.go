package reliability

import (
	"math"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/score"
)

// Noise returns the noise model that r leaves behind for the judging of single
// athletes: typical error, its degrees of freedom, and what is needed to tell
// where it came from. All numbers are on the scale of r. summary says how the
// attempts of a session became its score, and source names the study in words.
// Components are there if r has them, told apart, and the scores are means.
// Without a worthwhile change Worthwhile is 0; an ICC that is not defined is
// NaN. r is not modified.
func Noise(r Result, measure, unit string, summary score.Summary, source string) noise.Model {
	m := noise.Model{
		Measure: measure, Unit: unit, Scale: r.Scale,
		TypicalError: r.TypicalError.Value, DF: r.DF,
		Athletes: r.Athletes, Sessions: r.Sessions, Summary: summary, Trials: r.Trials,
		Mean: r.Mean, TrueSD: r.TrueSD,
		ICC: r.ICC[4].Value.Value, ICCK: r.ICC[5].Value.Value,
		Source: source,
	}
	m.ScaleAdvice = string(r.ScaleAdvice)
	if r.Equal.Why == "" && !math.IsInf(r.Equal.PriorDF, 1) {
		m.EqualP = r.Equal.P
	}
	for _, o := range r.OwnNoise {
		m.Own = append(m.Own, noise.Own{Athlete: o.Athlete, TypicalError: o.TypicalError, DF: o.DF})
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
		if r.Worthwhile.HasInterval() {
			m.WorthwhileLower, m.WorthwhileUpper = r.Worthwhile.Lower, r.Worthwhile.Upper
		}
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
