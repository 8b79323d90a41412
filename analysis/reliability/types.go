// Package reliability answers how noisy a test is in these hands: intraclass
// correlations, typical error, detectable and worthwhile change, changes of
// the mean between sessions, and agreement of two sessions.
package reliability

import (
	"noisefloor/analysis/agreement"
	"noisefloor/analysis/anova"
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/cell"
	"noisefloor/analysis/decision"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
	"noisefloor/analysis/varcomp"
)

// Options say how to analyse. The zero value is a 95 % level on the raw scale,
// the worthwhile change as 0.2 of the true between-athlete SD, 2000 resamples.
type Options struct {
	Level      float64     // confidence level; 0 means 0.95
	Power      float64     // with which DetectableChange.Seen is seen; 0 means 0.8
	Scale      score.Scale // "" means raw
	Worthwhile Worthwhile
	Pair       [2]string // sessions whose agreement is shown; empty means the last two
	Group      []string  // group of each athlete of the table, "" unknown; nil means no groups
	Missing    Missing   // what to do with athletes that lack a session; "" means AllScores
	// Attempts are the cells of all attempts behind the scores, on Scale, the same
	// athletes and sessions in the same order; with them the variance components and
	// the decision study are made. nil leaves them out, as for scores that are not
	// means of attempts.
	Attempts   *cell.Table
	Bootstrap  bool   // fill ICC.BCa, on complete tables
	Seed       uint64 // of the bootstraps
	Replicates int    // of the bootstraps; 0 means 2000
	// Lean leaves out what costs most and who only wants the noise does not look at: the
	// intervals of the forms A, of AgreementError and of the components, what other
	// numbers of sessions and trials would give, Tails, and Agreement where no Pair is
	// named.
	Lean   bool
	noPair bool
}

// Missing says what to do with athletes that lack a session.
type Missing string

// The ways.
const (
	// REML of athlete and residual uses every score (Patterson & Thompson 1971)
	AllScores     Missing = "all scores"
	CompleteCases Missing = "complete cases" // athletes that lack a session are left out
)

// A Basis says where the smallest worthwhile change comes from.
type Basis string

// The bases.
const (
	TrueSD     Basis = "true-sd"     // a fraction of the between-athlete SD freed of error
	ObservedSD Basis = "observed-sd" // a fraction of the SD of the athletes' means
	Fixed      Basis = "fixed"       // a value in the measure's unit
	Anchored   Basis = "anchored"    // the change that goes with a stated change of the outcome
)

// Worthwhile chooses the smallest worthwhile change.
type Worthwhile struct {
	Basis    Basis   // "" means TrueSD
	Fraction float64 // of the SD; 0 means 0.2
	Value    float64 // Fixed: in the measure's unit (raw scale) or percent (log scale)
	Source   string  // Fixed: who set it; "" means set by the user

	// Anchored: the outcome's value for each athlete of the table (NaN where
	// missing), its name and unit, and the change in it that matters.
	Outcome       []float64
	OutcomeName   string
	OutcomeUnit   string
	OutcomeChange float64
}

