package reports

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	assoc "noisefloor/analysis/association"
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/decision"
	"noisefloor/analysis/reliability"
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
	p, err := picture.NoiseOverview(picture.NoiseInput{Level: v.About.Confidence, Power: v.power(), Rows: rows})
	if out, err = add(out, p, err); err != nil {
		return nil, err
	}
	for _, m := range v.pooled() {
		if m.Result.Agreement == nil {
			continue
		}
		p, err := picture.Agreement(picture.AgreementInput{Result: *m.Result.Agreement, Label: m.Label,
			Name: m.Measure, Unit: m.Unit, Scale: m.Result.Scale})
		if out, err = add(out, p, err); err != nil {
			return nil, err
		}
	}
	for _, m := range v.pooled() {
		if m.Result.Tails == nil || len(v.pooled()) > 1 && !doubtfulErrors(m.Result) {
			continue
		}
		p, err := picture.ErrorQuantiles(picture.QuantileInput{Tails: *m.Result.Tails, Label: m.Label, Name: m.Measure,
			Unit: m.Unit, Scale: m.Result.Scale, Athletes: m.Result.Athletes, Level: m.Result.Level})
		if out, err = add(out, p, err); err != nil {
			return nil, err
		}
	}
	for _, m := range v.pooled() {
		if len(m.Result.Decision) == 0 {
			continue
		}
		p, err := picture.DecisionStudy(m.decisionInput())
		if out, err = add(out, p, err); err != nil {
			return nil, err
		}
	}
	return out, nil
}

const (
	drawnAthletes = 12 // of those asked for, whose tests are drawn together
	enoughForAll  = 3  // athletes asked for from which on each test is drawn too
)

func (m ReliabilityMeasure) decisionInput() picture.DecisionInput {
	r := m.Result
	return picture.DecisionInput{Label: m.Label, Name: m.Measure, Unit: m.Unit, Scale: r.Scale, Level: r.Level,
		Rows:  r.Decision,
		Power: r.DetectableChange.Power, Worthwhile: r.Worthwhile.Value, Answer: r.Cheapest, Studied: decision.Design{Sessions: 1,
			Trials: int(math.Round(r.Trials))}}
}

const drawnScatters = 3 // tests of each plane that are drawn, the closest first

// Pictures implements [View]: r of every test by plane, then the closest tests
// of each plane against the outcome.
func (v Correlate) Pictures() ([]picture.Picture, error) {
	var out []picture.Picture
	p, err := v.planes(false)
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
		in := picture.ScatterInput{Association: a, TestLabel: v.label(a.Measure),
			OutcomeLabel: v.label(v.Result.Outcome), Outcome: v.Result.Outcome,
			OutcomeUnit: v.Result.OutcomeUnit, GroupName: v.By, Level: v.Result.Level}
		in.Line, in.Band = lineOf(a)
		p, err := picture.Scatter(in)
		if out, err = add(out, p, err); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func (v Correlate) planes(narrow bool) (picture.Picture, error) {
	return picture.PlaneForest(picture.PlaneInput{Result: v.Result, OutcomeLabel: v.label(v.Result.Outcome),
		Labels:    v.Labels,
		GroupName: v.By, Within: v.By != "", Narrow: narrow})
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

// doubtfulErrors reports whether the errors of a test are not those of one normal
// distribution: of many tests only those are drawn.
func doubtfulErrors(r reliability.Result) bool {
	return slices.ContainsFunc(r.Caveats, func(c caveat.Caveat) bool {
		return c.Kind == reliability.HeavyTails || c.Kind == reliability.AthletesDiffer
	})
}
