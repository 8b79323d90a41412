package retest_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"noisefloor/analysis/estimate"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
)

var missing = math.NaN()

// table makes sessions "1", "2", ... of athletes "A1", "A2", ..., 3 attempts each.
func table(k int, value ...float64) score.Table {
	t := score.Table{Value: value, Trials: make([]int32, len(value))}
	for i := range len(value) / k {
		t.Athletes = append(t.Athletes, fmt.Sprintf("A%d", i+1))
	}
	for s := range k {
		t.Sessions = append(t.Sessions, fmt.Sprint(s+1))
	}
	for c, v := range value {
		if !math.IsNaN(v) {
			t.Trials[c] = 3
		}
	}
	return t
}

// test judges session 2 against session 1 by a raw typical error.
func test(te, df float64, s score.Table) retest.Test {
	return retest.Test{Measure: "jump", Unit: "cm", Scores: s, Baseline: []string{"1"}, FollowUp: [][]string{{"2"}},
		Noise: noise.Model{Measure: "jump", Unit: "cm", Scale: score.Raw, TypicalError: te, DF: df, Trials: 3}}
}

// shifted is a change of the mean whose 95 % interval reaches half to both
// sides, on 9 df: qt(.975, 9) of R 4.2.2 is 2.2621571627982049.
func shifted(from, to string, value, half float64) noise.Shift {
	return noise.Shift{From: from, To: to, Value: value, SE: half / 2.2621571627982049, DF: 9}
}

func judge(t testing.TB, tests ...retest.Test) retest.Result {
	t.Helper()
	r, err := retest.Judge(tests, retest.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func ptr(x float64) *float64 { return &x }

// Jacobson & Truax (1991), J Consult Clin Psychol 59:12-19, their worked case
// (from memory: SD 7.5, r .80, 32.5 to 47.5; SE 3.35, S_diff 4.74, RC 3.16),
// full digits recomputed outside the project with 40-digit arithmetic. They use
// the normal distribution, which is infinitely many degrees of freedom.
func TestJacobsonTruax(t *testing.T) {
	se := 7.5 * math.Sqrt(1-.80)
	c := judge(t, test(se, math.Inf(1), table(2, 32.5, 47.5))).Changes[0]
	numtest.Close(t, "S_diff", c.SE, 4.743416490252569, 1e-14)
	numtest.Close(t, "RC", c.Ratio, 3.1622776601683795, 1e-14)
	const z975 = 1.9599639845400543 // they round it to 1.96
	numtest.Close(t, "smallest reliable change", c.Detectable/z975*1.96, 9.297096320895035, 1e-12)
	if !c.Past() || c.Direction != "rise" {
		t.Errorf("real %t, %s", c.Past(), c.Direction)
	}
}

// By hand: TE 2, df 7, so SE = sqrt(8); t(.975, 7) and t(.90, 7) are the
// quantiles of planning.json (mpmath, 40 digits). Change 10 -> 16.5 is 6.5 <
// 2.3646 sqrt(8) = 6.688 but > 1.4149 sqrt(8) = 4.002.
func TestIntervalByHand(t *testing.T) {
	const t975, t90 = 2.3646242515927853, 1.4149239276505086
	c := judge(t, test(2, 7, table(2, 10, 16.5))).Changes[0]
	half := t975 * math.Sqrt(8)
	numtest.Close(t, "SE", c.SE, math.Sqrt(8), 1e-15)
	numtest.Close(t, "change", c.Change.Value, 6.5, 0)
	numtest.Close(t, "lower", c.Change.Lower, 6.5-half, 1e-12)
	numtest.Close(t, "upper", c.Change.Upper, 6.5+half, 1e-12)
	numtest.Close(t, "narrow lower", c.Narrow.Lower, 6.5-t90*math.Sqrt(8), 1e-12)
	numtest.Close(t, "detectable", c.Detectable, half, 1e-12)
	if c.Past() || c.Verdict != retest.Inside || c.Change.Kind != estimate.StudentT || c.Change.DF != 7 ||
		c.Percent != nil {
		t.Errorf("real %t, verdict %q, method %q, percent %v", c.Past(), c.Verdict, c.Change.Kind, c.Percent)
	}
	if !math.IsNaN(c.Worthwhile) || c.Chance != nil || c.Expected != nil {
		t.Error("a worthwhile change or regression that nobody asked for")
	}
}

// One session against two, two against two: SE = TE sqrt(1/b + 1/f). By hand:
// TE 3, so 3 sqrt(3/2) and 3; fractional df quantile from planning.json.
func TestAveragedSessions(t *testing.T) {
	x := test(3, 4.785143862212763, table(4, 10, 12, 20, 23))
	x.Baseline, x.FollowUp = []string{"1", "2"}, [][]string{{"3"}, {"4", "3"}}
	r := judge(t, x)
	numtest.Close(t, "change to 3", r.Changes[0].Change.Value, 9, 0)
	numtest.Close(t, "SE to 3", r.Changes[0].SE, 3*math.Sqrt(1.5), 1e-15)
	numtest.Close(t, "change to 3, 4", r.Changes[1].Change.Value, 10.5, 0)
	numtest.Close(t, "SE to 3, 4", r.Changes[1].SE, 3, 1e-15)
	numtest.Close(t, "detectable", r.Changes[1].Detectable, 3*2.605688795863132, 1e-12)
	numtest.Close(t, "baseline", r.Changes[1].Baseline, 11, 0)
	numtest.Close(t, "follow-up", r.Changes[1].FollowUp, 21.5, 0)
	run := r.Runs[0]
	if diff := cmp.Diff([]retest.State{"", "", retest.InsideNoise, ""}, run.State); diff != "" {
		t.Errorf("sessions judged on their own:\n%s", diff)
	}
	numtest.Close(t, "band", run.High-run.Baseline, r.Changes[0].Detectable, 1e-14)
}

// Someone who has only one of the baseline's two sessions is judged by that
// one, with the SE of that one.
func TestPartOfTheSessions(t *testing.T) {
	x := test(3, 7, table(3, 10, missing, 20, 10, 12, 20))
	x.Baseline, x.FollowUp = []string{"1", "2"}, [][]string{{"3"}}
	r := judge(t, x)
	numtest.Close(t, "SE", r.Changes[0].SE, 3*math.Sqrt2, 1e-15)
	if diff := cmp.Diff([]string{"1"}, r.Changes[0].From); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]string{"1", "2"}, r.Changes[1].From); diff != "" {
		t.Error(diff)
	}
	contains(t, said(r), "jump: part-baseline 1 2 1")
}

