package reports

import (
	"fmt"
	"math"

	"noisefloor/analysis/agreement"
	"noisefloor/analysis/decision"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/reliability"
	"noisefloor/reports/field"
	"noisefloor/reports/number"
	"noisefloor/reports/table"
)

// Data implements [View].
func (v Reliability) Data() table.Table { return v.summaryTable() }

func (v Reliability) summaryTable() table.Table {
	t := measureFields(v.grouped()).Table("reliability",
		"Noise of each test: typical error, what may be noise, and what would matter.", v.Measures)
	t.Notes = []string{"ICC(A,1): two-way, absolute agreement, single score. ICC(C,1): consistency, single score.",
		"Matters from: " + v.About.Worthwhile + "."}
	return t
}

// Tables implements [View].
func (v Reliability) Tables() []table.Table {
	out := []table.Table{v.summaryTable()}
	for _, t := range []table.Table{v.detectableTable(), v.growthTable(), v.equalTable(), v.tailTable(), v.componentTable(), v.decisionTable(), v.changeTable(),
		v.iccTable(), v.agreementTable(),
		v.groupTable(), v.meansTable(), v.influenceTable(), v.leftOutTable()} {
		if len(t.Rows) > 0 {
			t.Detail = true
			out = append(out, t)
		}
	}
	return out
}

// partTable lays out the parts of every measure.
func partTable[T any](v Reliability, name, caption string, fields field.Set[part[T]],
	of func(ReliabilityMeasure) []part[T]) table.Table {
	var rows []part[T]
	for _, m := range v.Measures {
		rows = append(rows, of(m)...)
	}
	return apart(v.grouped(), fields).Table(name, caption, rows)
}

// perMeasure lays out one row for each measure that has it.
func (v Reliability) perMeasure(name, caption string, fields field.Set[ReliabilityMeasure],
	has func(ReliabilityMeasure) bool) table.Table {
	var rows []ReliabilityMeasure
	for _, m := range v.Measures {
		if has(m) {
			rows = append(rows, m)
		}
	}
	return append(nameFields(v.grouped()), fields...).Table(name, caption, rows)
}

// single are the rows of a fact that a measure may lack.
func single[T any](get func(ReliabilityMeasure) *T) func(ReliabilityMeasure) []part[T] {
	return func(m ReliabilityMeasure) []part[T] {
		if p, ok := one(m, get(m)); ok {
			return []part[T]{p}
		}
		return nil
	}
}

func (v Reliability) detectableTable() table.Table {
	type M = ReliabilityMeasure
	all := measureFields(false)
	fields := append(detectableFields().Pick("estimate", "large_sample", "power", "seen"), all.Pick("worthwhile")...)
	fields = append(fields,
		field.Number("ratio", func(m M) float64 { return m.Result.Ratio }).
			Shown("detectable ÷ worthwhile", func(m M) string { return number.Plain(m.Result.Ratio, 1) }),
		field.Number("seen_ratio", func(m M) float64 { return m.Result.SeenRatio }).
			Shown("seen ÷ worthwhile", func(m M) string { return number.Plain(m.Result.SeenRatio, 1) }),
		field.Text("basis", M.basis).Shown("worthwhile change: basis", M.basis))
	t := v.perMeasure("detectable", "The smallest change of one athlete that is more than noise, and whether it is "+
		"small enough.", fields,
		func(M) bool { return true })
	t.Notes = []string{"The large-sample value puts 1.96 for Student's t: in small studies it takes noise for " +
		"change too often.", "A true change of exactly the detectable size is seen in about half of all retests; one retest is " +
		"enough where the change seen with the power asked for is no larger than what matters."}
	return t
}

func (v Reliability) componentTable() table.Table {
	return v.perMeasure("components",
		"Where the variation comes from (REML): between athletes, from day to day within an athlete, from trial to "+
			"trial within a day, as SDs.",
		componentFields(), func(m ReliabilityMeasure) bool { return m.Result.Components != nil })
}

func (v Reliability) decisionTable() table.Table {
	return partTable(v, "decision-study", "What other numbers of sessions and trials on each occasion would give.",
		decisionFields(),
		func(m ReliabilityMeasure) []part[decision.Row] {
			if m.Group != "" {
				return nil
			}
			return partsOf(m, m.Result.Decision)
		})
}

func (v Reliability) changeTable() table.Table {
	t := partTable(v, "mean-changes", "Learning: change of the mean from session to session.", changeFields(),
		func(m ReliabilityMeasure) []part[reliability.MeanChange] { return partsOf(m, m.Result.MeanChanges) })
	t.Notes = []string{"Settled: every later change of the mean is shown to lie inside ± the worthwhile change."}
	return t
}

