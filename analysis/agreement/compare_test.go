package agreement_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"noisefloor/analysis/agreement"
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/internal/numtest"
)

func TestCompareRefuses(t *testing.T) {
	three := []float64{1, 2, 4}
	for _, tt := range []struct {
		name          string
		codes         []string
		first, second []float64
		o             agreement.Options
		err           error
		text          string
	}{
		{"columns", codes(3), three, three[:2], agreement.Options{}, agreement.ErrLength,
			"3 athletes, 3 scores in one, 2 in two"},
		{"codes", codes(2), three, three, agreement.Options{}, agreement.ErrLength, "2 athletes"},
		{"two pairs", codes(3), three, []float64{1, math.NaN(), 2}, agreement.Options{}, agreement.ErrFewPairs,
			"have 2, need 3"},
		{"nobody", nil, nil, nil, agreement.Options{}, agreement.ErrFewPairs, "have 0"},
		{"infinite", codes(3), three, []float64{1, 2, math.Inf(1)}, agreement.Options{}, agreement.ErrNonFinite,
			"athlete A3"},
		{"level", codes(3), three, three, agreement.Options{Level: 95}, agreement.ErrLevel, "95"},
		{"coverage", codes(3), three, three, agreement.Options{Coverage: 1}, agreement.ErrLevel, "1"},
		{"level NaN", codes(3), three, three, agreement.Options{Level: math.NaN()}, agreement.ErrLevel, "NaN"},
	} {
		_, err := agreement.Compare(tt.codes, tt.first, tt.second, "one", "two", tt.o)
		if !errors.Is(err, tt.err) || !strings.Contains(err.Error(), tt.text) {
			t.Errorf("%s: error %v, want %v with %q", tt.name, err, tt.err, tt.text)
		}
	}
}

