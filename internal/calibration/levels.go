package calibration

import (
	"fmt"
	"math"
	"math/rand/v2"

	"noisefloor/analysis/noise"
)

// The names of the retest decision in a cohort of two levels: by the noise of the own
// level, which the toolkit uses, and by one noise for all.
const (
	byOwnLevel = "change called past the noise, by the own level"
	byOneNoise = "change called past the noise, by one noise for all"
)

// Levels judges one athlete of each of two levels who has not changed: the first of
// steady athletes, errors 1, the second of others, errors ratio, whose scores lie far
// apart. The noise study has two sessions; its athletes are steady and others in
// number.
func Levels(steady, others int, ratio float64, studies int) Experiment {
	d := Design{N: others, K: 2, ICC: anyICC}
	setting := fmt.Sprintf("errors 1 : %g, %d and %d athletes", ratio, steady, others)
	e := Experiment{Name: d.with(setting).name("levels"), Studies: studies}
	for _, level := range []string{"the first level", "the second level"} {
		at := d.with(setting + ", " + level)
		e.Rows = append(e.Rows, at.row(alarm(byOwnLevel, Exact), math.NaN()), at.row(alarm(byOneNoise, Contrast),
			math.NaN()))
	}
	b := baselines(2)[1]
	e.Study = func(rng *rand.Rand, m *Marks) error {
		var all []float64
		var own, one [2][]float64
		for i, n := range []int{steady, others} {
			sd, up := []float64{1, ratio}[i], float64(i)*level/2
			f := drawField(rng, n, 2)
			for j := range f.errors {
				f.errors[j] *= sd
			}
			between := sd * spread(anyICC, 1)
			own[i] = f.scores(between, []float64{up, up})
			all = append(all, own[i]...)
			again := level + up + float64(between*f.athlete[0]) + float64(sd*rng.NormFloat64())
			one[i] = []float64{own[i][0], own[i][1], again}
		}
		pooled, err := noiseOf(all, steady+others, 2)
		if err != nil {
			return err
		}
		for i, n := range []int{steady, others} {
			model, err := noiseOf(own[i], n, 2)
			if err != nil {
				return err
			}
			for _, used := range []noise.Model{model, pooled} {
				c, err := judgeOne(one[i], 3, used, b, 0)
				if err != nil {
					return err
				}
				m.yes(c.Past())
			}
		}
		return nil
	}
	return e
}