func (v Reliability) iccTable() table.Table {
	return partTable(v, "icc", "Intraclass correlations, all six forms, with the model in words.", iccFields(),
		func(m ReliabilityMeasure) []part[reliability.ICC] { return partsOf(m, m.Result.ICC) })
}

func (v Reliability) agreementTable() table.Table {
	return partTable(v, "agreement", "Agreement of two sessions: mean difference and limits of agreement, with "+
		"exact intervals.", limitFields(),
		single(func(m ReliabilityMeasure) *agreement.Result { return m.Result.Agreement }))
}

func (v Reliability) groupTable() table.Table {
	return partTable(v, "groups", "Typical error by group, and whether it is the same in all.", groupFields(),
		func(m ReliabilityMeasure) []part[reliability.Group] { return partsOf(m, m.Result.Groups) })
}

func (v Reliability) meansTable() table.Table {
	return partTable(v, "session-means",
		"Mean and spread of each session, over the athletes used (on the log scale the geometric mean, and the "+
			"spread in percent).",
		sessionFields(), func(m ReliabilityMeasure) []part[reliability.SessionMean] {
			return partsOf(m,
				m.Result.SessionMeans)
		})
}

func (v Reliability) influenceTable() table.Table {
	return partTable(v, "influence", "The athlete whose removal moves the typical error, or ICC(C,1), most.",
		influenceFields(),
		single(func(m ReliabilityMeasure) *reliability.Influence { return m.Result.Influence }))
}

func (v Reliability) leftOutTable() table.Table {
	return partTable(v, "left-out", "Athletes that could not be used, and why.", leftOutFields(),
		func(m ReliabilityMeasure) []part[reliability.LeftOut] { return partsOf(m, m.Result.LeftOut) })
}

// heading is the label of the test, with its scale when that is not the raw one.
func (m ReliabilityMeasure) heading() string {
	if m.onLog() {
		return m.Label + " (log scale)"
	}
	return m.Label
}

// withDF is the typical error with its own degrees of freedom.
func (m ReliabilityMeasure) withDF() estimate.Estimate {
	e := m.Result.TypicalError
	e.DF = m.Result.DF
	return e
}

func (m ReliabilityMeasure) typicalErrorWords() string {
	return fmt.Sprintf("%s (%s)", m.typicalError(), m.typicalErrorLimits())
}

// error writes an SD of errors, in percent on the log scale.
func (m ReliabilityMeasure) error(sd float64) string {
	if m.onLog() {
		return percent(estimate.Percent(sd))
	}
	return number.WithUnit(number.Plain(sd, m.decimals()), m.Unit)
}

// level writes a mean in the measure's unit; on the log scale the geometric mean.
func (m ReliabilityMeasure) level(mean float64) string {
	if m.onLog() {
		x := math.Exp(mean)
		return number.WithUnit(number.Plain(x, number.Decimals(x*m.Result.TypicalError.Value)), m.Unit)
	}
	return m.value(mean)
}

// mean is the grand mean.
func (m ReliabilityMeasure) mean() string { return m.level(m.Result.Mean) }

// onScale writes a difference with its interval in the unit, or in percent on
// the log scale.
func (m ReliabilityMeasure) onScale(e estimate.Estimate) string {
	if m.onLog() {
		p := e.Map(estimate.Percent)
		return number.WithUnit(number.SignedEstimate(p, percentDecimals(p.Value)), "%")
	}
	return number.WithUnit(number.SignedEstimate(e, m.decimals()), m.Unit)
}

// spread writes an SD with its interval, in percent on the log scale.
func (m ReliabilityMeasure) spread(sd estimate.Estimate) string {
	switch {
	case math.IsNaN(sd.Value):
		return number.Missing
	case m.onLog():
		p := sd.Map(estimate.Percent)
		return number.WithUnit(number.Estimate(p, percentDecimals(p.Value)), "%")
	}
	return number.WithUnit(number.Estimate(sd, m.decimals()), m.Unit)
}

// changeWords writes a change on the scale of the analysis.
func (m ReliabilityMeasure) changeWords(x float64) string {
	switch {
	case math.IsNaN(x):
		return number.Missing
	case m.onLog():
		return upDown(estimate.Percent(x), estimate.Percent(-x))
	}
	return m.value(x)
}

// listed joins up to most names, and counts the rest.
func listed(names []string, most int) string {
	if len(names) <= most {
		return joined(names)
	}
	return fmt.Sprintf("%s and %d more", joined(names[:most]), len(names)-most)
}
