package season_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"noisefloor/analysis/season"
	"noisefloor/internal/numtest"
)

var missing = math.NaN()

func null(t *testing.T, p season.Plan) *season.Null {
	t.Helper()
	n, err := p.Null()
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// With looks at single sessions alone the factor is Dunnett's (1955), two-sided, with
// equal correlations 1/(1+b): by two-dimensional quadrature in R, testdata/oracle.R.
func TestSingleSessionsAreDunnetts(t *testing.T) {
	for _, tt := range []struct {
		b, planned int
		df, want   float64
	}{
		{1, 4, 7, 3.12264060}, {1, 8, 7, 3.47469611}, {1, 12, 7, 3.67132941},
		{1, 4, 19, 2.66284797}, {1, 8, 19, 2.91914443}, {1, 12, 19, 3.06120471},
		{1, 4, 39, 2.54553355}, {1, 8, 39, 2.77739072}, {1, 12, 39, 2.90523678},
		{2, 4, 7, 3.18621323}, {2, 8, 7, 3.57933173}, {2, 12, 7, 3.80159594},
		{2, 4, 19, 2.70384091}, {2, 8, 19, 2.98489892}, {2, 12, 19, 3.14253330},
		{2, 4, 39, 2.58034656}, {2, 8, 39, 2.83211930}, {2, 12, 39, 2.97233672},
		{3, 4, 7, 3.20786483}, {3, 8, 7, 3.61645498}, {3, 12, 7, 3.84880081},
		{3, 4, 19, 2.71733962}, {3, 8, 19, 3.00721565}, {3, 12, 19, 3.17065398},
		{3, 4, 39, 2.59154277}, {3, 8, 39, 2.85005859}, {3, 12, 39, 2.99462974},
	} {
		c := null(t, season.Plan{Baseline: tt.b, Planned: tt.planned, Widest: 1}).Limit(0.05, tt.df)
		if math.Abs(c-tt.want) > 0.012 { // 0.15 points of the rate
			t.Errorf("b %d, J %d, df %g: %.4f, want %.4f", tt.b, tt.planned, tt.df, c, tt.want)
		}
	}
	n := null(t, season.Plan{Baseline: 2, Planned: 8, Widest: 1})
	for x, want := range map[float64]float64{2: 3.164701e-01, 4: 5.500072e-03, 8: 1.296872e-06} {
		numtest.Close(t, "p", n.P(x, 19), want, 0.02)
	}
}

// The whole watch, every mean of the last w sessions, by R's mvtnorm::pmvt (quasi-Monte
// Carlo, error below 0.0002): how often a look lies past 3, testdata/oracle.R.
func TestNullAgainstQuadrature(t *testing.T) {
	for _, tt := range []struct {
		planned, b int
		df, want   float64
	}{
		{3, 1, 7, .0519}, {3, 1, 19, .0222}, {3, 2, 7, .0578}, {3, 2, 19, .0250}, {3, 3, 7, .0605}, {3, 3, 19, .0263},
		{4, 1, 7, .0641}, {4, 1, 19, .0284}, {4, 2, 7, .0733}, {4, 2, 19, .0331}, {4, 3, 7, .0778}, {4, 3, 19, .0355},
		{6, 1, 7, .0839}, {6, 1, 19, .0392}, {6, 2, 7, .0994}, {6, 2, 19, .0478}, {6, 3, 7, .1072}, {6, 3, 19, .0523},
	} {
		if p := null(t, season.Plan{Baseline: tt.b, Planned: tt.planned}).P(3, tt.df); math.Abs(p-tt.want) > 0.0015 {
			t.Errorf("J %d, b %d, df %g: %.4f, want %.4f", tt.planned, tt.b, tt.df, p, tt.want)
		}
	}
}

// The factors that the method was planned with, from a simulation of its own: baseline
// of two sessions, 19 df.
func TestFactors(t *testing.T) {
	for planned, want := range map[int]float64{4: 2.80, 8: 3.10, 12: 3.27} {
		if c := null(t, season.Plan{Baseline: 2, Planned: planned}).Limit(0.05, 19); math.Abs(c-want) > 0.015 {
			t.Errorf("J %d: %.3f, want %.2f", planned, c, want)
		}
	}
}

// One session of a season of one is one change: the factor is Student's t, qt(.975, 11).
func TestOneSession(t *testing.T) {
	n := null(t, season.Plan{Baseline: 1, Planned: 1})
	numtest.CloseAbs(t, "c", n.Limit(0.05, 11), 2.2009851600830, 0.012)
	numtest.CloseAbs(t, "p", n.P(-2.2009851600830, 11), 0.05, 0.0015)
	if n.P(0, 11) != 1 || n.P(math.Inf(-1), 11) != 0 {
		t.Error("no change, or an endless one")
	}
}

// Seasons of an independent simulation, nobody changes, each with a typical error of
// its own: 5 % of them sound.
func TestFalseAlarmsOverTheSeason(t *testing.T) {
	const seasons = 8000
	for _, tt := range []struct {
		b, planned int
		df         float64
	}{{1, 12, 7}, {2, 8, 19}, {3, 4, 39}, {2, 12, 7}} {
		p := season.Plan{Baseline: tt.b, Planned: tt.planned}
		c := null(t, p).Limit(0.05, tt.df)
		rng := rand.New(rand.NewPCG(77, uint64(tt.b)))
		alarms := 0
		for range seasons {
			alarm, far := p.Looks(normals(rng, tt.planned), mean(normals(rng, tt.b)), typical(rng, int(tt.df)), c)
			if alarm != nil {
				alarms++
			}
			if (alarm != nil) != (math.Abs(far.Ratio) > c) {
				t.Fatal("the farthest look and the alarm disagree")
			}
		}
		if rate := float64(alarms) / seasons; math.Abs(rate-0.05) > 0.0085 { // 3.5 standard errors
			t.Errorf("%+v: %.2f %%", tt, 100*rate)
		}
	}
}

func normals(rng *rand.Rand, n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = rng.NormFloat64()
	}
	return x
}

