package study

import "noisefloor/analysis/caveat"

// The doubts that a request and its table raise.
const (
	// BestIsHighest: nobody said which way the measures improve, so the best
	// attempt was taken as the highest.
	BestIsHighest caveat.Kind = "best-is-highest"
	// LevelsDiffer: the level column, named by Names[0], says more than one level
	// for an athlete, so athletes were not grouped by it.
	LevelsDiffer caveat.Kind = "levels-differ"
	// NotJudged: the measure has no noise; Names[0] says why.
	NotJudged caveat.Kind = "not-judged"
	// NotCompared: no correlation inside athletes or of changes; Names[0] is
	// "repeated" or "change", Names[1] says why.
	NotCompared caveat.Kind = "not-compared"
	// AllSessions: no sessions were named, so all were taken for the noise, also
	// if there was training between them; Names are the sessions.
	AllSessions caveat.Kind = "all-sessions"
)
