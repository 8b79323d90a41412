package reliability_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"noisefloor/analysis/agreement"
	"noisefloor/analysis/anova"
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/cell"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
)

var nan = math.NaN()

func TestAnalyseRefuses(t *testing.T) {
	good := tableOf([][]float64{{1, 2}, {3, 5}, {4, 4}, {7, 6}})
	type W = reliability.Worthwhile
	for _, tt := range []struct {
		name  string
		table score.Table
		o     reliability.Options
		err   error
		text  string
	}{
		{"one session", tableOf([][]float64{{1}, {2}, {3}, {4}}), reliability.Options{}, reliability.ErrOneSession,
			"have 1"},
		{"nothing", score.Table{}, reliability.Options{}, reliability.ErrOneSession, "have 0"},
		{"three athletes", good.Rows([]int{0, 1, 2}), reliability.Options{}, reliability.ErrFewAthletes,
			"3 athletes with every session, no typical error below 4"},
		{"one complete", tableOf([][]float64{{1, 2}, {3, nan}, {4, nan}, {nan, 6}, {nan, nan}}),
			reliability.Options{}, reliability.ErrFewAthletes,
			"1 athlete with every session, no typical error below 4 (left out: 2 athletes: no score in session 2; 1 athlete: no score in session 1; 1 athlete: no score in any session)"},
		{"infinite", tableOf([][]float64{{1, 2}, {3, math.Inf(-1)}, {4, 4}, {7, 6}, {8, 8}}), reliability.Options{},
			reliability.ErrNonFinite, "athlete A02, session 2 has -Inf"},
		{"overflow", tableOf([][]float64{{1e300, 2e300}, {3e300, 5e300}, {4e300, 4e300}, {7e300, 6e300}}),
			reliability.Options{}, anova.ErrOverflow, ""},
		{"log of zero", tableOf([][]float64{{1, 2}, {3, 0}, {4, 4}, {7, 6}}), reliability.Options{Scale: score.Log},
			reliability.ErrNotPositive, "athlete A02, session 2 has 0"},
		{"level", good, reliability.Options{Level: 95}, reliability.ErrOption, "level 95"},
		{"scale", good, reliability.Options{Scale: "sqrt"}, reliability.ErrOption, `"sqrt"`},
		{"missing", good, reliability.Options{Missing: "guess"}, reliability.ErrOption,
			`"guess" (all scores or complete cases)`},
		{"attempts", good, reliability.Options{Attempts: cell.New(good.Athletes[1:], good.Sessions, cell.Options{})},
			reliability.ErrOption, "attempts of 3 athletes in 2 sessions, scores of 4 in 2"},
		{"empty session", tableOf([][]float64{{1, 2, nan}, {3, 4, nan}, {4, 6, nan}, {4, 7, nan}}),
			reliability.Options{}, reliability.ErrFewAthletes, "nobody has a score in session 3"},
		{"three of two sessions", tableOf([][]float64{{1, 2, nan}, {3, 4, nan}, {4, 6, 2}, {4, nan, nan}}),
			reliability.Options{}, reliability.ErrFewAthletes,
			"3 athletes with two sessions or more, no typical error below 4 (left out: 2 athletes: no score in session 3; 1 athlete: no score in sessions 2 and 3)"},
		{"two degrees of freedom", tableOf([][]float64{{1, 2, nan, nan}, {3, 4, nan, nan}, {nan, nan, 4, 6}, {nan, 4,
			7, nan}, {8, nan, nan, 9}}), reliability.Options{}, reliability.ErrFewAthletes,
			"10 scores of 5 athletes in 4 sessions leave 2 degrees of freedom for the error, no typical error below 3"},
		{"resamples", good, reliability.Options{Replicates: -1}, reliability.ErrOption, "-1 resamples"},
		{"groups", good, reliability.Options{Group: []string{"a"}}, reliability.ErrOption, "1 groups for 4 athletes"},
		{"shape", score.Table{Athletes: good.Athletes, Sessions: good.Sessions, Value: good.Value[1:]},
			reliability.Options{}, reliability.ErrOption, "7 scores"},
		{"counts", score.Table{Athletes: good.Athletes, Sessions: good.Sessions, Value: good.Value,
			Trials: []int32{3}}, reliability.Options{}, reliability.ErrOption, "1 counts"},
		{"pair", good, reliability.Options{Pair: [2]string{"1", "9"}}, score.ErrNoSession, `"9"`},
		{"pair of one", good, reliability.Options{Pair: [2]string{"2", "2"}}, reliability.ErrOption, "itself"},
		{"basis", good, reliability.Options{Worthwhile: W{Basis: "gut"}}, reliability.ErrOption, `"gut"`},
		{"fraction", good, reliability.Options{Worthwhile: W{Fraction: -0.2}}, reliability.ErrOption, "-0.2"},
		{"fixed without value", good, reliability.Options{Worthwhile: W{Basis: reliability.Fixed}},
			reliability.ErrOption, "fixed worthwhile change 0"},
		{"outcomes", good, reliability.Options{Worthwhile: W{Basis: reliability.Anchored, OutcomeChange: 1}},
			reliability.ErrOption, "0 outcomes for 4 athletes"},
		{"outcome change", good, reliability.Options{Worthwhile: W{Basis: reliability.Anchored, Outcome: []float64{1,
			2, 3, 4}, OutcomeChange: nan}}, reliability.ErrOption, "NaN"},
	} {
		_, err := reliability.Analyse(tt.table, tt.o)
		if !errors.Is(err, tt.err) || !strings.Contains(err.Error(), tt.text) {
			t.Errorf("%s: error %v, want %v with %q", tt.name, err, tt.err, tt.text)
		}
	}
}

