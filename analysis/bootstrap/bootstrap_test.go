package bootstrap_test

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"noisefloor/analysis/bootstrap"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/moment"
	"noisefloor/analysis/rank"
	"noisefloor/internal/numtest"
)

var nan, inf = math.NaN(), math.Inf(1)

// The law schools of Efron (1979): mean LSAT score and grade average of 15.
var (
	lsat = []float64{576, 635, 558, 578, 666, 580, 555, 661, 651, 605, 653, 575, 545, 572, 594}
	gpa  = []float64{3.39, 3.30, 2.81, 3.03, 3.44, 3.07, 3.00, 3.43, 3.36, 3.13, 3.12, 2.74, 2.76, 2.88, 2.96}
)

const lawR = 0.7763744912894069 // 40 digits; the paper prints .776

// pearson is the correlation of the schools in index.
func pearson(index []int) float64 {
	x, y := make([]float64, len(index)), make([]float64, len(index))
	for i, at := range index {
		x[i], y[i] = lsat[at], gpa[at]
	}
	return moment.Covariance(x, y) / (moment.SD(x) * moment.SD(y))
}

// fixed returns r of the 999 fixed resamples.
func fixed(t testing.TB) []float64 {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "published", "bootstrap",
		"law_school_resamples.txt"))
	if err != nil {
		t.Fatal(err)
	}
	var r []float64
	for line := range strings.FieldsSeq(string(text)) {
		index := make([]int, len(line))
		for i := range line {
			index[i] = int(line[i] - 'a')
		}
		r = append(r, pearson(index))
	}
	if len(r) != 999 {
		t.Fatalf("%d resamples, want 999", len(r))
	}
	return r
}

// Limits on the fixed resamples: 40 digits, by the definitions. R package boot
// prints the same percentile limits (its BCa differs: other influence values).
func TestIntervalsOnFixedResamples(t *testing.T) {
	r, left := fixed(t), bootstrap.Jackknife(15, pearson)
	for i, want := range []float64{0.9168927704735029, 0.7992399540968753, 0.8240309641423877, 0.905773189848894,
		0.7330413943562081} {
		numtest.Close(t, fmt.Sprintf("resample %d", i), r[i], want, 1e-14)
	}
	before := slices.Clone(r)
	for _, tt := range []struct {
		level                 float64
		percentile, corrected [2]float64
	}{
		{0.90, [2]float64{0.5196791069192621, 0.95526812926943}, [2]float64{0.4112599491171224, 0.9218007681721343}},
		{0.95, [2]float64{0.4686410836174555, 0.9670081344134192}, [2]float64{0.17931735690266243, 0.9409204692216273}},
		{0, [2]float64{0.4686410836174555, 0.9670081344134192}, [2]float64{0.17931735690266243, 0.9409204692216273}},
	} {
		e := bootstrap.Percentile(lawR, r, tt.level)
		numtest.Close(t, "Value", e.Value, lawR, 0)
		numtest.Close(t, fmt.Sprint("percentile lower ", tt.level), e.Lower, tt.percentile[0], 1e-13)
		numtest.Close(t, fmt.Sprint("percentile upper ", tt.level), e.Upper, tt.percentile[1], 1e-13)
		kind(t, e, estimate.Percentile, cmp.Or(tt.level, bootstrap.DefaultLevel))

		e = bootstrap.BCa(lawR, r, left, tt.level)
		numtest.Close(t, "Value", e.Value, lawR, 0)
		numtest.Close(t, fmt.Sprint("BCa lower ", tt.level), e.Lower, tt.corrected[0], 1e-12)
		numtest.Close(t, fmt.Sprint("BCa upper ", tt.level), e.Upper, tt.corrected[1], 1e-12)
		kind(t, e, estimate.BCa, cmp.Or(tt.level, bootstrap.DefaultLevel))
	}
	if !slices.Equal(r, before) {
		t.Error("the replicates were modified")
	}
}

func kind(t *testing.T, e estimate.Estimate, want estimate.Kind, level float64) {
	t.Helper()
	if e.Kind != want || math.Abs(e.Level-level) > 1e-15 {
		t.Errorf("Kind %q at %g, want %q at %g", e.Kind, e.Level, want, level)
	}
}

