package association_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"noisefloor/analysis/association"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
)

// The law schools of Efron (1979): the limits of the complete bootstrap
// distribution (all 77,558,760 resamples, 40 digits), which 100,000 resamples
// must come near.
func TestBCaOfLawSchools(t *testing.T) {
	c := columns(t, published(t, "law_school.csv"), "lsat", "gpa")
	in := plain(c[1], c[0])
	for _, want := range []struct{ level, lower, upper, tolerance float64 }{
		{0.90, 0.429103103261979, 0.92685943143267, 0.012},
		{0.95, 0.332635907474831, 0.941714852595782, 0.02},
	} {
		r := must[association.Result](t)(association.Analyse(in, association.Options{Bootstrap: true,
			Replicates: 100000, Seed: 2, Level: want.level}))
		e := r.Associations[0].Pearson.BCa
		numtest.Close(t, "r", e.Value, 0.7763744912894069, 1e-12)
		numtest.CloseAbs(t, "lower", e.Lower, want.lower, want.tolerance)
		numtest.CloseAbs(t, "upper", e.Upper, want.upper, 0.003)
		if e.Kind != estimate.BCa {
			t.Errorf("an interval by %q", e.Kind)
		}
	}
}

// On request only, and everywhere there is an r.
func TestBCaOnRequest(t *testing.T) {
	in := oracleInput(t)
	for _, asked := range []bool{false, true} {
		r := must[association.Result](t)(association.Analyse(in, association.Options{Bootstrap: asked,
			Replicates: 300}))
		for _, a := range r.Associations {
			for name, c := range map[string]association.Correlation{"Pearson": a.Pearson, "Spearman": a.Spearman,
				"partial": *a.Partial, "within": a.Within.Correlation} {
				if (c.BCa != nil) != asked || asked && (c.BCa.Value != c.Value || !c.BCa.HasInterval() ||
					c.BCa.Excludes(c.Value)) {
					t.Errorf("asked %v, %s %s: %+v", asked, a.Measure, name, c.BCa)
				}
			}
		}
		for _, c := range slices.Concat(r.Comparisons, r.WithinComparisons) {
			if (c.BCa != nil) != asked || asked && (c.BCa.Value != c.Difference.Value || !c.BCa.HasInterval() ||
				c.BCa.Excludes(c.Difference.Value)) {
				t.Errorf("asked %v, %s - %s: %+v", asked, c.A, c.B, c.BCa)
			}
		}
	}
	// A test whose better is lower is turned in the resamples as well.
	turned := must[association.Result](t)(association.Analyse(in, association.Options{Bootstrap: true,
		Replicates: 300})).Comparisons[2]
	if !turned.FlippedB || turned.BCa.Excludes(turned.Difference.Value) || turned.BCa.Upper > 1.2 {
		t.Errorf("%s - %s: %+v, BCa %+v", turned.A, turned.B, turned.Difference, turned.BCa)
	}
	// Without an r there is nothing to resample; with a covariate that is the
	// test itself there is no partial r.
	in = cohort()
	fill(in.Tests[0].Value[3:], nan)
	in.Covariates = []association.Variable{in.Tests[1]}
	a := must[association.Result](t)(association.Analyse(in, association.Options{Bootstrap: true,
		Replicates: 50})).Associations
	if a[0].Pearson.BCa != nil || a[0].Within.BCa != nil || a[1].Partial.BCa != nil || a[1].Pearson.BCa == nil {
		t.Errorf("BCa of nothing: %+v, %+v", a[0].Pearson, a[1].Partial)
	}
}

// All points on one line: every resample says the same, and the kind says that
// it is not the BCa interval.
func TestBCaOfALine(t *testing.T) {
	in := plain([]float64{1, 2, 3, 4, 5, 7}, []float64{3, 5, 7, 9, 11, 15})
	a := must[association.Result](t)(association.Analyse(in, association.Options{Bootstrap: true,
		Replicates: 100})).Associations[0]
	if e := a.Pearson.BCa; e.Value != 1 || e.Kind != estimate.Percentile {
		t.Errorf("%+v", e)
	}
}

