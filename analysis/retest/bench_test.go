package retest_test

import (
	"math/rand/v2"
	"testing"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
)

// 5,000 athletes, 16 measures, 2 follow-ups: 160,000 changes.
func BenchmarkJudge(b *testing.B) {
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
	b.ResetTimer()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := retest.Judge(tests, retest.Options{Regression: true}); err != nil {
			b.Fatal(err)
		}
	}
}
