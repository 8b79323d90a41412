package noise

import (
	"fmt"
	"math"
	"strings"

	"noisefloor/analysis/score"
)

// Given is the noise of a measure of which a typical error is all that is known,
// such as one that was published: no mean, no reliability, no components, no
// worthwhile change. In percent it is a coefficient of variation, and on the log
// scale
//
//	TE = ln(1 + percent/100)
//
// the reverse of 100·(exp(TE) - 1), as every typical error on the log scale is shown
// here. df 0 says that nobody knows how well it is known: it is taken as known
// exactly.
func Given(measure, unit string, typicalError float64, percent bool, df float64, source string) Model {
	m := Model{Measure: measure, Unit: unit, Scale: score.Raw, TypicalError: typicalError, DF: df,
		Mean: math.NaN(), TrueSD: math.NaN(), ICC: math.NaN(), ICCK: math.NaN()}
	if percent {
		m.Scale, m.TypicalError = score.Log, math.Log1p(typicalError/100)
	}
	words := []string{"typical error given"}
	if df > 0 {
		words = append(words, fmt.Sprintf("df %g", df))
	} else {
		m.DF = Exact
		words = append(words, "df not said")
	}
	if source != "" {
		words = append(words, source)
	}
	m.Source = strings.Join(words, ", ")
	return m
}