// said writes caveats as lines: measures, kind, names and numbers.
func said(r retest.Result) []string {
	var out []string
	for _, c := range r.Caveats {
		line := strings.Join(c.Measures, ", ") + ": " + string(c.Kind)
		for _, n := range c.Names {
			line += " " + n
		}
		for _, x := range c.Numbers {
			line += fmt.Sprintf(" %.3g", x)
		}
		out = append(out, line)
	}
	return out
}

func contains(t *testing.T, lines []string, want string) {
	t.Helper()
	if !slices.ContainsFunc(lines, func(l string) bool { return strings.Contains(l, want) }) {
		t.Errorf("no line has %q:\n%s", want, strings.Join(lines, "\n"))
	}
}

// R 4.2.2, pt(): testdata/oracle.R.
func TestChanceAgainstR(t *testing.T) {
	for _, tt := range []struct{ d, te, df, w, rise, trivial, fall, p float64 }{
		{3, 1.2, 11, 2, 0.7162027676399837, 0.277148430634865, 0.0066488017251513263, 0.10478990458285238},
		{-9, 1.2, 11, 2, 2.2697095872118143e-05, 0.0008207761112874138, 0.99915652679284039, 0.00025113576505112237},
		{0.4, 1.2, 11, 2, 0.18301246442694569, 0.72450068934477729, 0.092486846228276978, 0.81799455716203784},
		{30, 2.5, 4.785143862212763, 1, 0.99973032660276151, 7.0314775071897185e-05, 0.00019935862216661341,
			0.00046268850464181949},
	} {
		x := test(tt.te, tt.df, table(2, 0, tt.d))
		x.Worthwhile = &tt.w
		c := judge(t, x).Changes[0]
		name := fmt.Sprintf("d %g", tt.d)
		numtest.Close(t, name+" rise", c.Chance.Above, tt.rise, 1e-10)
		numtest.Close(t, name+" trivial", c.Chance.Within, tt.trivial, 1e-10)
		numtest.Close(t, name+" fall", c.Chance.Below, tt.fall, 1e-10)
		numtest.Close(t, name+" p", c.P, tt.p, 1e-10)
		numtest.Close(t, name+" sum", c.Chance.Above+c.Chance.Within+c.Chance.Below, 1, 1e-14)
	}
}

