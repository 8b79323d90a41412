package reliability

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
	"noisefloor/internal/published"
)

// ofRows makes a table.
func ofRows(rows [][]float64) score.Table {
	t := score.Table{}
	for j := range rows[0] {
		t.Sessions = append(t.Sessions, string(rune('1'+j)))
	}
	for i, row := range rows {
		t.Athletes = append(t.Athletes, string(rune('a'+i)))
		t.Value = append(t.Value, row...)
	}
	return t
}

// On a complete table REML of every score is the analysis of variance: all
// that Analyse reports by one route is what it reports by the other.
func TestREMLOfACompleteTableIsTheANOVA(t *testing.T) {
	tables := map[string]score.Table{}
	for _, name := range []string{"shrout_fleiss_1979", "winer_1971", "weir_2005_a", "weir_2005_b"} {
		tables[name] = ofRows(published.Rows(t, "icc/"+name+".csv"))
	}
	rng := rand.New(rand.NewPCG(3, 3))
	for _, size := range [][2]int{{4, 2}, {9, 3}, {25, 5}} {
		tables["drawn "+string(rune('0'+size[1]))] = draw(rng, size[0], size[1], 3)
	}
	for name, table := range tables {
		want, err := Analyse(table, Options{Worthwhile: Worthwhile{Basis: ObservedSD}})
		if err != nil {
			t.Fatal(err)
		}
		e, err := fitEvery(table, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		got := Result{Scale: score.Raw, Level: 0.95, Mean: e.mean(), Sessions: table.Sessions}
		got.noiseEvery(e, Options{Level: 0.95, Power: 0.8, Scale: score.Raw})
		same := func(what string, got, want float64) {
			t.Helper()
			if want == 0 {
				numtest.CloseAbs(t, name+" "+what, got, want, 1e-9)
				return
			}
			numtest.Close(t, name+" "+what, got, want, 1e-9)
		}
		same("TE", got.TypicalError.Value, want.TypicalError.Value)
		same("df", got.DF, want.DF)
		same("mean", got.Mean, want.Mean)
		same("percent", got.TypicalErrorPercent.Value, want.TypicalErrorPercent.Value)
		same("agreement error", got.AgreementError.Value, want.AgreementError.Value)
		same("true SD", got.TrueSD, want.TrueSD)
		same("observed SD", got.ObservedSD, want.ObservedSD)
		same("detectable", got.DetectableChange.Value, want.DetectableChange.Value)
		for i, w := range want.ICC {
			g := got.ICC[i]
			if g.Form != w.Form || g.ShroutFleiss != w.ShroutFleiss {
				t.Errorf("%s: form %+v, want %+v", name, g, w)
			}
			if i < 2 && w.Value.Value < 0 {
				continue // REML stops at 0
			}
			same("ICC("+w.Form+")", g.Value.Value, w.Value.Value)
			same("lower", g.Value.Lower, max(w.Value.Lower, lowest(w.Form)))
			same("upper", g.Value.Upper, w.Value.Upper)
			same("F", g.F, w.F)
			same("df 1", g.DF1, w.DF1)
			same("df 2", g.DF2, w.DF2)
			same("p", g.P, w.P)
		}
		test := e.sessionTest()
		same("F of the sessions", test.F, want.SessionTest.F)
		same("p of the sessions", test.P, want.SessionTest.P)
		for j, w := range want.MeanChanges {
			g := e.change(table, j, j+1)
			same("change", g.Change.Value, w.Change.Value)
			same("TE of the pair", g.TypicalError.Value, w.TypicalError.Value)
			if len(table.Sessions) == 2 { // where the pair is all there is
				same("change lower", g.Change.Lower, w.Change.Lower)
				same("p", g.P, w.P)
			}
		}
		s := e.spread(study{all: table, allRows: make([]int, len(table.Athletes))})
		same("df of the athletes", s.observedDF, want.ANOVA.DFRows)
		for i, m := range s.means() {
			same("mean of an athlete", m, want.ANOVA.RowMeans[i])
		}
	}
}

// lowest is where the exact F limits of REML stop.
func lowest(form string) float64 {
	if form[0] == 'A' {
		return math.Inf(-1)
	}
	return 0
}

// The smallest differences between the routes: from a complete table to one
// in which one more athlete was seen once, almost nothing changes but the mean.
func TestOneScoreMoreChangesLittle(t *testing.T) {
	table := draw(rand.New(rand.NewPCG(3, 4)), 20, 3, 3)
	before, err := Analyse(table, Options{})
	if err != nil {
		t.Fatal(err)
	}
	table.Athletes = append(table.Athletes, "one more")
	table.Value = append(table.Value, math.NaN(), 101, math.NaN())
	after, err := Analyse(table, Options{})
	if err != nil {
		t.Fatal(err)
	}
	numtest.Close(t, "TE", after.TypicalError.Value, before.TypicalError.Value, 0.005)
	numtest.Close(t, "df", after.DF, before.DF, 0.01)
	numtest.Close(t, "TE upper", after.TypicalError.Upper, before.TypicalError.Upper, 0.02) // profile beside chi-square
	numtest.Close(t, "ICC(A,1)", after.ICC[2].Value.Value, before.ICC[2].Value.Value, 0.02)
	numtest.Close(t, "ICC(A,1) lower", after.ICC[2].Value.Lower, before.ICC[2].Value.Lower, 0.05)
	numtest.Close(t, "true SD upper", after.Worthwhile.Upper, before.Worthwhile.Upper, 0.2)
}

// Leaving athletes out by refits against Analyse of each of the smaller tables.
func TestInfluenceOfEveryScore(t *testing.T) {
	table := draw(rand.New(rand.NewPCG(3, 5)), 12, 3, 2)
	for _, c := range []int{1, 5, 9, 22} {
		table.Value[c] = math.NaN()
	}
	table.Value[30] += 9
	r, err := Analyse(table, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var far float64
	var want Influence
	for i := range table.Athletes {
		rest := slices.Delete(indices(12), i, i+1)
		table.Trials = onePerScore(table.Value)
		s, err := Analyse(table.Rows(rest), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if d := math.Abs(s.TypicalError.Value - r.TypicalError.Value); d > far {
			far, want.TypicalErrorAthlete, want.TypicalErrorWithout = d, table.Athletes[i], s.TypicalError.Value
		}
	}
	if r.Influence.TypicalErrorAthlete != want.TypicalErrorAthlete ||
		want.TypicalErrorAthlete != table.Athletes[10] || r.Influence.ICCAthlete == "" {
		t.Errorf("influence %+v, want %+v", r.Influence, want)
	}
	numtest.Close(t, "TE without", r.Influence.TypicalErrorWithout, want.TypicalErrorWithout, 1e-9)
}

func indices(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// Where profile limits would take too long, chi-square takes their place.
func TestLimitsWithoutProfile(t *testing.T) {
	table := draw(rand.New(rand.NewPCG(3, 6)), 200, 3, 3)
	for c := 0; c < len(table.Value); c += 7 {
		table.Value[c] = math.NaN()
	}
	profile, err := fitEvery(table, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	plain, err := fitTwo(table, 0.95, "none")
	if err != nil {
		t.Fatal(err)
	}
	for _, pair := range [][2]func() estimate.Estimate{
		{func() estimate.Estimate { e, _ := profile.typicalError(); return e }, func() estimate.Estimate {
			e,
				_ := plain.typicalError()
			return e
		}},
		{profile.trueSD, plain.trueSD},
	} {
		want, got := pair[0](), pair[1]()
		if got.Kind != estimate.ChiSquareDF || want.Kind == estimate.ChiSquareDF {
			t.Errorf("kinds %q and %q", got.Kind, want.Kind)
		}
		numtest.Close(t, "value", got.Value, want.Value, 1e-9)
		numtest.Close(t, "lower", got.Lower, want.Lower, 0.01)
		numtest.Close(t, "upper", got.Upper, want.Upper, 0.01)
	}
}
