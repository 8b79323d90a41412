package reliability_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/cell"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/analysis/varcomp"
	"noisefloor/internal/numtest"
	"noisefloor/internal/published"
)

// nested reads a table of attempts.
func nested(t testing.TB, name string) cell.Attempts {
	t.Helper()
	d := published.Columns(t, "varcomp/"+name+".csv")
	var a cell.Attempts
	for i, v := range d["y"] {
		add(&a, int(d["athlete"][i])-1, int(d["session"][i])-1, v)
	}
	return a
}

// add adds an attempt, with its athlete and session if they are new.
func add(a *cell.Attempts, athlete, session int, v float64) {
	for len(a.Athletes) <= athlete {
		a.Athletes = append(a.Athletes, "A"+strconv.Itoa(len(a.Athletes)+1))
	}
	for len(a.Sessions) <= session {
		a.Sessions = append(a.Sessions, strconv.Itoa(len(a.Sessions)+1))
	}
	a.Athlete, a.Session = append(a.Athlete, int32(athlete)), append(a.Session, int32(session))
	a.Trial, a.Value = append(a.Trial, int32(len(a.Trial))), append(a.Value, v)
}

// attempts draws n athletes by k sessions by m trials with the SDs given.
func attempts(seed uint64, n, k, m int, sa, sas, se float64) cell.Attempts {
	rng := rand.New(rand.NewPCG(seed, 77))
	var a cell.Attempts
	for i := range n {
		level := 100 + sa*rng.NormFloat64()
		for j := range k {
			day := level + sas*rng.NormFloat64()
			for range m {
				add(&a, i, j, day+se*rng.NormFloat64())
			}
		}
	}
	return a
}

// withComponents analyses the means of the attempts.
func withComponents(t testing.TB, a cell.Attempts, o reliability.Options) reliability.Result {
	t.Helper()
	table, err := score.Summarise(a.Table(cell.Options{}), score.Mean, score.Higher)
	if err != nil {
		t.Fatal(err)
	}
	o.Attempts = a.Table(cell.Options{Log: o.Scale == score.Log})
	return analyse(t, table, o)
}

// Exact variances of a made-up table of attempts with gaps (40 digits, see the
// README beside it), and what follows from them by hand.
func TestComponentsAreExact(t *testing.T) {
	exact := exactVariances(t, "nested_uneven")
	va, vas, ve := exact["athlete"], exact["session"], exact["trial"]
	r := withComponents(t, nested(t, "nested_uneven"),
		reliability.Options{Worthwhile: reliability.Worthwhile{Basis: reliability.Fixed, Value: 20}})
	c := r.Components
	numtest.Close(t, "athlete", c.Athlete.Value, va, 1e-9)
	numtest.Close(t, "day", c.AthleteSession.Value, vas, 1e-9)
	numtest.Close(t, "trial", c.Trial.Value, ve, 1e-9)
	if !c.Athlete.SD.HasInterval() || len(r.Decision) != 4*6 {
		t.Fatalf("components %+v, %d designs", c, len(r.Decision))
	}
	for i, row := range r.Decision {
		s, n := 1+i/6, 1+i%6
		if row.Sessions != s || row.Trials != n {
			t.Fatalf("design %d is %+v", i, row.Design)
		}
		te := vas/float64(s) + ve/float64(s*n)
		numtest.Close(t, "TE", row.TypicalError.Value, math.Sqrt(te), 1e-9)
		numtest.Close(t, "reliability", row.Reliability.Value, va/(va+te), 1e-9)
	}
	// The cheapest design is the first that sees a change of 20 in 4 of 5 retests.
	first := slices.IndexFunc(r.Decision, func(d decisionRow) bool { return d.Seen <= 20 })
	if first < 0 || !r.Cheapest.Found || r.Cheapest.Row.Design != r.Decision[first].Design {
		t.Fatalf("cheapest %+v, first %d", r.Cheapest, first)
	}
	if r.Design != reliability.DesignFound {
		t.Errorf("design %q", r.Design)
	}
}

