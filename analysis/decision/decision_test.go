package decision_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"noisefloor/analysis/cell"
	"noisefloor/analysis/decision"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/varcomp"
	"noisefloor/internal/numtest"
)

// By hand, from the formulas of Brennan (2001), chapter 4, for persons by
// occasions with trials within: variances 100, 20, 30, two sessions of three
// trials: TE² = 20/2 + 30/6 = 15, reliability 100/115.
func TestByHand(t *testing.T) {
	c := varcomp.Components{Athlete: 100, AthleteSession: 20, Trial: 30}
	rows, err := decision.Study(c, decision.Options{Sessions: 3, Trials: 4, Setup: 10})
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 12 {
		t.Fatalf("%d designs", len(rows))
	}
	for _, tt := range []struct {
		sessions, trials    int
		square, reliability float64
		cost                float64
	}{
		{1, 1, 50, 100.0 / 150, 11},
		{1, 3, 30, 100.0 / 130, 13},
		{2, 3, 15, 100.0 / 115, 26},
		{3, 4, 20.0/3 + 30.0/12, 100 / (100 + 20.0/3 + 2.5), 42},
	} {
		r := rows[(tt.sessions-1)*4+tt.trials-1]
		if r.Design != (decision.Design{Sessions: tt.sessions, Trials: tt.trials}) {
			t.Fatalf("row is of %+v, want %d by %d", r.Design, tt.sessions, tt.trials)
		}
		numtest.Close(t, "TE", r.TypicalError.Value, math.Sqrt(tt.square), 1e-14)
		numtest.Close(t, "reliability", r.Reliability.Value, tt.reliability, 1e-14)
		// Known components: the normal quantile.
		numtest.Close(t, "detectable", r.Detectable, 1.959963984540054*math.Sqrt(2*tt.square), 1e-12)
		numtest.Close(t, "cost", r.Cost, tt.cost, 0)
		if !math.IsInf(r.DF, 1) || r.TypicalError.HasInterval() || r.Reliability.HasInterval() ||
			r.Reliability.Kind != estimate.Known {
			t.Errorf("known components: %+v", r)
		}
	}
}

// Spearman–Brown: with trials of one session each, s sessions of a test of
// reliability R1 have s R1/(1+(s-1)R1).
func TestSpearmanBrown(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		v := rapid.Float64Range(0.01, 100)
		c := varcomp.Components{Athlete: v.Draw(rt, "a"), AthleteSession: v.Draw(rt, "as"), Trial: v.Draw(rt, "e")}
		rows, err := decision.Study(c, decision.Options{Sessions: 6, Trials: 3})
		if err != nil {
			rt.Fatal(err)
		}
		for s := 2; s <= 6; s++ {
			for trials := 1; trials <= 3; trials++ {
				one, many := rows[trials-1], rows[(s-1)*3+trials-1]
				r1, k := one.Reliability.Value, float64(s)
				numtest.Close(rt, "Spearman-Brown", many.Reliability.Value, k*r1/(1+(k-1)*r1), 1e-12)
				numtest.Close(rt, "TE", many.TypicalError.Value, one.TypicalError.Value/math.Sqrt(k), 1e-12)
			}
		}
	})
}

// draw makes a complete study.
func draw(seed uint64, athletes, sessions, trials int, a, as, e float64) cell.Values {
	rng := rand.New(rand.NewPCG(seed, 3))
	d := cell.Values{Athletes: athletes, Sessions: sessions}
	for i := range athletes {
		level := a * rng.NormFloat64()
		for j := range sessions {
			day := level + as*rng.NormFloat64()
			for range trials {
				d.Athlete = append(d.Athlete, int32(i))
				d.Session = append(d.Session, int32(j))
				d.Value = append(d.Value, day+e*rng.NormFloat64())
			}
		}
	}
	return d
}

func components(t testing.TB, d cell.Values, o varcomp.Options) varcomp.Components {
	t.Helper()
	o.Limits = varcomp.NoLimits
	r, err := varcomp.Fit(d.Grid(), o)
	if err != nil {
		t.Fatal(err)
	}
	return r.Components()
}

