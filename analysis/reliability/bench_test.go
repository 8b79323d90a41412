package reliability_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"noisefloor/analysis/cell"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
)

// Eight measures together: what one table of a large cohort asks for.
func BenchmarkAnalyseEightMeasures(b *testing.B) {
	for _, size := range []struct{ n, k int }{{60, 4}, {2000, 8}, {40_000, 8}} {
		table := drawn(rand.New(rand.NewPCG(1, 2)), size.n, size.k, 3, 0.2)
		b.Run(fmt.Sprintf("%dx%d", size.n, size.k), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				for range 8 {
					if _, err := reliability.Analyse(table, reliability.Options{}); err != nil {
						b.Fatal(err)
					}
				}
			}
		})
	}
}

// The same with a tenth of the scores missing: REML of every score.
func BenchmarkAnalyseEveryScore(b *testing.B) {
	for _, size := range []struct{ n, k int }{{60, 4}, {2000, 8}, {40_000, 8}} {
		rng := rand.New(rand.NewPCG(1, 3))
		table := drawn(rng, size.n, size.k, 3, 0.2)
		for i := range table.Value {
			if rng.Float64() < 0.1 {
				table.Value[i] = nan
			}
		}
		b.Run(fmt.Sprintf("%dx%d", size.n, size.k), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				for range 8 {
					if _, err := reliability.Analyse(table, reliability.Options{}); err != nil {
						b.Fatal(err)
					}
				}
			}
		})
	}
}

// What components and decision study add: eight measures of 40,000 athletes by
// 2 sessions by 3 attempts, against the same without the attempts.
func BenchmarkComponents(b *testing.B) {
	a := attempts(1, 40_000, 2, 3, 10, 3, 2)
	table, err := score.Summarise(a.Table(cell.Options{}), score.Mean, score.Higher)
	if err != nil {
		b.Fatal(err)
	}
	for name, of := range map[string]*cell.Table{"with": a.Table(cell.Options{}), "without": nil} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				for range 8 {
					if _, err := reliability.Analyse(table, reliability.Options{Attempts: of}); err != nil {
						b.Fatal(err)
					}
				}
			}
		})
	}
}