// Benjamini & Hochberg (1995), JRSS B 57:289-300: 15 p values, of which their
// procedure rejects 4 at .05, Bonferroni 3 and no adjustment 9. Adjusted values
// recomputed outside (planning.json, equal to R's p.adjust). The changes that
// have these p values at SE 1, df 9 are from R's qt(): testdata/oracle.R.
func TestBenjaminiHochberg1995(t *testing.T) {
	p := []float64{.0001, .0004, .0019, .0095, .0201, .0278, .0298, .0344, .0459, .3240, .4262, .5719, .6528, .7590, 1}
	holm := []float64{.0015, .0056, .0247, .114, .2211, .278, .278, .278, .3213, 1, 1, 1, 1, 1, 1}
	bh := []float64{.0015, .003, .0095, .035625, .0603, 0.06385714285714286, 0.06385714285714286, .0645, .0765, .486,
		0.5811818181818181, .714875, 0.7532307692307693, 0.8132142857142857, 1}
	d := []float64{6.5936825839447861, 5.4608199074192258, 4.3318345030292438, 3.2819264710860412, 2.8183831619866866,
		2.6202399210648322, 2.5778815394371062, 2.4903897981807059, 2.314462613690091, 1.0433499488039204,
		0.83336822539933353, 0.58658465650852054, 0.46525640020523362, 0.31628312728624575, 0}
	var tests []retest.Test // one family over three tests
	for at := 0; at < 15; at += 5 {
		var v []float64
		for i := at; i < at+5; i++ {
			v = append(v, 0, d[i])
		}
		tests = append(tests, test(math.Sqrt(0.5), 9, table(2, v...)))
	}
	r := judge(t, tests...)
	for i, c := range r.Changes {
		name := fmt.Sprintf("p(%d)", i+1)
		numtest.Close(t, name, c.P, p[i], 1e-11)
		numtest.Close(t, name+" Holm", c.PHolm, holm[i], 1e-11)
		numtest.Close(t, name+" BH", c.PBH, bh[i], 1e-11)
		if c.Out() != (i < 4) || c.Past() != (i < 9) {
			t.Errorf("%s: real %t, after BH %t", name, c.Past(), c.Out())
		}
	}
	want := retest.Family{Changes: 15, PastNoise: 9, StandOut: 4, ExpectedFalseAlarms: 0.75}
	if f := r.Family; f.Changes != want.Changes || f.PastNoise != want.PastNoise || f.StandOut != want.StandOut {
		t.Errorf("family %+v, want %+v", f, want)
	}
	numtest.Close(t, "false alarms", r.Family.ExpectedFalseAlarms, want.ExpectedFalseAlarms, 1e-12)
}

// Common practice, no source: 20 athletes by 16 tests at 95 % make 16 false
// alarms even if nobody changed.
func TestFalseAlarmsOfASquad(t *testing.T) {
	var tests []retest.Test
	for range 16 {
		tests = append(tests, test(1, 19, table(2, make([]float64, 40)...)))
	}
	f := judge(t, tests...).Family
	numtest.Close(t, "expected false alarms", f.ExpectedFalseAlarms, 16, 1e-12)
	if f.Changes != 320 || f.PastNoise != 0 {
		t.Errorf("%d changes, %d past the noise", f.Changes, f.PastNoise)
	}
}

// Common practice, no source: the change that one can detect is about 2.77
// typical errors in large studies, and averaging two sessions on each occasion
// divides it by sqrt(2).
func TestDetectableRuleOfThumb(t *testing.T) {
	x := test(1, 1e6, table(4, 1, 2, 3, 4))
	x.FollowUp = [][]string{{"3"}}
	numtest.CloseAbs(t, "one session each", judge(t, x).Changes[0].Detectable, 2.77, 0.005)
	x.Baseline, x.FollowUp = []string{"1", "2"}, [][]string{{"3", "4"}}
	numtest.CloseAbs(t, "two sessions each", judge(t, x).Changes[0].Detectable, 1.96, 0.005)
}

