package reliability

import (
	"fmt"
	"math"

	"noisefloor/analysis/estimate"
)

func (r *Result) addWarning(format string, values ...any) {
	r.Warnings = append(r.Warnings, fmt.Sprintf(format, values...))
}

// warn adds the caveats that belong beside the results.
func (r *Result) warn(s study) {
	add := r.addWarning
	switch {
	case s.every:
		add("%s", lacking(s.partial))
	case !r.Complete:
		add("%d of %d athletes left out: not every session has a score", s.partial, s.partial+r.Athletes)
	}
	if !s.every {
		r.warnANOVA(add)
	}
	if t := r.SessionTest; t.P < 1-r.Level {
		add("the session means differ (F = %s, p %s): the typical error leaves that shift out, the agreement error of %s counts it",
			digits(t.F), probability(t.P), inUnit(r.AgreementError, r.Scale))
	}
	r.warnWorthwhile(add)
	if r.Agreement != nil && r.Agreement.Advice != "" {
		add("%s (sessions %s and %s)", r.Agreement.Advice, r.Agreement.From, r.Agreement.To)
	}
}

func (r *Result) warnANOVA(add func(format string, values ...any)) {
	a := r.ANOVA
	switch {
	case a.MSR == 0 && a.MSW == 0:
		add("every score is the same: the typical error is 0 and no ICC is defined")
	case a.MSE == 0:
		add("no residual variation at all: the athletes differ by the same amounts in every session; look at the data before trusting this")
	case a.MSR < a.MSE:
		add("the athletes differ less than the noise: the ICC is negative and shown as it is")
	}
	if mean := r.ICC[3].Value.Value; mean > 1 || math.IsNaN(mean) && a.MSE > 0 && a.MSR > 0 {
		add("ICC(A,k) has left its range: the residual is larger than the athletes' and sessions' differences together")
	}
}

func (r *Result) warnWorthwhile(add func(format string, values ...any)) {
	w := r.Worthwhile
	switch {
	case math.IsNaN(w.Value):
		add("no smallest worthwhile change: %s", w.Method)
	case w.Value == 0:
		add("the smallest worthwhile change comes out as 0, because the athletes' true differences do: set it in another way")
	case w.Basis == Anchored && w.Lower <= 0:
		add("the interval of the smallest worthwhile change includes 0: the test is not shown to go with the outcome")
	}
}

// two prints an ICC.
func two(x float64) string { return fmt.Sprintf("%.2f", x) }

func twoSpan(e estimate.Estimate) string {
	if !e.HasInterval() {
		return e.Method
	}
	return two(e.Lower) + " to " + two(e.Upper)
}

// probability prints a p value.
func probability(p float64) string {
	if p < 0.001 {
		return "< 0.001"
	}
	return fmt.Sprintf("= %.3f", p)
}
