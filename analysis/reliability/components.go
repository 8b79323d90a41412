package reliability

import (
	"errors"
	"fmt"
	"math"

	"noisefloor/analysis/decision"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/score"
	"noisefloor/analysis/varcomp"
)

// components fits the variance components of the attempts and makes the
// decision study. What cannot be made is a warning.
func (r *Result) components(s study) {
	if s.options.Attempts == nil {
		return
	}
	fit, err := s.fitAttempts()
	if err != nil {
		r.addWarning("no variance components: %v", err)
		return
	}
	r.Components = &fit
	r.warnComponents(fit)
	o := decision.Options{Level: r.Level, Trials: int(max(6, math.Ceil(r.Trials)))}
	rows, err := decision.Study(fit.Components(), o)
	if err != nil {
		r.addWarning("no decision study: %v", err)
		return
	}
	r.Decision = rows
	if !positive(r.Worthwhile.Value) {
		return
	}
	// The components and options have passed Study.
	if a, err := decision.Cheapest(fit.Components(), decision.Target{Goal: decision.Detectable, Value: r.Worthwhile.Value}, o); err == nil {
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
				return varcomp.Result{}, fmt.Errorf("%w: athlete %s, session %s has an attempt of %g",
					ErrNotPositive, a.Athletes[d.Athlete[i]], a.Sessions[d.Session[i]], v)
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

// warnComponents says in plain words what is special about the components.
func (r *Result) warnComponents(fit varcomp.Result) {
	switch {
	case fit.Merged == varcomp.WithTrial:
		r.addWarning("one attempt in each session: the day-to-day part and the part from attempt to attempt cannot be told apart")
	case fit.Trial.Value == 0 && fit.AthleteSession.Value == 0:
		r.addWarning("variance components: no error at all was seen; look at the data before trusting this")
	case fit.Trial.Value == 0:
		r.addWarning("variance components: the attempts of a session are all the same; are the values rounded, or copied?")
	case fit.AthleteSession.AtZero:
		r.addWarning("the day-to-day part comes out as 0%s: days differ no more than the attempts within them explain, so more attempts on one day look as good as more days",
			upTo(fit.AthleteSession.SD, r.Scale))
	}
	if fit.Athlete.AtZero {
		r.addWarning("variance components: the part between athletes comes out as 0%s", upTo(fit.Athlete.SD, r.Scale))
	}
}

// DesignWords says which design brings the detectable change down to the
// smallest worthwhile one: "2 sessions of 3 trials on each occasion", or why
// none does. On the log scale numbers are in percent. It is "" where Cheapest
// is nil.
func (r Result) DesignWords() string {
	if r.Cheapest == nil {
		return ""
	}
	a, last := *r.Cheapest, r.Decision[len(r.Decision)-1]
	switch {
	case a.Found:
		return fmt.Sprintf("%s of %s on each occasion", many(a.Row.Sessions, "session"), many(a.Row.Trials, "trial"))
	case a.Never && r.poorlyKnown(last.Sessions):
		return fmt.Sprintf("not shown: the day-to-day part comes out as %s, but is known too poorly%s to promise it of any number of trials",
			inUnit(r.Components.AthleteSession.SD.Value, r.Scale), upTo(r.Components.AthleteSession.SD, r.Scale))
	case a.Never:
		return fmt.Sprintf("never: the day-to-day part alone, %s, keeps the detectable change at %s even with %s",
			inUnit(r.Components.AthleteSession.SD.Value, r.Scale), inUnit(a.Limit, r.Scale), many(last.Sessions, "session"))
	case a.Needed > 0:
		return fmt.Sprintf("%s of %s on each occasion: more than %s in a session", many(last.Sessions, "session"),
			many(a.Needed, "trial"), many(last.Trials, "trial"))
	}
	return fmt.Sprintf("not %s of one trial: the detectable change is %s; what more trials would bring is not known, because the study has one trial in each session",
		many(last.Sessions, "session"), inUnit(last.Detectable, r.Scale))
}

// poorlyKnown reports whether the day-to-day part would do, were it known: then
// it is not its size that stands in the way but the few degrees of freedom.
func (r Result) poorlyKnown(sessions int) bool {
	z := dist.NormalQuantile((1 + r.Level) / 2)
	return z*math.Sqrt(2/float64(sessions))*r.Components.AthleteSession.SD.Value <= r.Worthwhile.Value
}

func many(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

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