// For the design of a complete study the intervals are the exact ones of its
// analysis of variance (McGraw & Wong 1996, ICC(C,k); chi-square for MSE): here
// worked from the printed mean squares of Shrout & Fleiss (1979), 6 targets by
// 4 judges, ICC(3,4) = .91, with limits recomputed with 40-digit arithmetic.
func TestShroutFleiss(t *testing.T) {
	d := cell.Values{Athletes: 6, Sessions: 4}
	for i, row := range [][]float64{{9, 2, 5, 8}, {6, 1, 3, 2}, {8, 4, 6, 8}, {7, 1, 2, 6}, {10, 5, 6, 9}, {6, 2, 4,
		7}} {
		for j, v := range row {
			d.Athlete, d.Session, d.Value = append(d.Athlete, int32(i)), append(d.Session, int32(j)), append(d.Value, v)
		}
	}
	rows, err := decision.Study(components(t, d, varcomp.Options{}), decision.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 4 {
		t.Fatalf("%d designs of one trial", len(rows))
	}
	one, four := rows[0], rows[3]
	numtest.Close(t, "ICC(3,1)", one.Reliability.Value, 920.0/1287, 1e-10)
	numtest.Close(t, "ICC(3,4)", four.Reliability.Value, 3680.0/4047, 1e-10)
	numtest.Close(t, "ICC(3,4), lower", four.Reliability.Lower, 0.6756747138163045, 1e-9)
	numtest.Close(t, "ICC(3,4), upper", four.Reliability.Upper, 0.9858916781690623, 1e-9)
	mse := 367.0 / 360
	numtest.Close(t, "typical error", one.TypicalError.Value, math.Sqrt(mse), 1e-10)
	numtest.Close(t, "its df", one.DF, 15, 1e-9)
	numtest.Close(t, "its upper limit", one.TypicalError.Upper, math.Sqrt(mse*15/6.262137795043253),
		1e-9) // χ²(.025, 15): printed tables 6.262
	numtest.Close(t, "detectable", one.Detectable, 2.131449545559323*math.Sqrt(2*mse),
		1e-9) // t(.975, 15): printed tables 2.131
}

// Nested complete study, its own design: df of the mean square of the cells.
func TestOwnDesign(t *testing.T) {
	c := components(t, draw(4, 15, 3, 2, 20, 8, 10), varcomp.Options{})
	rows, err := decision.Study(c, decision.Options{Sessions: 3, Trials: 2, Level: 0.9})
	if err != nil {
		t.Fatal(err)
	}
	own := rows[5]
	numtest.Close(t, "df", own.DF, 28, 1e-9)
	te := own.TypicalError
	numtest.Close(t, "lower", te.Lower, te.Value*math.Sqrt(28/dist.ChiSquareQuantile(0.95, 28)), 1e-12)
	numtest.Close(t, "upper", te.Upper, te.Value*math.Sqrt(28/dist.ChiSquareQuantile(0.05, 28)), 1e-12)
	f := (c.Athlete + te.Value*te.Value) / (te.Value * te.Value)
	numtest.Close(t, "reliability, lower", own.Reliability.Lower, 1-dist.FQuantile(0.95, 14, 28)/f, 1e-9)
	numtest.Close(t, "reliability, upper", own.Reliability.Upper, 1-dist.FQuantile(0.05, 14, 28)/f, 1e-9)
	numtest.Close(t, "detectable", own.Detectable, dist.TQuantile(0.95, 28)*math.Sqrt2*te.Value, 1e-12)
	se, df := change(c, own.Design, own.Design)
	numtest.Close(t, "SE of a change", se, math.Sqrt2*te.Value, 1e-12)
	numtest.Close(t, "its df", df, own.DF, 1e-12)
}

// More sessions or trials never make a score worse.
func TestMoreIsBetter(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		v := rapid.Float64Range(0, 100)
		c := varcomp.Components{Athlete: v.Draw(rt, "a"), AthleteSession: v.Draw(rt, "as"), Trial: v.Draw(rt, "e")}
		rows, err := decision.Study(c, decision.Options{Sessions: 4, Trials: 5})
		if err != nil {
			rt.Fatal(err)
		}
		for i, r := range rows {
			for j, q := range rows {
				if q.Sessions < r.Sessions || q.Trials < r.Trials {
					continue
				}
				if q.TypicalError.Value > r.TypicalError.Value*(1+1e-12) ||
					q.Reliability.Value < r.Reliability.Value-1e-12 {
					rt.Errorf("row %d %+v is worse than row %d %+v", j, q, i, r)
				}
			}
		}
	})
}

