package reports

import (
	"fmt"
	"math"

	"noisefloor/analysis/estimate"
	"noisefloor/reports/number"
	"noisefloor/reports/table"
)

// Tables implements [View].
func (v Reliability) Tables() []table.Table {
	out := []table.Table{v.summaryTable()}
	for _, t := range []table.Table{v.detectableTable(), v.componentTable(), v.decisionTable(), v.changeTable(), v.iccTable(), v.agreementTable(), v.groupTable(), v.meansTable(), v.influenceTable(), v.leftOutTable()} {
		if len(t.Rows) > 0 {
			t.Detail = true
			out = append(out, t)
		}
	}
	return out
}

// named is the row's first cells: measure, group when there are groups.
func (m ReliabilityMeasure) named() []table.Cell {
	label := m.Label
	if m.onLog() {
		label += " (log scale)"
	}
	return []table.Cell{table.Text(label), table.Text(m.Measure), table.Text(m.Unit), table.Text(m.Group), table.Text(string(m.Result.Scale))}
}

func (v Reliability) namedColumns() []table.Column {
	group := table.Machine("group")
	for _, m := range v.Measures {
		if m.Group != "" {
			group = table.L("group", "group")
		}
	}
	return []table.Column{table.L("test", "label"), table.Machine("measure"), table.Machine("unit"), group, table.Machine("scale")}
}

func (v Reliability) summaryTable() table.Table {
	t := table.Table{
		Name:    "reliability",
		Caption: "Noise of each test: typical error, what can be detected, and what would matter.",
		Columns: append(v.namedColumns(),
			table.R("athletes", "athletes"), table.Machine("sessions"), table.R("mean", "mean"),
			table.R("typical error", "typical_error"), table.Machine("typical_error_lower"), table.Machine("typical_error_upper"), table.Machine("typical_error_df"),
			table.R("% of score", "typical_error_percent"), table.Machine("typical_error_percent_lower"), table.Machine("typical_error_percent_upper"),
			table.R("detectable change", "detectable_change"), table.Machine("detectable_change_large_sample"),
			table.R("worthwhile change", "worthwhile_change"), table.Machine("worthwhile_lower"), table.Machine("worthwhile_upper"),
			table.R("ICC(A,1)", "icc_a1"), table.Machine("icc_a1_lower"), table.Machine("icc_a1_upper"),
			table.R("ICC(C,1)", "icc_c1"), table.Machine("icc_c1_lower"), table.Machine("icc_c1_upper")),
		Notes: []string{"ICC(A,1): two-way, absolute agreement, single score. ICC(C,1): consistency, single score.",
			"Detectable: the smallest change of one athlete that is more than noise. Worthwhile: " + v.Worthwhile + "."},
	}
	for _, m := range v.Measures {
		r := m.Result
		a, c := m.icc("A,1"), m.icc("C,1")
		row := append(m.named(),
			table.Num(float64(r.Athletes), fmt.Sprint(r.Athletes)), table.Num(float64(len(r.Sessions)), ""), table.Num(r.Mean, m.mean()))
		row = append(row, triple(r.TypicalError, fmt.Sprintf("%s (%s)", m.typicalError(), m.typicalErrorLimits()))...)
		row = append(row, table.Num(r.DF, ""))
		row = append(row, triple(r.TypicalErrorPercent, percent(r.TypicalErrorPercent.Value))...)
		row = append(row, table.Num(r.DetectableChange.Value, m.detectable()), table.Num(r.DetectableChange.LargeSample, ""))
		row = append(row, triple(r.Worthwhile.Estimate, m.worthwhile()+m.worthwhileLimits())...)
		row = append(row, triple(a, correlationWords(a))...)
		row = append(row, triple(c, number.Correlation(c.Value))...)
		t.Rows = append(t.Rows, row)
	}
	return t
}

// mean is the grand mean in the measure's unit; on the log scale the geometric mean.
func (m ReliabilityMeasure) mean() string {
	if m.onLog() {
		x := math.Exp(m.Result.Mean)
		return number.WithUnit(number.Plain(x, number.Decimals(x*m.Result.TypicalError.Value)), m.Unit)
	}
	return m.value(m.Result.Mean)
}

