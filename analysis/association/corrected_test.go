package association_test

import (
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"noisefloor/analysis/anova"
	"noisefloor/analysis/association"
	"noisefloor/analysis/estimate"
	"noisefloor/internal/numtest"
)

// sessions are the cohort with two sessions behind outcome and first test.
func sessions() association.Input {
	in := cohort()
	rng := rand.New(rand.NewPCG(5, 5))
	noisy(rng, &in.Outcome, slices.Clone(in.Outcome.Value), 0.6)
	noisy(rng, &in.Tests[0], slices.Clone(in.Tests[0].Value), 0.8)
	return in
}

func TestCorrected(t *testing.T) {
	a := analyse(t, sessions()).Associations[0]
	c := a.Corrected
	numtest.Close(t, "r/√(rel rel)", c.Value, a.Pearson.Value/math.Sqrt(c.ReliabilityTest*c.ReliabilityOutcome), 1e-14)
	if !(c.Lower < c.Value && c.Value < c.Upper) || c.Kind != estimate.BCa {
		t.Errorf("interval %+v", c.Estimate)
	}
	if want := [2]association.Source{{Variable: "throw", Sessions: 2}, {Variable: "speed",
		Sessions: 2}}; c.Sources != want {
		t.Errorf("sources %v, want %v", c.Sources, want)
	}
	if b := analyse(t, sessions()).Associations[1]; b.Corrected != nil || !strings.Contains(said(b.Caveats),
		`no-reliability ["jump"] (jump)`) {
		t.Errorf("jump without reliability: %+v, %s", b.Corrected, said(b.Caveats))
	}
}

// A stated reliability is what divides; far from the sessions it is remarked on.
func TestCorrectedAsStated(t *testing.T) {
	in := sessions()
	in.Tests[0].Reliability, in.Tests[0].ReliabilitySource = 0.5, "reliability study of May"
	a := analyse(t, in).Associations[0]
	numtest.Close(t, "as stated", a.Corrected.ReliabilityTest, 0.5, 0)
	if !a.Corrected.AboveOne || !a.Corrected.HasInterval() || a.Corrected.Value <= 1 ||
		a.Corrected.Sources[0] != (association.Source{Variable: "throw", Given: "reliability study of May"}) {
		t.Errorf("corrected %+v", a.Corrected)
	}
	text := said(a.Caveats)
	for _, want := range []string{`reliability-differs ["throw"] (throw) 0.50 0.9`, "corrected-beyond-one"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in:\n%s", want, text)
		}
	}

	in.Tests[0].Sessions = nil
	a = analyse(t, in).Associations[0]
	if a.Corrected.HasInterval() || a.Corrected.Kind != estimate.NoSessions {
		t.Errorf("without sessions: %+v", a.Corrected)
	}
}

func TestNoCorrection(t *testing.T) {
	for _, tt := range []struct {
		rel    float64
		source string
		want   string
	}{
		{-0.2, "", `reliability-unusable ["throw"] (throw) -0.20`}, {0, "a study",
			`reliability-unusable ["throw"] (throw) 0.00`},
		{1.3, "", `reliability-unusable ["throw"] (throw) 1.30`}, {math.NaN(), "",
			`no-reliability ["throw"] (throw)`}, {0, "", `no-reliability ["throw"] (throw)`},
	} {
		in := sessions()
		in.Tests[0].Sessions, in.Tests[0].Reliability, in.Tests[0].ReliabilitySource = nil, tt.rel, tt.source
		a := analyse(t, in).Associations[0]
		if a.Corrected != nil || !strings.Contains(said(a.Caveats), tt.want) {
			t.Errorf("reliability %g: %+v, %s", tt.rel, a.Corrected, said(a.Caveats))
		}
	}
	in := sessions()
	rng := rand.New(rand.NewPCG(6, 6))
	for i := range in.Tests[0].Sessions { // sessions that do not know each other
		in.Tests[0].Sessions[i] = rng.NormFloat64() * math.Pow(-1, float64(i))
	}
	for i := 1; i < len(in.Tests[0].Sessions); i += 2 {
		in.Tests[0].Sessions[i] = -in.Tests[0].Sessions[i-1]
	}
	if a := analyse(t, in).Associations[0]; a.Corrected != nil {
		t.Errorf("athletes whose means are all 0: %+v", a.Corrected)
	}
	plainest := analyse(t, cohort()).Associations[0]
	if plainest.Corrected != nil || strings.Contains(said(plainest.Caveats), "reliability") {
		t.Errorf("nothing known: %+v, %s", plainest.Corrected, said(plainest.Caveats))
	}
}

