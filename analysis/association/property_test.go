package association_test

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"noisefloor/analysis/association"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
)

// sample is a drawn set of columns of one length that vary; group has three
// levels of at least three athletes.
type sample struct {
	x, y, z []float64
	group   []string
}

func drawSample(t *rapid.T) sample {
	n := rapid.IntRange(9, 30).Draw(t, "n")
	column := func(name string) []float64 {
		v := make([]float64, n)
		for i := range v {
			v[i] = rapid.Float64Range(-10, 10).Draw(t, name) + float64(i%4) // the second term makes it vary
		}
		return v
	}
	s := sample{x: column("x"), y: column("y"), z: column("z"), group: make([]string, n)}
	for i := range s.group {
		s.group[i] = []string{"A", "B", "C"}[i%3]
	}
	return s
}

// kinds are the four kinds of r.
func (s sample) kinds(t testing.TB) map[string]association.Correlation {
	t.Helper()
	get := must[association.Correlation](t)
	return map[string]association.Correlation{
		"pearson":  get(association.Pearson(s.x, s.y, 0.9)),
		"spearman": get(association.Spearman(s.x, s.y, 0.9)),
		"partial":  get(association.Partial(s.x, s.y, [][]float64{s.z}, 0.9)),
		"within":   must[association.WithinGroups](t)(association.Within(s.x, s.y, s.group, 0.9)).Correlation,
	}
}

func (s sample) clone() sample {
	return sample{slices.Clone(s.x), slices.Clone(s.y), slices.Clone(s.z), slices.Clone(s.group)}
}

func mapped(x []float64, f func(float64) float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = f(v)
	}
	return out
}

// r is compared on an absolute scale: it is one, and may be near 0. p and the
// limits follow r, so they get a wider one.
func sameR(t testing.TB, name string, got, want association.Correlation) {
	t.Helper()
	numtest.CloseAbs(t, name+" r", got.Value, want.Value, 1e-10)
	numtest.CloseAbs(t, name+" p", got.P, want.P, 1e-7)
	numtest.CloseAbs(t, name+" lower", got.Lower, want.Lower, 1e-8)
	numtest.CloseAbs(t, name+" upper", got.Upper, want.Upper, 1e-8)
	numtest.Close(t, name+" n", float64(got.N), float64(want.N), 0)
}

func TestInvariance(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := drawSample(rt)
		before, want := s.clone(), s.kinds(t)

		moved := s.clone()
		moved.x = mapped(s.x, func(v float64) float64 { return 3 + 2*v })
		moved.y = mapped(s.y, func(v float64) float64 { return 100 + 0.5*v })
		moved.z = mapped(s.z, func(v float64) float64 { return -4 * v })
		for kind, got := range moved.kinds(t) {
			if kind != "spearman" { // 3+2v may round two near values to one rank
				sameR(t, kind+" rescaled", got, want[kind])
			}
		}

		mirrored := s.clone()
		mirrored.x = mapped(s.x, func(v float64) float64 { return -v })
		for kind, got := range mirrored.kinds(t) {
			got.Value, got.Lower, got.Upper = -got.Value, -got.Upper, -got.Lower
			sameR(t, kind+" mirrored", got, want[kind])
		}

		order := rapid.Permutation(indices(len(s.x))).Draw(rt, "order")
		for kind, got := range s.permuted(order).kinds(t) {
			sameR(t, kind+" permuted", got, want[kind])
		}

		swapped := sample{s.y, s.x, s.z, s.group}
		for kind, got := range swapped.kinds(t) {
			sameR(t, kind+" swapped", got, want[kind])
		}
		if diff := cmp.Diff(before, s, cmp.AllowUnexported(sample{})); diff != "" {
			t.Fatalf("an argument was modified:\n%s", diff)
		}
	})
}

func indices(n int) []int {
	x := make([]int, n)
	for i := range x {
		x[i] = i
	}
	return x
}

func (s sample) permuted(order []int) sample {
	out := s.clone()
	for i, j := range order {
		out.x[i], out.y[i], out.z[i], out.group[i] = s.x[j], s.y[j], s.z[j], s.group[j]
	}
	return out
}

// r within g levels is the partial r with g-1 indicator columns held constant:
// two separate pieces of code, one number, interval and p.
func TestWithinIsPartialWithIndicators(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := drawSample(rt)
		var z [][]float64
		for _, level := range []string{"B", "C"} {
			c := make([]float64, len(s.x))
			for i, g := range s.group {
				if g == level {
					c[i] = 1
				}
			}
			z = append(z, c)
		}
		p := must[association.Correlation](t)(association.Partial(s.x, s.y, z, 0.9))
		w := must[association.WithinGroups](t)(association.Within(s.x, s.y, s.group, 0.9))
		sameR(t, "within", w.Correlation, p)
		numtest.Close(t, "df", w.DF, p.DF, 0)
	})
}

