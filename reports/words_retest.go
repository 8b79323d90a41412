package reports

import (
	"fmt"
	"math"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/reports/number"
)

// retestWords are the words of the doubts that judging raises.
func retestWords() map[caveat.Kind]sayer {
	return map[caveat.Kind]sayer{
		retest.NoErrorSeen: constant("the noise study found no error at all, so every change counts. Look whether " +
			"values were rounded or entered twice"),
		retest.OtherSummary: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("the scores judged are the %s of the attempts, those of the noise study the %s: the "+
				"typical error may not fit; make both in the same way", c.Names[0], c.Names[1])
		},
		retest.FewShowNoise: fewShowWords, retest.PooledLevels: pooledWords,
		retest.FewToBelieve: func(c caveat.Caveat, _ About) string { return fewToBelieveWords([]caveat.Caveat{c}) },
		retest.JudgedAlone: func(c caveat.Caveat, _ About) string {
			return "asked for by name, one test of " + listed(c.Names, 3) + " is judged by itself. If it was picked because " +
				"it looked best, leave --measure out: that allows for all that were looked at"
		},
		retest.OwnNoiseAlike: constant("nothing says that some athletes are noisier than others, so --own-noise changes " +
			"nothing here"),
		retest.UnequalNoise: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("some athletes are noisier than others (p %s): one typical error for all is too small for "+
				"them and too large for the steady; --own-noise judges each by their own, which makes it less wrong", number.PValue(c.Numbers[0]))
		},
		retest.WithoutOwnNoise: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("%.0f of %.0f athletes have no noise of their own (less than two sessions in the noise "+
				"study) and are judged by that of all", c.Numbers[0], c.Numbers[1])
		},
		retest.NobodyJudged: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("nobody has both a baseline (%s) and a follow-up, so there is no change to judge",
				sessionWords(c.Names))
		},
		retest.PartBaseline: partly("baseline"),
		retest.PartFollowUp: partly("follow-up"),

		retest.NoRegression: constant("regression to the mean is left out: the noise has no reliability and mean"),
		retest.RegressionInOtherUnit: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("regression to the mean is left out: the noise study is in %s, the scores in %s",
				c.Names[0], c.Names[1])
		},
		retest.NegativeICC: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("the reliability in the noise study is %s; regression to the mean takes it as 0",
				number.Correlation(c.Numbers[0]))
		},
		retest.LooksLikeOwnNoise: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("the typical error is exactly that of the changes to %s that it judges: if those "+
				"sessions were the noise study, take the noise from others", sessionWords(c.Names))
		},
		retest.SharedSessions: sharedWords,

		retest.ThroughComponents: throughWords,
		retest.OtherAttempts:     otherAttemptsWords,
		retest.ComponentsOfMeans: constant("the study's variance components hold for means of attempts " +
			"and do not help"),
		retest.ComponentsMerged: constant("the study could not tell days from attempts, so its variance " +
			"components do not help"),
		retest.ComponentsVague: constant("the study's variance components are not known well enough to " +
			"help"),
		retest.ComponentsDoNotReach: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("the study's variance components do not help with %s (attempts not counted, or "+
				"components hardly known)", number.Count(int(c.Numbers[0]), "change", "changes"))
		},

		retest.MeanMoved:             movedWords(""),
		retest.MeanMovedFromBaseline: movedWords(fromBaseline),
		retest.NoPractice: constant("the reading beyond practice is left out: the noise has no change " +
			"of the mean between sessions"),
		retest.PracticeWithoutError: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("the reading beyond practice is left out: the change of the mean from session %s to "+
				"%s of the noise study has no standard error", c.Names[0], c.Names[1])
		},
		retest.PracticeOfUnknownMany: constant("the reading beyond practice is left out: the noise does not say " +
			"how many athletes were studied"),
		retest.PracticeSubtracted: practiceWords,
		retest.NotAfterBaseline: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("the reading beyond practice is left out for %s: not later than the baseline "+
				"(session %s)", sessionWords(c.Names[1:]), c.Names[0])
		},
	}
}

