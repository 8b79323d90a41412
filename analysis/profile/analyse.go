package profile

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/score"
)

// Errors that callers test with errors.Is.
var (
	// ErrNothing: no athlete asked for has a score in the session.
	ErrNothing = errors.New("no athlete has a score in the session")
	// ErrInput: the parts of the input do not belong together.
	ErrInput = errors.New("unusable input")
)

// Options are choices; the zero value is of use.
type Options struct {
	Level float64 // of intervals; 0 means 0.95
	Rules Rules   // none: [DefaultRules]
	Seed  uint64  // of what is expected with nothing to find
}

// The doubts about profiles.
const (
	// RuleDoesNotFit: in the group Names[0] a share Numbers[0] of the athletes lie past
	// the threshold for the measure, so its thresholds are set from the group's median,
	// Numbers[1].
	RuleDoesNotFit caveat.Kind = "rule-does-not-fit"
	// ErrorsGuessed: the covariance of the errors of the measures is not known and was
	// taken as 0: intervals of sides and gains may be too wide, of gaps too narrow.
	ErrorsGuessed caveat.Kind = "errors-guessed"
	// NobodySaidDominant: the dominant side of the athletes Names is not known, so their
	// side differences have no sign.
	NobodySaidDominant caveat.Kind = "dominant-unknown"
	// NoNoiseOf: the noise of the measures is not known, so nothing is told of them
	// beyond the score.
	NoNoiseOf caveat.Kind = "no-noise-of"
	// TooNoisy: in the group Names[0] at least three quarters of the spread of the measures
	// are noise, so they count in no mean of several tests.
	TooNoisy caveat.Kind = "too-noisy"
	// FewForGaps: in the group Names[0] are Numbers[0] athletes, fewer than the 20 in
	// which a quickness gap is read.
	FewForGaps caveat.Kind = "few-for-gaps"
)

// work is what one analysis holds together.
type work struct {
	in        Input
	o         Options
	b         battery
	groups    map[string]*group
	places    []int // of each athlete in its own group
	asides    map[[2]int]string
	spreads   map[shareKey]float64
	fitted    map[ruleKey][]Rule
	quantiles map[[2]float64]float64
	normals   [][]float64
	caveats   []caveat.Caveat
	guessed   map[string]bool
}

// Analyse profiles athletes at one session, each in the group of their own level and
// beside it in the whole cohort.
//
// Side differences, 100 (D - N)/max(D, N) of the dominant and the other side, and
// countermovement gains, 100 (with - without)/without, have the interval of Fieller's set
// carried through the index, or that of the log-ratio; quickness gaps z_power -
// z_quickness that of a t with the noise and the jackknifed reference. An index is clear
// where it lies t(1-α/k, df) standard errors past its threshold, α = 0.11, of k of its
// kind looked at in that direction; where there are several it has half of α, and their
// mean the other half; possible at α = 0.28. So of athletes inside all thresholds at most a
// tenth have something clear, and three tenths something possible (see the tests). The
// qualities of the spectrum and the planes are told apart by the posterior of their true
// values, see belief; loads by generalised least squares.
//
// It fails with [ErrInput] where the parts do not belong together, [ErrRules] on unusable
// rules, and [ErrNothing] where nobody asked for has a score. The input is not modified.
func Analyse(in Input, o Options) (*Result, error) {
	if o.Level == 0 {
		o.Level = 0.95
	}
	if len(o.Rules.Rules) == 0 {
		o.Rules = DefaultRules()
	}
	if err := check(in, o); err != nil {
		return nil, err
	}
	w := newWork(in, o)
	asked := in.Asked
	if asked == nil {
		asked = indices(len(in.Athletes))
	}
	out := &Result{Rules: o.Rules, Level: o.Level}
	var expected [][3]float64
	for _, i := range asked {
		if !w.tested(i) {
			continue
		}
		a, e := w.athlete(i)
		out.Athletes, expected = append(out.Athletes, a), append(expected, e)
	}
	if len(out.Athletes) == 0 {
		return nil, ErrNothing
	}
	w.overview(out, expected)
	out.Caveats = w.doubts()
	return out, nil
}

func check(in Input, o Options) error {
	switch {
	case !(o.Level > 0 && o.Level < 1):
		return fmt.Errorf("%w: level %g is not between 0 and 1", ErrInput, o.Level)
	case len(in.Tests) == 0 || len(in.Athletes) == 0:
		return fmt.Errorf("%w: no tests or no athletes", ErrInput)
	case in.Group != nil && len(in.Group) != len(in.Athletes), in.Dominant != nil && len(in.Dominant) != len(in.Athletes):
		return fmt.Errorf("%w: groups or dominant sides are not those of %d athletes", ErrInput, len(in.Athletes))
	}
	for _, t := range in.Tests {
		if len(t.Scores.Athletes) != len(in.Athletes) || len(t.Scores.Sessions) == 0 ||
			len(t.Scores.Value) != len(in.Athletes)*len(t.Scores.Sessions) {
			return fmt.Errorf("%w: %s has no score table of these athletes", ErrInput, t.Name)
		}
	}
	for _, i := range in.Asked {
		if i < 0 || i >= len(in.Athletes) {
			return fmt.Errorf("%w: no athlete %d", ErrInput, i)
		}
	}
	return o.Rules.Check()
}

