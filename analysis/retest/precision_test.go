package retest_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"noisefloor/analysis/cell"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/analysis/varcomp"
	"noisefloor/internal/numtest"
)

// byHand are components that are easy to reckon with.
func byHand() *varcomp.Components {
	return &varcomp.Components{Athlete: 100, AthleteSession: 4, Trial: 9,
		Covariance: [3][3]float64{{900, 0, 0}, {0, 2, -0.5}, {0, -0.5, 1.5}}}
}

// attempted is a test of three sessions with so many attempts behind each score
// of every athlete; the study had 3, and components by hand. TE fits them:
// sqrt(4 + 9/3).
func attempted(attempts []int32, value ...float64) retest.Test {
	x := test(math.Sqrt(7), 7, table(3, value...))
	x.Scores.Trials = slices.Repeat(attempts, len(value)/3)
	for i, v := range value {
		if math.IsNaN(v) {
			x.Scores.Trials[i] = 0
		}
	}
	x.Noise.Components = byHand()
	return x
}

// By hand: one attempt against three, a session each, is
//
//	SE² = 4·2 + 9 (1/3 + 1) = 20, Var = 2²·2 + 2·2·4/3·(-0.5) + (4/3)²·1.5 = 8, df = 2·20²/8 = 100,
//
// and six in a session against three and one in two sessions
//
//	SE² = 4·1.5 + 9 ((1/3 + 1)/4 + 1/6) = 10.5, Var = 1.5²·2 + 2·1.5·0.5·(-0.5) + 0.5²·1.5 = 4.125, df = 53.4545.
//
// Quantiles and tails from R 4.2.2, qt() and pt(): testdata/oracle.R.
func TestComponentsByHand(t *testing.T) {
	x := attempted([]int32{3, 0, 1}, 50, missing, 62)
	x.FollowUp, x.Worthwhile = [][]string{{"3"}}, ptr(5)
	r := judge(t, x)
	c := r.Changes[0]
	numtest.Close(t, "SE", c.SE, math.Sqrt(20), 1e-15)
	numtest.Close(t, "p", c.P, 0.008532606352049367, 1e-11)
	numtest.Close(t, "chance of a rise", c.Chance.Above, 0.93965799259861937, 1e-12)
	numtest.Close(t, "chance of a fall", c.Chance.Below, 0.00012380084733969513, 1e-10)
	numtest.Close(t, "df", c.DF, 100, 1e-13)
	numtest.Close(t, "detectable", c.Detectable, 1.9839715185235516*math.Sqrt(20), 1e-12)
	numtest.Close(t, "lower", c.Change.Lower, 12-c.Detectable, 1e-14)
	numtest.Close(t, "change / SE", c.Ratio, 12/math.Sqrt(20), 1e-14)
	numtest.Close(t, "band", r.Runs[0].High-50, c.Detectable, 1e-13)
	if !c.FromComponents || c.Change.Kind != estimate.StudentT || c.Change.SE != c.SE || c.Change.DF != c.DF ||
		c.Narrow.Level != 0.8 {
		t.Errorf("from components %t, %+v, %+v", c.FromComponents, c.Change, c.Narrow)
	}
	want := []string{"jump: through-components 1 1 3"}
	if diff := cmp.Diff(want, said(r)); diff != "" {
		t.Errorf("warnings (-want +got):\n%s", diff)
	}

	x = attempted([]int32{3, 1, 6}, 50, 52, 62)
	x.Baseline, x.FollowUp = []string{"1", "2"}, [][]string{{"3"}}
	r = judge(t, x)
	c = r.Changes[0]
	numtest.Close(t, "SE of three sessions", c.SE, math.Sqrt(10.5), 1e-15)
	numtest.Close(t, "df of three sessions", c.DF, 2*10.5*10.5/4.125, 1e-13)
	numtest.Close(t, "detectable of three sessions", c.Detectable, 2.0053479275332076*math.Sqrt(10.5), 1e-12)
	x.Scores.Trials = []int32{1, 3, 3} // other attempts at first alone: 6 + 9 (1/3 + 1/3) = 12
	numtest.Close(t, "SE of other attempts at first", judge(t, x).Changes[0].SE, math.Sqrt(12), 1e-15)
	x.Scores.Trials = []int32{3, 2, 6}
	contains(t, said(judge(t, x)), "through-components 1 1 3")
}

