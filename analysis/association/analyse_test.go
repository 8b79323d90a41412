package association_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"noisefloor/analysis/association"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
)

var nan = math.NaN()

// cohort is ten athletes of two levels with three tests, made up.
func cohort() association.Input {
	in := plain([]float64{30, 31, 33, 32, 35, 38, 37, 40, 39, 41}, []float64{10, 12, 11, 13, 14, 15, 17, 16, 19, 18})
	in.Outcome.Unit = "m/s"
	in.Tests = append(in.Tests,
		association.Variable{Name: "jump", Plane: "sagittal", Better: score.Higher, Value: []float64{41, 38, 45, 40, 39, 47, 42, 44, 43, 46}},
		association.Variable{Name: "sprint", Plane: "sagittal", Better: score.Lower,
			Value: []float64{1.9, 1.95, 1.8, 1.85, 1.88, 1.7, 1.82, 1.75, 1.78, 1.72}})
	in.Group = []string{"School", "School", "School", "School", "School", "Academy", "Academy", "Academy", "Academy",
		"Academy"}
	in.GroupName = "level"
	return in
}

func analyse(t *testing.T, in association.Input) association.Result {
	t.Helper()
	return must[association.Result](t)(association.Analyse(in, association.Options{Replicates: 200}))
}

func TestErrors(t *testing.T) {
	inf := math.Inf(1)
	tests := []struct {
		name string
		spoil
		want error
		text string
	}{
		{"no athletes", func(in *association.Input, _ *association.Options) { *in = association.Input{} },
			association.ErrLength, ""},
		{"level of confidence", func(_ *association.Input, o *association.Options) { o.Level = 95 },
			association.ErrLevel, "95"},
		{"one plane twice", func(_ *association.Input, o *association.Options) {
			o.Planes = [2]string{"frontal",
				"frontal"}
		}, association.ErrPlanes, "frontal"},
		{"one plane only", func(_ *association.Input, o *association.Options) { o.Planes[0] = "frontal" },
			association.ErrPlanes, ""},
		{"three outcomes", func(in *association.Input, _ *association.Options) { fill(in.Outcome.Value[3:], nan) },
			association.ErrTooFew, `outcome "speed": too few athletes: have 3, need 4`},
		{"constant outcome", func(in *association.Input, _ *association.Options) { fill(in.Outcome.Value, 30) },
			association.ErrConstant, `outcome "speed"`},
		{"infinite test", func(in *association.Input, _ *association.Options) { in.Tests[1].Value[2] = inf },
			association.ErrNonFinite, `"jump", athlete P3`},
		{"infinite session", func(in *association.Input, _ *association.Options) {
			in.Tests[0].Sessions = make([]float64, 20)
			in.Tests[0].Sessions[5] = inf
		}, association.ErrNonFinite, `"throw", athlete P3, session 2`},
		{"short test", func(in *association.Input,
			_ *association.Options) {
			in.Tests[1].Value = in.Tests[1].Value[:9]
		}, association.ErrLength, `"jump"`},
		{"short levels", func(in *association.Input, _ *association.Options) { in.Group = in.Group[:9] },
			association.ErrLength, "9 levels"},
		{"odd sessions", func(in *association.Input, _ *association.Options) {
			in.Tests[0].Sessions = make([]float64,
				15)
		}, association.ErrLength, "15 session scores"},
		{"athlete twice", func(in *association.Input, _ *association.Options) { in.Athletes[4] = "P1" },
			association.ErrDuplicate, `athlete "P1"`},
		{"test twice", func(in *association.Input, _ *association.Options) { in.Tests[1].Name = "throw" },
			association.ErrDuplicate, `"throw"`},
		{"outcome among tests", func(in *association.Input, _ *association.Options) { in.Tests[1].Name = "speed" },
			association.ErrDuplicate, `"speed"`},
		{"covariate in two units", func(in *association.Input, _ *association.Options) {
			kg := []float64{70, 72, 68, 75, 80, 77, 74, 81, 79, 83}
			in.Covariates = []association.Variable{{Name: "kg", Value: kg},
				{Name: "lb", Value: mapped(kg, func(v float64) float64 { return 2.20462 * v })}}
		}, association.ErrCollinear, `covariate "lb"`},
		{"constant covariate", func(in *association.Input, _ *association.Options) {
			in.Covariates = []association.Variable{{Name: "sex", Value: make([]float64, 10)}}
		}, association.ErrConstant, `covariate "sex"`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			in, o := cohort(), association.Options{}
			tt.spoil(&in, &o)
			_, err := association.Analyse(in, o)
			if !errors.Is(err, tt.want) || !strings.Contains(err.Error(), tt.text) {
				t.Errorf("error %v, want %v naming %s", err, tt.want, tt.text)
			}
		})
	}
}

