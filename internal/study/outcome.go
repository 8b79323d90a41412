package study

import (
	"noisefloor/analysis/association"
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/reliability"
	"noisefloor/internal/cohort"
)

// An Outcome is the answer to a request.
type Outcome struct {
	Request Request       // resolved
	Table   *cohort.Table // as it was used
	Whole   *cohort.Table // as it was read
	Caveats []caveat.Caveat

	desk *desk // where it was worked out

	// Result is what the question's analysis found: *ReliabilityResult,
	// *retest.Result, *CorrelateResult, or that of a further question.
	Result any
}

// A ReliabilityResult holds every measure, and again each group of it.
type ReliabilityResult struct {
	Measures []MeasureResult
	Failed   []Failed
}

// A MeasureResult is one measure, over all athletes or of one group.
type MeasureResult struct {
	Measure *cohort.Measure
	Group   string // "" for all athletes
	Result  reliability.Result
}

// Failed says why a measure has no result.
type Failed struct {
	Measure, Group string
	Err            error
}

// of names the group in a sentence: " in academy"; "" when there is none.
func (f Failed) of() string {
	if f.Group == "" {
		return ""
	}
	return " in " + f.Group
}

// A CorrelateResult is everything about one outcome.
type CorrelateResult struct {
	Result   association.Result
	Planes   [2]string
	Models   *association.ModelSet
	Repeated []RepeatedResult
	FromTo   [2]string
	Changes  []ChangeResult
}

// A RepeatedResult is the correlation inside athletes of one measure.
type RepeatedResult struct {
	Measure  string
	Repeated association.SessionAdjusted
}

// A ChangeResult is the change of one measure against that of the outcome.
type ChangeResult struct {
	Measure string
	Change  association.ChangeAssociation
}