func newWork(in Input, o Options) *work {
	w := &work{in: in, o: o, b: battery{tests: in.Tests}, groups: map[string]*group{}, places: make([]int, len(in.Athletes)),
		asides: map[[2]int]string{}, spreads: map[shareKey]float64{}, fitted: map[ruleKey][]Rule{},
		quantiles: map[[2]float64]float64{}, guessed: map[string]bool{}}
	w.b.pair()
	of := map[string][]int{"": indices(len(in.Athletes))}
	for i := range in.Athletes {
		if name := text(in.Group, i); name != "" {
			w.places[i] = len(of[name])
			of[name] = append(of[name], i)
		} else {
			w.places[i] = i
		}
	}
	for name, rows := range of {
		w.groups[name] = newGroup(name, rows, &w.b, in.Noise)
	}
	for _, s := range in.SetAside {
		i := slices.Index(in.Athletes, s.Athlete)
		t := slices.IndexFunc(in.Tests, func(t Test) bool { return t.Name == s.Test })
		if i >= 0 && t >= 0 {
			w.asides[[2]int{i, t}] = s.Reason
		}
	}
	for i := range points {
		z := make([]float64, len(bases))
		for j := range z {
			z[j] = dist.NormalQuantile(dist.Halton(i+1, bases[j]))
		}
		w.normals = append(w.normals, z)
	}
	return w
}

func (w *work) aside(i, t int) bool {
	_, yes := w.asides[[2]int{i, t}]
	return yes
}

// exposures counts the sessions in which an athlete met a test.
func (w *work) exposures(t, i int) int {
	n := 0
	for _, v := range w.in.Tests[t].Scores.Row(i) {
		if !math.IsNaN(v) {
			n++
		}
	}
	return n
}

func (w *work) tested(i int) bool {
	return slices.ContainsFunc(w.in.Tests, func(t Test) bool { return !math.IsNaN(last(t, i)) })
}

// athlete is one profile, and what would be named with nothing to find.
func (w *work) athlete(i int) (Athlete, [3]float64) {
	g := w.groups[text(w.in.Group, i)]
	at := w.places[i]
	a := Athlete{Name: w.in.Athletes[i], Group: g.name, Index: i, Tests: w.scores(g, at, i)}
	all := slices.Concat(w.ratios(g, at, SideDifference), w.ratios(g, at, Gain), w.gaps(g, at))
	var came []found
	for _, kind := range []IndexKind{SideDifference, Gain, Gap} {
		for _, direction := range []string{Above, Below} {
			came = append(came, w.grades(g, at, all, kind, direction)...)
		}
	}
	means, more := w.means(g, at, all)
	a.Means, came = means, append(came, more...)
	spectrum, low := w.spectrum(g, at)
	a.Spectrum, came = spectrum, append(came, low...)
	came = append(came, w.planesLow(g, at)...)
	w.whole(g, at, &a)
	for _, c := range a.Regions {
		if r, ok := w.o.Rules.Find(c.HiddenRule); ok {
			came = append(came, found{kind: OnePart, direction: Below, grade: c.HiddenGrade, rule: r})
		}
	}
	first := map[string]bool{}
	for _, l := range all {
		w.note(&l)
		a.Indices = append(a.Indices, l.Index)
		first[l.With] = first[l.With] || l.First && l.Kind == Gap
	}
	for _, l := range a.Lines {
		a.Indices = append(a.Indices, w.lineIndices(g, l)...)
	}
	a.Emphases = named(came, first)
	w.evenly(g, at, &a)
	w.again(&a)
	w.refer(&a)
	return a, w.expected(g, at, all, w.o.Seed+uint64(i))
}

// whole are the composites and the lines of an athlete.
func (w *work) whole(g *group, at int, a *Athlete) {
	a.Regions = w.composites(g, at, func(t Test) string { return t.Region })
	a.Planes = w.composites(g, at, func(t Test) string { return t.Plane })
	a.Legs = w.composites(g, at, legs)
	for _, tests := range w.b.lines {
		if l, ok := w.line(g, at, tests); ok {
			a.Lines = append(a.Lines, l)
		}
	}
}