// Jackknife values of the law schools with 40 digits; standard error .1425
// (Efron 1979 has .142 to .143, from memory).
func TestJackknifeAgainstReference(t *testing.T) {
	want := []float64{0.892947145666763, 0.7637068434094212, 0.7549983675356089, 0.7760967666513761,
		0.7313196657457858, 0.7799686664769911, 0.7845359756572687, 0.736161825181426, 0.7517390795100751,
		0.7761230992718562, 0.818100708101473, 0.7857184432079275, 0.7403508946006143, 0.7670413407553448,
		0.7798725228771137}
	got := bootstrap.Jackknife(15, pearson)
	for i := range want {
		numtest.Close(t, fmt.Sprintf("without school %d", i+1), got[i], want[i], 1e-14)
	}
	numtest.Close(t, "standard error", moment.SD(got)*14/math.Sqrt(15), 0.14251861860227238, 1e-13)
	if got := bootstrap.Jackknife(1, pearson); got != nil {
		t.Errorf("Jackknife of one unit is %v", got)
	}
}

// The complete bootstrap distribution of the law schools (all 77,558,760
// distinct resamples, exact weights) gives P(r* < r), its mean, standard
// deviation and limits. A simulation must come within 4 of its own standard
// errors; near a limit the density is about 0.45 below and 2.3 above.
func TestDistributionAgainstCompleteEnumeration(t *testing.T) {
	const b = 100000
	r := bootstrap.Distribution(15, pearson, bootstrap.Options{Replicates: b, Seed: 20})
	below := 0.0
	for _, v := range r {
		if v < lawR {
			below++
		}
	}
	const idealSD = 0.133559762339971
	numtest.CloseAbs(t, "share below r", below/b, 0.4613659493930824, 4*0.5/math.Sqrt(b))
	numtest.CloseAbs(t, "mean", moment.Mean(r), 0.770645078388269, 4*idealSD/math.Sqrt(b))
	numtest.CloseAbs(t, "SD", moment.SD(r), idealSD, 4*idealSD/math.Sqrt(b))
	sampling := 4 * math.Sqrt(0.025*0.975/b)
	p := bootstrap.Percentile(lawR, r, 0.95)
	numtest.CloseAbs(t, "percentile lower", p.Lower, 0.459555621211441, sampling/0.45)
	numtest.CloseAbs(t, "percentile upper", p.Upper, 0.961845659887774, sampling/2.3)
	bca := bootstrap.BCa(lawR, r, bootstrap.Jackknife(15, pearson), 0.95)
	numtest.CloseAbs(t, "BCa lower", bca.Lower, 0.332635907474831, sampling/0.15)
	numtest.CloseAbs(t, "BCa upper", bca.Upper, 0.941714852595782, 2*sampling/2.3)
}

func TestSameBitsOnAnyNumberOfCores(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	o := bootstrap.Options{Replicates: 1003, Seed: 7}
	var first []float64
	for _, cores := range []int{1, 2, 7} {
		runtime.GOMAXPROCS(cores)
		got := bootstrap.Distribution(15, pearson, o)
		if first == nil {
			first = got
		}
		if !slices.Equal(got, first) {
			t.Errorf("%d cores give other numbers", cores)
		}
	}
	longer := bootstrap.Distribution(15, pearson, bootstrap.Options{Replicates: 2000, Seed: 7})
	if !slices.Equal(longer[:1003], first) {
		t.Error("a longer run begins otherwise")
	}
	if other := bootstrap.Distribution(15, pearson, bootstrap.Options{Replicates: 1003, Seed: 8}); slices.Equal(other,
		first) {
		t.Error("another seed gives the same numbers")
	}
	if n := len(bootstrap.Distribution(15, pearson, bootstrap.Options{})); n != bootstrap.DefaultReplicates {
		t.Errorf("%d resamples without options", n)
	}
}

// Every place of a resample is equally likely to be any unit, and neighbouring
// replicates do not know of each other: chi-square over 200,000 replicates.
func TestDrawsAreUniform(t *testing.T) {
	const n, b = 7, 200000
	code := func(index []int) float64 { return float64(index[0]*n + index[n-1]) }
	r := bootstrap.Distribution(n, code, bootstrap.Options{Replicates: b, Seed: 3})
	within, between := make([]float64, n*n), make([]float64, n*n)
	for i, v := range r {
		within[int(v)]++
		if i > 0 && i%2 == 1 {
			between[int(r[i-1])/n*n+int(v)/n]++
		}
	}
	uniform(t, "first and last place", within, b)
	uniform(t, "first places of neighbours", between, b/2)
}

