package reliability_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
)

// An invented cohort of three levels, two sessions and an outcome. All
// expected numbers of this file: R 4.2.2 on these literals (aov, t.test,
// bartlett.test and var.test on the differences, lm, confint, qf).
var (
	cohortGroups = append(repeat("school", 5), append(repeat("academy", 6), repeat("senior", 7)...)...)
	cohortFirst  = []float64{41.2, 38.7, 44.0, 40.1, 42.6, 55.3, 58.1, 52.4, 60.2, 57.7, 54.9, 71.0, 75.4, 68.8, 73.1,
		77.9, 70.2, 74.6}
	cohortSecond = []float64{42.0, 38.1, 45.9, 41.3, 41.8, 57.9, 57.2, 56.0, 59.1, 61.3, 55.5, 71.9, 74.8, 69.9, 73.0,
		78.8, 71.6, 74.1}
	cohortBall = []float64{88, 84, 93, math.NaN(), 90, 104, 107, 101, 110, 108, 103, 121, 128, 118, 124, 131, 119,
		126}
)

func repeat(s string, n int) []string { return strings.Split(strings.Repeat(","+s, n)[1:], ",") }

func cohort() score.Table {
	var rows [][]float64
	for i := range cohortFirst {
		rows = append(rows, []float64{cohortFirst[i], cohortSecond[i]})
	}
	return tableOf(rows)
}

func TestSessionsAgainstR(t *testing.T) {
	r := analyse(t, cohort(), reliability.Options{})
	c := r.MeanChanges[0]
	numtest.Close(t, "change", c.Change.Value, 0.7777777777777766, 1e-13)
	numtest.Close(t, "change lower", c.Change.Lower, 0.05139722023185921, 1e-12)
	numtest.Close(t, "change upper", c.Change.Upper, 1.504158335323694, 1e-12)
	numtest.Close(t, "p", c.P, 0.0373034979356708, 1e-12)
	numtest.Close(t, "p of F", r.SessionTest.P, 0.0373034979356708, 1e-12)
	numtest.Close(t, "F", r.SessionTest.F, 5.444444444444440/1.0667973856209150, 1e-9)
	numtest.Close(t, "ICC(C,1)", r.ICC[4].Value.Value, 0.9940864268605636, 1e-13)
	if c.From != "1" || c.To != "2" || c.N != 18 || c.Percent != nil {
		t.Errorf("change %+v", c)
	}
	// p is that of F above; the agreement error by its formula, sqrt(MSE + (MSC-MSE)/n).
	holds(t, r, reliability.SessionsDiffer, nil, 0.0373034979356708,
		math.Sqrt(1.0667973856209150+(5.444444444444440-1.0667973856209150)/18))
}

func TestGroupsAgainstR(t *testing.T) {
	r := analyse(t, cohort(), reliability.Options{Group: cohortGroups})
	for i, want := range []struct {
		name     string
		n        int
		mean, te float64
	}{
		{"school", 5, 41.57, 0.8246211251235323},
		{"academy", 6, 57.13333333333333, 1.526433752247374},
		{"senior", 7, 73.22142857142858, 0.5800246300189085},
	} {
		g := r.Groups[i]
		if g.Name != want.name || g.Athletes != want.n || g.DF != float64(want.n-1) || g.Why != "" ||
			g.Repeated != want.n {
			t.Errorf("group %+v, want %+v", g, want)
		}
		numtest.Close(t, g.Name+" mean", g.Mean, want.mean, 1e-13)
		numtest.Close(t, g.Name+" TE", g.TypicalError.Value, want.te, 1e-12)
		numtest.Close(t, g.Name+" TE percent", g.TypicalErrorPercent.Value, 100*want.te/want.mean, 1e-12)
	}
	g := r.GroupTest
	if g.Normal.Method != reliability.Bartlett || g.Approximate {
		t.Errorf("test %+v", g)
	}
	numtest.Close(t, "Bartlett", g.Normal.Statistic, 4.742780624691555, 1e-12)
	numtest.Close(t, "p", g.Normal.P, 0.09335084917601173, 1e-12)
	numtest.Close(t, "pooled ICC", g.PooledICC, 0.9940864268605636, 1e-13)
	numtest.Close(t, "within ICC", g.WithinICC, 0.8514180817839498, 1e-12)
	numtest.Close(t, "within lower", g.Within.Lower, 0.6264240442312046, 1e-12)
	numtest.Close(t, "within upper", g.Within.Upper, 0.9454496202327696, 1e-12)
	if !g.LiftedByGroups {
		t.Error("not lifted")
	}
	holds(t, r, reliability.LiftedByGroups, nil, 0.9940864268605636, 0.8514180817839498, 0.6264240442312046,
		0.9454496202327696)
}

func TestTwoGroupsAgainstR(t *testing.T) {
	groups := append(repeat("", 5), cohortGroups[5:]...)
	r := analyse(t, cohort(), reliability.Options{Group: groups})
	g := r.GroupTest
	if len(r.Groups) != 2 || g.Normal.Method != reliability.FRatio || g.Verdict != reliability.GroupsDiffer {
		t.Errorf("%d groups, test %+v", len(r.Groups), g)
	}
	numtest.Close(t, "F", g.Normal.Statistic, 6.925690021231411, 1e-12)
	numtest.Close(t, "p", g.Normal.P, 0.03546162041001955, 1e-12)
	holds(t, r, reliability.NoGroup, nil, 5)
	// The order of the groups does not matter.
	turned := analyse(t, cohort().Rows([]int{17, 16, 15, 14, 13, 12, 11, 10, 9, 8, 7, 6, 5}),
		reliability.Options{Group: append(repeat("senior", 7), repeat("academy", 6)...)})
	numtest.Close(t, "F turned", turned.GroupTest.Normal.Statistic, g.Normal.Statistic, 1e-12)
	numtest.Close(t, "p turned", turned.GroupTest.Normal.P, g.Normal.P, 1e-12)
}

