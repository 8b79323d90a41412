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
		if f.rule.Needs == NeedsNeither && (f.high != None || f.low != None) {
			continue
		}
		emphases := f.rule.Emphases
		if f.kind == Gap && f.direction == Above && (elastic || len(f.tests) > 1 && first[f.tests[1]]) {
			emphases = []Emphasis{TestAgain} // quickness may be low for want of practice, or because the stretch does the work
		}
		index := grade
		if f.chance > 0 {
			index = None
		}
		for _, e := range emphases {
			out = add(out, Named{Emphasis: e, Grade: grade, Because: []string{f.rule.Key}, Plane: f.plane(e), Chance: f.chance,
				Index: index})
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
			all[i].Chance, all[i].Index = max(have.Chance, one.Chance), surer(have.Index, one.Index)
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

// Graded is the surest of the emphases that change what is trained and rest on an index,
// not on what stands lowest: something always does.
func (a Athlete) Graded() Grade {
	g := None
	for _, n := range a.Emphases {
		if n.Emphasis.trains() && n.Index != None {
			g = surer(g, n.Index)
		}
	}
	return g
}

// Lowest says whether a quality or plane is told apart as the lowest.
func (a Athlete) Lowest() bool {
	return slices.ContainsFunc(a.Emphases, func(n Named) bool { return n.Emphasis.trains() && n.Chance > 0 })
}

// evenly names all of the range for an athlete of whom nothing else is named and who
// stands above the group's median in the mean of all tests.
func (w *work) evenly(g *group, at int, a *Athlete) {
	if len(a.Emphases) > 0 {
		return
	}
	tests := w.those(g, at, func(Test) bool { return true })
	high, _ := w.power(g, at, even(tests))
	if high == None {
		return
	}
	grade := Possible
	if w.inside(g, a) {
		grade = high
	}
	a.Emphases = []Named{{Emphasis: AllOfTheRange, Grade: grade, Because: []string{HighAndEven}}}
}

// HighAndEven is what all of the range rests on.
const HighAndEven = "high_and_even"

// inside says whether the interval of every index lies inside its thresholds: only then is
// it shown, and not just not refuted, that there is nothing to even out.
func (w *work) inside(g *group, a *Athlete) bool {
	n := 0
	for _, i := range a.Indices {
		if i.Kind == LoadVelocity || i.Ungraded == NoRule {
			continue
		}
		n++
		if i.Ungraded != "" || !i.Estimate.HasInterval() || !(i.Nearest < 0) || !w.within(g, i) {
			return false
		}
	}
	return n > 0
}

// within says whether the interval of an index crosses no threshold.
func (w *work) within(g *group, i Index) bool {
	for _, kind := range []IndexKind{SideDifference, Gain, Gap} {
		for _, p := range g.b.pairs[kind] {
			if kind != i.Kind || g.b.tests[p.first].Name != i.Measure && g.b.tests[p.second].Name != i.Measure {
				continue
			}
			for _, r := range slices.Concat(w.rules(g, p, kind, Above), w.rules(g, p, kind, Below)) {
				if r.past(i.Estimate.Lower) > 0 || r.past(i.Estimate.Upper) > 0 {
					return false
				}
			}
		}
	}
	return true
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