// Equally many attempts in each session: σ²e over all attempts, methods 2.
// By hand: 2 sessions of 2 against 1 of 5: SE² = 4·1.5 + 9 (1/4 + 1/5) = 10.05.
func TestComponentsEqualSessions(t *testing.T) {
	x := attempted([]int32{2, 2, 5}, 50, 52, 62)
	x.Baseline, x.FollowUp = []string{"1", "2"}, [][]string{{"3"}}
	numtest.Close(t, "SE", judge(t, x).Changes[0].SE, math.Sqrt(10.05), 1e-15)
}

// A study of n athletes, 2 sessions and 3 attempts, with its fit.
type fitted struct {
	te float64
	c  varcomp.Components
	as float64 // mean square of athletes by sessions, of attempts
	e  float64 // mean square within
}

// draw simulates a study with the given day-to-day variance and attempts of SD
// 1, and makes its mean squares by the sums of a textbook.
func draw(t testing.TB, rng *rand.Rand, n int, day float64) fitted {
	t.Helper()
	d := cell.Values{Athletes: n, Sessions: 2}
	var diff, within []float64
	for i := range n {
		level := 50 + 5*rng.NormFloat64()
		var score [2]float64
		for s := range 2 {
			at := level + math.Sqrt(day)*rng.NormFloat64()
			var y [3]float64
			for l := range y {
				y[l] = at + rng.NormFloat64()
				score[s] += y[l] / 3
				d.Athlete, d.Session = append(d.Athlete, int32(i)), append(d.Session, int32(s))
				d.Value = append(d.Value, y[l])
			}
			for _, v := range y {
				within = append(within, v-score[s])
			}
		}
		diff = append(diff, score[1]-score[0])
	}
	mean, ss, sse := 0.0, 0.0, 0.0
	for _, v := range diff {
		mean += v / float64(n)
	}
	for _, v := range diff {
		ss += (v - mean) * (v - mean)
	}
	for _, v := range within {
		sse += v * v
	}
	r, err := varcomp.Fit(d.Grid(), varcomp.Options{Limits: varcomp.NoLimits})
	if err != nil {
		t.Fatal(err)
	}
	ms := ss / float64(n-1) / 2 // of the scores
	return fitted{te: math.Sqrt(ms), c: r.Components(), as: 3 * ms, e: sse / float64(4*n)}
}

// On a complete table the two ways are one. Where the noise model says that the
// study had 5 attempts, scores of its true 3 are judged by the components, and
// SE and df are those of the typical error. And for other attempts they are
// Satterthwaite's (1946) of mean squares,
//
//	SE² = c1 MS_as + c2 MS_e    df = SE⁴ / ((c1 MS_as)²/(n-1) + (c2 MS_e)²/4n).
func TestComponentsAgreeOnCompleteTables(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for range 40 {
		n := 6 + rng.IntN(20)
		f := draw(t, rng, n, 4)
		if f.as < f.e { // no component below 0
			continue
		}
		x := test(f.te, float64(n-1), table(3, 1, 2, 3, 1, 2, missing))
		x.Noise.Components, x.Noise.Trials = &f.c, 5
		x.FollowUp = [][]string{{"2"}, {"2", "3"}}
		for _, c := range judge(t, x).Changes {
			numtest.Close(t, "half width", c.Detectable,
				dist.TQuantile(0.975, float64(n-1))*f.te*math.Sqrt(1+1/float64(len(c.To))), 1e-8)
		}
		x.Noise.Trials = 3
		for _, c := range judge(t, x).Changes {
			if c.FromComponents {
				t.Fatal("from the components")
			}
			numtest.Close(t, "SE by TE", c.SE, f.te*math.Sqrt(1+1/float64(len(c.To))), 0)
			numtest.Close(t, "df by TE", c.DF, float64(n-1), 0)
		}
		x.FollowUp = [][]string{{"2"}}
		for _, attempts := range []int32{1, 2, 4, 9} {
			x.Scores.Trials[1] = attempts
			c := judge(t, x).Changes[0]
			c1 := 2.0 / 3 * f.as
			c2 := (1/float64(attempts) - 1.0/3) * f.e
			df := (c1 + c2) * (c1 + c2) / (c1*c1/float64(n-1) + c2*c2/float64(4*n))
			if attempts > 3 { // the narrowest from the study's design on
				half := func(c2 float64) float64 {
					df := (c1 + c2) * (c1 + c2) / (c1*c1/float64(n-1) + c2*c2/float64(4*n))
					return dist.TQuantile(0.975, df) * math.Sqrt(c1+c2)
				}
				want := half(0)
				for i := range 2001 {
					want = min(want, half(c2*float64(i)/2000))
				}
				numtest.Close(t, "half width of more attempts", c.Detectable, want, 1e-6)
				continue
			}
			numtest.Close(t, "SE of other attempts", c.SE, math.Sqrt(c1+c2), 1e-8)
			numtest.Close(t, "df of other attempts", c.DF, df, 1e-6)
		}
	}
}

