package retest_test

import (
	"fmt"
	"log"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
)

// Two throwers before and after a block of training. The noise study, 12
// athletes twice with no training between, found a typical error of 4 cm.
func ExampleJudge() {
	worthwhile := 5.0
	r, err := retest.Judge([]retest.Test{{
		Measure: "seated throw", Unit: "cm",
		Scores: score.Table{
			Athletes: []string{"C01", "C02"}, Sessions: []string{"before", "after"},
			Value: []float64{412, 436, 455, 461},
		},
		Noise:    noise.Model{TypicalError: 4, DF: 11, Scale: score.Raw},
		Baseline: []string{"before"}, FollowUp: [][]string{{"after"}},
		Worthwhile: &worthwhile,
	}}, retest.Options{})
	if err != nil {
		log.Fatal(err)
	}
	for _, c := range r.Changes {
		fmt.Printf("%s %+.0f cm (%.1f to %.1f): %s\n", c.Athlete, c.Change.Value, c.Change.Lower, c.Change.Upper, c.Verdict)
	}
	fmt.Printf("%d changes, %.1f false alarms expected had nobody changed\n", r.Family.Changes, r.Family.ExpectedFalseAlarms)
	// Output:
	// C01 +24 cm (11.5 to 36.5): real and worthwhile
	// C02 +6 cm (-6.5 to 18.5): not shown: within the noise
	// 2 changes, 0.1 false alarms expected had nobody changed
}
