package reports

import (
	"fmt"
	"math"

	assoc "noisefloor/analysis/association"
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/reports/field"
	"noisefloor/reports/number"
)

// members are an estimate in its owner's own object, and no columns.
func members[T any](get func(T) estimate.Estimate) field.Set[T] {
	return field.Set[T]{
		field.Number("estimate", func(v T) float64 { return get(v).Value }).Column("-"),
		field.Number("lower", func(v T) float64 { return get(v).Lower }).Column("-"),
		field.Number("upper", func(v T) float64 { return get(v).Upper }).Column("-"),
		field.Text("method", func(v T) string { return string(get(v).Kind) }).Column("-"),
	}
}

// shown is an estimate as a column for people with its limits beside, for tables
// alone: the JSON has it elsewhere.
func shown[T any](key, head string, get func(T) estimate.Estimate, say func(estimate.Estimate) string) field.Field[T] {
	return field.Interval(key, get).Hidden().Shown(head, func(v T) string { return say(get(v)) })
}

// correlationFields are the facts of an r, and no columns.
func correlationFields() field.Set[assoc.Correlation] {
	type C = assoc.Correlation
	return append(members(func(c C) estimate.Estimate { return c.Estimate }),
		field.Integer("n", func(c C) int { return c.N }).Required().Column("-"),
		field.Number("df", func(c C) float64 { return c.DF }).Column("-"),
		field.Number("p", func(c C) float64 { return c.P }).Column("-"),
		field.Text("p_method", func(c C) string { return string(c.PMethod) }).Column("-"),
		field.Number("p_holm", func(c C) float64 { return c.PHolm }).Column("-"),
		field.Number("p_bh", func(c C) float64 { return c.PBH }).Column("-"),
		field.MaybeInterval("bca", func(c C) *estimate.Estimate { return c.BCa }).Column("-"))
}

func noCorrelation() assoc.Correlation {
	none := math.NaN()
	return assoc.Correlation{Estimate: estimate.Bare(none, estimate.None), DF: none, P: none, PHolm: none, PBH: none}
}

// correlationColumns are the columns of an r of the associations; without a head
// they are for machines.
func correlationColumns(key, head string, holm bool,
	get func(assoc.Association) *assoc.Correlation) field.Set[assoc.Association] {
	return remarkedColumns(key, head, holm, get, func(assoc.Association) string { return "" })
}

// remarkedColumns are the same with a remark behind the r.
func remarkedColumns(key, head string, holm bool, get func(assoc.Association) *assoc.Correlation,
	remark func(assoc.Association) string) field.Set[assoc.Association] {
	type A = assoc.Association
	r := func(a A) assoc.Correlation {
		if c := get(a); c != nil {
			return *c
		}
		return noCorrelation()
	}
	adjusted := ""
	if holm && head != "" {
		adjusted = "p (Holm)"
	}
	return field.Set[A]{
		field.Interval(key, func(a A) estimate.Estimate { return r(a).Estimate }).Hidden().
			Shown(head, func(a A) string { return correlationWords(r(a).Estimate) + remark(a) }),
		field.Number(key+"_p", func(a A) float64 { return r(a).P }).Hidden(),
		field.Number(key+"_p_holm", func(a A) float64 { return r(a).PHolm }).Hidden().
			Shown(adjusted, func(a A) string { return number.PValue(r(a).PHolm) }),
		field.Number(key+"_p_bh", func(a A) float64 { return r(a).PBH }).Hidden(),
	}
}

func withinOf(a assoc.Association) *assoc.Correlation {
	if a.Within == nil {
		return nil
	}
	return &a.Within.Correlation
}

// existing turns a pointer into what [field.Object] asks for.
func existing[T any](p *T) (T, bool) {
	if p == nil {
		var none T
		return none, false
	}
	return *p, true
}

// present is a head when there is something below it.
func present(head string, there bool) string {
	if there {
		return head
	}
	return ""
}