func mean(x []float64) (m float64) {
	for _, v := range x {
		m += v / float64(len(x))
	}
	return m
}

// typical is a typical error on df degrees of freedom, the true one being 1.
func typical(rng *rand.Rand, df int) float64 {
	ss := 0.0
	for _, v := range normals(rng, df) {
		ss += v * v
	}
	return math.Sqrt(ss / float64(df))
}

// By hand: baseline 10 of four sessions, TE 2, sessions 11 15 - 16. A look at w sessions
// has the limit c 2 √(1/w + 1/4): 2.236c, 1.732c, 1.528c for w 1, 2, 3. Ratios: session 1
// 1/2.236 = 0.447; session 2 5/2.236 = 2.236, (11+15)/2 = 13: 3/1.732 = 1.732; session 4
// 6/2.236 = 2.683, (15+16)/2 = 15.5: 5.5/1.732 = 3.175, 14: 4/1.528 = 2.619.
func TestLooksByHand(t *testing.T) {
	p := season.Plan{Baseline: 4, Planned: 12}
	y := []float64{11, 15, missing, 16}
	for c, want := range map[float64]season.Look{
		2.0: {At: 1, From: 1, W: 1, Mean: 5, Ratio: math.Sqrt(5)},
		3.0: {At: 3, From: 1, W: 2, Mean: 5.5, Ratio: 5.5 / math.Sqrt(3)},
	} {
		alarm, far := p.Looks(y, 10, 2, c)
		if alarm == nil || *alarm != want {
			t.Errorf("c %g: %+v, want %+v", c, alarm, want)
		}
		if far == nil || far.At != 3 || far.W != 2 {
			t.Errorf("farthest %+v", far)
		}
	}
	// 14, 13.5, 14: 3.833/1.528 = 2.510 for the three, 3.75/1.732 = 2.165 for the last two.
	if _, far := p.Looks([]float64{14, 13.5, 14}, 10, 2, 3); far.W != 3 || far.From != 0 {
		t.Errorf("farthest %+v", far)
	}
	if alarm, _ := p.Looks(y, 10, 2, 3.2); alarm != nil {
		t.Errorf("an alarm at 3.2: %+v", alarm)
	}
	if alarm, far := p.Looks([]float64{missing, missing}, 10, 2, 3); alarm != nil || far != nil {
		t.Error("looks without a session")
	}
	if alarm, _ := (season.Plan{Baseline: 4, Planned: 2}).Looks(y, 10, 2, 3); alarm != nil {
		t.Error("a look after the season")
	}
	if alarm, _ := p.Looks([]float64{10, 9}, 10, 0, 3); alarm == nil || alarm.At != 1 || !math.IsInf(alarm.Ratio, -1) {
		t.Errorf("without any error every change counts: %+v", alarm)
	}
	numtest.Close(t, "limit", p.Limit(3, 2, 2), 3*math.Sqrt(3), 1e-14)
}