func fewShowWords(c caveat.Caveat, _ About) string {
	in := ""
	if c.Names[0] != "" {
		in = " of " + c.Names[0]
	}
	return fmt.Sprintf("only %.0f athletes%s show the noise, so changes must be large to be told apart; %.0f athletes "+
		"in the noise study would narrow the limits", c.Numbers[0], in, c.Numbers[2])
}

// pooledWords say what one noise for all does in each level.
func pooledWords(c caveat.Caveat, a About) string {
	levels, scale := c.Names[:len(c.Names)-1], c.Names[len(c.Names)-1]
	var parts []string
	for i, l := range levels[:min(len(levels), (len(c.Numbers)-1)/2)] {
		te, rate := c.Numbers[1+2*i], c.Numbers[2+2*i]
		words := number.WithUnit(number.Plain(te, number.Decimals(te)), a.Units[first(c.Measures)])
		if scale == string(score.Log) {
			words = percent(estimate.Percent(te))
		}
		parts = append(parts, fmt.Sprintf("%s %s, %s", l, words, number.Percent(rate, 0)))
	}
	return "one noise for all levels: the own typical error of each, and how often chance alone is called past the " +
		"noise there: " + strings.Join(parts, "; ")
}

func pooledGathered(all []caveat.Caveat) string {
	low, high := 1.0, 0.0
	for _, c := range all {
		for i := 2; i < len(c.Numbers); i += 2 {
			low, high = min(low, c.Numbers[i]), max(high, c.Numbers[i])
		}
	}
	return fmt.Sprintf("one noise for all levels: chance alone is called past the noise in %s to %s of changes, by level "+
		"and test; without --by none each level is judged by its own", number.Percent(low, 0), number.Percent(high, 0))
}

func first(names []string) string {
	if len(names) == 0 {
		return ""
	}
	return names[0]
}

// fewGathered is of several tests or levels.
func fewGathered(all []caveat.Caveat) string {
	whole := func(x float64) string { return fmt.Sprintf("%.0f", x) }
	return fmt.Sprintf("only %s athletes show the noise, so changes must be large to be told apart; %s athletes of a "+
		"level in the noise study would narrow the limits", between(all, 0, whole), between(all, 2, whole))
}

// constant says the same whatever the caveat holds.
func constant(text string) sayer { return func(caveat.Caveat, About) string { return text } }

func partly(what string) sayer {
	return func(c caveat.Caveat, _ About) string {
		return fmt.Sprintf("%s only some of the %s (%s) and %s judged by those, with the larger error",
			number.Count(int(c.Numbers[0]), "athlete has", "athletes "+
				"have"), what, sessionWords(c.Names), isAre(int(c.Numbers[0])))
	}
}

func fewToBelieveWords(all []caveat.Caveat) string {
	return fmt.Sprintf("%s of athletes with fewer than %.0f who trained alike: no best estimate, and any chance of a "+
		"true change rests on the retest alone, which is too sure", number.Count(int(total(all, 0)), "change", "changes"),
		all[0].Numbers[1])
}

func partlyGathered(what string) gatherer {
	return func(all []caveat.Caveat) string {
		n := between(all, 0, func(x float64) string { return fmt.Sprintf("%.0f", x) })
		return fmt.Sprintf("%s athletes a test have only some of the %s (%s) and are judged by those, with the "+
			"larger error",
			n, what, sessionWords(all[0].Names))
	}
}

func isAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

func sharedWords(c caveat.Caveat, _ About) string {
	than := "rarer"
	if c.Numbers[0] > c.Numbers[1] {
		than = "more frequent"
	}
	return fmt.Sprintf("some of the sessions judged (%s against session %s) were in the noise study, so for its "+
		"athletes a false alarm is %s than stated (%s, not %s). "+
		"With the mean of all sessions of the study as the baseline the rate is the stated one",
		sessionWords(c.Names[1:]), c.Names[0], than, number.Percent(c.Numbers[0], 1), number.Percent(c.Numbers[1], 1))
}

func throughWords(c caveat.Caveat, _ About) string { return throughGathered([]caveat.Caveat{c}) }

