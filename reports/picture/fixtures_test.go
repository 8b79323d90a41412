package picture_test

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"

	"noisefloor/analysis/agreement"
	"noisefloor/analysis/association"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
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
	c := retest.Change{Athlete: athlete, Measure: "seated_throw", From: []string{"pre 1", "pre 2"},
		To:     []string{"post 1"},
		Change: estimate.Estimate{Value: d, Lower: d - det, Upper: d + det}, SE: se, DF: 40,
		Detectable: det, Worthwhile: worth, State: retest.InsideNoise, Matters: retest.MattersUnclear,
		Verdict: retest.Inside}
	if math.Abs(d) > det {
		c.State, c.Matters, c.Verdict = retest.StandsOut, retest.MattersNo, retest.OutSmall
		if math.Abs(d)-det > worth {
			c.Matters, c.Verdict = retest.MattersYes, retest.OutMatters
		}
	}
	if percent {
		e := c.Change.Map(estimate.Percent)
		c.Percent = &e
	}
	return c
}

func forest(n int) picture.ForestInput {
	return picture.ForestInput{Label: "seated throw power", Unit: "W", Better: score.Higher, Level: 0.95,
		Changes: changes(n, 28, false)}
}

// nasty names: markup, quotes, emoji, right-to-left marks, great length.
var nasty = []string{`<script>alert("x")</script>`, `O'Neil & "Sons"`, "🏏 batter", "\u202ereversed\u0000\n\tname",
	"An athlete whose code somebody made out of the whole of their name and club", "投手 七", "\xff\xfe", "", "007"}

func fixtures() map[string]func() (picture.Picture, error) {
	m := map[string]func() (picture.Picture, error){}
	for _, n := range []int{1, 8, 47, 60, 120, 600} {
		m[fmt.Sprintf("changes-%d", n)] = func() (picture.Picture, error) { return picture.ChangeForest(forest(n)) }
	}
	m["changes-narrow"] = func() (picture.Picture, error) {
		in := forest(60)
		in.Narrow = true
		return picture.ChangeForest(in)
	}
	m["changes-percent"] = func() (picture.Picture, error) {
		return picture.ChangeForest(picture.ForestInput{Label: "rotational throw speed", Better: score.Higher,
			Level: 0.95, Changes: changes(8, 0.05, true)})
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
		return picture.ChangeForest(picture.ForestInput{Label: "contact time", Unit: "s", Better: score.Lower,
			Changes: changes(6, 2e-9, false)})
	}
	m["changes-huge"] = func() (picture.Picture, error) {
		return picture.ChangeForest(picture.ForestInput{Label: "impulse", Unit: "N·s", Better: score.Higher,
			Changes: changes(6, 3e12, false)})
	}
	m["changes-partial"] = func() (picture.Picture, error) { return picture.ChangeForest(partial(12, 2)) }
	m["changes-partial-many"] = func() (picture.Picture, error) { return picture.ChangeForest(partial(60, 7)) }
	maps.Copy(m, athleteFixtures())
	maps.Copy(m, normsFixtures())
	maps.Copy(m, runFixtures())
	maps.Copy(m, agreementFixtures())
	maps.Copy(m, scatterFixtures())
	maps.Copy(m, planeFixtures())
	maps.Copy(m, noiseFixtures())
	maps.Copy(m, decisionFixtures())
	maps.Copy(m, quantileFixtures())
	return m
}

// partial invents changes of which the last few lack the first baseline session.
func partial(n, few int) picture.ForestInput {
	in := forest(n)
	in.Better = score.Unknown
	for i := n - few; i < n; i++ {
		c := &in.Changes[i]
		c.From = []string{"pre 2"}
		c.SE, c.Detectable = c.SE*1.15, c.Detectable*1.15
		c.Change.Lower, c.Change.Upper = c.Change.Value-c.Detectable, c.Change.Value+c.Detectable
		c.State, c.Verdict = retest.InsideNoise, retest.Inside
		if math.Abs(c.Change.Value) > c.Detectable {
			c.State, c.Verdict = retest.PastNoise, retest.Past
		}
	}
	return in
}

