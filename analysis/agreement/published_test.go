package agreement_test

import (
	"math"
	"strconv"
	"testing"

	"noisefloor/analysis/agreement"
	"noisefloor/internal/numtest"
	"noisefloor/internal/published"
)

func codes(n int) []string {
	out := make([]string, n)
	for i := range out {
		out[i] = "A" + strconv.Itoa(i+1)
	}
	return out
}

func compare(t testing.TB, first, second []float64, o agreement.Options) agreement.Result {
	t.Helper()
	r, err := agreement.Compare(codes(len(first)), first, second, "one", "two", o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// A check is one number of a result.
type check struct {
	name      string
	got, want float64
}

func near(t *testing.T, rel float64, checks []check) {
	t.Helper()
	for _, c := range checks {
		numtest.Close(t, c.name, c.got, c.want, rel)
	}
}

// Peak expiratory flow, first readings, Wright - mini. Source: Bland & Altman
// (1986), Lancet 327:307-310; full precision recomputed from the table with
// 40-digit arithmetic (mpmath); the slopes and their standard errors also with
// R 4.2.2, lm.
func TestPeakFlow(t *testing.T) {
	d := published.Columns(t, "agreement/pefr.csv")
	r := compare(t, d["mini1"], d["wright1"], agreement.Options{})
	near(t, 1e-12, []check{
		{"bias", r.Bias.Value, -2.1176470588235294},
		{"SD", r.SD, 38.76512987360738},
		{"bias lower", r.Bias.Lower, -22.04883769664517},
		{"bias upper", r.Bias.Upper, 17.813543578998107},
		{"lower limit", r.Lower.Value, -78.09590546711173},
		{"upper limit", r.Upper.Value, 73.86061134946468},
		{"lower limit, 1986 interval from", r.LowerApprox.Lower, -112.61774030715995},
		{"lower limit, 1986 interval to", r.LowerApprox.Upper, -43.57407062706352},
		{"upper limit, 1986 interval from", r.UpperApprox.Lower, 39.33877650941646},
		{"upper limit, 1986 interval to", r.UpperApprox.Upper, 108.38244618951289},
		{"lower limit, exact interval from", r.Lower.Lower, -124.160798294676},
		{"lower limit, exact interval to", r.Lower.Upper, -53.09493141666751},
		{"upper limit, exact interval from", r.Upper.Lower, 48.85963729902045},
		{"upper limit, exact interval to", r.Upper.Upper, 119.92550417702894},
	})
	near(t, 1e-11, []check{
		{"slope", r.Slope.Value, 0.028687445152549236},
		{"slope p", r.SlopeP, 0.749498533649294},
		{"slope lower (R)", r.Slope.Lower, -0.15932006368395649},
		{"slope upper (R)", r.Slope.Upper, 0.216694953989055},
		{"spread", r.Spread.Value, -0.08552653601776547},
		{"spread p", r.SpreadP, 0.11407130793152373},
		{"spread lower (R)", r.Spread.Lower, -0.19417072741285518},
		{"spread upper (R)", r.Spread.Upper, 0.023117655377324284},
	})
	near(t, 1e-11, []check{
		{"b0", r.B0, -15.06749730003899}, {"b1", r.B1, 0.028687445152549236},
		{"c0", r.C0, 67.71813550446399}, {"c1", r.C1, -0.08552653601776547},
	})
	_, lower, upper := r.LimitsAt(654)
	near(t, 1e-11, []check{{"lower limit at 654", lower, -25.252183604159352}, {"upper limit at 654", upper,
		32.64036726361577}})
	if bias, lower, upper := r.LimitsAt(2000); lower != bias || upper != bias { // the line of the spread is below 0
		t.Errorf("limits at 2000: %g, %g, %g", bias, lower, upper)
	}
	if r.N != 17 || r.LogAdvised || r.SpreadOnLog != nil || r.Advice != "" || len(r.Caveats) != 0 {
		t.Errorf("n = %d, log advised %t, advice %q, caveats %v", r.N, r.LogAdvised, r.Advice, r.Caveats)
	}
	// Printed: -2.1, 38.8, and -79.7 and 75.5 from the rounded two.
	numtest.CloseAbs(t, "printed mean", r.Bias.Value, -2.1, 0.05)
	numtest.CloseAbs(t, "printed SD", r.SD, 38.8, 0.05)
	numtest.CloseAbs(t, "printed limit", r.Bias.Value-2*r.SD, -79.7, 0.06)
	numtest.CloseAbs(t, "printed limit", r.Bias.Value+2*r.SD, 75.5, 0.1)
}

// The same meters, means of two readings; source as above.
func TestPeakFlowMeansOfTwo(t *testing.T) {
	d := published.Columns(t, "agreement/pefr.csv")
	half := func(a, b string) []float64 {
		out := make([]float64, len(d[a]))
		for i := range out {
			out[i] = (d[a][i] + d[b][i]) / 2
		}
		return out
	}
	r := compare(t, half("mini1", "mini2"), half("wright1", "wright2"), agreement.Options{})
	near(t, 1e-12, []check{
		{"bias", r.Bias.Value, -6.029411764705882},
		{"SD", r.SD, 33.20413687904495},
		{"lower limit", r.Lower.Value, -71.10832418537218},
		{"lower limit, exact interval from", r.Lower.Lower, -110.56504757961899},
		{"upper limit, exact interval to", r.Upper.Upper, 98.50622405020722},
		{"upper limit, 1986 interval to", r.UpperApprox.Upper, 88.61905796383267},
	})
}

// A made-up set whose error grows with the value; recomputed with 40-digit
// arithmetic (mpmath) as x - y, intervals of the slopes with R 4.2.2, confint.
func TestSpreadThatGrows(t *testing.T) {
	d := published.Columns(t, "agreement/proportional.csv")
	r := compare(t, d["y"], d["x"], agreement.Options{})
	near(t, 1e-11, []check{
		{"bias", r.Bias.Value, -1.6006666666666667},
		{"lower limit, exact interval from", r.Lower.Lower, -9.71835353269035},
		{"upper limit, exact interval to", r.Upper.Upper, 6.517020199357017},
		{"slope", r.Slope.Value, -0.06293420986359392},
		{"slope p", r.SlopeP, 0.107427885454871},
		{"spread", r.Spread.Value, 0.049279999032667464},
		{"spread p", r.SpreadP, 0.01967217847398833},
		{"spread lower (R)", r.Spread.Lower, 0.0084836749040646392},
		{"spread upper (R)", r.Spread.Upper, 0.09007632316127008},
	})
	near(t, 1e-11, []check{
		{"b0", r.B0, 0.915904561218818}, {"b1", r.B1, -0.06293420986359392},
		{"c0", r.C0, 0.27743994034568165}, {"c1", r.C1, 0.049279999032667464},
	})
	for _, at := range []struct{ mean, lower, upper float64 }{ // with z, not 1.96
		{16.47, -2.795896807150759, 2.554653056681611},
		{39.987333333333333, -7.122806086655985, 3.921472753322652},
		{60.335, -10.866534445155214, 5.104072463352971},
	} {
		bias, lower, upper := r.LimitsAt(at.mean)
		near(t, 1e-11, []check{{"lower limit", lower, at.lower}, {"upper limit", upper, at.upper}, {"line", bias,
			(at.lower + at.upper) / 2}})
	}
	if !r.LogAdvised || !r.Cured || r.SpreadOnLog == nil || r.Advice != agreement.UseLog {
		t.Fatalf("log advised %t, cured %t, advice %q", r.LogAdvised, r.Cured, r.Advice)
	}
	near(t, 1e-10, []check{ // R 4.2.2, lm on logarithms
		{"spread on logs", r.SpreadOnLog.Value, -0.010601363719450713},
		{"spread on logs, lower", r.SpreadOnLog.Lower, -0.045334459548669520},
		{"spread on logs, upper", r.SpreadOnLog.Upper, 0.024131732109768097},
	})
	logs := compare(t, logarithms(d["y"]), logarithms(d["x"]), agreement.Options{OnLog: true})
	near(t, 1e-11, []check{ // mpmath
		{"log bias", logs.Bias.Value, -0.036509526077431825},
		{"log SD", logs.SD, 0.069341806444026},
		{"log upper limit", logs.Upper.Value, 0.0993979171758066},
		{"log upper limit, exact interval to", logs.Upper.Upper, 0.15463739411707259},
		{"ratio limit", math.Exp(logs.Lower.Value), 0.8416281668607437},
	})
	numtest.Close(t, "spread, logs given", logs.Spread.Value, r.SpreadOnLog.Value, 1e-12)
	if logs.LogAdvised || logs.Advice != "" {
		t.Errorf("logarithms were advised to become logarithms: %q", logs.Advice)
	}
}

func logarithms(x []float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = math.Log(v)
	}
	return out
}
