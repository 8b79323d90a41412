package reports_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"html"
	"math"
	"slices"
	"strings"
	"testing"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/reports"
	"noisefloor/reports/picture"
	"noisefloor/reports/table"
)

func csvOf(t *testing.T, x table.Table) [][]string {
	t.Helper()
	var b bytes.Buffer
	if err := x.WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// columnOf returns a column of a table as CSV has it.
func columnOf(t *testing.T, v reports.View, name, key string) []string {
	t.Helper()
	for _, x := range v.Tables() {
		if x.Name != name {
			continue
		}
		rows := csvOf(t, x)
		j := slices.Index(rows[0], key)
		if j < 0 {
			t.Fatalf("table %s has no %s", name, key)
		}
		var out []string
		for _, row := range rows[1:] {
			out = append(out, row[j])
		}
		return out
	}
	t.Fatalf("no table %s", name)
	return nil
}

// everyForm is the view as text, Markdown and a page.
func everyForm(t *testing.T, v reports.View) map[string]string {
	t.Helper()
	var text, markdown bytes.Buffer
	if err := reports.WriteText(&text, v, reports.TextOptions{Details: true, Width: 100_000}); err != nil {
		t.Fatal(err)
	}
	if err := reports.WriteMarkdown(&markdown, v); err != nil {
		t.Fatal(err)
	}
	page := html.UnescapeString(write(t, reports.Page{Title: v.Title(), Views: []reports.View{v}}))
	return map[string]string{"text": text.String(), "Markdown": strings.ReplaceAll(markdown.String(), "&gt;", ">"),
		"page": page}
}

func says(t *testing.T, v reports.View, words ...string) {
	t.Helper()
	for form, all := range everyForm(t, v) {
		for _, w := range words {
			if !strings.Contains(all, w) {
				t.Errorf("%s does not say %q", form, w)
			}
		}
	}
}

// fallOf is a change of a lower-is-better measure on the log scale: −12 %.
func fallOf(athlete string) retest.Change {
	d := math.Log(0.88)
	e := estimate.Estimate{Value: d, Lower: d - 0.06, Upper: d + 0.06}
	p := e.Map(estimate.Percent)
	return retest.Change{Athlete: athlete, Measure: "sprint", From: []string{"1"}, To: []string{"3"}, Baseline: 2,
		FollowUp: 1.76, Change: e, Narrow: e, Percent: &p,
		SE: 0.03, DF: 30, Detectable: 0.06, Worthwhile: 0.05, State: retest.StandsOut, Matters: retest.MattersUnclear,
		Verdict:   retest.OutMay,
		Direction: "fall", Better: "better", P: 0.002, PBH: 0.004, PHolm: 0.006, Chance: &retest.Chance{Above: 0.15,
			Within: 0.23, Below: 0.62}}
}

// sprints counts the family as the judge does.
func sprints(changes ...retest.Change) reports.Retest {
	f := retest.Family{Changes: len(changes), ExpectedFalseAlarms: 0.05 * float64(len(changes))}
	for _, c := range changes {
		if c.Past() {
			f.PastNoise++
		}
		if c.Out() {
			f.StandOut++
		}
	}
	f.UpTo = 1
	return reports.Retest{About: reports.About{Labels: map[string]string{"sprint": "Sprint"},
		Better: map[string]score.Direction{"sprint": score.Lower}},
		Result: retest.Result{Level: 0.95, Narrow: 0.8, Changes: changes, Family: f,
			Occasions: []retest.Occasion{{Baseline: []string{"1"}, FollowUp: []string{"3"}}},
			Noise: []noise.Model{{Measure: "sprint", Unit: "s", Scale: score.Log, TypicalError: 0.021, DF: 30,
				Source: "sessions 1, 2"}}}}
}

// One athlete, one test: the verdict first, then the change, then what to ignore.
func TestSentencesOfOneChange(t *testing.T) {
	says(t, sprints(fallOf("A1")), "A1, Sprint, session 1 to 3: stands out, may matter.",
		"Changed by −12 % (95 % interval −17 to −7), a fall, for the better.",
		"Ignore changes under +6.2/−5.8 %: they may be noise; what matters starts at +5.1/−4.9 %.") // exp(±0.06), exp(±0.05)
}

// The sheet of one athlete has every change; that of a squad has the surest, and
// says of how many.
func TestSheetRows(t *testing.T) {
	var changes []retest.Change
	for i := range 45 {
		changes = append(changes, fallOf(fmt.Sprintf("A%02d", i)))
	}
	squad := sprints(changes...)
	s, err := squad.Sheet()
	if err != nil {
		t.Fatal(err)
	}
	shown := len(s.Table.Rows)
	if shown < 10 || shown > 20 || !strings.HasPrefix(s.Table.Caption, fmt.Sprintf("The surest %d of 45 changes",
		shown)) {
		t.Errorf("%d rows, caption %q", shown, s.Table.Caption)
	}
	for i := range changes {
		changes[i].Athlete = "A1"
	}
	one := sprints(changes...)
	one.Asked = []string{"A1"}
	if s, err = one.Sheet(); err != nil || len(s.Table.Rows) != 45 {
		t.Errorf("one athlete: %d of 45 rows, %v", len(s.Table.Rows), err)
	}
}

// The first sentence counts what stands out, allowing for all that was looked at,
// and its ways; the second what is past the noise beside what chance gives. Nothing
// is called real or sure.
func TestEachWordItsOwn(t *testing.T) {
	rise, alone, none := fallOf("A2"), fallOf("A3"), fallOf("A4")
	rise.Direction, rise.Better, rise.Matters, rise.Verdict = "rise", "worse", retest.MattersYes, retest.OutMatters
	alone.State, alone.Verdict, alone.P, alone.PBH = retest.PastNoise, retest.Past, 0.04, 0.2
	none.State, none.Matters, none.Verdict, none.P = retest.InsideNoise, retest.MattersNo, retest.Steady, 0.9
	v := sprints(fallOf("A1"), rise, alone, none, fallOf("A5"))
	says(t, v, "3 of 5 changes stand out (allowing for looking at so many): 2 for the better, 1 for the worse; 1 is clearly large enough to matter.",
		"In all 4 are past the noise, counting those; with no change at all about 0.25 of 5 would be, up to 1.",
		"+6.2/−5.8 %", "+5.1/−4.9 %", "fall, for the better", "rise, for the worse")
	for key, want := range map[string]string{"rises": "1", "falls": "2", "worthwhile_changes": "1", "past_noise": "4",
		"athletes": "5"} {
		if got := columnOf(t, v, "tests", key); got[0] != want {
			t.Errorf("%s: %s, want %s", key, got[0], want)
		}
	}
	for form, all := range everyForm(t, v) {
		if strings.Contains(all, "surely") || strings.Contains(all, " real ") {
			t.Errorf("%s speaks of what is real or sure", form)
		}
	}
	one := v
	one.Asked = []string{"A1"}
	says(t, one, "A1: 3 of 5 changes stand out",
		"Standing out for the worse: Sprint −12 % (session 1 to 3).",
		"Standing out for the better: Sprint −12 % (session 1 to 3), Sprint −12 % (session 1 to 3).")
	for i := range one.Result.Changes { // nobody said which is the better
		one.Result.Changes[i].Better = ""
	}
	says(t, one, "3 of 5 changes stand out (allowing for looking at so many): 1 rise and 2 falls;")
	says(t, sprints(none, none), "No change stands out among 2 looked at.")
	says(t, sprints(alone, none), "No change stands out among 2 looked at.",
		"1 is past the noise on its own; with no change at all about 0.10 of 2 would be, up to 1: as many as chance would give.")
}

// Every doubt of judging has its words, and a label is never lost for a measure
// whose name looks like a sentence.
func TestWordsOfRetest(t *testing.T) {
	a := reports.About{Units: map[string]string{"throw: seated": "cm"},
		Labels: map[string]string{"throw: seated": "Seated throw", "press and pull": "Press, then pull"}}
	for want, c := range map[string]caveat.Caveat{
		"Seated throw: in the noise study, with no training, the mean changed by +4.0 (+1.0 to +7.0) cm from session 1 to 2":                         caveat.New(retest.MeanMoved, 4, 1, 7).With("1", "2", "raw"),
		"the mean changed by +50 (+25 to +80) % from session 1 to 2":                                                                                 caveat.New(retest.MeanMovedFromBaseline, math.Log(1.5), math.Log(1.25), math.Log(1.8)).With("1", "2", "log"),
		"1 athlete has only some of the baseline (sessions 1 and 2) and is judged":                                                                   caveat.New(retest.PartBaseline, 1).With("1", "2"),
		"(5 in the baseline, session 1; 3 in the follow-up, session 2): the true error is not the one stated":                                        caveat.New(retest.OtherAttempts, 4, 5, 3).With("baseline", "1", "follow-up", "2"),
		"a false alarm is rarer than stated (4.3 %, not 5.0 %)":                                                                                      caveat.New(retest.SharedSessions, 0.0428, 0.05).With("2", "3", "4"),
		"1 of 2 changes rest on more or fewer attempts than a score of the noise study (2.7)":                                                        caveat.New(retest.ThroughComponents, 1, 2, 2.667),
		"Session 4 may hold more practice":                                                                                                           caveat.New(retest.PracticeSubtracted, 1).With("1", "2", "4"),
		"1.5 of them, from the middle of the baseline to the session after it, are subtracted in the reading beyond":                                 caveat.New(retest.PracticeSubtracted, 1.5).With("1", "2"),
		"with 8 athletes it would have seen one (in 8 of 10 such studies) only from 1.16 cm a session on":                                            caveat.New(retest.PracticeUnseen, 1.16, 8).With("raw"),
		"2 changes rest on 3 attempts before and 5 after, and the best of more attempts is better by itself: here the score is about 0.63 cm better": caveat.New(retest.BestRises, 2, 3, 5, 0.633, 1).With("raw"),
		"Do not read them as change: compare equal numbers":                                                                                          caveat.New(retest.BestRises, 2, 3, 5, 0, 0).With("raw"),
		"by how much is not known, since the noise":                                                                                                  caveat.New(retest.BestRises, 2, 3, 5, 0, 0).With("raw"),
		"left out for session 1: not later than the baseline (session 3)":                                                                            caveat.New(retest.NotAfterBaseline).With("3", "1"),
	} {
		v := reports.Retest{About: a, Result: retest.Result{Caveats: []caveat.Caveat{c.About("throw: seated")}}}
		if got := v.Warnings(); len(got) != 1 || !strings.Contains(got[0], want) || !strings.HasPrefix(got[0],
			"Seated throw: ") {
			t.Errorf("%q\nwant %q", got, want)
		}
	}
	c := caveat.New(retest.NoPractice)
	v := reports.Retest{About: a, Result: retest.Result{Caveats: []caveat.Caveat{c.About("throw: seated"),
		c.About("press and pull")}}}
	if got := v.Warnings(); len(got) != 1 || !strings.HasPrefix(got[0], "Seated throw; Press, then pull: the reading") {
		t.Errorf("%q", got)
	}
}

// The detectable and the worthwhile change on the log scale: up first.
func TestUpAndDownOfReliability(t *testing.T) {
	r := reliability.Result{Scale: score.Log, Level: 0.95, Athletes: 9, Sessions: []string{"1", "2"},
		TypicalError: estimate.Bare(0.021, ""), DF: 9, Sees: reliability.SeesNot,
		TypicalErrorPercent: estimate.Bare(2.1, ""), Ratio: 1.5,
		DetectableChange: reliability.DetectableChange{Level: 0.95, Value: 0.07, PercentUp: 7.3, PercentDown: -6.8,
			LargeSample: 0.06, Power: 0.8, Seen: estimate.Bare(0.1, "")},
		Worthwhile: reliability.WorthwhileChange{Estimate: estimate.Bare(0.03, ""), PercentUp: 3.1,
			PercentDown: -2.9}}
	v := reports.Reliability{Measures: []reports.ReliabilityMeasure{{Measure: "sprint", Label: "Sprint", Unit: "s",
		Result: r}}}
	says(t, v, "ignore rises under 7.3 % and falls under 6.8 % in one athlete: they may be noise.",
		"What matters starts at +3.1/−2.9 %, but a true change must be +11/−9.5 % to be seen in 4 of 5 retests: one retest cannot see it.", "+6.2/−5.8 %")
	for form, all := range everyForm(t, v) {
		if strings.Count(all, "+7.3/−6.8 %") < 1 {
			t.Errorf("%s: the detectable change stands in the answer only, not in a table", form)
		}
	}
}

// Of many changes the surest come first, forty of them, and it says how many
// more there are.
func TestSurestFirst(t *testing.T) {
	var all []retest.Change
	for i := range 60 {
		c := fallOf(fmt.Sprintf("A%02d", i))
		c.P = float64(i*37%60) / 1000
		if i%10 == 0 {
			c.State = retest.InsideNoise
		}
		all = append(all, c)
	}
	v := sprints(all...)
	got := columnOf(t, v, "surest-changes", "p")
	var want []string
	for i := range 60 { // of the athlete with i = p/37 modulo 60
		if who := i * 13 % 60; who%10 != 0 {
			want = append(want, fmt.Sprint(float64(i)/1000))
		}
	}
	if !slices.Equal(got, want[:40]) {
		t.Errorf("p of the surest changes\n%v\nwant\n%v", got, want[:40])
	}
	says(t, v, "14 more are past the noise; the table of every change has them all.")
}

func svgOf(t *testing.T, p picture.Picture) string {
	t.Helper()
	var b bytes.Buffer
	if err := p.WriteSVG(&b, picture.Options{}); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// Pictures say which way is the better: forest, run, and all tests of one
// athlete.
func TestPicturesSayWhichIsBetter(t *testing.T) {
	run := retest.Run{Athlete: "A1", Measure: "sprint", Sessions: []string{"1", "3"}, Value: []float64{2, 1.8},
		Baseline: 2, Low: 1.9, High: 2.1, State: []retest.State{"", retest.StandsOut}}
	for _, tt := range []struct {
		better score.Direction
		words  string
	}{{score.Lower, "lower is better"}, {score.Higher, "higher is better"}, {score.Unknown, ""}} {
		v := sprints(fallOf("A1"), fallOf("A2"))
		v.Better["sprint"] = tt.better
		v.Result.Runs = []retest.Run{run}
		pictures, err := v.Pictures()
		if err != nil || len(pictures) != 2 {
			t.Fatalf("%d pictures, %v", len(pictures), err)
		}
		for _, p := range pictures {
			svg := svgOf(t, p)
			if tt.words == "" && strings.Contains(svg, "is better") || !strings.Contains(svg, tt.words) {
				t.Errorf("%s: %q is not what it says", p.Name, tt.words)
			}
		}
	}
	v := sprints(fallOf("A1"), fallOf("A1"))
	v.Asked = []string{"A1"}
	pictures, err := v.Pictures()
	if err != nil || len(pictures) == 0 {
		t.Fatalf("%d pictures, %v", len(pictures), err)
	}
	if svg := svgOf(t, pictures[0]); !strings.Contains(svg, "Turned, since lower is better: Sprint") {
		t.Error("the picture of one athlete does not say that the test was turned")
	}
}

// What to mind stands in every form, and on the page once in each section.
func TestWarningsInEveryForm(t *testing.T) {
	r := sprints(fallOf("A1"), fallOf("A2"))
	r.Caveats = []caveat.Caveat{caveat.New(caveat.LevelsDiffer).With("squad")}
	r.Result.Caveats = []caveat.Caveat{caveat.New(retest.NoErrorSeen).About("sprint")}
	says(t, r, "column squad says more than one level", "Sprint: the noise study found no error at all")
	rel := filledReliability()
	says(t, rel, rel.Warnings()...)
	cor := filledCorrelate()
	says(t, cor, cor.Warnings()...)
	for _, c := range slices.Concat(cor.Result.Caveats, cor.Result.Associations[1].Caveats, cor.Models.Caveats,
		cor.Repeated[0].Caveats) {
		says(t, cor, string(c.Kind)) // made up: in place of words
	}
	if n := strings.Count(write(t, reports.Page{Title: "Two", Views: []reports.View{r, r}}),
		"column squad says"); n != 2 {
		t.Errorf("a page of two sections has the caveat %d times", n)
	}
}

// What many tests raise with other numbers stands in one line of a short list, and
// the working page has each. By hand: 6 of 117 and 11 of 100 are 17 of 217.
func TestGatheredWords(t *testing.T) {
	through := func(measure string, numbers ...float64) caveat.Caveat {
		return caveat.New(retest.ThroughComponents, numbers...).About(measure)
	}
	part := func(measure string, n float64) caveat.Caveat {
		return caveat.New(retest.PartBaseline, n).With("1", "2").About(measure)
	}
	v := retestView([]retest.Occasion{occasion("1", "2")}, changeOf("C1", "throw", "1", "2", 30))
	v.Result.Caveats = []caveat.Caveat{through("throw", 6, 117, 2.99), part("throw", 1), through("jump", 11, 100,
		2.5), part("jump", 4),
		caveat.New(retest.NoErrorSeen).About("jump")}
	s, err := v.Sheet()
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"Throw power; jump: 17 of 217 changes rest on more or fewer attempts than a score of the noise study (2.5 to almost 3);" +
			" their error is from its variance components",
		"Throw power; jump: 1 to 4 athletes a test have only some of the baseline (sessions 1 and 2) and are judged by those, with the larger error",
	}
	if len(s.Watch) != 3 || s.Watch[0] != want[0] || s.Watch[1] != want[1] || s.More != 0 {
		t.Errorf("watch %q and %d more, want %q and one", s.Watch, s.More, want)
	}
	if all := v.Warnings(); len(all) != 5 {
		t.Errorf("the working page has %q", all)
	}

	r := reports.Reliability{About: reports.About{Caveats: []caveat.Caveat{
		caveat.New(reliability.LiftedByGroups, 0.98, 0.93, 0.88, 0.96).About("a"),
		caveat.New(reliability.LiftedByGroups, 0.95, 0.61).About("b")}}}
	s, err = r.Sheet()
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Watch) != 1 || !strings.HasPrefix(s.Watch[0], "a; b: the ICC(C,1) over all owes") ||
		!strings.Contains(s.Watch[0], "Inside them it is 0.61 to 0.93.") {
		t.Errorf("watch %q", s.Watch)
	}
	v.Result.Caveats = nil
	for i := range 8 {
		v.Result.Caveats = append(v.Result.Caveats, caveat.New(retest.NegativeICC, -float64(i)/9).About("throw"))
	}
	if s, err = v.Sheet(); err != nil || len(s.Watch) != 4 || s.More != 4 {
		t.Errorf("%d lines and %d more, %v", len(s.Watch), s.More, err)
	}
}

