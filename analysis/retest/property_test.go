package retest_test

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"noisefloor/analysis/estimate"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
)

// drawn is a random test of 3 sessions whose scores lie on a grid, so that
// shifting and doubling them is exact.
func drawn(t *rapid.T, scale score.Scale) retest.Test {
	n := rapid.IntRange(1, 6).Draw(t, "athletes")
	v := make([]float64, 3*n)
	for i := range v {
		v[i] = float64(rapid.IntRange(160, 800).Draw(t, "score")) / 8
		if rapid.IntRange(0, 9).Draw(t, "missing") == 0 {
			v[i] = missing
		}
	}
	v[0], v[2] = 50, 60 // somebody can be judged
	te := float64(rapid.IntRange(1, 80).Draw(t, "te")) / 8
	if scale == score.Log {
		te /= 100
	}
	return retest.Test{Measure: "m", Scores: table(3, v...),
		Baseline: []string{"1", "2"}, FollowUp: [][]string{{"3"}},
		Worthwhile: ptr(te * float64(rapid.IntRange(0, 40).Draw(t, "worthwhile")) / 8),
		Noise: noise.Model{Scale: scale, TypicalError: te, Mean: 32, ICC: 0.75,
			DF: float64(rapid.IntRange(1, 60).Draw(t, "df")) / 2}}
}

var levels = retest.Options{Regression: true}

func changes(t *rapid.T, x retest.Test) []retest.Change {
	r, err := retest.Judge([]retest.Test{x}, levels)
	if err != nil {
		t.Fatal(err)
	}
	return r.Changes
}

// Swapping baseline and follow-up mirrors every change and keeps the verdict.
func TestSwapMirrors(t *testing.T) {
	for _, scale := range []score.Scale{score.Raw, score.Log} {
		rapid.Check(t, func(t *rapid.T) {
			x := drawn(t, scale)
			y := x
			y.Baseline, y.FollowUp = x.FollowUp[0], [][]string{x.Baseline}
			back := changes(t, y)
			for i, c := range changes(t, x) {
				b := back[i]
				want := retest.Change{Athlete: c.Athlete, Measure: c.Measure, From: c.To, To: c.From,
					Baseline: c.FollowUp, FollowUp: c.Baseline,
					Change: mirror(c.Change), Narrow: mirror(c.Narrow), SE: c.SE, DF: c.DF,
					FromComponents: c.FromComponents, Detectable: c.Detectable, Worthwhile: c.Worthwhile,
					P: c.P, PHolm: c.PHolm, PBH: c.PBH, State: c.State, Matters: c.Matters, Verdict: c.Verdict,
					Ratio:     -c.Ratio,
					Direction: map[string]string{"rise": "fall", "fall": "rise", "none": "none"}[c.Direction],
					Better:    map[string]string{"better": "worse", "worse": "better"}[c.Better]}
				if c.Chance != nil {
					want.Chance = &retest.Chance{Above: c.Chance.Below, Within: c.Chance.Within, Below: c.Chance.Above}
					want.ChanceFlat = want.Chance
				}
				if c.Selected != nil {
					e := mirror(*c.Selected)
					want.Selected = &e
				}
				if diff := cmp.Diff(want, b, cmpopts.IgnoreFields(retest.Change{}, "Percent", "Expected", "Beyond"),
					cmpopts.EquateNaNs(), cmpopts.EquateApprox(1e-12, 0)); diff != "" {
					t.Fatalf("mirrored (-want +got):\n%s", diff)
				}
				if scale != score.Log {
					continue
				}
				if one := (1 + c.Percent.Value/100) * (1 + b.Percent.Value/100); math.Abs(one-1) > 1e-13 {
					t.Fatalf("up %+v and down again %+v", *c.Percent, *b.Percent)
				}
			}
		})
	}
}

func mirror(e estimate.Estimate) estimate.Estimate {
	e.Value, e.Lower, e.Upper = -e.Value, -e.Upper, -e.Lower
	return e
}

func times(e estimate.Estimate, by float64) estimate.Estimate {
	e.Value, e.Lower, e.Upper, e.SE = by*e.Value, by*e.Lower, by*e.Upper, by*e.SE
	return e
}

// On the raw scale a shift of all scores changes no change, and a change of
// unit multiplies what has a unit. Powers of two keep the arithmetic exact.
func TestShiftAndScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := drawn(t, score.Raw)
		by := math.Ldexp(1, rapid.IntRange(-8, 8).Draw(t, "power"))
		shift := float64(rapid.IntRange(-1000, 1000).Draw(t, "shift"))
		y := x
		y.Scores.Value = slices.Clone(x.Scores.Value)
		for i, v := range y.Scores.Value {
			y.Scores.Value[i] = by * (v + shift)
		}
		y.Noise.TypicalError *= by
		y.Noise.Mean = by * (x.Noise.Mean + shift)
		y.Worthwhile = ptr(*x.Worthwhile * by)
		other := changes(t, y)
		for i, c := range changes(t, x) {
			o := other[i]
			c.Baseline, c.FollowUp = by*(c.Baseline+shift), by*(c.FollowUp+shift)
			c.Change, c.Narrow = times(c.Change, by), times(c.Narrow, by)
			c.SE, c.Detectable, c.Worthwhile = by*c.SE, by*c.Detectable, by*c.Worthwhile
			*c.Expected *= by
			*c.Beyond = times(*c.Beyond, by)
			if c.Selected != nil {
				*c.Selected = times(*c.Selected, by)
			}
			if diff := cmp.Diff(c, o, cmpopts.EquateNaNs(), cmpopts.EquateApprox(1e-13, 0)); diff != "" {
				t.Fatalf("in another unit (-want +got):\n%s", diff)
			}
		}
	})
}