type spoil = func(*association.Input, *association.Options)

func fill(x []float64, v float64) {
	for i := range x {
		x[i] = v
	}
}

// What cannot be computed for one test is NaN with a reason, never an error.
func TestAbsentWithReason(t *testing.T) {
	tests := []struct {
		name   string
		reason estimate.Kind
		n      int
		spoil  func(*association.Input)
	}{
		{"three athletes", estimate.TooFew, 3, func(in *association.Input) { fill(in.Tests[0].Value[3:], nan) }},
		{"none", estimate.TooFew, 0, func(in *association.Input) { fill(in.Tests[0].Value, nan) }},
		{"constant", estimate.NoVariation, 10, func(in *association.Input) { fill(in.Tests[0].Value, 12.3) }},
		{"constant but for the last bit", estimate.NoVariation, 10, func(in *association.Input) {
			fill(in.Tests[0].Value, 0.3)
			in.Tests[0].Value[2] = math.Nextafter(0.3, 1)
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			in := cohort()
			in.Covariates = []association.Variable{{Name: "age", Value: []float64{14, 15, 14, 16, 15, 18, 19, 18, 20,
				19}}}
			in.Tests[0].Reliability, in.Tests[0].ReliabilitySource = 0.9, "a study"
			in.Outcome.Reliability, in.Outcome.ReliabilitySource = 0.9, "a study"
			tt.spoil(&in)
			r := analyse(t, in)
			a := r.Associations[0]
			for name, c := range map[string]association.Correlation{"Pearson": a.Pearson, "Spearman": a.Spearman,
				"partial": *a.Partial, "within": a.Within.Correlation, "slope": {Estimate: a.Slope, P: nan,
					PHolm: nan, PBH: nan}} {
				if !allNaN(c.Value, c.Lower, c.Upper, c.P, c.PHolm, c.PBH) || c.Kind == "" {
					t.Errorf("%s: %+v", name, c)
				}
			}
			want := fmt.Sprintf(`no-correlation ["throw"] (%s) %d.00`, tt.reason, tt.n)
			if a.Pearson.Kind != tt.reason || !strings.Contains(said(a.Caveats), want) {
				t.Errorf("reason %q, want %q among\n%s", a.Pearson.Kind, want, said(a.Caveats))
			}
			if a.Corrected != nil {
				t.Errorf("corrected %+v", a.Corrected)
			}
			for _, c := range slices.Concat(r.Comparisons, r.WithinComparisons) {
				if !allNaN(c.RA, c.Difference.Value, c.T, c.PWilliams, c.PWilliamsHolm, c.Z, c.PMeng) ||
					c.Difference.Kind == "" {
					t.Errorf("comparison %+v", c)
				}
			}
			if r.Planes[0].Plane != "sagittal" || len(r.Planes) != 1 {
				t.Errorf("planes %+v", r.Planes)
			}
			// The other tests do not suffer, and are a family of two.
			b := r.Associations[1].Pearson
			if math.IsNaN(b.Value) || b.PHolm > 2*b.P {
				t.Errorf("the second test: %+v", b)
			}
		})
	}
}

func allNaN(x ...float64) bool {
	return !slices.ContainsFunc(x, func(v float64) bool { return !math.IsNaN(v) })
}

