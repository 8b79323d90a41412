// Package noise holds what a reliability study leaves behind for the judging
// of single athletes: how large the error of one session score is, how well
// that is known, and where it came from.
package noise

import (
	"math"
	"slices"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
	"noisefloor/analysis/varcomp"
)

// A Model is the noise of one measure.
type Model struct {
	Measure string
	Group   string // of the athletes that the study was of; "" for all
	Unit    string
	Scale   score.Scale // the scale of every number here; Log is natural-log units

	TypicalError float64 // of one session score
	DF           float64 // degrees of freedom behind it

	Athletes int           // in the study
	Sessions []string      // of the study, in order of time
	Summary  score.Summary // how the attempts of a session became its score
	Trials   float64       // mean number of attempts behind a session score

	Mean   float64 // grand mean of the study
	TrueSD float64 // between athletes, freed of error
	ICC    float64 // consistency, single score: ICC(C,1)
	ICCK   float64 // consistency, mean over the study's sessions: ICC(C,k)

	Worthwhile      float64 // smallest worthwhile change on Scale, 0 when there is none
	WorthwhileLower float64 // its interval, at the level of the study; both 0 when it has none
	WorthwhileUpper float64
	WorthwhileBasis string // its basis, or where it comes from in words

	Source string // "noise.json, from pretests.csv sessions 1, 2" or "sessions 1, 2 of this table"

	// Components are the variance components behind TypicalError, when the study
	// could tell them and the scores are means of attempts; nil otherwise. With
	// them a follow-up made with other numbers of trials can be judged.
	Components *varcomp.Components

	// TrialSD is the SD of one attempt within a session, on Scale; 0 when not known. It
	// is not kept in noise files.
	TrialSD float64

	// Shifts are the changes of the mean between consecutive sessions of the
	// study, on Scale, and how well they are known: with no training between,
	// they are practice with the test, or conditions.
	Shifts []Shift

	// Own are the typical errors of single athletes, moderated by those of the others;
	// nil when they are not known. A noise file holds none, as it holds no athlete.
	Own []Own
	// EqualP is the p value of one typical error for all athletes, 0 when it was not
	// tested. ScaleAdvice says, as a kind of doubt, that another scale fits; "" that
	// none does.
	EqualP      float64
	ScaleAdvice string

	// GapDays is how many days lie between one session of the study and the next,
	// the median of several; nil when their dates are not known.
	GapDays *float64

	// Prints let a change that was itself part of the study be recognised; nil
	// when there are none.
	Prints *Prints

	// Studies are those that were pooled into this noise, and Agree the test that
	// their typical errors are one; nil for a single study.
	Studies []Study
	Agree   *Agreement
}

// Exact is the degrees of freedom of a typical error that is taken as known
// exactly, because nobody said how well it is known.
const Exact = 1e6

// DFKnown reports whether somebody said how well the typical error is known.
func (m Model) DFKnown() bool { return m.DF < Exact }

// Clone is a copy that shares nothing that is written to.
func (m Model) Clone() Model {
	m.Own = slices.Clone(m.Own)
	m.Sessions, m.Shifts, m.Studies = slices.Clone(m.Sessions), slices.Clone(m.Shifts), slices.Clone(m.Studies)
	m.Components, m.GapDays, m.Agree = own(m.Components), own(m.GapDays), own(m.Agree)
	if m.Prints != nil {
		p := Prints{Salt: m.Prints.Salt}
		for _, b := range m.Prints.Bits {
			p.Bits = append(p.Bits, slices.Clone(b))
		}
		m.Prints = &p
	}
	return m
}

func own[T any](p *T) *T {
	if p == nil {
		return nil
	}
	v := *p
	return &v
}

// An Own is the typical error of one athlete, moderated by those of the others, on the
// scale of the model.
type Own struct {
	Athlete          string
	TypicalError, DF float64
}

// A Shift is the change of the mean from one session to the next.
type Shift struct {
	From, To string
	Value    float64
	SE       float64 // standard error of Value; NaN when not known
	DF       float64 // degrees of freedom of SE; 0 when not known
}

// Known reports whether the change and its standard error are known.
func (s Shift) Known() bool {
	finite := func(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
	return finite(s.Value) && finite(s.SE) && s.SE >= 0
}

// Interval returns the change with its Student t interval at a level in (0, 1),
// on the degrees of freedom given where the shift has none of its own. There is
// none where the standard error is not known, or less than 1 df stand behind it.
func (s Shift) Interval(level, df float64) estimate.Estimate {
	if s.DF > 0 {
		df = s.DF
	}
	if !s.Known() || !(df >= 1) {
		return estimate.Bare(s.Value, estimate.TooFew)
	}
	half := dist.TQuantile(0.5+level/2, df) * s.SE
	return estimate.Around(s.Value, half, s.SE, df, level, estimate.StudentT)
}
