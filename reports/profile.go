package reports

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/profile"
	"noisefloor/analysis/retest"
	"noisefloor/reports/number"
)

// A Profile is the view of the question where athletes stand and what they need.
type Profile struct {
	About
	Result   profile.Result
	Tests    []profile.Test // as Result's scores name them
	Session  string         // the one spoken of
	Sessions []string       // up to that one
	Days     []float64      // of each session before that one; nil when they are no dates
	Asked    []string       // athletes asked for; nil: all
	History  *retest.Result // judged changes up to the session; nil when there are none
	WhyNone  string         // why there are none
	Failed   []Failed
}

// Name implements [View].
func (v Profile) Name() string { return "profile" }

// Stem implements [View].
func (v Profile) Stem() string { return v.Name() }

// one is the athlete of a profile of one; nil for several.
func (v Profile) one() *profile.Athlete {
	if len(v.Result.Athletes) != 1 {
		return nil
	}
	return &v.Result.Athletes[0]
}

// Title implements [View].
func (v Profile) Title() string {
	if a := v.one(); a != nil {
		return "Where does " + a.Name + " stand, and what is needed?"
	}
	return "Where do these athletes stand, and what do they need?"
}

// Answer implements [View].
func (v Profile) Answer() []string {
	if a := v.one(); a != nil {
		return v.athleteAnswer(*a)
	}
	return v.overviewAnswer()
}

// overviewAnswer counts, beside what would be counted with nothing to find.
func (v Profile) overviewAnswer() []string {
	o := v.Result.Overview
	first := fmt.Sprintf("%d of %d athletes have a clear need, beyond the noise; about %s would with nothing to find.", o.Clear,
		o.Athletes, number.Plain(o.ExpectedClear, 0))
	second := fmt.Sprintf("%d more have a possible one (about %s with nothing to find).", o.Possible,
		number.Plain(o.ExpectedPossible, 0))
	if o.Lowest > 0 {
		second += fmt.Sprintf(" In %d others one end of the range or one plane stands lowest, and no index is out of the ordinary.",
			o.Lowest)
	}
	out := []string{first, second}
	var clinic []string
	for _, a := range v.ordered() {
		if named(a, profile.SeeClinician) != nil || len(a.Refer) > 0 {
			clinic = append(clinic, a.Name)
		}
	}
	if len(clinic) > 0 {
		out = append(out, "To a licensed clinician first: "+listed(clinic, 8)+".")
	}
	return out
}

// ordered are the athletes as the overview has them.
func (v Profile) ordered() []profile.Athlete {
	var out []profile.Athlete
	for _, i := range v.Result.Order {
		out = append(out, v.Result.Athletes[i])
	}
	return out
}

// named is an emphasis of an athlete, nil when it is not named.
func named(a profile.Athlete, e profile.Emphasis) *profile.Named {
	i := slices.IndexFunc(a.Emphases, func(n profile.Named) bool { return n.Emphasis == e })
	if i < 0 {
		return nil
	}
	return &a.Emphases[i]
}

// athleteAnswer says what one athlete needs, where they stand, and what to test again.
func (v Profile) athleteAnswer(a profile.Athlete) []string {
	who := a.Name
	if a.Group != "" {
		who += " (" + a.Group + ")"
	}
	out := []string{who + ": " + v.needs(a) + "."}
	if s := v.standAnswer(a); s != "" {
		out = append(out, s)
	}
	if s := v.nextAnswer(a); s != "" {
		out = append(out, s)
	}
	return out
}

// needs are the emphases of an athlete in words: "see a clinician first; clear: build
// force; possible: even the sides".
func (v Profile) needs(a profile.Athlete) string {
	if len(a.Emphases) == 0 {
		return "nothing is told apart from ordinary"
	}
	var parts []string
	for _, grade := range []profile.Grade{profile.Clear, profile.Possible} {
		var names []string
		for _, n := range a.Emphases {
			if n.Grade == grade {
				names = append(names, emphasisWords(n))
			}
		}
		if len(names) > 0 {
			parts = append(parts, map[profile.Grade]string{profile.Clear: "", profile.Possible: "possibly "}[grade]+and(names))
		}
	}
	return strings.Join(parts, "; ")
}

func emphasisWords(n profile.Named) string {
	if n.Emphasis == profile.PlaneFirst {
		return "the " + n.Plane + " plane first"
	}
	return string(n.Emphasis)
}

