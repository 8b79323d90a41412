package association_test

import (
	"errors"
	"fmt"
	"log"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"noisefloor/analysis/association"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
)

// squad is n athletes with one covariate, a sagittal and b transverse tests.
func squad(rng *rand.Rand, n, a, b int) association.Input {
	in := association.Input{Outcome: association.Variable{Name: "speed", Unit: "m/s", Better: score.Higher}}
	age := association.Variable{Name: "age"}
	for range b {
		in.Tests = append(in.Tests, association.Variable{Name: fmt.Sprintf("turn %d", len(in.Tests)+1),
			Plane: "transverse", Better: score.Higher})
	}
	for range a {
		in.Tests = append(in.Tests, association.Variable{Name: fmt.Sprintf("jump %d", len(in.Tests)-b+1),
			Plane: "sagittal", Better: score.Higher})
	}
	for i := range n {
		skill, old := rng.NormFloat64(), 16+2*rng.NormFloat64()
		in.Athletes = append(in.Athletes, fmt.Sprintf("P%d", i+1))
		age.Value = append(age.Value, old)
		for k := range in.Tests {
			t := &in.Tests[k]
			t.Value = append(t.Value, 50+5*(0.7*skill+0.7*rng.NormFloat64()))
		}
		in.Outcome.Value = append(in.Outcome.Value, 30+2*skill+0.3*old+rng.NormFloat64())
	}
	in.Covariates = []association.Variable{age}
	return in
}

func models(t testing.TB, in association.Input, o association.Options) association.ModelSet {
	t.Helper()
	if o.Replicates == 0 {
		o.Replicates = 200
	}
	return must[association.ModelSet](t)(association.Models(in, o))
}

func random(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 99)) }

// When the tests are few enough they are terms; one more, and each plane is one.
func TestFormOfBlocks(t *testing.T) {
	for _, tt := range []struct {
		n, a, b int
		ask     association.BlockForm
		want    association.BlockForm
		terms   string
	}{
		{40, 1, 2, association.BlockAuto, association.BlockTests, "age, jump 1, turn 1, turn 2"},
		{39, 1, 2, association.BlockAuto, association.BlockComposite, "age, jump 1, mean of 2 transverse tests"},
		{39, 2, 2, association.BlockTests, association.BlockTests, "age, jump 1, jump 2, turn 1, turn 2"},
		{60, 2, 2, association.BlockComposite, association.BlockComposite,
			"age, mean of 2 sagittal tests, mean of 2 transverse tests"},
		{29, 1, 1, association.BlockAuto, association.BlockTests, "age, jump 1, turn 1"},
		{60, 1, 1, association.BlockComposite, association.BlockTests, "age, jump 1, turn 1"},
	} {
		s := models(t, squad(random(1), tt.n, tt.a, tt.b), association.Options{Blocks: tt.ask})
		var terms []string
		for _, k := range s.Models[2].Terms {
			terms = append(terms, k.Name)
		}
		if got := strings.Join(terms, ", "); got != tt.terms || s.Form != tt.want {
			t.Errorf("n = %d, %d + %d tests, form %v: terms %s (form %v), want %s (%v)", tt.n, tt.a, tt.b, tt.ask,
				got, s.Form, tt.terms, tt.want)
		}
		composed := strings.Contains(said(s.Caveats), "planes-taken-as-one")
		if want := tt.ask == association.BlockAuto && tt.want == association.BlockComposite; composed != want {
			t.Errorf("n = %d: the composite is said %v, want %v: %s", tt.n, composed, want, said(s.Caveats))
		}
	}
}

