package reliability_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"noisefloor/analysis/estimate"
	"noisefloor/analysis/reliability"
	"noisefloor/internal/numtest"
)

// R 4.2.2, anova(lm(abs(d - median) ~ group)) with two sessions, and of the mean
// distances with three: testdata/oracle/one_noise.R.
func TestBrownForsytheAgainstR(t *testing.T) {
	g := analyse(t, cohort(), reliability.Options{Group: cohortGroups}).GroupTest
	numtest.Close(t, "F", g.Statistic, 5.487719238147459322, 1e-12)
	numtest.Close(t, "p", g.P, 0.016272818768065862, 1e-12)
	if g.Method != reliability.BrownForsythe || g.DF1 != 2 || g.DF2 != 15 || g.Verdict != reliability.GroupsDiffer ||
		g.Normal.P < 0.05 {
		t.Errorf("%+v", g)
	}
	var rows [][]float64
	for i, more := range []float64{1, -1, 2, 0, 1, 3, -2, 4, 1, 0, 2, 1, 0, -1, 1, 2, 0, 1} {
		rows = append(rows, []float64{cohortFirst[i], cohortSecond[i], cohortFirst[i] + more})
	}
	g = analyse(t, tableOf(rows), reliability.Options{Group: cohortGroups}).GroupTest
	numtest.Close(t, "F of three sessions", g.Statistic, 2.83428738018602422, 1e-11)
	numtest.Close(t, "p of three sessions", g.P, 0.09033487902333856, 1e-11)
	alone, err := reliability.GroupTestOf(tableOf(rows), cohortGroups)
	if err != nil || alone.P != g.P || alone.Normal.P != g.Normal.P {
		t.Errorf("alone %+v, %v", alone, err)
	}
}

// Two athletes of twenty are five times as noisy: the test says so and names one, and its
// own typical error lies between its own alone and that of all. Without them nothing.
func TestNoisyAthletes(t *testing.T) {
	table := func(times float64) [][]float64 {
		var rows [][]float64
		for i := range 20 {
			size := 1.0
			if i < 2 {
				size = times
			}
			base := 100 + 5*float64(i)
			e := func(j int) float64 { return size * math.Sin(float64(7*i*i+13*j*j+3*i*j+1)) * 2 }
			rows = append(rows, []float64{base + e(1), base + e(2), base + e(3), base + e(4), base + e(5)})
		}
		return rows
	}
	r := analyse(t, tableOf(table(6)), reliability.Options{})
	most, ok := r.Noisiest()
	if !ok || r.Equal.P > 0.001 || !has(r, reliability.AthletesDiffer) || math.IsInf(r.Equal.PriorDF, 1) {
		t.Fatalf("%+v, noisiest %+v", r.Equal, most)
	}
	if !(most.TypicalError > r.TypicalError.Value && most.TypicalError < most.Own) || most.DF <= most.OwnDF ||
		most.OwnDF != 4 || most.DF > r.DF {
		t.Errorf("noisiest %+v, all %+v", most, r.TypicalError)
	}
	quiet := false
	calm := analyse(t, tableOf(table(1)), reliability.Options{})
	if has(calm, reliability.AthletesDiffer) || calm.Equal.P < 0.05 || len(calm.OwnNoise) != 20 {
		t.Errorf("calm: %+v", calm.Equal)
	}
	rng := rand.New(rand.NewPCG(1, 2))
	for range 20 { // variances that part, but no more than chance has it: nothing is said
		var rows [][]float64
		for range 12 {
			rows = append(rows, []float64{100 + rng.NormFloat64(), 100 + rng.NormFloat64(), 100 + rng.NormFloat64()})
		}
		r := analyse(t, tableOf(rows), reliability.Options{})
		if said := has(r, reliability.AthletesDiffer); said != (r.Equal.P < 0.05 && !math.IsInf(r.Equal.PriorDF, 1)) {
			t.Errorf("p %g, prior df %g: said %v", r.Equal.P, r.Equal.PriorDF, said)
		}
		quiet = quiet || r.Equal.P > 0.05 && !math.IsInf(r.Equal.PriorDF, 1)
	}
	if !quiet {
		t.Error("no study whose variances part by chance: the example shows nothing")
	}
	lean := analyse(t, tableOf(table(6)), reliability.Options{Lean: true})
	if lean.Tails != nil || len(lean.OwnNoise) != len(r.OwnNoise) || lean.AgreementError.HasInterval() || lean.ICC[2].Value.HasInterval() ||
		lean.TypicalError != r.TypicalError || lean.ICC[2].Value.Value != r.ICC[2].Value.Value ||
		lean.ICC[2].Value.Kind != estimate.None {
		t.Errorf("lean: %+v", lean.ICC[2])
	}
}

