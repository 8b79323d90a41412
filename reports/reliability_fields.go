package reports

import (
	"noisefloor/analysis/agreement"
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/decision"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/reliability"
	"noisefloor/reports/field"
	"noisefloor/reports/number"
)

// ReliabilityFields are the facts of the command: its JSON, and the schema.
func ReliabilityFields() field.Set[Reliability] {
	head := headOf("noisefloor/reliability/2", func(a About) []caveat.Caveat { return a.Caveats })
	return append(field.Inline(head, Reliability.about),
		field.List("measures", measureFields(false),
			func(v Reliability) []ReliabilityMeasure { return v.Measures }).Required(),
		field.List("not_analysed", failedFields(), func(v Reliability) []Failed { return v.Failed }),
	)
}

func failedFields() field.Set[Failed] {
	return field.Set[Failed]{
		field.Text("measure", func(f Failed) string { return f.Measure }).Required(),
		field.Text("group", func(f Failed) string { return f.Group }),
		field.Text("reason", func(f Failed) string { return f.Reason }).Required(),
	}
}

// A part is one of several facts of a measure: a session, a form, a design.
type part[T any] struct {
	m ReliabilityMeasure
	v T
}

// partsOf goes through the facts of a measure.
func partsOf[T any](m ReliabilityMeasure, all []T) []part[T] {
	out := make([]part[T], len(all))
	for i, v := range all {
		out[i] = part[T]{m, v}
	}
	return out
}

// one is the fact behind a pointer, and whether there is one.
func one[T any](m ReliabilityMeasure, v *T) (part[T], bool) {
	if v == nil {
		return part[T]{m: m}, false
	}
	return part[T]{m, *v}, true
}

// nameFields say which test a row is about; the group has a column for people
// when there are groups.
func nameFields(grouped bool) field.Set[ReliabilityMeasure] {
	group := field.Text("group", func(m ReliabilityMeasure) string { return m.Group })
	if grouped {
		group = group.Shown("group", func(m ReliabilityMeasure) string { return m.Group })
	}
	return field.Set[ReliabilityMeasure]{
		field.Text("label", func(m ReliabilityMeasure) string { return m.Label }).Shown("test",
			ReliabilityMeasure.heading),
		field.Text("measure", func(m ReliabilityMeasure) string { return m.Measure }).Required(),
		field.Text("unit", func(m ReliabilityMeasure) string { return m.Unit }).Required(),
		group,
		field.Text("scale", func(m ReliabilityMeasure) string { return string(m.Result.Scale) }).Required(),
	}
}

// apart puts the test's names before the facts of a part.
func apart[T any](grouped bool, fields field.Set[part[T]]) field.Set[part[T]] {
	return append(field.Inline(nameFields(grouped), func(p part[T]) ReliabilityMeasure { return p.m }), fields...)
}

// flat are the members of an estimate in its owner's own object; of them CSV
// has the value and its limits.
func flat[T any](get func(T) estimate.Estimate) field.Set[T] {
	return field.Set[T]{
		field.Number("estimate", func(v T) float64 { return get(v).Value }),
		field.Number("lower", func(v T) float64 { return get(v).Lower }),
		field.Number("upper", func(v T) float64 { return get(v).Upper }),
		field.Number("se", func(v T) float64 { return above(get(v).SE) }).Column("-"),
		field.Number("df", func(v T) float64 { return above(get(v).DF) }).Column("-"),
		field.Text("method", func(v T) string { return string(get(v).Kind) }).Column("-"),
	}
}

