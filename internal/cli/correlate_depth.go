package cli

import (
	"fmt"
	"math"
	"slices"

	"noisefloor/analysis/association"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/internal/cohort"
	"noisefloor/reports"
)

// addDepth adds what goes beyond single correlations: models of both planes,
// and when asked for, repeated measures and changes.
func (o correlateOptions) addDepth(v *reports.Correlate, t *cohort.Table, outcome *cohort.Measure, in association.Input, a association.Options) error {
	if v.Result.PlaneContrast != nil {
		models, err := association.Models(in, a)
		if err != nil {
			return err
		}
		v.Models = &models
	}
	if o.repeated {
		if err := o.addRepeated(v, t, outcome, in); err != nil {
			return err
		}
	}
	if len(o.change) == 2 {
		return o.addChanges(v, t, outcome, in, a)
	}
	return nil
}

// addRepeated correlates inside athletes, over the sessions used.
func (o correlateOptions) addRepeated(v *reports.Correlate, t *cohort.Table, outcome *cohort.Measure, in association.Input) error {
	y, err := o.table.scores(t, outcome)
	if err != nil {
		return err
	}
	for _, test := range in.Tests {
		m, err := t.Measure(test.Name)
		if err != nil {
			return err
		}
		x, err := o.table.scores(t, m)
		if err != nil {
			return err
		}
		xs, ys, who := paired(x, y)
		r, err := association.RepeatedMeasures(xs, ys, who, float64(o.table.confidence))
		if err != nil {
			v.Caveats = append(v.Caveats, fmt.Sprintf("%s: no correlation inside athletes: %v", label(m), err))
			continue
		}
		v.Repeated = append(v.Repeated, reports.RepeatedMeasure{Measure: m.Name, Repeated: r})
	}
	return nil
}

// paired lists the sessions that have both scores.
func paired(x, y score.Table) (xs, ys []float64, athlete []int) {
	for c := range x.Value {
		if !math.IsNaN(x.Value[c]) && !math.IsNaN(y.Value[c]) {
			xs, ys, athlete = append(xs, x.Value[c]), append(ys, y.Value[c]), append(athlete, c/len(x.Sessions))
		}
	}
	return xs, ys, athlete
}

// addChanges compares the change of each test with that of the outcome.
func (o correlateOptions) addChanges(v *reports.Correlate, t *cohort.Table, outcome *cohort.Measure, in association.Input, a association.Options) error {
	v.FromTo = [2]string{o.change[0], o.change[1]}
	errorOf, err := o.typicalErrors(t)
	if err != nil {
		return err
	}
	y, err := o.retested(outcome.Name, errorOf)
	if err != nil {
		return err
	}
	for _, test := range in.Tests {
		x, err := o.retested(test.Name, errorOf)
		if err != nil {
			return err
		}
		c, err := association.ChangeAgainstChange(x, y, a)
		if err != nil {
			v.Caveats = append(v.Caveats, fmt.Sprintf("%s: changes not compared: %v", v.Labels[test.Name], err))
			continue
		}
		v.Changes = append(v.Changes, reports.ChangeOfMeasure{Measure: test.Name, ChangeAssociation: c})
	}
	return nil
}

// retested is a measure in the two sessions of --change.
func (o correlateOptions) retested(name string, errorOf func(*cohort.Measure) float64) (association.Retested, error) {
	m, err := o.every.Measure(name)
	if err != nil {
		return association.Retested{}, err
	}
	s, err := o.table.scores(o.every, m)
	if err != nil {
		return association.Retested{}, err
	}
	two, err := s.Select(o.change...)
	if err != nil {
		return association.Retested{}, fmt.Errorf("%w; the table has %s", err, sessionList(o.every.Sessions))
	}
	out := association.Retested{Name: name, Unit: m.Unit, TypicalError: errorOf(m)}
	for i := range two.Athletes {
		out.Before, out.After = append(out.Before, two.At(i, 0)), append(out.After, two.At(i, 1))
	}
	return out, nil
}

// typicalErrors gives the typical error of a measure on the raw scale: the noise
// file's, else that of the sessions named by --sessions, which are taken to have
// no training between them; NaN when neither is there.
func (o correlateOptions) typicalErrors(t *cohort.Table) (func(*cohort.Measure) float64, error) {
	if o.noise != "" {
		file, err := readNoise(o.noise, o.table, o.scoreGiven, t.Measures)
		if err != nil {
			return nil, err
		}
		return func(m *cohort.Measure) float64 {
			if n, ok := file.Find(m.Name); ok && n.Scale == score.Raw {
				return n.TypicalError
			}
			return math.NaN()
		}, nil
	}
	if len(o.table.sessions) < 2 {
		return func(*cohort.Measure) float64 { return math.NaN() }, nil
	}
	return func(m *cohort.Measure) float64 {
		m, err := t.Measure(m.Name)
		if err != nil {
			return math.NaN()
		}
		s, err := o.table.scores(t, m)
		if err != nil {
			return math.NaN()
		}
		r, err := reliability.Analyse(s, reliability.Options{Replicates: 100, Missing: o.table.absent()})
		if err != nil {
			return math.NaN()
		}
		return r.TypicalError.Value
	}, nil
}

// fromStudy takes the reliability of a variable from the table of --study.
func (o correlateOptions) fromStudy(x *association.Variable, m *cohort.Measure) error {
	study, err := o.studyTable.Measure(m.Name)
	if err != nil {
		return nil // the analysis says that it has no reliability
	}
	s, err := o.table.scores(o.studyTable, study)
	if err != nil {
		return err
	}
	r, err := reliability.Analyse(s, reliability.Options{Replicates: 100, Missing: o.table.absent()})
	if err != nil {
		return nil
	}
	i := slices.IndexFunc(r.ICC, func(c reliability.ICC) bool { return c.Form == "C,1" })
	k, one := float64(x.ValueSessions), r.ICC[i].Value.Value
	x.Reliability, x.ReliabilitySource, x.Study = k*one/(1+(k-1)*one), sessionList(s.Sessions)+" of "+input(o.studyTable).Path, s.Value
	return nil
}
