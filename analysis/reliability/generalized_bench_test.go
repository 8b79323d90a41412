package reliability_test

import (
	"testing"

	"noisefloor/analysis/reliability"
)

// The six forms of a table of 20 athletes by 3 sessions, from their mean squares.
func BenchmarkFromANOVA(b *testing.B) {
	a := squaresOf(20, 3, 9, 4, 1)
	for b.Loop() {
		reliability.FromANOVA(a, 0.95)
	}
}
