package reliability_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/analysis/varcomp"
	"noisefloor/internal/numtest"
	"noisefloor/internal/published"
)

// unbalanced is testdata/published/varcomp/twoway_unbalanced.csv as a table.
func unbalanced(t testing.TB) score.Table {
	t.Helper()
	d := published.Columns(t, "varcomp/twoway_unbalanced.csv")
	rows := make([][]float64, int(slices.Max(d["athlete"])))
	for i := range rows {
		rows[i] = []float64{nan, nan, nan, nan}
	}
	for i, v := range d["y"] {
		rows[int(d["athlete"][i])-1][int(d["occasion"][i])-1] = v
	}
	return tableOf(rows)
}

// Exact REML of a made-up table with scores missing: variances, limits and
// differences of the means with 40 digits (see the README beside the table).
func TestEveryScoreIsExact(t *testing.T) {
	r := analyse(t, unbalanced(t), reliability.Options{})
	const va, ve = 13.313690531152442, 2.0823847866060117
	numtest.Close(t, "TE", r.TypicalError.Value, math.Sqrt(ve), 1e-10)
	numtest.Close(t, "TE lower", r.TypicalError.Lower, 1.1297322585338725, 1e-9)
	numtest.Close(t, "TE upper", r.TypicalError.Upper, 1.9329864644351986, 1e-9)
	numtest.Close(t, "true SD", r.TrueSD, math.Sqrt(va), 1e-9)
	numtest.Close(t, "worthwhile lower", r.Worthwhile.Lower, 0.2*2.5720857420154477, 1e-9)
	numtest.Close(t, "worthwhile upper", r.Worthwhile.Upper, 0.2*5.570096812167921, 1e-9)
	numtest.Close(t, "ICC(C,1)", r.ICC[4].Value.Value, va/(va+ve), 1e-9)
	numtest.Close(t, "ICC(C,k)", r.ICC[5].Value.Value, va/(va+ve/4), 1e-9)
	numtest.Close(t, "observed SD", r.ObservedSD, math.Sqrt(va+ve/4), 1e-9)
	numtest.Close(t, "detectable", r.DetectableChange.Value, dist.TQuantile(0.975, r.DF)*math.Sqrt(2*ve), 1e-10)
	shift := []float64{0, 1.514206090001846, 2.0890647078542663, 2.4975769641814183}
	for j, c := range r.MeanChanges {
		numtest.Close(t, "change", c.Change.Value, shift[j+1]-shift[j], 1e-8)
	}
	first := r.MeanChanges[0].Change
	fit, err := varcomp.Fit(varcomp.FromTable(unbalanced(t)), varcomp.Options{Model: varcomp.Scores})
	if err != nil {
		t.Fatal(err)
	}
	df := fit.ChangeDF(0, 1) // tested against dense matrices where it is made
	numtest.Close(t, "change upper", first.Upper-first.Value, dist.TQuantile(0.975, df)*0.5893913828681238, 1e-8)
	numtest.Close(t, "p", r.MeanChanges[0].P, dist.TTwoSided(1.514206090001846/0.5893913828681238, df), 1e-7)
	if math.Abs(df-r.DF) < 0.1 || first.Kind != estimate.GLST || math.Abs(first.DF-df) > 1e-12 {
		t.Errorf("first change on %g df beside %g, %q", df, r.DF, first.Kind)
	}
	// 45 scores of 16 athletes in 4 sessions leave 26 to the residual; what the
	// athletes' means say of it adds a little.
	if n := len(published.Rows(t, "varcomp/twoway_unbalanced.csv")); r.DF < float64(n-16-4+1) ||
		r.DF > float64(n-16-4+3) {
		t.Errorf("df %g of %d scores", r.DF, n)
	}
	if r.Complete || r.Route != reliability.EveryScore || r.Athletes != 16 || len(r.LeftOut) != 0 {
		t.Errorf("complete %t, by %q, %d athletes, left out %v", r.Complete, r.Route, r.Athletes, r.LeftOut)
	}
	for i, icc := range r.ICC {
		e := icc.Value
		if !e.HasInterval() || e.Lower > e.Value || e.Upper < e.Value {
			t.Errorf("ICC(%s) %+v", icc.Form, e)
		}
		if agree := i == 2 || i == 3; agree != (e.Kind == estimate.Generalized) {
			t.Errorf("ICC(%s) by %q", icc.Form, e.Kind)
		}
	}
}