// By hand: differences 1, 3, 5 (mean 3, SD 2), means 1.5, 4.5, 8.5.
func TestCompareDropsAndCounts(t *testing.T) {
	nan := math.NaN()
	first, second := []float64{1, nan, 3, 6, 7}, []float64{2, 5, 6, 11, nan}
	r, err := agreement.Compare([]string{"a", "b", "c", "d", "e"}, first, second, "pre", "post", agreement.Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := []agreement.Point{{"a", 1.5, 1}, {"c", 4.5, 3}, {"d", 8.5, 5}}
	if diff := cmp.Diff(want, r.Points); diff != "" {
		t.Errorf("points (-want +got):\n%s", diff)
	}
	if r.N != 3 || r.Bias.Value != 3 || r.SD != 2 || r.From != "pre" || r.To != "post" {
		t.Errorf("n %d, bias %g, SD %g, %s to %s", r.N, r.Bias.Value, r.SD, r.From, r.To)
	}
	left := []caveat.Caveat{{Kind: agreement.PairsLeftOut, Names: []string{"pre", "post"}, Numbers: []float64{2, 5}}}
	if diff := cmp.Diff(left, r.Caveats); diff != "" {
		t.Errorf("caveats (-want +got):\n%s", diff)
	}
	// t(p, 2) = (2p-1)/sqrt(2p(1-p)) in closed form, 4.3027 at 0.975.
	t2 := 0.95 / math.Sqrt(2*0.975*0.025)
	numtest.Close(t, "prediction", r.PredictionUpper, 3+t2*2*math.Sqrt(4.0/3), 1e-12)
	numtest.Close(t, "prediction", r.PredictionLower, 3-t2*2*math.Sqrt(4.0/3), 1e-12)
}

func TestDegeneratePairs(t *testing.T) {
	x := []float64{10.1, 12.2, 14.3, 19.9}
	shift := func(f func(float64) float64) []float64 {
		var out []float64
		for _, v := range x {
			out = append(out, f(v))
		}
		return out
	}
	for _, tt := range []struct {
		name          string
		first, second []float64
		why           estimate.Kind
		slope, spread float64
	}{
		{"equal", x, x, estimate.NoVariation, 0, 0},
		{"shifted", x, shift(func(v float64) float64 { return v + 0.1 }), estimate.NoVariation, 0, 0},
		{"in proportion", x, shift(func(v float64) float64 { return 1.1 * v }), estimate.OnALine, 0.1 / 1.05, 0},
		{"equal means", []float64{1, 2, 3}, []float64{3, 2, 1}, estimate.NoRange, math.NaN(), math.NaN()},
		{"zeros", []float64{0, 0, 0}, []float64{0, 0, 0}, estimate.NoVariation, 0, 0},
	} {
		r := compare(t, tt.first, tt.second, agreement.Options{})
		if r.Slope.HasInterval() || r.Spread.HasInterval() || r.Spread.Kind != tt.why {
			t.Errorf("%s: slope %+v, spread %+v", tt.name, r.Slope, r.Spread)
		}
		numtest.Close(t, tt.name+" slope", r.Slope.Value, tt.slope, 1e-12)
		numtest.Close(t, tt.name+" spread", r.Spread.Value, tt.spread, 0)
		bias, lower, upper := r.LimitsAt(7)
		want := math.NaN()
		switch {
		case tt.slope == 0:
			want = r.Bias.Value
		case tt.name == "in proportion": // through the origin
			want = tt.slope * 7
		}
		numtest.Close(t, tt.name+" line", bias, want, 1e-12)
		if bias == bias && (lower != bias || upper != bias) {
			t.Errorf("%s: limits %g and %g around %g", tt.name, lower, upper, bias)
		}
		if r.LogAdvised || r.Advice != "" {
			t.Errorf("%s: advice %q", tt.name, r.Advice)
		}
		if tt.why == estimate.NoVariation && (r.SD != 0 || len(r.Caveats) != 1 ||
			r.Caveats[0].Kind != agreement.AllAlike || r.Lower.Lower != r.Bias.Value) {
			t.Errorf("%s: SD %g, caveats %v, lower limit %+v", tt.name, r.SD, r.Caveats, r.Lower)
		}
	}
}

// Residuals of one size, by hand: differences 1, -1, -1, 1 at means 10 to 40
// have slope 0 and SE sqrt(4/2/500); their sizes lie on a line.
func TestResidualsOfOneSize(t *testing.T) {
	r := compare(t, []float64{9.5, 20.5, 30.5, 39.5}, []float64{10.5, 19.5, 29.5, 40.5}, agreement.Options{})
	t2 := 0.95 / math.Sqrt(2*0.975*0.025)
	numtest.Close(t, "slope upper", r.Slope.Upper, t2*math.Sqrt(2.0/500), 1e-12)
	if r.Spread.HasInterval() || r.Spread.Value != 0 || r.Spread.Kind != estimate.OnALine {
		t.Errorf("spread %+v", r.Spread)
	}
}

// A level so near 1 that its quantile is infinite has no exact interval.
func TestLevelTooHigh(t *testing.T) {
	r := compare(t, []float64{1, 2, 3}, []float64{2, 3, 4}, agreement.Options{Level: 1 - 0x1p-53})
	if r.Lower.HasInterval() || r.Lower.Value != 1 || r.Lower.Kind != estimate.Failed {
		t.Errorf("lower limit %+v", r.Lower)
	}
}

// The advice follows the interval of Spread; the tables are built so that the
// residuals of the first line alternate in sign and grow, or shrink, with the
// value.
func TestAdvice(t *testing.T) {
	build := func(low float64, size func(m float64) float64) (first, second []float64) {
		for i := range 24 {
			m := low + float64(i)
			d := size(m) * float64(1-2*(i%2)) * (1 + 0.1*float64(i%3))
			first, second = append(first, m-d/2), append(second, m+d/2)
		}
		return first, second
	}
	for _, tt := range []struct {
		name    string
		low     float64
		size    func(m float64) float64
		o       agreement.Options
		advised bool
		cured   bool
		advice  caveat.Kind
	}{
		{"grows", 10, func(m float64) float64 { return 0.1 * m }, agreement.Options{}, true, true, agreement.UseLog},
		{"grows faster than logs cure", 10, func(m float64) float64 { return 1e-5 * m * m * m * m },
			agreement.Options{}, true, false, agreement.UseLogAllTheSame},
		{"grows, first below zero", 0.05, func(m float64) float64 { return 0.1 * (m + 4) }, agreement.Options{},
			false, false, agreement.NoLog},
		{"grows, second below zero", 0.05, func(m float64) float64 { return -0.1 * (m + 4) }, agreement.Options{},
			false, false, agreement.NoLog},
		{"shrinks", 10, func(m float64) float64 { return 0.1 * (40 - m) }, agreement.Options{}, false, false,
			agreement.Shrinks},
		{"grows on logs", 10, func(m float64) float64 { return 0.1 * m }, agreement.Options{OnLog: true}, false,
			false, agreement.LogNotEnough},
		{"shrinks on logs", 10, func(m float64) float64 { return 0.1 * (40 - m) }, agreement.Options{OnLog: true},
			false, false, agreement.LogTooMuch},
		{"even", 10, func(m float64) float64 { return 1 }, agreement.Options{}, false, false, ""},
	} {
		first, second := build(tt.low, tt.size)
		r := compare(t, first, second, tt.o)
		if r.LogAdvised != tt.advised || r.Cured != tt.cured || (r.SpreadOnLog != nil) != tt.advised {
			t.Errorf("%s: advised %t, cured %t, on logs %v, spread %+v", tt.name, r.LogAdvised, r.Cured,
				r.SpreadOnLog, r.Spread)
		}
		said := slices.ContainsFunc(r.Caveats, func(c caveat.Caveat) bool {
			return c.Kind == tt.advice && slices.Equal(c.Names, []string{r.From, r.To})
		})
		if r.Advice != tt.advice || said != (tt.advice != "") {
			t.Errorf("%s: advice %q, want %q, in %v", tt.name, r.Advice, tt.advice, r.Caveats)
		}
	}
}

// Proportional by a constant factor with a little noise: the difference
// changes with the value.
func TestProportionalBiasIsNamed(t *testing.T) {
	r := compare(t, []float64{10, 20, 30, 40, 50}, []float64{11.1, 21.9, 33.1, 43.9, 55.1}, agreement.Options{})
	if !r.Slope.Excludes(0) || !slices.ContainsFunc(r.Caveats,
		func(c caveat.Caveat) bool { return c.Kind == agreement.ProportionalBias }) {
		t.Errorf("slope %+v, caveats %v", r.Slope, r.Caveats)
	}
}

// What must not matter, does not: order of the athletes, unit and origin of
// the scores, and which occasion comes first.
func TestCompareInvariants(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(4, 30).Draw(t, "n")
		score := rapid.Float64Range(50, 150)
		first := rapid.SliceOfN(score, n, n).Draw(t, "first")
		second := rapid.SliceOfN(score, n, n).Draw(t, "second")
		before := slices.Concat(first, second)
		run := func(a, b []float64) agreement.Result {
			r, err := agreement.Compare(codes(n), a, b, "one", "two", agreement.Options{})
			if err != nil {
				t.Fatal(err)
			}
			return r
		}
		r := run(first, second)
		if !slices.Equal(before, slices.Concat(first, second)) {
			t.Fatal("Compare modified its arguments")
		}
		if !r.Slope.HasInterval() || !r.Spread.HasInterval() || r.SD < 1e-3 {
			t.Skip("degenerate")
		}
		order := rapid.Permutation(indices(n)).Draw(t, "order")
		same(t, "order", r, run(pick(first, order), pick(second, order)), 1, 1)
		same(t, "unit", r, run(times(first, 7.5, 0), times(second, 7.5, 0)), 7.5, 1)
		same(t, "origin", r, run(times(first, 1, 64), times(second, 1, 64)), 1, 1)
		back := run(second, first)
		within(t, "turned lower", back.Lower.Lower, -r.Upper.Upper)
		within(t, "turned upper", back.Upper.Value, -r.Lower.Value)
		within(t, "turned slope", back.Slope.Value, -r.Slope.Value)
		within(t, "turned spread", back.Spread.Upper, r.Spread.Upper)
	})
}

