package retest

import (
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/score"
)

// The doubts about noise from elsewhere: a published typical error, a file, several.
const (
	// MostlyOwnNoise: of the scores in the sessions Names[0] and Names[1] the shares
	// Numbers[0] and Numbers[1] seem to be in the noise study.
	MostlyOwnNoise caveat.Kind = "mostly-own-noise"
	// ErrorTakenAsExact: nobody said how well the typical error is known; had it come
	// from 8 athletes in 2 sessions, the limits would be Numbers[0] times as wide.
	ErrorTakenAsExact caveat.Kind = "error-taken-as-exact"
	// ErrorGiven: the typical error Numbers[0] on the scale Names[1] was given in place of
	// Numbers[1] on the scale Names[2], of the source Names[0].
	ErrorGiven caveat.Kind = "error-given"
	// NoWorthwhile: nobody said which change matters.
	NoWorthwhile caveat.Kind = "no-worthwhile"
	// StudiesDisagree: the typical errors of the pooled studies Names[1:], Numbers[1:] on
	// the scale Names[0], are not one; Numbers[0] is p.
	StudiesDisagree caveat.Kind = "studies-disagree"
	// LongerGap: the sessions of the noise study lie Numbers[0] days apart, the follow-ups
	// of Names Numbers[1] to Numbers[2] days after their baseline.
	LongerGap caveat.Kind = "longer-gap"
	// LevelsShareNoise: the levels of Names are judged by one noise, since its source
	// does not tell them apart.
	LevelsShareNoise caveat.Kind = "levels-share-noise"
)

// gapTimes and gapMore are how much longer than between the sessions of the noise
// study the time of a change has to be for a word on it: twice, and by a week. Common
// practice, no source.
const (
	gapTimes = 2
	gapMore  = 7
)

// Longer reports whether days are so many more than those between the sessions of
// the noise study that its noise can be too small.
func Longer(study, days float64) bool { return days >= gapTimes*study && days-study >= gapMore }

// TooFar reports whether a typical error cannot be of scores around a median above 0,
// both raw: it is as large as they are, or a ten-thousandth of them. No test is so
// poor or so good; one of the two is in another unit. Common practice, no source.
func TooFar(m noise.Model, median float64) bool {
	te := m.TypicalError
	return median > 0 && m.Scale != score.Log && (te >= median || te < median/10000)
}