// TE 1, df inf: the interval is D -+ 2.772. Every verdict, both ways.
func TestVerdicts(t *testing.T) {
	for _, tt := range []struct {
		d, w float64 // w 0: none
		want retest.Verdict
	}{
		{6, 3, retest.OutMatters}, // 3.23 to 8.77
		{5, 3, retest.OutMay},     // 2.23 to 7.77
		{3, 6, retest.OutSmall},   // 0.23 to 5.77
		{3, 0, retest.OutMay},     // nothing to compare with
		{2, 5, retest.Steady},     // -0.77 to 4.77
		{2, 4, retest.Inside},     // -0.77 to 4.77
		{2, 0, retest.Inside},     //
		{0, 2.8, retest.Steady},   // -2.77 to 2.77
		{0, 2.77, retest.Inside},  //
		{2.77, 1, retest.Inside},  // just not real
		{2.78, 0.001, retest.OutMatters},
		{2.78, 0.01, retest.OutMay}, // 0.008 to 5.55
	} {
		for _, sign := range []float64{1, -1} {
			x := test(1, math.Inf(1), table(2, 100, 100+sign*tt.d))
			x.Worthwhile = &tt.w
			c := judge(t, x).Changes[0]
			if c.Verdict != tt.want {
				t.Errorf("change %g, worthwhile %g: %q, want %q", sign*tt.d, tt.w, c.Verdict, tt.want)
			}
		}
	}
}

// Without any error the limits are met exactly: touching is not passing.
func TestNoError(t *testing.T) {
	for _, tt := range []struct {
		to     float64
		real   bool
		p      float64
		want   retest.Verdict
		chance retest.Chance
	}{
		{10, false, 1, retest.Steady, retest.Chance{Within: 1}},
		{11, true, 0, retest.OutSmall, retest.Chance{Within: 1}},
		{12, true, 0, retest.OutMay, retest.Chance{Above: 0.5, Within: 0.5}},
		{13, true, 0, retest.OutMatters, retest.Chance{Above: 1}},
		{7, true, 0, retest.OutMatters, retest.Chance{Below: 1}},
	} {
		x := test(0, 7, table(2, 10, tt.to))
		x.Worthwhile = ptr(2)
		r := judge(t, x)
		c := r.Changes[0]
		if c.Past() != tt.real || c.P != tt.p || c.Verdict != tt.want || *c.Chance != tt.chance ||
			!math.IsNaN(c.Ratio) {
			t.Errorf("10 to %g: %+v, chance %+v", tt.to, c, *c.Chance)
		}
		contains(t, said(r), "jump: no-error-seen")
	}
}

func TestDirections(t *testing.T) {
	for _, tt := range []struct {
		to     float64
		better score.Direction
		want   string
	}{
		{12, score.Higher, "rise better"}, {8, score.Higher, "fall worse"},
		{12, score.Lower, "rise worse"}, {8, score.Lower, "fall better"},
		{10, score.Higher, "none "}, {10, score.Lower, "none "},
	} {
		x := test(1, 7, table(2, 10, tt.to))
		x.Better = tt.better
		c := judge(t, x).Changes[0]
		if got := c.Direction + " " + c.Better; got != tt.want {
			t.Errorf("10 to %g, better %d: %q, want %q", tt.to, tt.better, got, tt.want)
		}
	}
}

// By hand: from 50 to 60 is ln 1.2 = 0.18232; percent 20; the band is 50
// exp(-+t sqrt(2) 0.05). Averaging is by geometric mean: sqrt(40 90) = 60.
func TestLogScale(t *testing.T) {
	x := test(0.05, 7, table(3, 50, 60, missing, 40, 90, 66))
	x.Noise.Scale = score.Log
	r := judge(t, x)
	c := r.Changes[0]
	half := 2.3646242515927853 * math.Sqrt2 * 0.05
	numtest.Close(t, "change", c.Change.Value, math.Log(1.2), 1e-14)
	numtest.Close(t, "percent", c.Percent.Value, 20, 1e-13)
	numtest.Close(t, "percent lower", c.Percent.Lower, 100*(1.2*math.Exp(-half)-1), 1e-12)
	numtest.Close(t, "percent upper", c.Percent.Upper, 100*(1.2*math.Exp(half)-1), 1e-12)
	numtest.Close(t, "low", r.Runs[0].Low, 50*math.Exp(-half), 1e-13)
	numtest.Close(t, "high", r.Runs[0].High, 50*math.Exp(half), 1e-13)
	if c.Baseline != 50 || c.FollowUp != 60 || !c.Past() {
		t.Errorf("from %g to %g, real %t", c.Baseline, c.FollowUp, c.Past())
	}
	x.Baseline, x.FollowUp = []string{"1", "2"}, [][]string{{"3"}}
	c = judge(t, x).Changes[0]
	numtest.Close(t, "geometric mean", c.Baseline, 60, 1e-14)
	numtest.Close(t, "percent", c.Percent.Value, 10, 1e-12)
}

