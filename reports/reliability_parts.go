package reports

import (
	"noisefloor/analysis/agreement"
	"noisefloor/analysis/decision"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/reliability"
	"noisefloor/reports/field"
	"noisefloor/reports/number"
)

func leftOutFields() field.Set[part[reliability.LeftOut]] {
	type P = part[reliability.LeftOut]
	reason := func(p P) string { return lackWords(p.v) }
	return field.Set[P]{
		field.Text("reason", reason).Required().Shown("reason", reason),
		field.Integer("n", func(p P) int { return len(p.v.Athletes) }).Hidden().Shown("athletes",
			func(p P) string { return whole(len(p.v.Athletes)) }),
		field.Texts("athletes", func(p P) []string { return p.v.Athletes }).Required().
			Shown("who", func(p P) string { return listed(p.v.Athletes, 12) }),
	}
}

func sessionFields() field.Set[part[reliability.SessionMean]] {
	type P = part[reliability.SessionMean]
	return field.Set[P]{
		field.Text("session", func(p P) string { return p.v.Session }).Required().Shown("session",
			func(p P) string { return p.v.Session }),
		field.Integer("n", func(p P) int { return p.v.N }).Required().Shown("athletes",
			func(p P) string { return whole(p.v.N) }),
		field.Number("mean", func(p P) float64 { return p.v.Mean }).Shown("mean",
			func(p P) string { return p.m.level(p.v.Mean) }),
		field.Number("sd", func(p P) float64 { return p.v.SD }).
			Shown("SD", func(p P) string { return p.m.spread(estimate.Bare(p.v.SD, estimate.None)) }),
	}
}

func iccFields() field.Set[part[reliability.ICC]] {
	type P = part[reliability.ICC]
	model := func(p P) string { return modelWords(p.v.Form, len(p.m.Result.Sessions)) }
	value := flat(func(p P) estimate.Estimate { return p.v.Value })
	value[0] = value[0].Shown("ICC", func(p P) string { return correlationWords(p.v.Value) })
	out := field.Set[P]{
		field.Text("form", func(p P) string { return p.v.Form }).Required().Column("-"),
		field.Text("name", func(p P) string { return "ICC(" + p.v.Form + ")" }).Hidden().Column("form").
			Shown("form", func(p P) string { return "ICC(" + p.v.Form + ")" }),
		field.Text("model", model).Required().Shown("model", model),
		field.Text("shrout_fleiss", func(p P) string { return p.v.ShroutFleiss }).Hidden(),
	}
	out = append(out, value...)
	return append(out,
		field.MaybeInterval("bca", func(p P) *estimate.Estimate { return p.v.BCa }).Column("-"),
		field.MaybeInterval("satterthwaite", func(p P) *estimate.Estimate { return p.v.Satterthwaite }).Column("-"),
		field.Number("f", func(p P) float64 { return p.v.F }).Hidden(),
		field.Number("df1", func(p P) float64 { return p.v.DF1 }).Hidden(),
		field.Number("df2", func(p P) float64 { return p.v.DF2 }).Hidden(),
	)
}

func changeFields() field.Set[part[reliability.MeanChange]] {
	type P = part[reliability.MeanChange]
	value := flat(func(p P) estimate.Estimate { return p.v.Change })
	value[0] = value[0].Column("change").Shown("change of the mean",
		func(p P) string { return p.m.onScale(p.v.Change) })
	out := field.Set[P]{
		field.Text("from", func(p P) string { return p.v.From }).Required().Shown("from",
			func(p P) string { return p.v.From }),
		field.Text("to", func(p P) string { return p.v.To }).Required().Shown("to", func(p P) string { return p.v.To }),
		field.Integer("n", func(p P) int { return p.v.N }).Required().Shown("athletes",
			func(p P) string { return whole(p.v.N) }),
	}
	out = append(out, value...)
	return append(out,
		field.Number("p", func(p P) float64 { return p.v.P }).Shown("p",
			func(p P) string { return number.PValue(p.v.P) }),
		field.Interval("typical_error", func(p P) estimate.Estimate { return p.v.TypicalError }).
			Shown("typical error of the pair", func(p P) string { return p.m.error(p.v.TypicalError.Value) }),
		field.MaybeInterval("percent", func(p P) *estimate.Estimate { return p.v.Percent }).Column("-"),
		field.Text("settled", P.settled).Hidden().Shown("settled", P.settled),
	)
}