// The terms of a resample against the slow way: the resampled table analysed
// anew. An athlete drawn twice becomes two athletes.
func TestResamplingMatchesAnalysis(t *testing.T) {
	in := sessions()
	in.Tests = in.Tests[:1]
	in.Outcome.Value[3] = math.NaN()
	in.Tests[0].Sessions[5] = math.NaN()
	fill(in.Outcome.Sessions[14:16], math.NaN()) // P8 has nothing: it is no unit of the bootstrap
	fill(in.Tests[0].Sessions[14:16], math.NaN())
	in.Outcome.Value[7], in.Tests[0].Value[7] = math.NaN(), math.NaN()
	stat, n, _ := association.CorrectedStatistic(in)
	if n != 9 {
		t.Fatalf("%d athletes to resample, want 9", n)
	}
	kept := slices.Concat(indices(7), []int{8, 9})
	rng := rand.New(rand.NewPCG(7, 7))
	compared := 0
	for range 50 {
		index := make([]int, n)
		for i := range index {
			index[i] = rng.IntN(n)
		}
		r, err := association.Analyse(resampled(in, pickInts(kept, index)), association.Options{Replicates: 1})
		if err != nil || r.Associations[0].Corrected == nil {
			continue
		}
		numtest.Close(t, "corrected r of a resample", stat(index, nil), r.Associations[0].Corrected.Value, 1e-10)
		compared++
	}
	if compared < 40 {
		t.Errorf("only %d of 50 resamples compared", compared)
	}
}

func resampled(in association.Input, index []int) association.Input {
	out := plain(nil, nil)
	take := func(to *association.Variable, from association.Variable) {
		to.Reliability = math.NaN()
		for _, i := range index {
			to.Value = append(to.Value, from.Value[i])
			to.Sessions = append(to.Sessions, from.Sessions[2*i:2*i+2]...)
		}
	}
	take(&out.Outcome, in.Outcome)
	take(&out.Tests[0], in.Tests[0])
	for i := range index {
		out.Athletes = append(out.Athletes, string(rune('a'+i)))
	}
	return out
}

// The same seed gives the same bits on one core and on all; another seed others.
func TestReproducible(t *testing.T) {
	in := sessions()
	run := func(seed uint64) association.Result {
		return must[association.Result](t)(association.Analyse(in, association.Options{Seed: seed}))
	}
	many := run(1)
	before := runtime.GOMAXPROCS(1)
	one := run(1)
	runtime.GOMAXPROCS(before)
	if diff := cmp.Diff(one, many, cmpopts.EquateNaNs()); diff != "" {
		t.Errorf("cores matter:\n%s", diff)
	}
	stated := must[association.Result](t)(association.Analyse(in, association.Options{Seed: 1, Replicates: 2000}))
	if diff := cmp.Diff(stated, many, cmpopts.EquateNaNs()); diff != "" {
		t.Errorf("without a number of replicates it is not 2000:\n%s", diff)
	}
	if run(2).Associations[0].Corrected.Lower == many.Associations[0].Corrected.Lower {
		t.Error("the seed does not matter")
	}
}

func pickInts(x, at []int) []int {
	out := make([]int, len(at))
	for i, j := range at {
		out[i] = x[j]
	}
	return out
}