func TestCompleteCases(t *testing.T) {
	table := tableOf([][]float64{
		{10, 11, 12}, {nan, nan, nan}, {20, 22, 21}, {30, nan, 33}, {14, 15, 13}, {25, 24, nan},
		{nan, 18, nan}, {31, 30, 32}, {nan, 28, nan}, {18, 18, 20},
	})
	table.Trials = make([]int32, len(table.Value))
	for i, v := range table.Value {
		if !math.IsNaN(v) {
			table.Trials[i] = int32(2 + i%3)
		}
	}
	complete := reliability.Options{Missing: reliability.CompleteCases}
	r := analyse(t, table, reliability.Options{Pair: [2]string{"3", "1"}, Missing: reliability.CompleteCases})
	want := []reliability.LeftOut{
		{Without: []string{"1", "2", "3"}, Never: true, Athletes: []string{"A02"}},
		{Without: []string{"2"}, Athletes: []string{"A04"}},
		{Without: []string{"3"}, Athletes: []string{"A06"}},
		{Without: []string{"1", "3"}, Athletes: []string{"A07", "A09"}},
	}
	if diff := cmp.Diff(want, r.LeftOut); diff != "" {
		t.Errorf("left out (-want +got):\n%s", diff)
	}
	if r.Athletes != 5 || r.Complete || r.Route != reliability.Cases {
		t.Errorf("%d athletes, complete %t, by %s", r.Athletes, r.Complete, r.Route)
	}
	holds(t, r, reliability.LeftOutOf, nil, 4, 9)
	numtest.Close(t, "trials", r.Trials, 3, 0) // 2, 3, 4 in every row
	if r.Agreement.From != "3" || r.Agreement.To != "1" || r.Agreement.N != 5 {
		t.Errorf("agreement of %s and %s, n = %d", r.Agreement.From, r.Agreement.To, r.Agreement.N)
	}
	whole := analyse(t, table.Rows([]int{0, 2, 4, 7, 9}), reliability.Options{})
	if !whole.Complete || len(whole.LeftOut) != 0 || whole.Route != reliability.Complete {
		t.Errorf("complete %t, left out %v", whole.Complete, whole.LeftOut)
	}
	numtest.Close(t, "TE", r.TypicalError.Value, whole.TypicalError.Value, 0)
	table.Trials = nil // a table that does not count its attempts
	numtest.Close(t, "trials", analyse(t, table, complete).Trials, 1, 0)
	table = tableOf([][]float64{{10, 11, 12}, {nan, nan, nan}, {20, 22, 21}, {14, 15, 13}, {31, 30, 32}})
	if never := analyse(t, table, reliability.Options{}); !never.Complete || len(never.LeftOut) != 1 {
		t.Errorf("an athlete never measured makes complete %t, left out %v", never.Complete, never.LeftOut)
	}
}

