package calibration

import (
	"math"
	"math/rand/v2"

	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
)

// A claim is a chance as it may be printed, and how often it came true.
type claim struct{ came, all int }

// say counts a chance printed as 85 to 95 %.
func (c *claim) say(p float64, came bool) {
	if p < 0.85 || p > 0.95 {
		return
	}
	c.all++
	if came {
		c.came++
	}
}

// Beliefs judges arms of n athletes, noise from as many and two sessions, whose true
// changes are spread by 0 to 2 errors around a mean of -1 to 1, and then others of whom
// one in three has changed by 3 errors and the others not at all. A change of 0.3 to 1
// errors matters.
func Beliefs(n, studies int) Experiment {
	d := Design{N: n, K: 2, ICC: anyICC}
	e := Experiment{Name: d.name("belief"), Studies: studies}
	even := "true changes spread by 0 to 2 errors"
	for _, at := range []Design{d.with(even), d.with("one athlete in three has changed by 3 errors")} {
		for _, way := range []string{"rise", "fall"} {
			if at.Setting != even && way == "fall" {
				continue // nobody has fallen
			}
			e.Rows = append(e.Rows,
				at.row(Method{"chance of a " + way + " that matters", Claims, Approximate, 0.90}, math.NaN()),
				at.row(Method{"chance of a " + way + " that matters, by this retest alone", Claims, Contrast, 0.90},
					math.NaN()))
		}
		e.Rows = append(e.Rows, at.row(Method{"best estimate of a true change", Coverage, Approximate, 0.95}, math.NaN()))
	}
	e.Study = func(rng *rand.Rand, m *Marks) error {
		mean, spread := 2*rng.Float64()-1, 2*rng.Float64()
		truth := normals(rng, n)
		for i := range truth {
			truth[i] = mean + float64(spread*truth[i])
		}
		if err := believe(rng, m, truth, true); err != nil {
			return err
		}
		for i := range truth {
			truth[i] = 0
			if rng.IntN(3) == 0 {
				truth[i] = 3
			}
		}
		return believe(rng, m, truth, false)
	}
	return e
}

// believe judges athletes with the true changes given.
func believe(rng *rand.Rand, m *Marks, truth []float64, falls bool) error {
	n := len(truth)
	f := drawField(rng, n, 3)
	value := f.scores(spread(anyICC, 1), nil)
	for i, t := range truth {
		value[3*i+2] += t
	}
	model, err := noiseOf(columns(value, 3, 2), n, 2)
	if err != nil {
		return err
	}
	w := 0.3 + float64(0.7*rng.Float64())
	r, err := retest.Judge([]retest.Test{{Measure: "test", Scores: tableOf(value, n, 3), Noise: model,
		Baseline: []string{"1", "2"}, FollowUp: [][]string{{"3"}}, Better: score.Higher, Worthwhile: &w}},
		retest.Options{Cohort: true})
	if err != nil {
		return err
	}
	var rise, fall, riseAlone, fallAlone claim
	for i, c := range r.Changes {
		rise.say(c.Chance.Above, truth[i] > w)
		fall.say(c.Chance.Below, truth[i] < -w)
		riseAlone.say(c.ChanceFlat.Above, truth[i] > w)
		fallAlone.say(c.ChanceFlat.Below, truth[i] < -w)
	}
	claims := []claim{rise, riseAlone}
	if falls {
		claims = append(claims, fall, fallAlone)
	}
	for _, c := range claims {
		m.share(c.came, c.all)
	}
	best := r.Changes[0].Best
	m.between(truth[0], best.Lower, best.Upper)
	return nil
}

// anyWorth is the ICC of tests whose worthwhile change is as large as the error of a
// change, so that its own interval counts: 0.2 of an SD of 20 errors.
const anyWorth = 400.0 / 401

// Worths judges an athlete who has changed by exactly the worthwhile change, 0.2 of the
// true SD, which the noise study of n athletes and two sessions has to find.
func Worths(n, studies int) Experiment {
	d := Design{N: n, K: 2, ICC: anyWorth}
	e := Experiment{Name: d.name("worth"), Studies: studies}
	for _, way := range []string{"matters", "does not matter"} {
		name := "a change that is just worthwhile " + way
		e.Rows = append(e.Rows, d.row(Method{name, FalseClaim, AtMost, 0.025}, math.NaN()),
			d.row(Method{name + ", the worthwhile change taken as known", FalseClaim, Contrast, 0.025}, math.NaN()))
	}
	e.Study = func(rng *rand.Rand, m *Marks) error {
		f := drawField(rng, n, 2)
		value := f.scores(spread(anyWorth, 1), nil)
		model, err := worthOf(value, n, 2)
		if err != nil {
			return err
		}
		one := []float64{value[0], value[1], level + float64(spread(anyWorth, 1)*f.athlete[0]) + rng.NormFloat64() +
			float64(0.2*spread(anyWorth, 1))}
		test := retest.Test{Measure: "test", Scores: tableOf(one, 1, 3), Noise: model, Baseline: []string{"1", "2"},
			FollowUp: [][]string{{"3"}}}
		known := test
		known.Worthwhile = &model.Worthwhile
		var found [2]retest.Matters
		for i, t := range []retest.Test{test, known} {
			r, err := retest.Judge([]retest.Test{t}, retest.Options{})
			if err != nil {
				return err
			}
			found[i] = r.Changes[0].Matters
		}
		for _, answer := range []retest.Matters{retest.MattersYes, retest.MattersNo} {
			for _, f := range found {
				m.yes(f == answer)
			}
		}
		return nil
	}
	return e
}
