package dist_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"noisefloor/analysis/dist"
	"noisefloor/internal/numtest"
)

// rel is the accuracy asked for; the package needs 1e-12.
const rel = 1e-13

var nan, inf = math.NaN(), math.Inf(1)

func TestQuantilesAgainstReference(t *testing.T) {
	for _, r := range normalQuantiles {
		numtest.Close(t, fmt.Sprintf("NormalQuantile(%g)", r.p), dist.NormalQuantile(r.p), r.z, rel)
	}
	for _, r := range append(tQuantiles, extremeTQuantiles...) {
		numtest.Close(t, fmt.Sprintf("TQuantile(%.14g, %g)", r.p, r.df), dist.TQuantile(r.p, r.df), r.t, rel)
	}
	for _, r := range append(chiSquareQuantiles, extremeChiSquareQuantiles...) {
		numtest.Close(t, fmt.Sprintf("ChiSquareQuantile(%.14g, %g)", r.p, r.df), dist.ChiSquareQuantile(r.p, r.df),
			r.x, rel)
	}
	for _, r := range append(fQuantiles, extremeFQuantiles...) {
		numtest.Close(t, fmt.Sprintf("FQuantile(%.14g, %g, %g)", r.p, r.df1, r.df2), dist.FQuantile(r.p, r.df1,
			r.df2), r.x, rel)
	}
}

func TestTailsAgainstReference(t *testing.T) {
	for _, r := range tails {
		numtest.Close(t, r.name, r.got(), r.want, rel)
	}
}

// The interval of a typical error is TE √(df/χ²(1-α/2)) to TE √(df/χ²(α/2)).
func TestChiSquareAgainstMultipliersOfSD(t *testing.T) {
	for _, r := range sdMultipliers {
		tail := (1 - r.level) / 2
		numtest.Close(t, fmt.Sprintf("lower, df %g, %g", r.df, r.level), math.Sqrt(r.df/dist.ChiSquareQuantile(1-tail,
			r.df)), r.lower, rel)
		numtest.Close(t, fmt.Sprintf("upper, df %g, %g", r.df, r.level), math.Sqrt(r.df/dist.ChiSquareQuantile(tail,
			r.df)), r.upper, rel)
	}
}

func TestNoncentralTAgainstReference(t *testing.T) {
	for _, r := range noncentralTCDFs {
		numtest.Close(t, fmt.Sprintf("NoncentralTCDF(%g, %g, %g)", r.t, r.df, r.delta),
			dist.NoncentralTCDF(r.t, r.df, r.delta), r.p, rel)
	}
	for _, r := range noncentralTQuantiles {
		numtest.Close(t, fmt.Sprintf("NoncentralTQuantile(%g, %g, %g)", r.p, r.df, r.delta),
			dist.NoncentralTQuantile(r.p, r.df, r.delta), r.t, rel)
	}
	for _, r := range toleranceFactors {
		delta := math.Sqrt(r.n) * dist.NormalQuantile(r.coverage)
		numtest.Close(t, fmt.Sprintf("tolerance factor, n %g, %g/%g", r.n, r.coverage, r.confidence),
			dist.NoncentralTQuantile(r.confidence, r.n-1, delta)/math.Sqrt(r.n), r.k, 2*rel)
	}
}

// Exact interval of the limits of agreement of Bland & Altman (1986): 17
// differences, mean -2.1176..., SD 38.765...; limits of the limits with 40 digits.
func TestNoncentralTAgainstLimitsOfAgreement(t *testing.T) {
	const n, mean, sd = 17, -2.1176470588235294, 38.76512987360738
	delta := dist.NormalQuantile(0.975) * math.Sqrt(n)
	limit := func(p float64) float64 { return dist.NoncentralTQuantile(p, n-1, delta) * sd / math.Sqrt(n) }
	numtest.Close(t, "lower limit, from", mean-limit(0.975), -124.160798294676, rel)
	numtest.Close(t, "lower limit, to", mean-limit(0.025), -53.09493141666751, rel)
	numtest.Close(t, "upper limit, from", mean+limit(0.025), 48.85963729902045, rel)
	numtest.Close(t, "upper limit, to", mean+limit(0.975), 119.92550417702894, rel)
}

