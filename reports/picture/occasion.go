package picture

import (
	"fmt"
	"slices"
	"strings"

	"noisefloor/analysis/retest"
)

// An occasion is the sessions meant on the two sides of changes. Athletes who
// lack some of them have changes between those they have.
type occasion struct{ from, to []string }

// occasionOf takes the occasion given; of an empty one every session in a
// baseline, those of the fullest first, and the fullest follow-up. It fails with
// [ErrMixed] when a change is to other sessions.
func occasionOf(changes []retest.Change, given retest.Occasion) (occasion, error) {
	o := occasion{from: slices.Clone(given.Baseline), to: given.FollowUp}
	fullest := slices.SortedStableFunc(slices.Values(changes), func(a,
		b retest.Change) int {
		return len(b.From) - len(a.From)
	})
	for _, c := range fullest {
		for _, s := range c.From {
			if !slices.Contains(o.from, s) {
				o.from = append(o.from, s)
			}
		}
		if len(given.FollowUp) == 0 && len(c.To) > len(o.to) {
			o.to = c.To
		}
	}
	for _, c := range changes {
		if !within(c.To, o.to) {
			return o, fmt.Errorf("%w: %s to %v, and to %v", ErrMixed, c.Measure, c.To, o.to)
		}
	}
	return o, nil
}

// within reports whether all has every one of some.
func within(some, all []string) bool {
	return !slices.ContainsFunc(some, func(s string) bool { return !slices.Contains(all, s) })
}

// words writes "session 2 to 3", "sessions 1+2 to 3".
func (o occasion) words() string { return sessions(o.from...) + " to " + averaged(o.to) }

// shortened says in whose changes some of the sessions are missing: the first
// three one by one, then how many more; things is what they are.
func (o occasion) shortened(changes []retest.Change, who func(retest.Change) string, things string) string {
	var words []string
	for _, c := range changes {
		for _, side := range []struct {
			name        string
			have, meant []string
		}{{"baseline", c.From, o.from}, {"follow-up", c.To, o.to}} {
			switch {
			case len(side.have) == 0 || len(side.have) >= len(side.meant):
			case len(side.have) == 1:
				words = append(words, fmt.Sprintf("%s: %s is %s alone", who(c), side.name, sessions(side.have...)))
			default:
				words = append(words, fmt.Sprintf("%s: %s is %s", who(c), side.name, sessions(side.have...)))
			}
		}
	}
	if len(words) == 0 {
		return ""
	}
	if more := len(words) - 3; more > 0 {
		verb := " have "
		if more == 1 {
			things, verb = strings.TrimSuffix(things, "s"), " has "
		}
		words = append(words[:3], fmt.Sprintf("%d more %s%sonly some of the sessions", more, things, verb))
	}
	return " " + strings.Join(words, "; ") + "."
}
