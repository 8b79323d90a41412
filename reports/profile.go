package reports

import (
	"noisefloor/analysis/profile"
	"noisefloor/analysis/retest"
)

// A Profile is the view of the question what athletes need.
type Profile struct {
	About
	Result  profile.Result
	Tests   []profile.Test // as Result's scores name them
	Session string         // the one spoken of
	Asked   []string       // athletes named in the request; nil: all

	History  []retest.Change    // judged changes of the athletes, by the noise of the same study; nil when there are none
	Sessions map[string][]Dated // test -> the sessions there are, in order
	Failed   []Failed
}

// A Dated is a session with how many days it lies before the one spoken of.
type Dated struct {
	Session string
	Days    *float64 // nil when the sessions are no dates
}