// What a table with gaps is: who is used, who is not, and what is said.
func TestIncompleteTable(t *testing.T) {
	table := tableOf([][]float64{
		{10, 11, 12}, {nan, nan, nan}, {20, 22, 21}, {30, nan, 33}, {14, 15, 13}, {25, 24, nan},
		{nan, 18, nan}, {31, 30, 32}, {nan, 28, nan}, {18, 18, 20},
	})
	for i, v := range table.Value {
		if !math.IsNaN(v) {
			table.Trials[i] = int32(2 + i%3)
		}
	}
	r := analyse(t, table, reliability.Options{Pair: [2]string{"3", "1"}})
	want := []reliability.LeftOut{{Without: []string{"1", "2", "3"}, Never: true, Athletes: []string{"A02"}}}
	if diff := cmp.Diff(want, r.LeftOut); diff != "" {
		t.Errorf("left out (-want +got):\n%s", diff)
	}
	if r.Athletes != 9 || r.Complete || has(r, reliability.LeftOutOf) {
		t.Errorf("%d athletes, complete %t, caveats %v", r.Athletes, r.Complete, r.Caveats)
	}
	holds(t, r, reliability.EveryScoreUsed, nil, 4)
	numtest.Close(t, "trials", r.Trials, (7*2+8*3+6*4)/21.0, 1e-15) // 7, 8 and 6 scores of the sessions
	if r.ANOVA.N != 5 || r.Agreement.From != "3" || r.Agreement.To != "1" || r.Agreement.N != 6 {
		t.Errorf("ANOVA of %d, agreement of %s and %s, n = %d", r.ANOVA.N, r.Agreement.From, r.Agreement.To,
			r.Agreement.N)
	}
	for j, s := range []reliability.SessionMean{{N: 7, Mean: 148.0 / 7}, {N: 8, Mean: 166.0 / 8}, {N: 6,
		Mean: 131.0 / 6}} {
		if got := r.SessionMeans[j]; got.N != s.N || math.Abs(got.Mean-s.Mean) > 1e-13 {
			t.Errorf("session %+v, want %+v", got, s)
		}
	}
	for j, n := range []int{6, 5} { // athletes with both
		c := r.MeanChanges[j]
		if c.N != n || !c.TypicalError.HasInterval() || !c.Change.HasInterval() {
			t.Errorf("change %+v", c)
		}
	}
	if r.Influence == nil || r.Influence.By != reliability.ByStandouts || r.Influence.Athletes < 1 {
		t.Errorf("influence %+v", r.Influence)
	}
	table.Trials = nil
	numtest.Close(t, "trials", analyse(t, table, reliability.Options{}).Trials, 1, 0)
}

// Two sessions that nobody shares, and one score in the last: what cannot be
// told is said, and the rest stands.
func TestSessionsThatAreNotShared(t *testing.T) {
	table := tableOf([][]float64{
		{10, 11, nan, nan, nan}, {20, 22, nan, nan, nan}, {15, 16.5, nan, nan, nan}, {30, 29, nan, nan, nan},
		{nan, nan, 12, 13, nan}, {nan, nan, 18, 21, nan}, {nan, nan, 33, 32, nan}, {nan, nan, 14, 26, 15},
	})
	r := analyse(t, table, reliability.Options{Worthwhile: reliability.Worthwhile{Basis: reliability.Fixed, Value: 1}})
	if r.Agreement != nil {
		t.Errorf("agreement %+v", r.Agreement)
	}
	holds(t, r, reliability.NoAgreement, []string{"4", "5"}, 1, 3)
	middle, last := r.MeanChanges[1], r.MeanChanges[3]
	if middle.N != 0 || middle.TypicalError.Kind != estimate.TooFew || !middle.Change.HasInterval() {
		t.Errorf("change between sessions that nobody shares: %+v", middle)
	}
	if wide := middle.Change.Upper - middle.Change.Lower; wide < 5 {
		t.Errorf("two groups of four athletes tell the change to within %g", wide)
	}
	if last.N != 1 || last.TypicalError.Kind != estimate.TooFew || !math.IsNaN(r.SessionMeans[4].SD) {
		t.Errorf("change to a session with one score %+v, session %+v", last, r.SessionMeans[4])
	}
	if !math.IsNaN(r.ANOVA.MSE) || r.ANOVA.N != 0 || !(r.TypicalError.Value > 0) {
		t.Errorf("ANOVA %+v, TE %+v", r.ANOVA, r.TypicalError)
	}
	// Without A08, who weighs most, the last session would be gone.
	if r.SettledFrom != -1 || r.Influence == nil || r.Influence.TypicalErrorAthlete == "A08" ||
		r.Influence.ICCAthlete == "A08" {
		t.Errorf("settled from %d, influence %+v", r.SettledFrom, r.Influence)
	}
}