// planesLow is the plane that is truly lowest, where it is told apart.
func (w *work) planesLow(g *group, at int) []found {
	parts := w.parts(g, at, func(t Test) string { return t.Plane })
	b, ok := g.belief(at, parts, w.normals)
	if !ok {
		return nil
	}
	low := w.told(b, parts, PlaneLowest)
	for k, f := range low {
		for _, p := range parts {
			if p.name == f.tests[0] {
				low[k].high, low[k].low = w.power(g, at, even(p.tests))
			}
		}
	}
	return low
}

// note keeps the doubts about an index, and says that one without a rule has none.
func (w *work) note(l *looked) {
	if l.guessed {
		w.guessed[l.Measure], w.guessed[l.With] = true, true
	}
	if l.Ungraded == "" && l.Rule == "" && l.Kind != LoadVelocity {
		l.Ungraded = NoRule
	}
}

// scores are an athlete's scores with their noise and standings.
func (w *work) scores(g *group, at, i int) []Score {
	var out []Score
	for t, test := range w.in.Tests {
		s := Score{Test: t, Value: last(test, i), Lower: math.NaN(), Upper: math.NaN(), Exposures: w.exposures(t, i),
			SetAside: w.asides[[2]int{i, t}]}
		if m := g.models[t]; m != nil && !math.IsNaN(s.Value) {
			half := dist.TQuantile((1+w.o.Level)/2, m.DF) * m.TypicalError
			x := test.scaled(s.Value)
			s.Lower, s.Upper = test.unscaled(x-half), test.unscaled(x+half)
		}
		if !math.IsNaN(s.Value) {
			s.Standings = w.standings(g, at, i, t)
		}
		out = append(out, s)
	}
	return out
}

// standings are those in the own level, when there is one, and in the whole cohort.
func (w *work) standings(g *group, at, i, t int) []Standing {
	var out []Standing
	if g.name != "" {
		if s, ok := g.stand(at, t, w.o.Level); ok {
			out = append(out, s)
		}
	}
	if s, ok := w.groups[""].stand(i, t, w.o.Level); ok {
		out = append(out, s)
	}
	return out
}

func (w *work) doubt(kind caveat.Kind, g *group, p pair, numbers ...float64) {
	w.caveats = append(w.caveats, caveat.New(kind, numbers...).About(w.in.Tests[p.first].Name).With(g.name))
}

// doubts are those about all profiles.
func (w *work) doubts() []caveat.Caveat {
	out := caveat.Gather(w.caveats)
	var names, guessed, sideless []string
	for _, t := range w.in.Tests {
		if !slices.ContainsFunc(w.in.Noise, func(n Noise) bool { return n.has(t.Name) }) {
			names = append(names, t.Name)
		}
		if w.guessed[t.Name] {
			guessed = append(guessed, t.Name)
		}
	}
	if len(names) > 0 {
		out = append(out, caveat.New(NoNoiseOf).About(names...))
	}
	if len(guessed) > 0 {
		out = append(out, caveat.New(ErrorsGuessed).About(guessed...))
	}
	if slices.ContainsFunc(w.b.pairs[SideDifference], func(p pair) bool { return p.sided }) {
		for i, name := range w.in.Athletes {
			if d := text(w.in.Dominant, i); d != "left" && d != "right" {
				sideless = append(sideless, name)
			}
		}
	}
	if len(sideless) > 0 {
		out = append(out, caveat.New(NobodySaidDominant).With(sideless...))
	}
	return append(append(out, w.smallGroups()...), w.noisy()...)
}

// noisy names the tests that are mostly noise, in each group.
func (w *work) noisy() []caveat.Caveat {
	var out []caveat.Caveat
	for _, name := range slices.Sorted(maps.Keys(w.groups)) {
		g, tests := w.groups[name], []string(nil)
		for t, test := range w.in.Tests {
			if g.models[t] != nil && !g.useful[t] && test.Role != Outcome {
				tests = append(tests, test.Name)
			}
		}
		if len(tests) > 0 && (name != "" || len(w.groups) == 1) {
			out = append(out, caveat.New(TooNoisy).About(tests...).With(name))
		}
	}
	return out
}

func (w *work) smallGroups() []caveat.Caveat {
	var out []caveat.Caveat
	if len(w.b.pairs[Gap]) == 0 {
		return nil
	}
	for _, name := range slices.Sorted(maps.Keys(w.groups)) {
		if n := len(w.groups[name].rows); n < leastGap && (name != "" || len(w.groups) == 1) {
			out = append(out, caveat.New(FewForGaps, float64(n)).With(name))
		}
	}
	return out
}

func (n Noise) has(test string) bool {
	for _, m := range n.Models {
		if m.Measure == test {
			return true
		}
	}
	return false
}

// unscaled is a value on the scale of the test in its unit.
func (t Test) unscaled(x float64) float64 {
	if t.Scale == score.Log {
		return math.Exp(x)
	}
	return x
}