// Which changes go which way, and what is said.
func TestWhichAttempts(t *testing.T) {
	compare := "other-attempts follow-up 3 3 1"
	for name, tt := range map[string]struct {
		change func(*retest.Test)
		from   []bool
		want   string // "" for no warning
	}{
		"all others": {func(x *retest.Test) {}, []bool{true, true}, "through-components 2 2"},
		"as in the study": {func(x *retest.Test) { x.Noise.Trials, x.Scores.Trials = 3, []int32{3, 0, 3, 3, 0, 3} },
			[]bool{false, false}, ""},
		"a few missing": {func(x *retest.Test) {
			x.Noise.Trials, x.Scores.Trials = 2.95, []int32{3, 0, 3, 3, 0,
				3}
		}, []bool{false, false}, ""},
		"more are missing": {func(x *retest.Test) {
			x.Noise.Trials, x.Scores.Trials = 2.9, []int32{3, 0, 3, 3, 0,
				3}
		}, []bool{true, true}, "through-components 2 2 2.9"},
		"one athlete": {func(x *retest.Test) { x.Scores.Trials = []int32{3, 0, 3, 3, 0, 2} }, []bool{false,
			true}, " 1 2 3"},
		"the baseline": {func(x *retest.Test) { x.Scores.Trials = []int32{4, 0, 3, 3, 0, 3} }, []bool{true,
			false}, " 1 2 3"},
		"not counted":       {func(x *retest.Test) { x.Scores.Trials = nil }, []bool{false, false}, ""},
		"one not counted":   {func(x *retest.Test) { x.Scores.Trials[0] = 0 }, []bool{false, true}, "other-attempts"},
		"a senseless count": {func(x *retest.Test) { x.Scores.Trials[0] = -3 }, []bool{false, true}, " 1 2 3"},
		"study unknown":     {func(x *retest.Test) { x.Noise.Trials = 0 }, []bool{false, false}, ""},
		"study NaN":         {func(x *retest.Test) { x.Noise.Trials = missing }, []bool{false, false}, ""},
		"no components":     {func(x *retest.Test) { x.Noise.Components = nil }, []bool{false, false}, compare},
		"best of attempts": {func(x *retest.Test) { x.Summary, x.Noise.Summary = score.Best, score.Best },
			[]bool{false, false},
			"components-of-means"},
		"study of best": {func(x *retest.Test) { x.Noise.Summary = score.Best }, []bool{false, false},
			"components-of-means"},
		"follow-up not counted": {func(x *retest.Test) { x.Scores.Trials = []int32{2, 0, 0, 2, 0, 3} },
			[]bool{false, true}, " 1 2 3"},
		"best of a study of means": {func(x *retest.Test) { x.Summary, x.Noise.Summary = score.Best, score.Mean },
			[]bool{false, false}, "components-of-means"},
		"means": {func(x *retest.Test) { x.Summary, x.Noise.Summary = score.Mean, score.Mean },
			[]bool{true, true}, "through-components 2 2 3"},
		"merged": {func(x *retest.Test) {
			x.Noise.Components.Merged, x.Noise.Components.AthleteSession = varcomp.WithTrial, missing
		}, []bool{false, false}, "components-merged"},
		"unknown": {func(x *retest.Test) { x.Noise.Components.Trial = missing }, []bool{false, false},
			"components-vague"},
		"covariance unknown": {func(x *retest.Test) { x.Noise.Components.Covariance[1][2] = missing }, []bool{false,
			false}, "components-vague"},
		"no error": {func(x *retest.Test) {
			x.Noise.Components.Trial, x.Noise.Components.AthleteSession = 0,
				0
		}, []bool{false, false}, "components-vague"},
		"hardly known": {func(x *retest.Test) { x.Noise.Components.Covariance[2][2] = 1e9 }, []bool{false, false},
			"components-do-not-reach 2"},
		"df just above 1": {func(x *retest.Test) { x.Noise.Components.Covariance[2][2] = 440 }, []bool{true, true},
			"through-components 2 2 3"}, // 800/(16/9·440+5.3) = 1.016
		"df just below 1": {func(x *retest.Test) { x.Noise.Components.Covariance[2][2] = 450 }, []bool{false, false},
			"components-do-not-reach 2"},
		"known exactly": {func(x *retest.Test) { x.Noise.Components.Covariance = [3][3]float64{} }, []bool{true,
			true}, "through-components 2 2 3"},
	} {
		x := attempted([]int32{3, 0, 1}, 50, missing, 62, 70, missing, 71)
		x.FollowUp = [][]string{{"3"}}
		tt.change(&x)
		r := judge(t, x)
		var from []bool
		for _, c := range r.Changes {
			from = append(from, c.FromComponents)
			if !c.FromComponents && (c.DF != 7 || c.SE != math.Sqrt(7)*math.Sqrt2) {
				t.Errorf("%s: SE %g, df %g by the typical error", name, c.SE, c.DF)
			}
			if math.IsNaN(c.Detectable) || math.IsInf(c.Detectable, 0) {
				t.Errorf("%s: detectable %g", name, c.Detectable)
			}
		}
		if diff := cmp.Diff(tt.from, from); diff != "" {
			t.Errorf("%s: from the components (-want +got):\n%s", name, diff)
		}
		if tt.want == "" && len(said(r)) > 0 {
			t.Errorf("%s: %v", name, said(r))
		}
		if tt.want != "" {
			contains(t, said(r), tt.want)
		}
		if tt.from[0] && tt.from[1] && strings.Contains(strings.Join(said(r), " "), "other-attempts") {
			t.Errorf("%s: %v", name, said(r))
		}
	}
}

