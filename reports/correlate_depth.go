package reports

import (
	"fmt"
	"math"

	assoc "noisefloor/analysis/association"
	"noisefloor/analysis/estimate"
	"noisefloor/reports/field"
	"noisefloor/reports/number"
	"noisefloor/reports/table"
)

// depthTables are those beyond single correlations: planes as wholes, models,
// repeated measures, changes.
func (v Correlate) depthTables() []table.Table {
	var models []assoc.Model
	var added []assoc.Added
	if v.Models != nil {
		models, added = v.Models.Models, v.Models.Added
	}
	terms := v.termFields().Table("coefficients",
		"The terms of each model: outcome for one unit, and for one SD, of the term.", v.terms())
	terms.Detail = true
	repeated := v.repeatedFields().Table("repeated-measures", "Inside athletes, from session to session: is the "+
		"outcome higher when the test is?", v.Repeated)
	repeated.Notes = []string{"Session means out: what a session did to everybody, such as a block of training, is " +
		"taken off first. With them in (Bland & Altman 1995) anything that lifts both makes an r.",
		"The last two answer other questions: whether strong athletes are also fast ones."}
	return []table.Table{
		v.contrastFields().Table("plane-contrast", "Two planes compared by all their tests together, turned so "+
			"that better is higher.", v.contrasts()),
		v.modelFields().Table("models", "How much of the outcome the tests explain, and predict.", models),
		v.addedFields().Table("added-value", "What each block of tests adds to what is there before it.", added),
		terms, repeated,
		v.againstFields().Table("change-against-change", fmt.Sprintf("Did those who gained more in a test gain "+
			"more in the outcome? Change from session %s to %s.", v.FromTo[0], v.FromTo[1]), v.Changes),
	}
}

// depthFields are the members of the document beyond single correlations.
func (v Correlate) depthFields() field.Set[Correlate] {
	return field.Set[Correlate]{
		field.List("models", v.modelFields(), func(v Correlate) []assoc.Model {
			if v.Models == nil {
				return nil
			}
			return v.Models.Models
		}),
		field.List("added", v.addedFields(), func(v Correlate) []assoc.Added {
			if v.Models == nil {
				return nil
			}
			return v.Models.Added
		}),
		field.List("repeated_measures", v.repeatedFields(),
			func(v Correlate) []RepeatedMeasure { return v.Repeated }),
		field.List("change_against_change", v.againstFields(),
			func(v Correlate) []ChangeOfMeasure { return v.Changes }),
	}
}

func (v Correlate) contrasts() []assoc.PlaneContrast {
	var out []assoc.PlaneContrast
	for _, c := range []*assoc.PlaneContrast{v.Result.WithinPlaneContrast, v.Result.PlaneContrast} {
		if c != nil {
			out = append(out, *c)
		}
	}
	return out
}

// contrastFields name every fact of two planes compared as wholes once.
func (v Correlate) contrastFields() field.Set[assoc.PlaneContrast] {
	type C = assoc.PlaneContrast
	over := func(c C) string {
		if c.Within {
			return "within level"
		}
		return "over all"
	}
	plane := func(key, head string, get func(C) string) field.Field[C] {
		return field.Text(key, get).Required().Shown(head, get)
	}
	r := func(key, head string, get func(C) estimate.Estimate) field.Field[C] {
		return field.Interval(key, get).Shown(head, func(c C) string { return correlationWords(get(c)) })
	}
	return field.Set[C]{
		field.Text("over", over).Hidden().Shown("athletes", over),
		field.Integer("n", func(c C) int { return c.N }).Required().Shown("n",
			func(c C) string { return fmt.Sprint(c.N) }),
		plane("plane_a", "plane A", func(c C) string { return c.PlaneA }),
		r("mean_r_a", "mean r of A", func(c C) estimate.Estimate { return c.RA }),
		plane("plane_b", "plane B", func(c C) string { return c.PlaneB }),
		r("mean_r_b", "mean r of B", func(c C) estimate.Estimate { return c.RB }),
		field.Interval("difference_fisher_z", func(c C) estimate.Estimate { return c.Difference }).
			Columns("difference_fisher_z", "lower", "upper").Shown("difference (Fisher's z)",
			func(c C) string { return number.SignedEstimate(c.Difference, 2) }),
		field.Texts("tests_a", func(c C) []string { return c.TestsA }).Required().Column("-"),
		field.Texts("tests_b", func(c C) []string { return c.TestsB }).Required().Column("-"),
		field.Texts("warnings", func(c C) []string { return v.phrases(c.Caveats) }).Column("-"),
	}
}