func TestPerfectLine(t *testing.T) {
	in := cohort()
	in.Tests[0].Value = mapped(in.Outcome.Value, func(v float64) float64 { return 3*v + 7 })
	r := analyse(t, in)
	p := r.Associations[0].Pearson
	if p.Value != 1 || p.P != 0 || p.HasInterval() || p.Kind != estimate.OnALine {
		t.Errorf("r of a line: %+v", p)
	}
	numtest.Close(t, "slope", r.Associations[0].Slope.Value, 1.0/3, 1e-12)
	c := r.Comparisons[0]
	if math.IsNaN(c.T) || !math.IsNaN(c.Z) || c.Difference.HasInterval() || c.Difference.Kind != estimate.OnALine {
		t.Errorf("comparison with a line: %+v", c)
	}
	if r.Planes[0].MeanR != 1 {
		t.Errorf("plane %+v", r.Planes[0])
	}

	twice := cohort()
	twice.Tests[1].Value = mapped(twice.Tests[0].Value, func(v float64) float64 { return 2 * v })
	c = analyse(t, twice).Comparisons[0]
	if c.RAB != 1 || !allNaN(c.T, c.DF, c.PWilliams, c.Z, c.PMeng) || c.Difference.HasInterval() ||
		c.Difference.Value != 0 {
		t.Errorf("a test against itself: %+v", c)
	}
}

// Huge and tiny units change nothing: no sum over- or underflows.
func TestExtremeUnits(t *testing.T) {
	want := analyse(t, cohort())
	for _, unit := range []float64{0x1p1000, 0x1p-1040} {
		in := cohort()
		in.Tests[0].Value = mapped(in.Tests[0].Value, func(v float64) float64 { return v * unit })
		got := analyse(t, in)
		numtest.Close(t, "r", got.Associations[0].Pearson.Value, want.Associations[0].Pearson.Value, 1e-12)
		numtest.Close(t, "within", got.Associations[0].Within.Value, want.Associations[0].Within.Value, 1e-12)
		numtest.Close(t, "Williams", got.Comparisons[0].T, want.Comparisons[0].T, 1e-12)
	}
}

func TestMissingValuesAndLevels(t *testing.T) {
	in := cohort()
	in.Outcome.Value[0] = nan
	in.Tests[0].Value[1], in.Tests[1].Value[9] = nan, nan
	in.Group[2], in.Group[8] = "", ""
	in.Covariates = []association.Variable{{Name: "age", Value: []float64{14, 15, 14, 16, nan, 18, 19, 18, 20, 19}}}
	r := analyse(t, in)
	if want, got := "athletes-without-outcome [\"speed\"] 1.00 10.00\nathletes-without-level 2.00 9.00",
		said(r.Caveats); got != want {
		t.Errorf("caveats\n%s\nwant\n%s", got, want)
	}
	a := r.Associations[0]
	got := []int{r.Athletes, a.N, len(a.Points), a.Pearson.N, a.Spearman.N, a.Partial.N, a.Within.N,
		r.Comparisons[0].N, r.WithinComparisons[0].N}
	if diff := cmp.Diff([]int{9, 8, 8, 8, 8, 7, 6, 7, 5}, got); diff != "" {
		t.Errorf("athletes used (-want +got):\n%s", diff)
	}
	if want := "athletes-without-test [\"throw\"] 1.00 9.00\nathletes-without-covariate [\"throw\"] 1.00 8.00"; !strings.HasPrefix(said(a.Caveats), want) {
		t.Errorf("caveats\n%s\nwant first\n%s", said(a.Caveats), want)
	}
	if p := a.Points[0]; p != (association.Point{Athlete: "P3", Group: "", X: 11, Y: 33}) {
		t.Errorf("first point %+v", p)
	}
	numtest.Close(t, "df within", a.Within.DF, 6-2-1, 0)
	numtest.Close(t, "df of Williams within", r.WithinComparisons[0].DF, 5-2-2, 0)

	// Who has no level is left out of both sides of "across against within".
	across := must[association.Correlation](t)(association.Pearson([]float64{13, 14, 15, 17, 16, 18}, []float64{32,
		35, 38, 37, 40, 41}, 0))
	numtest.Close(t, "across", a.Within.Across, across.Value, 1e-12)
}

