package reports

import (
	"fmt"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/programme"
	"noisefloor/reports/number"
)

// programmeWords are the words of the doubts about programmes.
func programmeWords() map[caveat.Kind]sayer {
	return map[caveat.Kind]sayer{
		programme.LordsParadox: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("adjusted for the score before the difference is %s, of the changes %s: the answer depends on how the "+
				"groups would have moved anyway", number.Signed(c.Numbers[0], 2), number.Signed(c.Numbers[1], 2))
		},
		programme.NotSaidHow: func(caveat.Caveat, About) string {
			return "nobody said how the groups arose, so they are read as groups that were there before"
		},
		programme.PickedByScore: func(c caveat.Caveat, _ About) string {
			if len(c.Numbers) == 0 {
				return "the trained were picked by their score, so part of their change is regression to the mean"
			}
			return "the trained were picked by their score, so without any training they are expected to change by " +
				number.Signed(c.Numbers[0], 2)
		},
		programme.NoControl: func(caveat.Caveat, About) string {
			return "without a control group a change holds whatever the weeks added"
		},
		programme.LostAthletes: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("%.0f of the trained and %.0f of the control lack a score and are left out", c.Numbers[0], c.Numbers[1])
		},
		programme.SmallArm: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("a group has only %.0f athletes: with skewed scores the interval holds about nine in ten", c.Numbers[0])
		},
	}
}