func limitFields() field.Set[part[agreement.Result]] {
	type P = part[agreement.Result]
	side := func(key, head string, get func(P) estimate.Estimate) field.Field[P] {
		return field.Interval(key, get).Hidden().Shown(head, func(p P) string { return p.m.onScale(get(p)) })
	}
	bias := func(p P) estimate.Estimate { return p.v.Bias }
	lower := func(p P) estimate.Estimate { return p.v.Lower }
	upper := func(p P) estimate.Estimate { return p.v.Upper }
	json := func(f field.Field[P]) field.Field[P] { return f.Column("-") }
	return field.Set[P]{
		field.Text("from", func(p P) string { return p.v.From }).Required().Shown("from",
			func(p P) string { return p.v.From }),
		field.Text("to", func(p P) string { return p.v.To }).Required().Shown("to", func(p P) string { return p.v.To }),
		field.Integer("n", func(p P) int { return p.v.N }).Required().Shown("athletes",
			func(p P) string { return whole(p.v.N) }),
		json(field.Number("coverage", func(p P) float64 { return p.v.Coverage }).Required()),
		json(field.Number("bias", func(p P) float64 { return p.v.Bias.Value })),
		json(field.Interval("bias_interval", bias).Required()),
		side("bias", "mean difference", bias),
		field.Number("sd", func(p P) float64 { return p.v.SD }),
		json(field.Number("lower", func(p P) float64 { return p.v.Lower.Value })),
		json(field.Number("upper", func(p P) float64 { return p.v.Upper.Value })),
		side("lower", "lower limit", lower), side("upper", "upper limit", upper),
		json(field.Interval("lower_interval", lower).Required()), json(field.Interval("upper_interval",
			upper).Required()),
		json(field.Interval("lower_approximate", func(p P) estimate.Estimate { return p.v.LowerApprox }).Required()),
		json(field.Interval("upper_approximate", func(p P) estimate.Estimate { return p.v.UpperApprox }).Required()),
		json(field.Number("prediction_lower", func(p P) float64 { return p.v.PredictionLower })),
		json(field.Number("prediction_upper", func(p P) float64 { return p.v.PredictionUpper })),
		field.Interval("slope_on_mean", func(p P) estimate.Estimate { return p.v.Slope }).Column("slope").
			Shown("slope on the mean", func(p P) string { return number.SignedEstimate(p.v.Slope, 2) }),
		json(field.Number("slope_p", func(p P) float64 { return p.v.SlopeP })),
		field.Interval("spread_on_mean", func(p P) estimate.Estimate { return p.v.Spread }).Column("spread").
			Shown("spread on the mean", func(p P) string { return number.SignedEstimate(p.v.Spread, 2) }),
		json(field.Number("spread_p", func(p P) float64 { return p.v.SpreadP })),
		json(field.Flag("log_advised", func(p P) bool { return p.v.LogAdvised })),
		json(field.MaybeInterval("spread_on_log", func(p P) *estimate.Estimate { return p.v.SpreadOnLog })),
		json(field.Flag("cured_on_log", func(p P) bool { return p.v.Cured })),
	}
}

func groupFields() field.Set[part[reliability.Group]] {
	type P = part[reliability.Group]
	return field.Set[P]{
		field.Text("group", func(p P) string { return p.v.Name }).Required().Column("of_group").Shown("of group",
			func(p P) string { return p.v.Name }),
		field.Integer("athletes", func(p P) int { return p.v.Athletes }).Required().Shown("athletes",
			func(p P) string { return whole(p.v.Athletes) }),
		field.Number("mean", func(p P) float64 { return p.v.Mean }).Column("-"),
		field.Interval("typical_error", func(p P) estimate.Estimate { return p.v.TypicalError }).
			Shown("typical error", func(p P) string { return p.m.error(p.v.TypicalError.Value) }),
		field.Interval("typical_error_percent",
			func(p P) estimate.Estimate { return p.v.TypicalErrorPercent }).Column("-"),
		field.Number("df", func(p P) float64 { return p.v.DF }).Column("-"),
		field.Interval("icc", func(p P) estimate.Estimate { return p.v.ICC }).Column("icc_c1").
			Shown("ICC(C,1)", func(p P) string { return correlationWords(p.v.ICC) }),
		field.Text("too_few", func(p P) string { return fewWords(p.v) }).Column("-"),
		field.Text("test", P.equality).Hidden().Shown("same in all groups?", P.equality),
		field.Text("normal_test", P.besideIt).Hidden().Shown("were errors normal", P.besideIt),
	}
}

func groupTestFields() field.Set[part[reliability.GroupTest]] {
	type P = part[reliability.GroupTest]
	return field.Set[P]{
		field.Text("method", func(p P) string { return testWords(p.v) }).Required(),
		field.Number("statistic", func(p P) float64 { return p.v.Statistic }),
		field.Number("df1", func(p P) float64 { return p.v.DF1 }),
		field.Number("df2", func(p P) float64 { return p.v.DF2 }),
		field.Number("p", func(p P) float64 { return p.v.P }),
		field.Text("normal_method", func(p P) string { return normalWords(p.v.Normal) }),
		field.Number("normal_statistic", func(p P) float64 { return p.v.Normal.Statistic }),
		field.Number("normal_p", func(p P) float64 { return p.v.Normal.P }),
		field.Number("pooled_icc", func(p P) float64 { return p.v.PooledICC }),
		field.Number("within_icc", func(p P) float64 { return p.v.WithinICC }),
		field.Text("words", func(p P) string { return equalWords(p.v) }),
	}
}