func TestCheapest(t *testing.T) {
	// TE²: s=1: 20+30/t; s=2: 10+15/t; s=3: 6.67+10/t; s=4: 5+7.5/t.
	c := varcomp.Components{Athlete: 100, AthleteSession: 20, Trial: 30}
	one := varcomp.Components{Athlete: 100, AthleteSession: math.NaN(), Trial: 30, Merged: varcomp.WithTrial}
	for _, tt := range []struct {
		name   string
		c      varcomp.Components
		target decision.Target
		o      decision.Options
		want   decision.Design // zero: none
		never  bool
		needed int
		limit  float64
	}{
		{"one trial does", c, decision.Target{Goal: decision.Reliability, Value: 0.6}, decision.Options{},
			decision.Design{Sessions: 1, Trials: 1}, false, 0, 100.0 / 105},
		{"more trials before more sessions", c, decision.Target{Goal: decision.TypicalError, Value: 5.1},
			decision.Options{}, decision.Design{Sessions: 1, Trials: 5}, false, 0, math.Sqrt(5)},
		{"a second session", c, decision.Target{Goal: decision.TypicalError, Value: 4}, decision.Options{},
			decision.Design{Sessions: 2, Trials: 3}, false, 0, math.Sqrt(5)},
		{"sessions are cheap", c, decision.Target{Goal: decision.TypicalError, Value: 4},
			decision.Options{Setup: 0.5}, decision.Design{Sessions: 4, Trials: 1}, false, 0, math.Sqrt(5)},
		{"a tie goes to fewer sessions", c, decision.Target{Goal: decision.TypicalError, Value: 4},
			decision.Options{Setup: 1}, decision.Design{Sessions: 2, Trials: 3}, false, 0, math.Sqrt(5)},
		{"met exactly", varcomp.Components{Athlete: 4, AthleteSession: 2, Trial: 2},
			decision.Target{Goal: decision.TypicalError, Value: 2}, decision.Options{}, decision.Design{Sessions: 1,
				Trials: 1}, false, 0, math.Sqrt(0.5)},
		{"reliability met exactly", varcomp.Components{Athlete: 4, AthleteSession: 2, Trial: 2},
			decision.Target{Goal: decision.Reliability, Value: 0.5}, decision.Options{}, decision.Design{Sessions: 1,
				Trials: 1}, false, 0, 4 / 4.5},
		{"sessions are dear", c, decision.Target{Goal: decision.TypicalError, Value: 4}, decision.Options{Setup: 5},
			decision.Design{Sessions: 2, Trials: 3}, false, 0, math.Sqrt(5)},
		{"never", c, decision.Target{Goal: decision.TypicalError, Value: 3}, decision.Options{Sessions: 2},
			decision.Design{}, true, 0, math.Sqrt(10)},
		{"never in one session", c, decision.Target{Goal: decision.Reliability, Value: 0.9},
			decision.Options{Sessions: 1}, decision.Design{}, true, 0, 100.0 / 120},
		{"more trials than allowed", c, decision.Target{Goal: decision.TypicalError, Value: 3.2},
			decision.Options{Sessions: 2}, decision.Design{}, false, 63, math.Sqrt(10)},
		{"only the limit itself", varcomp.Components{Athlete: 1, AthleteSession: 4, Trial: 1},
			decision.Target{Goal: decision.TypicalError, Value: 2}, decision.Options{Sessions: 1}, decision.Design{},
			true, 0, 2},
		{"detectable", c, decision.Target{Goal: decision.Detectable,
			Value: 1.9599639845400545 * math.Sqrt(2*16) * 1.0001}, decision.Options{}, decision.Design{Sessions: 2,
			Trials: 3}, false, 0, 1.959963984540054 * math.Sqrt(10)},
		{"one score per session", one, decision.Target{Goal: decision.TypicalError, Value: 4}, decision.Options{},
			decision.Design{Sessions: 2, Trials: 1}, false, 0, math.NaN()},
		{"one score per session, too few", one, decision.Target{Goal: decision.TypicalError, Value: 1},
			decision.Options{}, decision.Design{}, false, 0, math.NaN()},
	} {
		a, err := decision.Cheapest(tt.c, tt.target, tt.o)
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		if a.Found != (tt.want != decision.Design{}) || a.Row.Design != tt.want || a.Never != tt.never ||
			a.Needed != tt.needed {
			t.Errorf("%s: found %v %+v, never %v, needed %d; want %+v, %v, %d", tt.name, a.Found, a.Row.Design,
				a.Never, a.Needed, tt.want, tt.never, tt.needed)
		}
		numtest.Close(t, tt.name+": limit", a.Limit, tt.limit, 1e-12)
	}
}