// Who cannot be judged is named with the reason, once.
func TestLeftOut(t *testing.T) {
	x := test(1, 7, table(3,
		1, 2, 3,
		missing, 2, 3,
		1, missing, 3,
		missing, missing, missing,
		0, 2, 3,
		1, -2, 3,
		1, math.Inf(1), 3))
	x.FollowUp = [][]string{{"2"}, {"3"}}
	x.Noise.Scale = score.Log
	r := judge(t, x)
	want := []retest.LeftOut{
		{Measure: "jump", Reason: retest.NoBaseline, Sessions: []string{"1"}, Athletes: []string{"A2"}},
		{Measure: "jump", Reason: retest.NeverSeen, Athletes: []string{"A4"}},
		{Measure: "jump", Reason: retest.NotPositive, Sessions: []string{"1"}, Athletes: []string{"A5"}},
		{Measure: "jump", Reason: retest.NoFollowUp, Sessions: []string{"2"}, Athletes: []string{"A3"}},
		{Measure: "jump", Reason: retest.NotPositive, Sessions: []string{"2"}, Athletes: []string{"A6"}},
		{Measure: "jump", Reason: retest.Infinite, Sessions: []string{"2"}, Athletes: []string{"A7"}},
	}
	if diff := cmp.Diff(want, r.LeftOut); diff != "" {
		t.Errorf("left out (-want +got):\n%s", diff)
	}
	var judged []string
	for _, c := range r.Changes {
		judged = append(judged, c.Athlete+" "+c.To[0])
	}
	if diff := cmp.Diff([]string{"A1 2", "A1 3", "A3 3", "A6 3", "A7 3"}, judged); diff != "" {
		t.Errorf("judged, in order (-want +got):\n%s", diff)
	}
	if len(r.Runs) != 4 { // A1, A3, A6, A7 have a baseline
		t.Errorf("%d runs", len(r.Runs))
	}
	x.Noise.Scale = score.Raw // zero and below are scores like any other there
	if r = judge(t, x); len(r.LeftOut) != 4 {
		t.Errorf("left out on the raw scale: %v", r.LeftOut)
	}
}

func TestHugeChange(t *testing.T) {
	r := judge(t, test(1, 7, table(2, -1e308, 1e308, 1, 2)))
	if len(r.Changes) != 1 || r.LeftOut[0].Reason != retest.TooLarge {
		t.Errorf("changes %d, left out %v", len(r.Changes), r.LeftOut)
	}
}

