package varcomp

import (
	"math"

	"noisefloor/analysis/score"
)

// FromAttempts returns the data of all attempts at a measure. It shares the
// columns of a, which [Fit] does not modify.
func FromAttempts(a score.Attempts) Data {
	return Data{Athletes: len(a.Athletes), Sessions: len(a.Sessions),
		Athlete: a.Athlete, Session: a.Session, Value: a.Value}
}

// FromTable returns session scores as data, one value per athlete and session;
// missing scores are left out. Fit them with the model [Scores].
func FromTable(t score.Table) Data {
	d := Data{Athletes: len(t.Athletes), Sessions: len(t.Sessions)}
	for at, v := range t.Value {
		if !math.IsNaN(v) {
			d.Athlete = append(d.Athlete, int32(at/d.Sessions))
			d.Session = append(d.Session, int32(at%d.Sessions))
			d.Value = append(d.Value, v)
		}
	}
	return d
}
