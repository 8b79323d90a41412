package reports

import (
	"fmt"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/reports/number"
)

// practiceSayers are the words of the doubts about practice that nobody saw, and about
// the best of several attempts.
func practiceSayers() map[caveat.Kind]sayer {
	return map[caveat.Kind]sayer{retest.PracticeUnseen: unseenWords, retest.BestRises: bestWords}
}

// sized writes a size on the scale of a test, in its unit or in percent.
func (a About) sized(c caveat.Caveat, x float64) string {
	if c.Names[0] == string(score.Log) {
		p := estimate.Percent(x)
		return number.WithUnit(number.Plain(p, percentDecimals(p)), "%")
	}
	return number.WithUnit(number.Plain(x, number.Decimals(x/4)), a.Units[first(c.Measures)])
}

func unseenWords(c caveat.Caveat, a About) string {
	return fmt.Sprintf("the noise study saw no gain by practice with the test, but with %.0f athletes it would have seen "+
		"one (in 8 of 10 such studies) only from %s a session on, which is more than what matters: no warning does not "+
		"mean no practice", c.Numbers[1], a.sized(c, c.Numbers[0]))
}

func unseenGathered(all []caveat.Caveat) string {
	return fmt.Sprintf("no gain by practice was seen in the noise study, but with %s athletes one that matters could "+
		"have been missed",
		between(all, 1, func(x float64) string { return fmt.Sprintf("%.0f", x) }))
}

func bestWords(c caveat.Caveat, a About) string {
	size := "by how much is not known, since the noise does not say how much single attempts scatter"
	if len(c.Numbers) > 4 && c.Numbers[4] > 0 {
		way, rise := "better", c.Numbers[3]
		if rise < 0 {
			way, rise = "worse", -rise
		}
		size = fmt.Sprintf("here the score is about %s %s with no change at all", a.sized(c, rise), way)
	}
	return fmt.Sprintf("of the best attempt %s on %s attempts before and %s after, and the best of more attempts is "+
		"better by itself: %s. Do not read them as change: compare equal numbers, or take the mean of the attempts "+
		"(--score mean)", number.Count(int(c.Numbers[0]), "change rests", "changes rest"), attempts(c.Numbers[1]),
		attempts(c.Numbers[2]), size)
}