// The number of trials needed is the smallest: TE² = 1 + 100/n with n trials.
func TestFewestTrials(t *testing.T) {
	c := varcomp.Components{Athlete: 1, AthleteSession: 1, Trial: 100}
	for n := 7; n < 300; n++ {
		target := decision.Target{Goal: decision.TypicalError, Value: math.Sqrt(1 + 100/(float64(n)-0.5))}
		a, err := decision.Cheapest(c, target, decision.Options{Sessions: 1})
		if err != nil || a.Found || a.Never || a.Needed != n {
			t.Errorf("needed %d, want %d (%v)", a.Needed, n, err)
		}
	}
}

// What is called cheapest is: every other design that meets the target costs
// as much or more.
func TestCheapestIsCheapest(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		v := rapid.Float64Range(0.1, 100)
		c := varcomp.Components{Athlete: v.Draw(rt, "a"), AthleteSession: v.Draw(rt, "as"), Trial: v.Draw(rt, "e")}
		for i := range 3 {
			c.Covariance[i][i] = v.Draw(rt, "var")
		}
		o := decision.Options{Sessions: 5, Trials: 8, Setup: rapid.SampledFrom([]float64{0, 0.5, 3}).Draw(rt, "setup")}
		target := decision.Target{Goal: decision.TypicalError, Value: rapid.Float64Range(1, 12).Draw(rt, "target")}
		a, err := decision.Cheapest(c, target, o)
		if err != nil {
			rt.Fatal(err)
		}
		rows, err := decision.Study(c, o)
		if err != nil {
			rt.Fatal(err)
		}
		found := false
		for _, r := range rows {
			if r.TypicalError.Value > target.Value {
				continue
			}
			found = true
			cheaper := r.Cost < a.Row.Cost
			if o.Setup == 0 {
				cheaper = r.Sessions < a.Row.Sessions || r.Sessions == a.Row.Sessions && r.Trials < a.Row.Trials
			}
			if cheaper {
				rt.Errorf("%+v is cheaper than %+v", r.Design, a.Row.Design)
			}
		}
		te := func(trials int) float64 {
			return math.Sqrt((c.AthleteSession + c.Trial/float64(trials)) / float64(o.Sessions))
		}
		if a.Needed > 0 && (te(a.Needed) > target.Value*(1+1e-12) || te(a.Needed-1) <= target.Value*(1-1e-12)) {
			rt.Errorf("%d trials are not the fewest for %g", a.Needed, target.Value)
		}
		if !a.Found && !a.Never && a.Needed == 0 {
			rt.Errorf("no answer for %g", target.Value)
		}
		if found != a.Found || (a.Never && a.Limit <= target.Value) {
			rt.Errorf("found %v, want %v; never %v with limit %g for %g", a.Found, found, a.Never, a.Limit,
				target.Value)
		}
	})
}

