package picture_test

import (
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"noisefloor/analysis/cell"
	"noisefloor/analysis/decision"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
	"noisefloor/analysis/varcomp"
	"noisefloor/datasets"
	"noisefloor/reports/picture"
)

// parts are invented components with an invented uncertainty of some 50 athletes.
func parts(athlete, day, trial float64) varcomp.Components {
	c := varcomp.Components{Athlete: athlete, AthleteSession: day, Trial: trial}
	for i, v := range []float64{athlete, day + trial/3, trial / 2} {
		c.Covariance[i][i] = v * v / 25
	}
	return c
}

// planned makes the input of a figure out of components and a worthwhile change.
func planned(c varcomp.Components, worth float64, o decision.Options) (picture.DecisionInput, error) {
	in := picture.DecisionInput{Label: "seated throw power", Name: "seated_throw", Unit: "W", Level: o.Level,
		Worthwhile: worth, Studied: decision.Design{Sessions: 1, Trials: 3}}
	rows, err := decision.Study(c, o)
	if err != nil {
		return in, err
	}
	in.Rows = rows
	if worth > 0 {
		a, err := decision.Cheapest(c, decision.Target{Goal: decision.SeenChange, Value: worth}, o)
		if err != nil {
			return in, err
		}
		in.Answer = &a
	}
	return in, nil
}

func decisionFixtures() map[string]maker {
	nan := math.NaN()
	merged := varcomp.Components{Athlete: 5850, AthleteSession: nan, Trial: 900, Merged: varcomp.WithTrial}
	merged.Covariance[2][2] = 900 * 900 / 12.5
	same := func(in *picture.DecisionInput) {}
	m := map[string]maker{}
	add := func(name string, c varcomp.Components, worth float64, o decision.Options,
		change func(*picture.DecisionInput)) {
		m[name] = func() (picture.Picture, error) {
			in, err := planned(c, worth, o)
			if err != nil {
				return picture.Picture{}, err
			}
			change(&in)
			return picture.DecisionStudy(in)
		}
	}
	throw := parts(5850, 225, 576)
	add("decision", throw, 72, decision.Options{}, same)
	add("decision-enough", throw, 86, decision.Options{}, same)
	add("decision-never", parts(5850, 420, 576), 43, decision.Options{Sessions: 2}, same)
	add("decision-never-one", throw, 48, decision.Options{Sessions: 1}, same)
	add("decision-needed", throw, 47, decision.Options{Sessions: 2, Trials: 2}, same)
	add("decision-log", parts(0.03, 0.001, 0.002), 0.12, decision.Options{Level: 0.9},
		func(in *picture.DecisionInput) { in.Scale = score.Log })
	add("decision-log-never", parts(0.03, 0.001, 0.002), 0.03, decision.Options{},
		func(in *picture.DecisionInput) { in.Scale = score.Log })
	add("decision-log-needed", parts(0.03, 0.001, 0.004), 0.125, decision.Options{Sessions: 1, Trials: 2},
		func(in *picture.DecisionInput) { in.Scale = score.Log })
	add("decision-merged", merged, 60, decision.Options{},
		func(in *picture.DecisionInput) { in.Studied = decision.Design{Sessions: 1, Trials: 1} })
	add("decision-merged-log", varcomp.Components{Athlete: 0.05, AthleteSession: nan, Trial: 0.01,
		Merged: varcomp.NotInTheFit}, 0.01, decision.Options{},
		func(in *picture.DecisionInput) { in.Scale = score.Log })
	add("decision-one", throw, nan, decision.Options{Sessions: 1, Trials: 1}, same)
	add("decision-bare", throw, nan, decision.Options{}, same)
	add("decision-unasked", throw, 72, decision.Options{}, func(in *picture.DecisionInput) { in.Answer = nil })
	add("decision-far", throw, 900, decision.Options{}, same)
	add("decision-tiny", parts(4e-16, 2e-18, 6e-18), 4e-9, decision.Options{}, same)
	add("decision-huge", parts(1e26, 4e23, 9e23), 2.2e12, decision.Options{}, same)
	add("decision-zero", varcomp.Components{Athlete: 5}, 1, decision.Options{}, same)
	add("decision-no-day", parts(5850, 0, 576), 20, decision.Options{}, same)
	add("decision-many", throw, 24, decision.Options{Sessions: 14, Trials: 40},
		func(in *picture.DecisionInput) { in.Studied = decision.Design{Sessions: 10, Trials: 3} })
	add("decision-nasty", throw, 26, decision.Options{}, func(in *picture.DecisionInput) {
		in.Label, in.Name, in.Unit = nasty[0]+nasty[4], nasty[5], "<W> "+nasty[1]
		in.Rows[1].Seen, in.Rows[6].Seen = nan, math.Inf(1)
		in.Rows[2].TypicalError.Upper = math.Inf(1)
		in.Rows[3].TypicalError = estimate.Bare(nan, estimate.TooFew)
		slices.Reverse(in.Rows)
	})
	return m
}

