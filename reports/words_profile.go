package reports

import (
	"fmt"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/profile"
	"noisefloor/reports/number"
)

// profileWords are the words of the doubts of profiles.
func profileWords() map[caveat.Kind]sayer {
	return map[caveat.Kind]sayer{
		profile.RuleDoesNotFit: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("%s of %s lie past the threshold, so the rule does not fit this test there; it is read from the "+
				"group's median, %s %%", number.Percent(c.Numbers[0], 0), groupOrWhole(c.Names[0]), number.Signed(c.Numbers[1], 0))
		},
		profile.ErrorsGuessed: func(caveat.Caveat, About) string {
			return "how the errors of tests go together is not known and counted as nothing: intervals of sides and gains may be " +
				"too wide, of gaps too narrow (noise from sessions or a noise file tells it)"
		},
		profile.NobodySaidDominant: func(c caveat.Caveat, _ About) string {
			return "The dominant side is not known of " + listed(c.Names, 6) + ": the better side stands first there, and a weak " +
				"dominant side cannot be told from a weak other one."
		},
		profile.NoNoiseOf: func(caveat.Caveat, About) string {
			return "no noise is known, so nothing is told beyond the score"
		},
		profile.TooNoisy: func(c caveat.Caveat, _ About) string {
			return "in " + groupOrWhole(c.Names[0]) + " at least three quarters of the spread are noise: not counted in any mean of tests"
		},
		profile.FewForGaps: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("%s has %s: power against quickness is read from 20 on, and the range from strength to speed is not "+
				"called clear.", capitalised(groupOrWhole(c.Names[0])), number.Count(int(c.Numbers[0]), "athlete", "athletes"))
		},
	}
}

func noisyGathered(all []caveat.Caveat) string {
	var names []string
	for _, c := range all {
		names = append(names, groupOrWhole(c.Names[0]))
	}
	return "at least three quarters of the spread are noise in " + strings.Join(distinct(names), ", ") +
		": not counted in any mean of tests there"
}

func misfitGathered(all []caveat.Caveat) string {
	return fmt.Sprintf("so many (%s) lie past a threshold that the rule does not fit; it is read from the group's median",
		between(all, 0, func(x float64) string { return number.Percent(x, 0) }))
}

// Method implements [View].
func (v Profile) Method() []string {
	o := v.Result.Overview
	grades := v.Result.Rules.Grades
	return []string{
		"Own level first, the whole cohort beside it; percentiles count towards better. A place holds the noise of the score and " +
			"the group being a sample (see norms).",
		"Side difference: 100 (D − N)/max(D, N), plus where the dominant side is ahead. Countermovement gain: 100 (with − " +
			"without)/without. Both by Fieller's set (Fieller 1954) with the covariance of the two errors, or by the log-ratio.",
		"Quickness gap: z of the power less z of its quickness in the own level, z = (x − m)/√(s² − TE²); its error has the noise of " +
			"both and the jackknifed reference. A gap that over a quarter of the group truly has says nothing.",
		fmt.Sprintf("Grades: clear where an index lies past its threshold at a one-sided α of %s over the k looked at, or the mean "+
			"of its kind at α (each with half of it where there are several); possible at %s. With all truth ordinary about %s of these %d athletes would be clear and %s possible; "+
			"with every truth a hair inside its threshold %s would be clear.", number.Plain(grades.Clear.Alpha, 3),
			number.Plain(grades.Possible.Alpha, 2), number.Plain(o.ExpectedClear, 1), o.Athletes,
			number.Plain(o.ExpectedPossible, 1), number.Plain(o.WorstClear, 1)),
		"The range from strength to speed, and the planes: what is believed of the true values after the scores, given how far the " +
			"group's own spread; the chance of being the lowest by 4096 fixed points (Laird & Louis 1989). Something always stands " +
			"lowest: that alone is no need.",
		"Load and velocity: generalised least squares with the errors of the noise study; the load at no velocity by Fieller's set.",
		"Thresholds and their words: common practice, no source; a file of your own replaces them (--rules).",
	}
}