// Each statistic of weights against the analysis of the resampled table.
func TestWeightedStatisticsMatchAnalysis(t *testing.T) {
	in := completeOracle(t)
	n := len(in.Athletes)
	o := association.Options{Replicates: 1}
	stats := association.WeightedStatistics(in, o)
	rng := rand.New(rand.NewPCG(40, 1))
	for range 20 {
		index := make([]int, n)
		w := make([]float64, n)
		for i := range index {
			index[i] = rng.IntN(n)
			w[index[i]]++
		}
		r := must[association.Result](t)(association.Analyse(chosen(in, index), o))
		a := r.Associations[0]
		want := map[string]float64{"pearson": a.Pearson.Value, "spearman": a.Spearman.Value,
			"partial": a.Partial.Value, "within": a.Within.Value,
			"difference":        r.Comparisons[0].Difference.Value,
			"difference within": r.WithinComparisons[0].Difference.Value}
		if len(stats) != len(want) {
			t.Fatalf("%d statistics, want %d", len(stats), len(want))
		}
		for name, v := range want {
			numtest.CloseAbs(t, name, stats[name](w), v, 1e-11)
		}
	}
}

// Resamples that say nothing have no value; a level that is not drawn takes no
// part.
func TestWeightedStatisticsOfFew(t *testing.T) {
	in := completeOracle(t)
	n := len(in.Athletes)
	stats := association.WeightedStatistics(in, association.Options{Replicates: 1})
	for i := range n {
		w := make([]float64, n)
		w[i] = float64(n)
		for name, stat := range stats {
			if v := stat(w); !math.IsNaN(v) {
				t.Errorf("athlete %d alone: %s = %g", i, name, v)
			}
		}
	}
	for _, out := range []string{"Academy", "School"} {
		w := make([]float64, n)
		var rest []int
		for i, l := range in.Group {
			if l != out {
				w[i], rest = 1, append(rest, i)
			}
		}
		if len(rest) == n {
			t.Fatalf("no level %q in %q", out, in.Group)
		}
		r := must[association.Result](t)(association.Analyse(chosen(in, rest), association.Options{Replicates: 1}))
		numtest.CloseAbs(t, "within without "+out, stats["within"](w), r.Associations[0].Within.Value, 1e-11)
	}
}

// The planes together: by hand from the r of the tests.
func TestPlaneContrast(t *testing.T) {
	in := oracleInput(t)
	r := must[association.Result](t)(association.Analyse(in, association.Options{Replicates: 500}))
	for _, c := range []*association.PlaneContrast{r.PlaneContrast, r.WithinPlaneContrast} {
		z := make([]float64, 4)
		for i, a := range r.Associations {
			z[i] = math.Atanh(a.Pearson.Value)
			if c.Within {
				z[i] = math.Atanh(a.Within.Value)
			}
			if in.Tests[i].Better == score.Lower {
				z[i] = -z[i]
			}
		}
		numtest.Close(t, "z of rotational tests", c.ZA.Value, z[0], 1e-11)
		numtest.Close(t, "z of sagittal tests", c.ZB.Value, (z[1]+z[2]+z[3])/3, 1e-10)
		numtest.Close(t, "difference", c.Difference.Value, z[0]-(z[1]+z[2]+z[3])/3, 1e-10)
		numtest.Close(t, "mean r", c.RB.Value, math.Tanh((z[1]+z[2]+z[3])/3), 1e-10)
		numtest.Close(t, "limit of mean r", c.RA.Lower, math.Tanh(c.ZA.Lower), 1e-14)
		if !c.Difference.HasInterval() || c.PlaneA != "transverse" || c.PlaneB != "sagittal" ||
			!slices.Equal(c.TestsB, oracleTests[1:]) || len(c.Caveats) > 0 {
			t.Errorf("%+v", c)
		}
	}
	numtest.Close(t, "as in the planes", r.PlaneContrast.RB.Value, r.Planes[1].MeanR, 1e-10)
	if r.PlaneContrast.N != 59 || r.WithinPlaneContrast.N >= r.PlaneContrast.N {
		t.Errorf("n = %d, within %d", r.PlaneContrast.N, r.WithinPlaneContrast.N)
	}
}