func throughGathered(all []caveat.Caveat) string {
	return fmt.Sprintf("%.0f of %.0f changes rest on more or fewer attempts than a score of the noise study (%s);"+
		" their error is from its variance components",
		total(all, 0), total(all, 1), between(all, 2, attempts))
}

// attempts writes 3 attempts as 3, 2.67 as 2.7 and 2.99 as "almost 3".
func attempts(x float64) string {
	whole := math.Round(x)
	switch {
	case x == whole || math.Abs(x-whole) >= 0.05:
		return number.Plain(x, attemptDecimals(x))
	case x < whole:
		return "almost " + number.Plain(whole, 0)
	}
	return "just over " + number.Plain(whole, 0)
}

// attemptDecimals shows 3 attempts as 3, and 2.67 as 2.7.
func attemptDecimals(x float64) int {
	if x == math.Trunc(x) {
		return 0
	}
	return 1
}

func otherAttemptsWords(c caveat.Caveat, _ About) string {
	study := c.Numbers[0]
	var off []string
	fewer, more := false, false
	for i, x := range c.Numbers[1:] {
		fewer, more = fewer || x < study, more || x > study
		off = append(off, fmt.Sprintf("%s in the %s, session %s", attempts(x), c.Names[2*i], c.Names[2*i+1]))
	}
	effect := "the true error is smaller than stated, so changes can be missed"
	switch {
	case fewer && more:
		effect = "the true error is not the one stated"
	case fewer:
		effect = "the true error is larger than stated, so too many changes look past the noise"
	}
	return fmt.Sprintf("the noise study averaged %s attempts for a score, the scores judged rest on others (%s): "+
		"%s. Compare like with like",
		attempts(study), strings.Join(off, "; "), effect)
}

const fromBaseline = ". A baseline of later sessions alone is safer"

// movedGathered is of tests that have each their own unit.
func movedGathered(more string) gatherer {
	return func([]caveat.Caveat) string {
		return "in the noise study, with no training, the mean moved: as much of a change may be practice with the " +
			"test or the day (effort, fatigue, equipment), not training" + more
	}
}

func movedWords(more string) sayer {
	return func(c caveat.Caveat, a About) string {
		e := estimate.Estimate{Value: c.Numbers[0], Lower: c.Numbers[1], Upper: c.Numbers[2]}
		unit := ""
		if len(c.Measures) == 1 {
			unit = a.Units[c.Measures[0]]
		}
		words := number.WithUnit(number.SignedEstimate(e, number.Decimals((e.Upper-e.Lower)/4)), unit)
		if c.Names[2] == string(score.Log) {
			p := e.Map(estimate.Percent)
			words = number.WithUnit(number.SignedEstimate(p, percentDecimals(p.Value)), "%")
		}
		why := "practice with the test or the day (effort, fatigue, equipment)"
		if len(c.Measures) == 1 {
			switch better := a.Better[c.Measures[0]]; {
			case better == score.Unknown:
			case (better == score.Higher) == (e.Value > 0):
				why = "practice with the test"
			default:
				why = "the day (effort, fatigue, equipment), since practice makes no test worse"
			}
		}
		return fmt.Sprintf("in the noise study, with no training, the mean changed by %s from session %s to %s: as "+
			"much of a change may be %s, not training%s",
			words, c.Names[0], c.Names[1], why, more)
	}
}

func practiceWords(c caveat.Caveat, _ About) string {
	more := ""
	if far := c.Names[2:]; len(far) > 0 {
		more = ". " + capitalised(sessionWords(far)) + " may hold more practice, being more than one exposure " +
			"after the baseline"
	}
	much := "subtracted"
	if steps := c.Numbers[0]; steps != 1 {
		much = fmt.Sprintf("%s of them, from the middle of the baseline to the session after it, are subtracted",
			number.Plain(steps, attemptDecimals(steps)))
	}
	return fmt.Sprintf("the change of the mean from session %s to %s, the last of the noise study, is taken as the "+
		"practice of one more exposure and %s in the reading beyond practice; the verdicts are on the "+
		"change itself%s", c.Names[0], c.Names[1], much, more)
}

func capitalised(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
