package study

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/internal/cohort"
)

// A Basis says where a worthwhile change comes from.
type Basis string

// The bases, as a request spells them.
const (
	TrueSD     Basis = "true"     // a fraction of the between-athlete SD freed of error
	ObservedSD Basis = "observed" // a fraction of the observed SD
	Fixed      Basis = "fixed"    // a value in the unit; on the log scale in percent
	InUnit     Basis = "unit"     // a value in the unit on either scale, as the dictionary states it
	Anchored   Basis = "outcome"  // the change that goes with a change of an outcome
)

// A Worthwhile is the smallest change that matters, as a request says it.
type Worthwhile struct {
	Basis   Basis
	Number  float64 // the fraction, the value, or the change of the outcome
	Outcome string  // the measure of Anchored
}

// ParseWorthwhile reads true:0.2, observed:0.2, fixed:VALUE, unit:VALUE or
// outcome:NAME:CHANGE.
func ParseWorthwhile(s string) (Worthwhile, error) {
	kind, rest, _ := strings.Cut(s, ":")
	w := Worthwhile{Basis: Basis(kind)}
	switch w.Basis {
	case TrueSD, ObservedSD, Fixed, InUnit:
	case Anchored:
		i := strings.LastIndex(rest, ":")
		if i <= 0 {
			return w, fmt.Errorf("want outcome:NAME:CHANGE, such as outcome:ball_speed:1")
		}
		w.Outcome, rest = rest[:i], rest[i+1:]
	default:
		return w, fmt.Errorf("want true:0.2, observed:0.2, fixed:VALUE or outcome:NAME:CHANGE")
	}
	x, err := strconv.ParseFloat(rest, 64)
	if err != nil || !(x > 0) || math.IsInf(x, 0) {
		return w, fmt.Errorf("%q is not a number above zero", rest)
	}
	w.Number = x
	return w, nil
}

// of makes the basis of one measure for the analysis. scores are those of the
// noise sessions.
func (d *desk) worthwhileOf(t *cohort.Table, m *cohort.Measure, scores score.Table) (reliability.Worthwhile, error) {
	test := d.request.Tests[m.Name]
	w, err := ParseWorthwhile(test.Worthwhile)
	if err != nil {
		return reliability.Worthwhile{}, requestError("worthwhile", "%q: %v", test.Worthwhile, err)
	}
	switch w.Basis {
	case Fixed:
		return reliability.Worthwhile{Basis: reliability.Fixed, Value: w.Number}, nil
	case InUnit:
		return d.inUnit(m, w, score.Scale(test.Scale), geometricMeanOn(test.Scale, scores)), nil
	case ObservedSD:
		return reliability.Worthwhile{Basis: reliability.ObservedSD, Fraction: w.Number}, nil
	case Anchored:
		return d.anchored(t, w)
	}
	return reliability.Worthwhile{Basis: reliability.TrueSD, Fraction: w.Number}, nil
}

func geometricMeanOn(scale string, scores score.Table) float64 {
	if scale != string(score.Log) {
		return math.NaN()
	}
	return geometricMean(scores)
}

// inUnit is a value in the unit. On the log scale it becomes a percentage of the
// mean given, the geometric one of the noise study: the only place where a
// worthwhile change changes its scale.
func (d *desk) inUnit(m *cohort.Measure, w Worthwhile, scale score.Scale, mean float64) reliability.Worthwhile {
	out := reliability.Worthwhile{Basis: reliability.Fixed, Value: w.Number,
		Source: strings.TrimSpace(fmt.Sprintf("%v %s, by the dictionary", w.Number, m.Unit))}
	if scale == score.Log {
		out.Value *= 100 / mean
	}
	return out
}

// anchored is the change that goes with a change of the outcome, in the sessions
// of t.
func (d *desk) anchored(t *cohort.Table, w Worthwhile) (reliability.Worthwhile, error) {
	names, err := measureNames(t, []string{w.Outcome})
	if err != nil {
		return reliability.Worthwhile{}, err
	}
	m, err := t.Measure(names[0])
	if err != nil {
		return reliability.Worthwhile{}, err
	}
	s, err := d.scores(t, m)
	if err != nil {
		return reliability.Worthwhile{}, err
	}
	return reliability.Worthwhile{Basis: reliability.Anchored, OutcomeName: m.Name, OutcomeChange: w.Number,
		Outcome: s.AthleteMeans(), OutcomeUnit: m.Unit}, nil
}