// same compares two results where differences scale by unit and slopes by slope.
func same(t *rapid.T, name string, a, b agreement.Result, unit, slope float64) {
	t.Helper()
	within(t, name+" bias", b.Bias.Value, unit*a.Bias.Value)
	within(t, name+" lower", b.Lower.Lower, unit*a.Lower.Lower)
	within(t, name+" upper", b.Upper.Upper, unit*a.Upper.Upper)
	within(t, name+" prediction", b.PredictionUpper, unit*a.PredictionUpper)
	within(t, name+" slope", b.Slope.Lower, slope*a.Slope.Lower)
	within(t, name+" spread", b.Spread.Upper, slope*a.Spread.Upper)
}

// within is numtest.CloseAbs for rapid's T, which is no testing.TB.
func within(t *rapid.T, name string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 1e-8) {
		t.Fatalf("%s = %.17g, want %.17g", name, got, want)
	}
}

func indices(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

func pick(x []float64, order []int) []float64 {
	out := make([]float64, len(x))
	for i, j := range order {
		out[i] = x[j]
	}
	return out
}

func times(x []float64, unit, origin float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = unit*v + origin
	}
	return out
}

// Coverage of the exact interval of a limit, against the truth of a seeded
// simulation: 95 % within 4 Monte Carlo standard errors. The interval of 1986
// is looked at beside it: it must fall short at n = 6, or it would be exact.
func TestExactLimitsKeepTheirPromise(t *testing.T) {
	const studies, n = 2500, 6
	rng := rand.New(rand.NewPCG(1, 86))
	truth := 5 + 1.959963984540054*2.0
	var exact, approx int
	first, second := make([]float64, n), make([]float64, n)
	for range studies {
		for i := range first {
			first[i] = 100 + 20*rng.NormFloat64()
			second[i] = first[i] + 5 + 2*rng.NormFloat64()
		}
		r := compare(t, first, second, agreement.Options{})
		if !r.Upper.Excludes(truth) {
			exact++
		}
		if !r.UpperApprox.Excludes(truth) {
			approx++
		}
	}
	se := math.Sqrt(0.95 * 0.05 / studies)
	got, short := float64(exact)/studies, float64(approx)/studies
	t.Logf("coverage of the upper limit of agreement, n = %d: exact %.4f, 1986 %.4f (SE %.4f)", n, got, short, se)
	if math.Abs(got-0.95) > 4*se {
		t.Errorf("exact interval covers %.4f", got)
	}
	if short >= got {
		t.Errorf("the approximate interval covers %.4f, no less than the exact one", short)
	}
}

