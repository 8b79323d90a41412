package study

import (
	"noisefloor/analysis/cell"
	"noisefloor/analysis/score"
	"noisefloor/internal/cohort"
)

// cells walks the attempts of a measure into cells.
func cells(t *cohort.Table, m *cohort.Measure, o cell.Options) *cell.Table {
	out := cell.New(t.Athletes, t.Sessions, o)
	for i, v := range m.Value {
		out.Add(int(m.Athlete[i]), int(m.Session[i]), m.Trial[i], v)
	}
	return out
}

// scores makes the session scores of a measure as the request says.
func (d *desk) scores(t *cohort.Table, m *cohort.Measure) (score.Table, error) {
	return d.scoresBy(t, m, score.Summary(d.request.Score))
}

// scoresBy makes them by a summary of its own: a noise file may hold several.
func (d *desk) scoresBy(t *cohort.Table, m *cohort.Measure, how score.Summary) (score.Table, error) {
	return score.Summarise(cells(t, m, cell.Options{Values: how == score.Median}), how, d.request.better(m.Name))
}
