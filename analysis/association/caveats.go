package association

import (
	"errors"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/linear"
)

// The doubts that correlating raises. What their Measures, Names and Numbers hold
// stands beside each; a reason is an [estimate.Kind].
const (
	// Of the whole table.
	NoOutcome     caveat.Kind = "athletes-without-outcome" // measure: the outcome; numbers: athletes without, of all
	NoLevel       caveat.Kind = "athletes-without-level"   // numbers: athletes without, of those with an outcome
	OneLevel      caveat.Kind = "one-level"                // nothing to compare within levels
	InBothStudies caveat.Kind = "athletes-in-both-studies" // numbers: how many
	NoTestOfPlane caveat.Kind = "no-test-of-plane"         // names: the plane; no planes compared
	// measures: those of which nobody said which way they improve; sizes |r| are compared
	SizesCompared caveat.Kind = "sizes-compared"
	// numbers: differences of two r without a bootstrap interval, athletes that one needs
	NoBCaOfDifferences caveat.Kind = "no-bca-of-differences"

	// Of one test.
	LackTest      caveat.Kind = "athletes-without-test"      // numbers: athletes without, of those with an outcome
	NoCorrelation caveat.Kind = "no-correlation"             // names: the reason; numbers: athletes
	NoPartial     caveat.Kind = "no-partial-correlation"     // names: the reason; numbers: athletes
	LackCovariate caveat.Kind = "athletes-without-covariate" // numbers: athletes without, of all of the test
	NoWithin      caveat.Kind = "no-correlation-in-levels"   // names: the reason; numbers: athletes
	LevelsPart    caveat.Kind = "levels-part"                // numbers: r across levels, r within a level
	// names: the levels with an r; numbers: p of the test that their r are equal, the pooled r, theirs
	NoCommonR caveat.Kind = "no-common-r"

	// Of the correction for unreliability; the first name is the variable.
	NoReliability   caveat.Kind = "no-reliability"       // it is not known
	ReliabilityNone caveat.Kind = "reliability-unusable" // numbers: it, not above 0 or above 1
	BeyondOne       caveat.Kind = "corrected-beyond-one" // names: "within" if within level; numbers: the corrected r
	// of the correction within level: not both have their sessions in the table; no names
	NoReliabilityWithin caveat.Kind = "no-reliability-within-level"
	// numbers: as given, by its sessions, 1 when those are of another study
	ReliabilityDiffers caveat.Kind = "reliability-differs"
	SpreadDiffers      caveat.Kind = "spread-differs" // numbers: SD of the athletes over that of the study's

	// Of two planes compared.
	// measure: the test; names: the reason; numbers: athletes, and how many are needed
	OutOfPlanes caveat.Kind = "left-out-of-planes"
	// measures: those of which nobody said which way they improve; names: the planes
	PlanesNeedDirections caveat.Kind = "planes-need-directions"

	// Of models.
	// names: the reason (or [NoTests]); numbers: athletes, and how many are needed
	NoModels caveat.Kind = "no-models"
	// names: the model, the reason; numbers: athletes, terms, residual df, how many are needed
	NoFigures    caveat.Kind = "no-figures"
	NeitherPlane caveat.Kind = "tests-in-no-model" // measures: the tests of neither plane
	// measure: the test that costs most, if any; numbers: lost, of all, what that test costs
	LackSomething caveat.Kind = "athletes-not-in-models"
	OutOfModels   caveat.Kind = "left-out-of-models"  // measure: the term; names: the reason; numbers: athletes
	TooManyTests  caveat.Kind = "planes-taken-as-one" // numbers: athletes, terms, athletes wanted for each
	FewForTerms   caveat.Kind = "few-for-terms"       // numbers: athletes, terms, athletes wanted for each
	// measure: the test; names: its plane; numbers: r with the mean of the others
	AgainstOthers caveat.Kind = "against-other-tests"
	Alone         caveat.Kind = "alone-in-level" // names: the athlete, the model; no leave-one-out R²
	// measures: the terms, none when it is all together; names: the model; numbers: condition
	NearlyDetermined caveat.Kind = "terms-nearly-determined"

	// Of repeated measures.
	OneScore     caveat.Kind = "athletes-with-one-score" // numbers: they, of all
	TwoQuestions caveat.Kind = "two-questions-mixed"     // numbers: r inside an athlete, r ignoring who is who
	// numbers: r inside an athlete with the session means taken out, and with them left in
	SessionsMoveBoth caveat.Kind = "sessions-move-both"
	// names: the reason; numbers: scores, athletes, sessions
	NoSessionAdjusted caveat.Kind = "sessions-not-taken-out"

	// Of change against change.
	LackScores    caveat.Kind = "athletes-without-four-scores" // numbers: they, of all
	ErrorsUnknown caveat.Kind = "typical-errors-unknown"       // how far noise pulls r towards 0 is not known
	// numbers: reliability of the test's change, of the outcome's
	OnlyNoise     caveat.Kind = "changes-are-noise"
	ChangesBeyond caveat.Kind = "corrected-change-beyond-one" // numbers: the corrected r
	// test and outcome share what their days did to an athlete
	SameDays caveat.Kind = "same-days"
)

// NoTests is the reason that there is no test of either plane.
const NoTests estimate.Kind = "no-tests"

// reasonOf says why there is no number, from the error that says it at length.
func reasonOf(err error) estimate.Kind {
	for _, why := range []struct {
		err  error
		kind estimate.Kind
	}{
		{ErrTooFew, estimate.TooFew}, {ErrRepeats, estimate.TooFew}, {linear.ErrTooFew, estimate.TooFew},
		{ErrConstant, estimate.NoVariation}, {linear.ErrConstant, estimate.NoVariation},
		{ErrCollinear, estimate.Collinear}, {linear.ErrCollinear, estimate.Collinear},
	} {
		if errors.Is(err, why.err) {
			return why.kind
		}
	}
	return estimate.Failed
}
