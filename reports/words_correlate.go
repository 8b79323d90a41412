package reports

import (
	"fmt"
	"math"
	"strings"

	assoc "noisefloor/analysis/association"
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/reports/number"
)

// correlateWords are the words of the doubts that correlating raises.
func correlateWords() map[caveat.Kind]sayer {
	without := func(words string) sayer {
		return func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf(words, fmt.Sprintf("%.0f of %.0f athletes", c.Numbers[0], c.Numbers[1]))
		}
	}
	none := func(words string) sayer {
		return func(c caveat.Caveat, _ About) string { return words + ": " + whyNone(c) }
	}
	of := func(words string) sayer {
		return func(c caveat.Caveat, a About) string { return fmt.Sprintf(words, a.Label(c.Names[0])) }
	}
	return map[caveat.Kind]sayer{
		assoc.NoOutcome: without("%s have no such value and are left out"),
		assoc.NoLevel:   without("%s have no level and are left out within levels only"),
		assoc.OneLevel:  constant("all athletes are of one level: nothing to compare within levels"),
		assoc.InBothStudies: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("athletes in both studies: %.0f, whom the intervals of corrected r treat as "+
				"different people", c.Numbers[0])
		},
		assoc.NoTestOfPlane: func(c caveat.Caveat, _ About) string {
			return "no test of the " + c.Names[0] + " plane: no planes compared"
		},

		assoc.LackTest:      without("%s with an outcome have no value of this test"),
		assoc.NoCorrelation: none("no correlation"),
		assoc.NoPartial:     none("no partial r"),
		assoc.LackCovariate: without("%s lack a covariate and are left out of the partial r"),
		assoc.NoWithin:      none("no r within a level"),
		assoc.LevelsPart: func(c caveat.Caveat, _ About) string {
			return mixingWords(c.Numbers[0], c.Numbers[1], assoc.Mixing(c.Names[0]))
		},

		assoc.SizesCompared: constant("nobody said which way is better (\"better\" in the dictionary, or --lower): pairs " +
			"of tests are compared by the size of r, signs left aside, and nothing is turned"),
		assoc.NoBCaOfDifferences: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("%.0f differences of two r rest on fewer than %.0f athletes and have no bootstrap interval: it "+
				"would miss more often than it says; Zou's stands alone", c.Numbers[0], c.Numbers[1])
		},
		assoc.PlanesNeedDirections: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("nobody said which way is better (\"better\" in the dictionary, or --lower): the %s and %s "+
				"tests are not compared as wholes, where signs would add up or cancel", c.Names[0], c.Names[1])
		},
		assoc.NoCommonR: func(c caveat.Caveat, _ About) string {
			var each []string
			for i, r := range c.Numbers[2:] {
				each = append(each, number.Correlation(r)+" in "+c.Names[i])
			}
			return fmt.Sprintf("the levels do not share one r (%s, on its own): %s; the pooled r within a level, %s, is an "+
				"average of unlike things", number.P(c.Numbers[0]), strings.Join(each, ", "), number.Correlation(c.Numbers[1]))
		},
		assoc.NoReliabilityWithin: constant("no correction within level: it needs sessions of test and outcome in this very " +
			"table"),

		assoc.NoReliability: of("no correction for unreliability: the reliability of %s is not known"),
		assoc.ReliabilityNone: func(c caveat.Caveat, a About) string {
			words := "no correction for unreliability: the reliability of %s is %s, and has to lie above 0 and not above 1"
			if len(c.Names) > 1 {
				words = "no correction within level: the reliability of %s among athletes of one level is %s, and has to " +
					"lie above 0"
			}
			return fmt.Sprintf(words, a.Label(c.Names[0]), number.Correlation(c.Numbers[0]))
		},
		assoc.BeyondOne: func(c caveat.Caveat, _ About) string {
			where := ""
			if len(c.Names) > 0 {
				where = " within level"
			}
			return fmt.Sprintf("corrected r%s = %s lies beyond 1: a reliability is too low, or test and outcome share "+
				"their errors", where, number.Correlation(c.Numbers[0]))
		},
		assoc.ReliabilityDiffers: func(c caveat.Caveat, a About) string {
			where := "here"
			if c.Numbers[2] > 0 {
				where = "in the study"
			}
			return fmt.Sprintf("the reliability of %s is given as %s, its sessions %s give %s: the interval of the "+
				"corrected r rests on the sessions",
				a.Label(c.Names[0]), number.Correlation(c.Numbers[0]), where, number.Correlation(c.Numbers[1]))
		},
		assoc.SpreadDiffers: func(c caveat.Caveat, a About) string {
			return fmt.Sprintf("the athletes here differ in %s %s times as much as those of the study its "+
				"reliability is from:"+
				" the reliability, and so the corrected r, may not carry "+
				"over", a.Label(c.Names[0]), number.Plain(c.Numbers[0], 1))
		},

		assoc.OutOfPlanes: func(c caveat.Caveat, _ About) string {
			if estimate.Kind(c.Names[0]) == estimate.TooFew {
				return fmt.Sprintf("left out of the planes together: %.0f athletes, fewer than %.0f", c.Numbers[0],
					c.Numbers[1])
			}
			return "left out of the planes together: " + whyNone(c)
		},

		assoc.NoModels:     noModelsWords,
		assoc.NoFigures:    noFiguresWords,
		assoc.NeitherPlane: constant("of neither plane, so in no model"),
		assoc.LackSomething: func(c caveat.Caveat, _ About) string {
			words := fmt.Sprintf("%.0f of %.0f athletes lack a test, a covariate or a level: the models rest on "+
				"the other %.0f",
				c.Numbers[0], c.Numbers[1], c.Numbers[1]-c.Numbers[0])
			if len(c.Measures) > 0 {
				words += fmt.Sprintf("; without this test it would be %.0f more", c.Numbers[2])
			}
			return words
		},
		assoc.OutOfModels: func(c caveat.Caveat, _ About) string { return "left out of the models: " + whyNone(c) },
		assoc.TooManyTests: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("%.0f athletes are too few for models of %.0f terms (%.0f for each, common "+
				"practice): the tests of a plane"+
				" are taken as one term, the mean of the standardised tests, better is "+
				"higher", c.Numbers[0], c.Numbers[1], c.Numbers[2])
		},
		assoc.FewForTerms: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("%.0f athletes for models of %.0f terms, fewer than %.0f for each (common "+
				"practice): R² flatters;"+
				" look at the leave-one-out R²", c.Numbers[0], c.Numbers[1], c.Numbers[2])
		},
		assoc.AgainstOthers: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("goes against the other %s tests (r = %s with their mean): is its direction right? "+
				"The mean of the block blurs it",
				c.Names[0], number.Correlation(c.Numbers[0]))
		},
		assoc.Alone: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("athlete %s is alone in a level or has a term to themselves: no leave-one-out R² of "+
				"the model %s", c.Names[0], c.Names[1])
		},
		assoc.NearlyDetermined: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("nearly determined by the other terms of the model %s (condition %.0f): their "+
				"single coefficients cannot be"+
				" told apart; R² and residual SD are not affected", c.Names[0], c.Numbers[0])
		},

		assoc.OneScore: without("%s have one score only and say nothing about r inside an athlete"),
		assoc.TwoQuestions: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("inside an athlete r = %s, ignoring who is who %s: the second mixes two questions, "+
				"do not read it",
				number.Correlation(c.Numbers[0]), number.Correlation(c.Numbers[1]))
		},

		assoc.SessionsMoveBoth: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("the session means of test and outcome both move, and that makes an r of its own: inside an "+
				"athlete %s with them in, %s with them out; read the second", number.Correlation(c.Numbers[1]),
				number.Correlation(c.Numbers[0]))
		},
		assoc.NoSessionAdjusted: func(c caveat.Caveat, _ About) string {
			if estimate.Kind(c.Names[0]) == estimate.TooFew {
				return fmt.Sprintf("%.0f scores of %.0f athletes in %.0f sessions are too few to take the session means out: the "+
					"r with them in stands alone, and a block that lifts both makes it too", c.Numbers[0], c.Numbers[1],
					c.Numbers[2])
			}
			return "nothing varies inside athletes once the session means are out: the r with them in says no more than " +
				"that the sessions differ"
		},

		assoc.LackScores: without("%s lack one of the four scores and are left out"),
		assoc.ErrorsUnknown: constant("each change carries the noise of two scores, which pulls r towards 0: by " +
			"how much is not known without the typical errors of both"),
		assoc.OnlyNoise: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("no correction: the changes vary no more than their noise (reliability of change %s "+
				"for the test, %s for the outcome),"+
				" so r says nothing about real "+
				"changes", number.Correlation(c.Numbers[0]), number.Correlation(c.Numbers[1]))
		},
		assoc.ChangesBeyond: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("corrected r = %s lies beyond 1: the noise given is too large for these changes, or "+
				"test and outcome share their noise",
				number.Correlation(c.Numbers[0]))
		},
		assoc.SameDays: constant("test and outcome measured on the same days share what those days did to an " +
			"athlete: that pushes r up, and no correction here removes it"),
	}
}

