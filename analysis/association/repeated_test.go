package association_test

import (
	"errors"
	"fmt"
	"log"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"noisefloor/analysis/association"
	"noisefloor/internal/numtest"
)

// Bland & Altman (1995), BMJ 310:446 and 633: intramural pH and PaCO2, printed
// to the digits in the first column; the second recomputed with 40 digits from
// the printed data. The sum of squares printed for subjects is the adjusted
// one, and the r of means .09 is from means rounded to two decimals: neither is
// looked at.
func TestRepeatedMeasuresPublished(t *testing.T) {
	c := columns(t, published(t, "bland_altman_1995.csv"), "subject", "ph", "paco2")
	r := must[association.Repeated](t)(association.RepeatedMeasures(c[2], c[1], integers(c[0]), 0))
	for _, q := range []struct {
		name                           string
		got, printed, half, recomputed float64
	}{
		{"SS PaCO2", r.SSX, 0.1153, 5e-5, 0.11532495856306083},
		{"SS residual", r.SSResidual, 0.3337, 5e-5, 0.33373254143693915},
		{"df", r.DF, 38, 0, 38},
		{"F", r.F, 13.1, 0.05, 13.131318889453828},
		{"P", r.P, 0.0008, 5e-5, 0.000847108109128919},
		{"slope of pH on PaCO2", r.Slope.Value, -0.108, 5e-4, -0.10832304706968245},
		{"r", r.Value, -0.51, 5e-3, -0.506769742233063},
		{"lower", r.Lower, r.Lower, 0, -0.7067146363859454},
		{"upper", r.Upper, r.Upper, 0, -0.23186311975667714},
		{"r ignoring subjects", r.Ignoring, -0.07, 5e-3, -0.0652177441199395},
		{"r of means", r.Means, r.Means, 0, 0.08177313512373198},
	} {
		numtest.CloseAbs(t, q.name+", printed", q.got, q.printed, q.half)
		numtest.Close(t, q.name, q.got, q.recomputed, 1e-11)
	}
	if r.N != 47 || r.Athletes != 8 || r.Single != 0 {
		t.Errorf("n = %d, %d athletes, %d single", r.N, r.Athletes, r.Single)
	}
	if got := said(r.Caveats); got != "two-questions-mixed -0.51 -0.07" {
		t.Errorf("caveats %s", got)
	}
	// The other way round the slope is that of PaCO2 on pH, and all else is the same.
	back := must[association.Repeated](t)(association.RepeatedMeasures(c[1], c[2], integers(c[0]), 0))
	numtest.Close(t, "slope of PaCO2 on pH", back.Slope.Value, -2.3708303873483167, 1e-11)
	numtest.Close(t, "r", back.Value, r.Value, 1e-13)
	numtest.Close(t, "F", back.F, r.F, 1e-12)
	// t of the slope is the root of F: the interval at the level 1-p touches 0.
	edge := must[association.Repeated](t)(association.RepeatedMeasures(c[2], c[1], integers(c[0]), 1-r.P))
	numtest.CloseAbs(t, "edge of the slope", edge.Slope.Upper, 0, 1e-12)
}

func integers(x []float64) []int {
	out := make([]int, len(x))
	for i, v := range x {
		out[i] = int(v)
	}
	return out
}

func TestRepeatedMeasuresErrors(t *testing.T) {
	x, y, who := []float64{1, 2, 3, 5, 4}, []float64{2, 1, 4, 3, 5}, []int{7, 7, 3, 3, 7}
	tests := []struct {
		name  string
		x, y  []float64
		who   []int
		level float64
		want  error
	}{
		{"level", x, y, who, 7, association.ErrLevel},
		{"length", x, y, who[:4], 0, association.ErrLength},
		{"length of y", x, y[:4], who, 0, association.ErrLength},
		{"few", x[:3], y[:3], who[:3], 0, association.ErrTooFew},
		{"no df", x[:4], y[:4], []int{1, 1, 2, 3}, 0, association.ErrTooFew},
		{"all single", x, y, []int{1, 2, 3, 4, 5}, 0, association.ErrRepeats},
		{"x constant inside", []float64{1, 1, 3, 3, 1}, y, who, 0, association.ErrConstant},
		{"y constant inside", x, []float64{1, 1, 3, 3, 1}, who, 0, association.ErrConstant},
		{"missing", x, []float64{1, nan, 3, 3, 1}, who, 0, association.ErrNonFinite},
	}
	for _, tt := range tests {
		r, err := association.RepeatedMeasures(tt.x, tt.y, tt.who, tt.level)
		if !errors.Is(err, tt.want) || !allNaN(r.Value, r.P, r.F, r.SSX, r.SSResidual, r.Slope.Value, r.Ignoring,
			r.Means) || r.Kind == "" {
			t.Errorf("%s: %v, %+v", tt.name, err, r)
		}
	}
}