// A Result is the reliability of one measure. Everything is on the scale of
// Scale: on the log scale in natural-log units, with the percent companions
// filled (see [estimate.Percent]).
type Result struct {
	Scale    score.Scale
	Level    float64
	Athletes int      // used: those with a score; of complete cases those with every session
	Sessions []string // in order of time
	Complete bool     // every athlete with a score has every session
	LeftOut  []LeftOut
	Trials   float64 // mean number of attempts behind a score that was used
	// grand mean of the complete table; else the mean of the session means by generalised least
	// squares
	Mean float64

	Route Route // how TypicalError, ICC and MeanChanges were made

	SessionMeans []SessionMean
	ANOVA        anova.TwoWay // of the athletes with every session; mean squares NaN where fewer than two have
	ICC          []ICC        // forms 1, k, A,1, A,k, C,1, C,k in this order

	TypicalError        estimate.Estimate // sqrt(MSE), chi-square interval; REML: residual SD, profile limits
	DF                  float64           // of the typical error, (n-1)(k-1); REML: Satterthwaite
	TypicalErrorPercent estimate.Estimate // raw: of the grand mean; log: 100(exp(TE)-1)
	AgreementError      estimate.Estimate // session shift counted as error; generalized interval
	TrueSD              float64           // sqrt(max(0,(MSR-MSE)/k)); REML: SD between athletes
	ObservedSD          float64           // SD of the athletes' means over sessions; REML: expected over all sessions

	DetectableChange DetectableChange
	Worthwhile       WorthwhileChange
	Ratio            float64 // detectable / worthwhile, NaN when there is no worthwhile change
	SeenRatio        float64 // change seen / worthwhile: Sees where it is at most 1

	MeanChanges []MeanChange // consecutive sessions
	SessionTest FTest        // are the session means equal?
	Settling    Settling     // has the test settled?
	// index in Sessions of the first from which every later change lies inside -+ worthwhile; -1
	// not shown
	SettledFrom int

	Components *varcomp.Result  // athlete, athlete×session, trial; nil without Options.Attempts, or with a warning
	Decision   []decision.Row   // what other numbers of sessions and trials would give
	Cheapest   *decision.Answer // fewest sessions and trials that see the worthwhile change with Options.Power

	Growth      Growth         // does the error go with the score?
	ScaleAdvice caveat.Kind    // from Growth, of agreement's kinds or GrowsLess; "" when there is nothing to say
	Equal       EqualNoise     // are all athletes equally noisy?
	OwnNoise    []AthleteNoise // each athlete's own typical error, moderated by the others'
	Tails       *Tails         // are the errors normal? nil without errors

	Agreement *agreement.Result // of Options.Pair; nil when it could not be made
	Groups    []Group
	GroupTest *GroupTest
	Influence *Influence

	Sees   Seeing        // can a single retest of one athlete see the worthwhile change?
	Tells  Telling       // is the test shown to tell athletes apart?
	Design DesignVerdict // what it takes to see the worthwhile change of one athlete

	Caveats []caveat.Caveat
}

// A Route is a way to the numbers.
type Route string

// The routes.
const (
	Complete   Route = "anova-complete"       // analysis of variance of the complete table
	EveryScore Route = "reml-every-score"     // REML of every score: athletes lack a session
	Cases      Route = "anova-complete-cases" // analysis of variance of the athletes with every session, asked for
)

// LeftOut counts athletes that were not used, by the sessions they lack.
type LeftOut struct {
	Without  []string // sessions without a score
	Never    bool     // no score in any session
	Athletes []string
}

// A SessionMean describes the scores of one session that were used. SD is NaN
// for a single score.
type SessionMean struct {
	Session  string
	N        int
	Mean, SD float64
}

// An ICC is one form of the intraclass correlation.
type ICC struct {
	BCa          *estimate.Estimate // athletes resampled (Efron 1987); nil unless asked for, and on incomplete tables
	Form         string             // "1", "k", "A,1", "A,k", "C,1", "C,k" (McGraw & Wong 1996)
	ShroutFleiss string             // "2,1"; "2,k" for the mean of k sessions
	Value        estimate.Estimate  // a negative estimate stays negative
	// Satterthwaite has the limits by Satterthwaite's F (McGraw & Wong 1996), for
	// whoever reproduces a published table; nil but in the forms A. Where sessions
	// differ they overstate the reliability.
	Satterthwaite *estimate.Estimate
	// of the test of zero; F is +Inf when there is no residual, NaN when there is no variation at
	// all
	F, DF1, DF2 float64
	P           float64 // of that test, one-sided; NaN with F
}

// A DetectableChange is the smallest change of one athlete that is more than
// noise, t(1-alpha/2, df) sqrt(2) TE.
type DetectableChange struct {
	Level        float64 // 0.95
	Value        float64
	Lower, Upper float64 // as far as the interval of the typical error carries it; NaN without one
	LargeSample  float64 // the same with 1.96 in place of t
	// On the log scale, the change in percent up and down; NaN on the raw scale.
	// The change down is negative.
	PercentUp, PercentDown float64

	Power float64 // 0.8
	// Seen is the true change that a retest calls more than noise with that power
	// ([decision.Seen] √2 TE), with the interval that the typical error has.
	Seen    estimate.Estimate
	Power80 float64 // the same with a power of 0.8
}

