package reports

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	assoc "noisefloor/analysis/association"
	"noisefloor/analysis/retest"
	"noisefloor/reports/picture"
)

// add appends a picture; results with nothing to draw have none.
func add(all []picture.Picture, p picture.Picture, err error) ([]picture.Picture, error) {
	if errors.Is(err, picture.ErrNothing) {
		return all, nil
	}
	if err != nil {
		return all, err
	}
	names := func(q picture.Picture) bool { return q.Name == p.Name }
	for i := 2; slices.ContainsFunc(all, names); i++ {
		p.Name = fmt.Sprintf("%s-%d", strings.TrimSuffix(p.Name, fmt.Sprintf("-%d", i-1)), i)
	}
	return append(all, p), nil
}

// Pictures implements [View]: the noise of all tests, then the agreement of
// two sessions test by test.
func (v Reliability) Pictures() ([]picture.Picture, error) {
	var out []picture.Picture
	var rows []picture.NoiseRow
	for _, m := range v.pooled() {
		rows = append(rows, picture.NewNoiseRow(m.Label, m.Result))
	}
	p, err := picture.NoiseOverview(picture.NoiseInput{Level: v.Settings.Confidence, Rows: rows})
	if out, err = add(out, p, err); err != nil {
		return nil, err
	}
	for _, m := range v.pooled() {
		if m.Result.Agreement == nil {
			continue
		}
		p, err := picture.Agreement(picture.AgreementInput{Result: *m.Result.Agreement, Label: m.Label, Unit: m.Unit, Scale: m.Result.Scale})
		if out, err = add(out, p, err); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// Pictures implements [View]: for every test and follow-up all athletes'
// changes on the noise, then runs of single athletes.
func (v Retest) Pictures() ([]picture.Picture, error) {
	var out []picture.Picture
	for _, group := range v.grouped() {
		m := group[0].Measure
		p, err := picture.ChangeForest(picture.ForestInput{Label: v.label(m), Unit: v.noise(m).Unit, Better: v.Better[m], Level: v.Result.Level, Changes: group})
		if out, err = add(out, p, err); err != nil {
			return nil, err
		}
	}
	for _, r := range v.runs() {
		p, err := picture.AthleteRun(picture.RunInput{Run: r, Label: v.label(r.Measure), Unit: v.noise(r.Measure).Unit, Better: v.Better[r.Measure], Level: v.Result.Level})
		if out, err = add(out, p, err); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// grouped splits the changes by measure and sessions, in their order.
func (v Retest) grouped() [][]retest.Change {
	var out [][]retest.Change
	at := map[string]int{}
	for _, c := range v.Result.Changes {
		key := strings.Join(append(append([]string{c.Measure, ""}, c.From...), append([]string{""}, c.To...)...), "\x00")
		i, ok := at[key]
		if !ok {
			i, at[key] = len(out), len(out)
			out = append(out, nil)
		}
		out[i] = append(out[i], c)
	}
	return out
}

const drawnRuns = 6 // athletes whose runs are drawn when none was asked for

// runs are those of the athletes asked for, else of the surest changes, one an
// athlete.
func (v Retest) runs() []retest.Run {
	if len(v.Runs) > 0 {
		return slices.DeleteFunc(slices.Clone(v.Result.Runs), func(r retest.Run) bool { return !slices.Contains(v.Runs, r.Athlete) })
	}
	sure := slices.DeleteFunc(slices.Clone(v.Result.Changes), func(c retest.Change) bool { return !c.Real })
	slices.SortStableFunc(sure, func(a, b retest.Change) int { return cmp.Compare(a.P, b.P) })
	var out []retest.Run
	seen := map[string]bool{}
	for _, c := range sure {
		if seen[c.Athlete] || len(out) == drawnRuns {
			continue
		}
		seen[c.Athlete] = true
		i := slices.IndexFunc(v.Result.Runs, func(r retest.Run) bool { return r.Athlete == c.Athlete && r.Measure == c.Measure })
		if i >= 0 {
			out = append(out, v.Result.Runs[i])
		}
	}
	return out
}

const drawnScatters = 3 // tests of each plane that are drawn, the closest first

// Pictures implements [View]: r of every test by plane, then the closest tests
// of each plane against the outcome.
func (v Correlate) Pictures() ([]picture.Picture, error) {
	var out []picture.Picture
	p, err := picture.PlaneForest(picture.PlaneInput{Result: v.Result, OutcomeLabel: v.label(v.Result.Outcome), Labels: v.Labels,
		LevelName: v.Settings.By, Within: v.Settings.By != ""})
	if out, err = add(out, p, err); err != nil {
		return nil, err
	}
	ranked := slices.Clone(v.Result.Associations)
	slices.SortStableFunc(ranked, func(a, b assoc.Association) int {
		return cmp.Compare(strength(b), strength(a))
	})
	drawn := map[string]int{}
	for _, a := range ranked {
		if drawn[a.Plane]++; drawn[a.Plane] > drawnScatters {
			continue
		}
		in := picture.ScatterInput{Association: a, TestLabel: v.label(a.Measure), OutcomeLabel: v.label(v.Result.Outcome),
			OutcomeUnit: v.Result.OutcomeUnit, LevelName: v.Settings.By, Level: v.Result.Level}
		in.Line, in.Band = lineOf(a)
		p, err := picture.Scatter(in)
		if out, err = add(out, p, err); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func strength(a assoc.Association) float64 {
	r, _ := leading(a)
	if math.IsNaN(r.Value) {
		return -1
	}
	return math.Abs(r.Value)
}

// lineOf turns the fitted line into ends and the outline of its band.
func lineOf(a assoc.Association) (ends [2]picture.XY, band []picture.XY) {
	n := len(a.Line)
	if n < 2 {
		return ends, nil
	}
	ends = [2]picture.XY{{X: a.Line[0].X, Y: a.Line[0].Y.Value}, {X: a.Line[n-1].X, Y: a.Line[n-1].Y.Value}}
	for _, p := range a.Line {
		band = append(band, picture.XY{X: p.X, Y: p.Y.Upper})
	}
	for _, p := range slices.Backward(a.Line) {
		band = append(band, picture.XY{X: p.X, Y: p.Y.Lower})
	}
	return ends, band
}