func TestBoundaryComponents(t *testing.T) {
	for _, tt := range []struct {
		name        string
		c           varcomp.Components
		te, r       float64
		teSays, say estimate.Kind
	}{
		{"no error", varcomp.Components{Athlete: 4}, 0, 1, estimate.NoError, estimate.NoError},
		{"no athletes", varcomp.Components{Trial: 4}, 2, 0, estimate.Known, estimate.Known},
		{"nothing", varcomp.Components{}, 0, math.NaN(), estimate.NoError, estimate.NoVariation},
	} {
		rows, err := decision.Study(tt.c, decision.Options{Sessions: 1, Trials: 1})
		if err != nil {
			t.Fatal(err)
		}
		r := rows[0]
		numtest.Close(t, tt.name, r.TypicalError.Value, tt.te, 0)
		numtest.Close(t, tt.name, r.Reliability.Value, tt.r, 0)
		if r.TypicalError.Kind != tt.teSays || r.Reliability.Kind != tt.say || math.IsNaN(r.Detectable) {
			t.Errorf("%s: %+v", tt.name, r)
		}
	}
	// Athletes all alike: the lower limit of the reliability is 0, not below.
	rows, err := decision.Study(varcomp.Components{Trial: 4, Covariance: [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0,
		1}}}, decision.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if r := rows[0].Reliability; r.Value != 0 || r.Lower != 0 || !(r.Upper > 0) {
		t.Errorf("athletes alike: %+v", r)
	}
}

func TestRefusals(t *testing.T) {
	good := varcomp.Components{Athlete: 1, AthleteSession: 1, Trial: 1}
	unknown := good
	unknown.Covariance[1][1] = math.NaN()
	target := decision.Target{Goal: decision.TypicalError, Value: 1}
	for _, tt := range []struct {
		name   string
		c      varcomp.Components
		target decision.Target
		o      decision.Options
		err    error
		says   string
	}{
		{"one session", varcomp.Components{Athlete: 1, AthleteSession: math.NaN(), Trial: 1,
			Merged: varcomp.WithAthlete}, target, decision.Options{}, decision.ErrComponents, "second day"},
		{"NaN", varcomp.Components{Athlete: 1, AthleteSession: math.NaN(), Trial: 1}, target, decision.Options{},
			decision.ErrComponents, "athlete×session NaN"},
		{"negative", varcomp.Components{Athlete: -1}, target, decision.Options{}, decision.ErrComponents, "athlete -1"},
		{"infinite", varcomp.Components{Trial: math.Inf(1)}, target, decision.Options{}, decision.ErrComponents,
			"trial +Inf"},
		{"unknown precision", unknown, target, decision.Options{}, decision.ErrComponents, "hardly"},
		{"level", good, target, decision.Options{Level: 2}, decision.ErrDesign, "level 2"},
		{"sessions", good, target, decision.Options{Sessions: -1}, decision.ErrDesign, "-1 sessions"},
		{"trials", good, target, decision.Options{Trials: -2}, decision.ErrDesign, "-2 trials"},
		{"setup", good, target, decision.Options{Setup: math.NaN()}, decision.ErrDesign, "setup cost NaN"},
		{"goal", good, decision.Target{Goal: "speed", Value: 1}, decision.Options{}, decision.ErrTarget, "speed"},
		{"value", good, decision.Target{Goal: decision.TypicalError}, decision.Options{}, decision.ErrTarget,
			"typical error of 0"},
		{"reliability 1", good, decision.Target{Goal: decision.Reliability, Value: 1}, decision.Options{},
			decision.ErrTarget, "reliability of 1"},
	} {
		_, err := decision.Cheapest(tt.c, tt.target, tt.o)
		if !errors.Is(err, tt.err) || !strings.Contains(fmt.Sprint(err), tt.says) {
			t.Errorf("%s: error %v, want %v with %q", tt.name, err, tt.err, tt.says)
		}
		if _, err := decision.Study(tt.c, tt.o); tt.err != decision.ErrTarget && !errors.Is(err, tt.err) {
			t.Errorf("%s: Study gives %v", tt.name, err)
		}
	}
}