// triple is an estimate and its limits as three cells, the first with text.
func triple(e estimate.Estimate, text string) []table.Cell {
	return []table.Cell{table.Num(e.Value, text), table.Num(e.Lower, ""), table.Num(e.Upper, "")}
}

// onScale writes a difference with its interval in the unit, or in percent on
// the log scale.
func (m ReliabilityMeasure) onScale(e estimate.Estimate) string {
	if m.onLog() {
		p := e.Map(estimate.Percent)
		return number.WithUnit(number.SignedEstimate(p, percentDecimals(p.Value)), "%")
	}
	return number.WithUnit(number.SignedEstimate(e, m.decimals()), m.Unit)
}

func (v Reliability) detectableTable() table.Table {
	t := table.Table{Name: "detectable", Caption: "The smallest change of one athlete that is more than noise, and whether it is small enough.",
		Columns: append(v.namedColumns(), table.R("detectable change", "detectable_change"), table.R("large-sample value (1.96)", "large_sample"),
			table.R("worthwhile change", "worthwhile_change"), table.R("detectable ÷ worthwhile", "ratio"), table.L("worthwhile change: basis", "basis")),
		Notes: []string{"The large-sample value puts 1.96 for Student's t: in small studies it calls noise real too often."}}
	for _, m := range v.Measures {
		r := m.Result
		t.Rows = append(t.Rows, append(m.named(), table.Num(r.DetectableChange.Value, m.detectable()), table.Num(r.DetectableChange.LargeSample, m.largeSample()),
			table.Num(r.Worthwhile.Value, m.worthwhile()+m.worthwhileLimits()), table.Num(r.Ratio, number.Plain(r.Ratio, 1)), table.Text(r.Worthwhile.Words)))
	}
	return t
}