// Settled, by equivalence, with scores missing: TestSettled with gaps.
func TestSettledWithGaps(t *testing.T) {
	rows := [][]float64{{10, 14, 14.1, 14.0}, {20, 24, nan, 24.1}, {30, 34, 34.1, 34.0}, {40, nan, 43.9, 43.9}, {50,
		54, 54.1, nan}, {nan, 19, 19.1, 18.9}}
	o := reliability.Options{Worthwhile: reliability.Worthwhile{Basis: reliability.Fixed, Value: 1}}
	r := analyse(t, tableOf(rows), o)
	if r.SettledSession() != "2" {
		t.Errorf("settled from %d: %s", r.SettledFrom, r.Settling)
	}
	if f := r.SessionTest; f.DF1 != 3 || f.F < 100 || !(f.P < 1e-6) || !has(r, reliability.SessionsDiffer) {
		t.Errorf("test %+v, caveats %v", f, r.Caveats)
	}
	for i := range rows {
		rows[i][3] += 3
	}
	r = analyse(t, tableOf(rows), o)
	if r.SettledFrom != -1 || r.Settling != reliability.NotSettled {
		t.Errorf("settled from %d: %s", r.SettledFrom, r.Settling)
	}
}

// Tables with gaps in which something is exactly 0.
func TestNothingLeftWithGaps(t *testing.T) {
	for _, tt := range []struct {
		name string
		rows [][]float64
		icc  []float64 // C,1 and A,1
		te   float64
		kind caveat.Kind
		f    float64
	}{
		{"constant", [][]float64{{7, 7, 7}, {7, nan, 7}, {7, 7, 7}, {7, 7, nan}, {7, 7, 7}}, []float64{nan, nan}, 0,
			reliability.EqualInSessions, nan},
		{"parallel", [][]float64{{1, 2, 4}, {11, nan, 14}, {21, 22, 24}, {31, 32, nan}, {41, 42, 44}}, []float64{1,
			250 / (250 + 7.0/3)}, 0, reliability.NoResidual, math.Inf(1)},
		{"only sessions", [][]float64{{1, 2, 4}, {1, nan, 4}, {1, 2, 4}, {1, 2, nan}, {1, 2, 4}}, []float64{nan, 0},
			0, reliability.EqualInSessions, math.Inf(1)},
		{"no athletes", [][]float64{{1, 5, 3}, {5, 1, nan}, {3, 3, 3}, {2, nan, 4}, {4, 2, 3}}, []float64{0, 0}, nan,
			reliability.NothingBetween, nan},
	} {
		r := analyse(t, tableOf(tt.rows), reliability.Options{})
		numtest.Close(t, tt.name+" ICC(C,1)", r.ICC[4].Value.Value, tt.icc[0], 1e-12)
		numtest.Close(t, tt.name+" ICC(A,1)", r.ICC[2].Value.Value, tt.icc[1], 1e-12)
		if !math.IsNaN(tt.te) {
			numtest.Close(t, tt.name+" TE", r.TypicalError.Value, tt.te, 0)
			numtest.Close(t, tt.name+" F", r.SessionTest.F, tt.f, 0)
			if r.TypicalError.HasInterval() || !(r.DF >= 3) || r.MeanChanges[0].Change.HasInterval() {
				t.Errorf("%s: TE %+v on %g, change %+v", tt.name, r.TypicalError, r.DF, r.MeanChanges[0])
			}
		}
		if !has(r, tt.kind) {
			t.Errorf("%s: caveats %v", tt.name, r.Caveats)
		}
	}
}

