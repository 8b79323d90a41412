package reports

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/reports/field"
	"noisefloor/reports/number"
)

// Noise from elsewhere: its fields, and the words of its doubts.

// knownDF are the degrees of freedom of a noise, NaN when nobody said them.
func knownDF(n noise.Model) float64 {
	if !n.DFKnown() {
		return math.NaN()
	}
	return n.DF
}

func dfWords(n noise.Model) string {
	if !n.DFKnown() {
		return "df not said"
	}
	return number.Plain(n.DF, 0)
}

// withKnownDF takes the degrees of freedom that nobody said out of a change.
func withKnownDF(c retest.Change) retest.Change {
	if c.DF < noise.Exact {
		return c
	}
	c.DF, c.Change.DF, c.Narrow.DF = math.NaN(), 0, 0
	without := func(e *estimate.Estimate) *estimate.Estimate {
		if e == nil {
			return nil
		}
		own := *e
		own.DF = 0
		return &own
	}
	c.Percent, c.Selected, c.Beyond = without(c.Percent), without(c.Selected), without(c.Beyond)
	return c
}

// trialsOf are the attempts behind a score, nil when not known.
func trialsOf(n noise.Model) *float64 {
	if !(n.Trials > 0) {
		return nil
	}
	return &n.Trials
}

func studyFields() field.Set[noise.Study] {
	return field.Set[noise.Study]{
		field.Text("source", func(s noise.Study) string { return s.Source }).Required(),
		field.Number("typical_error", func(s noise.Study) float64 { return s.TypicalError }),
		field.Number("df", func(s noise.Study) float64 { return knownDF(noise.Model{DF: s.DF}) }),
	}
}

func agreementFields() field.Set[noise.Agreement] {
	return field.Set[noise.Agreement]{
		field.Choice("method", []string{"F ratio", "Bartlett"}, func(a noise.Agreement) string { return a.Method }).
			Required(),
		field.Number("statistic", func(a noise.Agreement) float64 { return a.Statistic }),
		field.Number("p", func(a noise.Agreement) float64 { return a.P }),
	}
}

func agreementOf(n noise.Model) (noise.Agreement, bool) {
	if n.Agree == nil {
		return noise.Agreement{}, false
	}
	return *n.Agree, true
}

// elsewhereWords are the words of the doubts about noise from elsewhere.
func elsewhereWords() map[caveat.Kind]sayer {
	return map[caveat.Kind]sayer{
		retest.OwnNoise: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("not judged: session %s and session %s were both in the study that made the noise, so its "+
				"typical error contains the change it would judge. Judge a session outside the study, or take the noise "+
				"from other sessions with no training between them", c.Names[0], c.Names[1])
		},
		retest.MostlyOwnNoise: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("about %s of the scores of session %s and %s of those of session %s seem to be in the study "+
				"that made the noise: if so, its typical error contains the change it judges, and changes are called past "+
				"the noise too rarely. Take the noise from other sessions", number.Percent(c.Numbers[0], 0), c.Names[0],
				number.Percent(c.Numbers[1], 0), c.Names[1])
		},
		retest.ErrorTakenAsExact: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("nobody said how well the typical error is known (df), so it is taken as known exactly. "+
				"If few athletes showed it, the limits are too narrow: had it been 8 athletes in 2 sessions, they would be "+
				"%s times as wide", number.Plain(c.Numbers[0], 1))
		},
		retest.ErrorGiven: errorGivenWords,
		retest.NoWorthwhile: constant("nobody said which change matters, or not all studies say it alike, so " +
			"nothing is said about whether a change does: " +
			"--worthwhile fixed:VALUE (in the unit; in percent where the typical error is), or the dictionary"),
		retest.StudiesDisagree: disagreeWords,
		retest.LongerGap: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("the sessions of the noise study lie %s apart, those judged %s (%s). A study over a short "+
				"time understates the noise over a long one, so too many changes look past the noise", daysWords(c.Numbers[0],
				c.Numbers[0]), daysWords(c.Numbers[1], c.Numbers[2]), sessionWords(c.Names))
		},
		retest.LevelsShareNoise: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("one noise for all levels (%s), since its source does not tell them apart: in a level that "+
				"is noisier than that, chance is called past the noise more often than stated", strings.Join(c.Names, ", "))
		},
	}
}

func daysWords(low, high float64) string {
	if low == high {
		return number.Count(int(math.Round(low)), "day", "days")
	}
	return fmt.Sprintf("%.0f to %.0f days", low, high)
}

// errorWords writes a typical error on its scale.
func errorWords(te float64, scale string, a About, measures []string) string {
	return typicalWords(noise.Model{TypicalError: te, Scale: score.Scale(scale), Unit: a.Units[first(measures)]})
}

func errorGivenWords(c caveat.Caveat, a About) string {
	if len(c.Measures) != 1 {
		return givenGathered([]caveat.Caveat{c})
	}
	return fmt.Sprintf("the typical error given, %s, was taken in place of %s of %s",
		errorWords(c.Numbers[0], c.Names[1], a, c.Measures), errorWords(c.Numbers[1], c.Names[2], a, c.Measures),
		c.Names[0])
}

// givenGathered is of several tests or levels.
func givenGathered(all []caveat.Caveat) string {
	return "the typical error given was taken in place of those of " + all[0].Names[0]
}

func disagreeWords(c caveat.Caveat, a About) string {
	var parts []string
	for i, source := range c.Names[1:min(len(c.Names), len(c.Numbers))] {
		parts = append(parts, errorWords(c.Numbers[1+i], c.Names[0], a, c.Measures)+" in "+source)
	}
	return fmt.Sprintf("the studies put together do not show one typical error (%s; p %s): their mean may be too small for "+
		"some athletes and too large for others. Look what differs between them, or take the study most like yours",
		strings.Join(parts, ", "), number.PValue(c.Numbers[0]))
}

// disagreeGathered is of several tests.
func disagreeGathered(all []caveat.Caveat) string {
	return fmt.Sprintf("the studies put together do not show one typical error (least p %s; of 20 tests that agree, one "+
		"looks so by chance): take the study most like yours", number.PValue(slices.MinFunc(all,
		func(a, b caveat.Caveat) int { return compare(a.Numbers[0], b.Numbers[0]) }).Numbers[0]))
}

func compare(a, b float64) int { return tick(a > b) - tick(a < b) }

// gapWords say how long the noise study and the changes took, where dates are known.
func (v Retest) gapWords() []string {
	var study, judged []float64
	for _, n := range v.Result.Noise {
		if n.GapDays != nil {
			study = append(study, *n.GapDays)
		}
	}
	for _, o := range v.Result.Occasions {
		if o.GapDays != nil {
			judged = append(judged, *o.GapDays)
		}
	}
	var parts []string
	if len(study) > 0 {
		parts = append(parts, "sessions of the noise study lie "+daysWords(slices.Min(study), slices.Max(study))+" apart")
	}
	if len(judged) > 0 {
		parts = append(parts, "follow-ups "+daysWords(slices.Min(judged), slices.Max(judged))+" after their baseline")
	}
	if len(parts) == 0 {
		return nil
	}
	words := strings.Join(parts, ", ") + "."
	return []string{strings.ToUpper(words[:1]) + words[1:]}
}
