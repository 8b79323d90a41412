package agreement

import "noisefloor/analysis/caveat"

// The caveats of a comparison. Names are the two sessions.
const (
	PairsLeftOut     caveat.Kind = "pairs-left-out"     // numbers: athletes without both scores, athletes in all
	AllAlike         caveat.Kind = "all-changed-alike"  // every difference is the same: the limits have no width
	ProportionalBias caveat.Kind = "proportional-bias"  // the difference itself changes with the value
	UseLog           caveat.Kind = "error-grows"        // the error grows with the value, on the log scale it does not
	UseLogAllTheSame caveat.Kind = "error-grows-on-log" // it grows, and is not even on the log scale either
	NoLog            caveat.Kind = "error-grows-no-log" // it grows, but a score is not above zero
	Shrinks          caveat.Kind = "error-shrinks"      // it shrinks: the log scale would not help
	LogNotEnough     caveat.Kind = "log-not-enough"     // the scores are logarithms, and it grows all the same
	// the scores are logarithms, and it shrinks: the raw scale may fit better
	LogTooMuch caveat.Kind = "log-too-much"
)
