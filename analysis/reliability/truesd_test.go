package reliability

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"noisefloor/analysis/anova"
	"noisefloor/analysis/bootstrap"
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/moment"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
	"noisefloor/internal/published"
)

// draw makes normal scores: athlete SD true, error SD 1, session shift j.
func draw(rng *rand.Rand, n, k int, true float64) score.Table {
	t := score.Table{Athletes: make([]string, n), Sessions: make([]string, k), Value: make([]float64, 0, n*k)}
	for i := range n {
		t.Athletes[i] = string(rune('a'+i%26)) + string(rune('a'+i/26%26)) + string(rune('a'+i/676%26)) + string(rune('a'+i/17576))
		level := 100 + true*rng.NormFloat64()
		for j := range k {
			t.Value = append(t.Value, level+float64(j)+rng.NormFloat64())
		}
	}
	for j := range k {
		t.Sessions[j] = string(rune('1' + j))
	}
	return t
}

// Leave-one-out by update formulas against the anova package on each of the
// smaller tables.
func TestInfluenceAgainstBruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 8))
	for _, size := range [][2]int{{5, 2}, {8, 4}, {40, 3}} {
		n, k := size[0], size[1]
		table := draw(rng, n, k, 2)
		table.Trials = onePerScore(table.Value)
		a, err := anova.AnalyseTwoWay(table.Value, n, k)
		if err != nil {
			t.Fatal(err)
		}
		got := influence(table.Athletes, partsOf(table.Value, a), a)
		var farTE, farICC float64
		var want Influence
		for i := range n {
			var rest []int
			for j := range n {
				if j != i {
					rest = append(rest, j)
				}
			}
			b, err := anova.AnalyseTwoWay(table.Rows(rest).Value, n-1, k)
			if err != nil {
				t.Fatal(err)
			}
			te, icc := math.Sqrt(b.MSE), consistency(b.MSR, b.MSE, float64(k))
			if d := math.Abs(te - math.Sqrt(a.MSE)); d > farTE {
				farTE, want.TypicalErrorAthlete, want.TypicalErrorWithout = d, table.Athletes[i], te
			}
			if d := math.Abs(icc - consistency(a.MSR, a.MSE, float64(k))); d > farICC {
				farICC, want.ICCAthlete, want.ICCWithout = d, table.Athletes[i], icc
			}
		}
		if got.TypicalErrorAthlete != want.TypicalErrorAthlete || got.ICCAthlete != want.ICCAthlete {
			t.Errorf("n = %d: %+v, want %+v", n, got, want)
		}
		numtest.Close(t, "TE without", got.TypicalErrorWithout, want.TypicalErrorWithout, 1e-11)
		numtest.Close(t, "ICC without", got.ICCWithout, want.ICCWithout, 1e-11)
	}
	if four := draw(rng, 4, 2, 1); influence(four.Athletes, parts{n: 4, k: 2}, anova.TwoWay{}) != nil {
		t.Error("influence in a study of four: three would be left")
	}
}

// The profile and the large-sample interval of the true SD agree where both are
// good: 2000 athletes, normal, with errors large enough to count.
func TestLargeSampleAgreesWithProfile(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 9))
	table := draw(rng, largeStudy, 3, 0.7)
	table.Trials = onePerScore(table.Value)
	a, err := anova.AnalyseTwoWay(table.Value, largeStudy, 3)
	if err != nil {
		t.Fatal(err)
	}
	p := partsOf(table.Value, a)
	profile := trueSD(table, p, a.MSR, a.MSE, 0.95)
	large := largeSample(p, (a.MSR-a.MSE)/3, 0.95)
	if large.Kind != LargeSample || profile.Kind == LargeSample {
		t.Fatalf("kinds %q and %q", profile.Kind, large.Kind)
	}
	numtest.Close(t, "estimate", large.Value, profile.Value, 1e-14)
	width := profile.Upper - profile.Lower
	numtest.CloseAbs(t, "lower", large.Lower, profile.Lower, 0.1*width)
	numtest.CloseAbs(t, "upper", large.Upper, profile.Upper, 0.1*width)

	big := draw(rng, largeStudy+1, 2, 4)
	r, err := Analyse(big, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if r.Worthwhile.Kind != LargeSample {
		t.Errorf("%d athletes: %q", largeStudy+1, r.Worthwhile.Kind)
	}
	numtest.Close(t, "0.2 of the true SD", r.Worthwhile.Value, 0.2*r.TrueSD, 1e-14)
	if r.Worthwhile.Lower > 0.8 || r.Worthwhile.Upper < 0.8 {
		t.Errorf("the truth 0.8 is outside %+v", r.Worthwhile.Estimate)
	}
}