func uniform(t *testing.T, name string, counts []float64, total float64) {
	t.Helper()
	expected, chi := total/float64(len(counts)), 0.0
	for _, c := range counts {
		chi += (c - expected) * (c - expected) / expected
	}
	df := float64(len(counts) - 1)
	if p := dist.ChiSquareSurvival(chi, df); p < 1e-4 || p > 1-1e-4 {
		t.Errorf("%s: chi-square %g on %g, p = %g", name, chi, df, p)
	}
}

func TestDistributionOfNothing(t *testing.T) {
	for _, n := range []int{0, -3} {
		if got := bootstrap.Distribution(n, pearson, bootstrap.Options{}); got != nil {
			t.Errorf("Distribution of %d units is %v", n, got)
		}
	}
}

func TestPanicReachesTheCaller(t *testing.T) {
	mishap := errors.New("mishap")
	defer func() {
		if p := recover(); p != mishap {
			t.Errorf("recovered %v", p)
		}
	}()
	bootstrap.Distribution(3, func([]int) float64 { panic(mishap) }, bootstrap.Options{Replicates: 50})
	t.Error("no panic")
}

func TestNoInterval(t *testing.T) {
	r, left := fixed(t), bootstrap.Jackknife(15, pearson)
	flat := []float64{2, 2, 2}
	skew := append(make([]float64, 100), 1e6)
	for _, tt := range []struct {
		name  string
		got   estimate.Estimate
		value float64
		kind  estimate.Kind
	}{
		{"theta NaN", bootstrap.Percentile(nan, r, 0), nan, estimate.NoRange},
		{"theta Inf", bootstrap.BCa(inf, r, left, 0), inf, estimate.NoRange},
		{"level 1", bootstrap.Percentile(lawR, r, 1), lawR, estimate.Failed},
		{"level below 0", bootstrap.BCa(lawR, r, left, -0.5), lawR, estimate.Failed},
		{"level NaN", bootstrap.Percentile(lawR, r, nan), lawR, estimate.Failed},
		{"no replicates", bootstrap.Percentile(lawR, nil, 0), lawR, estimate.NoResample},
		{"only NaN", bootstrap.BCa(lawR, []float64{nan, nan}, left, 0), lawR, estimate.NoResample},
		{"all above", bootstrap.BCa(2, flat, left, 0), 2, estimate.OneSided},
		{"all below", bootstrap.BCa(3, flat, left, 0), 3, estimate.OneSided},
		{"no jackknife", bootstrap.BCa(lawR, r, nil, 0), lawR, estimate.TooFew},
		{"NaN in the jackknife", bootstrap.BCa(lawR, r, []float64{1, nan, 2}, 0), lawR, estimate.NoResample},
		{"flat jackknife", bootstrap.BCa(lawR, r, []float64{0.1, 0.1, 0.1}, 0), lawR, estimate.NoVariation},
		{"extreme skew and level", bootstrap.BCa(lawR, r, skew, 1-1e-12), lawR, estimate.Skewed},
	} {
		if tt.got.HasInterval() || tt.got.Kind != tt.kind {
			t.Errorf("%s: %+v, want no interval because %q", tt.name, tt.got, tt.kind)
		}
		numtest.Close(t, tt.name, tt.got.Value, tt.value, 0)
	}
}

// Replicates without a value are left out; a limit past the most extreme one is
// that one.
func TestLimitsOfFewReplicates(t *testing.T) {
	r := fixed(t)
	holed := append([]float64{nan}, r...)
	holed = append(holed, nan)
	e, plain := bootstrap.Percentile(lawR, holed, 0), bootstrap.Percentile(lawR, r, 0)
	numtest.Close(t, "Lower", e.Lower, plain.Lower, 0)
	numtest.Close(t, "Upper", e.Upper, plain.Upper, 0)

	e = bootstrap.Percentile(2, []float64{1, 3, 2}, 0)
	numtest.Close(t, "Lower", e.Lower, 1, 0)
	numtest.Close(t, "Upper", e.Upper, 3, 0)
}