// By hand: columns 1 2 3 4 5 and 3 3 6 6 7; means 3 and 5, SDs sqrt(2.5) and
// sqrt(3.5).
func TestSessionMeans(t *testing.T) {
	r := analyse(t, tableOf([][]float64{{1, 3}, {2, 3}, {3, 6}, {4, 6}, {5, 7}}), reliability.Options{})
	for j, want := range []reliability.SessionMean{{"1", 5, 3, math.Sqrt(2.5)}, {"2", 5, 5, math.Sqrt(3.5)}} {
		got := r.SessionMeans[j]
		numtest.Close(t, "mean", got.Mean, want.Mean, 1e-15)
		numtest.Close(t, "SD", got.SD, want.SD, 1e-14)
		if got.Session != want.Session || got.N != want.N {
			t.Errorf("session %+v, want %+v", got, want)
		}
	}
	if r.Mean != 4 || r.Scale != score.Raw || r.Level != 0.95 || r.Trials != 1 || !slices.Equal(r.Sessions,
		[]string{"1", "2"}) {
		t.Errorf("mean %g, scale %s, level %g, trials %g, sessions %v", r.Mean, r.Scale, r.Level, r.Trials, r.Sessions)
	}
	if r.Agreement.From != "1" || r.Agreement.To != "2" {
		t.Errorf("agreement of %s and %s, want the last two sessions", r.Agreement.From, r.Agreement.To)
	}
}

// Tables in which something is exactly 0. Case perfect: edge_perfect of the
// reference set (made up; every form is 1, no F is finite).
func TestNothingLeft(t *testing.T) {
	constant := [][]float64{{7.3, 7.3}, {7.3, 7.3}, {7.3, 7.3}, {7.3, 7.3}}
	perfect := [][]float64{{31.5, 31.5}, {40.25, 40.25}, {28, 28}, {36.75, 36.75}}
	parallel := [][]float64{{1.1, 1.3, 1.7}, {2.1, 2.3, 2.7}, {4.4, 4.6, 5.0}, {0.2, 0.4, 0.8}, {3.3, 3.5, 3.9}}
	sameMeans := [][]float64{{1, 3}, {3, 1}, {2, 2}, {0, 4}}
	onlySessions := [][]float64{{1, 3}, {1, 3}, {1, 3}, {1, 3}}
	one := []float64{1, 1, 1, 1, 1, 1}
	for _, tt := range []struct {
		name   string
		rows   [][]float64
		icc    []float64
		limits []bool
		te     float64
		caveat caveat.Kind
	}{
		{"constant", constant, []float64{nan, nan, nan, nan, nan, nan}, make([]bool, 6), 0, reliability.AllEqual},
		{"perfect", perfect, one, make([]bool, 6), 0, reliability.NoResidual},
		// Values of the forms A: TestParallelAthletes.
		{"parallel", parallel, nil, []bool{true, true, true, true, false, false}, 0, reliability.NoResidual},
		{"same means", sameMeans, []float64{-1, nan, nan, nan, -1, nan}, make([]bool, 6), math.Sqrt(20.0 / 6),
			reliability.BelowNoise},
		{"only sessions", onlySessions, []float64{-1, nan, 0, nan, nan, nan}, make([]bool, 6), 0,
			reliability.NoResidual},
	} {
		r := analyse(t, tableOf(tt.rows), reliability.Options{})
		for i, icc := range r.ICC {
			if tt.icc != nil && tt.name != "same means" || i == 4 && tt.icc != nil {
				numtest.Close(t, tt.name+" ICC("+icc.Form+")", icc.Value.Value, tt.icc[i], 1e-15)
			}
			if icc.Value.HasInterval() != tt.limits[i] || icc.Value.Kind == "" {
				t.Errorf("%s: ICC(%s) = %+v", tt.name, icc.Form, icc.Value)
			}
		}
		numtest.Close(t, tt.name+" TE", r.TypicalError.Value, tt.te, 1e-14)
		if r.TypicalError.HasInterval() != (tt.te > 0) || !has(r, tt.caveat) {
			t.Errorf("%s: TE %+v, caveats %v", tt.name, r.TypicalError, r.Caveats)
		}
	}
}