func TestNamesAndSteps(t *testing.T) {
	in := squad(random(2), 60, 1, 1)
	for i := range in.Athletes {
		in.Group = append(in.Group, []string{"school", "academy"}[i%2])
	}
	in.GroupName = "squad"
	s := models(t, in, association.Options{})
	var got []string
	for _, m := range s.Models {
		got = append(got, m.Name)
	}
	for _, a := range s.Added {
		got = append(got, fmt.Sprintf("%s after %s (%d to %d)", a.Block, a.After, a.From, a.To))
	}
	want := []string{"covariates + squad", "covariates + squad + sagittal",
		"covariates + squad + sagittal + transverse", "covariates + squad + transverse",
		"sagittal after covariates + squad (0 to 1)", "transverse after covariates + squad + sagittal (1 to 2)",
		"transverse after covariates + squad (0 to 3)", "sagittal after covariates + squad + transverse (3 to 2)"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if k := s.Models[0].Terms[1]; k.Name != "squad school" || k.Block != "squad" {
		t.Errorf("level term %+v", k)
	}
	for _, a := range s.Added {
		from, to := s.Models[a.From], s.Models[a.To]
		numtest.CloseAbs(t, "ΔR²", a.DeltaR2.Value, to.R2-from.R2, 1e-14)
		numtest.CloseAbs(t, "ΔR² left out", a.DeltaR2LOO, to.R2LOO-from.R2LOO, 1e-14)
		if !a.DeltaR2.HasInterval() || a.DeltaR2.Kind != estimate.NoncentralF {
			t.Errorf("%+v", a)
		}
	}
	// Without covariates and levels the first model is the mean.
	in.Covariates, in.Group = nil, nil
	s = models(t, in, association.Options{})
	if m := s.Models[0]; m.Name != "mean only" || m.R2 != 0 || m.R2LOO != 0 || len(m.Terms) != 0 {
		t.Errorf("without covariates: %+v", m)
	}
	if s.Models[1].Name != "sagittal" {
		t.Errorf("second model %q", s.Models[1].Name)
	}
}

// Turning a test whose better is lower changes neither composite nor models.
func TestCompositeIsTurned(t *testing.T) {
	in := squad(random(3), 40, 3, 3)
	want := models(t, in, association.Options{})
	turned := &in.Tests[4]
	turned.Value, turned.Better = mapped(turned.Value, func(v float64) float64 { return 9 - 2*v }), score.Lower
	got := models(t, in, association.Options{})
	same := cmp.Options{cmpopts.EquateNaNs(), cmpopts.EquateApprox(1e-9, 1e-12)}
	if diff := cmp.Diff(want, got, same); diff != "" || want.Form != association.BlockComposite {
		t.Errorf("(-want +got):\n%s", diff)
	}
	turned.Better = score.Higher // now it goes against the others
	if s := models(t, in, association.Options{}); !strings.Contains(said(s.Caveats),
		fmt.Sprintf("against-other-tests [%q] (sagittal) -", turned.Name)) {
		t.Errorf("caveats %s", said(s.Caveats))
	}
}

func TestCaveatsOfModels(t *testing.T) {
	tests := []struct {
		name  string
		n     int
		spoil func(*association.Input)
		want  string // among the caveats of the set and of the models
	}{
		{"too few athletes", 11, func(*association.Input) {}, "no-models (too-few) 11.00 12.00"},
		{"no planes", 30, func(in *association.Input) { in.Tests[0].Plane, in.Tests[1].Plane = "frontal", "" },
			"no-models (no-tests)"},
		{"neither plane", 30, func(in *association.Input) { in.Tests[0].Plane = "frontal" },
			`tests-in-no-model ["turn 1"]`},
		{"few residual df", 13, func(*association.Input) {},
			"no-figures (covariates + sagittal + transverse, too-few) 13.00 3.00 9.00 10.00"},
		{"few athletes for a term", 25, func(*association.Input) {}, "few-for-terms 25.00 3.00 10.00"},
		{"lacking", 40, func(in *association.Input) {
			fill(in.Tests[0].Value[:7], nan)
			fill(in.Tests[1].Value[20:22], nan)
			in.Covariates[0].Value[39] = nan
		}, `athletes-not-in-models ["turn 1"] 10.00 40.00 7.00`},
		{"constant where complete", 40, func(in *association.Input) {
			fill(in.Tests[1].Value[:39], 7)
			in.Tests[0].Value[39] = nan
		}, `left-out-of-models ["jump 1"] (no-variation) 39.00`},
		{"a test twice", 40, func(in *association.Input) {
			in.Tests[1].Value = mapped(in.Tests[0].Value, func(v float64) float64 { return 2 * v })
		}, `left-out-of-models ["turn 1"] (collinear) 40.00`},
		{"a constant covariate where complete", 40, func(in *association.Input) {
			fill(in.Covariates[0].Value[:39], 7)
			in.Tests[0].Value[39] = nan
		}, `left-out-of-models ["age"] (no-variation) 39.00`},
		{"a constant outcome where complete", 40, func(in *association.Input) {
			fill(in.Outcome.Value[:39], 7)
			in.Tests[0].Value[39] = nan
		}, "no-models (no-variation) 39.00 12.00"},
		{"alone in a level", 40, func(in *association.Input) {
			in.Group = make([]string, 40)
			for i := range in.Group {
				in.Group[i] = "academy"
			}
			in.Group[5] = "school"
		}, "alone-in-level (P6, covariates"},
		{"nearly the same", 40, func(in *association.Input) {
			in.Tests[1].Value = mapped(in.Tests[0].Value, func(v float64) float64 { return v + 0.01*math.Sin(v) })
		}, `terms-nearly-determined ["jump 1" "turn 1"] (covariates + sagittal + transverse) `},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			in := squad(random(4), tt.n, 1, 1)
			tt.spoil(&in)
			s := models(t, in, association.Options{})
			text := said(s.Caveats)
			for _, m := range s.Models {
				text += "\n" + said(m.Caveats)
			}
			if !strings.Contains(text, tt.want) {
				t.Errorf("no %q in:\n%s", tt.want, text)
			}
			for _, m := range s.Models {
				if (m.Reason == "") == math.IsNaN(m.R2) {
					t.Errorf("R² %g, reason %q", m.R2, m.Reason)
				}
			}
		})
	}
}