func TestClosedForms(t *testing.T) {
	for _, x := range []float64{1e-9, 0.3, 1, 7, 300} {
		numtest.Close(t, "chi-square on 2 df", dist.ChiSquareSurvival(x, 2), math.Exp(-x/2), rel)
		numtest.Close(t, "lower tail on 2 df", dist.ChiSquareCDF(x, 2), -math.Expm1(-x/2), rel)
		numtest.Close(t, "t on 1 df", dist.TTwoSided(x, 1), 2/math.Pi*math.Atan(1/x), rel)
		numtest.Close(t, "t on 2 df", dist.TCDF(-x, 2), 1/(2+x*x+x*math.Sqrt(2+x*x)), rel)
		numtest.Close(t, "F on 2 and m df", dist.FSurvival(x, 2, 11), math.Pow(1+2*x/11, -5.5), rel)
		numtest.Close(t, "normal as t", dist.TTwoSided(x, inf), math.Erfc(x/math.Sqrt2), rel)
		numtest.Close(t, "noncentral with delta 0, many df", dist.NoncentralTCDF(-x, 1e6, 0), dist.TCDF(-x, 1e6), rel)
		numtest.Close(t, "noncentral with delta 0, upper", dist.NoncentralTCDF(x, 1, 0), dist.TCDF(x, 1), 1e-14)
		numtest.Close(t, "noncentral with delta 0", dist.NoncentralTCDF(-x, 6.5, 0), dist.TCDF(-x, 6.5), rel)
		numtest.Close(t, "noncentral with df Inf", dist.NoncentralTCDF(x, inf, 2), dist.NormalCDF(x-2), 0)
	}
	// P(a, x) is x^a/Γ(a+1) for tiny x; with 40 digits for x = 5e-311, a = 0.02.
	numtest.Close(t, "chi-square near 0", dist.ChiSquareQuantile(6.29291010871781e-07, 0.04), 1e-310, 1e-11)
	numtest.Close(t, "noncentral at 0", dist.NoncentralTCDF(0, 5, 3), dist.NormalCDF(-3), rel)
	numtest.Close(t, "noncentral quantile, df Inf", dist.NoncentralTQuantile(0.5, inf, 3), 3, rel)
}

func TestEndsOfTheRange(t *testing.T) {
	for _, tt := range []struct {
		name      string
		got, want float64
	}{
		{"NormalCDF(Inf)", dist.NormalCDF(inf), 1},
		{"NormalCDF(-Inf)", dist.NormalCDF(-inf), 0},
		{"NormalCDF(-50)", dist.NormalCDF(-50), 0},
		{"NormalQuantile(0)", dist.NormalQuantile(0), -inf},
		{"NormalQuantile(1)", dist.NormalQuantile(1), inf},
		{"NormalQuantile(.5)", dist.NormalQuantile(0.5), 0},
		{"TCDF(Inf)", dist.TCDF(inf, 3), 1},
		{"TCDF(-Inf)", dist.TCDF(-inf, 3), 0},
		{"TCDF(0)", dist.TCDF(0, 3), 0.5},
		{"TCDF(1e300)", dist.TCDF(1e300, 3), 1},
		{"TTwoSided(Inf)", dist.TTwoSided(-inf, 3), 0},
		{"TTwoSided(0)", dist.TTwoSided(0, 3), 1},
		{"TQuantile(0)", dist.TQuantile(0, 3), -inf},
		{"TQuantile(1)", dist.TQuantile(1, 3), inf},
		{"TQuantile(.5)", dist.TQuantile(0.5, 3), 0},
		{"TQuantile(df Inf)", dist.TQuantile(0.975, inf), dist.NormalQuantile(0.975)},
		{"TCDF(df Inf)", dist.TCDF(-2, inf), dist.NormalCDF(-2)},
		{"ChiSquareCDF(-1)", dist.ChiSquareCDF(-1, 3), 0},
		{"ChiSquareCDF(Inf)", dist.ChiSquareCDF(inf, 3), 1},
		{"ChiSquareSurvival(0)", dist.ChiSquareSurvival(0, 3), 1},
		{"ChiSquareSurvival(-1)", dist.ChiSquareSurvival(-1, 3), 1},
		{"ChiSquareSurvival(Inf)", dist.ChiSquareSurvival(inf, 3), 0},
		{"ChiSquareQuantile(0)", dist.ChiSquareQuantile(0, 3), 0},
		{"ChiSquareQuantile(1)", dist.ChiSquareQuantile(1, 3), inf},
		{"ChiSquareQuantile that underflows", dist.ChiSquareQuantile(1e-12, 0.01), 0},
		{"FSurvival(0)", dist.FSurvival(0, 3, 4), 1},
		{"FSurvival(-1)", dist.FSurvival(-1, 3, 4), 1},
		{"FSurvival(Inf)", dist.FSurvival(inf, 3, 4), 0},
		{"FQuantile(0)", dist.FQuantile(0, 3, 4), 0},
		{"FQuantile(1)", dist.FQuantile(1, 3, 4), inf},
		{"FQuantile that overflows", dist.FQuantile(1-1e-12, 3, 0.005), inf},
		{"NoncentralTCDF(Inf)", dist.NoncentralTCDF(inf, 3, 2), 1},
		{"NoncentralTCDF(-Inf)", dist.NoncentralTCDF(-inf, 3, 2), 0},
		{"NoncentralTQuantile(0)", dist.NoncentralTQuantile(0, 3, 2), -inf},
		{"NoncentralTQuantile(1)", dist.NoncentralTQuantile(1, 3, 2), inf},
		{"NoncentralTQuantile(delta 0)", dist.NoncentralTQuantile(0.9, 3, 0), dist.TQuantile(0.9, 3)},
	} {
		numtest.Close(t, tt.name, tt.got, tt.want, 0)
	}
}

