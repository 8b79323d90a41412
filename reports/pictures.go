package reports

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	assoc "noisefloor/analysis/association"
	"noisefloor/analysis/decision"
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
	p, err := picture.NoiseOverview(picture.NoiseInput{Level: v.About.Confidence, Rows: rows})
	if out, err = add(out, p, err); err != nil {
		return nil, err
	}
	for _, m := range v.pooled() {
		if m.Result.Agreement == nil {
			continue
		}
		p, err := picture.Agreement(picture.AgreementInput{Result: *m.Result.Agreement, Label: m.Label, Name: m.Measure, Unit: m.Unit, Scale: m.Result.Scale})
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
	return picture.DecisionInput{Label: m.Label, Name: m.Measure, Unit: m.Unit, Scale: r.Scale, Level: r.Level, Rows: r.Decision,
		Worthwhile: r.Worthwhile.Value, Answer: r.Cheapest, Studied: decision.Design{Sessions: 1, Trials: int(math.Round(r.Trials))}}
}

// Pictures implements [View]: for every test and follow-up all athletes'
// changes on the noise, then runs of single athletes. Of athletes that were
// asked for all tests come first, a picture for each follow-up.
func (v Retest) Pictures() ([]picture.Picture, error) {
	out, err := v.athletes()
	if err != nil {
		return nil, err
	}
	for _, g := range v.grouped() {
		if n := len(distinct(v.Runs)); n > 0 && n < enoughForAll {
			break
		}
		m := g.changes[0].Measure
		p, err := picture.ChangeForest(picture.ForestInput{Label: v.label(m), Unit: v.noise(m).Unit, Better: v.Better[m], Level: v.Result.Level, To: g.to, Changes: g.changes})
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

// athletes draws all tests of each athlete asked for.
func (v Retest) athletes() ([]picture.Picture, error) {
	var out []picture.Picture
	units := map[string]string{}
	for _, n := range v.Result.Noise {
		units[n.Measure] = n.Unit
	}
	asked, groups := distinct(v.Runs), v.grouped()
	for _, athlete := range asked[:min(len(asked), drawnAthletes)] {
		for _, to := range v.followUps() {
			var changes []retest.Change
			for _, g := range groups {
				for _, c := range g.changes {
					if c.Athlete == athlete && slices.Equal(g.to, to) {
						changes = append(changes, c)
					}
				}
			}
			p, err := picture.AthleteForest(picture.AthleteForestInput{Athlete: athlete, Labels: v.Labels, Units: units, Better: v.Better,
				Level: v.Result.Level, To: to, Changes: changes})
			if out, err = add(out, p, err); err != nil {
				return nil, err
			}
		}
	}
	if n := len(asked); n > drawnAthletes && len(out) > 0 {
		out[len(out)-1].Caption += fmt.Sprintf(" The first %d of the %d athletes asked for are drawn like this.", drawnAthletes, n)
	}
	return out, nil
}

func distinct(names []string) []string {
	var out []string
	for _, n := range names {
		if !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}

// A group is the changes of one measure to one follow-up, to all of whose
// sessions some athletes may not have come.
type group struct {
	to      []string
	changes []retest.Change
}

// grouped splits the changes by measure and follow-up, in their order.
func (v Retest) grouped() []group {
	var out []group
	all, at, seen := v.followUps(), map[string]int{}, map[string]bool{}
	for _, c := range v.Result.Changes {
		to, key := c.To, ""
		for _, f := range fitting(all, c.To) {
			to, key = f, c.Measure+"\x00"+joint(f)
			if !seen[key+"\x00\x00"+c.Athlete] {
				break
			}
		}
		for seen[key+"\x00\x00"+c.Athlete] {
			key += "\x00again" // the same follow-up was asked for twice
		}
		seen[key+"\x00\x00"+c.Athlete] = true
		i, ok := at[key]
		if !ok {
			i, at[key] = len(out), len(out)
			out = append(out, group{to: to})
		}
		out[i].changes = append(out[i].changes, c)
	}
	return out
}

// joint makes one text of sessions, different for different ones.
func joint(sessions []string) string { return strings.Join(sessions, "\x00") }

// followUps are the follow-ups that were meant: the sessions of some change,
// unless they are part of another follow-up and never stand beside it.
func (v Retest) followUps() [][]string {
	var all [][]string
	beside := map[string][]string{} // athlete and measure -> follow-ups, joint
	for _, c := range v.Result.Changes {
		if !slices.ContainsFunc(all, func(f []string) bool { return slices.Equal(f, c.To) }) {
			all = append(all, c.To)
		}
		who := c.Athlete + "\x00" + c.Measure
		beside[who] = append(beside[who], joint(c.To))
	}
	return slices.DeleteFunc(slices.Clone(all), func(f []string) bool {
		return slices.ContainsFunc(all, func(g []string) bool {
			if len(g) <= len(f) || !holds(g, f) {
				return false
			}
			for _, to := range beside {
				if slices.Contains(to, joint(f)) && slices.Contains(to, joint(g)) {
					return false
				}
			}
			return true
		})
	})
}

// fitting lists the follow-ups that the sessions of a change can be of, those
// that it has whole before those it has in part.
func fitting(all [][]string, to []string) [][]string {
	var out [][]string
	for _, f := range all {
		switch {
		case slices.Equal(f, to):
			out = slices.Insert(out, 0, f)
		case holds(f, to):
			out = append(out, f)
		}
	}
	return out
}

func holds(all, some []string) bool {
	return !slices.ContainsFunc(some, func(s string) bool { return !slices.Contains(all, s) })
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
		in := picture.ScatterInput{Association: a, TestLabel: v.label(a.Measure), OutcomeLabel: v.label(v.Result.Outcome), Outcome: v.Result.Outcome,
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