// BCa does not change with the scale on which the parameter is measured
// (Efron 1987): limits of exp(theta) are exp of the limits, up to the
// interpolation between two order statistics; with no skew and no bias it is
// the percentile interval.
func TestIntervalProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.SliceOfN(rapid.Float64Range(-2, 2), 60, 200).Draw(t, "replicates")
		level := rapid.Float64Range(0.3, 0.9).Draw(t, "level")
		sorted := slices.Sorted(slices.Values(r))
		theta := rank.Quantile(sorted, 0.5, 1) + 1e-9
		left := []float64{-1, 0, 1}
		grown := make([]float64, len(r))
		for i, v := range r {
			grown[i] = math.Exp(v)
		}
		a, b := bootstrap.BCa(theta, r, left, level), bootstrap.BCa(math.Exp(theta), grown, left, level)
		if a.HasInterval() != b.HasInterval() {
			t.Fatalf("%+v, %+v", a, b)
		}
		if !a.HasInterval() {
			return
		}
		if !(a.Lower <= a.Upper) || a.Lower < sorted[0] || a.Upper > sorted[len(sorted)-1] {
			t.Fatalf("%+v outside %g to %g", a, sorted[0], sorted[len(sorted)-1])
		}
		bracket := func(limit float64) (low, high float64) {
			at, _ := slices.BinarySearch(sorted, limit)
			return sorted[max(at-1, 0)], sorted[min(at, len(sorted)-1)]
		}
		for _, pair := range [][2]float64{{a.Lower, b.Lower}, {a.Upper, b.Upper}} {
			low, high := bracket(pair[0])
			if pair[1] < math.Exp(low)*(1-1e-9) || pair[1] > math.Exp(high)*(1+1e-9) {
				t.Fatalf("limit %g becomes %g", pair[0], pair[1])
			}
		}
		wide := bootstrap.Percentile(theta, r, level+0.09)
		narrow := bootstrap.Percentile(theta, r, level)
		if wide.Lower > narrow.Lower || wide.Upper < narrow.Upper {
			t.Fatalf("the wider level gives %+v, the narrower %+v", wide, narrow)
		}
	})
}

// With symmetric jackknife values and half the resamples below the estimate
// there is nothing to correct.
func TestBCaWithNothingToCorrect(t *testing.T) {
	r := make([]float64, 1000)
	for i := range r {
		r[i] = float64(i)
	}
	a := bootstrap.BCa(499.5, r, []float64{-1, 0, 1}, 0.9)
	p := bootstrap.Percentile(499.5, r, 0.9)
	numtest.Close(t, "Lower", a.Lower, p.Lower, 1e-13)
	numtest.Close(t, "Upper", a.Upper, p.Upper, 1e-13)
}

func ExampleBCa() {
	r := bootstrap.Distribution(len(lsat), pearson, bootstrap.Options{Replicates: 4000, Seed: 1})
	e := bootstrap.BCa(pearson([]int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14}), r,
		bootstrap.Jackknife(len(lsat), pearson), 0.95)
	fmt.Printf("r = %.2f, %.1f to %.1f (%s)\n", e.Value, e.Lower, e.Upper, e.Kind)
	// Output: r = 0.78, 0.3 to 0.9 (bca)
}

func ExamplePercentile() {
	jump := []float64{31, 33, 34, 38, 45, 36, 40, 29} // jump height, cm
	mean := func(index []int) float64 {
		sum := 0.0
		for _, i := range index {
			sum += jump[i]
		}
		return sum / float64(len(index))
	}
	o := bootstrap.Options{Replicates: 2000, Seed: 1, Level: 0.9}
	e := bootstrap.Percentile(moment.Mean(jump), bootstrap.Distribution(len(jump), mean, o), o.Level)
	fmt.Printf("%.1f cm, %s\n", e.Value, e.Kind)
	// Output: 35.8 cm, percentile
}

func BenchmarkDistribution(b *testing.B) {
	mean := func(index []int) float64 {
		sum := 0.0
		for _, i := range index {
			sum += lsat[i%15]
		}
		return sum
	}
	for _, n := range []int{15, 60, 1000} {
		b.Run(fmt.Sprint("units=", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				bootstrap.Distribution(n, mean, bootstrap.Options{Seed: 1})
			}
		})
	}
}

func BenchmarkBCa(b *testing.B) {
	r := bootstrap.Distribution(15, pearson, bootstrap.Options{Seed: 1})
	left := bootstrap.Jackknife(15, pearson)
	b.ReportAllocs()
	for b.Loop() {
		bootstrap.BCa(lawR, r, left, 0.95)
	}
}