func influenceFields() field.Set[part[reliability.Influence]] {
	type P = part[reliability.Influence]
	how := func(p P) string { return p.m.influenceWords(p.v) }
	return field.Set[P]{
		field.Text("typical_error_athlete",
			func(p P) string { return p.v.TypicalErrorAthlete }).Required().Column("te_athlete").
			Shown("typical error: without", func(p P) string { return p.v.TypicalErrorAthlete }),
		field.Number("typical_error_without",
			func(p P) float64 { return p.v.TypicalErrorWithout }).Column("te_without").
			Shown("it becomes", func(p P) string { return p.m.error(p.v.TypicalErrorWithout) }),
		field.Text("icc_athlete", func(p P) string { return p.v.ICCAthlete }).Required().
			Shown("ICC: without", func(p P) string { return p.v.ICCAthlete }),
		field.Number("icc_without", func(p P) float64 { return p.v.ICCWithout }).
			Shown("it becomes ", func(p P) string { return number.Correlation(p.v.ICCWithout) }),
		field.Text("how", how).Hidden().Shown("how", how),
	}
}

// componentFields are the variances in JSON, their SDs in tables.
func componentFields() field.Set[ReliabilityMeasure] {
	type M = ReliabilityMeasure
	variance := func(key string, get func(M) estimate.Estimate) field.Field[M] {
		return field.Interval(key, get).Column("-")
	}
	sd := func(key, head string, get func(M) estimate.Estimate) field.Field[M] {
		return field.Interval(key, get).Hidden().Shown(head, func(m M) string { return m.spread(get(m)) })
	}
	return field.Set[M]{
		field.Integer("attempts", func(m M) int { return m.Result.Components.N }).Required().
			Shown("attempts", func(m M) string { return whole(m.Result.Components.N) }),
		variance("athlete", func(m M) estimate.Estimate { return m.Result.Components.Athlete.Estimate }).Required(),
		variance("athlete_session", func(m M) estimate.Estimate { return m.Result.Components.AthleteSession.Estimate }),
		variance("trial", func(m M) estimate.Estimate { return m.Result.Components.Trial.Estimate }).Required(),
		sd("athlete_sd", "between athletes", func(m M) estimate.Estimate { return m.Result.Components.Athlete.SD }),
		sd("athlete_session_sd", "day to "+
			"day", func(m M) estimate.Estimate { return m.Result.Components.AthleteSession.SD }),
		sd("trial_sd", "trial to trial", func(m M) estimate.Estimate { return m.Result.Components.Trial.SD }),
		field.Text("merged", func(m M) string { return string(m.Result.Components.Merged) }).Column("-"),
		field.Flag("singular", func(m M) bool { return m.Result.Components.Singular }).Column("-"),
		field.Number("reml_criterion", func(m M) float64 { return m.Result.Components.Criterion }).Column("-"),
		field.Text("cheapest", M.design).Hidden().Shown("cheapest design that sees the worthwhile change", M.design),
	}
}

func decisionFields() field.Set[part[decision.Row]] {
	type P = part[decision.Row]
	return field.Set[P]{
		field.Integer("sessions", func(p P) int { return p.v.Sessions }).Required().Shown("sessions",
			func(p P) string { return whole(p.v.Sessions) }),
		field.Integer("trials", func(p P) int { return p.v.Trials }).Required().Shown("trials in each",
			func(p P) string { return whole(p.v.Trials) }),
		field.Interval("typical_error", func(p P) estimate.Estimate { return p.v.TypicalError }).
			Shown("typical error", func(p P) string { return p.m.spread(p.v.TypicalError) }),
		field.Number("df", func(p P) float64 { return p.v.DF }),
		field.Interval("reliability", func(p P) estimate.Estimate { return p.v.Reliability }).
			Shown("reliability", func(p P) string { return correlationWords(p.v.Reliability) }),
		field.Number("detectable_change", func(p P) float64 { return p.v.Detectable }).
			Shown("detectable change", func(p P) string { return p.m.changeWords(p.v.Detectable) }),
		field.Number("seen", func(p P) float64 { return p.v.Seen }).
			Shown("true change seen with the power asked for", func(p P) string { return p.m.changeWords(p.v.Seen) }),
	}
}

func cheapestFields() field.Set[part[decision.Answer]] {
	type P = part[decision.Answer]
	return field.Set[P]{
		field.Flag("found", func(p P) bool { return p.v.Found }),
		field.Number("sessions", func(p P) float64 { return above(float64(p.v.Row.Sessions)) }),
		field.Number("trials", func(p P) float64 { return above(float64(p.v.Row.Trials)) }),
		field.Number("needed_trials", func(p P) float64 { return above(float64(p.v.Needed)) }),
		field.Flag("never", func(p P) bool { return p.v.Never }),
		field.Number("limit", func(p P) float64 { return p.v.Limit }),
		field.Text("words", func(p P) string { return p.m.design() }).Required(),
	}
}