// Without residual the forms A stay finite. By hand for the table "parallel":
// row means 1.3667, 2.3667, 4.6667, .4667, 3.5667 (variance 2.858), shifts as
// column means, so ICC(A,1) = s²_rows/(s²_rows + s²_cols) with exact variances.
func TestParallelAthletes(t *testing.T) {
	rows := [][]float64{{1.1, 1.3, 1.7}, {2.1, 2.3, 2.7}, {4.4, 4.6, 5.0}, {0.2, 0.4, 0.8}, {3.3, 3.5, 3.9}}
	r := analyse(t, tableOf(rows), reliability.Options{})
	base, shift := []float64{1.1, 2.1, 4.4, 0.2, 3.3}, []float64{0, 0.2, 0.6}
	va, vs := variance(base), variance(shift)
	numtest.Close(t, "ICC(A,1)", r.ICC[2].Value.Value, va/(va+vs), 1e-12)
	numtest.Close(t, "ICC(C,1)", r.ICC[4].Value.Value, 1, 0)
	if !math.IsInf(r.ICC[4].F, 1) || r.ICC[4].P != 0 || !math.IsInf(r.SessionTest.F, 1) || r.SessionTest.P != 0 {
		t.Errorf("F %+v, session test %+v", r.ICC[4], r.SessionTest)
	}
	c := r.MeanChanges[0]
	if c.Change.HasInterval() || !math.IsNaN(c.P) || c.TypicalError.Value != 0 {
		t.Errorf("change %+v", c)
	}
	numtest.Close(t, "change", c.Change.Value, 0.2, 1e-13)
	if r.DetectableChange.Value != 0 || r.Ratio != 0 {
		t.Errorf("detectable %g, ratio %g", r.DetectableChange.Value, r.Ratio)
	}
	if r.SettledFrom != -1 || r.Settling != reliability.NotSettled || r.SettledSession() != "" ||
		r.Sees != reliability.NotKnown {
		t.Errorf("settled %d: %s, sees %s", r.SettledFrom, r.Settling, r.Sees)
	}
}

func variance(x []float64) float64 {
	var mean, ss float64
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		ss += (v - mean) * (v - mean)
	}
	return ss / float64(len(x)-1)
}

