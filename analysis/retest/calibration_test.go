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
	"noisefloor/internal/numtest"
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
		x := retest.Test{Measure: "m", Scores: table(4, v...), Studied: [][]string{{"1", "2"}},
			Noise: noise.Model{Scale: score.Raw, TypicalError: te, DF: float64(n - 1), Athletes: n,
				Sessions: []string{"1", "2"}}}
		design(&x)
		r := judge(t, x)
		alarms := float64(r.Family.PastNoise) / float64(n)
		sum += alarms
		squares += alarms * alarms
		for _, c := range r.Changes {
			if math.Abs(c.Ratio) > 1.96 {
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
	numtest.Heavy(t)
	for _, tt := range []struct {
		n    int
		want float64
		warn bool
	}{{8, 0.0428325, true}, {12, 0.0442408, true}, {20, 0.0463830, false}} {
		share, se, _ := rate(t, tt.n, 6000, uint64(tt.n), between("2", "3"))
		if band := 3 * math.Hypot(se, 0.0003); math.Abs(share-tt.want) > band {
			t.Errorf("n %d: %.2f %% false alarms, want %.2f -+ %.2f", tt.n, 100*share, 100*tt.want, 100*band)
		}
		x := shared(tt.n)
		r := judge(t, x)
		switch {
		case tt.warn:
			contains(t, said(r), "m: shared-sessions 2 3 4 ")
			numtest.CloseAbs(t, "rate", r.Caveats[0].Numbers[0], tt.want, 3*0.0003)
		case len(said(r)) > 0:
			t.Errorf("n %d: %v", tt.n, said(r))
		}
		x.Baseline = []string{"1", "2"} // exact
		if r = judge(t, x); len(said(r)) > 0 {
			t.Errorf("n %d, both sessions: %v", tt.n, said(r))
		}
	}
}

func shared(n int) retest.Test {
	return retest.Test{Measure: "m", Scores: table(4, make([]float64, 4*n)...), Studied: [][]string{{"1", "2"}},
		Baseline: []string{"2"}, FollowUp: [][]string{{"3"}, {"4"}},
		Noise: noise.Model{TypicalError: 1, DF: float64(n - 1), Athletes: n, Sessions: []string{"1", "2"}}}
}

// The more of the change lies in the noise study the rarer a false alarm; the
// warning says so for each follow-up whose rate is another.
func TestSharedFollowUp(t *testing.T) {
	x := shared(8)
	x.Baseline, x.FollowUp = []string{"1"}, [][]string{{"3"}, {"2", "3"}}
	r := judge(t, x)
	contains(t, said(r), "m: shared-sessions 1 3 ")
	contains(t, said(r), "m: shared-sessions 1 2 3 ")
	contains(t, said(r), "0.0245 0.05") // simulated in R: 2.48 %, 40,000 studies
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
		if r := judge(t, y); strings.Contains(fmt.Sprint(said(r)), "shared") {
			t.Errorf("a rate without its parts: %v", said(r))
		}
	}
}

// attemptRates simulates studies of n athletes, 2 sessions and 3 attempts (SD
// 1), and n athletes who never change, judged on other days: baseline of 3
// attempts, follow-ups of 1 and of 6. It returns the shares of false alarms,
// by the components or by the typical error all the same, and their standard errors.
func attemptRates(t *testing.T, n, studies int, day float64, components bool) (share, se [2]float64) {
	t.Helper()
	rng := rand.New(rand.NewPCG(uint64(n), 7))
	var sum, squares [2]float64
	for range studies {
		f := draw(t, rng, n, day)
		v := make([]float64, 3*n)
		for i := range v {
			attempts := [3]float64{3, 1, 6}[i%3]
			v[i] = 50 + math.Sqrt(day+1/attempts)*rng.NormFloat64()
		}
		x := test(f.te, float64(n-1), table(3, v...))
		x.FollowUp = [][]string{{"2"}, {"3"}}
		for i := range x.Scores.Trials {
			x.Scores.Trials[i] = [3]int32{3, 1, 6}[i%3]
		}
		if components {
			x.Noise.Components = &f.c
		}
		var alarms [2]float64
		for i, c := range judge(t, x).Changes {
			if c.Past() {
				alarms[i/n] += 1 / float64(n)
			}
			if c.FromComponents && !components {
				t.Fatal("judged otherwise")
			}
		}
		for at, a := range alarms {
			sum[at] += a
			squares[at] += a * a
		}
	}
	m := float64(studies)
	for at := range sum {
		share[at] = sum[at] / m
		se[at] = math.Sqrt((squares[at]/m - share[at]*share[at]) / m)
	}
	return share, se
}

// Nobody changes; the study had 3 attempts, the follow-up has 1 or 6. By the
// components a follow-up of 1 gives 5 % false alarms; for 6 Satterthwaite's df
// are cautious in small studies. want is a simulation of its own in R, a million
// studies by mean squares (testdata/oracle.R); naive is what the typical error
// gives, the exact 2 P(T > t sqrt(ratio of variances)) by R's pt().
func TestFalseAlarmsOfOtherAttempts(t *testing.T) {
	numtest.Heavy(t)
	for _, tt := range []struct {
		n           int
		day         float64
		want, naive [2]float64 // of 1 and of 6 attempts
	}{
		{8, 1, [2]float64{0.0516, 0.0421}, [2]float64{0.07225, 0.04462}},
		{12, 1, [2]float64{0.0509, 0.0477}, [2]float64{0.07471, 0.04406}},
		{20, 1, [2]float64{0.0503, 0.0495}, [2]float64{0.07667, 0.04361}},
		{8, 0, [2]float64{0.0386, 0.0057}, [2]float64{0.13844, 0.02932}},
	} {
		const studies = 4000
		share, se := attemptRates(t, tt.n, studies, tt.day, true)
		ignored, seIgnored := attemptRates(t, tt.n, studies/2, tt.day, false)
		for at, attempts := range []int{1, 6} {
			name := fmt.Sprintf("n %d, day-to-day %g, %d attempts", tt.n, tt.day, attempts)
			t.Logf("%s: %.2f %% (standard error %.2f), by the typical error %.2f %%", name, 100*share[at], 100*se[at],
				100*ignored[at])
			if attempts == 6 {
				// The narrower of two intervals alarms at least as often as either, and no
				// more than 5.05 % (methods, 200,000 draws).
				if low := max(tt.want[at], tt.naive[at]); share[at] < low-3*se[at] || share[at] > 0.0505+3*se[at] {
					t.Errorf("%s: %.2f %% false alarms, want %.2f to 5.05 -+ %.2f", name, 100*share[at], 100*low, 300*se[at])
				}
				continue
			}
			if se[at] > 0.003 || math.Abs(share[at]-tt.want[at]) > 3*se[at] {
				t.Errorf("%s: %.2f %% false alarms, want %.2f -+ %.2f", name, 100*share[at], 100*tt.want[at],
					300*se[at])
			}
			if band := 3 * se[at]; share[at] > 0.05+band || tt.day > 0 && attempts == 1 && share[at] < 0.05-band {
				t.Errorf("%s: %.2f %% false alarms, the promise is 5 -+ %.2f", name, 100*share[at], 100*band)
			}
			if math.Abs(ignored[at]-tt.naive[at]) > 3*seIgnored[at] {
				t.Errorf("%s: %.2f %% by the typical error, want %.2f -+ %.2f", name, 100*ignored[at],
					100*tt.naive[at], 300*seIgnored[at])
			}
		}
	}
}