// The standard error behind the large-sample interval against the jackknife
// (Efron & Tibshirani 1993, eq. 11.5), each study without one athlete done by
// the anova package.
func TestLargeSampleAgreesWithJackknife(t *testing.T) {
	const n, k = 300, 3
	table := draw(rand.New(rand.NewPCG(6, 1)), n, k, 0.8)
	table.Trials = onePerScore(table.Value)
	a, err := anova.AnalyseTwoWay(table.Value, n, k)
	if err != nil {
		t.Fatal(err)
	}
	v := bootstrap.Jackknife(n, func(index []int) float64 {
		b, err := anova.AnalyseTwoWay(table.Rows(index).Value, n-1, k)
		if err != nil {
			t.Fatal(err)
		}
		return (b.MSR - b.MSE) / k
	})
	want := (n - 1) / math.Sqrt(n) * sdAround(v, moment.Mean(v))
	got := largeSample(partsOf(table.Value, a), (a.MSR-a.MSE)/k, 0.95)
	se := (got.Upper*got.Upper - got.Lower*got.Lower) / 2 / 1.959963984540054
	numtest.Close(t, "standard error of the variance", se, want, 0.01)
}

func TestBootstrapIsSeeded(t *testing.T) {
	table := draw(rand.New(rand.NewPCG(5, 10)), 20, 3, 4)
	run := func(seed uint64, bootstrap bool) Result {
		r, err := Analyse(table, Options{Seed: seed, Replicates: 200, Bootstrap: bootstrap})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	a, b, c := run(1, true), run(1, true), run(2, true)
	for i, x := range a.ICC {
		if *x.BCa != *b.ICC[i].BCa {
			t.Errorf("%s: one seed, two answers", x.Form)
		}
		if x.BCa.Lower == c.ICC[i].BCa.Lower {
			t.Errorf("%s: the seed is not used", x.Form)
		}
		if x.BCa.Value != x.Value.Value && math.Abs(x.BCa.Value-x.Value.Value) > 1e-12 {
			t.Errorf("%s: %v and %v", x.Form, x.BCa.Value, x.Value.Value)
		}
	}
	if run(1, false).ICC[0].BCa != nil {
		t.Error("resampled unasked")
	}
	table.Value[0] = math.NaN()
	if r := run(1, true); r.ICC[0].BCa != nil || !slices.ContainsFunc(r.Caveats,
		func(c caveat.Caveat) bool { return c.Kind == NoResampling }) {
		t.Errorf("incomplete table: %v", r.Caveats)
	}
}

// The exact REML profile limits of the athletes' SD of the made-up table
// testdata/published/varcomp/twoway_balanced.csv, computed with 40 digits from
// the model's definition.
func TestTrueSDHasExactLimits(t *testing.T) {
	d := published.Columns(t, "varcomp/twoway_balanced.csv")
	table := draw(rand.New(rand.NewPCG(1, 1)), 14, 3, 1) // the shape; its values are replaced
	for i, v := range d["y"] {
		table.Value[(int(d["athlete"][i])-1)*3+int(d["occasion"][i])-1] = v
	}
	r, err := Analyse(table, Options{})
	if err != nil {
		t.Fatal(err)
	}
	numtest.Close(t, "SD", r.TrueSD, math.Sqrt(17.74540934065934), 1e-12)
	numtest.Close(t, "lower", r.Worthwhile.Lower, 0.2*2.9334852721894435, 1e-6)
	numtest.Close(t, "upper", r.Worthwhile.Upper, 0.2*6.622211612619424, 1e-6)
}