// A model that cannot be fitted says why in every figure; the smaller ones
// stand, and so does what is added to them.
func TestLargestModelTooLarge(t *testing.T) {
	s := models(t, squad(random(5), 13, 1, 1), association.Options{})
	large := s.Models[2]
	if large.Reason == "" || !allNaN(large.R2, large.R2LOO, large.ResidualSD, large.PredictionSD, large.Condition,
		large.AdjustedR2, large.PRESS, large.Intercept.Value) ||
		large.Terms[0].Coefficient.Kind != large.Reason || !allNaN(large.Terms[0].Coefficient.Value,
		large.Terms[0].VIF, large.Terms[0].P, large.Terms[0].PerSD) {
		t.Errorf("%+v", large)
	}
	for k, a := range s.Added {
		to := s.Models[a.To]
		if (to.Reason == "") == math.IsNaN(a.F) || (to.Reason == "") != a.DeltaR2.HasInterval() {
			t.Errorf("step %d: %+v", k, a)
		}
	}
	// One athlete fewer, and the smaller models are gone as well.
	s = models(t, squad(random(5), 12, 1, 1), association.Options{})
	if len(s.Models) != 4 || len(s.Added) != 4 {
		t.Fatalf("12 athletes: %d models, %d steps, %s", len(s.Models), len(s.Added), said(s.Caveats))
	}
	if s := models(t, squad(random(5), 14, 1, 1), association.Options{}); s.Models[2].Reason != "" ||
		s.Models[2].DF != 10 {
		t.Errorf("10 degrees of freedom: %+v", s.Models[2])
	}
	for _, a := range s.Added {
		if !allNaN(a.F, a.P, a.DeltaR2.Value, a.DeltaR2LOO) || a.DeltaR2.Kind == "" {
			t.Errorf("%+v", a)
		}
	}
}