// associationFields name every fact of a test against the outcome once.
func (v Correlate) associationFields() field.Set[assoc.Association] {
	type A = assoc.Association
	var partial, within, corrected, correctedWithin bool
	for _, a := range v.Result.Associations {
		partial, within, corrected = partial || a.Partial != nil, within || a.Within != nil, corrected ||
			a.Corrected != nil
		correctedWithin = correctedWithin || correctedInside(a) != nil
	}
	r := correlationFields()
	set := field.Set[A]{
		field.Text("label", func(a A) string { return v.label(a.Measure) }).Hidden().Shown("test",
			func(a A) string { return v.label(a.Measure) }),
		field.Text("measure", func(a A) string { return a.Measure }).Required(),
		field.Text("unit", func(a A) string { return a.Unit }).Required(),
		field.Text("plane", func(a A) string { return a.Plane }).Required().Shown("plane",
			func(a A) string { return a.Plane }),
		athletesField("n", func(a A) int { return a.N }).Required(),
		field.Flag("undirected", func(a A) bool { return a.Undirected }).Column("-"),
		field.Object("pearson", r, func(a A) (assoc.Correlation, bool) { return a.Pearson, true }).Required(),
		field.Object("spearman", r, func(a A) (assoc.Correlation, bool) { return a.Spearman, true }).Required(),
		field.Object("partial", r, func(a A) (assoc.Correlation, bool) { return existing(a.Partial) }),
		field.Object("within_level", v.withinFields(),
			func(a A) (assoc.WithinGroups, bool) { return existing(a.Within) }),
	}
	set = append(set, remarkedColumns("within_level", present("r within level", within), true, withinOf,
		func(a A) string {
			if a.Within != nil && a.Within.Differ {
				return ", levels differ"
			}
			return ""
		})...)
	set = append(set, correlationColumns("pearson", "r over all (Pearson)", !within,
		func(a A) *assoc.Correlation { return &a.Pearson })...)
	set = append(set, correlationColumns("spearman", "Spearman", false,
		func(a A) *assoc.Correlation { return &a.Spearman })...)
	set = append(set, correlationColumns("partial", present("partial r", partial), true,
		func(a A) *assoc.Correlation { return a.Partial })...)
	return append(set,
		field.Object("corrected", correctedFields(),
			func(a A) (assoc.Corrected, bool) { return existing(a.Corrected) }),
		field.MaybeInterval("corrected", func(a A) *estimate.Estimate { return correctedOf(a.Corrected) }).Hidden().
			Shown(present("corrected r", corrected), func(a A) string { return correctedWords(a.Corrected, true) }),
		field.MaybeInterval("corrected_within_level",
			func(a A) *estimate.Estimate { return correctedOf(correctedInside(a)) }).Hidden().
			Shown(present("corrected r within level", correctedWithin),
				func(a A) string { return correctedWords(correctedInside(a), true) }),
		field.Object("repeated", insideFields(), func(a A) (assoc.SessionAdjusted, bool) { return v.repeatedOf(a.Measure) }),
		field.Interval("slope", func(a A) estimate.Estimate { return a.Slope }),
		field.Texts("warnings", func(a A) []string { return v.phrases(a.Caveats) }).Column("-"))
}

func athletesField[T any](key string, get func(T) int) field.Field[T] {
	return field.Integer(key, get).Shown("athletes", func(v T) string { return fmt.Sprint(get(v)) })
}

// correctedInside is the corrected r within levels, nil when there is none.
func correctedInside(a assoc.Association) *assoc.Corrected {
	if a.Within == nil {
		return nil
	}
	return a.Within.Corrected
}

func correctedOf(c *assoc.Corrected) *estimate.Estimate {
	if c == nil {
		return nil
	}
	return &c.Estimate
}

// correctedWords write a corrected r; flagged says when it is above 1.
func correctedWords(c *assoc.Corrected, flagged bool) string {
	switch {
	case c == nil:
		return number.Missing
	case flagged && c.AboveOne:
		return correlationWords(c.Estimate) + " above 1"
	}
	return correlationWords(c.Estimate)
}

func correctedFields() field.Set[assoc.Corrected] {
	type C = assoc.Corrected
	return append(members(func(c C) estimate.Estimate { return c.Estimate }),
		field.Number("reliability_test", func(c C) float64 { return c.ReliabilityTest }),
		field.Number("reliability_outcome", func(c C) float64 { return c.ReliabilityOutcome }),
		field.Flag("above_one", func(c C) bool { return c.AboveOne }),
		field.Text("source", func(c C) string {
			return fmt.Sprintf("%s: %s; %s: %s", c.Sources[0].Variable, sourceWords(c.Sources[0]),
				c.Sources[1].Variable, sourceWords(c.Sources[1]))
		}))
}

// withinFields are the facts of a correlation inside levels.
func (v Correlate) withinFields() field.Set[assoc.WithinGroups] {
	type W = assoc.WithinGroups
	return append(field.Inline(correlationFields(), func(w W) assoc.Correlation { return w.Correlation }),
		field.List("levels", levelFields(), func(w W) []assoc.GroupR { return w.Groups }).Required(),
		field.Object("homogeneity", chiFields(), func(w W) (assoc.Test, bool) {
			return w.Homogeneity, !math.IsNaN(w.Homogeneity.Statistic) && !math.IsInf(w.Homogeneity.Statistic, 0)
		}),
		field.Flag("levels_differ", func(w W) bool { return w.Differ }),
		field.Object("corrected", correctedFields(),
			func(w W) (assoc.Corrected, bool) { return existing(w.Corrected) }),
		field.Flag("parted", func(w W) bool { return w.Parted }),
		field.Text("words", withinWords))
}