// drawTriple draws three correlations that three variables can have.
func drawTriple(t *rapid.T) (r12, r13, r23 float64) {
	r12 = rapid.Float64Range(-0.98, 0.98).Draw(t, "r12")
	r13 = rapid.Float64Range(-0.98, 0.98).Draw(t, "r13")
	partial := rapid.Float64Range(-0.99, 0.99).Draw(t, "partial")
	return r12, r13, r12*r13 + partial*math.Sqrt((1-r12*r12)*(1-r13*r13))
}

func TestDependentSymmetry(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a, b, c := drawTriple(rt)
		n := rapid.IntRange(4, 200).Draw(rt, "n")
		wt, df, p := association.Williams(a, b, c, n)
		st, sdf, sp := association.Williams(b, a, c, n)
		if wt != -st || df != sdf || p != sp || math.IsNaN(wt) {
			t.Fatalf("Williams(%g, %g, %g, %d) = %g, %g; swapped %g, %g", a, b, c, n, wt, p, st, sp)
		}
		mt, _, mp := association.Williams(-a, -b, c, n) // the outcome turned round
		numtest.Close(t, "Williams turned", mt, -wt, 1e-12)
		numtest.Close(t, "Williams turned p", mp, p, 1e-9)

		zou, swapped := association.Zou(a, b, c, n, 0.95), association.Zou(b, a, c, n, 0.95)
		if !(zou.Lower <= a-b && a-b <= zou.Upper) {
			t.Fatalf("Zou(%g, %g, %g, %d) = %+v does not hold the difference", a, b, c, n, zou)
		}
		numtest.CloseAbs(t, "Zou swapped", swapped.Lower, -zou.Upper, 1e-12)
		numtest.CloseAbs(t, "Zou swapped", swapped.Upper, -zou.Lower, 1e-12)

		z, mengP, ci := association.Meng(a, b, c, n, 0.95)
		sz, smp, _ := association.Meng(b, a, c, n, 0.95)
		if z != -sz || mengP != smp || !(ci.Lower <= ci.Value && ci.Value <= ci.Upper) {
			t.Fatalf("Meng(%g, %g, %g, %d) = %g, %g, %+v; swapped %g, %g", a, b, c, n, z, mengP, ci, sz, smp)
		}
		if excluded := ci.Excludes(0); excluded != (mengP < 0.05) && math.Abs(mengP-0.05) > 1e-9 {
			t.Fatalf("Meng: p = %g, interval %+v", mengP, ci)
		}
	})
}

// Turning a test whose better is lower, both its sign and its direction, may
// not change a comparison; in must not be modified; the order of the athletes
// must not matter.
func TestAnalyseInvariance(t *testing.T) {
	in, o := oracleInput(t), association.Options{}
	same := cmp.Options{cmpopts.EquateNaNs(), cmpopts.EquateApprox(1e-9, 1e-9)}
	want := must[association.Result](t)(association.Analyse(in, o))
	if diff := cmp.Diff(oracleInput(t), in, cmpopts.EquateNaNs()); diff != "" {
		t.Fatalf("in was modified:\n%s", diff)
	}

	turned := oracleInput(t)
	sprint := &turned.Tests[3]
	sprint.Value, sprint.Better = mapped(sprint.Value, func(v float64) float64 { return -v }), score.Higher
	got := must[association.Result](t)(association.Analyse(turned, o))
	noFlag := cmpopts.IgnoreFields(association.Comparison{}, "FlippedA", "FlippedB")
	if diff := cmp.Diff(want.Comparisons, got.Comparisons, same, noFlag); diff != "" {
		t.Errorf("comparisons of a turned test (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(want.WithinComparisons, got.WithinComparisons, same, noFlag); diff != "" {
		t.Errorf("within comparisons of a turned test (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(want.Planes, got.Planes, same); diff != "" {
		t.Errorf("planes of a turned test (-want +got):\n%s", diff)
	}
	numtest.Close(t, "r in the data", got.Associations[3].Pearson.Value, -want.Associations[3].Pearson.Value, 1e-12)

	back := oracleInput(t)
	slices.Reverse(back.Athletes)
	slices.Reverse(back.Group)
	for _, v := range slices.Concat([]association.Variable{back.Outcome}, back.Tests, back.Covariates) {
		slices.Reverse(v.Value)
	}
	got = must[association.Result](t)(association.Analyse(back, o))
	if diff := cmp.Diff(want, got, same, cmpopts.IgnoreFields(association.Association{},
		"Points")); diff != "" {
		t.Errorf("athletes in reverse order (-want +got):\n%s", diff)
	}
}