func TestOnePlane(t *testing.T) {
	for plane, other := range map[string]int{"transverse": 1, "sagittal": 0} {
		in := squad(random(6), 50, 1, 1)
		in.Tests = slices.Delete(in.Tests, other, other+1)
		s := models(t, in, association.Options{})
		if len(s.Models) != 2 || len(s.Added) != 1 || s.Added[0].Block != plane || !s.Added[0].DeltaR2.HasInterval() {
			t.Errorf("%s alone: %d models, steps %+v", plane, len(s.Models), s.Added)
		}
		numtest.CloseAbs(t, "ΔR²", s.Added[0].DeltaR2.Value, s.Models[1].R2-s.Models[0].R2, 1e-14)
	}
	// The only test is a covariate in another unit: nothing to add.
	in := squad(random(6), 50, 1, 0)
	in.Tests[0].Value = mapped(in.Covariates[0].Value, func(v float64) float64 { return 12 * v })
	if s := models(t, in, association.Options{}); len(s.Models) != 1 || len(s.Added) != 0 {
		t.Errorf("%d models, %d steps", len(s.Models), len(s.Added))
	}
	// A test that is a covariate is no test of its block.
	in = squad(random(6), 50, 1, 1)
	in.Covariates = append(in.Covariates, in.Tests[1])
	if s := models(t, in, association.Options{}); len(s.Models) != 2 || s.Added[0].Block != "transverse" ||
		len(s.Caveats) > 0 {
		t.Errorf("%d models, %s", len(s.Models), said(s.Caveats))
	}
}