// By hand: r .8, mean 20, baseline 30: (1-.8)(20-30) = -2. For a baseline of
// two sessions r steps up (Spearman-Brown) to 1.6/1.8 = 8/9: -10/9.
func TestRegressionToTheMean(t *testing.T) {
	x := test(2, 7, table(3, 30, 30, 35))
	x.Noise.ICC, x.Noise.Mean = 0.8, 20
	o := retest.Options{Regression: true}
	expect := func(name string, want float64) {
		t.Helper()
		x.FollowUp = [][]string{{"3"}}
		r, err := retest.Judge([]retest.Test{x}, o)
		if err != nil {
			t.Fatal(err)
		}
		c := r.Changes[0]
		numtest.Close(t, name, *c.Expected, want, 1e-14)
		numtest.Close(t, name+" beyond", c.Beyond.Value, 5-want, 1e-14)
		numtest.Close(t, name+" beyond, upper", c.Beyond.Upper, 5-want+c.Detectable, 1e-14)
		if c.Beyond.SE != c.SE || c.Beyond.DF != c.DF {
			t.Errorf("beyond %+v", c.Beyond)
		}
	}
	expect("one session", -2)
	x.Baseline = []string{"1", "2"}
	expect("two sessions", -10.0/9)
	x.Noise.ICC = -0.3
	expect("negative ICC", -10)
	for name, spoil := range map[string]func(*noise.Model){
		"no-regression":               func(m *noise.Model) { m.ICC, m.Mean = math.NaN(), math.NaN() },
		": no-regression":             func(m *noise.Model) { m.ICC, m.Mean = 0, 0 },
		"regression-in-other-unit mm": func(m *noise.Model) { m.Unit, m.Scale = "mm", score.Log },
	} {
		y := x
		spoil(&y.Noise)
		r, err := retest.Judge([]retest.Test{y}, o)
		if err != nil || r.Changes[0].Expected != nil || r.Changes[0].Beyond != nil {
			t.Errorf("%s: error %v", name, err)
		}
		contains(t, said(r), name)
	}
}

func TestRuns(t *testing.T) {
	x := test(1, 7, table(4, 10, 11, 20, missing, missing, 1, 1, 1))
	x.FollowUp = [][]string{{"3"}, {"4"}}
	half := 2.3646242515927853 * math.Sqrt2
	r := judge(t, x)
	want := []retest.Run{{Athlete: "A1", Measure: "jump", Sessions: []string{"1", "2", "3", "4"},
		Value: []float64{10, 11, 20, missing}, Baseline: 10, Low: 10 - half, High: 10 + half,
		State: []retest.State{"", "", retest.StandsOut, ""}}}
	close := cmp.Comparer(func(a, b float64) bool {
		return a == b || a != a && b != b || math.Abs(a-b) <= 1e-12*math.Abs(b)
	})
	if diff := cmp.Diff(want, r.Runs, close); diff != "" {
		t.Errorf("runs (-want +got):\n%s", diff)
	}
}

func TestWarnings(t *testing.T) {
	squad := table(3, 10, 11, 12, 20, 21, 22, 30, 31, 33)
	for name, tt := range map[string]struct {
		change func(*retest.Test)
		want   string // "" for no warning at all
	}{
		"nothing":            {func(x *retest.Test) {}, ""},
		"a tenth fewer":      {func(x *retest.Test) { x.Noise.Trials = 3.3 }, ""},
		"attempts unknown":   {func(x *retest.Test) { x.Noise.Trials = 0 }, ""},
		"attempts uncounted": {func(x *retest.Test) { x.Scores.Trials, x.Noise.Trials = nil, 5 }, ""},
		"fewer attempts": {func(x *retest.Test) { x.Noise.Trials = 5 },
			"other-attempts baseline 1 follow-up 2 5 3 3"},
		"more attempts": {func(x *retest.Test) { x.Noise.Trials = 1 },
			"other-attempts baseline 1 follow-up 2 1 3 3"},
		"fewer at follow-up": {func(x *retest.Test) {
			x.Scores.Trials = slices.Clone(x.Scores.Trials)
			x.Scores.Trials[1], x.Scores.Trials[4] = 2, 2
		}, "other-attempts follow-up 2 3 2.33"},
		"fewer and more": {func(x *retest.Test) {
			x.Scores.Trials = []int32{1, 9, 0, 1, 9, 0, 1, 9, 0}
		}, "other-attempts baseline 1 follow-up 2 3 1 9"},
		"practice": {func(x *retest.Test) {
			x.Noise.Shifts = []noise.Shift{shifted("1", "2", 4, 3)}
		}, "mean-moved-from-baseline 1 2 raw 4 1 7"},
		"practice before the baseline": {func(x *retest.Test) {
			x.Noise.Shifts = []noise.Shift{shifted("0", "1", 4, 3)}
		}, "mean-moved 0 1"},
		"no practice shown": {func(x *retest.Test) {
			x.Noise.Shifts = []noise.Shift{shifted("1", "2", 4, 5)}
		}, ""},
		"practice unknown": {func(x *retest.Test) {
			x.Noise.Shifts = []noise.Shift{shifted("1", "2", 4, missing)}
		}, ""},
		"practice in percent": {func(x *retest.Test) {
			x.Noise.Scale = score.Log
			x.Noise.Shifts = []noise.Shift{shifted("1", "2", math.Log(1.5), math.Log(1.2))}
		}, "mean-moved-from-baseline 1 2 log 0.405 0.223 0.588"},
		"other summary": {func(x *retest.Test) { x.Summary, x.Noise.Summary = score.Best, score.Mean },
			"other-summary best mean"},
		"same summary":          {func(x *retest.Test) { x.Summary, x.Noise.Summary = score.Best, score.Best }, ""},
		"unit on the log scale": {func(x *retest.Test) { x.Noise.Scale, x.Noise.Unit = score.Log, "mm" }, ""},
	} {
		x := test(1, 20, squad)
		tt.change(&x)
		r := judge(t, x)
		if tt.want == "" && len(said(r)) > 0 {
			t.Errorf("%s: %v", name, said(r))
		}
		if tt.want != "" {
			contains(t, said(r), tt.want)
		}
	}
}

