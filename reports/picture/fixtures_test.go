package picture_test

import (
	"fmt"
	"math"
	"math/rand/v2"

	"noisefloor/analysis/estimate"
	"noisefloor/analysis/retest"
	"noisefloor/reports/picture"
)

// Every number in the fixtures is invented; they have the shape of results,
// not their truth.

func seeded() *rand.Rand { return rand.New(rand.NewPCG(7, 11)) }

// changes invents n changes on a noise of sqrt(2)*te; on the log scale when
// percent is set.
func changes(n int, te float64, percent bool) []retest.Change {
	rng := seeded()
	out := make([]retest.Change, n)
	for i := range out {
		d := rng.NormFloat64()*te*2 + te
		out[i] = change(fmt.Sprintf("A%02d", i+1), d, te, percent)
		out[i].Baseline = 540 + rng.NormFloat64()*60
		out[i].FollowUp = out[i].Baseline + d
		if percent {
			out[i].FollowUp = out[i].Baseline * math.Exp(d)
		}
	}
	return out
}

func change(athlete string, d, te float64, percent bool) retest.Change {
	se, worth := te*math.Sqrt2, te*1.2
	det := 1.96 * se
	c := retest.Change{Athlete: athlete, Measure: "seated_throw", From: []string{"pre 1", "pre 2"}, To: []string{"post 1"},
		Change: estimate.Estimate{Value: d, Lower: d - det, Upper: d + det}, SE: se, DF: 40,
		Detectable: det, Worthwhile: worth, Real: math.Abs(d) > det, Verdict: retest.WithinNoise}
	if c.Real {
		c.Verdict = retest.RealSmall
		if math.Abs(d)-det > worth {
			c.Verdict = retest.RealWorthwhile
		}
	}
	if percent {
		e := c.Change.Map(estimate.Percent)
		c.Percent = &e
	}
	return c
}

func forest(n int) picture.ForestInput {
	return picture.ForestInput{Label: "seated throw power", Unit: "W", Level: 0.95, Changes: changes(n, 28, false)}
}

// nasty names: markup, quotes, emoji, right-to-left marks, great length.
var nasty = []string{`<script>alert("x")</script>`, `O'Neil & "Sons"`, "🏏 batter", "\u202ereversed\u0000\n\tname",
	"An athlete whose code somebody made out of the whole of their name and club", "投手 七", "\xff\xfe", "", "007"}

func fixtures() map[string]func() (picture.Picture, error) {
	m := map[string]func() (picture.Picture, error){}
	for _, n := range []int{1, 8, 47, 60, 120, 600} {
		m[fmt.Sprintf("changes-%d", n)] = func() (picture.Picture, error) { return picture.ChangeForest(forest(n)) }
	}
	m["changes-percent"] = func() (picture.Picture, error) {
		return picture.ChangeForest(picture.ForestInput{Label: "rotational throw speed", Level: 0.95, Changes: changes(8, 0.05, true)})
	}
	m["changes-nasty"] = func() (picture.Picture, error) {
		in := forest(len(nasty))
		for i := range in.Changes {
			in.Changes[i].Athlete = nasty[i]
		}
		in.Changes[2].Change.Upper = math.Inf(1)
		in.Changes[3].Change.Value = math.NaN()
		in.Changes[4].Detectable *= 1.5
		in.Label = `power of the <b>two-handed rotational medicine-ball throw</b> from a standing start, dominant side & with countermovement`
		return picture.ChangeForest(in)
	}
	m["changes-equal"] = func() (picture.Picture, error) {
		in := forest(5)
		for i := range in.Changes {
			in.Changes[i] = change(fmt.Sprintf("A%02d", i+1), 0, 0, false)
		}
		return picture.ChangeForest(in)
	}
	m["changes-tiny"] = func() (picture.Picture, error) {
		return picture.ChangeForest(picture.ForestInput{Label: "contact time", Unit: "s", Better: 1, Changes: changes(6, 2e-9, false)})
	}
	m["changes-huge"] = func() (picture.Picture, error) {
		return picture.ChangeForest(picture.ForestInput{Label: "impulse", Unit: "N·s", Changes: changes(6, 3e12, false)})
	}
	return m
}
