package study

import (
	"noisefloor/analysis/score"
	"noisefloor/internal/cohort"
)

// attempts hands the columns of a measure over to the analysis.
func attempts(t *cohort.Table, m *cohort.Measure) score.Attempts {
	return score.Attempts{Athletes: t.Athletes, Sessions: t.Sessions, Athlete: m.Athlete, Session: m.Session,
		Trial: m.Trial, Value: m.Value}
}

// scores makes the session scores of a measure as the request says.
func (d *desk) scores(t *cohort.Table, m *cohort.Measure) (score.Table, error) {
	return d.scoresBy(t, m, score.Summary(d.request.Score))
}

// scoresBy makes them by a summary of its own: a noise file may hold several.
func (d *desk) scoresBy(t *cohort.Table, m *cohort.Measure, how score.Summary) (score.Table, error) {
	return score.Summarise(attempts(t, m), how, d.request.better(m.Name))
}
