package profile

import (
	"math"
	"slices"
)

// Why a test is named to be done again, or to be shown to a clinician.
const (
	MetOnce     = "met-once"   // the athlete did it for the first time
	OpenFlag    = "open-flag"  // it decides an index that is possible
	NotTested   = "not-tested" // no score in this session
	Older       = "older"      // no score in this session, and the last one older than stated
	OneSided    = "one-sided"  // a side difference of the arm and shoulder, told apart
	PartLow     = "part-low"   // far below the other tests of its region
	StandsLow   = "stands-low" // the whole band below the 10th percentile of the group
	lowStanding = 0.10
)

// named are the emphases of what was found, each once, with the surest grade.
func named(all []found, first map[string]bool) []Named {
	elastic := slices.ContainsFunc(all, func(f found) bool { return f.kind == Gain && f.direction == Above })
	var out []Named
	for _, f := range all {
		grade := f.grade
		switch f.rule.Needs {
		case NeedsHigh:
			grade = weaker(grade, f.high)
		case NeedsLow:
			grade = weaker(grade, f.low)
		}
		emphases := f.rule.Emphases
		if f.kind == Gap && f.direction == Above && (elastic || len(f.tests) > 1 && first[f.tests[1]]) {
			emphases = []Emphasis{TestAgain} // quickness may be low for want of practice, or because the stretch does the work
		}
		for _, e := range emphases {
			out = add(out, Named{Emphasis: e, Grade: grade, Because: []string{f.rule.Key}, Plane: f.plane(e), Chance: f.chance})
		}
	}
	slices.SortStableFunc(out, func(a, b Named) int {
		return slices.Index(Emphases(), a.Emphasis) - slices.Index(Emphases(), b.Emphasis)
	})
	return out
}

func (f found) plane(e Emphasis) string {
	if e == PlaneFirst && len(f.tests) > 0 {
		return f.tests[0]
	}
	return ""
}

func add(all []Named, one Named) []Named {
	if one.Grade == None {
		return all
	}
	for i, have := range all {
		if have.Emphasis == one.Emphasis && have.Plane == one.Plane {
			all[i].Grade = surer(have.Grade, one.Grade)
			all[i].Chance = max(have.Chance, one.Chance)
			for _, b := range one.Because {
				if !slices.Contains(have.Because, b) {
					all[i].Because = append(all[i].Because, b)
				}
			}
			return all
		}
	}
	return append(all, one)
}

// trains says whether an emphasis changes what is trained: to test again, and to go on
// with all of the range, does not.
func (e Emphasis) trains() bool { return e != TestAgain && e != AllOfTheRange }

// grade is the surest of the emphases that change what is trained.
func (a Athlete) grade() Grade {
	g := None
	for _, n := range a.Emphases {
		if n.Emphasis.trains() {
			g = surer(g, n.Grade)
		}
	}
	return g
}

// evenly names all of the range for an athlete of whom nothing else is named and who
// stands above the group's median in the mean of all tests.
func (w *work) evenly(g *group, at int, a *Athlete) {
	if len(a.Emphases) > 0 {
		return
	}
	tests := w.those(g, at, func(Test) bool { return true })
	if high, _ := w.power(g, at, even(tests)); high != None {
		a.Emphases = []Named{{Emphasis: AllOfTheRange, Grade: high, Because: []string{"high_and_even"}}}
	}
}

// again lists the tests to be done again.
func (w *work) again(a *Athlete) {
	put := func(test, why string) {
		one := Because{Test: test, Why: why}
		if !slices.Contains(a.Again, one) {
			a.Again = append(a.Again, one)
		}
	}
	for _, i := range a.Indices {
		if i.Grade == Possible {
			put(i.Measure, OpenFlag)
			put(i.With, OpenFlag)
		}
	}
	for _, s := range a.Tests {
		switch t := w.in.Tests[s.Test]; {
		case s.SetAside != "" || t.Role == Outcome:
		case math.IsNaN(s.Value) && s.Exposures > 0:
			put(t.Name, NotTested)
		case s.Exposures == 1 && len(t.Scores.Sessions) > 1:
			put(t.Name, MetOnce)
		}
	}
}

// refer lists the results of arm and shoulder that a clinician should see: one-sided
// beyond the noise, far below the other tests, or low in the group.
func (w *work) refer(a *Athlete) {
	put := func(test, why string) {
		if !slices.ContainsFunc(a.Refer, func(b Because) bool { return b.Test == test }) {
			a.Refer = append(a.Refer, Because{Test: test, Why: why})
		}
	}
	for _, i := range a.Indices {
		if i.Kind == SideDifference && i.Grade == Clear && w.region(i.Measure) == upper {
			weak := i.With
			if i.Estimate.Value < 0 {
				weak = i.Measure
			}
			put(weak, OneSided)
		}
	}
	for _, c := range a.Regions {
		if c.OneHidden {
			put(w.in.Tests[c.Lowest].Name, PartLow)
		}
	}
	for _, s := range a.Tests {
		if t := w.in.Tests[s.Test]; s.SetAside == "" && t.Region == upper && len(s.Standings) > 0 &&
			s.Standings[0].Band.Upper < lowStanding {
			put(t.Name, StandsLow)
		}
	}
}

const upper = "upper"

func (w *work) region(test string) string {
	for _, t := range w.in.Tests {
		if t.Name == test {
			return t.Region
		}
	}
	return ""
}