// measureFields are the facts of a measure. Those with a head are the columns
// of the summary.
func measureFields(grouped bool) field.Set[ReliabilityMeasure] {
	type M = ReliabilityMeasure
	out := nameFields(grouped)
	out = append(out,
		field.Integer("athletes", func(m M) int { return m.Result.Athletes }).Required().
			Shown("athletes", func(m M) string { return whole(m.Result.Athletes) }),
		field.Integer("sessions", func(m M) int { return len(m.Result.Sessions) }).Required(),
		field.Flag("complete", func(m M) bool { return m.Result.Complete }).Column("-"),
		field.Text("method", func(m M) string { return routeWords(m.Result.Route) }).Column("-"),
		field.List("left_out", leftOutFields(), func(m M) []part[reliability.LeftOut] {
			return partsOf(m,
				m.Result.LeftOut)
		}),
		field.Number("trials", func(m M) float64 { return m.Result.Trials }).Column("-"),
		field.Number("mean", func(m M) float64 { return m.Result.Mean }).Shown("mean", M.mean),
		field.List("session_means", sessionFields(), func(m M) []part[reliability.SessionMean] {
			return partsOf(m,
				m.Result.SessionMeans)
		}).Required(),
		field.Object("mean_squares", squareFields(), func(m M) (M, bool) { return m, true }).Required(),
		field.List("icc", iccFields(), func(m M) []part[reliability.ICC] {
			return partsOf(m,
				m.Result.ICC)
		}).Required(),
		field.Interval("typical_error", M.withDF).Required().Shown("typical error", M.typicalErrorWords),
		field.Number("typical_error_df", func(m M) float64 { return m.Result.DF }).Hidden(),
		field.Interval("typical_error_percent", func(m M) estimate.Estimate { return m.Result.TypicalErrorPercent }).
			Shown("% of score", func(m M) string { return percent(m.Result.TypicalErrorPercent.Value) }),
		field.Interval("agreement_error", func(m M) estimate.Estimate { return m.Result.AgreementError }).Column("-"),
		field.Number("true_sd", func(m M) float64 { return m.Result.TrueSD }).Column("-"),
		field.Number("observed_sd", func(m M) float64 { return m.Result.ObservedSD }).Column("-"),
		field.Object("detectable_change", detectableFields(), func(m M) (M, bool) { return m, true }).Required(),
		field.Number("detectable",
			func(m M) float64 { return m.Result.DetectableChange.Value }).Hidden().Column("detectable_change").
			Shown("ignore changes under", M.detectable),
		field.Number("large_sample", func(m M) float64 { return m.Result.DetectableChange.LargeSample }).Hidden().
			Column("detectable_change_large_sample"),
		field.Object("worthwhile_change", worthwhileFields(), func(m M) (M, bool) {
			return m,
				!isNaN(m.Result.Worthwhile.Value)
		}),
		field.Number("worthwhile",
			func(m M) float64 { return m.Result.Worthwhile.Value }).Hidden().Column("worthwhile_change").
			Shown("matters from", func(m M) string { return m.worthwhile() + m.worthwhileLimits() }),
		field.Number("worthwhile_lower", func(m M) float64 { return m.Result.Worthwhile.Lower }).Hidden(),
		field.Number("worthwhile_upper", func(m M) float64 { return m.Result.Worthwhile.Upper }).Hidden(),
		field.Number("detectable_to_worthwhile", func(m M) float64 { return m.Result.Ratio }).Column("-"),
		field.Number("seen_to_worthwhile", func(m M) float64 { return m.Result.SeenRatio }).Column("-"),
		field.Object("verdict", verdictFields(), func(m M) (M, bool) { return m, true }).Required(),
		field.Text("sees", func(m M) string { return string(m.Result.Sees) }).Hidden().Column("one_retest_enough").
			Shown("one retest enough?", M.seesWords),
		field.Interval("icc_a1", func(m M) estimate.Estimate { return m.icc("A,1") }).Hidden().
			Shown("ICC(A,1)", func(m M) string { return correlationWords(m.icc("A,1")) }),
		field.Interval("icc_c1", func(m M) estimate.Estimate { return m.icc("C,1") }).Hidden().
			Shown("ICC(C,1)", func(m M) string { return correlationWords(m.icc("C,1")) }),
		field.List("mean_changes", changeFields(), func(m M) []part[reliability.MeanChange] {
			return partsOf(m,
				m.Result.MeanChanges)
		}).Required(),
		field.Object("session_test", testFields(), func(m M) (reliability.FTest, bool) {
			t := m.Result.SessionTest
			return t, !isNaN(t.P)
		}),
		field.Text("settled_from", func(m M) string { return m.Result.SettledSession() }).Column("-"),
		field.Object("error_growth", growthFields(), func(m M) (M, bool) { return m, m.Result.Growth.Slope.HasInterval() }),
		field.Object("components", componentFields(), func(m M) (M, bool) { return m, m.Result.Components != nil }),
		field.List("decision_study", decisionFields(), func(m M) []part[decision.Row] {
			return partsOf(m,
				m.Result.Decision)
		}),
		field.Object("cheapest_design", cheapestFields(), func(m M) (part[decision.Answer], bool) {
			return one(m,
				m.Result.Cheapest)
		}),
		field.Object("limits_of_agreement", limitFields(), func(m M) (part[agreement.Result], bool) {
			return one(m,
				m.Result.Agreement)
		}),
		field.List("groups", groupFields(), func(m M) []part[reliability.Group] { return partsOf(m, m.Result.Groups) }),
		field.Object("equal_noise", equalFields(), func(m M) (M, bool) { return m, m.Result.Equal.P > 0 }),
		field.List("own_noise", ownFields(), func(m M) []part[reliability.AthleteNoise] {
			return partsOf(m, m.Result.OwnNoise)
		}),
		field.Object("errors", tailFields(), func(m M) (part[reliability.Tails], bool) { return one(m, m.Result.Tails) }),
		field.Object("group_test", groupTestFields(), func(m M) (part[reliability.GroupTest], bool) {
			return one(m,
				m.Result.GroupTest)
		}),
		field.Object("influence", influenceFields(), func(m M) (part[reliability.Influence], bool) {
			return one(m,
				m.Result.Influence)
		}),
		field.Texts("warnings", M.warnings).Required().Column("-"),
	)
	return out
}