// oneAthlete invents n tests of one athlete in units of every size; every
// fourth is on the log scale, the second is better lower, the fifth nobody
// knows.
func oneAthlete(n int) picture.AthleteForestInput {
	in := picture.AthleteForestInput{Athlete: "A07", Labels: map[string]string{}, Units: map[string]string{},
		Better: map[string]score.Direction{}}
	rng := seeded()
	for i := range n {
		te := []float64{28, 0.011, 1.4, 0.04, 210}[i%5]
		percent := i%4 == 3
		if percent {
			te = 0.04
		}
		c := change("A07", te*(rng.NormFloat64()*2.5+1), te, percent)
		c.Measure, c.From = fmt.Sprintf("test_%d", i+1), []string{"1", "2"}
		c.To = []string{"3"}
		if i%3 != 0 {
			in.Labels[c.Measure] = []string{"rotational throw, time to peak", "seated throw power",
				"side throw, left", "countermovement jump height"}[i%4]
		}
		in.Units[c.Measure], in.Better[c.Measure] = []string{"W", "s", "cm", "m", "N"}[i%5], score.Higher
		if i%6 == 1 {
			in.Better[c.Measure] = score.Lower
		}
		if i%6 == 4 {
			in.Better[c.Measure] = score.Unknown
		}
		in.Changes = append(in.Changes, c)
	}
	return in
}

func athleteFixtures() map[string]maker {
	some := oneAthlete(9)
	for i := range 5 {
		some.Changes[i].From = []string{"2"}
		some.Changes[i].Detectable *= 1.2
	}
	some.Changes[7].Worthwhile = math.NaN()
	some.Changes[8].SE, some.Changes[8].Detectable = 0, 0
	odd := oneAthlete(len(nasty))
	odd.Athlete = nasty[0]
	for i := range odd.Changes {
		c := &odd.Changes[i]
		c.Athlete, odd.Labels[c.Measure], odd.Units[c.Measure], odd.Better[c.Measure] = nasty[0], nasty[i],
			nasty[(i+1)%5], score.Unknown
	}
	odd.Changes[1].Change.Upper = math.Inf(1)
	narrow := oneAthlete(18)
	narrow.Narrow = true
	m := map[string]maker{}
	for name, in := range map[string]picture.AthleteForestInput{
		"athlete": oneAthlete(18), "athlete-narrow": narrow, "athlete-one": oneAthlete(1), "athlete-partial": some,
		"athlete-nasty": odd, "athlete-many": oneAthlete(60),
	} {
		m[name] = func() (picture.Picture, error) { return picture.AthleteForest(in) }
	}
	return m
}

type maker = func() (picture.Picture, error)

func runFixtures() map[string]maker {
	nan := math.NaN()
	run := retest.Run{Athlete: "A07", Measure: "seated_throw", Sessions: []string{"pre 1", "pre 2", "post 1",
		"post 2", "post 3"},
		Value: []float64{532, 549, 583, 642, 655}, Baseline: 540.5, Low: 462, High: 619,
		State: []retest.State{"", "", retest.InsideNoise, retest.PastNoise, retest.StandsOut}}
	gap := run
	gap.Value = []float64{532, 549, nan, 433, 500}
	long := retest.Run{Athlete: nasty[4], Measure: "seated_throw", Baseline: 1e6, Low: 1e6 - 0.01, High: 1e6 + 0.01}
	for i := range 40 {
		long.Sessions = append(long.Sessions, fmt.Sprintf("2026-%02d-%02d morning session", i/28+1, i%28+1))
		long.Value = append(long.Value, 1e6+0.004*float64(i%7-3)+0.0005*float64(i))
		state := retest.State("")
		switch {
		case i > 35:
			state = retest.StandsOut
		case i > 1:
			state = retest.InsideNoise
		}
		long.State = append(long.State, state)
	}
	one := retest.Run{Athlete: "<b>", Measure: "x", Sessions: []string{""}, Value: []float64{-3}, Baseline: -3,
		Low: -3, High: -3, State: []retest.State{""}}
	m := map[string]maker{}
	for name, r := range map[string]retest.Run{"run": run, "run-gap": gap, "run-long": long, "run-one": one} {
		m[name] = func() (picture.Picture, error) {
			return picture.AthleteRun(picture.RunInput{Run: r, Label: "seated throw power", Unit: "W",
				Better: score.Higher})
		}
	}
	return m
}