// whyWords say why there is no number.
func whyWords(why estimate.Kind) string {
	switch why {
	case estimate.TooFew:
		return "too few athletes"
	case estimate.NoVariation:
		return "test or outcome is the same for every athlete"
	case estimate.Collinear:
		return "it is a combination of the others"
	case estimate.OnALine:
		return "all points on one line"
	case estimate.NoRange:
		return "the numbers leave their range"
	}
	return "it could not be computed"
}

// whyNone says why there is none of what a caveat is about: its first name is
// the reason, its first number the athletes.
func whyNone(c caveat.Caveat) string {
	words := whyWords(estimate.Kind(c.Names[0]))
	if estimate.Kind(c.Names[0]) == estimate.TooFew && len(c.Numbers) > 0 {
		words += fmt.Sprintf(" (%.0f)", c.Numbers[0])
	}
	return words
}

func noModelsWords(c caveat.Caveat, _ About) string {
	switch estimate.Kind(c.Names[0]) {
	case assoc.NoTests:
		return "no models: no test of the planes compared"
	case estimate.TooFew:
		return fmt.Sprintf("no models: %.0f athletes have everything, fewer than %.0f", c.Numbers[0], c.Numbers[1])
	case estimate.NoVariation:
		return "no models: the outcome is the same for every athlete who has everything"
	case assoc.NoDirection:
		return fmt.Sprintf("no models: with %.0f athletes the tests of a plane are taken as one, and nobody said which way "+
			"is better (\"better\" in the dictionary, or --lower)", c.Numbers[0])
	}
	return "no models: " + whyNone(c)
}

