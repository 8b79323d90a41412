package reports

import (
	"strings"

	"noisefloor/analysis/agreement"
	"noisefloor/analysis/reliability"
)

// Document implements [View].
func (v Reliability) Document() any {
	d := reliabilityDocument{Schema: "noisefloor/reliability/1", Input: v.Input.document(), Settings: v.Settings, Measures: []reliabilityMeasure{}, Warnings: list(v.sentences(v.Caveats))}
	for _, m := range v.Measures {
		d.Measures = append(d.Measures, m.document())
	}
	for _, f := range v.Failed {
		d.Failed = append(d.Failed, failed(f))
	}
	return d
}

// document makes sure that lists are written as lists.
func (i Input) document() Input {
	if i.LeftOut == nil {
		i.LeftOut = []LeftOut{}
	}
	return i
}

func (m ReliabilityMeasure) document() reliabilityMeasure {
	r := m.Result
	d := reliabilityMeasure{
		Measure: m.Measure, Label: m.Label, Unit: m.Unit, Scale: string(r.Scale), Group: m.Group,
		Athletes: r.Athletes, Sessions: len(r.Sessions), Complete: r.Complete,
		Trials: number64(r.Trials), Mean: number64(r.Mean),
		SessionMeans: []sessionMean{}, ICC: []icc{}, MeanChanges: []meanChange{}, Warnings: list(r.Warnings),
		MeanSquares: meanSquares{number64(r.ANOVA.MSR), number64(r.ANOVA.MSC), number64(r.ANOVA.MSE), number64(r.ANOVA.MSW)},
		TE:          typicalError{newInterval(r.TypicalError), number64(r.DF)},
		Agreement:   number64(r.AgreementError), TrueSD: number64(r.TrueSD), ObservedSD: number64(r.ObservedSD),
		Detectable: detectable{r.DetectableChange.Level, number64(r.DetectableChange.Value), number64(r.DetectableChange.LargeSample),
			number64(r.DetectableChange.PercentUp), number64(r.DetectableChange.PercentDown)},
		Ratio: number64(r.Ratio), SettledFrom: r.SettledFrom, Limits: limitsDocument(r.Agreement),
		SessionTest: fTestDocument(r.SessionTest),
	}
	if te := newInterval(r.TypicalErrorPercent); te.Estimate != nil {
		d.TEPercent = &te
	}
	if w := newInterval(r.Worthwhile.Estimate); w.Estimate != nil {
		d.Worthwhile = &worthwhile{w, r.Worthwhile.Words, number64(r.Worthwhile.PercentUp), number64(r.Worthwhile.PercentDown)}
	}
	d.Method = r.Method
	d.addComponents(r)
	for _, l := range r.LeftOut {
		d.LeftOut = append(d.LeftOut, athletesOut{l.Reason, l.Athletes})
	}
	for _, s := range r.SessionMeans {
		d.SessionMeans = append(d.SessionMeans, sessionMean{s.Session, s.N, number64(s.Mean), number64(s.SD)})
	}
	for _, c := range r.ICC {
		d.ICC = append(d.ICC, icc{c.Form, c.Model, number64(c.Value.Value), number64(c.Value.Lower), number64(c.Value.Upper), c.Value.Method, intervalOrNil(c.BCa)})
	}
	for _, c := range r.MeanChanges {
		d.MeanChanges = append(d.MeanChanges, meanChange{c.From, c.To, c.N, newInterval(c.Change), number64(c.P), newInterval(c.TypicalError), intervalOrNil(c.Percent)})
	}
	d.addGroups(r)
	return d
}

func (d *reliabilityMeasure) addComponents(r reliability.Result) {
	if c := r.Components; c != nil {
		d.Components = &components{newInterval(c.Athlete.Estimate), newInterval(c.AthleteSession.Estimate), newInterval(c.Trial.Estimate),
			string(c.Merged), c.Singular, c.N, number64(c.Criterion)}
	}
	for _, row := range r.Decision {
		d.Decision = append(d.Decision, decisionRow{row.Sessions, row.Trials, newInterval(row.TypicalError), number64(row.DF), newInterval(row.Reliability), number64(row.Detectable)})
	}
	if a := r.Cheapest; a != nil {
		d.Cheapest = &cheapest{Found: a.Found, Never: a.Never, Limit: number64(a.Limit), Words: a.Words}
		if a.Found {
			d.Cheapest.Sessions, d.Cheapest.Trials = a.Row.Sessions, a.Row.Trials
		}
	}
}

func (d *reliabilityMeasure) addGroups(r reliability.Result) {
	for _, g := range r.Groups {
		out := groupDocument{Group: g.Name, Athletes: g.Athletes, Mean: number64(g.Mean), TooFew: g.TooFew}
		if g.TooFew == "" {
			out.TE, out.TEPercent, out.ICC = intervalOrNil(&g.TypicalError), intervalOrNil(&g.TypicalErrorPercent), intervalOrNil(&g.ICC)
			out.DF = number64(g.DF)
		}
		d.Groups = append(d.Groups, out)
	}
	if t := r.GroupTest; t != nil {
		d.GroupTest = &groupTest{t.Method, number64(t.Statistic), number64(t.P), number64(t.PooledICC), number64(t.WithinICC), t.Words}
	}
	if f := r.Influence; f != nil {
		d.Influence = &influence{f.TypicalErrorAthlete, number64(f.TypicalErrorWithout), f.ICCAthlete, number64(f.ICCWithout)}
	}
}

func fTestDocument(t reliability.FTest) *fTest {
	if number64(t.F) == nil && number64(t.P) == nil {
		return nil
	}
	return &fTest{number64(t.F), number64(t.DF1), number64(t.DF2), number64(t.P)}
}

func limitsDocument(a *agreement.Result) *limits {
	if a == nil {
		return nil
	}
	return &limits{
		From: a.From, To: a.To, N: a.N, Coverage: a.Coverage, Bias: number64(a.Bias.Value), BiasInterval: newInterval(a.Bias), SD: number64(a.SD),
		Lower: number64(a.Lower.Value), Upper: number64(a.Upper.Value), LowerInterval: newInterval(a.Lower), UpperInterval: newInterval(a.Upper),
		LowerApprox: newInterval(a.LowerApprox), UpperApprox: newInterval(a.UpperApprox),
		PredictionLower: number64(a.PredictionLower), PredictionUpper: number64(a.PredictionUpper),
		Slope: newInterval(a.Slope), SlopeP: number64(a.SlopeP), Spread: newInterval(a.Spread), SpreadP: number64(a.SpreadP),
		LogAdvised: a.LogAdvised, SpreadOnLog: intervalOrNil(a.SpreadOnLog), Cured: a.Cured,
	}
}

func list(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

func joined(s []string) string { return strings.Join(s, ", ") }