// Two reliabilities below 0 have a positive product, but still no root that
// means anything: such a resample has no value.
func TestResampleWithoutReliability(t *testing.T) {
	in := plain([]float64{1, 2, 3, 5, 8}, []float64{1, 3, 2, 5, 7})
	in.Outcome.Sessions = []float64{1, 2, 2, 1, 1.1, 2.2, 9, 9, 12, 12}
	in.Tests[0].Sessions = []float64{5, 1, 1, 5, 4.5, 1.2, 9, 9, 12, 12}
	stat, n, _ := association.CorrectedStatistic(in)
	if got := stat([]int{0, 1, 2, 0, 1}, nil); !math.IsNaN(got) {
		t.Errorf("noise alone has a corrected r of %g", got)
	}
	if got := stat([]int{3, 3, 3, 3, 3}, nil); !math.IsNaN(got) {
		t.Errorf("one athlete alone has a corrected r of %g", got)
	}
	if got := stat(indices(n), nil); !(got > 0.9) {
		t.Errorf("all athletes: corrected r = %g", got)
	}
}

// apart are sessions() with both reliabilities from a study of 8 others, three
// sessions each.
func apart() association.Input {
	in := sessions()
	rng := rand.New(rand.NewPCG(15, 5))
	in.StudyAthletes = people("S", 8)
	for _, v := range []*association.Variable{&in.Outcome, &in.Tests[0]} {
		v.Sessions = nil
		for range 8 {
			truth := 4 * rng.NormFloat64()
			for range 3 {
				v.Study = append(v.Study, truth+0.8*rng.NormFloat64())
			}
		}
	}
	in.Outcome.ValueSessions = 2
	return in
}

// The study's ICC(C,k), stepped to the sessions behind the value, divides; by
// hand from the mean squares of the study.
func TestCorrectedByAnotherStudy(t *testing.T) {
	in := apart()
	a := analyse(t, in).Associations[0]
	for _, q := range []struct {
		name     string
		v        association.Variable
		sessions float64
		got      float64
	}{{"speed", in.Outcome, 2, a.Corrected.ReliabilityOutcome}, {"throw", in.Tests[0], 1,
		a.Corrected.ReliabilityTest}} {
		table := must[anova.TwoWay](t)(anova.AnalyseTwoWay(q.v.Study, 8, 3))
		single := (table.MSR - table.MSE) / (table.MSR + 2*table.MSE)
		numtest.Close(t, "reliability of "+q.name, q.got, q.sessions*single/(1+(q.sessions-1)*single), 1e-12)
	}
	numtest.Close(t, "corrected", a.Corrected.Value,
		a.Pearson.Value/math.Sqrt(a.Corrected.ReliabilityTest*a.Corrected.ReliabilityOutcome), 1e-14)
	if want := [2]association.Source{{Variable: "throw", Sessions: 3, Apart: true}, {Variable: "speed", Sessions: 3,
		Apart: true}}; a.Corrected.Sources != want || !a.Corrected.HasInterval() {
		t.Errorf("%+v, want sources %v", a.Corrected, want)
	}
}

// Both studies are resampled, each from itself, against the tables put
// together anew.
func TestResamplingTwoStudiesMatchesAnalysis(t *testing.T) {
	in := apart()
	in.Tests = in.Tests[:1]
	in.Tests[0].Study[4] = nan // S1 says nothing of the throw
	stat, n, m := association.CorrectedStatistic(in)
	if n != 10 || m != 8 {
		t.Fatalf("%d and %d athletes, want 10 and 8", n, m)
	}
	rng := rand.New(rand.NewPCG(8, 8))
	compared := 0
	for range 60 {
		index, study := make([]int, n), make([]int, m)
		for i := range index {
			index[i] = rng.IntN(n)
		}
		for i := range study {
			study[i] = rng.IntN(m)
		}
		re := chosen(in, index)
		re.StudyAthletes = people("S", m)
		for _, v := range []*association.Variable{&re.Outcome, &re.Tests[0]} {
			old := v.Study
			v.Study, v.Reliability = nil, nan
			for _, i := range study {
				v.Study = append(v.Study, old[3*i:3*i+3]...)
			}
		}
		r, err := association.Analyse(re, association.Options{Replicates: 1})
		if err != nil || r.Associations[0].Corrected == nil {
			continue
		}
		numtest.Close(t, "corrected r of a resample", stat(index, study), r.Associations[0].Corrected.Value, 1e-10)
		compared++
	}
	if compared < 45 {
		t.Errorf("only %d of 60 resamples compared", compared)
	}
}