func levelFields() field.Set[assoc.GroupR] {
	type L = assoc.GroupR
	return append(append(field.Set[L]{field.Text("level", func(l L) string { return l.Group }).Required()},
		field.Inline(correlationFields(), func(l L) assoc.Correlation { return l.Correlation })...),
		field.Text("too_few", levelWords))
}

func chiFields() field.Set[assoc.Test] {
	return field.Set[assoc.Test]{
		field.Number("chi_square", func(t assoc.Test) float64 { return t.Statistic }),
		field.Number("df", func(t assoc.Test) float64 { return t.DF }),
		field.Number("p", func(t assoc.Test) float64 { return t.P }),
	}
}

// A levelRow is the correlation of a test inside one level.
type levelRow struct {
	assoc.GroupR
	measure string
	reading string // of the test, beside its first level
}

func (v Correlate) levelRows() []levelRow {
	var out []levelRow
	for _, a := range v.Result.Associations {
		if a.Within == nil {
			continue
		}
		for i, l := range a.Within.Groups {
			row := levelRow{l, a.Measure, levelWords(l)}
			if i == 0 && row.reading == "" {
				row.reading = differWords(*a.Within) + withinWords(*a.Within)
			}
			out = append(out, row)
		}
	}
	return out
}

// levelRowFields are the columns of the table of levels.
func (v Correlate) levelRowFields() field.Set[levelRow] {
	type L = levelRow
	reading := func(l L) string { return l.reading }
	return field.Set[L]{
		field.Text("measure", func(l L) string { return v.label(l.measure) }).Shown("test",
			func(l L) string { return v.label(l.measure) }),
		field.Text("level", func(l L) string { return l.Group }).Shown("level", func(l L) string { return l.Group }),
		athletesField("n", func(l L) int { return l.N }),
		shown("r", "r", func(l L) estimate.Estimate { return l.Estimate }, correlationWords).Columns("r", "lower",
			"upper"),
		field.Text("note", func(l L) string { return levelWords(l.GroupR) }),
		field.Text("reading", reading).Shown("reading", reading),
	}
}

// planeFields name every fact of a plane's tests once.
func (v Correlate) planeFields() field.Set[assoc.PlaneSummary] {
	type P = assoc.PlaneSummary
	r := func(key, head string, get func(P) float64) field.Field[P] {
		return field.Number(key, get).Shown(head, func(p P) string { return number.Correlation(get(p)) })
	}
	return field.Set[P]{
		field.Text("plane", func(p P) string { return p.Plane }).Required().Shown("plane",
			func(p P) string { return p.Plane }),
		field.Integer("tests", func(p P) int { return p.Tests }).Required().Shown("tests",
			func(p P) string { return fmt.Sprint(p.Tests) }),
		r("mean_r", "mean r", func(p P) float64 { return p.MeanR }),
		field.Flag("absolute", func(p P) bool { return p.Absolute }).Column("-"),
		r("lowest", "lowest", func(p P) float64 { return p.Lowest }),
		r("highest", "highest", func(p P) float64 { return p.Highest }),
		field.Text("best", func(p P) string { return p.Best }).Shown("closest test",
			func(p P) string { return v.label(p.Best) }),
	}
}

