package calibration

import (
	"fmt"
	"math"
	"math/rand/v2"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
)

// Practice judges one athlete of a noise study of n athletes and k sessions who gains
// 1.5 errors by practice at every exposure, as all do, and nothing else: the change
// beyond practice, from the mean of the noise sessions, the last of them, and a session
// after them.
func Practice(n, k, studies int) Experiment {
	const gain = 1.5
	d := Design{N: n, K: k, ICC: anyICC}
	e := Experiment{Name: d.name("practice"), Studies: studies}
	promise := Approximate
	if k == 2 {
		promise = Exact
	}
	choices := []baseline{
		{"steady practice, baseline: mean of all noise sessions", numbered(k), fmt.Sprint(k + 1), promise},
		{"steady practice, baseline: the last noise session alone", numbered(k)[k-1:], fmt.Sprint(k + 1), Approximate},
		{"steady practice, baseline: the session after the noise study", numbered(k + 1)[k:], fmt.Sprint(k + 2), promise},
	}
	for _, b := range choices {
		at := d.with(b.setting)
		e.Rows = append(e.Rows, at.row(alarm("change beyond practice past the noise", b.promise), math.NaN()),
			at.row(alarm("change past the noise, practice left in", Contrast), math.NaN()))
	}
	e.Study = func(rng *rand.Rand, m *Marks) error {
		shift := make([]float64, k+2)
		for j := range shift {
			shift[j] = gain * float64(j)
		}
		value := drawField(rng, n, k+2).scores(spread(anyICC, 1), shift)
		study := columns(value, k+2, k)
		model := modelOf(study, n, k)
		for _, b := range choices {
			r, err := retest.Judge([]retest.Test{{Measure: "test", Scores: tableOf(value[:k+2], 1, k+2), Noise: model,
				Baseline: b.sessions, FollowUp: [][]string{{b.followUp}}, Studied: [][]string{numbered(k)}}}, retest.Options{Learning: true})
			if err != nil {
				return err
			}
			m.yes(r.Changes[0].PastAfterLearning)
			m.yes(r.Changes[0].Past())
		}
		return nil
	}
	return e
}

// modelOf is the noise of a complete study with its changes of the mean, without the
// rest of a reliability analysis.
func modelOf(value []float64, n, k int) noise.Model {
	square, df, _ := noise.Covary(value, value, k)
	m := noise.Model{Measure: "test", Scale: score.Raw, TypicalError: math.Sqrt(square), DF: df, Athletes: n,
		Sessions: numbered(k)}
	for j := 1; j < k; j++ {
		d := make([]float64, 0, 2*n)
		for i := range n {
			d = append(d, value[i*k+j-1], value[i*k+j])
		}
		two, _, _ := noise.Covary(d, d, 2) // half the variance of the differences
		mean := 0.0
		for i := range n {
			mean += (d[2*i+1] - d[2*i]) / float64(n)
		}
		m.Shifts = append(m.Shifts, noise.Shift{From: fmt.Sprint(j), To: fmt.Sprint(j + 1), Value: mean,
			SE: math.Sqrt(2 * two / float64(n)), DF: float64(n - 1)})
	}
	return m
}