// A table with gaps has no unit, no origin and no order of its athletes.
func TestInvariantsWithGaps(t *testing.T) {
	table := unbalanced(t)
	r := analyse(t, table, reliability.Options{})
	same := func(name string, other reliability.Result, unit float64) {
		t.Helper()
		for i, icc := range r.ICC {
			numtest.Close(t, name+" ICC("+icc.Form+")", other.ICC[i].Value.Value, icc.Value.Value, 1e-8)
			numtest.Close(t, name+" lower", other.ICC[i].Value.Lower, icc.Value.Lower, 1e-8)
			numtest.Close(t, name+" upper", other.ICC[i].Value.Upper, icc.Value.Upper, 1e-8)
		}
		numtest.Close(t, name+" TE upper", other.TypicalError.Upper, unit*r.TypicalError.Upper, 1e-8)
		numtest.Close(t, name+" df", other.DF, r.DF, 1e-8)
		numtest.Close(t, name+" F", other.SessionTest.F, r.SessionTest.F, 1e-8)
		numtest.Close(t, name+" agreement error", other.AgreementError.Value, unit*r.AgreementError.Value, 1e-8)
		numtest.Close(t, name+" worthwhile", other.Worthwhile.Upper, unit*r.Worthwhile.Upper, 1e-8)
	}
	same("scaled", analyse(t, mapped(table, func(v float64) float64 { return 9.80665*v + 4000 }),
		reliability.Options{}), 9.80665)
	rows := rand.New(rand.NewPCG(1, 1)).Perm(len(table.Athletes))
	same("athletes", analyse(t, table.Rows(rows), reliability.Options{}), 1)
	turned, err := table.Select("3", "1", "4", "2")
	if err != nil {
		t.Fatal(err)
	}
	same("sessions", analyse(t, turned, reliability.Options{}), 1)
	// On logarithms the unit does not matter, and percents are of the ratio.
	a := analyse(t, table, reliability.Options{Scale: score.Log})
	b := analyse(t, mapped(table, func(v float64) float64 { return 4.44822 * v }),
		reliability.Options{Scale: score.Log})
	numtest.Close(t, "CV", b.TypicalErrorPercent.Upper, a.TypicalErrorPercent.Upper, 1e-8)
	numtest.Close(t, "change", a.MeanChanges[0].Percent.Lower, 100*math.Expm1(a.MeanChanges[0].Change.Lower), 1e-14)
	numtest.Close(t, "change", b.MeanChanges[0].Percent.Lower, a.MeanChanges[0].Percent.Lower, 1e-7)
}

// Groups with gaps: each by its own route, the same as its own table; the
// comparison says that it is approximate.
func TestGroupsWithGaps(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	table := drawn(rng, 24, 3, 2, 0.2)
	groups := append(append(repeat("a", 8), repeat("b", 8)...), repeat("c", 8)...)
	for i := range 8 {
		for j := range 3 {
			table.Value[(8+i)*3+j] += 30 // group b lies apart
		}
	}
	for _, c := range []int{1, 8, 30, 34, 41} { // group c stays complete
		table.Value[c], table.Trials[c] = nan, 0
	}
	r := analyse(t, table, reliability.Options{Group: groups})
	for g, name := range []string{"a", "b", "c"} {
		var rows []int
		for i, of := range groups {
			if of == name {
				rows = append(rows, i)
			}
		}
		own, got := analyse(t, table.Rows(rows), reliability.Options{}), r.Groups[g]
		if own.Complete != (name == "c") || got.Athletes != 8 || got.Why != "" {
			t.Errorf("group %+v, complete %t", got, own.Complete)
		}
		for _, c := range [][2]float64{{got.TypicalError.Value, own.TypicalError.Value}, {got.TypicalError.Lower,
			own.TypicalError.Lower},
			{got.DF, own.DF}, {got.Mean, own.Mean}, {got.ICC.Value, own.ICC[4].Value.Value}, {got.ICC.Upper,
				own.ICC[4].Value.Upper},
			{got.TypicalErrorPercent.Value, own.TypicalErrorPercent.Value}} {
			numtest.Close(t, "group "+name, c[0], c[1], 1e-12)
		}
	}
	g := r.GroupTest
	if g.Normal.Method != reliability.Bartlett || g.Method != reliability.BrownForsythe ||
		!g.Approximate || !(g.P > 0 && g.P < 1) {
		t.Errorf("test %+v", g)
	}
	// Bartlett (1937) of the typical errors and df of the groups, by hand.
	var df, pooled, logs, inverse float64
	for _, of := range r.Groups {
		v := of.TypicalError.Value * of.TypicalError.Value
		df, pooled, logs, inverse = df+of.DF, pooled+of.DF*v, logs+of.DF*math.Log(v), inverse+1/of.DF
	}
	numtest.Close(t, "Bartlett", g.Normal.Statistic, (df*math.Log(pooled/df)-logs)/(1+(inverse-1/df)/6), 1e-9)
	if !g.LiftedByGroups || g.WithinICC > g.PooledICC || !g.Within.HasInterval() || g.Within.Lower > g.WithinICC {
		t.Errorf("test %+v", g)
	}
	// A group whose athletes were seen once each has no typical error.
	for i := range 8 {
		for j := 1; j < 3; j++ {
			table.Value[i*3+j] = nan
		}
	}
	table.Value[0], table.Value[5] = 100, 101
	r = analyse(t, table, reliability.Options{Group: groups})
	if got := r.Groups[0]; got.Why != estimate.TooFew || got.Athletes != 8 || got.Repeated != 1 ||
		!math.IsNaN(got.TypicalError.Value) {
		t.Errorf("group %+v", got)
	}
	if r.GroupTest.Normal.Method != reliability.FRatio || !r.GroupTest.Approximate {
		t.Errorf("test %+v", r.GroupTest)
	}
}