// comparisonFields name every fact of a comparison of two tests once.
func (v Correlate) comparisonFields() field.Set[assoc.Comparison] {
	type C = assoc.Comparison
	r := func(key, head string, get func(C) float64) field.Field[C] {
		return field.Number(key, get).Shown(head, func(c C) string { return number.Correlation(get(c)) })
	}
	p := func(key, head string, get func(C) float64) field.Field[C] {
		return field.Number(key, get).Shown(head, func(c C) string { return number.PValue(get(c)) })
	}
	return field.Set[C]{
		field.Text("a", func(c C) string { return c.A }).Required().Shown("test A",
			func(c C) string { return v.label(c.A) + turned(c.FlippedA) + sized(c.Absolute) }),
		field.Text("plane_a", func(c C) string { return c.PlaneA }).Required().Shown("plane",
			func(c C) string { return c.PlaneA }),
		field.Text("b", func(c C) string { return c.B }).Required().Shown("test B",
			func(c C) string { return v.label(c.B) + turned(c.FlippedB) }),
		field.Text("plane_b", func(c C) string { return c.PlaneB }).Required().Shown("plane ",
			func(c C) string { return c.PlaneB }),
		athletesField("n", func(c C) int { return c.N }).Required(),
		// Lower is better: its correlations stand here with the other sign.
		field.Flag("turned_a", func(c C) bool { return c.FlippedA }).Column("-"),
		field.Flag("turned_b", func(c C) bool { return c.FlippedB }).Column("-"),
		// Nobody said which way A, B or the outcome improves: sizes stand here.
		field.Flag("absolute", func(c C) bool { return c.Absolute }).Column("-"),
		r("r_a", "r with A", func(c C) float64 { return c.RA }),
		r("r_b", "r with B", func(c C) float64 { return c.RB }),
		r("r_ab", "A with B", func(c C) float64 { return c.RAB }),
		field.Number("difference", func(c C) float64 { return c.Difference.Value }).Shown("difference",
			func(c C) string { return number.SignedEstimate(c.Difference, 2) }),
		field.Number("lower", func(c C) float64 { return c.Difference.Lower }),
		field.Number("upper", func(c C) float64 { return c.Difference.Upper }),
		field.Number("t", func(c C) float64 { return c.T }).Shown("t",
			func(c C) string { return number.Plain(c.T, 2) }),
		field.Number("df", func(c C) float64 { return c.DF }),
		p("p_williams", "p", func(c C) float64 { return c.PWilliams }),
		p("p_williams_holm", "p (Holm)", func(c C) float64 { return c.PWilliamsHolm }),
		field.Number("z", func(c C) float64 { return c.Z }),
		p("p_meng", "p (Meng)", func(c C) float64 { return c.PMeng }),
		field.MaybeInterval("bca", func(c C) *estimate.Estimate { return c.BCa }).Column("-"),
	}
}

// sized marks a comparison of sizes.
func sized(absolute bool) string {
	if absolute {
		return " (by size, signs left aside)"
	}
	return ""
}

// turned marks a test whose correlations stand with the other sign.
func turned(flipped bool) string {
	if flipped {
		return " (turned: lower is better)"
	}
	return ""
}

// documentFields are the whole document.
func (v Correlate) documentFields() field.Set[Correlate] {
	head := headOf("noisefloor/correlate/2", func(About) []caveat.Caveat { return v.doubts() })
	contrast := v.contrastFields()
	return append(append(field.Inline(head, func(v Correlate) About { return v.About }),
		field.Object("verdict", foundFields(),
			func(v Correlate) (assoc.Verdict, bool) { return v.Result.Verdict(), true }).Required(),
		field.Text("outcome", func(v Correlate) string { return v.Result.Outcome }).Required(),
		field.Text("outcome_unit", func(v Correlate) string { return v.Result.OutcomeUnit }).Required(),
		field.Integer("athletes", func(v Correlate) int { return v.Result.Athletes }).Required(),
		field.List("associations", v.associationFields(),
			func(v Correlate) []assoc.Association { return v.Result.Associations }).Required(),
		field.List("comparisons", v.comparisonFields(),
			func(v Correlate) []assoc.Comparison { return v.Result.Comparisons }).Required(),
		field.List("comparisons_within_level", v.comparisonFields(),
			func(v Correlate) []assoc.Comparison { return v.Result.WithinComparisons }),
		field.List("planes", v.planeFields(), func(v Correlate) []assoc.PlaneSummary { return v.Result.Planes }),
		field.Object("plane_contrast", contrast,
			func(v Correlate) (assoc.PlaneContrast, bool) { return existing(v.Result.PlaneContrast) }),
		field.Object("plane_contrast_within_level", contrast,
			func(v Correlate) (assoc.PlaneContrast, bool) { return existing(v.Result.WithinPlaneContrast) }),
	), append(v.depthFields(),
		field.Integer("family", func(v Correlate) int { return v.Result.Family }).Required(),
		field.Texts("warnings", func(v Correlate) []string { return v.phrases(v.Result.Caveats) }).Required())...)
}

func foundFields() field.Set[assoc.Verdict] {
	return field.Set[assoc.Verdict]{
		field.Integer("shown", func(f assoc.Verdict) int { return f.Shown }).Required(),
		field.Integer("tests", func(f assoc.Verdict) int { return f.Tests }).Required(),
		field.Text("closest", func(f assoc.Verdict) string { return f.Closest }),
	}
}

// Document implements [View].
func (v Correlate) Document() any { return v.documentFields().JSON(v) }

// CorrelateFields are the facts of the documents of correlate.
func CorrelateFields() field.Set[Correlate] { return Correlate{}.documentFields() }

// CorrelateSchema is the JSON Schema of the documents of correlate.
func CorrelateSchema() *field.Document {
	return CorrelateFields().Schema(schemaID("correlate"), "Which tests go with throwing or bat speed?")
}