// The change seen with another power, and its interval as far as the typical error's.
func TestSeenWithPower(t *testing.T) {
	r := analyse(t, cohort(), reliability.Options{Power: 0.9})
	s, te := r.DetectableChange.Seen, r.TypicalError
	// R's noncentral t on 17 df lies above 2.109816 with 0.9 for δ between those of 7 and 58 df
	// of testdata/oracle/one_noise.R; at 0.8 it is Power80.
	f := s.Value / te.Value / math.Sqrt2
	if !(f > 3.4187602076710051 && f < 3.7951905282087219) || r.DetectableChange.Power != 0.9 {
		t.Errorf("%g, %+v", f, r.DetectableChange)
	}
	numtest.Close(t, "lower", s.Lower/s.Value, te.Lower/te.Value, 1e-12)
	numtest.Close(t, "upper", s.Upper/s.Value, te.Upper/te.Value, 1e-12)
	numtest.Close(t, "ratio", r.SeenRatio, s.Value/r.Worthwhile.Value, 1e-14)
	if !(r.DetectableChange.Power80 < s.Value) {
		t.Errorf("%+v", r.DetectableChange)
	}
	if _, err := reliability.Analyse(cohort(), reliability.Options{Power: 1}); err == nil {
		t.Error("a power of 1 is taken")
	}
}

// Four athletes, two sessions: MSE 2.5/3 on 3 df, MSC 12.5 on 1. R 4.2.2, 4 million draws
// of the pivots: 1.125 and 56.5; without the share 1 - 1/n of the error 1.189.
func TestAgreementErrorAgainstR(t *testing.T) {
	e, err := reliability.AgreementErrorOf(tableOf([][]float64{{10, 13}, {12, 14}, {15, 19}, {20, 21}}), 0.95)
	if err != nil {
		t.Fatal(err)
	}
	numtest.Close(t, "lower", e.Lower, 1.1246, 0.005)
	numtest.Close(t, "upper", e.Upper, 56.52, 0.02)
	numtest.Close(t, "value", e.Value, math.Sqrt(2.5/3+(12.5-2.5/3)/4), 1e-12)
}

// With three sessions athletes who differ and wild errors are one test: one doubt is
// raised, not two.
func TestOneDoubtWithThreeSessions(t *testing.T) {
	var rows [][]float64
	for i := range 20 {
		size := 1.0
		if i < 2 {
			size = 6
		}
		e := func(j int) float64 { return size * math.Sin(float64(7*i*i+13*j*j+3*i*j+1)) * 2 }
		rows = append(rows, []float64{100 + 5*float64(i) + e(1), 100 + 5*float64(i) + e(2), 100 + 5*float64(i) + e(3)})
	}
	r := analyse(t, tableOf(rows), reliability.Options{})
	if r.Tails.P > 0.01 || !has(r, reliability.AthletesDiffer) || has(r, reliability.HeavyTails) {
		t.Errorf("tails p %g, differ %t, heavy tails %t", r.Tails.P, has(r, reliability.AthletesDiffer),
			has(r, reliability.HeavyTails))
	}
}