func TestLevels(t *testing.T) {
	in := cohort()
	in.Group[4] = "Trial"
	in.Group[3] = "Trial"
	w := analyse(t, in).Associations[0].Within
	if w.Groups[0].Group != "Academy" || w.Groups[0].Kind != estimate.FisherZ || w.Groups[0].N != 5 {
		t.Errorf("first level %+v", w.Groups[0])
	}
	if w.Groups[2].Kind != estimate.TooFew || w.Groups[2].N != 2 || !math.IsNaN(w.Groups[2].P) {
		t.Errorf("small level %+v", w.Groups[2])
	}
	if !allNaN(w.Homogeneity.Statistic, w.Homogeneity.P) || w.Homogeneity.DF != 0 {
		t.Errorf("one usable level: %+v", w.Homogeneity)
	}

	fill(in.Tests[0].Value[5:], 16)
	if l := analyse(t, in).Associations[0].Within.Groups[0]; l.Kind != estimate.NoVariation || l.N != 5 {
		t.Errorf("level without variation %+v", l)
	}

	// Levels explain the test completely.
	in = cohort()
	fill(in.Tests[0].Value[:5], 10.1)
	fill(in.Tests[0].Value[5:], 12.7)
	a := analyse(t, in).Associations[0]
	if !math.IsNaN(a.Within.Value) || a.Within.Kind != estimate.NoVariation {
		t.Errorf("constant within levels: %+v", a.Within)
	}

	in = cohort()
	in.Group = slices.Repeat([]string{"School"}, 10)
	r := analyse(t, in)
	if r.WithinComparisons != nil || !math.IsNaN(r.Associations[0].Within.Value) ||
		said(r.Caveats) != "one-level" {
		t.Errorf("one level: %+v, %s", r.Associations[0].Within, said(r.Caveats))
	}
	in.Group = []string{"a", "b", "c", "d", "e", "f", "g", "h", "i", "j"}
	w = analyse(t, in).Associations[0].Within
	if !math.IsNaN(w.Value) || w.Kind != estimate.TooFew {
		t.Errorf("a level each: %+v", w)
	}
}

// What mixing levels does, by made-up data that make each case plain.
func TestMixing(t *testing.T) {
	group := func(x, y []float64, dx, dy float64) ([]float64, []float64, []string) {
		var gx, gy []float64
		var g []string
		for level, name := range []string{"A", "B"} {
			for i := range x {
				gx, gy = append(gx, x[i]+dx*float64(level)), append(gy, y[i]+dy*float64(level))
				g = append(g, name)
			}
		}
		return gx, gy, g
	}
	ramp := []float64{1, 2, 3, 4, 5, 6, 7, 8}
	none := []float64{2, 1, 1, 2, 2, 1, 1, 2} // at right angles to ramp
	some := []float64{2, 1, 4, 3, 6, 5, 8, 7}
	half := []float64{4, 1, 6, 2, 3, 8, 5, 7}
	down := mapped(half, func(v float64) float64 { return -v })
	tilted := slices.Clone(none)
	tilted[7] -= 0.001 // r just below 0, not to be shown as -0.00
	tests := []struct {
		name   string
		y      []float64
		dx, dy float64
		parted bool
		says   association.Mixing
	}{
		{"no levels to speak of", some, 0.5, 0.5, false, association.MixesNothing},
		{"levels only", none, 20, 20, true, association.MixesMakes},
		{"levels in part", half, 10, 10, true, association.MixesMakesSome},
		{"levels hide", some, 8, -8, true, association.MixesTurns},
		{"levels blur", some, 8, 0, true, association.MixesHides},
		{"levels in part, too few to be sure", some[:4], 4, 4, true, association.MixesMakesSome},
		{"a tiny r", tilted, 20, 20, true, association.MixesMakes},
		{"certain but small", slices.Repeat(some, 200), 2, 2, false, association.MixesNothing},
		{"the other way", down, 20, 20, true, association.MixesTurns},
	}
	for _, tt := range tests {
		x, y, g := group(slices.Repeat(ramp, 200)[:len(tt.y)], tt.y, tt.dx, tt.dy)
		w := must[association.WithinGroups](t)(association.Within(x, y, g, 0))
		if w.Parted != tt.parted || w.Says != tt.says {
			t.Errorf("%s: parted %v, %q", tt.name, w.Parted, w.Says)
		}
	}
}