func TestOutOfRangeIsNaN(t *testing.T) {
	bad := map[string]float64{}
	for _, p := range []float64{-1e-9, 1 + 1e-9, nan, inf, -inf} {
		bad[fmt.Sprint("NormalQuantile ", p)] = dist.NormalQuantile(p)
		bad[fmt.Sprint("TQuantile ", p)] = dist.TQuantile(p, 3)
		bad[fmt.Sprint("ChiSquareQuantile ", p)] = dist.ChiSquareQuantile(p, 3)
		bad[fmt.Sprint("FQuantile ", p)] = dist.FQuantile(p, 3, 3)
		bad[fmt.Sprint("NoncentralTQuantile ", p)] = dist.NoncentralTQuantile(p, 3, 1)
	}
	for _, df := range []float64{0, -1, nan, -inf} {
		bad[fmt.Sprint("TCDF df ", df)] = dist.TCDF(1, df)
		bad[fmt.Sprint("TTwoSided df ", df)] = dist.TTwoSided(1, df)
		bad[fmt.Sprint("TQuantile df ", df)] = dist.TQuantile(0.5, df)
		bad[fmt.Sprint("ChiSquareSurvival df ", df)] = dist.ChiSquareSurvival(1, df)
		bad[fmt.Sprint("ChiSquareQuantile df ", df)] = dist.ChiSquareQuantile(0.5, df)
		bad[fmt.Sprint("FSurvival df1 ", df)] = dist.FSurvival(1, df, 3)
		bad[fmt.Sprint("FSurvival df2 ", df)] = dist.FSurvival(1, 3, df)
		bad[fmt.Sprint("FQuantile df1 ", df)] = dist.FQuantile(0.5, df, 3)
		bad[fmt.Sprint("FQuantile df2 ", df)] = dist.FQuantile(0.5, 3, df)
		bad[fmt.Sprint("NoncentralTCDF df ", df)] = dist.NoncentralTCDF(1, df, 1)
		bad[fmt.Sprint("NoncentralTQuantile df ", df)] = dist.NoncentralTQuantile(0.5, df, 1)
	}
	bad["ChiSquareSurvival df Inf"] = dist.ChiSquareSurvival(1, inf)
	bad["ChiSquareQuantile df Inf"] = dist.ChiSquareQuantile(0.5, inf)
	bad["FSurvival df Inf"] = dist.FSurvival(1, 3, inf)
	bad["FQuantile df Inf"] = dist.FQuantile(0.5, inf, 3)
	bad["NormalCDF NaN"] = dist.NormalCDF(nan)
	bad["TCDF NaN"] = dist.TCDF(nan, 3)
	bad["TCDF NaN, df Inf"] = dist.TCDF(nan, inf)
	bad["TTwoSided NaN"] = dist.TTwoSided(nan, 3)
	bad["ChiSquareCDF NaN"], bad["ChiSquareCDF df 0"] = dist.ChiSquareCDF(nan, 3), dist.ChiSquareCDF(1, 0)
	bad["ChiSquareSurvival NaN"] = dist.ChiSquareSurvival(nan, 3)
	bad["FSurvival NaN"] = dist.FSurvival(nan, 3, 3)
	bad["NoncentralTCDF NaN"] = dist.NoncentralTCDF(nan, 3, 1)
	for _, delta := range []float64{nan, inf, -inf} {
		bad[fmt.Sprint("NoncentralTCDF delta ", delta)] = dist.NoncentralTCDF(1, 3, delta)
		bad[fmt.Sprint("NoncentralTQuantile delta ", delta)] = dist.NoncentralTQuantile(0.5, 3, delta)
	}
	for name, got := range bad {
		numtest.Close(t, name, got, nan, 0)
	}
}