func (v Reliability) componentTable() table.Table {
	t := table.Table{Name: "components", Caption: "Where the variation comes from (REML): between athletes, from day to day within an athlete, from trial to trial within a day, as SDs.",
		Columns: append(v.namedColumns(), table.R("attempts", "attempts"), table.R("between athletes", "athlete_sd"), table.Machine("athlete_sd_lower"), table.Machine("athlete_sd_upper"),
			table.R("day to day", "athlete_session_sd"), table.Machine("athlete_session_sd_lower"), table.Machine("athlete_session_sd_upper"),
			table.R("trial to trial", "trial_sd"), table.Machine("trial_sd_lower"), table.Machine("trial_sd_upper"), table.L("cheapest design that sees the worthwhile change", "cheapest"))}
	for _, m := range v.Measures {
		c := m.Result.Components
		if c == nil {
			continue
		}
		row := append(m.named(), count(c.N))
		for _, sd := range []estimate.Estimate{c.Athlete.SD, c.AthleteSession.SD, c.Trial.SD} {
			row = append(row, triple(sd, m.spread(sd))...)
		}
		t.Rows = append(t.Rows, append(row, table.Text(m.design())))
	}
	return t
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

func (v Reliability) decisionTable() table.Table {
	t := table.Table{Name: "decision-study", Caption: "What other numbers of sessions and trials on each occasion would give.",
		Columns: append(v.namedColumns(), table.R("sessions", "sessions"), table.R("trials in each", "trials"),
			table.R("typical error", "typical_error"), table.Machine("typical_error_lower"), table.Machine("typical_error_upper"), table.Machine("df"),
			table.R("reliability", "reliability"), table.Machine("reliability_lower"), table.Machine("reliability_upper"), table.R("detectable change", "detectable_change"))}
	for _, m := range v.Measures {
		if m.Group != "" {
			continue
		}
		for _, d := range m.Result.Decision {
			row := append(m.named(), count(d.Sessions), count(d.Trials))
			row = append(row, triple(d.TypicalError, m.spread(d.TypicalError))...)
			row = append(row, table.Num(d.DF, ""))
			row = append(row, triple(d.Reliability, correlationWords(d.Reliability))...)
			t.Rows = append(t.Rows, append(row, table.Num(d.Detectable, m.changeWords(d.Detectable))))
		}
	}
	return t
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

func (v Reliability) changeTable() table.Table {
	t := table.Table{Name: "mean-changes",
		Caption: "Learning: change of the mean from session to session.",
		Notes:   []string{"Settled: every later change of the mean is shown to lie inside ± the worthwhile change."},
		Columns: append(v.namedColumns(), table.L("from", "from"), table.L("to", "to"), table.R("athletes", "n"),
			table.R("change of the mean", "change"), table.Machine("lower"), table.Machine("upper"), table.R("p", "p"),
			table.R("typical error of the pair", "typical_error"), table.Machine("typical_error_lower"), table.Machine("typical_error_upper"),
			table.L("settled", "settled"))}
	for _, m := range v.Measures {
		for i, c := range m.Result.MeanChanges {
			settled := ""
			if i == 0 {
				settled = "not shown"
				if m.Result.SettledFrom != "" {
					settled = "from session " + m.Result.SettledFrom
				}
			}
			te := c.TypicalError
			text := number.WithUnit(number.Plain(te.Value, m.decimals()), m.Unit)
			if m.onLog() {
				text = percent(estimate.Percent(te.Value))
			}
			row := append(m.named(), table.Text(c.From), table.Text(c.To), table.Num(float64(c.N), fmt.Sprint(c.N)))
			row = append(row, triple(c.Change, m.onScale(c.Change))...)
			row = append(row, table.Num(c.P, number.PValue(c.P)))
			row = append(row, triple(te, text)...)
			t.Rows = append(t.Rows, append(row, table.Text(settled)))
		}
	}
	return t
}

func (v Reliability) iccTable() table.Table {
	t := table.Table{Name: "icc", Caption: "Intraclass correlations, all six forms, with the model in words.",
		Columns: append(v.namedColumns(), table.L("form", "form"), table.L("model", "model"), table.Machine("shrout_fleiss"),
			table.R("ICC", "estimate"), table.Machine("lower"), table.Machine("upper"), table.Machine("f"), table.Machine("df1"), table.Machine("df2"))}
	for _, m := range v.Measures {
		for _, c := range m.Result.ICC {
			row := append(m.named(), table.Text("ICC("+c.Form+")"), table.Text(c.Model), table.Text(c.ShroutFleiss))
			row = append(row, triple(c.Value, correlationWords(c.Value))...)
			t.Rows = append(t.Rows, append(row, table.Num(c.F, ""), table.Num(c.DF1, ""), table.Num(c.DF2, "")))
		}
	}
	return t
}

func (v Reliability) agreementTable() table.Table {
	t := table.Table{Name: "agreement", Caption: "Agreement of two sessions: mean difference and limits of agreement, with exact intervals.",
		Columns: append(v.namedColumns(), table.L("from", "from"), table.L("to", "to"), table.R("athletes", "n"),
			table.R("mean difference", "bias"), table.Machine("bias_lower"), table.Machine("bias_upper"), table.Machine("sd"),
			table.R("lower limit", "lower"), table.Machine("lower_lower"), table.Machine("lower_upper"),
			table.R("upper limit", "upper"), table.Machine("upper_lower"), table.Machine("upper_upper"),
			table.R("slope on the mean", "slope"), table.Machine("slope_lower"), table.Machine("slope_upper"),
			table.R("error growth", "spread"), table.Machine("spread_lower"), table.Machine("spread_upper"), table.L("scale advice", "advice"))}
	for _, m := range v.Measures {
		a := m.Result.Agreement
		if a == nil {
			continue
		}
		row := append(m.named(), table.Text(a.From), table.Text(a.To), table.Num(float64(a.N), fmt.Sprint(a.N)))
		row = append(row, triple(a.Bias, m.onScale(a.Bias))...)
		row = append(row, table.Num(a.SD, ""))
		row = append(row, triple(a.Lower, m.onScale(a.Lower))...)
		row = append(row, triple(a.Upper, m.onScale(a.Upper))...)
		row = append(row, triple(a.Slope, number.SignedEstimate(a.Slope, 2))...)
		row = append(row, triple(a.Spread, number.SignedEstimate(a.Spread, 2))...)
		t.Rows = append(t.Rows, append(row, table.Text(a.Advice)))
	}
	return t
}

func (v Reliability) groupTable() table.Table {
	t := table.Table{Name: "groups", Caption: "Typical error by group, and whether it is the same in all.",
		Columns: append(v.namedColumns(), table.L("of group", "of_group"), table.R("athletes", "athletes"),
			table.R("typical error", "typical_error"), table.Machine("typical_error_lower"), table.Machine("typical_error_upper"),
			table.R("ICC(C,1)", "icc_c1"), table.Machine("icc_c1_lower"), table.Machine("icc_c1_upper"), table.L("same in all groups?", "test"))}
	for _, m := range v.Measures {
		for i, g := range m.Result.Groups {
			test := g.TooFew
			if i == 0 && m.Result.GroupTest != nil {
				test = m.Result.GroupTest.Words
			}
			text := number.WithUnit(number.Plain(g.TypicalError.Value, m.decimals()), m.Unit)
			if m.onLog() {
				text = percent(g.TypicalErrorPercent.Value)
			}
			row := append(m.named(), table.Text(g.Name), table.Num(float64(g.Athletes), fmt.Sprint(g.Athletes)))
			row = append(row, triple(g.TypicalError, text)...)
			row = append(row, triple(g.ICC, correlationWords(g.ICC))...)
			t.Rows = append(t.Rows, append(row, table.Text(test)))
		}
	}
	return t
}

func (v Reliability) meansTable() table.Table {
	t := table.Table{Name: "session-means", Caption: "Mean and spread of each session, over the athletes used (on the log scale: of the logarithms).",
		Columns: append(v.namedColumns(), table.L("session", "session"), table.R("athletes", "n"), table.R("mean", "mean"), table.R("SD", "sd"))}
	for _, m := range v.Measures {
		for _, s := range m.Result.SessionMeans {
			d := m.decimals()
			t.Rows = append(t.Rows, append(m.named(), table.Text(s.Session), table.Num(float64(s.N), fmt.Sprint(s.N)),
				table.Num(s.Mean, number.Plain(s.Mean, d)), table.Num(s.SD, number.Plain(s.SD, d))))
		}
	}
	return t
}

func (v Reliability) influenceTable() table.Table {
	t := table.Table{Name: "influence", Caption: "The athlete whose removal moves the typical error, or ICC(C,1), most.",
		Columns: append(v.namedColumns(), table.L("typical error: without", "te_athlete"), table.R("it becomes", "te_without"),
			table.L("ICC: without", "icc_athlete"), table.R("it becomes ", "icc_without"), table.L("how", "how"))}
	for _, m := range v.Measures {
		if f := m.Result.Influence; f != nil {
			text := number.WithUnit(number.Plain(f.TypicalErrorWithout, m.decimals()), m.Unit)
			if m.onLog() {
				text = percent(estimate.Percent(f.TypicalErrorWithout))
			}
			t.Rows = append(t.Rows, append(m.named(), table.Text(f.TypicalErrorAthlete), table.Num(f.TypicalErrorWithout, text),
				table.Text(f.ICCAthlete), table.Num(f.ICCWithout, number.Correlation(f.ICCWithout)), table.Text(f.Words)))
		}
	}
	return t
}

func (v Reliability) leftOutTable() table.Table {
	t := table.Table{Name: "left-out", Caption: "Athletes that could not be used, and why.",
		Columns: append(v.namedColumns(), table.L("reason", "reason"), table.R("athletes", "n"), table.L("who", "athletes"))}
	for _, m := range v.Measures {
		for _, l := range m.Result.LeftOut {
			t.Rows = append(t.Rows, append(m.named(), table.Text(l.Reason), table.Num(float64(len(l.Athletes)), fmt.Sprint(len(l.Athletes))), table.Text(listed(l.Athletes, 12))))
		}
	}
	return t
}

// listed joins up to most names, and counts the rest.
func listed(names []string, most int) string {
	if len(names) <= most {
		return joined(names)
	}
	return fmt.Sprintf("%s and %d more", joined(names[:most]), len(names)-most)
}