// Adjusted p values over the family: Holm and BH by hand from the p values.
func TestFamilies(t *testing.T) {
	r := analyse(t, cohort())
	if r.Family != 3 {
		t.Errorf("family of %d", r.Family)
	}
	p := []float64{r.Associations[0].Pearson.P, r.Associations[1].Pearson.P, r.Associations[2].Pearson.P}
	if !(p[0] < p[2] && p[2] < p[1]) {
		t.Fatalf("the order the hand calculation below rests on has changed: %v", p)
	}
	numtest.Close(t, "Holm of the smallest", r.Associations[0].Pearson.PHolm, 3*p[0], 1e-14)
	numtest.Close(t, "Holm of the middle", r.Associations[2].Pearson.PHolm, 2*p[2], 1e-14)
	numtest.Close(t, "Holm of the largest", r.Associations[1].Pearson.PHolm, max(p[1], 2*p[2]), 1e-14)
	numtest.Close(t, "BH of the smallest", r.Associations[0].Pearson.PBH, min(3*p[0], 1.5*p[2], p[1]), 1e-14)
	numtest.Close(t, "BH of the largest", r.Associations[1].Pearson.PBH, p[1], 1e-14)
	for _, a := range r.Associations {
		if !(a.Spearman.PHolm >= a.Spearman.P && a.Within.PHolm >= a.Within.P) {
			t.Errorf("%s: %+v %+v", a.Measure, a.Spearman, a.Within)
		}
	}
	q := []float64{r.Comparisons[0].PWilliams, r.Comparisons[1].PWilliams}
	numtest.Close(t, "Holm of the smaller comparison", min(r.Comparisons[0].PWilliamsHolm,
		r.Comparisons[1].PWilliamsHolm), min(1, 2*min(q[0], q[1])), 1e-14)
}

// Signs: sprint time is better when lower, so it counts turned round.
func TestDirection(t *testing.T) {
	r := analyse(t, cohort())
	sprint := r.Associations[2]
	if !(sprint.Pearson.Value < -0.7) || !sprint.Flipped || r.Associations[0].Flipped {
		t.Fatalf("sprint: %+v", sprint)
	}
	c := r.Comparisons[1]
	if c.A != "throw" || c.B != "sprint" || c.FlippedA || !c.FlippedB || c.N != 10 || c.Within {
		t.Errorf("comparison %+v", c)
	}
	numtest.Close(t, "RA", c.RA, r.Associations[0].Pearson.Value, 1e-12)
	numtest.Close(t, "RB", c.RB, -sprint.Pearson.Value, 1e-12)
	if !(c.RAB > 0) {
		t.Errorf("RAB = %g: both go with skill", c.RAB)
	}
	numtest.Close(t, "difference", c.Difference.Value, c.RA-c.RB, 1e-12)
	wt, df, p := association.Williams(c.RA, c.RB, c.RAB, 10)
	numtest.Close(t, "t", c.T, wt, 0)
	numtest.Close(t, "df", c.DF, df, 0)
	numtest.Close(t, "p", c.PWilliams, p, 0)

	s := r.Planes[1] // mean of Fisher's z by hand
	jump := r.Associations[1].Pearson.Value
	numtest.Close(t, "mean r", s.MeanR, math.Tanh((math.Atanh(jump)+math.Atanh(-sprint.Pearson.Value))/2), 1e-12)
	want := association.PlaneSummary{Plane: "sagittal", Tests: 2, MeanR: s.MeanR, Lowest: jump,
		Highest: -sprint.Pearson.Value, Best: "sprint"}
	if diff := cmp.Diff(want, s, cmpopts.EquateApprox(1e-12, 0)); diff != "" {
		t.Errorf("plane (-want +got):\n%s", diff)
	}

	// A lower-is-better outcome turns every test once more.
	in := cohort()
	in.Outcome.Better = score.Lower
	again := analyse(t, in)
	numtest.Close(t, "RA", again.Comparisons[1].RA, -c.RA, 1e-12)
	numtest.Close(t, "RB", again.Comparisons[1].RB, -c.RB, 1e-12)
	numtest.Close(t, "RAB", again.Comparisons[1].RAB, c.RAB, 1e-12)
}