// It is r within groups, with athletes as groups; athletes seen once change
// nothing; numbering and order do not matter; a level of each athlete's own
// does not matter.
func TestRepeatedMeasuresProperties(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := drawSample(rt)
		who := make([]int, len(s.x))
		for i, g := range s.group {
			who[i] = int(g[0])
		}
		r := must[association.Repeated](t)(association.RepeatedMeasures(s.x, s.y, who, 0.9))
		sameR(t, "within", r.Correlation, must[association.WithinGroups](t)(association.Within(s.x, s.y, s.group,
			0.9)).Correlation)
		numtest.CloseAbs(t, "r²", r.Value*r.Value, r.SSX/(r.SSX+r.SSResidual), 1e-10)

		x, y := slices.Clone(s.x), slices.Clone(s.y)
		for i := range x {
			x[i], y[i] = 2*x[i]+float64(100*who[i]), y[i]/4-float64(who[i])
		}
		x, y, single := append(x, 5), append(y, 1e3), append(slices.Clone(who), 1)
		more := must[association.Repeated](t)(association.RepeatedMeasures(x, y, single, 0.9))
		numtest.CloseAbs(t, "r", more.Value, r.Value, 1e-9)
		numtest.Close(t, "df", more.DF, r.DF, 0)
		numtest.CloseAbs(t, "upper", more.Upper, r.Upper, 1e-8)
		numtest.CloseAbs(t, "slope", more.Slope.Value*8, r.Slope.Value, 1e-8)
		if more.Single != 1 || !strings.HasPrefix(said(more.Caveats), "athletes-with-one-score 1.00 4.00") {
			t.Fatalf("%d single, %s", more.Single, said(more.Caveats))
		}
	})
}

// The test that r inside athletes is 0 keeps its 5 % when athletes differ
// widely, and the interval its 95 %; ignoring who is who does not.
func TestCoverageOfRepeatedMeasures(t *testing.T) {
	rng := random(20)
	var covered, alarms, ignoring int
	for range studies {
		var x, y []float64
		var who []int
		for a := range 8 {
			ax, ay := 5*rng.NormFloat64(), 5*rng.NormFloat64()
			for range 4 {
				v := rng.NormFloat64()
				x, y, who = append(x, ax+v), append(y, ay+0.5*v+math.Sqrt(0.75)*rng.NormFloat64()), append(who, a)
			}
		}
		r := must[association.Repeated](t)(association.RepeatedMeasures(x, y, who, 0))
		covered += one(!r.Excludes(0.5))
		plainR := must[association.Correlation](t)(association.Pearson(x, y, 0))
		ignoring += one(!plainR.Excludes(0.5))
		for i := range y { // no relation inside athletes
			y[i] = 5*float64(who[i]) + rng.NormFloat64()
		}
		alarms += one(must[association.Repeated](t)(association.RepeatedMeasures(x, y, who, 0)).P < 0.05)
	}
	share(t, "interval of r inside athletes", covered, 0.95)
	share(t, "false alarms", alarms, 0.05)
	if ignoring > studies*70/100 {
		t.Errorf("ignoring who is who holds r in %d of %d", ignoring, studies)
	}
}

// Does a bowler bowl faster on days of a faster warm-up throw? Invented.
func ExampleRepeatedMeasures() {
	throw := []float64{9.1, 9.4, 9.0, 11.2, 11.0, 11.5, 10.1, 10.4, 10.6} // m
	speed := []float64{33.0, 33.4, 33.1, 31.0, 30.6, 31.3, 35.2, 35.3, 35.9}
	athlete := []int{1, 1, 1, 2, 2, 2, 3, 3, 3}
	r, err := association.RepeatedMeasures(throw, speed, athlete, 0.95)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("inside an athlete r = %.2f (df %.0f), %.2f m/s for 1 m; ignoring who is who %.2f\n", r.Value, r.DF,
		r.Slope.Value, r.Ignoring)
	// Output: inside an athlete r = 0.91 (df 5), 1.23 m/s for 1 m; ignoring who is who -0.36
}