// A quantile put back into its distribution gives its probability, in
// whichever tail is the smaller, and the distributions obey their identities.
func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tail := math.Pow(10, rapid.Float64Range(-12, math.Log10(0.4999)).Draw(t, "log10 of the tail"))
		df := math.Pow(10, rapid.Float64Range(-0.3, 5).Draw(t, "log10 df"))
		df2 := math.Pow(10, rapid.Float64Range(-0.3, 5).Draw(t, "log10 df2"))
		// A relative step of 1e-16 in x moves the tail by up to about √df z.
		loose := 1e-14 * (10 + math.Sqrt(max(df, df2)))

		x := dist.TQuantile(tail, df)
		numtest.Close(t, "t", dist.TCDF(x, df), tail, loose)
		numtest.Close(t, "t, both sides", dist.TTwoSided(x, df), 2*tail, loose)
		numtest.Close(t, "t² is F(1, df)", dist.FSurvival(x*x, 1, df), 2*tail, loose)
		numtest.CloseAbs(t, "t, upper", dist.TCDF(-x, df), 1-tail, loose*tail+2e-16)
		q := 1 - tail
		numtest.Close(t, "normal, upper", dist.NormalQuantile(q), -dist.NormalQuantile(1-q), 0)
		numtest.Close(t, "t, upper quantile", dist.TQuantile(q, df), -dist.TQuantile(1-q, df), 0)
		numtest.Close(t, "normal", dist.NormalCDF(dist.NormalQuantile(tail)), tail, 1e-14)

		f := dist.FQuantile(tail, df, df2)
		numtest.Close(t, "F, lower", dist.FSurvival(1/f, df2, df), tail, loose)
		chi := dist.ChiSquareQuantile(1-tail, df)
		numtest.Close(t, "chi-square", dist.ChiSquareSurvival(chi, df), 1-(1-tail), loose)
	})
}

func TestNoncentralTProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tail := math.Pow(10, rapid.Float64Range(-10, math.Log10(0.4999)).Draw(t, "log10 of the tail"))
		df := math.Pow(10, rapid.Float64Range(0, 3).Draw(t, "log10 df"))
		delta := rapid.Float64Range(-60, 60).Draw(t, "delta")
		x := dist.NoncentralTQuantile(tail, df, delta)
		numtest.Close(t, "lower tail", dist.NoncentralTCDF(x, df, delta), tail, 1e-12)
		numtest.CloseAbs(t, "mirrored", dist.NoncentralTCDF(-x, df, -delta), 1-tail, 1e-13)
		q := 1 - tail
		numtest.Close(t, "mirrored quantile", dist.NoncentralTQuantile(q, df, delta), -dist.NoncentralTQuantile(1-q,
			df, -delta), 0)
		y := rapid.Float64Range(-80, 80).Draw(t, "t")
		numtest.CloseAbs(t, "both tails", dist.NoncentralTCDF(y, df, delta)+dist.NoncentralTCDF(-y, df, -delta), 1,
			1e-13)
		if further := dist.NoncentralTCDF(x, df, delta+0.5); further >= dist.NoncentralTCDF(x, df, delta) {
			t.Fatalf("more noncentrality does not move T up: %g", further)
		}
	})
}

func ExampleTQuantile() {
	// The factor of a 95 % interval from 7 degrees of freedom.
	fmt.Printf("%.4f\n", dist.TQuantile(0.975, 7))
	// Output: 2.3646
}

func ExampleNoncentralTQuantile() {
	// One-sided tolerance factor, 10 athletes, 95 % of the population with 95 % confidence.
	n := 10.0
	delta := math.Sqrt(n) * dist.NormalQuantile(0.95)
	fmt.Printf("%.4f\n", dist.NoncentralTQuantile(0.95, n-1, delta)/math.Sqrt(n))
	// Output: 2.9110
}

func BenchmarkTQuantile(b *testing.B) {
	for b.Loop() {
		dist.TQuantile(0.975, 23)
	}
}

func BenchmarkTTwoSided(b *testing.B) {
	for b.Loop() {
		dist.TTwoSided(2.1, 23)
	}
}

func BenchmarkFQuantile(b *testing.B) {
	for _, df := range []float64{23, 1e6} {
		b.Run(fmt.Sprint("df=", df), func(b *testing.B) {
			for b.Loop() {
				dist.FQuantile(0.975, df, 2*df)
			}
		})
	}
}

func BenchmarkChiSquareQuantile(b *testing.B) {
	for b.Loop() {
		dist.ChiSquareQuantile(0.975, 23)
	}
}

func BenchmarkNoncentralTQuantile(b *testing.B) {
	for _, df := range []float64{1, 23, 700} {
		b.Run(fmt.Sprint("df=", df), func(b *testing.B) {
			for b.Loop() {
				dist.NoncentralTQuantile(0.975, df, 9)
			}
		})
	}
}