func TestPlanes(t *testing.T) {
	in := cohort()
	in.Tests[1].Plane, in.Tests[2].Plane = "frontal", ""
	r := analyse(t, in)
	if len(r.Comparisons) != 0 || said(r.Caveats) != "no-test-of-plane (sagittal)" {
		t.Errorf("comparisons %v, %s", r.Comparisons, said(r.Caveats))
	}
	if len(r.Planes) != 2 || r.Planes[0].Plane != "transverse" || r.Planes[1].Plane != "frontal" {
		t.Errorf("planes %+v", r.Planes)
	}
	r = must[association.Result](t)(association.Analyse(in, association.Options{Planes: [2]string{"frontal",
		"transverse"}}))
	if len(r.Comparisons) != 1 || r.Comparisons[0].A != "jump" || r.Comparisons[0].B != "throw" {
		t.Errorf("comparisons %+v", r.Comparisons)
	}
}

// The best test is the one with the largest |r|, wherever it stands.
func TestBestOfPlane(t *testing.T) {
	in := cohort()
	in.Tests[1], in.Tests[2] = in.Tests[2], in.Tests[1]
	if p := analyse(t, in).Planes[1]; p.Best != "sprint" {
		t.Errorf("best %q", p.Best)
	}
}

// A covariate may be a test: its own partial r is absent, the others stand.
func TestCovariateAmongTests(t *testing.T) {
	in := cohort()
	in.Covariates = []association.Variable{in.Tests[1]}
	r := analyse(t, in)
	if p := r.Associations[1].Partial; !math.IsNaN(p.Value) || p.Kind != estimate.Collinear {
		t.Errorf("jump given jump: %+v", p)
	}
	if p := r.Associations[0].Partial; math.IsNaN(p.Value) || p.DF != 7 {
		t.Errorf("throw given jump: %+v", p)
	}
}

func TestPiecesRefuse(t *testing.T) {
	ok, short, odd := []float64{1, 2, 4, 3, 5}, []float64{1, 2, 3}, []float64{1, 2, nan, 3, 5}
	five := []string{"a", "a", "a", "b", "b"}
	tests := []struct {
		name string
		err  error
		want error
	}{
		{"Pearson NaN", second(association.Pearson(ok, odd, 0)), association.ErrNonFinite},
		{"Pearson length", second(association.Pearson(ok, short, 0)), association.ErrLength},
		{"Pearson few", second(association.Pearson(short, short, 0)), association.ErrTooFew},
		{"Pearson none", second(association.Pearson(nil, nil, 0)), association.ErrTooFew},
		{"Pearson constant", second(association.Pearson(ok, make([]float64, 5), 0)), association.ErrConstant},
		{"Pearson level", second(association.Pearson(ok, ok, 1)), association.ErrLevel},
		{"Spearman level", second(association.Spearman(ok, ok, nan)), association.ErrLevel},
		{"Spearman few", second(association.Spearman(short, short, 0)), association.ErrTooFew},
		{"Partial level", second(association.Partial(ok, ok, nil, -1)), association.ErrLevel},
		{"Partial few", second(association.Partial(ok, ok, [][]float64{{1, 2, 2, 5, 1}, {3, 1, 2, 5, 2}, {1, 9, 2, 5,
			1}}, 0)), association.ErrTooFew},
		{"Partial collinear", second(association.Partial([]float64{5, 2, 9, 4, 4}, ok, [][]float64{ok}, 0)),
			association.ErrCollinear},
		{"Within level", second(association.Within(ok, ok, five, 7)), association.ErrLevel},
		{"Within length", second(association.Within(ok, ok, five[:2], 0)), association.ErrLength},
		{"Within NaN", second(association.Within(ok, odd, five, 0)), association.ErrNonFinite},
		{"Within one group", second(association.Within(ok, ok, slices.Repeat([]string{"a"}, 5), 0)),
			association.ErrConstant},
		{"Within few", second(association.Within(ok, ok, []string{"a", "a", "b", "c", "d"}, 0)), association.ErrTooFew},
		{"Within flat y", second(association.Within(ok, []float64{1, 1, 1, 2, 2}, five, 0)), association.ErrConstant},
	}
	for _, tt := range tests {
		if !errors.Is(tt.err, tt.want) {
			t.Errorf("%s: %v, want %v", tt.name, tt.err, tt.want)
		}
	}
}