// Of one variable's reliability from the table and the other's from a study.
func TestCorrectedMixed(t *testing.T) {
	in := apart()
	in.Outcome.Sessions, in.Outcome.Study = sessions().Outcome.Sessions, nil
	a := analyse(t, in).Associations[0]
	if want := [2]association.Source{{Variable: "throw", Sessions: 3, Apart: true}, {Variable: "speed",
		Sessions: 2}}; a.Corrected.Sources != want || !a.Corrected.HasInterval() {
		t.Errorf("%+v, want sources %v", a.Corrected, want)
	}
	same := analyse(t, sessions()).Associations[0]
	numtest.Close(t, "from the same table", a.Corrected.ReliabilityOutcome, same.Corrected.ReliabilityOutcome, 1e-13)
	in.Outcome.Study = apart().Outcome.Study // sessions of the table come first
	if b := analyse(t, in).Associations[0]; b.Corrected.Sources != a.Corrected.Sources ||
		b.Corrected.Lower != a.Corrected.Lower {
		t.Errorf("%+v, want %+v", b.Corrected, a.Corrected)
	}
}

func TestStudyCaveats(t *testing.T) {
	in := apart()
	in.StudyAthletes[2] = "P4"
	in.Tests[0].Reliability, in.Tests[0].ReliabilitySource = 0.5, "May"
	in.Outcome.Study = mapped(in.Outcome.Study, func(v float64) float64 { return 10 * v })
	r := analyse(t, in)
	text := said(r.Caveats, r.Associations[0].Caveats)
	for _, want := range []string{"athletes-in-both-studies 1.00", `reliability-differs ["throw"] (throw) 0.50 `,
		` 1.00`,
		`spread-differs ["throw"] (speed) 0.18`} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in:\n%s", want, text)
		}
	}
	if strings.Contains(text, `spread-differs ["throw"] (throw)`) {
		t.Errorf("a study with like athletes is warned of:\n%s", text)
	}
	// One session says nothing of noise.
	in = apart()
	in.Tests[0].Study = in.Tests[0].Study[:8]
	if a := analyse(t, in).Associations[0]; a.Corrected != nil || !strings.Contains(said(a.Caveats),
		`no-reliability ["throw"] (throw)`) {
		t.Errorf("one session: %+v", a.Corrected)
	}
	for name, spoil := range map[string]func(*association.Input){
		`"throw": columns of different length: 23 session scores of 8 athletes of the study`: func(in *association.Input) { in.Tests[0].Study = in.Tests[0].Study[:23] },
		`24 session scores of 0 athletes of the study`:                                       func(in *association.Input) { in.StudyAthletes = nil },
		`"throw", athlete S1 of the study, session 2: not a finite number`:                   func(in *association.Input) { in.Tests[0].Study[4] = math.Inf(1) },
		`athlete "S1": named twice`:                                                          func(in *association.Input) { in.StudyAthletes[5] = "S1" },
	} {
		in := apart()
		spoil(&in)
		if _, err := association.Analyse(in, association.Options{}); err == nil || !strings.Contains(err.Error(),
			name) {
			t.Errorf("error %v, want %s", err, name)
		}
	}
}