// anyDecision draws designs of odd numbers and names.
func anyDecision(t *rapid.T, n int, name func() string) picture.DecisionInput {
	design := func() decision.Design {
		return decision.Design{Sessions: rapid.IntRange(0, 12).Draw(t, "sessions"), Trials: rapid.SampledFrom([]int{0,
			1, 1, 2, 3, 3, 60, 1 << 62}).Draw(t, "trials")}
	}
	row := func() decision.Row {
		return decision.Row{Design: design(), TypicalError: between(t, "te"), Reliability: between(t, "reliability"),
			Detectable: number(t, "detectable")}
	}
	in := picture.DecisionInput{Label: name(), Name: name(), Unit: name(), Level: number(t, "level"),
		Worthwhile: number(t, "worthwhile"), Studied: design(),
		Scale: rapid.SampledFrom([]score.Scale{score.Raw, score.Log}).Draw(t, "scale")}
	for range n * rapid.IntRange(1, 6).Draw(t, "times") {
		in.Rows = append(in.Rows, row())
	}
	if rapid.Bool().Draw(t, "asked") {
		in.Answer = &decision.Answer{Found: rapid.Bool().Draw(t, "found"), Never: rapid.Bool().Draw(t, "never"),
			Row:   row(),
			Limit: number(t, "limit"), Needed: rapid.IntRange(0, 99).Draw(t, "needed")}
	}
	return in
}