func second[T any](_ T, err error) error { return err }

func TestImpossibleCorrelations(t *testing.T) {
	for _, c := range []struct {
		r12, r13, r23 float64
		n             int
	}{
		{.9, -.9, .9, 50}, // no three variables are like this
		{.5, .4, 1, 50}, {.5, .4, -1, 50}, {1.2, .4, .1, 50}, {nan, .4, .1, 50}, {.5, .4, .1, 3},
	} {
		wt, df, wp := association.Williams(c.r12, c.r13, c.r23, c.n)
		z, p, ci := association.Meng(c.r12, c.r13, c.r23, c.n, 0)
		zou := association.Zou(c.r12, c.r13, c.r23, c.n, 0)
		if !allNaN(wt, df, wp, z, p, ci.Value) || ci.HasInterval() || zou.HasInterval() || zou.Kind == "" ||
			ci.Kind == "" {
			t.Errorf("%+v: %g %g %g, %g %g %+v, %+v", c, wt, df, wp, z, p, ci, zou)
		}
	}
	if _, _, ci := association.Meng(.5, .4, .1, 50, 2); ci.HasInterval() || ci.Kind == "" {
		t.Errorf("Meng at level 2: %+v", ci)
	}
	if zou := association.Zou(.5, .4, .1, 50, 2); zou.HasInterval() || zou.Kind == "" {
		t.Errorf("Zou at level 2: %+v", zou)
	}
}

// With n = 4 all 24 orders are looked at: rs = 1 has p = 2/24, by hand; with
// x = 1 1 2 2 tied, 2 orders of pairs in 6 are as far: 1/3.
func TestExactSpearman(t *testing.T) {
	s := must[association.Correlation](t)(association.Spearman([]float64{1, 2, 3, 4}, []float64{10, 20, 30, 45}, 0))
	numtest.Close(t, "p of rs = 1", s.P, 2.0/24, 1e-15)
	s = must[association.Correlation](t)(association.Spearman([]float64{1, 1, 2, 2}, []float64{5, 5, 7, 7}, 0))
	numtest.Close(t, "p with ties", s.P, 1.0/3, 1e-15)
}

// A large common offset costs no digits: 2^30 with steps of 2^-20 is exact in
// float64, so r must be that of the steps alone.
func TestLargeOffset(t *testing.T) {
	x, y := []float64{3, 1, 4, 1, 5, 9, 2, 6, 5, 3}, []float64{2, 7, 1, 8, 2, 8, 1, 8, 2, 8}
	want := must[association.Correlation](t)(association.Pearson(x, y, 0))
	offset := func(v float64) float64 { return 0x1p30 + v*0x1p-20 }
	got := must[association.Correlation](t)(association.Pearson(mapped(x, offset), mapped(y, offset), 0))
	numtest.Close(t, "r", got.Value, want.Value, 1e-9)
	numtest.Close(t, "p", got.P, want.P, 1e-9)
}

func TestHomogeneityLeavesOut(t *testing.T) {
	want := association.Homogeneity([]float64{.5, .2}, []int{10, 20})
	got := association.Homogeneity([]float64{.5, nan, .9, .2, 1}, []int{10, 30, 3, 20, 30})
	if got != want || got.DF != 1 {
		t.Errorf("%+v, want %+v", got, want)
	}
}

// A parted association warns.
func TestPartedWarns(t *testing.T) {
	in := cohort()
	in.Tests[0].Value = []float64{3, 1, 2, 3, 1, 32, 33, 31, 33, 31}
	a := analyse(t, in).Associations[0]
	if !a.Within.Parted || !strings.Contains(said(a.Caveats), fmt.Sprintf("levels-part [\"throw\"] (%s) %.2f %.2f",
		a.Within.Says, a.Within.Across, a.Within.Value)) {
		t.Errorf("%+v, %s", a.Within, said(a.Caveats))
	}
}