// reason says why a model has no figures, "" when it has.
func (v Correlate) reason(m assoc.Model) string {
	if v.Models == nil {
		return ""
	}
	return modelReason(m, v.Models.Caveats)
}

// modelFields name every fact of a model once.
func (v Correlate) modelFields() field.Set[assoc.Model] {
	type M = assoc.Model
	share := func(key, head string, get func(M) float64) field.Field[M] {
		return field.Number(key, get).Shown(head, func(m M) string { return number.Plain(get(m), 2) })
	}
	size := func(key, head string, get func(M) float64) field.Field[M] {
		return field.Number(key, get).Shown(head, func(m M) string {
			return number.WithUnit(number.Plain(get(m), number.Decimals(m.ResidualSD)), v.Result.OutcomeUnit)
		})
	}
	heading := func(m M) string {
		if reason := v.reason(m); reason != "" {
			return m.Name + ": " + reason
		}
		return m.Name
	}
	return field.Set[M]{
		field.Text("name", func(m M) string { return m.Name }).Required().Column("-"),
		field.Text("model", heading).Hidden().Shown("model", heading),
		field.Texts("terms", func(m M) []string {
			var names []string
			for _, t := range m.Terms {
				names = append(names, t.Name)
			}
			return names
		}).Required().Column("-"),
		athletesField("n", func(m M) int { return m.N }).Required(),
		field.Number("df", func(m M) float64 { return m.DF }).Column("-"),
		share("r2", "R²", func(m M) float64 { return m.R2 }),
		share("adjusted_r2", "adjusted", func(m M) float64 { return m.AdjustedR2 }),
		share("r2_loo", "leave-one-out R²", func(m M) float64 { return m.R2LOO }),
		size("residual_sd", "residual SD", func(m M) float64 { return m.ResidualSD }),
		size("prediction_sd", "prediction SD", func(m M) float64 { return m.PredictionSD }),
		field.List("coefficients", v.termFields(), func(m M) []modelTerm { return termsOf(m) }),
		field.Text("reason", v.reason),
		field.Texts("warnings", func(m M) []string { return v.phrases(m.Caveats) }).Column("-"),
	}
}

// A modelTerm is one term of a model, with the model.
type modelTerm struct {
	assoc.Term
	model assoc.Model
}

func termsOf(m assoc.Model) []modelTerm {
	out := make([]modelTerm, len(m.Terms))
	for i, t := range m.Terms {
		out[i] = modelTerm{t, m}
	}
	return out
}

func (v Correlate) terms() []modelTerm {
	var out []modelTerm
	if v.Models != nil {
		for _, m := range v.Models.Models {
			out = append(out, termsOf(m)...)
		}
	}
	return out
}

// termFields name every fact of a term once.
func (v Correlate) termFields() field.Set[modelTerm] {
	type T = modelTerm
	coefficient := func(t T) estimate.Estimate { return t.Coefficient }
	set := field.Set[T]{
		field.Text("model", func(t T) string { return t.model.Name }).Hidden().Shown("model",
			func(t T) string { return t.model.Name }),
		field.Text("term", func(t T) string { return t.Name }).Required().Column("-"),
		field.Text("term", func(t T) string { return v.label(t.Name) }).Hidden().Shown("term",
			func(t T) string { return v.label(t.Name) }),
		field.Text("unit", func(t T) string { return t.Unit }).Column("-"),
		field.Text("block", func(t T) string { return t.Block }).Required().Column("-"),
		field.Texts("tests", func(t T) []string { return t.Tests }).Column("-"),
	}
	set = append(set, members(coefficient)...)
	return append(set,
		field.Interval("coefficient", coefficient).Columns("coefficient", "lower", "upper").Hidden().
			Shown("coefficient", func(t T) string {
				d := number.Decimals((t.Coefficient.Upper - t.Coefficient.Lower) / 4)
				return number.SignedEstimate(t.Coefficient, d)
			}),
		field.Number("per_sd", func(t T) float64 { return t.PerSD }).Shown("for one SD",
			func(t T) string { return number.Signed(t.PerSD, number.Decimals(t.model.ResidualSD)) }),
		field.Number("p", func(t T) float64 { return t.P }).Shown("p",
			func(t T) string { return number.PValue(t.P) }),
		field.Number("variance_inflation", func(t T) float64 { return t.VIF }).Shown("variance inflation",
			func(t T) string { return number.Plain(t.VIF, 1) }))
}

