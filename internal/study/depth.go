package study

import (
	"math"

	"noisefloor/analysis/association"
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/score"
	"noisefloor/internal/cohort"
)

// repeated correlates inside athletes, over the sessions used.
func (r *Correlate) repeated(d *desk, out *CorrelateResult) error {
	y, err := d.scores(d.used, d.comparing.outcome)
	if err != nil {
		return err
	}
	for _, m := range d.comparing.tests {
		x, err := d.scores(d.used, m)
		if err != nil {
			return err
		}
		xs, ys, who, when := paired(x, y)
		v, err := association.RepeatedOverSessions(xs, ys, who, when, r.Confidence)
		if err != nil {
			d.caveats = append(d.caveats, caveat.New(caveat.NotCompared).About(m.Name).With("repeated", err.Error()))
			continue
		}
		out.Repeated = append(out.Repeated, RepeatedResult{m.Name, v})
	}
	family := make([]*association.SessionAdjusted, len(out.Repeated))
	for i := range family {
		family[i] = &out.Repeated[i].Repeated
	}
	association.AdjustOverSessions(family)
	return nil
}

// paired lists the athletes and sessions that have both scores.
func paired(x, y score.Table) (xs, ys []float64, athlete, session []int) {
	k := len(x.Sessions)
	for c := range x.Value {
		if !math.IsNaN(x.Value[c]) && !math.IsNaN(y.Value[c]) {
			xs, ys = append(xs, x.Value[c]), append(ys, y.Value[c])
			athlete, session = append(athlete, c/k), append(session, c%k)
		}
	}
	return xs, ys, athlete, session
}

// changes compares the change of each test with that of the outcome.
func (r *Correlate) changes(d *desk, out *CorrelateResult, o association.Options) error {
	out.FromTo = [2]string{r.Change[0], r.Change[1]}
	y, err := r.retested(d, d.comparing.outcome)
	if err != nil {
		return err
	}
	for _, m := range d.comparing.tests {
		x, err := r.retested(d, m)
		if err != nil {
			return err
		}
		c, err := association.ChangeAgainstChange(x, y, o)
		if err != nil {
			d.caveats = append(d.caveats, caveat.New(caveat.NotCompared).About(m.Name).With("change", err.Error()))
			continue
		}
		out.Changes = append(out.Changes, ChangeResult{m.Name, c})
	}
	return nil
}

// retested is a measure in the two sessions of the change, with its noise.
func (r *Correlate) retested(d *desk, m *cohort.Measure) (association.Retested, error) {
	whole, err := d.rows.Measure(m.Name)
	if err != nil {
		return association.Retested{}, err
	}
	s, err := d.scores(d.rows, whole)
	if err != nil {
		return association.Retested{}, err
	}
	two, err := s.Select(r.Change...)
	if err != nil {
		return association.Retested{}, err
	}
	out := association.Retested{Name: m.Name, Unit: m.Unit, TypicalError: r.typicalError(d, m)}
	for i := range two.Athletes {
		out.Before, out.After = append(out.Before, two.At(i, 0)), append(out.After, two.At(i, 1))
	}
	return out, nil
}

// typicalError is that of a measure on the raw scale: the noise file's, else that
// of the sessions named, which are taken to have no training between them; NaN
// when neither is there.
func (r *Correlate) typicalError(d *desk, m *cohort.Measure) float64 {
	if n := d.comparing.noise; n != nil {
		if model, ok := n.file.Find(m.Name, ""); ok && model.Scale == score.Raw {
			return model.TypicalError
		}
		return math.NaN()
	}
	if r.Origins["sessions"] != FromRequest || len(r.Sessions) < 2 {
		return math.NaN()
	}
	s, err := d.scores(d.used, m)
	if err != nil {
		return math.NaN()
	}
	if result, ok := r.consistency(s); ok {
		return result.TypicalError.Value
	}
	return math.NaN()
}
