package picture_test

import (
	"errors"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"noisefloor/analysis/association"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/reports/picture"
)

// text is all that a picture says, in the drawing and beside it.
func text(t *testing.T, p picture.Picture) string {
	t.Helper()
	words := []string{p.Title, p.Caption, p.Alt, p.Table.Caption}
	for _, l := range labels(t, p) {
		words = append(words, l.text)
	}
	return strings.Join(words, " ")
}

func made(t *testing.T) func(picture.Picture, error) picture.Picture {
	return func(p picture.Picture, err error) picture.Picture {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
}

// An unknown direction is neither the higher nor the lower.
func TestUnknownDirectionSaysNothing(t *testing.T) {
	for d, want := range map[score.Direction]string{score.Higher: "higher is better", score.Lower: "lower is better",
		score.Unknown: ""} {
		in := forest(4)
		in.Better = d
		run := picture.RunInput{Better: d, Label: "power", Run: retest.Run{Sessions: []string{"1", "2"},
			Value: []float64{1, 2}, Baseline: 1, Low: 0, High: 3, State: []retest.State{"", retest.InsideNoise}}}
		for _, p := range []picture.Picture{made(t)(picture.ChangeForest(in)), made(t)(picture.AthleteRun(run))} {
			words := text(t, p)
			if want == "" && strings.Contains(words, "better") || !strings.Contains(words, want) {
				t.Errorf("direction %d: %s", d, words)
			}
			if strings.HasSuffix(p.Plot.X.Label.Text, ", ") {
				t.Errorf("loose comma in %q", p.Plot.X.Label.Text)
			}
		}
	}
}

func TestPartBaselineStaysOnOnePicture(t *testing.T) {
	in := partial(12, 5)
	p := made(t)(picture.ChangeForest(in))
	if len(p.Table.Rows) != 12 {
		t.Errorf("%d of 12 athletes drawn", len(p.Table.Rows))
	}
	words := text(t, p)
	if want := "Changes in seated throw power, sessions pre 1+pre 2 to post 1"; p.Title != want {
		t.Errorf("title %q, want %q", p.Title, want)
	}
	if n := strings.Count(words, "baseline is session pre 2 alone"); n != 3 || !strings.Contains(words,
		"; 2 more athletes have only some of the sessions.") {
		t.Errorf("%d athletes named of 3, then 2 more: %s", n, words)
	}
	if words := text(t, made(t)(picture.ChangeForest(partial(12, 1)))); !strings.Contains(words,
		"A12: baseline is session pre 2 alone.") {
		t.Errorf("one athlete: %s", words)
	}
	if words := text(t, made(t)(picture.ChangeForest(partial(12, 4)))); !strings.Contains(words,
		"; 1 more athlete has only some of the sessions.") {
		t.Errorf("four athletes: %s", words)
	}
	in.Changes[3].To = []string{"post 1", "post 2"}
	in.Occasion.FollowUp = []string{"post 1"}
	if _, err := picture.ChangeForest(in); !errors.Is(err, picture.ErrMixed) {
		t.Errorf("another follow-up: %v", err)
	}
	in.Occasion.FollowUp = []string{"post 1", "post 2"}
	p = made(t)(picture.ChangeForest(in))
	if !strings.HasSuffix(p.Title, "to post 1+post 2") || !strings.Contains(text(t, p),
		"follow-up is session post 1 alone") {
		t.Errorf("part of a follow-up: %s", text(t, p))
	}
}

func TestTitlesNameSessions(t *testing.T) {
	c := change("C1", 200, 28, false)
	c.From, c.To = []string{"2"}, []string{"3"}
	if p := made(t)(picture.ChangeForest(picture.ForestInput{Label: "throw",
		Changes: []retest.Change{c}})); p.Title != "Changes in throw, session 2 to 3" {
		t.Errorf("title %q", p.Title)
	}
	r := pairs(8, 540, 40)
	r.From, r.To = "1", "2"
	p := made(t)(picture.Agreement(picture.AgreementInput{Result: r, Label: "throw power", Name: "throw_power",
		Unit: "W"}))
	words := text(t, p)
	for _, want := range []string{"Throw power: agreement of sessions 1 and 2",
		"difference, session 2 minus session 1 (W)", "throw power, mean of sessions 1 and 2 (W)",
		"session 2 differs from session 1 by"} {
		if !strings.Contains(words, want) {
			t.Errorf("no %q in %s", want, words)
		}
	}
	r.From, r.To = "first session", "second session"
	if p := made(t)(picture.Agreement(picture.AgreementInput{Result: r, Label: "x"})); !strings.Contains(p.Title,
		"agreement of first session and second session") {
		t.Errorf("title %q", p.Title)
	}
}

// A measure that has no label keeps its name as it is written in the table.
func TestIdentifiersAreNotCapitalised(t *testing.T) {
	run := retest.Run{Measure: "throw_left", Sessions: []string{"1"}, Value: []float64{1}, Baseline: 1, Low: 0,
		High: 3, State: []retest.State{""}}
	same := run
	same.Measure = "grip"
	s := scatter(8)
	s.OutcomeLabel, s.Outcome = "speed", "speed"
	named := scatter(8)
	named.Outcome = "ball_speed"
	for _, tt := range []struct {
		p    picture.Picture
		want string
	}{
		{made(t)(picture.AthleteRun(picture.RunInput{Run: run})), "throw_left, session"},
		{made(t)(picture.AthleteRun(picture.RunInput{Run: run, Label: "throw_left"})), "throw_left, session"},
		{made(t)(picture.AthleteRun(picture.RunInput{Run: same, Label: "grip"})), "grip, session"},
		{made(t)(picture.AthleteRun(picture.RunInput{Run: same, Label: "grip strength"})), "Grip strength, session"},
		{made(t)(picture.Agreement(picture.AgreementInput{Result: pairs(8, 5, 1), Label: "grip", Name: "grip"})),
			"grip: agreement"},
		{made(t)(picture.Scatter(s)), "speed against"},
		{made(t)(picture.Scatter(named)), "Ball speed against"},
	} {
		if !strings.HasPrefix(tt.p.Title, tt.want) {
			t.Errorf("title %q, want %q", tt.p.Title, tt.want)
		}
	}
}

// One of something is never "1 athletes", "1 of 1 athlete" or "the other 1".
func TestOneIsSingular(t *testing.T) {
	real := change("A1", 200, 28, false)
	real.State, real.Verdict = retest.StandsOut, retest.OutSmall
	one := planes(true)
	one.Result.Associations = one.Result.Associations[:1]
	plain := planes(false)
	plain.Result.Associations = plain.Result.Associations[10:11]
	run := retest.Run{Athlete: "A1", Measure: "x", Sessions: []string{"1", "2"}, Value: []float64{1, 9}, Baseline: 1,
		Low: 0, High: 3, State: []retest.State{"", retest.StandsOut}}
	still := run
	still.State = []retest.State{"", retest.InsideNoise}
	for _, tt := range []struct {
		p    picture.Picture
		want string
	}{
		{made(t)(picture.ChangeForest(forest(1))), "The change of A01 in seated throw power lies inside the noise"},
		{made(t)(picture.ChangeForest(picture.ForestInput{Label: "throw", Changes: []retest.Change{real}})),
			"The change of A1 in throw stands out from the noise"},
		{made(t)(picture.ChangeForest(picture.ForestInput{Label: "throw", Changes: []retest.Change{real, change("A2",
			1, 28, false)}})), "Inside it: 1."},
		{made(t)(picture.PlaneForest(one)), "The one test goes with ball speed within squad"},
		{made(t)(picture.PlaneForest(plain)), "The one test has an r with ball speed whose"},
		{made(t)(picture.NoiseOverview(picture.NoiseInput{Rows: []picture.NoiseRow{noiseRow("jump", 2, 3)}})),
			"The one test cannot tell"},
		{made(t)(picture.NoiseOverview(picture.NoiseInput{Rows: []picture.NoiseRow{noiseRow("jump", 1, 3)}})),
			"The one test can tell"},
		{made(t)(picture.AthleteRun(picture.RunInput{Run: run})),
			"the one judged session is past the noise, session 2 ("},
		{made(t)(picture.AthleteRun(picture.RunInput{Run: still})), "the one judged session is not past the noise"},
		{made(t)(picture.AthleteForest(oneAthlete(1))), "The change of athlete A07 in test_1"},
	} {
		words := text(t, tt.p)
		if !strings.Contains(words, tt.want) {
			t.Errorf("no %q in %s", tt.want, words)
		}
		for _, bad := range []string{"1 of 1", "1 tests", "1 athletes", "1 sessions", "1 judged sessions", "other 1."} {
			if strings.Contains(" "+words, " "+bad) {
				t.Errorf("%q in %s", bad, words)
			}
		}
	}
}

// Expected order by hand: r within level is 0.6 of r over all in the fixture,
// but for the two that are set here.
func TestWithinLevelLeadsThePlanes(t *testing.T) {
	in := planes(true)
	all := in.Result.Associations
	all[2].Within.Correlation = r(-0.8, 0.3, 40) // seated twist: the closest, the other way
	all[0].Within.Correlation = r(0.1, 0.3, 40)  // rotational throw: the closest over all only
	in.Result.Associations = all[:4]
	p := made(t)(picture.PlaneForest(in))
	var order []string
	for _, row := range p.Table.Rows {
		order = append(order, row[0])
	}
	if want := []string{"seated twist", "rotational throw, off side", "scoop throw",
		"rotational throw"}; !slices.Equal(order, want) {
		t.Errorf("order %v, want %v", order, want)
	}
	if row := p.Table.Rows[0]; p.Table.Header[3] != "r within squad" || row[3] != "−0.80" || row[2] != "40" ||
		row[8] != "0.61" {
		t.Errorf("header %v, row %v", p.Table.Header, row)
	}
	if want := "; the largest r within squad is that of seated twist, −0.80"; !strings.Contains(p.Caption, want) ||
		!strings.Contains(p.Caption, "over all athletes, levels mixed, 4 of 4 would seem to") {
		t.Errorf("caption %s", p.Caption)
	}
	if !strings.Contains(p.Alt, "closest within squad is seated twist, r −0.80") {
		t.Errorf("alternative %s", p.Alt)
	}
	b := string(svg(t, p, picture.Options{}))
	if !strings.Contains(b, ">over all 0.72 (") || strings.Count(b, "font-weight:bold") < 5 {
		t.Error("no pale over-all number, or main numbers that are not bold")
	}
	if f, h := len(filled.FindAllString(b, -1)), len(hollow.FindAllString(b, -1)); f+h != 4 {
		t.Errorf("%d big marks, want 4", f+h)
	}
	// Without levels nothing is said of them, and r itself is the order.
	in.Within = false
	p = made(t)(picture.PlaneForest(in))
	if p.Table.Rows[0][0] != "rotational throw" || strings.Contains(text(t, p), "over all") ||
		strings.Contains(text(t, p), "within") {
		t.Errorf("without levels: %s", text(t, p))
	}
}

func TestPlanesWithoutAnyWithin(t *testing.T) {
	in := planes(true)
	for i := range in.Result.Associations {
		in.Result.Associations[i].Within = &association.WithinGroups{Correlation: association.Correlation{Estimate: estimate.Bare(math.NaN(), estimate.TooFew)}}
	}
	if words := text(t, made(t)(picture.PlaneForest(in))); strings.Contains(words, "within") {
		t.Errorf("%s", words)
	}
}

// The line and its band end inside the panel, or the note says that they do not.
func TestBandIsNotCutOff(t *testing.T) {
	in := scatter(60, "academy", "senior")
	p := made(t)(picture.Scatter(in))
	for _, at := range in.Band {
		if at.Y < p.Plot.Y.Min || at.Y > p.Plot.Y.Max {
			t.Errorf("band at %v, axis %g to %g", at, p.Plot.Y.Min, p.Plot.Y.Max)
		}
	}
	if strings.Contains(text(t, p), "beyond the axis") {
		t.Error("a whole band is said to be cut")
	}
	p = made(t)(fixtures()["scatter-wide"]())
	if !strings.Contains(text(t, p), "It goes on beyond the axis.") {
		t.Error("a band that is cut is not said to be")
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, row := range p.Table.Rows[:8] {
		v := fromTable(t, row[3])
		low, high = min(low, v), max(high, v)
	}
	if p.Plot.Y.Max-p.Plot.Y.Min > 2.5*(high-low) {
		t.Errorf("the axis, %g to %g, leaves the marks (%g to %g) too little room", p.Plot.Y.Min, p.Plot.Y.Max, low,
			high)
	}
}

// By hand: two tests with a standard error of 10 and 0.02; a fall of 40 ms where
// lower is better is +4 standard errors, a rise of 0.03 m is +1.5, and the one
// that nobody knows stands last with a dagger.
func TestAthleteForest(t *testing.T) {
	build := func(m string, d, se float64, real bool) retest.Change {
		c := retest.Change{Athlete: "C21", Measure: m, From: []string{"1", "2"}, To: []string{"3"}, SE: se, DF: 20,
			Detectable: 2 * se, Worthwhile: se / 2,
			Change: estimate.Estimate{Value: d, Lower: d - 2*se, Upper: d + 2*se}, State: state(real),
			Verdict: retest.Inside}
		return c
	}
	in := picture.AthleteForestInput{Athlete: "C21", Labels: map[string]string{"jump": "Jump height"},
		Units:  map[string]string{"time": "ms", "jump": "m", "feel": "points", "fade": "W"},
		Better: map[string]score.Direction{"time": score.Lower, "jump": score.Higher, "fade": score.Higher},
		Changes: []retest.Change{build("feel", 50, 10, true), build("jump", 0.03, 0.02, false), build("time", -40, 10,
			true), build("fade", -30, 10, true)}}
	p := made(t)(picture.AthleteForest(in))
	if want := "Athlete C21: change in 4 tests, sessions 1+2 to 3"; p.Title != want || p.Name != "athlete-c21-3" {
		t.Errorf("title %q, name %q", p.Title, p.Name)
	}
	if want := "Athlete C21, sessions 1+2 to 3: 3 of 4 tests stand out from the noise (1 for the better, 1 for the worse, 1 upwards)."; p.Caption != want {
		t.Errorf("caption\n%s\nwant\n%s", p.Caption, want)
	}
	for i, want := range [][]string{
		{"time", "ms", "−40", "−60", "−20", "better", "+2.00", "+1.00", "+3.00", "1.00", "0.25", "stands out"},
		{"Jump height", "m", "+0.030", "−0.010", "+0.070", "better", "+0.75", "−0.25", "+1.75", "1.00", "0.25",
			"inside"},
		{"fade", "W", "−30", "−50", "−10", "worse", "−1.50", "−2.50", "−0.50", "1.00", "0.25", "stands out"},
		{"feel", "points", "+50", "+30", "+70", "rise", "+2.50", "+1.50", "+3.50", "1.00", "0.25", "stands out"},
	} {
		if got := p.Table.Rows[i][:12]; !slices.Equal(got, want) {
			t.Errorf("row %d\n%q\nwant\n%q", i, got, want)
		}
	}
	words := text(t, p)
	for _, want := range []string{"−40 ms (−60 to −20)", "worse ← change, times the noise → better", "feel †",
		"Turned, since lower is better: time.", "†: which way is better is not known"} {
		if !strings.Contains(words, want) {
			t.Errorf("no %q in %s", want, words)
		}
	}
	in.Better = map[string]score.Direction{"time": score.Unknown, "jump": score.Unknown, "feel": score.Unknown,
		"fade": score.Unknown}
	if words := text(t, made(t)(picture.AthleteForest(in))); !strings.Contains(words,
		"fall ← change, times the noise → rise") || strings.Contains(words, "for the") {
		t.Errorf("all unknown: %s", words)
	}
	in.Changes[0].Athlete = "C22"
	if _, err := picture.AthleteForest(in); !errors.Is(err, picture.ErrMixed) {
		t.Errorf("two athletes: %v", err)
	}
	in.Changes = in.Changes[1:]
	in.Changes[0].To = []string{"4"}
	if _, err := picture.AthleteForest(in); !errors.Is(err, picture.ErrMixed) {
		t.Errorf("two follow-ups: %v", err)
	}
	if _, err := picture.AthleteForest(picture.AthleteForestInput{Athlete: "C1"}); !errors.Is(err, picture.ErrNothing) {
		t.Errorf("no change: %v", err)
	}
}

// Marks and band share an axis: a change is filled exactly when it is outside.
func TestAthleteForestBand(t *testing.T) {
	p := made(t)(picture.AthleteForest(oneAthlete(60)))
	yes := 0
	for _, row := range p.Table.Rows {
		at, noise := fromTable(t, row[6]), fromTable(t, row[9])
		if (math.Abs(at) > noise) != (row[11] != "inside") {
			t.Errorf("%q", row)
		}
		if row[11] != "inside" {
			yes++
		}
	}
	if yes == 0 || yes == 60 {
		t.Errorf("%d of 60 past the noise tests nothing", yes)
	}
}

var (
	levelMark = regexp.MustCompile(`<path d="([^"]*)" style="fill:#(?:0072B2|D55E00|009E73)"`)
	corner    = regexp.MustCompile(`[ML ]([\d.]+),([\d.]+)`)
)

// No label of a level stands on a mark, whatever its shape.
func TestLevelLabelsKeepOffMarks(t *testing.T) {
	beside := 0
	for _, n := range []int{8, 24, 60, 120} {
		p := made(t)(picture.Scatter(scatter(n, "academy", "county", "senior")))
		marks := levelMark.FindAllStringSubmatch(string(svg(t, p, picture.Options{})), -1)
		if len(marks) < n {
			t.Fatalf("n %d: %d marks found", n, len(marks))
		}
		for _, l := range labels(t, p) {
			if !strings.Contains(l.text, "(n = ") || l.top < 62 { // those above the panel have a mark as their key
				continue
			}
			beside++
			for _, m := range marks {
				left, top, right, bottom := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
				for _, c := range corner.FindAllStringSubmatch(m[1], -1) {
					x, y := parse(t, c[1]), p.Height.Points()-parse(t, c[2])
					left, right, top, bottom = min(left, x), max(right, x), min(top, y), max(bottom, y)
				}
				if l.left < right && left < l.right && l.top < bottom && top < l.bottom {
					t.Errorf("n %d: %q lies on the mark at %g to %g, %g to %g", n, l.text, left, right, top, bottom)
				}
			}
		}
	}
	if beside < 4 {
		t.Errorf("only %d labels stand among the marks", beside)
	}
}

// state is standing out, or inside the noise.
func state(out bool) retest.State {
	if out {
		return retest.StandsOut
	}
	return retest.InsideNoise
}