func TestWorthwhileAgainstR(t *testing.T) {
	anchor := reliability.Worthwhile{Basis: reliability.Anchored, Outcome: cohortBall,
		OutcomeName: "ball speed", OutcomeUnit: "km/h", OutcomeChange: 2}
	r := analyse(t, cohort(), reliability.Options{Worthwhile: anchor})
	numtest.Close(t, "anchored", r.Worthwhile.Value, 2*0.8757038108371729, 1e-12)
	numtest.Close(t, "anchored lower", r.Worthwhile.Lower, 2*0.8359659912738365, 1e-12)
	numtest.Close(t, "anchored upper", r.Worthwhile.Upper, 2*0.9154416304005092, 1e-12)
	numtest.Close(t, "ratio", r.Ratio, r.DetectableChange.Value/r.Worthwhile.Value, 1e-15)
	if w := r.Worthwhile; w.OutcomeName != "ball speed" || w.OutcomeUnit != "km/h" || w.OutcomeChange != 2 ||
		w.OutcomeAthletes != 17 || w.Kind != estimate.Slope {
		t.Errorf("worthwhile %+v", w)
	}
	logs := analyse(t, cohort(), reliability.Options{Worthwhile: anchor, Scale: score.Log})
	numtest.Close(t, "on logs", logs.Worthwhile.Value, 2*0.01535220656801748, 1e-12)
	numtest.Close(t, "on logs lower", logs.Worthwhile.Lower, 2*0.01414743551950135, 1e-12)
	numtest.Close(t, "on logs upper", logs.Worthwhile.Upper, 2*0.01655697761653362, 1e-12)
	numtest.Close(t, "up", logs.Worthwhile.PercentUp, 100*math.Expm1(2*0.01535220656801748), 1e-12)
	numtest.Close(t, "down", logs.Worthwhile.PercentDown, 100*math.Expm1(-2*0.01535220656801748), 1e-12)

	// Incomplete athletes are left out with their outcome.
	nobody := []float64{math.NaN(), 50}
	var rows [][]float64
	for i := range cohortFirst {
		rows = append(rows, nobody, []float64{cohortFirst[i], cohortSecond[i]})
	}
	anchor.Outcome = nil
	for _, v := range cohortBall {
		anchor.Outcome = append(anchor.Outcome, 300-v, v)
	}
	half := analyse(t, tableOf(rows), reliability.Options{Worthwhile: anchor, Missing: reliability.CompleteCases})
	numtest.Close(t, "anchored, half of the table incomplete", half.Worthwhile.Upper, 2*0.9154416304005092, 1e-12)

	observed := analyse(t, cohort(),
		reliability.Options{Worthwhile: reliability.Worthwhile{Basis: reliability.ObservedSD, Fraction: 0.3}})
	numtest.Close(t, "observed", observed.Worthwhile.Value, 0.3*13.41136480311951, 1e-12)
	numtest.Close(t, "observed lower", observed.Worthwhile.Lower, 0.3*10.0637217824161, 1e-12)
	numtest.Close(t, "observed upper", observed.Worthwhile.Upper, 0.3*20.10556694436227, 1e-12)
	if w := observed.Worthwhile; w.Fraction != 0.3 || w.Basis != reliability.ObservedSD {
		t.Errorf("worthwhile %+v", w)
	}
}

// R's aov on each of the 18 tables of 17 athletes.
func TestInfluenceAgainstR(t *testing.T) {
	r := analyse(t, cohort(), reliability.Options{})
	if r.Influence.TypicalErrorAthlete != "A08" || r.Influence.ICCAthlete != "A10" {
		t.Errorf("influence %+v, want A08 and A10", r.Influence)
	}
	numtest.Close(t, "TE without", r.Influence.TypicalErrorWithout, 0.9326984885740041, 1e-12)
	numtest.Close(t, "ICC without", r.Influence.ICCWithout, 0.9954579857927209, 1e-12)
}

// caveatOf returns the caveat of a kind; ok says whether there is one.
func caveatOf(r reliability.Result, kind caveat.Kind) (c caveat.Caveat, ok bool) {
	i := slices.IndexFunc(r.Caveats, func(c caveat.Caveat) bool { return c.Kind == kind })
	if i < 0 {
		return c, false
	}
	return r.Caveats[i], true
}

func has(r reliability.Result, kind caveat.Kind) bool {
	_, ok := caveatOf(r, kind)
	return ok
}

// holds checks that r has a caveat with these names and numbers.
func holds(t *testing.T, r reliability.Result, kind caveat.Kind, names []string, numbers ...float64) {
	t.Helper()
	c, ok := caveatOf(r, kind)
	if !ok || !slices.Equal(c.Names, names) || len(c.Numbers) != len(numbers) {
		t.Errorf("no %s with %q and %v in %v", kind, names, numbers, r.Caveats)
		return
	}
	for i, x := range numbers {
		numtest.Close(t, string(kind), c.Numbers[i], x, 1e-9)
	}
}