func and(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// standAnswer counts the tests whose whole band lies on one side of the middle, own level
// first and the whole cohort beside it.
func (v Profile) standAnswer(a profile.Athlete) string {
	type count struct {
		name         string
		above, under []string
		n            int
	}
	var counts []count
	for _, s := range a.Tests {
		if s.SetAside != "" {
			continue
		}
		for _, p := range s.Standings {
			name := groupOrWhole(p.Group)
			i := slices.IndexFunc(counts, func(c count) bool { return c.name == name })
			if i < 0 {
				i, counts = len(counts), append(counts, count{name: name})
			}
			c := &counts[i]
			c.n++
			switch label := v.Label(v.Tests[s.Test].Name); {
			case p.Band.Lower > 0.5:
				c.above = append(c.above, label)
			case p.Band.Upper < 0.5:
				c.under = append(c.under, label)
			}
		}
	}
	var parts []string
	for i, c := range counts {
		s := fmt.Sprintf("in %s above the middle in %d and under it in %d", c.name, len(c.above), len(c.under))
		if i == 0 {
			s = fmt.Sprintf("Of %d tests %s in %s above the middle in %d%s and under it in %d%s", c.n, a.Name+" stands", c.name,
				len(c.above), inBrackets(c.above), len(c.under), inBrackets(c.under))
		}
		parts = append(parts, s)
	}
	if len(parts) == 0 {
		return ""
	}
	return strings.Join(parts, "; ") + "; in the others the side is not told."
}

func inBrackets(names []string) string {
	if len(names) == 0 {
		return ""
	}
	return " (" + listed(names, 2) + ")"
}

func groupOrWhole(group string) string {
	if group == "" {
		return "the whole cohort"
	}
	return group
}

// nextAnswer says what to test again, what goes to a clinician and what was set aside.
func (v Profile) nextAnswer(a profile.Athlete) string {
	var parts []string
	if names := v.testNames(a.Refer); len(names) > 0 {
		parts = append(parts, "A licensed clinician looks first at "+and(names)+".")
	}
	if names := v.testNames(a.Again); len(names) > 0 {
		parts = append(parts, "Test again: "+listed(names, 3)+".")
	}
	var aside []string
	reason := ""
	for _, s := range a.Tests {
		if s.SetAside != "" {
			aside, reason = append(aside, v.Label(v.Tests[s.Test].Name)), s.SetAside
		}
	}
	if len(aside) > 0 {
		parts = append(parts, fmt.Sprintf("Set aside, not judged (%s): %s.", reason, listed(aside, 4)))
	}
	return strings.Join(parts, " ")
}

func (v Profile) testNames(all []profile.Because) []string {
	var out []string
	for _, b := range all {
		if l := v.Label(b.Test); !slices.Contains(out, l) {
			out = append(out, l)
		}
	}
	return out
}

func (v Profile) doubts() []caveat.Caveat { return slices.Concat(v.Caveats, v.Result.Caveats) }

// Warnings implements [View].
func (v Profile) Warnings() []string {
	out := v.sentences(v.doubts())
	for _, f := range v.Failed {
		out = append(out, v.Label(f.Measure)+": not profiled: "+f.Reason)
	}
	if v.WhyNone != "" {
		out = append(out, "No history: "+v.WhyNone+".")
	}
	return out
}

// source is one line on where the numbers come from.
func (v Profile) source() string {
	return fmt.Sprintf("%s, %d rows, session %s; noisefloor %s", v.Input.Path, v.Input.Rows, v.Session, v.Version)
}

// indexName names an index: "Side throw, right against left".
func (v Profile) indexName(i profile.Index) string {
	switch {
	case i.Measure == "":
		return map[profile.IndexKind]string{profile.SideDifference: "Sides, mean of ", profile.Gain: "Countermovement gain, mean of ",
			profile.Gap: "Quickness gap, mean of "}[i.Kind] + fmt.Sprint(len(i.Of))
	case i.Kind == profile.SideDifference:
		return v.Label(i.Measure) + " against the other side"
	case i.Kind == profile.Gain:
		return v.Label(i.Measure) + ": gain from the countermovement"
	case i.Kind == profile.Gap:
		return v.Label(i.Measure) + " against how fast it comes"
	case i.Unit == "kg":
		return v.Label(i.Measure) + " …: load at no velocity"
	}
	return v.Label(i.Measure) + " …: velocity without load"
}

// indexValue writes an index with its interval.
func (v Profile) indexValue(i profile.Index) string {
	decimals := 0
	if i.Unit == "SD" || i.Unit == "m/s" {
		decimals = 1
	}
	unit := i.Unit
	if math.IsNaN(i.Estimate.Value) {
		return number.Missing
	}
	if i.Kind == profile.LoadVelocity {
		return number.WithUnit(number.Estimate(i.Estimate, decimals+1), unit)
	}
	return number.WithUnit(number.SignedEstimate(i.Estimate, decimals), unit)
}

// gradeWords say how sure an index is, or why it has no grade.
func gradeWords(i profile.Index) string {
	switch i.Ungraded {
	case profile.NoRule:
		return "no rule"
	case profile.FirstExposure:
		return "first time: not graded"
	case profile.SmallGroup:
		return "group too small"
	case profile.CommonGap:
		return "common in the group"
	case profile.OpenInterval:
		return "noise too large"
	case profile.NoErrors:
		return "noise not known"
	}
	if i.Grade == profile.None {
		return "inside the noise"
	}
	return string(i.Grade)
}

// ruleWords are those of the rule that an index met.
func (v Profile) ruleWords(i profile.Index) string {
	if i.Grade == profile.None {
		return number.Missing
	}
	r, _ := v.Result.Rules.Find(i.Rule)
	return r.Words
}

// because are the words of the rules that an emphasis rests on.
func (v Profile) because(n profile.Named) string {
	var out []string
	for _, key := range n.Because {
		if key == profile.HighAndEven {
			out = append(out, "High, and nothing is told apart from even.")
		} else if r, ok := v.Result.Rules.Find(key); ok {
			out = append(out, r.Words)
		}
	}
	if n.Chance > 0 {
		out = append(out, fmt.Sprintf("(Chance of truly being the lowest: %s.)", number.Percent(n.Chance, 0)))
	}
	return strings.Join(out, " ")
}

// whyAgain says why a test is to be done again or shown to a clinician.
func whyAgain(why string) string {
	switch why {
	case profile.MetOnce:
		return "met once only: a first try understates"
	case profile.OpenFlag:
		return "decides a possible need"
	case profile.NotTested:
		return "not tested in this session"
	case profile.Older:
		return "not tested in this session, and the last score is older than stated"
	case profile.OneSided:
		return "one-sided beyond the noise"
	case profile.PartLow:
		return "far below the other tests of its region"
	case profile.StandsLow:
		return "the whole band lies under the 10th percentile"
	}
	return why
}
