package reliability

import (
	"errors"
	"math"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/decision"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
	"noisefloor/analysis/varcomp"
)

// The caveats of a reliability study. A number "in units" is in the unit of the
// scores or, where the name "log" stands first, in percent.
const (
	EveryScoreUsed caveat.Kind = "every-score-used" // numbers: athletes that lack a session
	// numbers: athletes without every session, athletes with a score
	LeftOutOf       caveat.Kind = "athletes-left-out"
	AllEqual        caveat.Kind = "every-score-equal"           // no ICC is defined
	EqualInSessions caveat.Kind = "equal-within-sessions"       // every score is that of the others of its session
	NoResidual      caveat.Kind = "no-residual"                 // the athletes differ alike in every session
	BelowNoise      caveat.Kind = "athletes-differ-below-noise" // the ICC is negative
	// by REML the athletes' variance is 0; numbers: its SD may be up to, in units
	NothingBetween caveat.Kind = "athletes-no-more-than-noise"
	OutOfRange     caveat.Kind = "icc-out-of-range"     // ICC(A,k)
	SessionsDiffer caveat.Kind = "session-means-differ" // numbers: p, agreement error in units
	// names: the outcome, the reason; numbers: athletes with it
	NoWorthwhile    caveat.Kind = "no-worthwhile-change"
	WorthwhileZero  caveat.Kind = "worthwhile-change-zero" // the true differences are estimated as none
	OutcomeNotShown caveat.Kind = "outcome-not-shown"      // the interval of the worthwhile change holds 0
	// names: the sessions; numbers: athletes with both, athletes needed
	NoAgreement     caveat.Kind = "no-agreement"
	NoComponents    caveat.Kind = "no-components"            // names: the reason, and for "not-positive" athlete and session
	NoDecision      caveat.Kind = "no-decision-study"        // the components are known too poorly
	DaysWithTrials  caveat.Kind = "days-with-trials"         // one attempt in each session
	NoErrorSeen     caveat.Kind = "components-without-error" // no error at all
	TrialsEqual     caveat.Kind = "trials-equal"             // the attempts of a session are all the same
	NothingDayToDay caveat.Kind = "day-to-day-zero"          // numbers: its SD may be up to, in units
	// of the components; numbers: its SD may be up to, in units
	NothingOfAthlete caveat.Kind = "between-athletes-zero"
	NoGroup          caveat.Kind = "athletes-without-group" // numbers: how many
	// numbers: ICC over all, inside the groups, and its limits where it has them
	LiftedByGroups caveat.Kind = "icc-lifted-by-groups"
	NoResampling   caveat.Kind = "no-bootstrap-with-gaps" // BCa was asked for, and athletes lack a session
	// the typical error of all is wrong for the noisiest; names: that athlete; numbers:
	// p, sessions, that athlete's own typical error and that of all, in units
	AthletesDiffer caveat.Kind = "athletes-differ-in-noise"
	// wild errors; numbers: p, robust typical error and that of all, in units
	HeavyTails caveat.Kind = "errors-with-heavy-tails"
)

// Log is the first name of a caveat whose numbers are in percent.
const Log = "log"

func (r *Result) doubt(kind caveat.Kind, numbers ...float64) {
	r.Caveats = append(r.Caveats, caveat.New(kind, numbers...))
}

// doubtInUnits raises a caveat whose last number is a difference on the scale
// of r, NaN when there is none.
func (r *Result) doubtInUnits(kind caveat.Kind, x float64, before ...float64) {
	c := caveat.New(kind, before...)
	if r.Scale == score.Log {
		c, x = c.With(Log), estimate.Percent(x)
	}
	if !math.IsNaN(x) && !math.IsInf(x, 0) {
		c.Numbers = append(c.Numbers, x)
	}
	r.Caveats = append(r.Caveats, c)
}

// caveats adds the doubts that belong beside the results.
func (r *Result) caveats(s study) {
	switch {
	case s.every:
		r.doubt(EveryScoreUsed, float64(s.partial))
	case !r.Complete:
		r.doubt(LeftOutOf, float64(s.partial), float64(s.partial+r.Athletes))
	}
	if !s.every {
		r.doubtANOVA()
	}
	if t := r.SessionTest; t.P < 1-r.Level {
		r.doubtInUnits(SessionsDiffer, r.AgreementError.Value, t.P)
	}
	r.doubtWorthwhile()
	if r.ScaleAdvice != "" {
		r.Caveats = append(r.Caveats, caveat.New(r.ScaleAdvice).With(r.growthSessions()...))
	}
	r.doubtErrors()
}

func (r *Result) doubtANOVA() {
	a := r.ANOVA
	switch {
	case a.MSR == 0 && a.MSW == 0:
		r.doubt(AllEqual)
	case a.MSE == 0:
		r.doubt(NoResidual)
	case a.MSR < a.MSE:
		r.doubt(BelowNoise)
	}
	if mean := r.ICC[3].Value.Value; mean > 1 || math.IsNaN(mean) && a.MSE > 0 && a.MSR > 0 {
		r.doubt(OutOfRange)
	}
}

func (r *Result) doubtWorthwhile() {
	w := r.Worthwhile
	switch {
	case math.IsNaN(w.Value):
		c := caveat.New(NoWorthwhile, float64(w.OutcomeAthletes))
		r.Caveats = append(r.Caveats, c.With(w.OutcomeName, string(w.Kind)))
	case w.Value == 0:
		r.doubt(WorthwhileZero)
	case w.Basis == Anchored && w.Lower <= 0:
		r.doubt(OutcomeNotShown)
	}
}

// doubtEvery says what is special about a fit of every score.
func (e every) doubt(r *Result) {
	switch {
	case e.two.Trial.Value == 0 && e.two.Athlete.Value == 0:
		r.doubt(EqualInSessions)
	case e.two.Trial.Value == 0:
		r.doubt(NoResidual)
	case e.two.Athlete.AtZero:
		r.doubtInUnits(NothingBetween, upTo(e.two.Athlete.SD))
	}
}

// doubtComponents says what is special about the components.
func (r *Result) doubtComponents(fit varcomp.Result) {
	switch {
	case fit.Merged == varcomp.WithTrial:
		r.doubt(DaysWithTrials)
	case fit.Trial.Value == 0 && fit.AthleteSession.Value == 0:
		r.doubt(NoErrorSeen)
	case fit.Trial.Value == 0:
		r.doubt(TrialsEqual)
	case fit.AthleteSession.AtZero:
		r.doubtInUnits(NothingDayToDay, upTo(fit.AthleteSession.SD))
	}
	if fit.Athlete.AtZero {
		r.doubtInUnits(NothingOfAthlete, upTo(fit.Athlete.SD))
	}
}

// noComponents raises the caveat for an error of the fit.
func (r *Result) noComponents(err error) {
	c := caveat.New(NoComponents)
	var low *notPositive
	switch {
	case errors.As(err, &low):
		c = c.With(string(estimate.NotPositive), low.athlete, low.session)
	case errors.Is(err, varcomp.ErrTooFew), errors.Is(err, decision.ErrComponents):
		c = c.With(string(estimate.TooFew))
	default:
		c = c.With(string(estimate.Failed))
	}
	r.Caveats = append(r.Caveats, c)
}

// upTo says how large an SD that is estimated as 0 may be all the same; NaN
// where that is not known.
func upTo(sd estimate.Estimate) float64 {
	if !sd.HasInterval() {
		return math.NaN()
	}
	return sd.Upper
}