// On a complete table of t trials the typical error of a session score is
// that of the components: MSE of the means = σ²as + σ²e/t.
func TestComponentsOfACompleteStudy(t *testing.T) {
	a := attempts(1, 20, 3, 7, 10, 4, 3)
	r := withComponents(t, a, reliability.Options{})
	c := r.Components
	numtest.Close(t, "TE", math.Sqrt(c.AthleteSession.Value+c.Trial.Value/7), r.TypicalError.Value, 1e-9)
	numtest.Close(t, "true SD", c.Athlete.SD.Value, r.TrueSD, 1e-9)
	if len(r.Decision) != 4*7 { // as many trials as there were
		t.Fatalf("%d designs", len(r.Decision))
	}
	numtest.Close(t, "TE of the design of the study", r.Decision[6].TypicalError.Upper, r.TypicalError.Upper, 1e-8)
	numtest.Close(t, "its detectable change", r.Decision[6].Detectable, r.DetectableChange.Value, 1e-8)
	three := r.Decision[2*7+6]
	numtest.Close(t, "reliability of the study", three.Reliability.Value, r.ICC[5].Value.Value, 1e-9)
	numtest.Close(t, "reliability of the study, lower", three.Reliability.Lower, r.ICC[5].Value.Lower, 1e-8)
	m := reliability.Noise(r, "m", "W", score.Mean, "")
	if m.Components == nil || m.Components.AthleteSession != c.AthleteSession.Value ||
		m.Components.Covariance[1][1] <= 0 {
		t.Errorf("noise %+v", m.Components)
	}
	if best := reliability.Noise(r, "m", "W", score.Best, ""); best.Components != nil {
		t.Error("components of means in the noise of best attempts")
	}
	// Logarithms of the attempts.
	logs := withComponents(t, a, reliability.Options{Scale: score.Log})
	numtest.Close(t, "log day", logs.Components.AthleteSession.SD.Value, c.AthleteSession.SD.Value/100, 0.1)
	numtest.Close(t, "log trial", logs.Components.Trial.SD.Value, c.Trial.SD.Value/100, 0.1)
}

func TestDesignVerdicts(t *testing.T) {
	fixed := func(v float64) reliability.Worthwhile {
		return reliability.Worthwhile{Basis: reliability.Fixed, Value: v}
	}
	days, tries := attempts(2, 30, 3, 3, 10, 14, 1), attempts(3, 200, 3, 4, 10, 4, 12)
	zero := attempts(3, 30, 2, 3, 10, 0.5, 9)
	single := attempts(4, 12, 2, 1, 10, 3, 2)
	for _, tt := range []struct {
		name string
		a    cell.Attempts
		o    reliability.Options
		want reliability.DesignVerdict
	}{
		{"never", days, reliability.Options{Worthwhile: fixed(5)}, reliability.DesignNever},
		{"never, in percent", days, reliability.Options{Worthwhile: fixed(5), Scale: score.Log},
			reliability.DesignNever},
		{"many trials", tries, reliability.Options{Worthwhile: fixed(10)}, reliability.DesignMore},
		{"no day", zero, reliability.Options{Worthwhile: fixed(3)}, reliability.DesignUnknown},
		{"found", tries, reliability.Options{Worthwhile: fixed(30)}, reliability.DesignFound},
		{"one trial each", single, reliability.Options{Worthwhile: fixed(0.1)}, reliability.DesignOne},
		{"one trial is enough", single, reliability.Options{Worthwhile: fixed(50)}, reliability.DesignFound},
	} {
		r := withComponents(t, tt.a, tt.o)
		if r.Design != tt.want {
			t.Errorf("%s: %q, want %q (%+v)", tt.name, r.Design, tt.want, r.Cheapest)
		}
	}
	r := withComponents(t, single, reliability.Options{})
	if r.Components.Merged != varcomp.WithTrial || !has(r, reliability.DaysWithTrials) || reliability.Noise(r, "m",
		"", score.Mean, "").Components != nil {
		t.Errorf("components %+v, caveats %v", r.Components, r.Caveats)
	}
}

// The number in "never" is the day-to-day SD, and its consequence by hand:
// δ sqrt(2) SD/sqrt(4), δ 1.96 + 0.84 and a little more for the df.
func TestNeverIsRight(t *testing.T) {
	r := withComponents(t, attempts(2, 30, 3, 3, 10, 14, 1),
		reliability.Options{Worthwhile: reliability.Worthwhile{Basis: reliability.Fixed, Value: 5}})
	sd := r.Components.AthleteSession.SD.Value
	if c := r.Cheapest; !c.Never || c.Limit < 2.8*math.Sqrt2*sd/2 || c.Limit > 3*math.Sqrt2*sd/2 {
		t.Errorf("SD %g, %+v", sd, c)
	}
}

