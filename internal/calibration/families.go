package calibration

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"

	"noisefloor/analysis/association"
	"noisefloor/analysis/score"
)

// Planes compares two planes of two tests each as wholes. The tests of a plane are
// one true score with noise of half its SD, so that they say much the same; the true
// scores correlate by ra and rb with the outcome and by 0.3 with each other.
func Planes(n int, ra, rb float64, studies int) Experiment {
	const noise = 0.5
	dull := math.Sqrt(1 + noise*noise)
	d := Design{N: n, ICC: math.NaN(), Setting: fmt.Sprintf("true scores: r = %g and %g", ra, rb)}
	e := Experiment{Name: d.name("planes"), Studies: studies, Rows: []Row{
		d.row(interval("two planes, difference of mean Fisher z", Approximate),
			math.Atanh(ra/dull)-math.Atanh(rb/dull)),
	}}
	if ra == rb {
		e.Rows = append(e.Rows, d.row(alarm("two planes differ", Approximate), math.NaN()))
	}
	e.Study = func(rng *rand.Rand, m *Marks) error {
		y, a, b := three(rng, n, ra, rb, 0.3)
		in := association.Input{Athletes: numbered(n),
			Outcome: association.Variable{Name: "outcome", Better: score.Higher, Value: y}}
		for k, x := range [][]float64{a, a, b, b} {
			in.Tests = append(in.Tests, association.Variable{Name: "test " + strconv.Itoa(k), Better: score.Higher,
				Plane: []string{"transverse", "sagittal"}[k/2], Value: plus(x, noise, normals(rng, n))})
		}
		r, err := association.Analyse(in, association.Options{})
		if err != nil {
			return err
		}
		m.covers(r.PlaneContrast.Difference)
		if ra == rb {
			p := 0.5 // of a decision by the interval: beyond 0.05 or not
			if r.PlaneContrast.Difference.Excludes(0) {
				p = 0
			}
			m.rejects(p)
		}
		return nil
	}
	return e
}

// AddedValue adds one test, which explains the share added of the outcome's
// variance, to another that explains the share before.
func AddedValue(n int, before, added float64, studies int) Experiment {
	d := Design{N: n, ICC: math.NaN(), Setting: fmt.Sprintf("R² %g before", before)}
	e := Experiment{Name: d.name(fmt.Sprintf("added value %g", added)), Studies: studies, Rows: []Row{
		d.row(interval("added R², noncentral F", Approximate), added),
	}}
	if added == 0 {
		e.Rows = append(e.Rows, d.row(alarm("a block adds, F", Exact), math.NaN()))
	}
	e.Study = func(rng *rand.Rand, m *Marks) error {
		y, a, b := three(rng, n, math.Sqrt(added), math.Sqrt(before), 0)
		s, err := association.Models(association.Input{Athletes: numbered(n),
			Outcome: association.Variable{Name: "outcome", Better: score.Higher, Value: y},
			Tests: []association.Variable{
				{Name: "throw", Plane: "transverse", Better: score.Higher, Value: a},
				{Name: "jump", Plane: "sagittal", Better: score.Higher, Value: b}}},
			association.Options{Blocks: association.BlockTests})
		if err != nil {
			return err
		}
		m.covers(s.Added[1].DeltaR2)
		if added == 0 {
			m.rejects(s.Added[1].P)
		}
		return nil
	}
	return e
}

// InsideAthletes correlates test and outcome inside athletes over k sessions when
// nothing ties them but a block that lifts both, by so many SDs of the scores of one
// athlete, after the first session.
func InsideAthletes(n, k int, lift float64, studies int) Experiment {
	d := Design{N: n, K: k, ICC: math.NaN(), Setting: fmt.Sprintf("a block lifts both by %g SD", lift)}
	return Experiment{Name: d.name("inside athletes"), Studies: studies, Rows: []Row{
		d.row(alarm("r inside athletes, session means out", Exact), math.NaN()),
		d.row(alarm("r inside athletes, session means left in", Contrast), math.NaN()),
		d.row(interval("r inside athletes, session means out, Fisher z", Approximate), 0),
	}, Study: func(rng *rand.Rand, m *Marks) error {
		var x, y []float64
		var athlete, session []int
		for a := range n {
			ax, ay := 3*rng.NormFloat64(), 3*rng.NormFloat64()
			for s := range k {
				up := float64(lift * float64(min(s, 1)))
				x, y = append(x, ax+up+rng.NormFloat64()), append(y, ay+up+rng.NormFloat64())
				athlete, session = append(athlete, a), append(session, s)
			}
		}
		r, err := association.RepeatedOverSessions(x, y, athlete, session, 0)
		if err != nil {
			return err
		}
		m.rejects(r.P)
		m.rejects(r.AthletesOnly.P)
		m.covers(r.Estimate)
		return nil
	}}
}
