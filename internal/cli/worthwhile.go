package cli

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/internal/cohort"
)

// worthwhile is the flag that says what change matters.
type worthwhile struct {
	text string
	reliability.Worthwhile
}

func (w *worthwhile) register(cmd *cobra.Command) {
	cmd.Flags().Var(w, "worthwhile", "the smallest worthwhile change: a `basis`; "+
		"true:0.2 (of the between-athlete SD freed of error; the default), observed:0.2 (of the observed SD), "+
		"fixed:15 (in the measure's unit; percent on the log scale), outcome:NAME:1 (the change that goes with 1 unit of an outcome)")
}

// Set implements the flag.
func (w *worthwhile) Set(s string) error {
	kind, rest, _ := strings.Cut(s, ":")
	basis := map[string]reliability.Basis{"true": reliability.TrueSD, "observed": reliability.ObservedSD, "fixed": reliability.Fixed, "outcome": reliability.Anchored}[kind]
	if basis == "" {
		return fmt.Errorf("want true:0.2, observed:0.2, fixed:VALUE or outcome:NAME:CHANGE")
	}
	name := ""
	if basis == reliability.Anchored {
		i := strings.LastIndex(rest, ":")
		if i <= 0 {
			return fmt.Errorf("want outcome:NAME:CHANGE, such as outcome:ball_speed:1")
		}
		name, rest = rest[:i], rest[i+1:]
	}
	x, err := strconv.ParseFloat(rest, 64)
	if err != nil || !(x > 0) || math.IsInf(x, 0) {
		return fmt.Errorf("%q is not a number above zero", rest)
	}
	*w = worthwhile{text: s, Worthwhile: reliability.Worthwhile{Basis: basis}}
	switch basis {
	case reliability.Fixed:
		w.Value = x
	case reliability.Anchored:
		w.OutcomeName, w.OutcomeChange = name, x
	default:
		w.Fraction = x
	}
	return nil
}

// String implements the flag.
func (w *worthwhile) String() string { return w.text }

// Type implements the flag.
func (w *worthwhile) Type() string { return "basis" }

// words says which basis is used.
func (w worthwhile) words(t *cohort.Table) string {
	switch w.Basis {
	case reliability.Fixed:
		return "fixed at " + strings.TrimPrefix(w.text, "fixed:") + " (set by the user)"
	case reliability.ObservedSD:
		return fmt.Sprintf("%g of the observed between-athlete SD", w.Fraction)
	case reliability.Anchored:
		return fmt.Sprintf("the change that goes with %g of %s", w.OutcomeChange, w.OutcomeName)
	case reliability.TrueSD:
		return fmt.Sprintf("%g of the between-athlete SD freed of error", w.Fraction)
	}
	for _, m := range t.Measures {
		if m.Worthwhile != nil {
			return "the dictionary's where it states one, else 0.2 of the between-athlete SD freed of error (common practice, no source)"
		}
	}
	return "0.2 of the between-athlete SD freed of error (common practice, no source)"
}

// of returns the basis for one measure: the flag's, else the dictionary's.
func (w worthwhile) of(t *cohort.Table, m *cohort.Measure, scores score.Table, scale score.Scale, f tableFlags) (reliability.Worthwhile, error) {
	out := w.Worthwhile
	switch {
	case out.Basis == "" && m.Worthwhile != nil:
		out = reliability.Worthwhile{Basis: reliability.Fixed, Value: *m.Worthwhile,
			Source: strings.TrimSpace(fmt.Sprintf("%g %s, by the dictionary", *m.Worthwhile, m.Unit))}
		if scale == score.Log {
			out.Value *= 100 / geometricMean(scores)
		}
	case out.Basis == reliability.Anchored:
		outcome, err := t.Measure(out.OutcomeName)
		if err != nil {
			return out, err
		}
		s, err := f.scores(t, outcome)
		if err != nil {
			return out, err
		}
		out.Outcome, out.OutcomeUnit = s.AthleteMeans(), outcome.Unit
	}
	return out, nil
}

// geometricMean is the mean of positive scores on the log scale, turned back.
func geometricMean(t score.Table) float64 {
	logs, err := t.Log()
	if err != nil {
		return math.NaN() // the analysis refuses the log scale, and says why
	}
	return math.Exp(logs.Mean())
}