// pairs invents n athletes on two occasions.
func pairs(n int, centre, sd float64) agreement.Result {
	rng := seeded()
	r := agreement.Result{From: "pre 1", To: "pre 2", N: n, Level: 0.95, Coverage: 0.95, SD: sd}
	for i := range n {
		r.Points = append(r.Points, agreement.Point{Athlete: fmt.Sprintf("A%02d", i+1),
			Mean: centre * (1 + 0.12*rng.NormFloat64()), Difference: sd*0.2 + sd*rng.NormFloat64()})
	}
	se := sd / math.Sqrt(float64(n))
	around := func(v, half float64) estimate.Estimate {
		return estimate.Estimate{Value: v, Lower: v - half, Upper: v + half}
	}
	r.Bias = around(sd*0.2, 2*se)
	r.Lower, r.Upper = around(sd*0.2-1.96*sd, 3.4*se), around(sd*0.2+1.96*sd, 3.4*se)
	return r
}

func agreementFixtures() map[string]maker {
	m := map[string]maker{}
	for name, in := range map[string]picture.AgreementInput{
		"agreement-8":  {Result: pairs(8, 540, 40), Label: "seated throw power", Unit: "W"},
		"agreement-60": {Result: pairs(60, 540, 40), Label: "seated throw power", Unit: "W"},
		"agreement-log": {Result: func() agreement.Result {
			r := pairs(24, 1, 0.06)
			for i := range r.Points {
				r.Points[i].Mean += 5
			}
			return r
		}(), Label: "rotational throw speed", Unit: "m/s", Scale: score.Log},
		"agreement-nasty": {Result: func() agreement.Result {
			r := pairs(len(nasty), -4e-5, 3e-6)
			for i := range r.Points {
				r.Points[i].Athlete = nasty[i]
				r.Points[i].Difference *= 2
			}
			r.Upper.Upper = math.Inf(1)
			r.Points[3].Mean = math.NaN()
			return r
		}(), Label: nasty[0], Unit: "<W>"},
		"agreement-equal": {Result: agreement.Result{From: "a", To: "b", N: 1,
			Points: []agreement.Point{{Athlete: "A1", Mean: 5}},
			Lower:  estimate.Bare(math.NaN(), estimate.TooFew), Upper: estimate.Bare(math.NaN(), estimate.TooFew),
			Bias: estimate.Bare(0, estimate.TooFew)}, Label: "x"},
	} {
		m[name] = func() (picture.Picture, error) { return picture.Agreement(in) }
	}
	return m
}

func r(value, half float64, n int) association.Correlation {
	z := math.Atanh(value)
	return association.Correlation{Estimate: estimate.Estimate{Value: value, Lower: math.Tanh(z - half),
		Upper: math.Tanh(z + half)}, N: n, P: 0.01, PHolm: math.Abs(half / (12 * value * value))}
}

