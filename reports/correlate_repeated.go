package reports

import (
	"fmt"
	"math"

	assoc "noisefloor/analysis/association"
	"noisefloor/analysis/estimate"
	"noisefloor/reports/field"
	"noisefloor/reports/number"
)

// repeatedOf is the correlation inside athletes of a test; false when there is
// none.
func (v Correlate) repeatedOf(measure string) (assoc.SessionAdjusted, bool) {
	for _, m := range v.Repeated {
		if m.Measure == measure && !math.IsNaN(m.Value) {
			return m.SessionAdjusted, true
		}
	}
	return assoc.SessionAdjusted{}, false
}

// insideFields are the facts of a correlation inside athletes with the session
// means taken out.
func insideFields() field.Set[assoc.SessionAdjusted] {
	type S = assoc.SessionAdjusted
	return append(field.Inline(correlationFields(), func(s S) assoc.Correlation { return s.Correlation }),
		field.Flag("session_adjusted", func(S) bool { return true }).Column("-"))
}

// athletesOnlyFields are those of the correlation with the session means left in.
func athletesOnlyFields() field.Set[assoc.Repeated] {
	type R = assoc.Repeated
	return append(field.Inline(correlationFields(), func(r R) assoc.Correlation { return r.Correlation }),
		field.Interval("slope", func(r R) estimate.Estimate { return r.Slope }).Column("-"))
}

// movedFields are the facts of the test that session means are equal.
func movedFields() field.Set[assoc.Test] {
	return field.Set[assoc.Test]{
		field.Number("f", func(t assoc.Test) float64 { return t.Statistic }).Column("-"),
		field.Number("df1", func(t assoc.Test) float64 { return t.DF }).Column("-"),
		field.Number("p", func(t assoc.Test) float64 { return t.P }).Column("-"),
	}
}

// repeatedFields name every fact of a correlation inside athletes once.
func (v Correlate) repeatedFields() field.Set[RepeatedMeasure] {
	type R = RepeatedMeasure
	r := func(key, head string, get func(R) float64) field.Field[R] {
		return field.Number(key, get).Shown(head, func(m R) string { return number.Correlation(get(m)) })
	}
	p := func(key string, get func(R) float64) field.Field[R] {
		return field.Number(key, get).Hidden().Shown("p", func(m R) string { return number.PValue(get(m)) })
	}
	only := func(m R) estimate.Estimate { return m.AthletesOnly.Estimate }
	moves := func(key string, get func(R) assoc.Test) field.Field[R] {
		return field.Object(key, movedFields(), func(m R) (assoc.Test, bool) { return get(m), !math.IsNaN(get(m).P) })
	}
	set := field.Set[R]{
		field.Text("label", func(m R) string { return v.label(m.Measure) }).Hidden().Shown("test",
			func(m R) string { return v.label(m.Measure) }),
		field.Text("measure", func(m R) string { return m.Measure }).Required(),
		athletesField("athletes", func(m R) int { return m.AthletesOnly.Athletes }).Required(),
		field.Integer("n", func(m R) int { return m.N }).Hidden().Shown("scores",
			func(m R) string { return fmt.Sprint(m.N) }),
		shown("r", "r inside athletes, session means out", func(m R) estimate.Estimate { return m.Estimate },
			correlationWords).Columns("r", "lower", "upper"),
		p("p", func(m R) float64 { return m.P }),
		shown("athletes_only", "session means in", only, correlationWords),
		p("athletes_only_p", func(m R) float64 { return m.AthletesOnly.P }),
		r("r_of_means", "r of the athletes' means", func(m R) float64 { return m.AthletesOnly.Means }),
		r("r_ignoring_athletes", "r ignoring who is who", func(m R) float64 { return m.AthletesOnly.Ignoring }),
	}
	set = append(set, field.Inline(insideFields(), func(m R) assoc.SessionAdjusted { return m.SessionAdjusted })...)
	return append(set,
		field.Integer("sessions", func(m R) int { return m.Sessions }).Column("-"),
		field.Interval("slope", func(m R) estimate.Estimate { return m.Slope }).Column("-"),
		field.Object("athletes_only", athletesOnlyFields(),
			func(m R) (assoc.Repeated, bool) { return m.AthletesOnly, true }).Required(),
		moves("session_means_test", func(m R) assoc.Test { return m.MovesX }),
		moves("session_means_outcome", func(m R) assoc.Test { return m.MovesY }),
		field.Texts("warnings", func(m R) []string { return v.phrases(m.Caveats) }).Column("-"))
}

func goes(n int) string {
	if n == 1 {
		return "goes"
	}
	return "go"
}

// repeatedAnswer says how many tests go with the outcome inside athletes.
func (v Correlate) repeatedAnswer() []string {
	found, tests, best := 0, 0, -1
	for i, m := range v.Repeated {
		if math.IsNaN(m.Value) {
			continue
		}
		tests++
		found += tick(m.State(v.Result.Level) == assoc.Shown)
		if best < 0 || math.Abs(m.Value) > math.Abs(v.Repeated[best].Value) {
			best = i
		}
	}
	if tests == 0 {
		return nil
	}
	m := v.Repeated[best]
	return []string{fmt.Sprintf("Inside athletes, from session to session and with what a session did to everybody taken "+
		"off, %d of %s %s with it, allowing for looking at so many; the closest is %s, r = %s.", found,
		number.Count(tests, "test", "tests"), goes(found), v.label(m.Measure), correlationWords(m.Estimate))}
}