func TestComponentsThatAreZero(t *testing.T) {
	type part struct {
		name string
		a    cell.Attempts
		kind caveat.Kind
	}
	copied := attempts(5, 8, 2, 1, 5, 2, 0)
	same := cell.Attempts{}
	for i, v := range copied.Value {
		add(&same, int(copied.Athlete[i]), int(copied.Session[i]), v)
		add(&same, int(copied.Athlete[i]), int(copied.Session[i]), v)
	}
	var parallel cell.Attempts
	for i := range 8 {
		for j := range 2 {
			add(&parallel, i, j, float64(10*i+j))
			add(&parallel, i, j, float64(10*i+j))
		}
	}
	parts := []part{
		{"copied attempts", same, reliability.TrialsEqual},
		{"no error", parallel, reliability.NoErrorSeen},
	}
	// Days without a part of their own, athletes without one.
	for seed := uint64(0); len(parts) < 4; seed++ {
		days, athletes := attempts(seed, 8, 2, 4, 5, 0, 3), attempts(seed, 8, 2, 4, 0, 3, 1)
		if withComponents(t, days, reliability.Options{}).Components.AthleteSession.AtZero && len(parts) == 2 {
			parts = append(parts, part{"no days", days, reliability.NothingDayToDay})
		}
		if withComponents(t, athletes, reliability.Options{}).Components.Athlete.AtZero && len(parts) == 3 {
			parts = append(parts, part{"no athletes", athletes, reliability.NothingOfAthlete})
		}
	}
	for _, tt := range parts {
		if r := withComponents(t, tt.a, reliability.Options{}); !has(r, tt.kind) || len(r.Decision) == 0 {
			t.Errorf("%s: caveats %v, %d designs", tt.name, r.Caveats, len(r.Decision))
		}
	}
}

// What cannot be fitted is a caveat and takes nothing else with it.
func TestComponentsThatCannotBe(t *testing.T) {
	a := attempts(6, 8, 2, 3, 5, 2, 2)
	a.Value[4] = -1
	r := withComponents(t, a, reliability.Options{Scale: score.Log})
	if r.Components != nil || r.Decision != nil || !has(r, reliability.NoComponents) || !(r.TypicalError.Value > 0) {
		t.Errorf("components %+v, caveats %v", r.Components, r.Caveats)
	}
	holds(t, r, reliability.NoComponents, []string{"not-positive", "A1", "2"})
	a.Value[4] = math.NaN() // attempts are never NaN: a caller's mistake is said, not spread
	table, err := score.Summarise(attempts(6, 8, 2, 3, 5, 2, 2).Table(cell.Options{}), score.Mean, score.Higher)
	if err != nil {
		t.Fatal(err)
	}
	if r = analyse(t, table, reliability.Options{Attempts: a.Table(cell.Options{})}); r.Components != nil || !has(r,
		reliability.NoComponents) {
		t.Errorf("components %+v, caveats %v", r.Components, r.Caveats)
	}
	if r = analyse(t, table, reliability.Options{}); r.Components != nil || r.Cheapest != nil || has(r,
		reliability.NoComponents) || r.Design != reliability.DesignNone {
		t.Errorf("without attempts: %+v, %v", r.Components, r.Caveats)
	}
	if m := reliability.Noise(r, "m", "", score.Mean, ""); m.Components != nil {
		t.Error("noise with components of nothing")
	}
}

// Complete cases leave the others' attempts out, all scores use them.
func TestComponentsOfCompleteCases(t *testing.T) {
	a := attempts(7, 10, 3, 2, 5, 2, 2)
	cut := cell.Attempts{Athletes: a.Athletes, Sessions: a.Sessions}
	few := cell.Attempts{}
	for i, v := range a.Value {
		athlete, session := int(a.Athlete[i]), int(a.Session[i])
		if athlete >= 7 && session == 1 {
			continue
		}
		add(&cut, athlete, session, v)
		if athlete < 7 {
			add(&few, athlete, session, v)
		}
	}
	all := withComponents(t, cut, reliability.Options{})
	cases := withComponents(t, cut, reliability.Options{Missing: reliability.CompleteCases})
	alone := withComponents(t, few, reliability.Options{})
	numtest.Close(t, "day", cases.Components.AthleteSession.Value, alone.Components.AthleteSession.Value, 1e-12)
	numtest.Close(t, "athlete", cases.Components.Athlete.Value, alone.Components.Athlete.Value, 1e-12)
	if all.Components.N != 54 || cases.Components.N != 42 {
		t.Errorf("%d attempts of all, %d of complete cases", all.Components.N, cases.Components.N)
	}
}