func scatter(n int, levels ...string) picture.ScatterInput {
	rng := seeded()
	a := association.Association{Measure: "rot_throw", Unit: "m/s", Plane: "transverse", N: n, Pearson: r(0.66, 0.26,
		n)}
	if len(levels) > 0 {
		a.Within = &association.WithinGroups{Correlation: r(0.34, 0.27, n)}
	}
	for i := range n {
		level, shift := "", 0.0
		if len(levels) > 0 {
			level, shift = levels[i%len(levels)], float64(i%len(levels))
		}
		x := 9 + shift*0.8 + rng.NormFloat64()*0.7
		a.Points = append(a.Points, association.Point{Athlete: fmt.Sprintf("A%02d", i+1), Group: level, X: x,
			Y: 60 + 5*x + 4*shift + rng.NormFloat64()*5})
	}
	for i, l := range levels {
		a.Within.Groups = append(a.Within.Groups, association.GroupR{Group: l, Correlation: r(0.3+0.1*float64(i%3),
			0.5, n/len(levels))})
	}
	in := picture.ScatterInput{Association: a, TestLabel: "rotational throw speed", OutcomeLabel: "ball speed",
		OutcomeUnit: "km/h", GroupName: "squad"}
	in.Line = [2]picture.XY{{X: 7.5, Y: 94}, {X: 12.5, Y: 137}}
	for i := range 21 {
		x := 7.5 + 0.25*float64(i)
		in.Band = append(in.Band, picture.XY{X: x, Y: 94 + 8.6*(x-7.5) + 2 + 0.4*(x-10)*(x-10)})
	}
	for i := 20; i >= 0; i-- {
		x := 7.5 + 0.25*float64(i)
		in.Band = append(in.Band, picture.XY{X: x, Y: 94 + 8.6*(x-7.5) - 2 - 0.4*(x-10)*(x-10)})
	}
	return in
}

func scatterFixtures() map[string]maker {
	odd := scatter(18, nasty...)
	odd.TestLabel, odd.Association.Unit = nasty[4], "<&>"
	bare := scatter(1)
	bare.Line, bare.Band = [2]picture.XY{}, nil
	bare.Association.Pearson.Estimate = estimate.Bare(math.NaN(), estimate.TooFew)
	same := scatter(8, "junior", "senior")
	for i := range same.Association.Points {
		same.Association.Points[i].X, same.Association.Points[i].Y = 3, -7e9
	}
	steep := scatter(8, "academy", "senior")
	for i := range steep.Band { // a band far wider than the marks
		steep.Band[i].Y += 30 * (steep.Band[i].Y - 94 - 8.6*(steep.Band[i].X-7.5))
	}
	m := map[string]maker{}
	for name, in := range map[string]picture.ScatterInput{
		"scatter-wide": steep,
		"scatter-60":   scatter(60, "academy", "county", "senior"), "scatter-8": scatter(8, "academy", "senior"),
		"scatter-none": scatter(47), "scatter-nasty": odd, "scatter-one": bare, "scatter-same": same,
		"scatter-900": scatter(900, "academy", "county", "senior", "under 15", "under 17", "masters"),
	} {
		m[name] = func() (picture.Picture, error) { return picture.Scatter(in) }
	}
	return m
}

func planes(within bool) picture.PlaneInput {
	in := picture.PlaneInput{Result: association.Result{Outcome: "ball_speed", Level: 0.95},
		OutcomeLabel: "ball speed", GroupName: "squad", Within: within, Labels: map[string]string{}}
	for i, t := range []struct {
		label, plane string
		r            float64
	}{{"rotational throw", "transverse", 0.72}, {"rotational throw, off side", "transverse", 0.55}, {"seated twist",
		"transverse", 0.61}, {"scoop throw", "transverse", 0.48},
		{"countermovement jump", "sagittal", 0.31}, {"standing long jump", "sagittal", 0.22}, {"20 m sprint",
			"sagittal", -0.28}, {"mid-thigh pull", "sagittal", 0.12}, {"overhead throw", "sagittal", 0.44},
		{"lateral bound", "frontal", 0.35}, {"side plank", "frontal", -0.05}, {"grip", "", 0.2}} {
		name := fmt.Sprintf("m%d", i)
		in.Labels[name] = t.label
		a := association.Association{Measure: name, Plane: t.plane, N: 47 - i%4, Pearson: r(t.r, 0.3, 47)}
		if i != 5 {
			a.Within = &association.WithinGroups{Correlation: r(t.r*0.6, 0.31, 44)}
		}
		in.Result.Associations = append(in.Result.Associations, a)
	}
	for _, p := range []string{"transverse", "frontal", "sagittal"} {
		in.Result.Planes = append(in.Result.Planes, association.PlaneSummary{Plane: p, Tests: 4, MeanR: 0.4})
	}
	return in
}