// Without missing scores inside the groups the fit with a mean for each session
// of each group is the pooled analysis of variance of TestGroupsAgainstR (R's aov):
// one athlete more, of another group and seen once, adds nothing to it.
func TestWithinGroupsOfEveryScore(t *testing.T) {
	table := cohort()
	table.Athletes = append(table.Athletes, "alone")
	table.Value, table.Trials = append(table.Value, 50, nan), append(table.Trials, 1, 0)
	g := analyse(t, table, reliability.Options{Group: append(slices.Clone(cohortGroups), "alone")}).GroupTest
	numtest.Close(t, "within ICC", g.WithinICC, 0.8514180817839498, 1e-9)
	numtest.Close(t, "within lower", g.Within.Lower, 0.6264240442312046, 1e-9)
	numtest.Close(t, "within upper", g.Within.Upper, 0.9454496202327696, 1e-9)
	numtest.Close(t, "Bartlett", g.Normal.Statistic, 4.742780624691555, 1e-12)
}

// The bases of the worthwhile change with gaps: an outcome goes with the
// athletes' means adjusted for the sessions they have.
func TestWorthwhileWithGaps(t *testing.T) {
	table := cohort()
	table.Value[7] = nan // the fourth athlete's second score; no outcome either
	w := reliability.Worthwhile{Basis: reliability.Anchored, Outcome: cohortBall, OutcomeChange: 2}
	r := analyse(t, table, reliability.Options{Worthwhile: w})
	// R 4.2.2 on the 17 complete athletes: the fourth has no outcome.
	numtest.Close(t, "anchored", r.Worthwhile.Value, 2*0.8757038108371729, 1e-12)
	// With no true differences of sessions, a mean of the scores that are there.
	table.Value[9] = nan
	r = analyse(t, table, reliability.Options{Worthwhile: w})
	if math.Abs(r.Worthwhile.Value-2*0.8757) > 0.05 || r.Worthwhile.Value == 2*0.8757038108371729 {
		t.Errorf("anchored %+v", r.Worthwhile)
	}
	shifted := mapped(table, func(v float64) float64 { return v })
	for i := 1; i < len(shifted.Value); i += 2 { // what a whole session has more is nobody's level
		shifted.Value[i] += 100
	}
	numtest.Close(t, "anchored, second session shifted", analyse(t, shifted,
		reliability.Options{Worthwhile: w}).Worthwhile.Value, r.Worthwhile.Value, 1e-9)
	observed := analyse(t, table,
		reliability.Options{Worthwhile: reliability.Worthwhile{Basis: reliability.ObservedSD}})
	numtest.Close(t, "observed", observed.Worthwhile.Value, 0.2*observed.ObservedSD, 1e-14)
	if e := observed.Worthwhile; !e.HasInterval() || e.Lower < 0.1*e.Value || e.Upper > 2*e.Value {
		t.Errorf("observed %+v", e)
	}
}

// In a large study with gaps the athletes that weigh most are sought among
// those with every session, and this is said.
func TestInfluenceInALargeStudy(t *testing.T) {
	table := drawn(rand.New(rand.NewPCG(6, 7)), 2100, 3, 2, 0)
	table.Value[100*3] += 20
	table.Value[5] = nan
	r := analyse(t, table, reliability.Options{Worthwhile: reliability.Worthwhile{Basis: reliability.Fixed, Value: 1}})
	if r.Influence.TypicalErrorAthlete != "A101" || r.Influence.By != reliability.ByCompletely ||
		r.Influence.Athletes != 2099 {
		t.Errorf("influence %+v", r.Influence)
	}
	for i := range table.Athletes {
		table.Value[i*3+i%3] = nan
	}
	if r = analyse(t, table, reliability.Options{}); r.Influence != nil {
		t.Errorf("influence of nobody: %+v", r.Influence)
	}
}
