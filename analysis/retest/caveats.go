package retest

import "noisefloor/analysis/caveat"

// The doubts that judging raises. Each is about the measures it names; what its
// Names and Numbers hold stands beside it.
const (
	// NoErrorSeen: the noise study found no error at all, so every change counts.
	NoErrorSeen caveat.Kind = "no-error-seen"
	// OtherSummary: Names are how the scores judged, and those of the noise study,
	// were made of the attempts.
	OtherSummary caveat.Kind = "other-summary"
	// FewShowNoise: Numbers[0] athletes, Numbers[1] degrees of freedom, show the noise of
	// the group Names[0], "" for all; Numbers[2] athletes would have enough.
	FewShowNoise caveat.Kind = "few-show-noise"
	// PooledLevels: one noise for all, Numbers[0], on the scale that is the last of
	// Names; for each of the levels, the other Names, two Numbers: its own typical error,
	// and the rate of false alarms there.
	PooledLevels caveat.Kind = "pooled-levels"
	// FewToBelieve: the best estimate is missing, and the chances are of each change alone,
	// for Numbers[0] changes to one follow-up in arms of fewer than Numbers[1].
	FewToBelieve caveat.Kind = "few-to-believe"
	// JudgedAlone: the changes of the athletes of Names were judged by themselves.
	JudgedAlone caveat.Kind = "judged-alone"
	// OwnNoiseAlike: nothing says that the athletes differ in noise: that of each is the same.
	OwnNoiseAlike caveat.Kind = "own-noise-alike"
	// UnequalNoise: the athletes of the noise study are not equally noisy, p Numbers[0].
	UnequalNoise caveat.Kind = "unequal-noise"
	// WithoutOwnNoise: Numbers[0] of Numbers[1] athletes have no noise of their own, and are
	// judged by that of all.
	WithoutOwnNoise caveat.Kind = "without-own-noise"
	// NobodyJudged: nobody has both the baseline, the sessions of Names, and a
	// follow-up.
	NobodyJudged caveat.Kind = "nobody-judged"
	// PartBaseline and PartFollowUp: Numbers[0] athletes have only some of the
	// sessions of Names, and are judged by those, with the larger error.
	PartBaseline caveat.Kind = "part-baseline"
	PartFollowUp caveat.Kind = "part-follow-up"

	// NoRegression: the noise model has no reliability and mean.
	NoRegression caveat.Kind = "no-regression"
	// RegressionInOtherUnit: Names are the unit of the noise study and of the scores.
	RegressionInOtherUnit caveat.Kind = "regression-in-other-unit"
	// NegativeICC: Numbers[0], below 0, was taken as 0.
	NegativeICC caveat.Kind = "negative-icc"

	// OwnNoise: not judged, because the sessions Names[0] and Names[1] were both in the
	// study that made the noise.
	OwnNoise caveat.Kind = "own-noise"
	// LooksLikeOwnNoise: the typical error is exactly that of the changes to the
	// sessions of Names.
	LooksLikeOwnNoise caveat.Kind = "looks-like-own-noise"
	// SharedSessions: of the baseline, Names[0], and the follow-up, the other Names,
	// some sessions were in the noise study; false alarms come at the rate Numbers[0],
	// not Numbers[1], for its athletes.
	SharedSessions caveat.Kind = "shared-sessions"

	// ThroughComponents: Numbers[0] of Numbers[1] changes rest on other numbers of
	// attempts than the Numbers[2] behind a score of the noise study; their error is
	// from its variance components.
	ThroughComponents caveat.Kind = "through-components"
	// OtherAttempts: the noise study averaged Numbers[0] attempts for a score; Names
	// are pairs of baseline or follow-up and its sessions, which rest on the numbers
	// after the first, in that order.
	OtherAttempts caveat.Kind = "other-attempts"
	// Why the variance components do not help: they hold for means of attempts; days
	// and attempts could not be told apart; they are hardly known; they do not reach
	// Numbers[0] of the changes.
	ComponentsOfMeans    caveat.Kind = "components-of-means"
	ComponentsMerged     caveat.Kind = "components-merged"
	ComponentsVague      caveat.Kind = "components-vague"
	ComponentsDoNotReach caveat.Kind = "components-do-not-reach"

	// MeanMoved: in the noise study, where nobody trained, the mean changed by
	// Numbers[0] (interval Numbers[1] to Numbers[2]) from session Names[0] to Names[1],
	// on the scale Names[2]: as much may be practice. FromBaseline: Names[0] is in the
	// baseline.
	MeanMoved             caveat.Kind = "mean-moved"
	MeanMovedFromBaseline caveat.Kind = "mean-moved-from-baseline"
	// NoPractice, PracticeWithoutError (from session Names[0] to Names[1]) and
	// PracticeOfUnknownMany: there is no reading beyond practice, because the noise
	// model has no change of the mean, or not how well it is known.
	NoPractice            caveat.Kind = "no-practice"
	PracticeWithoutError  caveat.Kind = "practice-without-error"
	PracticeOfUnknownMany caveat.Kind = "practice-of-unknown-many"
	// PracticeSubtracted: the change of the mean from session Names[0] to Names[1] was
	// taken as one more exposure, and Numbers[0] of them taken off; the further Names may
	// hold more of it.
	PracticeSubtracted caveat.Kind = "practice-subtracted"
	// NotAfterBaseline: no reading beyond practice for the Names after the first,
	// which are not later than the baseline, Names[0].
	NotAfterBaseline caveat.Kind = "not-after-baseline"
)