func madeDecision(t *testing.T, name string) picture.Picture {
	t.Helper()
	p, err := decisionFixtures()[name]()
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Every number of a label is in the table; ticks are not numbers of the study.
func TestDecisionLabelsAreInTheTable(t *testing.T) {
	label := regexp.MustCompile(`^(?:cheapest|as studied|cheapest, as studied|worthwhile change|day-to-day part alone): (.*)$`)
	kinds := map[string]int{}
	for name := range decisionFixtures() {
		p := madeDecision(t, name)
		for _, l := range labels(t, p) {
			m := label.FindStringSubmatch(l.text)
			if m == nil {
				continue
			}
			kinds[strings.TrimSuffix(l.text, m[1])]++
			n := numbers.FindString(m[1])
			if !slices.ContainsFunc(p.Table.Rows, func(row []string) bool { return row[9] == n }) || n == "" {
				t.Errorf("%s: %q is drawn, but %q is not in the table", name, l.text, n)
			}
		}
	}
	if len(kinds) != 5 {
		t.Errorf("only these labels were found: %v", kinds)
	}
}

// Places by hand: the ticks fix both axes, the table says where each mark of
// the disc's line (the first) has to be.
func TestDecisionMarksLieWhereTheirValuesAre(t *testing.T) {
	p := madeDecision(t, "decision")
	x, y := map[string]float64{}, map[string]float64{}
	for _, l := range labels(t, p) {
		x[l.text], y[l.text] = (l.left+l.right)/2, (l.top+l.bottom)/2
	}
	if x["1"] == 0 || x["6"] == 0 || y["0"] == 0 || y["60"] == 0 {
		t.Fatalf("ticks are missing: %v", x)
	}
	discs := regexp.MustCompile(`<path d="M([-\d.]+),([-\d.]+)(?:L[-\d.,]+)?A([\d.]+),[^"]*" style="fill:(none;stroke:)?#0072B2`).FindAllStringSubmatch(string(svg(t, p, picture.Options{})), -1)
	if len(discs) != 6 {
		t.Fatalf("%d discs for 6 designs of one session", len(discs))
	}
	first := math.NaN() // what tick labels and marks differ by in height: the place of type on its line
	for i, d := range discs {
		gotX, gotY := parse(t, d[1])-parse(t, d[3]), p.Height.Points()-parse(t, d[2])
		wantX := x["1"] + float64(i)/5*(x["6"]-x["1"])
		wantY := y["0"] + fromTable(t, p.Table.Rows[i][9])/60*(y["60"]-y["0"])
		if i == 0 {
			first = gotY - wantY
		}
		if math.Abs(gotX-wantX) > 0.1 || math.Abs(gotY-wantY-first) > 0.3 || !(math.Abs(first) < 1.2) {
			t.Errorf("design %s at %g, %g, want %g, %g", p.Table.Rows[i][0], gotX, gotY, wantX, wantY)
		}
		if isFilled, studied := d[4] == "", p.Table.Rows[i][11] == "yes"; isFilled != studied || studied != (i == 2) {
			t.Errorf("design %s: filled %v, studied %v", p.Table.Rows[i][0], isFilled, studied)
		}
	}
}

// By hand: components known exactly, so the noncentral t is normal and δ is 1.959964 +
// 0.841621 = 2.801585: δ·sqrt(2·(225 + 576/4)) = 76.1; logs: exp(δ·sqrt(2·0.0006)) - 1 =
// 10.19 %; the day-to-day part alone in two sessions exp(δ·sqrt(2·0.0004/2)) - 1 = 5.76 %.
func TestDecisionByHand(t *testing.T) {
	in, err := planned(varcomp.Components{Athlete: 5850, AthleteSession: 225, Trial: 576}, 77,
		decision.Options{Sessions: 2})
	if err != nil {
		t.Fatal(err)
	}
	p, err := picture.DecisionStudy(in)
	if err != nil {
		t.Fatal(err)
	}
	if got := p.Table.Rows[3]; got[0] != "1 session of 4 trials" || got[9] != "76.1" || got[10] != "yes" ||
		p.Table.Rows[2][10] != "no" {
		t.Errorf("rows %q", p.Table.Rows[2:4])
	}
	// 1 × 3: δ·sqrt(2·(225 + 192)) = 80.9.
	want := "Change of one athlete seen in 4 of 5 retests in seated throw power (W, 95 %), 80.9 W as studied (1 session of 3 trials); 1 session of 4 trials: the cheapest design with a change of 77.0 W or less seen in 4 of 5."
	if p.Caption != want {
		t.Errorf("caption\n%s\nwant\n%s", p.Caption, want)
	}
	in, err = planned(varcomp.Components{Athlete: 0.03, AthleteSession: 0.0004, Trial: 0.0006}, math.Log(1.02),
		decision.Options{Sessions: 2})
	if err != nil {
		t.Fatal(err)
	}
	in.Scale = score.Log
	if p, err = picture.DecisionStudy(in); err != nil {
		t.Fatal(err)
	}
	if got := p.Table.Rows[2]; got[9] != "10.19" {
		t.Errorf("row %q", got)
	}
	want = "Change of one athlete seen in 4 of 5 retests in seated throw power (%, 95 %), 10.19 % as studied (1 session of 3 trials); no number of trials will do: with 2 sessions the days alone keep the change seen at 5.76 %; wanted: a change of 2.00 % or less seen in 4 of 5."
	if p.Caption != want {
		t.Errorf("caption\n%s\nwant\n%s", p.Caption, want)
	}
}

// The line and the band of "never" are there when it is, and only then.
func TestDecisionNever(t *testing.T) {
	for name, never := range map[string]bool{"decision-never": true, "decision-never-one": true,
		"decision-log-never": true, "decision": false, "decision-needed": false, "decision-merged-log": false} {
		p := madeDecision(t, name)
		drawn := strings.Contains(string(svg(t, p, picture.Options{})), ">day-to-day part alone: ")
		listed := slices.ContainsFunc(p.Table.Rows, func(row []string) bool {
			return strings.HasPrefix(row[0],
				"(day-to-day part alone, ")
		})
		if drawn != never || listed != never || strings.Contains(p.Caption, "no number of trials will do: ") != never {
			t.Errorf("%s: drawn %v, listed %v, want %v; %s", name, drawn, listed, never, p.Caption)
		}
	}
}

// coast reads the attempts at a measure out of the demo cohort.
func coast(t *testing.T, measure string) cell.Values {
	t.Helper()
	f, err := datasets.Coast().Open(datasets.Table)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	column := func(name string) int { return slices.Index(lines[0], name) }
	d, athletes := cell.Values{Sessions: 2}, map[string]int32{}
	for _, line := range lines[1:] {
		session, err := strconv.Atoi(line[column("session")])
		if line[column("measure")] != measure || session > 2 || line[column("value")] == "" {
			continue
		}
		id, ok := athletes[line[column("athlete")]]
		if !ok {
			id = int32(len(athletes))
			athletes[line[column("athlete")]] = id
		}
		v, err2 := strconv.ParseFloat(line[column("value")], 64)
		if err := errors.Join(err, err2); err != nil {
			t.Fatal(err)
		}
		d.Athlete, d.Session, d.Value = append(d.Athlete, id), append(d.Session, int32(session-1)), append(d.Value, v)
	}
	d.Athletes = len(athletes)
	return d
}

// The demo cohort: the figure agrees with the rows and the answer it is of.
func TestDecisionOfTheDemoCohort(t *testing.T) {
	for _, tt := range []struct {
		measure, unit string
		scale         score.Scale
		worth         float64
	}{
		{"jump_height", "cm", score.Raw, 5}, {"jump_height", "cm", score.Raw, 1},
		{"cable_turn", "W", score.Log, math.Log(1.15)}, {"cable_turn", "W", score.Log, math.Log(1.02)},
	} {
		t.Run(fmt.Sprintf("%s %.3g", tt.measure, tt.worth), func(t *testing.T) {
			d := coast(t, tt.measure)
			if tt.scale == score.Log {
				for i, v := range d.Value {
					d.Value[i] = math.Log(v)
				}
			}
			fit, err := varcomp.Fit(d.Grid(), varcomp.Options{Limits: varcomp.NoLimits})
			if err != nil {
				t.Fatal(err)
			}
			in, err := planned(fit.Components(), tt.worth, decision.Options{})
			if err != nil {
				t.Fatal(err)
			}
			in.Label, in.Name, in.Unit, in.Scale = strings.ReplaceAll(tt.measure, "_", " "), tt.measure, tt.unit,
				tt.scale
			p, err := picture.DecisionStudy(in)
			if err != nil {
				t.Fatal(err)
			}
			checkLabels(t, p)
			look(t, fmt.Sprintf("demo-%s-%.3g", tt.measure, tt.worth), p)
			for i, r := range in.Rows {
				if sees := p.Table.Rows[i][10] == "yes"; sees != (r.Seen <= tt.worth) {
					t.Errorf("%+v: sees %v", r.Design, sees)
				}
			}
			if in.Answer.Never != strings.Contains(p.Caption, "no number of trials will do") ||
				in.Answer.Found != strings.Contains(p.Caption, "the cheapest design") {
				t.Errorf("answer %+v, caption %s", in.Answer, p.Caption)
			}
		})
	}
}

// What is drawn, by hand: the axis of one score per session, no more than
// eight lines, a line that breaks where a design has no number, and a number of
// trials beyond what a float64 tells apart.
func TestDecisionLines(t *testing.T) {
	has := func(p picture.Picture, text string) bool {
		return slices.ContainsFunc(labels(t, p), func(l label) bool { return l.text == text })
	}
	p := madeDecision(t, "decision-merged")
	if !has(p, "sessions, one score in each") || !has(p, "4") || has(p, "4 sessions") {
		t.Error("one score per session: sessions are not on the axis")
	}
	lines := 0
	p = madeDecision(t, "decision-many")
	for _, l := range labels(t, p) {
		if regexp.MustCompile(`^\d+ sessions?$`).MatchString(l.text) {
			lines++
		}
	}
	if lines != 8 || !has(p, "1 session") || !has(p, "10 sessions") || !has(p, "14 sessions") {
		t.Errorf("%d lines, want 8 with the study's and the last", lines)
	}
	first := regexp.MustCompile(`<path d="M[-\d.,]+(?:L[-\d.,]+)+" style="fill:none;stroke:#0072B2"`)
	whole, broken := first.FindString(string(svg(t, madeDecision(t, "decision"), picture.Options{}))),
		first.FindString(string(svg(t, madeDecision(t, "decision-nasty"), picture.Options{})))
	if strings.Count(whole, "L") != 5 || strings.Count(broken, "L") != 3 { // 6 designs; 3 to 6 trials, 2 being unknown
		t.Errorf("lines %s and %s", whole, broken)
	}
	far, err := picture.DecisionStudy(picture.DecisionInput{Rows: []decision.Row{{Design: decision.Design{Sessions: 1,
		Trials: 1 << 62}, Detectable: 3}}})
	if err != nil {
		t.Fatal(err)
	}
	checkLabels(t, far)
}
