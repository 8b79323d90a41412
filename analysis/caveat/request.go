package caveat

// The doubts that a request and its table raise, before any analysis.
const (
	// BestIsHighest: nobody said which way the measures improve, so the best
	// attempt was taken as the highest.
	BestIsHighest Kind = "best-is-highest"
	// LevelsDiffer: the level column, Names[0], says more than one level for an
	// athlete, so athletes were not grouped by it.
	LevelsDiffer Kind = "levels-differ"
	// NotJudged: the measure has no noise; Names[0] says why.
	NotJudged Kind = "not-judged"
	// NoGroup: the athletes Names[1:] are in no group of the column Names[0], so
	// no noise is theirs and they are not judged.
	NoGroup Kind = "no-group"
	// FarOff: Numbers[0] attempts of the measure lie a hundred times or more above or
	// below its median, Numbers[2]; the first, Numbers[1], is of the athlete Names[0]
	// in session Names[1].
	FarOff Kind = "far-off"
	// NotCompared: no correlation inside athletes, or of changes; Names[0] is
	// "repeated" or "change", Names[1] says why.
	NotCompared Kind = "not-compared"
	// AllSessions: no sessions were named, so all were taken for the noise, also
	// if there was training between them; Names are the sessions.
	AllSessions Kind = "all-sessions"
	// DirectionUnknown: nobody said which way the measures improve, so nothing is
	// called better or worse.
	DirectionUnknown Kind = "direction-unknown"
	// LowerIsBetter: less counts as better in the measures.
	LowerIsBetter Kind = "lower-is-better"
	// OrderInDoubt: the sessions may not be in the order of time; Names[0] says
	// why, the others are the sessions as they were taken.
	OrderInDoubt Kind = "order-in-doubt"
)
