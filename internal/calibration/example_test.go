package calibration_test

import (
	"fmt"
	"log"

	"noisefloor/internal/calibration"
)

// How often is an athlete who has not changed called changed, when the noise
// study had 8 athletes and 2 sessions?
func ExampleRun() {
	t, err := calibration.Run([]calibration.Experiment{calibration.FalseAlarms(8, 2, 2000)}, 4)
	if err != nil {
		log.Fatal(err)
	}
	for _, r := range t.Rows[:2] {
		fmt.Printf("%s: %.0f %%\n", r.Name, 100*r.Rate())
	}
	// Output:
	// change called real: 5 %
	// change called real, had the factor been 1.96: 9 %
}
