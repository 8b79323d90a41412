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

	"noisefloor/analysis/association"
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
	if !(c.Lower < c.Value && c.Value < c.Upper) || !strings.HasPrefix(c.Method, "BCa bootstrap") {
		t.Errorf("interval %+v", c.Estimate)
	}
	if want := "throw: ICC(C,2) of the same table; speed: ICC(C,2) of the same table"; c.Source != want {
		t.Errorf("source %q, want %q", c.Source, want)
	}
	if b := analyse(t, sessions()).Associations[1]; b.Corrected != nil || !slices.Contains(b.Warnings, `no correction for unreliability: the reliability of "jump" is not known`) {
		t.Errorf("jump without reliability: %+v, %q", b.Corrected, b.Warnings)
	}
}

// A stated reliability is what divides; far from the sessions it is remarked on.
func TestCorrectedAsStated(t *testing.T) {
	in := sessions()
	in.Tests[0].Reliability, in.Tests[0].ReliabilitySource = 0.5, "reliability study of May"
	a := analyse(t, in).Associations[0]
	numtest.Close(t, "as stated", a.Corrected.ReliabilityTest, 0.5, 0)
	if !a.Corrected.AboveOne || !a.Corrected.HasInterval() || a.Corrected.Value <= 1 ||
		!strings.Contains(a.Corrected.Source, "throw: reliability study of May") {
		t.Errorf("corrected %+v", a.Corrected)
	}
	text := strings.Join(a.Warnings, "\n")
	for _, want := range []string{"is given as 0.50, its sessions here give 0.9", "lies beyond 1"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in:\n%s", want, text)
		}
	}

	in.Tests[0].Sessions = nil
	a = analyse(t, in).Associations[0]
	if a.Corrected.HasInterval() || !strings.Contains(a.Corrected.Method, `"throw" has no sessions`) {
		t.Errorf("without sessions: %+v", a.Corrected)
	}
}

func TestNoCorrection(t *testing.T) {
	for _, tt := range []struct {
		rel    float64
		source string
		want   string
	}{
		{-0.2, "", "not above 0"}, {0, "a study", "not above 0"}, {1.3, "", "no reliability can be"}, {math.NaN(), "", "not known"}, {0, "", "not known"},
	} {
		in := sessions()
		in.Tests[0].Sessions, in.Tests[0].Reliability, in.Tests[0].ReliabilitySource = nil, tt.rel, tt.source
		a := analyse(t, in).Associations[0]
		if a.Corrected != nil || !strings.Contains(strings.Join(a.Warnings, "\n"), tt.want) {
			t.Errorf("reliability %g: %+v, %q", tt.rel, a.Corrected, a.Warnings)
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
	if plainest.Corrected != nil || strings.Contains(strings.Join(plainest.Warnings, "\n"), "unreliability") {
		t.Errorf("nothing known: %+v, %q", plainest.Corrected, plainest.Warnings)
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
	if got := many.Associations[0].Corrected.Method; !strings.Contains(got, " 2000 ") {
		t.Errorf("without a number of replicates: %s", got)
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