// A squad's sheet says why it draws the test that it draws.
func TestSheetSaysWhyThisTest(t *testing.T) {
	past := func(measure string) retest.Change {
		c := changeOf("C1", measure, "1", "2", 10)
		c.State = retest.PastNoise
		return c
	}
	out := changeOf("C2", "jump", "1", "2", 30)
	none := changeOf("C1", "throw", "1", "2", 3)
	for want, changes := range map[string][]retest.Change{
		"It is the one in which most changes stand out": {past("throw"), past("throw"), out},
		"chance alone makes one of them the first":      {none, past("jump")},
		"No change is past the noise anywhere":          {none, changeOf("C1", "jump", "1", "2", 3)},
	} {
		s, err := retestView([]retest.Occasion{occasion("1", "2")}, changes...).Sheet()
		if err != nil {
			t.Fatal(err)
		}
		p, err := s.Draw()
		if err != nil || !strings.Contains(p.Caption, want) {
			t.Errorf("%v: no %q in %s", err, want, p.Caption)
		}
		if drawsJump := strings.Contains(p.Title, "jump"); drawsJump == strings.Contains(want, "anywhere") {
			t.Errorf("%q draws %s", want, p.Title)
		}
	}
}

// The sheet of one athlete has the last follow-up, table and picture in one order.
func TestSheetOfOneAthleteIsLast(t *testing.T) {
	v := retestView([]retest.Occasion{occasion("1", "2"), occasion("1", "3")},
		at(0, changeOf("C1", "throw", "1", "2", 30)), at(0, changeOf("C1", "jump", "1", "2", 9)),
		at(1, changeOf("C1", "throw", "1", "3", -5)), at(1, changeOf("C1", "jump", "1", "3", 12)))
	v.Asked = []string{"C1"}
	v.Better = map[string]score.Direction{"throw": score.Higher, "jump": score.Higher}
	s, err := v.Sheet()
	if err != nil {
		t.Fatal(err)
	}
	shown := s.Table.View()
	if len(shown.Body) != 2 || shown.Body[0][0].Text != "jump" || shown.Body[1][0].Text != "Throw power" {
		t.Errorf("rows %v", shown.Body)
	}
	if !strings.Contains(shown.Caption, "at the last follow-up; the working page has the others") {
		t.Errorf("caption %s", shown.Caption)
	}
	p, err := s.Draw()
	if err != nil || !strings.Contains(p.Title, "to 3") || p.Table.Rows[0][0] != "jump" {
		t.Errorf("%v: draws %s", err, p.Title)
	}
}
