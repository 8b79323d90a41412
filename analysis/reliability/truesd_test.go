package reliability

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"noisefloor/analysis/anova"
	"noisefloor/analysis/bootstrap"
	"noisefloor/analysis/moment"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
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

// The fast sums of a resample against the analysis of variance of the
// resampled table, done by the anova package.
func TestMeanSquaresOfAResample(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 7))
	for _, size := range [][2]int{{4, 2}, {9, 3}, {30, 5}} {
		n, k := size[0], size[1]
		table := draw(rng, n, k, 3)
		a, err := anova.AnalyseTwoWay(table.Value, n, k)
		if err != nil {
			t.Fatal(err)
		}
		p := partsOf(table.Value, a)
		for range 20 {
			index := make([]int, n)
			var y []float64
			for i := range index {
				index[i] = rng.IntN(n)
				y = append(y, table.Row(index[i])...)
			}
			want, err := anova.AnalyseTwoWay(y, n, k)
			if err != nil {
				t.Fatal(err)
			}
			msr, mse := p.meanSquares(index)
			numtest.Close(t, "MSR", msr, want.MSR, 1e-10)
			numtest.Close(t, "MSE", mse, want.MSE, 1e-10)
		}
	}
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

// The bootstrap and the large-sample interval of the true SD agree where both
// are good: 2000 athletes, skewed, with errors large enough to count.
func TestLargeSampleAgreesWithBootstrap(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 9))
	const n, k = largeStudy, 3
	var y []float64
	for range n {
		level := 20 * rng.ExpFloat64()
		for range k {
			y = append(y, level+60*rng.NormFloat64())
		}
	}
	a, err := anova.AnalyseTwoWay(y, n, k)
	if err != nil {
		t.Fatal(err)
	}
	p := partsOf(y, a)
	resampled := trueSD(p, a.MSR, a.MSE, Options{Level: 0.95, Replicates: 2000, Seed: 1})
	large := largeSample(p, (a.MSR-a.MSE)/k, 0.95)
	if !strings.HasPrefix(resampled.Method, "percentile bootstrap, 2000 resamples") || !strings.HasPrefix(large.Method, "large sample") {
		t.Fatalf("methods %q and %q", resampled.Method, large.Method)
	}
	numtest.Close(t, "estimate", large.Value, resampled.Value, 1e-14)
	width := resampled.Upper - resampled.Lower
	numtest.CloseAbs(t, "lower", large.Lower, resampled.Lower, 0.1*width)
	numtest.CloseAbs(t, "upper", large.Upper, resampled.Upper, 0.1*width)

	big := draw(rng, largeStudy+1, 2, 4)
	r, err := Analyse(big, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(r.Worthwhile.Method, "large sample") {
		t.Errorf("%d athletes: %q", largeStudy+1, r.Worthwhile.Method)
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
	run := func(seed uint64) WorthwhileChange {
		r, err := Analyse(table, Options{Seed: seed, Replicates: 200})
		if err != nil {
			t.Fatal(err)
		}
		return r.Worthwhile
	}
	if a, b := run(1), run(1); a.Lower != b.Lower || a.Upper != b.Upper {
		t.Errorf("one seed, two answers: %+v and %+v", a, b)
	}
	if a, b := run(1), run(2); a.Lower == b.Lower {
		t.Error("the seed is not used")
	}
}

func TestDigits(t *testing.T) {
	for x, want := range map[float64]string{0: "0", 0.2: "0.2", 21.437: "21.4", 1234.6: "1235", 0.00123456: "0.00123",
		-9.516: "-9.52", 99.96: "100", 2: "2", math.Inf(1): "+Inf", 0.9999: "1"} {
		if got := digits(x); got != want {
			t.Errorf("digits(%g) = %q, want %q", x, got, want)
		}
	}
	if got := withUnit(2.5, ""); got != "2.5" {
		t.Errorf("withUnit = %q", got)
	}
	if got := probability(1e-5); got != "< 0.001" {
		t.Errorf("probability = %q", got)
	}
}
