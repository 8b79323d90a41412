package calibration

import (
	"math"
	"math/rand/v2"

	"noisefloor/analysis/reliability"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
)

// OwnNoise judges athletes who have not changed, after a noise study of n athletes and
// four sessions, by the typical error of all and by each athlete's own, where all are
// equally noisy and where one in four is twice as noisy as the others.
func OwnNoise(n, studies int) Experiment {
	const k = 4
	d := Design{N: n, K: k, ICC: anyICC}
	e := Experiment{Name: d.name("own noise"), Studies: studies}
	settings := []string{"all equally noisy", "one athlete in four twice as noisy: the noisy",
		"one athlete in four twice as noisy: the others"}
	for _, s := range settings {
		e.Rows = append(e.Rows, d.with(s).row(alarm("change called past the noise, by the athlete's own", Approximate),
			math.NaN()), d.with(s).row(alarm("change called past the noise, by the noise of all", Contrast), math.NaN()))
	}
	e.Study = func(rng *rand.Rand, m *Marks) error {
		for _, ratio := range []float64{1, 2} {
			f := drawField(rng, n, k+1)
			for i := range f.errors {
				if i/(k+1)%4 == 0 {
					f.errors[i] *= ratio
				}
			}
			value := f.scores(spread(anyICC, 1), nil)
			own, all, err := judgeOwn(value, n, k)
			if err != nil {
				return err
			}
			m.yes(own[0].Past())
			m.yes(all[0].Past())
			if ratio > 1 {
				m.yes(own[1].Past())
				m.yes(all[1].Past())
			}
		}
		return nil
	}
	return e
}

// judgeOwn judges the last of k+1 sessions against the mean of the others.
func judgeOwn(value []float64, n, k int) (own, all []retest.Change, err error) {
	study, err := reliability.Analyse(tableOf(columns(value, k+1, k), n, k), reliability.Options{Lean: true,
		Worthwhile: reliability.Worthwhile{Basis: reliability.Fixed, Value: wideRange}})
	if err != nil {
		return nil, nil, err
	}
	test := retest.Test{Measure: "test", Scores: tableOf(value, n, k+1),
		Noise:    reliability.Noise(study, "test", "", score.Mean, "simulated"),
		Baseline: numbered(k), FollowUp: [][]string{numbered(k + 1)[k:]}, Studied: [][]string{numbered(k)}}
	var found [2]retest.Result
	for i := range found {
		if found[i], err = retest.Judge([]retest.Test{test}, retest.Options{Own: i == 0}); err != nil {
			return nil, nil, err
		}
	}
	return found[0].Changes, found[1].Changes, nil
}
