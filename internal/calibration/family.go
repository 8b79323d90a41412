package calibration

import (
	"fmt"
	"math"
	"math/rand/v2"

	"noisefloor/analysis/retest"
)

// Families judges n athletes in several measures at once, each with a noise
// study of its own with two sessions, after sessions in which nobody, every
// second or every eighth athlete has changed by four errors.
func Families(n, studies int) Experiment {
	const measures, k, gain = 4, 2, 4
	d := Design{N: n, K: k, ICC: anyICC}
	e := Experiment{Name: d.name("family"), Studies: studies}
	every := []int{2, 8} // every such athlete has changed
	nobody := d.with(fmt.Sprintf("%d measures, nobody changed", measures))
	e.Rows = []Row{
		nobody.row(alarm("any change real after Holm", AtMost), math.NaN()),
		nobody.row(alarm("any change real after Benjamini-Hochberg", AtMost), math.NaN()),
		nobody.row(alarm("any change real, unadjusted", Contrast), math.NaN()),
	}
	for _, step := range every {
		some := d.with(fmt.Sprintf("%d measures, one athlete in %d changed", measures, step))
		e.Rows = append(e.Rows,
			some.row(Method{"false among real after Benjamini-Hochberg", Discoveries, AtMost, 0.05}, math.NaN()),
			some.row(Method{"false among real, unadjusted", Discoveries, Contrast, 0.05}, math.NaN()))
	}
	e.Study = func(rng *rand.Rand, m *Marks) error {
		tests := make([]retest.Test, measures)
		for i := range tests {
			f := drawField(rng, n, k+2)
			value := f.scores(spread(anyICC, 1), nil)
			model, err := noiseOf(columns(value, k+2, k), n, k)
			if err != nil {
				return err
			}
			tests[i] = retest.Test{Measure: fmt.Sprintf("test %d", i+1), Noise: model,
				Scores: tableOf(value, n, k+2), Baseline: []string{"3"}, FollowUp: [][]string{{"4"}}}
		}
		r, err := retest.Judge(tests, retest.Options{})
		if err != nil {
			return err
		}
		m.yes(anyOf(r.Changes, func(c retest.Change) bool { return c.PHolm <= 0.05 }))
		m.yes(anyOf(r.Changes, func(c retest.Change) bool { return c.Out() }))
		m.yes(anyOf(r.Changes, func(c retest.Change) bool { return c.Past() }))
		for _, step := range every {
			if r, err = retest.Judge(trained(tests, k+2, step, gain), retest.Options{}); err != nil {
				return err
			}
			m.mark(falseShare(r.Changes, n, step, func(c retest.Change) bool { return c.Out() }))
			m.mark(falseShare(r.Changes, n, step, func(c retest.Change) bool { return c.Past() }))
		}
		return nil
	}
	return e
}

// columns keeps the first of so many columns.
func columns(value []float64, all, first int) []float64 {
	var out []float64
	for at := 0; at < len(value); at += all {
		out = append(out, value[at:at+first]...)
	}
	return out
}

// trained adds gain to the last session of every step-th athlete.
func trained(tests []retest.Test, sessions, step int, gain float64) []retest.Test {
	out := append([]retest.Test(nil), tests...)
	for i := range out {
		value := append([]float64(nil), out[i].Scores.Value...)
		for at := sessions - 1; at < len(value); at += step * sessions {
			value[at] += gain
		}
		out[i].Scores.Value = value
	}
	return out
}

func anyOf(changes []retest.Change, called func(retest.Change) bool) bool {
	for _, c := range changes {
		if called(c) {
			return true
		}
	}
	return false
}

// falseShare is the share, among the changes called real, of athletes who did
// not change; 0 when nothing is called.
func falseShare(changes []retest.Change, n, step int, called func(retest.Change) bool) float64 {
	real, wrong := 0, 0
	for i, c := range changes {
		if !called(c) {
			continue
		}
		real++
		if i%n%step != 0 {
			wrong++
		}
	}
	return float64(wrong) / float64(max(1, real))
}