func TestModelsErrors(t *testing.T) {
	for name, tt := range map[string]struct {
		spoil func(*association.Input, *association.Options)
		want  error
	}{
		"level": {func(_ *association.Input, o *association.Options) { o.Level = 2 }, association.ErrLevel},
		"planes": {func(_ *association.Input, o *association.Options) { o.Planes = [2]string{"x", "x"} },
			association.ErrPlanes},
		"length": {func(in *association.Input, _ *association.Options) { in.Tests[0].Value = nil },
			association.ErrLength},
	} {
		in, o := squad(random(7), 30, 1, 1), association.Options{}
		tt.spoil(&in, &o)
		if _, err := association.Models(in, o); !errors.Is(err, tt.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Units, the order of athletes and the order of tests do not matter; adding a
// block never lowers R²; both orders end at the same model.
func TestModelsProperties(t *testing.T) {
	same := cmp.Options{cmpopts.EquateNaNs(), cmpopts.EquateApprox(1e-9, 1e-11)}
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(24, 60).Draw(rt, "n")
		in := squad(random(rapid.Uint64().Draw(rt, "seed")), n, rapid.IntRange(1, 3).Draw(rt, "a"), rapid.IntRange(1,
			3).Draw(rt, "b"))
		o := association.Options{Replicates: 1}
		want := models(t, in, o)
		figures := func(s association.ModelSet) (out []float64) {
			for _, m := range s.Models {
				out = append(out, m.R2, m.R2LOO, m.AdjustedR2, m.Terms[0].VIF)
			}
			for _, a := range s.Added {
				if a.DeltaR2.Value < 0 || a.DeltaR2.Value > 1 || a.P < 0 || a.P > 1 {
					t.Fatalf("%+v", a)
				}
				out = append(out, a.F, a.P, a.DeltaR2.Value)
			}
			return out
		}
		a := want.Added
		numtest.CloseAbs(t, "both orders", a[0].DeltaR2.Value+a[1].DeltaR2.Value,
			a[2].DeltaR2.Value+a[3].DeltaR2.Value, 1e-12)

		moved := chosen(in, indices(n))
		moved.Outcome.Value = mapped(moved.Outcome.Value, func(v float64) float64 { return 3.6 * v })
		for k := range moved.Tests {
			moved.Tests[k].Value = mapped(moved.Tests[k].Value, func(v float64) float64 { return 0.01*v + 5 })
		}
		got := models(t, moved, o)
		if diff := cmp.Diff(figures(want), figures(got), same); diff != "" {
			t.Fatalf("other units (-want +got):\n%s", diff)
		}
		numtest.Close(t, "residual SD", got.Models[2].ResidualSD, 3.6*want.Models[2].ResidualSD, 1e-9)
		numtest.Close(t, "prediction SD", got.Models[2].PredictionSD, 3.6*want.Models[2].PredictionSD, 1e-9)

		order := rapid.Permutation(indices(n)).Draw(rt, "order")
		shuffled := chosen(in, order)
		slices.Reverse(shuffled.Tests)
		if diff := cmp.Diff(figures(want), figures(models(t, shuffled, o)), same); diff != "" {
			t.Fatalf("other order (-want +got):\n%s", diff)
		}
	})
}

func TestModelsAreReproducible(t *testing.T) {
	in := squad(random(11), 50, 3, 3)
	before := chosen(in, indices(50))
	first := models(t, in, association.Options{})
	if diff := cmp.Diff(first, models(t, in, association.Options{}), cmpopts.EquateNaNs()); diff != "" {
		t.Errorf("a second time:\n%s", diff)
	}
	if diff := cmp.Diff(before.Tests, in.Tests); diff != "" {
		t.Errorf("in was modified:\n%s", diff)
	}
}

// Do rotational throws add to jumps? Thirty invented athletes.
func ExampleModels() {
	in := association.Input{Outcome: association.Variable{Name: "ball speed", Unit: "m/s"},
		Tests: []association.Variable{
			{Name: "rotational throw", Unit: "m", Plane: "transverse"}, {Name: "jump", Unit: "cm", Plane: "sagittal"}}}
	for i := range 30 {
		in.Athletes = append(in.Athletes, fmt.Sprintf("P%02d", i+1))
		x := float64(i)
		throw, jump := 8+0.1*x+math.Sin(7*x)/2, 35+0.2*x+3*math.Cos(5*x)
		in.Tests[0].Value = append(in.Tests[0].Value, throw)
		in.Tests[1].Value = append(in.Tests[1].Value, jump)
		in.Outcome.Value = append(in.Outcome.Value, 15+1.5*throw+0.1*jump+math.Sin(11*x))
	}
	s, err := association.Models(in, association.Options{Seed: 1})
	if err != nil {
		log.Fatal(err)
	}
	for _, m := range s.Models {
		fmt.Printf("%s: R² %.2f, left out %.2f, residual SD %.2f m/s\n", m.Name, m.R2, m.R2LOO, m.ResidualSD)
	}
	a := s.Added[1]
	fmt.Printf("%s after %s: ΔR² %.2f, p < 0.001: %t\n", a.Block, a.After, a.DeltaR2.Value, a.P < 0.001)
	// Output:
	// mean only: R² 0.00, left out 0.00, residual SD 1.72 m/s
	// sagittal: R² 0.30, left out 0.28, residual SD 1.46 m/s
	// sagittal + transverse: R² 0.83, left out 0.81, residual SD 0.73 m/s
	// transverse: R² 0.83, left out 0.82, residual SD 0.73 m/s
	// transverse after sagittal: ΔR² 0.53, p < 0.001: true
}

func BenchmarkModels(b *testing.B) {
	for _, n := range []int{60, 5000} {
		in := squad(random(12), n, 9, 9)
		for name, form := range forms {
			b.Run(fmt.Sprintf("tests=18/athletes=%d/replicates=2000/%s", n, name), func(b *testing.B) {
				for b.Loop() {
					if _, err := association.Models(in, association.Options{Blocks: form}); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