// verdictFields say what the numbers of a measure mean.
func verdictFields() field.Set[ReliabilityMeasure] {
	type M = ReliabilityMeasure
	return field.Set[M]{
		field.Choice("one_retest_enough", []reliability.Seeing{reliability.Sees, reliability.SeesNot,
			reliability.NotKnown},
			func(m M) reliability.Seeing { return m.Result.Sees }).Required(),
		field.Choice("tells_athletes_apart", []reliability.Telling{reliability.TellsApart, reliability.NotShownApart,
			reliability.ApartNotKnown},
			func(m M) reliability.Telling { return m.Result.Tells }).Required(),
		field.Choice("settled", []reliability.Settling{reliability.Settled, reliability.NotSettled,
			reliability.NothingToHold},
			func(m M) reliability.Settling { return m.Result.Settling }).Required(),
		field.Choice("design", []reliability.DesignVerdict{reliability.DesignFound, reliability.DesignUnknown,
			reliability.DesignNever,
			reliability.DesignMore, reliability.DesignOne, reliability.DesignNone},
			func(m M) reliability.DesignVerdict { return m.Result.Design }).Required(),
		field.Choice("group_errors", []reliability.Equality{reliability.GroupsDiffer, reliability.GroupsNotShown,
			reliability.GroupsNotTested},
			func(m M) reliability.Equality { return m.equality() }),
		field.Flag("icc_lifted_by_groups",
			func(m M) bool { t := m.Result.GroupTest; return t != nil && t.LiftedByGroups }),
		field.Choice("scale_advice", []caveat.Kind{agreement.UseLog, agreement.UseLogAllTheSame, agreement.NoLog,
			agreement.Shrinks,
			agreement.LogNotEnough, agreement.LogTooMuch, reliability.GrowsLess},
			func(m M) caveat.Kind { return m.Result.ScaleAdvice }),
	}
}

func squareFields() field.Set[ReliabilityMeasure] {
	type M = ReliabilityMeasure
	return field.Set[M]{
		field.Number("athletes", func(m M) float64 { return m.Result.ANOVA.MSR }),
		field.Number("sessions", func(m M) float64 { return m.Result.ANOVA.MSC }),
		field.Number("error", func(m M) float64 { return m.Result.ANOVA.MSE }),
		field.Number("within", func(m M) float64 { return m.Result.ANOVA.MSW }),
	}
}

func detectableFields() field.Set[ReliabilityMeasure] {
	type M = ReliabilityMeasure
	return field.Set[M]{
		field.Number("level", func(m M) float64 { return m.Result.DetectableChange.Level }).Column("-"),
		field.Number("estimate",
			func(m M) float64 { return m.Result.DetectableChange.Value }).Column("detectable_change").
			Shown("detectable change", M.detectableWithLimits),
		field.Number("lower", func(m M) float64 { return m.Result.DetectableChange.Lower }),
		field.Number("upper", func(m M) float64 { return m.Result.DetectableChange.Upper }),
		field.Number("large_sample", func(m M) float64 { return m.Result.DetectableChange.LargeSample }).
			Shown("large-sample value (1.96)", M.largeSample),
		field.Number("power_80", func(m M) float64 { return m.Result.DetectableChange.Power80 }),
		field.Number("power", func(m M) float64 { return m.Result.DetectableChange.Power }).
			Shown("power", func(m M) string { return number.Percent(m.Result.DetectableChange.Power, 0) }),
		field.Interval("seen", func(m M) estimate.Estimate { return m.Result.DetectableChange.Seen }).
			Shown("true change seen with that power", M.seenWithLimits),
		field.Number("percent_up", func(m M) float64 { return m.Result.DetectableChange.PercentUp }).Column("-"),
		field.Number("percent_down", func(m M) float64 { return m.Result.DetectableChange.PercentDown }).Column("-"),
	}
}

func worthwhileFields() field.Set[ReliabilityMeasure] {
	type M = ReliabilityMeasure
	return append(flat(func(m M) estimate.Estimate { return m.Result.Worthwhile.Estimate }),
		field.Text("basis", M.basis).Required(),
		field.Number("percent_up", func(m M) float64 { return m.Result.Worthwhile.PercentUp }),
		field.Number("percent_down", func(m M) float64 { return m.Result.Worthwhile.PercentDown }),
	)
}

func testFields() field.Set[reliability.FTest] {
	type F = reliability.FTest
	return field.Set[F]{
		field.Number("f", func(t F) float64 { return t.F }), field.Number("df1", func(t F) float64 { return t.DF1 }),
		field.Number("df2", func(t F) float64 { return t.DF2 }), field.Number("p", func(t F) float64 { return t.P }),
	}
}

// ReliabilitySchema is the JSON Schema of the documents of reliability.
func ReliabilitySchema() *field.Document {
	return ReliabilityFields().Schema(schemaID("reliability"),
		"How noisy is each test? On the log scale numbers are in natural-log units, with percent beside.")
}
