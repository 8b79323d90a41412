package retest_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"noisefloor/analysis/retest"
)

// A follow-up of sessions 3 and 4 is one occasion, also when half the athletes
// have session 3 alone: it came out as two once.
func TestOneOccasionOfPartFollowUps(t *testing.T) {
	x := test(1, 19, table(4, 10, 11, 20, 21, 10, 11, 20, missing, 12, 12, 13, 14, 12, 12, 13, missing))
	x.Baseline, x.FollowUp = []string{"1", "2"}, [][]string{{"3", "4"}}
	r := judge(t, x)
	if len(r.Occasions) != 1 || len(r.Changes) != 4 {
		t.Fatalf("%d occasions, %d changes", len(r.Occasions), len(r.Changes))
	}
	if o := r.Occasions[0]; !slices.Equal(o.Baseline, []string{"1", "2"}) || !slices.Equal(o.FollowUp, []string{"3",
		"4"}) {
		t.Errorf("%+v", o)
	}
	for i, c := range r.Changes {
		if want := [][]string{{"3", "4"}, {"3"}}[i%2]; c.Occasion != 0 || !slices.Equal(c.To, want) {
			t.Errorf("change %d: occasion %d, to %v", i, c.Occasion, c.To)
		}
	}
}

// Two tests that are asked the same share their occasions; another follow-up is
// another.
func TestOccasionsAreShared(t *testing.T) {
	x, y := test(1, 19, table(3, 10, 11, 20)), test(1, 19, table(3, 10, 11, 20))
	y.Measure, y.FollowUp = "throw", [][]string{{"2"}, {"3"}}
	r := judge(t, x, y)
	var at []int
	for _, c := range r.Changes {
		at = append(at, c.Occasion)
	}
	if !slices.Equal(at, []int{0, 0, 1}) || len(r.Occasions) != 2 {
		t.Errorf("occasions %v of %v", at, r.Occasions)
	}
}

// What stands out obeys the level. Two changes with known noise, one of 1.85
// standard errors and one of none: p = 0.0643 (normal, two-sided), by Benjamini &
// Hochberg 2·0.0643 = 0.1286 (by hand). At 80 % that is below 0.20 and stands out;
// at 90 % (0.10) it is past the noise on its own; at 95 % it is inside.
func TestStandingOutObeysTheLevel(t *testing.T) {
	for level, want := range map[float64]retest.State{0.80: retest.StandsOut, 0.90: retest.PastNoise,
		0.95: retest.InsideNoise} {
		r, err := retest.Judge([]retest.Test{test(1, 1e9, table(2, 10, 10+1.85*math.Sqrt2, 10, 10))},
			retest.Options{Level: level, Narrow: 0.5})
		if err != nil {
			t.Fatal(err)
		}
		c := r.Changes[0]
		if c.State != want || math.Abs(c.P-0.0643) > 5e-5 || math.Abs(c.PBH-0.1286) > 1e-4 {
			t.Errorf("at %g: %s, p %.4f, p_bh %.4f; want %s", level, c.State, c.P, c.PBH, want)
		}
	}
}

// On pure noise, 300 athletes by 40 tests, a change may lie past the noise on its
// own, but next to nothing stands out. The rates are those of theory: alpha on its
// own; for Benjamini & Hochberg with no change at all the chance that anything
// stands out is alpha for a noise that is known (1995, theorem 1).
func TestPureNoise(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 40))
	var tests []retest.Test
	for range 40 {
		scores := make([]float64, 600)
		for i := range scores {
			scores[i] = rng.NormFloat64()
		}
		tests = append(tests, test(1, 1e6, table(2, scores...)))
	}
	f := judge(t, tests...).Family
	// 12,000 at 0.05: 600, standard error 24.
	if f.Changes != 12000 || f.PastNoise < 600-72 || f.PastNoise > 600+72 {
		t.Errorf("%d of %d changes past the noise", f.PastNoise, f.Changes)
	}
	if f.StandOut > 2 {
		t.Errorf("%d changes of pure noise stand out", f.StandOut)
	}
}

// The state and whether it matters make the verdict: all nine pairs, by hand.
func TestVerdictOfBothAnswers(t *testing.T) {
	const far, near = 100, 3 // with TE 1 the interval is the change -+ 3.34 at 7 df
	for _, tt := range []struct {
		d, w float64
		m    int // changes in the family
		want retest.Verdict
	}{
		{far, 5, 1, retest.OutMatters}, {far, 200, 1, retest.OutSmall}, {far, 99, 1, retest.OutMay}, {-far, 5, 1,
			retest.OutMatters},
		{near + 1, 0.5, 40, retest.Past}, {near + 1, 50, 40, retest.Past}, {near + 1, 4, 40, retest.Past},
		{0, 50, 1, retest.Steady}, {0, 1, 1, retest.Inside}, {far, 0, 1, retest.OutMay},
	} {
		scores := make([]float64, 2*tt.m)
		scores[1] = tt.d
		x := test(1, 7, table(2, scores...))
		x.Worthwhile = &tt.w
		if c := judge(t, x).Changes[0]; c.Verdict != tt.want {
			t.Errorf("change %g, worthwhile %g, %d changes: %q, want %q", tt.d, tt.w, tt.m, c.Verdict, tt.want)
		}
	}
}
