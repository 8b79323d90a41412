package decision_test

import (
	"testing"

	"noisefloor/analysis/decision"
	"noisefloor/analysis/varcomp"
)

func BenchmarkStudy(b *testing.B) {
	c := components(b, draw(1, 60, 2, 3, 20, 8, 10), varcomp.Options{})
	for b.Loop() {
		if _, err := decision.Study(c, decision.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