// No fit leaves behind a component below 0 or without bound.
func TestSenselessComponents(t *testing.T) {
	for _, v := range []float64{-1, math.Inf(1), math.Inf(-1)} {
		for at := range 3 {
			x := attempted([]int32{3, 0, 1}, 50, missing, 62)
			*[]*float64{&x.Noise.Components.Athlete, &x.Noise.Components.AthleteSession,
				&x.Noise.Components.Trial}[at] = v
			_, err := retest.Judge([]retest.Test{x}, retest.Options{})
			if !errors.Is(err, retest.ErrNoise) || !strings.Contains(err.Error(), "a variance component is") {
				t.Errorf("component %d is %g: %v", at, v, err)
			}
		}
	}
}

// The band of a run is that of its widest judged follow-up; without one that of
// a session like the study's. By hand, from 3 attempts: to 1, SE² = 20, df 100;
// to 3, TE sqrt(2), df 7; both at once keep the wider, which is the second for
// t(.975, 7) sqrt(14) = 8.848 against t(.975, 100) sqrt(20) = 8.873: the first.
func TestRunsOfOtherAttempts(t *testing.T) {
	x := attempted([]int32{3, 3, 1}, 50, 51, 52, 50, 51, missing, 50, missing, missing)
	x.FollowUp = [][]string{{"2"}, {"3"}}
	runs := judge(t, x).Runs
	one := 1.9839715185235516 * math.Sqrt(20)
	three := 2.3646242515927853 * math.Sqrt(14)
	for i, want := range []float64{one, three, three} {
		numtest.Close(t, "high", runs[i].High-50, want, 1e-12)
		numtest.Close(t, "low", 50-runs[i].Low, want, 1e-12)
	}
	x.FollowUp = [][]string{{"3"}, {"2"}}
	numtest.Close(t, "other order", judge(t, x).Runs[0].High-50, one, 1e-12)
	// A baseline of one attempt against one like the study's: 20 again.
	x.Scores.Trials[6] = 1
	numtest.Close(t, "nothing judged", judge(t, x).Runs[2].High-50, one, 1e-12)
}

