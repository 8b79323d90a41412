package retest_test

import (
	"fmt"
	"log"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/analysis/varcomp"
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
		fmt.Printf("%s %+.0f cm (%.1f to %.1f): %s\n", c.Athlete, c.Change.Value, c.Change.Lower, c.Change.Upper,
			c.Verdict)
	}
	fmt.Printf("%d changes, %.1f false alarms expected had nobody changed\n", r.Family.Changes,
		r.Family.ExpectedFalseAlarms)
	// Output:
	// C01 +24 cm (11.5 to 36.5): stands out and matters
	// C02 +6 cm (-6.5 to 18.5): inside the noise
	// 2 changes, 0.1 false alarms expected had nobody changed
}

// A follow-up of a single attempt, where the noise study had three, judged by
// its variance components; and less the practice that one more exposure brings.
func ExampleJudge_attempts() {
	r, err := retest.Judge([]retest.Test{{
		Measure: "seated throw", Unit: "cm",
		Scores: score.Table{
			Athletes: []string{"C01"}, Sessions: []string{"before", "after"},
			Value: []float64{412, 436}, Trials: []int32{3, 1},
		},
		Noise: noise.Model{TypicalError: 4, DF: 11, Scale: score.Raw, Trials: 3, Athletes: 12,
			Components: &varcomp.Components{Athlete: 900, AthleteSession: 10, Trial: 18,
				Covariance: [3][3]float64{{150000, -20, 0}, {-20, 48, -4.5}, {0, -4.5, 13.5}}},
			Shifts: []noise.Shift{{From: "1", To: "2", Value: 3, SE: 1.6356}},
		},
		Baseline: []string{"before"}, FollowUp: [][]string{{"after"}},
	}}, retest.Options{Learning: true})
	if err != nil {
		log.Fatal(err)
	}
	c := r.Changes[0]
	fmt.Printf("%+.0f cm (%.1f to %.1f), %s\n", c.Change.Value, c.Change.Lower, c.Change.Upper, c.Verdict)
	fmt.Printf("by the components: %t, %.1f df\n", c.FromComponents, c.DF)
	fmt.Printf("beyond practice %+.0f cm (%.1f to %.1f), past the noise: %t\n", c.AfterLearning.Value,
		c.AfterLearning.Lower, c.AfterLearning.Upper, c.PastAfterLearning)
	// Output:
	// +24 cm (10.2 to 37.8), stands out, may matter
	// by the components: true, 20.2 df
	// beyond practice +21 cm (6.7 to 35.3), past the noise: true
}