func TestConstantMeasure(t *testing.T) {
	for _, scale := range []score.Scale{score.Raw, score.Log} {
		r := analyse(t, tableOf([][]float64{{5, 5}, {5, 5}, {5, 5}, {5, 5}, {5, 5}}),
			reliability.Options{Scale: scale, Group: []string{"a", "a", "b", "b", "b"}})
		if r.Worthwhile.Value != 0 || !math.IsNaN(r.Ratio) || !math.IsNaN(r.SessionTest.P) ||
			!math.IsNaN(r.Influence.ICCWithout) {
			t.Errorf("%s: worthwhile %+v, ratio %g, test %+v, influence %+v", scale, r.Worthwhile, r.Ratio,
				r.SessionTest, r.Influence)
		}
		if r.Settling != reliability.NothingToHold || !has(r, reliability.WorthwhileZero) ||
			r.Sees != reliability.NotKnown || r.Tells != reliability.ApartNotKnown {
			t.Errorf("%s: %q, %v, sees %s, tells apart %s", scale, r.Settling, r.Caveats, r.Sees, r.Tells)
		}
		if g := r.GroupTest; !math.IsNaN(g.P) || g.LiftedByGroups || r.Groups[0].Why != estimate.TooFew ||
			r.Groups[0].Repeated != 2 {
			t.Errorf("%s: group test %+v, groups %+v", scale, g, r.Groups)
		}
	}
}

func TestPercentOfAMeanThatIsNotPositive(t *testing.T) {
	r := analyse(t, tableOf([][]float64{{-1, -2}, {-3, -5}, {-4, -4}, {-7, -6}}), reliability.Options{})
	if e := r.TypicalErrorPercent; !math.IsNaN(e.Value) || e.HasInterval() || e.Kind != estimate.NotPositive {
		t.Errorf("percent %+v", e)
	}
}

// Settled: the first change is large, the later ones near 0 with little
// spread; against a worthwhile change of 1 the test has settled from session 2.
func TestSettled(t *testing.T) {
	rows := [][]float64{{10, 14, 14.1, 14.0}, {20, 24, 23.9, 24.1}, {30, 34, 34.1, 34.0}, {40, 44, 43.9, 43.9}, {50,
		54, 54.1, 54.2}}
	o := reliability.Options{Worthwhile: reliability.Worthwhile{Basis: reliability.Fixed, Value: 1}}
	r := analyse(t, tableOf(rows), o)
	if r.SettledFrom != 1 || r.Settling != reliability.Settled || r.SettledSession() != "2" {
		t.Errorf("settled from %d: %s", r.SettledFrom, r.Settling)
	}
	if r.Worthwhile.Value != 1 || r.Worthwhile.HasInterval() || r.Worthwhile.Kind != estimate.Known ||
		r.Worthwhile.Source != "" {
		t.Errorf("worthwhile %+v", r.Worthwhile)
	}
	for i := range rows { // now the last change is large too
		rows[i][3] += 3
	}
	r = analyse(t, tableOf(rows), o)
	if r.SettledFrom != -1 || r.Settling != reliability.NotSettled || r.SettledSession() != "" {
		t.Errorf("settled from %d: %s", r.SettledFrom, r.Settling)
	}
	// Not significant is not enough: wide intervals around 0.
	noisy := [][]float64{{10, 14}, {20, 17}, {30, 35}, {40, 36}, {50, 49}}
	if r = analyse(t, tableOf(noisy), o); r.SettledFrom != -1 || r.MeanChanges[0].P < 0.5 {
		t.Errorf("settled from %d with p = %g", r.SettledFrom, r.MeanChanges[0].P)
	}
	o.Scale, o.Worthwhile.Value = score.Log, 5
	for i := range rows {
		rows[i][3] -= 3
	}
	if r = analyse(t, tableOf(rows), o); r.SettledFrom != 1 || r.SettledSession() != "2" {
		t.Errorf("on logs: settled from %d: %s", r.SettledFrom, r.Settling)
	}
	numtest.Close(t, "5 percent on logs", r.Worthwhile.Value, math.Log(1.05), 1e-15)
	numtest.Close(t, "down", r.Worthwhile.PercentDown, 100*(1/1.05-1), 1e-13)
}