// What is true of several tests is said once, and a test without any change
// does not stop the others.
func TestWarningsOfManyTests(t *testing.T) {
	a, b, c := test(1, 7, table(2, 1, 2)), test(1, 7, table(2, 1, 2)), test(1, 7, table(2, 1, missing))
	b.Measure, c.Measure = "throw", "sprint"
	a.Noise.Trials, b.Noise.Trials = 6, 6
	r := judge(t, a, b, c)
	if len(said(r)) != 2 {
		t.Errorf("warnings: %q", said(r))
	}
	contains(t, said(r), "jump, throw: other-attempts baseline 1 follow-up 2 6 3 3")
	contains(t, said(r), "sprint: nobody-judged 1")
	if len(r.Noise) != 3 || r.Family.Changes != 2 {
		t.Errorf("%d noise models, %d changes", len(r.Noise), r.Family.Changes)
	}
}

func TestErrors(t *testing.T) {
	for name, tt := range map[string]struct {
		change func(*retest.Test, *retest.Options)
		is     error
		want   string
	}{
		"level 1":         {func(_ *retest.Test, o *retest.Options) { o.Level = 1 }, retest.ErrLevel, "1"},
		"level NaN":       {func(_ *retest.Test, o *retest.Options) { o.Level = math.NaN() }, retest.ErrLevel, "NaN"},
		"narrow negative": {func(_ *retest.Test, o *retest.Options) { o.Narrow = -0.1 }, retest.ErrLevel, "-0.1"},
		"typical error NaN": {func(x *retest.Test, _ *retest.Options) { x.Noise.TypicalError = missing },
			retest.ErrNoise, "jump: unusable noise model: its typical error is NaN"},
		"typical error -1": {func(x *retest.Test, _ *retest.Options) { x.Noise.TypicalError = -1 }, retest.ErrNoise,
			"its typical error is -1"},
		"typical error Inf": {func(x *retest.Test, _ *retest.Options) { x.Noise.TypicalError = math.Inf(1) },
			retest.ErrNoise, "its typical error is +Inf"},
		"df 0": {func(x *retest.Test, _ *retest.Options) { x.Noise.DF = 0 }, retest.ErrNoise,
			"its degrees of freedom are 0"},
		"df NaN": {func(x *retest.Test, _ *retest.Options) { x.Noise.DF = missing }, retest.ErrNoise,
			"its degrees of freedom are NaN"},
		"scale": {func(x *retest.Test, _ *retest.Options) { x.Noise.Scale = "ln" }, retest.ErrNoise,
			`its scale is "ln"`},
		"unit": {func(x *retest.Test, _ *retest.Options) { x.Noise.Unit = "m" }, retest.ErrNoise,
			"it is in m, the scores are in cm"},
		"no baseline": {func(x *retest.Test, _ *retest.Options) { x.Baseline = nil }, retest.ErrSessions,
			"the baseline has no session"},
		"no follow-up": {func(x *retest.Test, _ *retest.Options) { x.FollowUp = nil }, retest.ErrSessions,
			"no follow-up is named"},
		"empty follow-up": {func(x *retest.Test, _ *retest.Options) { x.FollowUp = [][]string{{}} },
			retest.ErrSessions, "the follow-up has no session"},
		"unknown session": {func(x *retest.Test, _ *retest.Options) { x.FollowUp = [][]string{{"9"}} },
			score.ErrNoSession, `"9" for the follow-up; the table has 1, 2`},
		"session twice": {func(x *retest.Test, _ *retest.Options) { x.FollowUp = [][]string{{"2", "2"}} },
			retest.ErrSessions, "session 2 is named twice"},
		"both sides": {func(x *retest.Test, _ *retest.Options) { x.FollowUp = [][]string{{"2", "1"}} },
			retest.ErrSessions, "session 1 is both baseline and follow-up"},
		"values": {func(x *retest.Test, _ *retest.Options) { x.Scores.Value = x.Scores.Value[1:] },
			retest.ErrScores, "1 athletes by 2 sessions, but 1 values"},
		"trials": {func(x *retest.Test, _ *retest.Options) { x.Scores.Trials = x.Scores.Trials[1:] },
			retest.ErrScores, "1 counts"},
		"worthwhile -1": {func(x *retest.Test, _ *retest.Options) { x.Worthwhile = ptr(-1) },
			retest.ErrWorthwhile, "-1"},
		"worthwhile NaN": {func(x *retest.Test, _ *retest.Options) { x.Worthwhile = ptr(missing) },
			retest.ErrWorthwhile, "NaN"},
		"worthwhile Inf": {func(x *retest.Test, _ *retest.Options) { x.Noise.Worthwhile = math.Inf(1) },
			retest.ErrWorthwhile, "+Inf"},
		"nobody": {func(x *retest.Test, _ *retest.Options) { x.Scores = table(2, 1, missing) },
			retest.ErrNothing, "jump: 1 athletes (no follow up)"},
		"no athletes": {func(x *retest.Test, _ *retest.Options) {
			x.Scores.Athletes, x.Scores.Value, x.Scores.Trials = nil, nil, nil
		}, retest.ErrNothing, "no test with athletes"},
	} {
		x, o := test(1, 7, table(2, 1, 2)), retest.Options{}
		tt.change(&x, &o)
		r, err := retest.Judge([]retest.Test{x}, o)
		if !errors.Is(err, tt.is) || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: %v, want %q", name, err, tt.want)
		}
		if r.Changes != nil {
			t.Errorf("%s: a result beside the error", name)
		}
	}
	if _, err := retest.Judge(nil, retest.Options{}); !errors.Is(err, retest.ErrNothing) {
		t.Errorf("no tests: %v", err)
	}
	many := make([]retest.Test, 8)
	for i := range many {
		many[i] = test(1, 7, table(2, 1, missing))
	}
	if _, err := retest.Judge(many, retest.Options{}); err == nil || !strings.Contains(err.Error(), "and 3 more") {
		t.Errorf("eight empty tests: %v", err)
	}
}