// On the log scale a change of unit changes nothing but the unit.
func TestUnitOnTheLogScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := drawn(t, score.Log)
		const inches = 2.54
		y := x
		y.Scores.Value = slices.Clone(x.Scores.Value)
		for i := range y.Scores.Value {
			y.Scores.Value[i] *= inches
		}
		y.Noise.Mean += math.Log(inches)
		other := changes(t, y)
		for i, c := range changes(t, x) {
			c.Baseline, c.FollowUp = inches*c.Baseline, inches*c.FollowUp
			if c.Direction != "none" && other[i].Direction == "none" || math.Abs(c.Change.Value) < 1e-12 {
				continue // no change at all, to rounding
			}
			if diff := cmp.Diff(c, other[i], cmpopts.EquateNaNs(), cmpopts.EquateApprox(1e-10, 1e-12)); diff != "" {
				t.Fatalf("in another unit (-want +got):\n%s", diff)
			}
		}
	})
}

// More noise never makes a change more real.
func TestMonotoneInNoise(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := drawn(t, score.Raw)
		y := x
		y.Noise.TypicalError *= rapid.Float64Range(1.001, 10).Draw(t, "more")
		noisy := changes(t, y)
		for i, c := range changes(t, x) {
			o := noisy[i]
			if o.Past() && !c.Past() || o.P < c.P || o.Detectable <= c.Detectable ||
				o.Change.Lower >= c.Change.Lower || o.Change.Upper <= c.Change.Upper ||
				math.Abs(o.Ratio) > math.Abs(c.Ratio) {
				t.Fatalf("with more noise\n%+v became\n%+v", c, o)
			}
			if o.Verdict == retest.OutMatters && c.Verdict != retest.OutMatters {
				t.Fatalf("with more noise %q became %q", c.Verdict, o.Verdict)
			}
			if o.Verdict == retest.Steady && c.Verdict != retest.Steady && c.Verdict != retest.OutSmall {
				t.Fatalf("with more noise %q became %q", c.Verdict, o.Verdict)
			}
		}
	})
}

// What always holds within one change.
func TestChangeIsConsistent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := drawn(t, rapid.SampledFrom([]score.Scale{score.Raw, score.Log}).Draw(t, "scale"))
		if rapid.Bool().Draw(t, "components") {
			x = drawnAttempts(t)
		}
		for _, c := range changes(t, x) {
			if c.Past() != c.Change.Excludes(0) || c.Past() != (c.P < 1-0.95) ||
				c.Past() != (math.Abs(c.Change.Value) > c.Detectable) {
				t.Fatalf("real %t, p %g, change %+v, detectable %g", c.Past(), c.P, c.Change, c.Detectable)
			}
			if c.Narrow.Lower <= c.Change.Lower || c.Narrow.Upper >= c.Change.Upper {
				t.Fatalf("the narrow interval is not inside: %+v", c)
			}
			if c.PHolm < c.PBH || c.PBH < c.P {
				t.Fatalf("p %g, BH %g, Holm %g", c.P, c.PBH, c.PHolm)
			}
			if c.Chance != nil {
				sum := c.Chance.Above + c.Chance.Within + c.Chance.Below
				if math.Abs(sum-1) > 1e-14 || min(c.Chance.Above, c.Chance.Within, c.Chance.Below) < 0 {
					t.Fatalf("chance %+v", *c.Chance)
				}
			}
		}
	})
}

// Judge modifies no argument, and its result shares no memory with them.
func TestArgumentsStay(t *testing.T) {
	x := study()
	x.Noise.Scale, x.Noise.TypicalError, x.Worthwhile = score.Log, 0.1, ptr(0.05)
	x.Baseline, x.FollowUp = []string{"1", "2"}, [][]string{{"3"}, {"4"}}
	y := study()
	y.Noise.Scale, y.Noise.TypicalError, y.Worthwhile = score.Log, 0.1, ptr(0.05)
	y.Baseline, y.FollowUp = []string{"1", "2"}, [][]string{{"3"}, {"4"}}
	x.Noise.Components, y.Noise.Components = byHand(), byHand()
	r := judge(t, x)
	r.Noise[0].Components.Trial = -1
	r.Runs[0].Value[0], r.Runs[0].Sessions[0] = -1, "?"
	r.Changes[0].From[0], r.Changes[0].To[0] = "?", "?"
	r.Noise[0].Sessions[0] = "?"
	if diff := cmp.Diff(y, x); diff != "" {
		t.Errorf("changed (-before +after):\n%s", diff)
	}
}
