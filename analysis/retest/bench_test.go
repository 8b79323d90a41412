package retest_test

import (
	"math/rand/v2"
	"testing"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
)

// 5,000 athletes, 16 measures, 2 follow-ups: 160,000 changes, all like the study.
func BenchmarkJudge(b *testing.B) {
	benchmark(b, squads(), retest.Options{Regression: true})
}

// As many, each athlete with attempts of his own: every change by components,
// and read beyond practice as well.
func BenchmarkJudgeComponents(b *testing.B) {
	tests := squads()
	for m := range tests {
		x := &tests[m]
		for i := range x.Scores.Trials {
			x.Scores.Trials[i] = int32(1 + i%7)
		}
		x.Noise.Trials, x.Noise.Components, x.Noise.Athletes = 9, byHand(), 20
		x.Noise.Shifts = []noise.Shift{{From: "1", To: "2", Value: 0.01, SE: 0.01}}
	}
	benchmark(b, tests, retest.Options{Regression: true, Learning: true})
}

func squads() []retest.Test {
	rng := rand.New(rand.NewPCG(1, 1))
	tests := make([]retest.Test, 16)
	for m := range tests {
		v := make([]float64, 5000*4)
		for i := range v {
			v[i] = 50 + rng.NormFloat64()
		}
		tests[m] = retest.Test{Measure: "m", Scores: table(4, v...), Worthwhile: ptr(0.5),
			Baseline: []string{"1", "2"}, FollowUp: [][]string{{"3"}, {"4"}},
			Noise: noise.Model{Scale: score.Log, TypicalError: 0.02, DF: 59, ICC: 0.8, Mean: 3.9}}
	}
	return tests
}

func benchmark(b *testing.B, tests []retest.Test, o retest.Options) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := retest.Judge(tests, o); err != nil {
			b.Fatal(err)
		}
	}
}

// Of 60 athletes, 40 measures, 2 follow-ups: what the others say about each change, and
// without it.
func BenchmarkCohort(b *testing.B) {
	for _, cohort := range []bool{false, true} {
		b.Run(map[bool]string{false: "flat", true: "cohort"}[cohort], func(b *testing.B) {
			rng := rand.New(rand.NewPCG(1, 2))
			tests := make([]retest.Test, 40)
			for m := range tests {
				v := make([]float64, 60*4)
				for i := range v {
					v[i] = 50 + rng.NormFloat64()
				}
				tests[m] = retest.Test{Measure: "m", Scores: table(4, v...), Worthwhile: ptr(0.5),
					Baseline: []string{"1", "2"}, FollowUp: [][]string{{"3"}, {"4"}},
					Noise: noise.Model{Scale: score.Raw, TypicalError: 1, DF: float64(59 - m%7), ICC: 0.8, Mean: 50}}
			}
			benchmark(b, tests, retest.Options{Cohort: cohort})
		})
	}
}