// A WorthwhileChange is the smallest change that matters. Its value is NaN when
// there is none (Kind says why), 0 when the athletes' true differences are
// estimated as none.
type WorthwhileChange struct {
	estimate.Estimate
	Basis    Basis
	Fraction float64 // of the SD; 0 for the other bases
	Source   string  // Fixed: who set it, "" the user

	// Anchored: the outcome, the change in it, and the athletes that have it.
	OutcomeName     string
	OutcomeUnit     string
	OutcomeChange   float64
	OutcomeAthletes int

	// On the log scale, in percent up and down; NaN on the raw scale.
	PercentUp, PercentDown float64
}

// A MeanChange is the change of the mean between two sessions.
type MeanChange struct {
	From, To     string
	N            int                // athletes with both; by REML the change rests on every score all the same
	Change       estimate.Estimate  // Student t interval on the paired differences; REML: generalised least squares
	DF           float64            // of Change's Student t
	P            float64            // of no change, two-sided; NaN when every athlete changed alike
	TypicalError estimate.Estimate  // of this pair alone: SD of differences / sqrt(2)
	Percent      *estimate.Estimate // log scale only
}

// An FTest is a test with its degrees of freedom. With no residual F is +Inf
// and P 0, or F and P are NaN when there is nothing to test either.
type FTest struct{ F, DF1, DF2, P float64 }

// A Group is the reliability of the athletes of one group.
type Group struct {
	Name                string
	Athletes            int
	TypicalError        estimate.Estimate
	DF                  float64
	TypicalErrorPercent estimate.Estimate
	ICC                 estimate.Estimate // C,1
	Mean                float64
	Repeated            int           // of the athletes, with two sessions or more
	Why                 estimate.Kind // why there is no estimate, "" when there is
}

// A GroupTest asks whether the groups have the same typical error, and whether
// the pooled ICC owes its height to the differences between the groups.
type GroupTest struct {
	Verdict              Equality          // of the typical errors
	Why                  estimate.Kind     // why there is no test, "" when there is
	Method               TestMethod        // "" when there is no test
	Approximate          bool              // scores are missing
	Statistic, P         float64           // NaN when the test could not be made
	DF1, DF2             float64           // of the F
	Normal               VarianceTest      // the test that holds for normal errors alone, for comparison
	PooledICC, WithinICC float64           // C,1 over all athletes; C,1 with group means removed
	Within               estimate.Estimate // WithinICC with its exact F interval
	LiftedByGroups       bool              // PooledICC is above the interval of Within, or more than 0.1 above it
}

// A TestMethod is a test of equal variances.
type TestMethod string

// The tests.
const (
	BrownForsythe TestMethod = "brown-forsythe" // of absolute distances from medians (Brown & Forsythe 1974)
	FRatio        TestMethod = "f-ratio"        // of two variances, two-sided
	Bartlett      TestMethod = "bartlett"       // of more (Bartlett 1937)
)

// A VarianceTest is one of the tests that take the errors for normal.
type VarianceTest struct {
	Method       TestMethod
	Statistic, P float64
}

// Influence names the athletes whose removal moves the results most.
type Influence struct {
	TypicalErrorAthlete string
	TypicalErrorWithout float64
	ICCAthlete          string
	ICCWithout          float64 // C,1
	By                  InfluenceBy
	Athletes            int     // left out in turn
	OfTypicalError      float64 // with all of them; on Scale
	OfICC               float64
}

// An InfluenceBy says how the athletes that weigh most were found.
type InfluenceBy string

// The ways.
const (
	ByEach       InfluenceBy = "each"           // each in turn
	ByStandouts  InfluenceBy = "standing-out"   // those that stand out, every score of the others used (REML)
	ByCompletely InfluenceBy = "complete-cases" // the athletes with every session alone
)
