package norms_test

import (
	"fmt"
	"log"

	"noisefloor/analysis/norms"
	"noisefloor/analysis/score"
)

func ExampleStand() {
	others := []float64{41.2, 38.5, 44.0, 36.1, 40.3, 39.9, 42.7, 37.4, 45.6, 40.3, 43.1, 35.8} // throws, km/h
	s, err := norms.Stand(41.5, norms.Group{Scores: others, TypicalError: 1.2, DF: 11}, 0.95)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("between the %.0fth and the %.0fth of %d others", 100*s.Band.Lower, 100*s.Band.Upper, s.Athletes)
	// Output: between the 25th and the 96th of 12 others
}

func ExampleKeep() {
	t := norms.Test{Measure: "throw", Unit: "km/h", Scale: score.Raw, Better: score.Higher,
		Noise: map[string]norms.Noise{"": {TypicalError: 1.3, DF: 19}}}
	for i := range 24 {
		t.Athletes, t.Scores = append(t.Athletes, fmt.Sprint(i)), append(t.Scores, 36.13+0.71*float64(i))
	}
	r, err := norms.Analyse(t, norms.Options{})
	if err != nil {
		log.Fatal(err)
	}
	kept, _ := norms.Keep(r.References)
	for _, q := range kept[0].Quantiles {
		fmt.Printf("%.2f: %g km/h\n", q.P, q.Value)
	}
	// Output:
	// 0.25: 40 km/h
	// 0.50: 44 km/h
	// 0.75: 48.8 km/h
}
