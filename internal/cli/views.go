package cli

import (
	"noisefloor/analysis/score"
	"noisefloor/internal/cohort"
	"noisefloor/internal/study"
	"noisefloor/reports"
)

// The views below carry what an outcome holds over to the reports, and decide
// nothing.

func reliabilityView(o study.Outcome, a reports.About) reports.View {
	v := reports.Reliability{About: a, Days: cohort.DaysApart(o.Table.Sessions),
		AllSessions: study.CommonOf(o.Request).Origins["sessions"] == study.ByDefault}
	for _, m := range o.Reliability.Measures {
		v.Measures = append(v.Measures, reports.ReliabilityMeasure{Measure: m.Measure.Name, Label: label(m.Measure),
			Unit: m.Measure.Unit, Group: m.Group, Result: m.Result})
	}
	for _, f := range o.Reliability.Failed {
		v.Failed = append(v.Failed, reports.Failed{Measure: f.Measure, Group: f.Group, Reason: f.Err.Error()})
	}
	return v
}

func retestView(o study.Outcome, a reports.About) reports.View {
	r := o.Request.(*study.Retest)
	v := reports.Retest{About: a, Result: *o.Retest, Better: map[string]score.Direction{}, Asked: r.Athletes}
	for _, m := range o.Whole.Measures {
		v.Better[m.Name] = study.Direction(o.Request, m.Name)
	}
	return v
}

func correlateView(o study.Outcome, a reports.About) reports.View {
	c := o.Correlate
	v := reports.Correlate{About: a, Result: c.Result, Planes: c.Planes, Models: c.Models, FromTo: c.FromTo}
	for _, r := range c.Repeated {
		v.Repeated = append(v.Repeated, reports.RepeatedMeasure{Measure: r.Measure, Repeated: r.Repeated})
	}
	for _, x := range c.Changes {
		v.Changes = append(v.Changes, reports.ChangeOfMeasure{Measure: x.Measure, ChangeAssociation: x.Change})
	}
	return v
}
