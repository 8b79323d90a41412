package calibration

import (
	"math"
	"math/rand/v2"

	"noisefloor/analysis/cell"
	"noisefloor/analysis/varcomp"
)

// Components are the profile intervals of the variance components of n
// athletes, k sessions and three trials. The error of a session's mean has
// variance 1: half of it from day to day, half from trial to trial.
func Components(n, k int, icc float64, studies int) Experiment {
	const trials = 3
	d := Design{N: n, K: k, ICC: icc, Setting: "3 trials"}
	a, day, trial := spread(icc, 1), math.Sqrt(0.5), math.Sqrt(0.5*trials)
	return Experiment{Name: d.name("components"), Studies: studies,
		Rows: []Row{
			d.row(interval("athlete SD, REML profile", Approximate), a),
			d.row(interval("athlete×session SD, REML profile", Approximate), day),
			d.row(interval("trial SD, REML profile", Approximate), trial),
		},
		Study: func(rng *rand.Rand, m *Marks) error {
			data := cell.Values{Athletes: n, Sessions: k}
			for i := range n {
				athlete := level + float64(a*rng.NormFloat64())
				for j := range k {
					session := athlete + float64(day*rng.NormFloat64())
					for range trials {
						data.Athlete = append(data.Athlete, int32(i))
						data.Session = append(data.Session, int32(j))
						data.Value = append(data.Value, session+float64(trial*rng.NormFloat64()))
					}
				}
			}
			r, err := varcomp.Fit(data.Grid(), varcomp.Options{})
			if err != nil {
				return err
			}
			m.covers(r.Athlete.SD)
			m.covers(r.AthleteSession.SD)
			m.covers(r.Trial.SD)
			return nil
		}}
}