// addedFields name every fact of what a block adds once.
func (v Correlate) addedFields() field.Set[assoc.Added] {
	type A = assoc.Added
	words := func(a A) string {
		if v.Models == nil {
			return ""
		}
		return addedWords(*v.Models, a)
	}
	return field.Set[A]{
		field.Text("block", func(a A) string { return a.Block }).Required().Shown("block",
			func(a A) string { return a.Block }),
		field.Text("after", func(a A) string { return a.After }).Required().Shown("after",
			func(a A) string { return a.After }),
		field.Object("delta_r2", append(members(func(a A) estimate.Estimate { return a.DeltaR2 }),
			field.Number("p", func(a A) float64 { return a.P }).Column("-")),
			func(a A) (A, bool) { return a, !math.IsNaN(a.DeltaR2.Value) }),
		field.Interval("delta_r2", func(a A) estimate.Estimate { return a.DeltaR2 }).Hidden().
			Columns("delta_r2", "lower", "upper").Shown("ΔR²",
			func(a A) string { return number.Estimate(a.DeltaR2, 2) }),
		field.Number("p", func(a A) float64 { return a.P }).Shown("p (F)",
			func(a A) string { return number.PValue(a.P) }),
		field.Number("f", func(a A) float64 { return a.F }),
		field.Number("df1", func(a A) float64 { return a.DF1 }),
		field.Number("df2", func(a A) float64 { return a.DF2 }),
		field.Number("delta_r2_loo", func(a A) float64 { return a.DeltaR2LOO }).Shown("Δ leave-one-out R²",
			func(a A) string { return number.Signed(a.DeltaR2LOO, 2) }),
		field.Text("words", words).Shown("reading", words),
	}
}

// againstFields name every fact of a test's change against the outcome's once.
func (v Correlate) againstFields() field.Set[ChangeOfMeasure] {
	type C = ChangeOfMeasure
	r := correlationFields()
	corrected := func(m C) *estimate.Estimate { return correctedOf(m.Corrected) }
	return field.Set[C]{
		field.Text("label", func(m C) string { return v.label(m.Measure) }).Hidden().Shown("test",
			func(m C) string { return v.label(m.Measure) }),
		field.Text("measure", func(m C) string { return m.Measure }).Required(),
		athletesField("n", func(m C) int { return m.N }).Required(),
		field.Object("pearson", r, func(m C) (assoc.Correlation, bool) { return m.Pearson, true }).Required(),
		shown("r", "r of the changes", func(m C) estimate.Estimate { return m.Pearson.Estimate }, correlationWords).
			Columns("r", "lower", "upper"),
		field.Number("p", func(m C) float64 { return m.Pearson.P }).Hidden().Shown("p",
			func(m C) string { return number.PValue(m.Pearson.P) }),
		field.Object("spearman", r, func(m C) (assoc.Correlation, bool) { return m.Spearman, true }).Required(),
		field.Number("spearman", func(m C) float64 { return m.Spearman.Value }).Hidden().Shown("Spearman",
			func(m C) string { return number.Correlation(m.Spearman.Value) }),
		field.Interval("slope", func(m C) estimate.Estimate { return m.Slope }).Column("-"),
		field.Number("reliability_test", func(m C) float64 { return m.ReliabilityTest }).Column("-"),
		field.Number("reliability_outcome", func(m C) float64 { return m.ReliabilityOutcome }).Column("-"),
		field.Object("corrected", correctedFields(), func(m C) (assoc.Corrected,
			bool) {
			return existing(m.Corrected)
		}),
		field.MaybeInterval("corrected", corrected).Hidden().Shown("corrected r",
			func(m C) string { return correctedWords(m.Corrected, false) }),
		field.Texts("warnings", func(m C) []string { return v.phrases(m.Caveats) }).Column("-"),
	}
}