func TestAnchoredWithoutAnAnswer(t *testing.T) {
	table := tableOf([][]float64{{10, 11}, {12, 14}, {15, 14}, {11, 12}, {14, 15}, {13, 13}})
	for _, tt := range []struct {
		name    string
		outcome []float64
		value   bool
		kind    estimate.Kind
		n       int
	}{
		{"three", []float64{1, 2, 3, nan, nan, nan}, false, estimate.TooFew, 3},
		{"flat", []float64{5, 5, 5, 5, 5, 5}, false, estimate.NoVariation, 6},
		{"infinite", []float64{5, 6, 7, math.Inf(1), 5, 5}, false, estimate.Failed, 6},
		{"unrelated", []float64{3, 1, 3, 2, 1, 2}, true, estimate.Slope, 6},
	} {
		r := analyse(t, table, reliability.Options{Worthwhile: reliability.Worthwhile{
			Basis: reliability.Anchored, Outcome: tt.outcome, OutcomeName: "ball", OutcomeChange: 1}})
		w := r.Worthwhile
		if w.Kind != tt.kind || w.OutcomeAthletes != tt.n || w.HasInterval() != tt.value ||
			math.IsNaN(w.Value) == tt.value || math.IsNaN(r.Ratio) == tt.value {
			t.Errorf("%s: %+v, ratio %g", tt.name, w, r.Ratio)
		}
		if tt.value {
			holds(t, r, reliability.OutcomeNotShown, nil)
			continue
		}
		holds(t, r, reliability.NoWorthwhile, []string{"ball", string(tt.kind)}, float64(tt.n))
	}
}

func TestScaleAdvice(t *testing.T) {
	var rows [][]float64
	for i := range 24 {
		m := 10 + 2*float64(i)
		d := 0.1 * m * float64(1-2*(i%2)) * (1 + 0.1*float64(i%3))
		rows = append(rows, []float64{m - d/2, m + d/2})
	}
	r := analyse(t, tableOf(rows), reliability.Options{})
	if !r.Agreement.LogAdvised {
		t.Error("the log scale is not advised")
	}
	holds(t, r, agreement.UseLog, []string{"1", "2"})
	logs := analyse(t, tableOf(rows), reliability.Options{Scale: score.Log})
	if logs.Agreement.LogAdvised || logs.Agreement.SpreadOnLog != nil || has(logs, agreement.UseLog) ||
		logs.Agreement.Advice != "" {
		t.Errorf("on logs: %+v, caveats %v", logs.Agreement.Spread, logs.Caveats)
	}
	if logs.MeanChanges[0].Percent == nil {
		t.Fatal("no percent change on the log scale")
	}
	numtest.Close(t, "percent", logs.MeanChanges[0].Percent.Lower, 100*math.Expm1(logs.MeanChanges[0].Change.Lower),
		1e-15)
}

// An error that grows faster than logarithms can cure.
func TestScaleAdviceOnLogs(t *testing.T) {
	var rows [][]float64
	for i := range 24 {
		m := 10 + float64(i)
		d := 1e-5 * m * m * m * m * float64(1-2*(i%2)) * (1 + 0.1*float64(i%3))
		rows = append(rows, []float64{m - d/2, m + d/2})
	}
	r := analyse(t, tableOf(rows), reliability.Options{Scale: score.Log})
	if r.Agreement.LogAdvised || r.Agreement.SpreadOnLog != nil || !has(r, agreement.LogNotEnough) {
		t.Errorf("log advised %t, caveats %v", r.Agreement.LogAdvised, r.Caveats)
	}
}

func TestICCOutOfRangeIsSaid(t *testing.T) {
	// Rows nearly equal, sessions nearly equal, residual large.
	r := analyse(t, tableOf([][]float64{{1, 5.1}, {5, 1}, {1.2, 5}, {5, 1.1}}), reliability.Options{})
	if r.ICC[3].Value.Value <= 1 || !has(r, reliability.OutOfRange) {
		t.Errorf("ICC(A,k) %+v, caveats %v", r.ICC[3].Value, r.Caveats)
	}
}
