package association_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"noisefloor/analysis/association"
	"noisefloor/analysis/score"
)

// large is 18 tests over two planes, two sessions each, four levels, two
// covariates.
func large(athletes int) association.Input {
	rng := rand.New(rand.NewPCG(8, 8))
	in := association.Input{Outcome: association.Variable{Name: "speed", Better: score.Higher}}
	skill := make([]float64, athletes)
	for i := range skill {
		skill[i] = rng.NormFloat64()
		in.Athletes = append(in.Athletes, fmt.Sprintf("P%d", i))
		in.Group = append(in.Group, string(rune('A'+i%4)))
	}
	measure := func(share float64) []float64 {
		v := make([]float64, athletes)
		for i, s := range skill {
			v[i] = 100 + 10*(share*s+math.Sqrt(1-share*share)*rng.NormFloat64())
		}
		return v
	}
	noisy(rng, &in.Outcome, measure(0.9), 3)
	for i := range 18 {
		v := association.Variable{Name: fmt.Sprintf("test %d", i+1), Plane: []string{"transverse", "sagittal"}[i%2],
			Better: score.Higher}
		noisy(rng, &v, measure(0.5), 4)
		in.Tests = append(in.Tests, v)
	}
	for _, name := range []string{"mass", "age"} {
		in.Covariates = append(in.Covariates, association.Variable{Name: name, Value: measure(0.3)})
	}
	return in
}

func BenchmarkAnalyse(b *testing.B) {
	for _, athletes := range []int{60, 5000} {
		in := large(athletes)
		b.Run(fmt.Sprintf("tests=18/athletes=%d/replicates=2000", athletes), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := association.Analyse(in, association.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