// The worthwhile change of the test goes before that of the noise model; 0
// and NaN are none.
func TestWhichWorthwhile(t *testing.T) {
	for _, tt := range []struct {
		model float64
		own   *float64
		want  float64
	}{{2, nil, 2}, {2, ptr(3), 3}, {2, ptr(0), missing}, {0, nil, missing}, {missing, nil, missing}, {missing, ptr(1),
		1}} {
		x := test(1, 7, table(2, 1, 2))
		x.Noise.Worthwhile, x.Worthwhile = tt.model, tt.own
		c := judge(t, x).Changes[0]
		numtest.Close(t, "worthwhile", c.Worthwhile, tt.want, 0)
		if (c.Chance == nil) != math.IsNaN(tt.want) {
			t.Errorf("worthwhile %g, chance %v", tt.want, c.Chance)
		}
	}
}

// Nobody said which way is the better: a rise stays a rise.
func TestBetterUnknown(t *testing.T) {
	for better, want := range map[score.Direction][3]string{
		score.Higher: {"better", "worse", ""}, score.Lower: {"worse", "better", ""}, score.Unknown: {"", "", ""},
	} {
		x := test(1, 20, table(2, 10, 20, 20, 10, 15, 15))
		x.Better = better
		for i, c := range judge(t, x).Changes {
			if way := []string{"rise", "fall", "none"}[i]; c.Better != want[i] || c.Direction != way {
				t.Errorf("direction %d: %s, %q; want %s, %q", better, c.Direction, c.Better, way, want[i])
			}
		}
	}
}