// A large cohort: the exact interval must not fail where its noncentrality is
// large (z sqrt(n) is near 440), and lies close to the large-sample one.
func TestManyAthletes(t *testing.T) {
	const n = 50_000
	rng := rand.New(rand.NewPCG(3, 9))
	first, second := make([]float64, n), make([]float64, n)
	for i := range first {
		first[i] = 100 + 10*rng.NormFloat64()
		second[i] = first[i] + 2*rng.NormFloat64()
	}
	r := compare(t, first, second, agreement.Options{})
	if !r.Upper.HasInterval() {
		t.Fatalf("no exact interval: %s", r.Upper.Kind)
	}
	numtest.Close(t, "width", r.Upper.Upper-r.Upper.Lower, r.UpperApprox.Upper-r.UpperApprox.Lower, 0.02)
}

func TestLevelsAreUsed(t *testing.T) {
	first, second := []float64{10, 12, 14, 19, 23}, []float64{11, 12, 16, 18, 26}
	wide := compare(t, first, second, agreement.Options{})
	narrow := compare(t, first, second, agreement.Options{Level: 0.9, Coverage: 0.8})
	if narrow.Level != 0.9 || narrow.Coverage != 0.8 || wide.Level != 0.95 || wide.Coverage != 0.95 {
		t.Errorf("levels %g, %g and %g, %g", narrow.Level, narrow.Coverage, wide.Level, wide.Coverage)
	}
	// Normal quantile of 0.9 = 1.2815515655446004 (tables).
	numtest.Close(t, "80 % limit", narrow.Upper.Value, narrow.Bias.Value+1.2815515655446004*narrow.SD, 1e-12)
	if narrow.Bias.Upper >= wide.Bias.Upper || narrow.Spread.Upper >= wide.Spread.Upper {
		t.Error("a lower level did not narrow the intervals")
	}
	if diff := cmp.Diff(wide, compare(t, first, second, agreement.Options{Level: 0.95, Coverage: 0.95}),
		cmpopts.EquateNaNs()); diff != "" {
		t.Errorf("the zero value is not 95 %% (-zero +0.95):\n%s", diff)
	}
}

func ExampleCompare() {
	// Throw distance, m, of six athletes on two days.
	athletes := []string{"B01", "B02", "B03", "B04", "B05", "B06"}
	monday := []float64{9.8, 11.2, 10.4, 12.9, 8.7, 10.1}
	friday := []float64{10.0, 11.1, 10.9, 13.1, 8.6, 10.6}
	r, err := agreement.Compare(athletes, monday, friday, "Monday", "Friday", agreement.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("bias %.2f m (%.2f to %.2f)\n", r.Bias.Value, r.Bias.Lower, r.Bias.Upper)
	fmt.Printf("limits of agreement %.2f to %.2f m\n", r.Lower.Value, r.Upper.Value)
	// Output:
	// bias 0.20 m (-0.08 to 0.48)
	// limits of agreement -0.33 to 0.73 m
}

func BenchmarkCompare(b *testing.B) {
	const n = 40_000
	rng := rand.New(rand.NewPCG(3, 9))
	first, second := make([]float64, n), make([]float64, n)
	for i := range first {
		first[i] = 100 + 10*rng.NormFloat64()
		second[i] = first[i] + 2*rng.NormFloat64()
	}
	athletes := codes(n)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := agreement.Compare(athletes, first, second, "one", "two", agreement.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
