package study

import (
	"errors"
	"fmt"
	"slices"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/profile"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/internal/cohort"
	"noisefloor/internal/noisefile"
)

// NoiseFile is the noise of a study as a file for later retests: of every test, for
// all athletes and for each level, and of the tests that are read together. What has
// no typical error above zero is left out.
func (o Outcome) NoiseFile() (noisefile.File, error) {
	r, d := o.Request.(*Reliability), o.desk
	f := noisefile.File{Settings: map[string]any{"version": r.Version, "confidence": r.Confidence,
		"worthwhile": r.Worthwhile}}
	f.CreatedFrom = noisefile.Origin{Path: shown(o.Table.Source.Path), SHA256: o.Table.Source.SHA256,
		Rows: o.Table.Source.Rows}
	gap := gapOf(d.whole, d.used.Sessions)
	add := func(m noise.Model) {
		if m.GapDays = gap; m.TypicalError > 0 && m.DF >= 1 {
			f.Measures = append(f.Measures, m)
		}
	}
	var err error
	for _, m := range o.Result.(*ReliabilityResult).Measures {
		if m.Group != "" {
			continue
		}
		n := noiseOf(r, d.used, m.Measure, m.Result)
		scores, err := d.scores(d.used, m.Measure)
		if err != nil {
			return f, err
		}
		n.Prints = n.Print(f.CreatedFrom.SHA256, scores.Athletes, scores.Value)
		add(n)
	}
	if len(f.Measures) == 0 {
		return f, errors.New("no test has a typical error above zero to save")
	}
	all := slices.Clone(f.Measures)
	groups := groupsOf(d.groups)
	if len(groups) > 0 {
		f.By = d.by
	}
	for _, m := range all {
		measure, err := d.used.Measure(m.Measure)
		if err != nil {
			return f, err
		}
		for _, g := range groups {
			own, err := r.noiseIn(d, d.used, measure, g, SessionList(d.used.Sessions))
			if err != nil {
				continue // too few athletes, or none that differs: retest says so of whoever asks
			}
			own.Group = g.name
			add(own)
		}
	}
	f.Together, err = r.together(d, f)
	return f, err
}

// noiseOf is what one analysis leaves behind for the judging of single athletes.
func noiseOf(r *Reliability, t *cohort.Table, m *cohort.Measure, result reliability.Result) noise.Model {
	source := fmt.Sprintf("%s of %s", SessionList(t.Sessions), shown(t.Source.Path))
	return reliability.Noise(result, m.Name, m.Unit, score.Summary(r.Score), source)
}

// noiseIn is the noise of a measure in the sessions of t, for the athletes of a
// group.
func (r *Reliability) noiseIn(d *desk, t *cohort.Table, m *cohort.Measure, g group, sessions string) (noise.Model, error) {
	scores, o, err := r.options(d, t, m)
	if err != nil {
		return noise.Model{}, err
	}
	if g.rows != nil {
		attempts := o.Attempts
		scores, o = ofGroup(scores, o, g.rows)
		if attempts != nil {
			o.Attempts = attempts.Of(g.rows)
		}
	}
	o.Lean = true
	result, err := reliability.Analyse(scores, o)
	if err != nil {
		return noise.Model{}, err
	}
	if !(result.TypicalError.Value > 0) {
		return noise.Model{}, fmt.Errorf("its typical error in %s is 0: every athlete changed alike", sessions)
	}
	return noiseOf(r, t, m, result), nil
}

// together are the covariances of the errors of the file's tests, in every group.
func (r *Reliability) together(d *desk, f noisefile.File) ([]noise.Together, error) {
	var out []noise.Together
	for _, g := range append([]group{{}}, groupsOf(d.groups)...) {
		var tests []profile.Test
		for _, m := range d.used.Measures {
			model, ok := f.Find(m.Name, g.name)
			if !ok {
				continue
			}
			scores, err := d.scores(d.used, m)
			if err != nil {
				return nil, err
			}
			tests = append(tests, profileTest(m, r.better(m.Name), model.Scale, scores))
		}
		for _, t := range profile.Errors(tests, d.dominant(), g.rows) {
			t.Group = g.name
			out = append(out, t)
		}
	}
	return out, nil
}

// groupsOf are the groups of athletes that have a name, in the order of names.
func groupsOf(of []string) []group {
	var out []group
	for _, g := range slices.Compact(slices.Sorted(slices.Values(of))) {
		if g != "" {
			out = append(out, group{g, athletesOf(of, g)})
		}
	}
	return out
}
