package calibration

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
)

// The worthwhile changes of the verdicts that a change is smaller than that,
// when it is just as large: "shown to be trivially small" needs an interval
// that holds 0 as well, which a narrow range makes possible; either verdict of
// smallness is most frequent when the range is so wide that only its near end
// counts.
const (
	narrowRange = 4
	wideRange   = 12
)

// The names of the retest decision, with the toolkit's factor and with 1.96.
const (
	calledReal       = "change called real"
	calledRealNormal = "change called real, had the factor been 1.96"
)

// anyICC is the ICC of studies whose result does not depend on it.
const anyICC = 0.8

// noiseOf is the noise of a study without practice, by the reliability
// analysis.
func noiseOf(value []float64, n, k int) (noise.Model, error) {
	r, err := reliability.Analyse(tableOf(value, n, k), reliability.Options{Lean: true,
		Worthwhile: reliability.Worthwhile{Basis: reliability.Fixed, Value: wideRange}})
	if err != nil {
		return noise.Model{}, err
	}
	return reliability.Noise(r, "test", "", score.Mean, "simulated"), nil
}

// worthOf is the same with 0.2 of the true SD as the worthwhile change.
func worthOf(value []float64, n, k int) (noise.Model, error) {
	r, err := reliability.Analyse(tableOf(value, n, k), reliability.Options{Replicates: 1})
	if err != nil {
		return noise.Model{}, err
	}
	return reliability.Noise(r, "test", "", score.Mean, "simulated"), nil
}

// A baseline is a choice of sessions to compare with.
type baseline struct {
	setting  string
	sessions []string
	followUp string
	promise  Promise
}

// baselines are those of the noise study of k sessions, and session k+1.
func baselines(k int) []baseline {
	return []baseline{
		{"baseline and follow-up outside the noise study", numbered(k + 1)[k:], fmt.Sprint(k + 2), Exact},
		{"baseline: mean of all noise sessions (the default)", numbered(k), fmt.Sprint(k + 1), Exact},
		{"baseline: the last noise session alone", numbered(k)[k-1:], fmt.Sprint(k + 1), Approximate},
	}
}

// FalseAlarms judges one athlete of a noise study of n athletes and k sessions
// who has not changed, against three baselines: by t, which the toolkit uses,
// and by 1.96, which it does not.
func FalseAlarms(n, k, studies int) Experiment {
	d := Design{N: n, K: k, ICC: anyICC}
	e := Experiment{Name: d.name("retest"), Studies: studies}
	choices := baselines(k)
	for _, b := range choices {
		at := d.with(b.setting)
		e.Rows = append(e.Rows, at.row(alarm(calledReal, b.promise), math.NaN()),
			at.row(alarm(calledRealNormal, Contrast), math.NaN()))
	}
	narrow := Method{Name: "80 % interval of a change", Kind: Coverage, Promise: Exact, Nominal: 0.80}
	claim := func(name string) Method {
		return Method{Name: name, Kind: FalseClaim, Promise: AtMost, Nominal: 0.025}
	}
	e.Rows = append(e.Rows, d.with(choices[0].setting).row(narrow, 0),
		d.with("the true change is the worthwhile one, 4 errors").row(claim("change shown to be trivially small"),
			math.NaN()),
		d.with("the true change is the worthwhile one, 12 errors").row(claim("change trivially small, or real but "+
			"small"), math.NaN()))
	e.Study = func(rng *rand.Rand, m *Marks) error {
		f := drawField(rng, n, k)
		value := f.scores(spread(anyICC, 1), nil)
		model, err := noiseOf(value, n, k)
		if err != nil {
			return err
		}
		one := append(append([]float64(nil), value[:k]...), later(rng, f, 2)...)
		var narrowed retest.Change
		for i, b := range choices {
			c, err := judgeOne(one, k+2, model, b, 0)
			if err != nil {
				return err
			}
			if i == 0 {
				narrowed = c
			}
			m.yes(c.Past())
			m.yes(math.Abs(c.Ratio) > 1.959963984540054)
		}
		m.covers(narrowed.Narrow)
		near, err := judgeOne(one, k+2, model, choices[0], narrowRange)
		if err != nil {
			return err
		}
		far, err := judgeOne(one, k+2, model, choices[0], wideRange)
		if err != nil {
			return err
		}
		m.yes(near.Matters == retest.MattersNo)
		m.yes(far.Matters == retest.MattersNo)
		return nil
	}
	return e
}

// later draws further sessions of the first athlete.
func later(rng *rand.Rand, f field, sessions int) []float64 {
	y := make([]float64, sessions)
	for i := range y {
		y[i] = level + float64(spread(anyICC, 1)*f.athlete[0]) + rng.NormFloat64()
	}
	return y
}

// judgeOne judges the single athlete whose scores are given, who has changed by
// so much at the follow-up; the worthwhile change is the same, or, for an
// athlete who has not changed, none.
func judgeOne(value []float64, sessions int, model noise.Model, b baseline, change float64) (retest.Change, error) {
	value = append([]float64(nil), value...)
	at, err := strconv.Atoi(b.followUp)
	if err != nil {
		return retest.Change{}, err
	}
	value[at-1] += change
	r, err := retest.Judge([]retest.Test{{Measure: "test", Scores: tableOf(value, 1, sessions), Noise: model,
		Baseline: b.sessions, FollowUp: [][]string{{b.followUp}}, Worthwhile: &change}}, retest.Options{})
	if err != nil {
		return retest.Change{}, err
	}
	return r.Changes[0], nil
}