func noFiguresWords(c caveat.Caveat, _ About) string {
	words := "no figures for the model " + c.Names[0] + ": "
	if estimate.Kind(c.Names[1]) == estimate.TooFew {
		return words + fmt.Sprintf("%.0f athletes and %.0f terms leave %.0f residual degrees of freedom, fewer "+
			"than %.0f",
			c.Numbers[0], c.Numbers[1], c.Numbers[2], c.Numbers[3])
	}
	return words + whyWords(estimate.Kind(c.Names[1]))
}

// modelReason says why a model has no figures, "" when it has.
func modelReason(m assoc.Model, all []caveat.Caveat) string {
	if m.Reason == "" {
		return ""
	}
	for _, c := range all {
		if c.Kind == assoc.NoFigures && c.Names[0] == m.Name {
			_, words, _ := strings.Cut(noFiguresWords(c, About{}), m.Name+": ")
			return words
		}
	}
	return whyWords(m.Reason)
}

// mixingWords say what the r across levels and that within a level say together.
func mixingWords(across, inside float64, says assoc.Mixing) string {
	words := map[assoc.Mixing]string{
		assoc.MixesNothing:   "mixing the levels makes no clear difference",
		assoc.MixesTurns:     "within a level it goes the other way; do not read the mixed one",
		assoc.MixesMakes:     "the levels, not the test, make most of it",
		assoc.MixesMakesSome: "the levels make part of it",
		assoc.MixesHides:     "mixing the levels hides part of it",
	}
	return fmt.Sprintf("across levels r = %s, within a level %s: %s", number.Correlation(across),
		number.Correlation(inside), words[says])
}

// differWords say that the levels do not share one r, before what follows.
func differWords(w assoc.WithinGroups) string {
	if !w.Differ {
		return ""
	}
	return fmt.Sprintf("the levels do not share one r (%s): read them one by one; ", number.P(w.Homogeneity.P))
}

