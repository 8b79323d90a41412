package reliability

import (
	"errors"
	"fmt"
	"math"

	"noisefloor/analysis/decision"
	"noisefloor/analysis/score"
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
	o := decision.Options{Level: r.Level, Trials: int(max(6, math.Ceil(r.Trials)))}
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
	if a, err := decision.Cheapest(fit.Components(), decision.Target{Goal: decision.Detectable,
		Value: r.Worthwhile.Value}, o); err == nil {
		r.Cheapest = &a
	}
}

// fitAttempts fits the attempts of the athletes in the study.
func (s study) fitAttempts() (varcomp.Result, error) {
	a := *s.options.Attempts
	d := varcomp.FromAttempts(a)
	if s.options.Missing == CompleteCases && s.partial > 0 {
		d = s.ofAthletes(d)
	}
	if s.options.Scale == score.Log {
		logs := make([]float64, len(d.Value))
		for i, v := range d.Value {
			if !(v > 0) {
				return varcomp.Result{}, &notPositive{a.Athletes[d.Athlete[i]], a.Sessions[d.Session[i]], v}
			}
			logs[i] = math.Log(v)
		}
		d.Value = logs
	}
	limits := varcomp.Profile
	if len(a.Athletes) > profileAthletes && len(a.Sessions) > profileSessions {
		limits = varcomp.NoLimits
	}
	return varcomp.Fit(d, varcomp.Options{Model: varcomp.Nested, Level: s.options.Level, Limits: limits})
}

// ofAthletes keeps the attempts of the athletes with every session.
func (s study) ofAthletes(d varcomp.Data) varcomp.Data {
	in := make([]bool, d.Athletes)
	for _, row := range s.rows {
		in[row] = true
	}
	out := varcomp.Data{Athletes: d.Athletes, Sessions: d.Sessions}
	for i, v := range d.Value {
		if at := d.Athlete[i]; in[at] {
			out.Athlete, out.Session = append(out.Athlete, at), append(out.Session, d.Session[i])
			out.Value = append(out.Value, v)
		}
	}
	return out
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