func planeFixtures() map[string]maker {
	odd := planes(true)
	odd.Labels["m0"], odd.Labels["m1"], odd.Result.Associations[2].Plane = nasty[0], nasty[4], nasty[1]
	odd.Result.Associations[3].Pearson.Value = math.NaN()
	odd.Result.Associations[4].Pearson = r(0.9999999, 0.3, 3)
	one := planes(false)
	one.Result.Associations = one.Result.Associations[:1]
	oneWithin := planes(true)
	oneWithin.Result.Associations = oneWithin.Result.Associations[:1]
	odd.Result.Associations[6].Within = nil
	narrow := planes(true)
	narrow.Narrow = true
	m := map[string]maker{}
	for name, in := range map[string]picture.PlaneInput{"planes-one-within": oneWithin, "planes": planes(false),
		"planes-within": planes(true), "planes-nasty": odd, "planes-one": one, "planes-narrow": narrow} {
		m[name] = func() (picture.Picture, error) { return picture.PlaneForest(in) }
	}
	return m
}

func noiseRow(label string, te, worth float64) picture.NoiseRow {
	det := 2.8 * te
	return picture.NoiseRow{Label: label, Athletes: 40 + len(label)%8, TypicalError: estimate.Estimate{Value: te,
		Lower: te * 0.82, Upper: te * 1.3}, Detectable: 0.7 * det, Seen: det, Worthwhile: worth, Ratio: det / worth}
}

func noiseFixtures() map[string]maker {
	rows := []picture.NoiseRow{noiseRow("rotational throw", 2.1, 3.2), noiseRow("seated throw power", 4.4, 4.1),
		noiseRow("standing long jump", 1.2, 3.6), noiseRow("grip", 3.3, 3.4),
		noiseRow("countermovement jump height", 1.9, 5.8), noiseRow("20 m sprint", 0.8, 0.6), noiseRow("scoop throw",
			3.9, 4.2), noiseRow("lateral bound", 5.2, 2.8)}
	useless := noiseRow("trunk twist time", 48, 3)
	none := picture.NoiseRow{Label: "balance score", Athletes: 44, TypicalError: estimate.Bare(math.NaN(),
		estimate.NotPositive), Detectable: math.NaN(), Seen: math.NaN(), Worthwhile: math.NaN(), Ratio: math.NaN()}
	noWorth := noiseRow("mid-thigh pull", 2.6, math.NaN())
	bad := noiseRow(nasty[0], 1e-9, 2e-9)
	bad.TypicalError.Upper = math.Inf(1)
	zero := noiseRow("always the same", 0, 0)
	var many []picture.NoiseRow
	for i := range 40 {
		many = append(many, noiseRow(fmt.Sprintf("measure %d", i+1), 1+float64(i%9)/3, 2+float64(i%5)))
	}
	m := map[string]maker{}
	for name, in := range map[string][]picture.NoiseRow{
		"noise": append(append([]picture.NoiseRow{}, rows...), useless, none, noWorth), "noise-one": rows[:1],
		"noise-nasty": {bad, none}, "noise-zero": {zero}, "noise-many": many,
	} {
		m[name] = func() (picture.Picture, error) { return picture.NoiseOverview(picture.NoiseInput{Rows: in}) }
	}
	return m
}
