package reliability

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"noisefloor/analysis/decision"
	"noisefloor/analysis/varcomp"
)

// components fits the variance components of the attempts and makes the
// decision study. What cannot be made is a caveat.
func (r *Result) components(s study) {
	if s.options.Attempts == nil {
		return
	}
	fit, err := s.fitAttempts()
	if err != nil {
		r.noComponents(err)
		return
	}
	r.Components = &fit
	r.doubtComponents(fit)
	if s.options.Lean {
		return
	}
	o := decision.Options{Level: r.Level, Power: s.options.Power, Trials: int(max(6, math.Ceil(r.Trials))),
		Studied: decision.Studied{Trials: r.Trials, TypicalError: r.TypicalError, DF: r.DF,
			Reliability: r.ICC[4].Value}}
	rows, err := decision.Study(fit.Components(), o)
	if err != nil {
		r.doubt(NoDecision)
		return
	}
	r.Decision = rows
	if !positive(r.Worthwhile.Value) {
		return
	}
	// The components and options have passed Study.
	if a, err := decision.Cheapest(fit.Components(), decision.Target{Goal: decision.SeenChange,
		Value: r.Worthwhile.Value}, o); err == nil {
		r.Cheapest = &a
	}
}

// fitAttempts fits the attempts of the athletes in the study.
func (s study) fitAttempts() (varcomp.Result, error) {
	a, complete := s.options.Attempts, s.options.Missing == CompleteCases && s.partial > 0
	for _, low := range a.Low {
		if !complete || slices.Contains(s.rows, low.Athlete) {
			return varcomp.Result{}, &notPositive{a.Athletes[low.Athlete], a.Sessions[low.Session], low.Value}
		}
	}
	grid := a.Grid
	if complete {
		grid = grid.Only(s.rows)
	}
	limits := varcomp.Profile
	if len(a.Athletes) > profileAthletes && len(a.Sessions) > profileSessions || s.options.Lean {
		limits = varcomp.NoLimits
	}
	return varcomp.Fit(grid, varcomp.Options{Model: varcomp.Nested, Level: s.options.Level, Limits: limits})
}

// A notPositive is an attempt that has no logarithm.
type notPositive struct {
	athlete, session string
	value            float64
}

func (e *notPositive) Error() string {
	return fmt.Sprintf("%v: athlete %s, session %s has an attempt of %g", ErrNotPositive, e.athlete, e.session, e.value)
}

func (e *notPositive) Unwrap() error { return ErrNotPositive }

// saved returns the components for a noise model, nil unless the three are told
// apart and it is known how well.
func saved(fit *varcomp.Result) *varcomp.Components {
	if fit == nil || fit.Merged != varcomp.NotMerged {
		return nil
	}
	c := fit.Components()
	if _, err := decision.Study(c, decision.Options{}); errors.Is(err, decision.ErrComponents) {
		return nil
	}
	return &c
}