// Another origin, unit or sign of the scores changes no alarm.
func TestLooksOfAnotherUnit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := rapid.SliceOfN(rapid.Float64Range(-5, 5), 1, 14).Draw(t, "sessions")
		origin, unit := rapid.Float64Range(-50, 50).Draw(t, "origin"), rapid.Float64Range(0.1, 9).Draw(t, "unit")
		if rapid.Bool().Draw(t, "sign") {
			unit *= -1
		}
		z := make([]float64, len(y))
		for i := range y {
			z[i] = origin + unit*y[i]
		}
		p := season.Plan{Baseline: 2, Planned: 12}
		_, a := p.Looks(y, 0.5, 1, 3)
		_, b := p.Looks(z, origin+unit*0.5, math.Abs(unit), 3)
		if math.Abs(math.Abs(a.Ratio)-math.Abs(b.Ratio)) > 1e-9*(1+math.Abs(a.Ratio)) {
			t.Fatalf("%+v, %+v", a, b)
		}
	})
}

// More planned sessions, or fewer degrees of freedom, ask for more.
func TestLimitGrows(t *testing.T) {
	last := 0.0
	for _, planned := range []int{1, 2, 4, 8, 12, 24} {
		c := null(t, season.Plan{Baseline: 2, Planned: planned}).Limit(0.05, 19)
		if !(c > last) {
			t.Errorf("J %d: %g after %g", planned, c, last)
		}
		last = c
	}
	n := null(t, season.Plan{Baseline: 2, Planned: 8})
	if !(n.Limit(0.05, 7) > n.Limit(0.05, 19)) || !(n.Limit(0.01, 19) > n.Limit(0.05, 19)) {
		t.Error("the limit does not grow")
	}
}

// No change at all has the power of a false alarm; one session of a season of one that
// of Student's test: R 4.2.2, power.t.test has no one-change form, so by the noncentral
// t, 1 - pt(qt(.975, 11), 11, 3/sqrt(2)) + pt(-qt(.975, 11), 11, 3/sqrt(2)), is 0.4902.
func TestPower(t *testing.T) {
	n := null(t, season.Plan{Baseline: 2, Planned: 8})
	c := n.Limit(0.05, 19)
	if p := n.Power(season.Step(0, 8), c, 19); math.Abs(p-0.05) > 0.01 {
		t.Errorf("power without a change: %g", p)
	}
	if a, b := n.Power(season.Step(1.5, 8), c, 19), n.Power(season.Step(-1.5, 8), c, 19); math.Abs(a-b) > 0.03 || a < 0.2 {
		t.Errorf("power up %g, down %g", a, b)
	}
	one := null(t, season.Plan{Baseline: 1, Planned: 1})
	if p := one.Power([]float64{3}, one.Limit(0.05, 11), 11); math.Abs(p-0.4902) > 0.03 {
		t.Errorf("one session: %g", p)
	}
}

func TestPlansRefused(t *testing.T) {
	for _, p := range []season.Plan{{}, {Baseline: 1}, {Planned: 3}, {Baseline: 1, Planned: season.Longest + 1},
		{Baseline: 1, Planned: 2, Widest: -1}} {
		if _, err := p.Null(); !errors.Is(err, season.ErrPlan) {
			t.Errorf("%+v: %v", p, err)
		}
	}
}
