package cli

import (
	"noisefloor/analysis/retest"
	"noisefloor/internal/cohort"
	"noisefloor/internal/study"
	"noisefloor/reports"
)

// The views below carry what an outcome holds over to the reports, and decide
// nothing.

func reliabilityView(o study.Outcome, a reports.About) reports.View {
	v := reports.Reliability{About: a, Days: cohort.DaysApart(o.Table.Sessions),
		AllSessions: study.CommonOf(o.Request).Origins["sessions"] == study.ByDefault}
	result := o.Result.(*study.ReliabilityResult)
	for _, m := range result.Measures {
		v.Measures = append(v.Measures, reports.ReliabilityMeasure{Measure: m.Measure.Name, Label: label(m.Measure),
			Unit: m.Measure.Unit, Group: m.Group, Result: m.Result})
	}
	for _, f := range result.Failed {
		v.Failed = append(v.Failed, reports.Failed{Measure: f.Measure, Group: f.Group, Reason: f.Err.Error()})
	}
	return v
}

func retestView(o study.Outcome, a reports.About) reports.View {
	r := o.Request.(*study.Retest)
	return reports.Retest{About: a, Result: *o.Result.(*retest.Result), Asked: r.Athletes,
		Weekly: r.Season && cohort.DaysApart(o.Table.Sessions) != nil}
}

func correlateView(o study.Outcome, a reports.About) reports.View {
	c := o.Result.(*study.CorrelateResult)
	v := reports.Correlate{About: a, Result: c.Result, Planes: c.Planes, Models: c.Models, FromTo: c.FromTo,
		Covariates: o.Request.(*study.Correlate).Covariates}
	for _, r := range c.Repeated {
		v.Repeated = append(v.Repeated, reports.RepeatedMeasure{Measure: r.Measure, SessionAdjusted: r.Repeated})
	}
	for _, x := range c.Changes {
		v.Changes = append(v.Changes, reports.ChangeOfMeasure{Measure: x.Measure, ChangeAssociation: x.Change})
	}
	return v
}

func normsView(o study.Outcome, a reports.About) reports.View {
	result := o.Result.(*study.NormsResult)
	v := reports.Norms{About: a, Session: result.Session, Asked: o.Request.(*study.Norms).Athletes, File: result.File}
	for _, t := range result.Tests {
		v.Tests = append(v.Tests, reports.NormsTest{Measure: t.Measure.Name, Label: label(t.Measure), Unit: t.Measure.Unit,
			Result: t.Result})
	}
	for _, f := range result.Failed {
		v.Failed = append(v.Failed, reports.Failed{Measure: f.Measure, Reason: f.Err.Error()})
	}
	return v
}

func profileView(o study.Outcome, a reports.About) reports.View {
	r, p := o.Request.(*study.Profile), o.Result.(*study.ProfileResult)
	v := reports.Profile{About: a, Result: p.Result, Tests: p.Tests, Session: p.Session, Sessions: p.Sessions, Days: p.Days,
		Asked: r.Athletes, History: p.History, WhyNone: p.WhyNone}
	for _, f := range p.Failed {
		v.Failed = append(v.Failed, reports.Failed{Measure: f.Measure, Group: f.Group, Reason: f.Err.Error()})
	}
	return v
}
