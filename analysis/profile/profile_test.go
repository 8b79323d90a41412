package profile_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/profile"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
)

// emphases are those of athlete 0 of a cohort of which athlete 0 is a case.
func emphases(t *testing.T, in profile.Input) map[profile.Emphasis]profile.Grade {
	t.Helper()
	in.Asked = []int{0}
	r, err := profile.Analyse(in, profile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	out := map[profile.Emphasis]profile.Grade{}
	for _, n := range r.Athletes[0].Emphases {
		out[n.Emphasis] = n.Grade
	}
	return out
}

// case0 is an ordinary cohort whose athlete 0 has the truth given.
func case0(side, gain, gap, level float64) made {
	m := ordinary(40, 0.04, 8)
	s, g, q, l := m.side, m.gain, m.gap, m.level
	m.side = func(i, k int, r *rand.Rand) float64 {
		if x := s(i, k, r); i > 0 || k > 0 {
			return x
		}
		return side
	}
	m.gain = func(i, k int, r *rand.Rand) float64 {
		if x := g(i, k, r); i > 0 {
			return x
		}
		return gain
	}
	m.gap = func(i, k int, r *rand.Rand) float64 {
		if x := q(i, k, r); i > 0 {
			return x
		}
		return gap
	}
	m.level = func(i int, r *rand.Rand) float64 {
		if x := l(i, r); i > 0 {
			return x
		}
		return level
	}
	return m
}

// The worked cases of the trade (common practice, no source): how often each is named what
// it is, at typical errors of 4 %, and how often what it is not.
func TestWorkedCases(t *testing.T) {
	cases := []struct {
		name                   string
		side, gain, gap, level float64
		named                  profile.Emphasis
		least                  float64 // share of studies
		not                    profile.Emphasis
		most                   float64
	}{
		{"even", 2, 15, 0, 2, profile.AllOfTheRange, 0.35, profile.EvenSides, 0.12},
		{"faded senior", 2, -6, 0, -2, profile.BuildForce, 0.8, profile.UseStretch, 0.02},
		{"strong and stiff", 28, -4, 2.2, 2.2, profile.UseStretch, 0.8, profile.BuildForce, 0.15},
		{"strong and stiff, sides", 28, -4, 2.2, 2.2, profile.EvenSides, 0.7, profile.BuildForce, 0.15},
		{"springy", 2, 36, 2.2, 0.5, profile.BuildForce, 0.8, profile.UseStretch, 0.02},
		{"springy, again", 2, 36, 2.2, 0.5, profile.TestAgain, 0.5, profile.MoveFaster, 0.5},
	}
	const studies = 16
	for _, c := range cases {
		named, not := 0.0, 0.0
		for s := range studies {
			in, _ := case0(c.side, c.gain, c.gap, c.level).make(rand.New(rand.NewPCG(31, uint64(s))))
			got := emphases(t, in)
			if _, ok := got[c.named]; ok {
				named += 1.0 / studies
			}
			if _, ok := got[c.not]; ok {
				not += 1.0 / studies
			}
		}
		t.Logf("%s: %q in %.2f, %q in %.2f", c.name, c.named, named, c.not, not)
		if named < c.least || not > c.most {
			t.Errorf("%s: %q in %.2f of studies (at least %.2f), %q in %.2f (at most %.2f)", c.name, c.named, named, c.least, c.not,
				not, c.most)
		}
	}
}

// one is a cohort of some athletes with one test of each kind, for what is set by hand.
func one(n int) profile.Input {
	m := ordinary(n, 0.04, 4)
	in, _ := m.make(rand.New(rand.NewPCG(3, 3)))
	return in
}

// An arm that is a third weaker than the other goes to a clinician first.
func TestOneJoint(t *testing.T) {
	in := one(30)
	for k := range in.Tests {
		in.Tests[k].Region = "upper"
		if in.Tests[k].Name == "s0.right" {
			in.Tests[k].Scores.Value[2] *= 0.6 // the dominant arm of athlete 0, session 3
		}
	}
	got := emphases(t, in)
	if got[profile.SeeClinician] != profile.Clear {
		t.Errorf("%v", got)
	}
	in.Asked = []int{0}
	r, err := profile.Analyse(in, profile.Options{})
	if err != nil || len(r.Athletes[0].Refer) == 0 {
		t.Errorf("nothing is referred: %v", err)
	}
}

// A gain at the first session is not graded: it understates what is there.
func TestFirstExposureIsNotGraded(t *testing.T) {
	in := one(30)
	for k := range in.Tests {
		in.Tests[k].Scores.Value[0], in.Tests[k].Scores.Value[1] = math.NaN(), math.NaN()
	}
	in.Asked = []int{0}
	r, err := profile.Analyse(in, profile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	a := r.Athletes[0]
	for _, i := range a.Indices {
		if i.Kind == profile.Gain && (i.Ungraded != profile.FirstExposure || i.Grade != profile.None) {
			t.Errorf("%+v", i)
		}
	}
	if !slices.ContainsFunc(a.Again, func(b profile.Because) bool { return b.Why == profile.MetOnce }) {
		t.Errorf("nothing to be tested again: %v", a.Again)
	}
}

// What is set aside is in no index and no mean, and stands there with its reason.
func TestSetAside(t *testing.T) {
	in := one(30)
	in.Asked = []int{0}
	for _, name := range []string{"s0.left", "g0"} {
		in.SetAside = append(in.SetAside, profile.SetAside{Athlete: "A0", Test: name, Reason: "back"})
	}
	r, err := profile.Analyse(in, profile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	a := r.Athletes[0]
	for _, i := range a.Indices {
		if i.Measure == "g0" || i.With == "s0.left" || i.Measure == "s0.left" {
			t.Errorf("%s/%s is still compared", i.Measure, i.With)
		}
	}
	aside := 0
	for _, s := range a.Tests {
		if s.SetAside == "back" {
			aside++
		}
	}
	if aside != 2 {
		t.Errorf("%d tests are set aside", aside)
	}
}

// Left-handers are right-handers in a mirror; units and the order of athletes change nothing.
func TestWhatMustNotMatter(t *testing.T) {
	in := one(25)
	first, err := profile.Analyse(in, profile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	mirrored := one(25)
	for i := range mirrored.Dominant {
		mirrored.Dominant[i] = "left"
	}
	for k, a := range mirrored.Tests {
		if a.Side == "right" {
			left := slices.IndexFunc(mirrored.Tests, func(b profile.Test) bool { return b.Name == a.Pair })
			mirrored.Tests[k].Scores, mirrored.Tests[left].Scores = mirrored.Tests[left].Scores, a.Scores
			for n := range mirrored.Noise {
				swap(mirrored.Noise[n].Models, a.Name, a.Pair)
			}
		}
	}
	for n, group := range []string{"", "senior"} {
		var studied []profile.Test
		for _, t := range mirrored.Tests {
			t.Scores, _ = t.Scores.Select("1", "2")
			studied = append(studied, t)
		}
		mirrored.Noise[n].Group, mirrored.Noise[n].Errors = group, profile.Errors(studied, mirrored.Dominant, nil)
	}
	scaled := one(25)
	for k := range scaled.Tests {
		for v := range scaled.Tests[k].Scores.Value {
			scaled.Tests[k].Scores.Value[v] *= 1000
		}
		for n := range scaled.Noise {
			for m := range scaled.Noise[n].Models {
				if scaled.Noise[n].Models[m].Measure == scaled.Tests[k].Name {
					scaled.Noise[n].Models[m].TypicalError *= 1000
				}
			}
			for e, t := range scaled.Noise[n].Errors {
				if at := slices.Index(t.Of, scaled.Tests[k].Name); t.Kind == profile.Scores && at >= 0 {
					for j := range t.Of {
						scaled.Noise[n].Errors[e].Covariance[at][j] *= 1000
						scaled.Noise[n].Errors[e].Covariance[j][at] *= 1000
					}
				}
			}
		}
	}
	for name, other := range map[string]profile.Input{"mirrored": mirrored, "in another unit": scaled} {
		got, err := profile.Analyse(other, profile.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for k, a := range first.Athletes {
			for j, i := range a.Indices {
				o := got.Athletes[k].Indices[j]
				numtest.Close(t, name+" "+string(i.Kind), o.Estimate.Value, i.Estimate.Value, 1e-9)
				numtest.Close(t, name+" lower "+string(i.Kind), o.Estimate.Lower, i.Estimate.Lower, 1e-8)
				if o.Grade != i.Grade {
					t.Errorf("%s: %s of %s is %s, was %s", name, i.Kind, a.Name, o.Grade, i.Grade)
				}
			}
		}
	}
}

func swap(models []noise.Model, a, b string) {
	for m := range models {
		switch models[m].Measure {
		case a:
			models[m].Measure = b
		case b:
			models[m].Measure = a
		}
	}
}

// Whatever is missing or odd, nothing panics, and nobody gets a grade from nothing.
func TestHostileCohorts(t *testing.T) {
	alike := one(25)
	for k := range alike.Tests {
		for i := range alike.Tests[k].Scores.Value {
			alike.Tests[k].Scores.Value[i] = 100
		}
	}
	holes := one(25)
	for k := range holes.Tests {
		for i := range holes.Tests[k].Scores.Value {
			if (i+k)%3 == 0 {
				holes.Tests[k].Scores.Value[i] = math.NaN()
			}
			if (i+k)%7 == 0 {
				holes.Tests[k].Scores.Value[i] = -1
			}
			if (i+k)%11 == 0 {
				holes.Tests[k].Scores.Value[i] = 0
			}
		}
	}
	silent := one(25)
	silent.Noise = nil
	errorless := one(25)
	for n := range errorless.Noise {
		errorless.Noise[n].Errors = nil
	}
	handless := one(25)
	handless.Dominant = nil
	logs := one(25)
	for k := range logs.Tests {
		logs.Tests[k].Scale = score.Log
	}
	for name, in := range map[string]profile.Input{"alike": alike, "holes": holes, "no noise": silent, "typical errors alone": errorless,
		"no dominant side": handless, "log of raw noise": logs, "two athletes": one(2), "one athlete": one(1)} {
		r, err := profile.Analyse(in, profile.Options{})
		if err != nil && !errors.Is(err, profile.ErrNothing) {
			t.Errorf("%s: %v", name, err)
		}
		if name == "no noise" {
			for _, a := range r.Athletes {
				for _, i := range a.Indices {
					if i.Grade != profile.None {
						t.Errorf("a grade without noise: %+v", i)
					}
				}
			}
		}
	}
	if _, err := profile.Analyse(profile.Input{}, profile.Options{}); !errors.Is(err, profile.ErrInput) {
		t.Errorf("of nothing: %v", err)
	}
}

// The rules of the program can be used, and a wrong one is named.
func TestRules(t *testing.T) {
	if err := profile.DefaultRules().Check(); err != nil {
		t.Fatal(err)
	}
	for name, change := range map[string]func(*profile.Rules){
		"key twice":      func(r *profile.Rules) { r.Rules[1].Key = r.Rules[0].Key },
		"no words":       func(r *profile.Rules) { r.Rules[0].Words = "" },
		"index":          func(r *profile.Rules) { r.Rules[0].Index = "height" },
		"direction":      func(r *profile.Rules) { r.Rules[0].Direction = "up" },
		"threshold":      func(r *profile.Rules) { r.Rules[0].Threshold = math.NaN() },
		"needs":          func(r *profile.Rules) { r.Rules[0].Needs = "much" },
		"emphasis":       func(r *profile.Rules) { r.Rules[0].Emphases = []profile.Emphasis{"rest"} },
		"side of 100 %":  func(r *profile.Rules) { r.Rules[0].Threshold = 100 },
		"alpha":          func(r *profile.Rules) { r.Grades.Clear.Alpha = 0 },
		"grades swapped": func(r *profile.Rules) { r.Grades.Clear, r.Grades.Possible = r.Grades.Possible, r.Grades.Clear },
	} {
		r := profile.DefaultRules()
		change(&r)
		if err := r.Check(); !errors.Is(err, profile.ErrRules) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