func TestPlaneContrastLeavesOut(t *testing.T) {
	in := cohort()
	in.Tests = append(in.Tests,
		association.Variable{Name: "few", Plane: "sagittal", Value: []float64{1, 2, 3, 1, 2, 4, 9, nan, nan, nan}},
		association.Variable{Name: "line", Plane: "sagittal", Value: mapped(in.Outcome.Value,
			func(v float64) float64 { return 2*v + 1 })},
		association.Variable{Name: "none", Plane: "sagittal", Value: make([]float64, 10)},
		association.Variable{Name: "other", Plane: "frontal", Value: in.Tests[1].Value})
	c := analyse(t, in).PlaneContrast
	want := `left-out-of-planes ["few"] (too-few) 7.00 8.00
left-out-of-planes ["line"] (on-a-line) 10.00 8.00
left-out-of-planes ["none"] (no-variation) 10.00 8.00`
	if said(c.Caveats) != want || !slices.Equal(c.TestsB, []string{"jump", "sprint"}) || !slices.Equal(c.TestsA,
		[]string{"throw"}) {
		t.Errorf("tests %v and %v, caveats %s", c.TestsA, c.TestsB, said(c.Caveats))
	}
	in.Tests = in.Tests[1:]
	if r := analyse(t, in); r.PlaneContrast != nil || r.WithinPlaneContrast != nil {
		t.Errorf("one plane alone: %+v", r.PlaneContrast)
	}
	in = cohort()
	in.Group = nil
	if r := analyse(t, in); r.PlaneContrast == nil || r.WithinPlaneContrast != nil {
		t.Errorf("without levels: %+v", r.WithinPlaneContrast)
	}
	// An athlete without a level counts over all, not within.
	in = cohort()
	in.Group[2] = ""
	r := analyse(t, in)
	numtest.CloseAbs(t, "z within", r.WithinPlaneContrast.ZA.Value, math.Atanh(r.Associations[0].Within.Value), 1e-12)
	if r.PlaneContrast.N != 10 || r.WithinPlaneContrast.N != 9 {
		t.Errorf("n = %d and %d", r.PlaneContrast.N, r.WithinPlaneContrast.N)
	}
}

// Two planes that go with the outcome equally: the contrast raises an alarm in
// about 5 % of the studies, though the tests of a plane say much the same; and
// 0.6 against 0.3 is found where it is. 12 athletes, where a bootstrap falls short.
func TestCoverageOfPlaneContrast(t *testing.T) {
	const n, rounds = 12, 1200
	rng := rand.New(rand.NewPCG(41, 1))
	for _, truth := range [][2]float64{{0.5, 0.5}, {0.6, 0.3}} {
		covered := 0
		for range rounds {
			in := plain(nil, nil)
			in.Tests = nil
			for k := range 4 {
				in.Tests = append(in.Tests, association.Variable{Name: fmt.Sprint("t", k),
					Plane: []string{"transverse", "sagittal"}[k/2], Better: score.Higher})
			}
			for i := range n {
				y, a, b := normals(rng, 1, truth[0], truth[1], 0.3)
				in.Athletes, in.Outcome.Value = append(in.Athletes, fmt.Sprint("P", i)), append(in.Outcome.Value, y[0])
				for k := range in.Tests {
					true := []float64{a[0], b[0]}[k/2]
					in.Tests[k].Value = append(in.Tests[k].Value, true+0.5*rng.NormFloat64())
				}
			}
			c := must[association.Result](t)(association.Analyse(in, association.Options{})).PlaneContrast
			dull := math.Sqrt(1.25)
			covered += one(!c.Difference.Excludes(math.Atanh(truth[0]/dull) - math.Atanh(truth[1]/dull)))
		}
		got := float64(covered) / rounds
		t.Logf("r %.1f and %.1f: interval holds the difference in %.1f %%", truth[0], truth[1], 100*got)
		if math.Abs(got-0.945) > 0.02 { // three Monte Carlo errors
			t.Errorf("coverage %.3f", got)
		}
	}
}

// A column that repeats another, or is constant, takes nothing away. By hand:
// y less its line on x leaves 10 - 8²/10.
func TestEliminatingTwins(t *testing.T) {
	x, y := []float64{-2, -1, 0, 1, 2}, []float64{-1, -2, 0, 2, 1}
	numtest.Close(t, "one", association.Eliminated(x, y), 3.6, 1e-14)
	numtest.Close(t, "twins", association.Eliminated(x, x, y), 3.6, 1e-14)
	numtest.Close(t, "constant", association.Eliminated([]float64{0.1, 0.1, 0.1, 0.1, 0.1}, x, y), 3.6, 1e-14)
	numtest.Close(t, "constant y", association.Eliminated(x, []float64{0.3, 0.3, 0.3, 0.3, 0.3}), 0, 0)
}