// drawnAttempts is a random test with components and any numbers of attempts.
func drawnAttempts(t *rapid.T) retest.Test {
	x := drawn(t, rapid.SampledFrom([]score.Scale{score.Raw, score.Log}).Draw(t, "scale"))
	x.Noise.Trials, x.Noise.Components = 3, byHand()
	for i, n := range x.Scores.Trials {
		if n > 0 {
			x.Scores.Trials[i] = rapid.Int32Range(1, 9).Draw(t, "attempts")
		}
	}
	return x
}

// Swapping baseline and follow-up mirrors changes by components too.
func TestSwapMirrorsComponents(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := drawnAttempts(t)
		y := x
		y.Baseline, y.FollowUp = x.FollowUp[0], [][]string{x.Baseline}
		back := changes(t, y)
		for i, c := range changes(t, x) {
			b := back[i]
			same := cmp.Options{cmpopts.EquateApprox(1e-12, 1e-12)}
			if diff := cmp.Diff(mirror(c.Change), b.Change, same); diff != "" {
				t.Fatalf("mirrored (-want +got):\n%s", diff)
			}
			if c.FromComponents != b.FromComponents || c.Verdict != b.Verdict || !cmp.Equal(c.P, b.P, same) ||
				!cmp.Equal(c.SE, b.SE, same) {
				t.Fatalf("%+v\nmirrored is %+v", c, b)
			}
		}
	})
}

// An attempt more, in whatever session, never makes the detectable change larger; a
// unit that is twice as small doubles SE.
func TestMoreAttemptsLessError(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := drawnAttempts(t)
		x.Noise.Trials = 2.5 // so that all go by the components
		y := x
		y.Scores.Trials = slices.Clone(x.Scores.Trials)
		at := rapid.IntRange(0, len(y.Scores.Trials)-1).Draw(t, "where")
		if y.Scores.Trials[at] == 0 {
			return
		}
		y.Scores.Trials[at]++
		more := changes(t, y)
		double := x
		double.Noise.TypicalError *= 2
		c2 := *byHand()
		c2.Athlete, c2.AthleteSession, c2.Trial = 4*c2.Athlete, 4*c2.AthleteSession, 4*c2.Trial
		for i := range c2.Covariance {
			for j := range c2.Covariance[i] {
				c2.Covariance[i][j] *= 16
			}
		}
		double.Noise.Components = &c2
		twice := changes(t, double)
		for i, c := range changes(t, x) {
			own := at/3 == slices.Index(x.Scores.Athletes, c.Athlete)
			if more[i].Detectable > c.Detectable*(1+1e-9) || !own && more[i].SE != c.SE {
				t.Fatalf("with an attempt more the detectable change %g became %g", c.Detectable, more[i].Detectable)
			}
			if twice[i].SE != 2*c.SE || twice[i].DF != c.DF {
				t.Fatalf("in half the unit SE %g, df %g became %g, %g", c.SE, c.DF, twice[i].SE, twice[i].DF)
			}
		}
	})
}
