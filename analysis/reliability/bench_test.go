package reliability_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"noisefloor/analysis/reliability"
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