func withinWords(w assoc.WithinGroups) string {
	if math.IsNaN(w.Value) {
		return "no r within a level: " + whyWords(w.Kind)
	}
	return mixingWords(w.Across, w.Value, w.Says)
}

// levelWords say why there is no r inside one level, "" when there is.
func levelWords(l assoc.GroupR) string {
	if !math.IsNaN(l.Value) {
		return ""
	}
	if l.Kind == estimate.TooFew {
		return fmt.Sprintf("athletes: %d, too few for an r", l.N)
	}
	return fmt.Sprintf("no variation among %d athletes", l.N)
}

// sourceWords say where a reliability is from.
func sourceWords(s assoc.Source) string {
	switch {
	case s.TypicalError > 0:
		return fmt.Sprintf("typical error %.3g", s.TypicalError)
	case s.Given != "":
		return s.Given
	case s.Apart:
		return fmt.Sprintf("%d sessions of another study", s.Sessions)
	case s.Sessions > 0:
		return fmt.Sprintf("ICC(C,%d) of the same table", s.Sessions)
	}
	return "as given"
}

// addedWords say what a block adds, with the numbers; "" when there are none.
func addedWords(s assoc.ModelSet, a assoc.Added) string {
	if math.IsNaN(a.F) {
		return ""
	}
	small, large := s.Models[a.From], s.Models[a.To]
	verdict := "adds to"
	if !(a.P < 1-s.Level) {
		verdict = "is not shown to add to"
	}
	words := fmt.Sprintf("the %s block %s %s: R² %s to %s (F test %s), residual SD %.3g to %s", a.Block, verdict,
		small.Name,
		number.Correlation(small.R2), number.Correlation(large.R2), number.P(a.P),
		small.ResidualSD, residual(large, s.OutcomeUnit))
	if a.DeltaR2LOO <= 0 {
		words += "; it does not help to predict an athlete left out"
	}
	return words
}

// residual is the residual SD of a model, to three digits.
func residual(m assoc.Model, unit string) string {
	return number.WithUnit(fmt.Sprintf("%.3g", m.ResidualSD), unit)
}

// addedAnswer says for a coach what each plane adds to the other.
func (v Correlate) addedAnswer() []string {
	if v.Models == nil {
		return nil
	}
	s := *v.Models
	var out []string
	for _, a := range s.Added {
		small := s.Models[a.From]
		if math.IsNaN(a.F) || len(small.Blocks) < 2 { // added to covariates and levels alone
			continue
		}
		other := small.Blocks[len(small.Blocks)-1]
		words := fmt.Sprintf("the %s tests add to what the %s ones tell about %s", a.Block, other,
			v.label(v.Result.Outcome))
		if !(a.P < 1-s.Level) {
			words = fmt.Sprintf("the %s tests are not shown to add to what the %s ones tell", a.Block, other)
		}
		words += fmt.Sprintf(" (what stays unexplained: %.3g to %s)", small.ResidualSD, residual(s.Models[a.To],
			s.OutcomeUnit))
		if a.DeltaR2LOO <= 0 {
			words += ", and do not help to predict an athlete left out"
		}
		out = append(out, words)
	}
	if len(out) == 0 {
		return nil
	}
	out[0] = capitalised(out[0])
	return []string{strings.Join(out, "; ") + "."}
}

// The words of kinds that many tests raise, for a short list.

func differGathered(all []caveat.Caveat) string {
	return fmt.Sprintf("the levels do not share one r (%s, each on its own): the pooled r within a level is an average of "+
		"unlike things, read the table of levels", between(all, 0, number.P))
}

func moveBothGathered(all []caveat.Caveat) string {
	return fmt.Sprintf("the session means of test and outcome both move, and that makes an r of its own: inside an "+
		"athlete %s with them in, %s with them out; read the second", between(all, 1, number.Correlation),
		between(all, 0, number.Correlation))
}

func twoQuestionsGathered(all []caveat.Caveat) string {
	return fmt.Sprintf("inside an athlete r = %s, ignoring who is who %s: the second mixes two questions, do not read it",
		between(all, 0, number.Correlation), between(all, 1, number.Correlation))
}
