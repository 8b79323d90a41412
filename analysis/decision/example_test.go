package decision_test

import (
	"fmt"
	"log"

	"noisefloor/analysis/decision"
	"noisefloor/analysis/varcomp"
)

// Rotational throw, W: components of a study, taken as known.
var throw = varcomp.Components{Athlete: 5850, AthleteSession: 225, Trial: 576}

func ExampleStudy() {
	rows, err := decision.Study(throw, decision.Options{Sessions: 2, Trials: 3})
	if err != nil {
		log.Fatal(err)
	}
	for _, r := range rows {
		fmt.Printf("%d × %d: typical error %.1f W, reliability %.3f\n", r.Sessions, r.Trials, r.TypicalError.Value,
			r.Reliability.Value)
	}
	// Output:
	// 1 × 1: typical error 28.3 W, reliability 0.880
	// 1 × 2: typical error 22.6 W, reliability 0.919
	// 1 × 3: typical error 20.4 W, reliability 0.933
	// 2 × 1: typical error 20.0 W, reliability 0.936
	// 2 × 2: typical error 16.0 W, reliability 0.958
	// 2 × 3: typical error 14.4 W, reliability 0.966
}

func ExampleCheapest() {
	a, err := decision.Cheapest(throw, decision.Target{Goal: decision.TypicalError, Value: 10},
		decision.Options{Sessions: 2})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("never: %t; at best %.1f W\n", a.Never, a.Limit)
	// Output:
	// never: true; at best 10.6 W
}
