package retest_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
)

// rate simulates studies of n athletes who never change: noise from sessions 1
// and 2, then the changes that design picks from four sessions. It returns the
// share of false alarms, its Monte Carlo standard error over studies, and the
// share past 1.96 SE.
func rate(t *testing.T, n, studies int, seed uint64, design func(*retest.Test)) (share, se, normal float64) {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, 20))
	var sum, squares float64
	for range studies {
		v := make([]float64, 4*n)
		var d, d2 float64
		for i := range n {
			athlete := 50 + 8*rng.NormFloat64()
			for s := range 4 {
				v[4*i+s] = athlete + 2*rng.NormFloat64()
			}
			diff := v[4*i+1] - v[4*i]
			d += diff
			d2 += diff * diff
		}
		te := math.Sqrt((d2 - d*d/float64(n)) / float64(n-1) / 2)
		x := retest.Test{Measure: "m", Scores: table(4, v...), Digests: []string{"a", "b", "c", "d"},
			Noise: noise.Model{Scale: score.Raw, TypicalError: te, DF: float64(n - 1), Athletes: n,
				Sessions: []string{"1", "2"}, Digests: []string{"a", "b"}}}
		design(&x)
		r := judge(t, x)
		alarms := float64(r.Family.Real) / float64(n)
		sum += alarms
		squares += alarms * alarms
		for _, c := range r.Changes {
			if math.Abs(c.RCI) > 1.96 {
				normal += 1 / float64(n)
			}
		}
	}
	m := float64(studies)
	share = sum / m
	return share, math.Sqrt((squares/m - share*share) / m), normal / m
}

func between(baseline, followUp string) func(*retest.Test) {
	return func(x *retest.Test) {
		x.Baseline, x.FollowUp = strings.Split(baseline, "+"), [][]string{strings.Split(followUp, "+")}
	}
}

// With 8 athletes in the noise study and nobody changing, 5 % of the changes
// are called real: Student's t does that. 1.96 would give 2 P(T > 1.96) =
// 9.08 % (R 4.2.2, pt(), df 7).
func TestFalseAlarmRate(t *testing.T) {
	for _, tt := range []struct{ from, to string }{{"3", "4"}, {"1+2", "3"}, {"1+2", "3+4"}} {
		share, se, normal := rate(t, 8, 8000, 1, between(tt.from, tt.to))
		if se > 0.002 {
			t.Fatalf("simulation too short: standard error %.4f", se)
		}
		if math.Abs(share-0.05) > 3*se {
			t.Errorf("%s against %s: %.2f %% false alarms, want 5 -+ %.2f", tt.to, tt.from, 100*share, 300*se)
		}
		if math.Abs(normal-0.09081969536818113) > 0.006 {
			t.Errorf("%s against %s: 1.96 gives %.2f %%, want 9.08", tt.to, tt.from, 100*normal)
		}
	}
}

// A baseline that is one of the two sessions of the noise study shares its
// error with the typical error. The rates are from a simulation of their own in
// R 4.2.2, 100,000 studies each, standard error below 0.0003 (testdata/oracle.R);
// the warning states them from the exact formula.
func TestFalseAlarmsWithSharedBaseline(t *testing.T) {
	for _, tt := range []struct {
		n    int
		want float64
		warn string
	}{{8, 0.0428325, "4.3 %, not 5.0 %"}, {12, 0.0442408, "4.4 %, not 5.0 %"}, {20, 0.0463830, ""}} {
		share, se, _ := rate(t, tt.n, 6000, uint64(tt.n), between("2", "3"))
		if band := 3 * math.Hypot(se, 0.0003); math.Abs(share-tt.want) > band {
			t.Errorf("n %d: %.2f %% false alarms, want %.2f -+ %.2f", tt.n, 100*share, 100*tt.want, 100*band)
		}
		x := shared(tt.n)
		r := judge(t, x)
		switch {
		case tt.warn != "":
			contains(t, r.Warnings, "m: of the sessions judged (sessions 3, 4 against session 2) some were in the noise study")
			contains(t, r.Warnings, tt.warn)
		case len(r.Warnings) > 0:
			t.Errorf("n %d: %v", tt.n, r.Warnings)
		}
		x.Baseline = []string{"1", "2"} // exact
		if r = judge(t, x); len(r.Warnings) > 0 {
			t.Errorf("n %d, both sessions: %v", tt.n, r.Warnings)
		}
	}
}

func shared(n int) retest.Test {
	return retest.Test{Measure: "m", Scores: table(4, make([]float64, 4*n)...), Digests: []string{"a", "b", "c", "d"},
		Baseline: []string{"2"}, FollowUp: [][]string{{"3"}, {"4"}},
		Noise: noise.Model{TypicalError: 1, DF: float64(n - 1), Athletes: n, Sessions: []string{"1", "2"}, Digests: []string{"a", "b"}}}
}

// The more of the change lies in the noise study the rarer a false alarm; the
// warning says so for each follow-up whose rate is another.
func TestSharedFollowUp(t *testing.T) {
	x := shared(8)
	x.Baseline, x.FollowUp = []string{"1"}, [][]string{{"3"}, {"2", "3"}}
	r := judge(t, x)
	contains(t, r.Warnings, "(session 3 against session 1)")
	contains(t, r.Warnings, "(sessions 2, 3 against session 1)")
	contains(t, r.Warnings, "2.4 %, not 5.0 %") // simulated in R: 2.48 %, 40,000 studies
	share, se, _ := rate(t, 8, 6000, 3, between("1", "2+3"))
	if math.Abs(share-0.0248) > 3*math.Hypot(se, 0.0004) {
		t.Errorf("%.2f %% false alarms, want 2.48", 100*share)
	}
	for _, spoil := range []func(*noise.Model){
		func(m *noise.Model) { m.Athletes = 0 },
		func(m *noise.Model) { m.Sessions = nil },
		func(m *noise.Model) { m.DF = 0.5 },
	} {
		y := x
		spoil(&y.Noise)
		if r := judge(t, y); strings.Contains(fmt.Sprint(r.Warnings), "rarer") {
			t.Errorf("a rate without its parts: %v", r.Warnings)
		}
	}
}
