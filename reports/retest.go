package reports

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/estimate"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/reports/number"
	"noisefloor/reports/table"
)

// Retest shows which changes of single athletes are real.
type Retest struct {
	About
	Better map[string]score.Direction // measure -> which way it improves
	Result retest.Result
	Runs   []string // athletes whose runs are drawn; empty means those with the most real changes
}

// Name implements [View].
func (v Retest) Name() string { return "retest" }

// Stem implements [View].
func (v Retest) Stem() string { return v.Name() }

// Title implements [View].
func (v Retest) Title() string {
	if len(v.Runs) == 1 {
		return "Which changes of " + v.Runs[0] + " are real?"
	}
	return "Which changes are real?"
}

// Answer implements [View].
func (v Retest) Answer() []string {
	f := v.Result.Family
	if f.Changes == 1 {
		return []string{v.sentence(v.Result.Changes[0])}
	}
	if len(v.Runs) == 1 {
		return v.answerOne(v.Runs[0])
	}
	rises, falls, worth := 0, 0, 0
	for _, c := range v.Result.Changes {
		switch {
		case c.Real && c.Direction == "rise":
			rises++
		case c.Real:
			falls++
		}
		if c.Verdict == retest.RealWorthwhile {
			worth++
		}
	}
	return []string{
		fmt.Sprintf("%d of %s are more than noise (%s): %s and %s%s; %s also surely large enough to matter.",
			f.Real, number.Count(f.Changes, "change", "changes"), number.Level(v.Result.Level),
			number.Count(rises, "rise", "rises"), number.Count(falls, "fall", "falls"), v.betterWords(), are(worth)),
		fmt.Sprintf("Had nobody changed at all, about %s would look so by chance; allowing for that (Benjamini–Hochberg at %s), %d remain.",
			number.Plain(f.ExpectedFalseAlarms, chanceDecimals(f.ExpectedFalseAlarms)), number.Level(1-v.Result.Level), f.RealAfterBH),
	}
}

// answerOne is the answer for one athlete and several changes: which tests rose
// and which fell past the noise.
func (v Retest) answerOne(athlete string) []string {
	f := v.Result.Family
	out := []string{fmt.Sprintf("%s: %d of %s more than noise (%s).", athlete, f.Real, number.Count(f.Changes, "change is", "changes are"), number.Level(v.Result.Level))}
	for _, set := range []struct{ head, way string }{{"Better", "better"}, {"Worse", "worse"}, {"Rises", "rise"}, {"Falls", "fall"}} {
		var list []string
		for _, c := range v.Result.Changes {
			if c.Real && (c.Better == set.way || c.Better == "" && c.Direction == set.way) {
				list = append(list, fmt.Sprintf("%s %s (session %s to %s)", v.label(c.Measure), v.changeWords(c), strings.Join(c.From, "+"), strings.Join(c.To, "+")))
			}
		}
		if len(list) > 0 {
			out = append(out, set.head+": "+listed(list, 10)+".")
		}
	}
	return append(out, fmt.Sprintf("Had nothing changed at all, about %s would look so by chance; allowing for that (Benjamini–Hochberg at %s), %d remain.",
		number.Plain(f.ExpectedFalseAlarms, chanceDecimals(f.ExpectedFalseAlarms)), number.Level(1-v.Result.Level), f.RealAfterBH))
}

// betterWords counts the real changes for the better and the worse, when it is
// known which is which.
func (v Retest) betterWords() string {
	better, worse := 0, 0
	for _, c := range v.Result.Changes {
		switch {
		case c.Real && c.Better == "better":
			better++
		case c.Real && c.Better == "worse":
			worse++
		}
	}
	if better+worse == 0 {
		return ""
	}
	return fmt.Sprintf(" (%d for the better, %d for the worse)", better, worse)
}

// are writes "1 is", "3 are".
func are(n int) string {
	if n == 1 {
		return "1 is"
	}
	return fmt.Sprintf("%d are", n)
}

// way writes the direction of a change, and for a real one whether it is the
// better: "rise", "fall, worse".
func way(c retest.Change) string {
	switch {
	case c.Direction == "none":
		return "no change"
	case c.Better == "" || !c.Real:
		return c.Direction
	}
	return c.Direction + ", " + c.Better
}

// sentence is the answer for one athlete and measure.
func (v Retest) sentence(c retest.Change) string {
	chance := ""
	if c.Chance != nil {
		chance = fmt.Sprintf("; chance that the true change is a worthwhile rise %s, trivial %s, a worthwhile fall %s",
			share(c.Chance.Rise), share(c.Chance.Trivial), share(c.Chance.Fall))
	}
	return fmt.Sprintf("%s, %s, session %s to %s: %s (%s), %s (%s interval %s)%s.",
		c.Athlete, v.label(c.Measure), strings.Join(c.From, "+"), strings.Join(c.To, "+"),
		c.Verdict, way(c), v.changeWords(c), number.Level(v.Result.Level), v.limitsWords(c), chance)
}

func share(p float64) string {
	switch {
	case p < 0.001:
		return "< 0.1 %"
	case p > 0.999:
		return "> 99.9 %"
	case p < 0.1 || p > 0.9:
		return number.Percent(p, 1)
	}
	return number.Percent(p, 0)
}

func (v Retest) label(measure string) string {
	if l := v.Labels[measure]; l != "" {
		return l
	}
	return measure
}

// noise returns the noise model of a measure.
func (v Retest) noise(measure string) noise.Model {
	for _, n := range v.Result.Noise {
		if n.Measure == measure {
			return n
		}
	}
	return noise.Model{}
}

func (v Retest) changeWords(c retest.Change) string {
	if c.Percent != nil {
		return number.WithUnit(number.Signed(c.Percent.Value, percentDecimals(c.Percent.Value)), "%")
	}
	return number.WithUnit(number.Signed(c.Change.Value, number.Decimals(c.SE)), v.noise(c.Measure).Unit)
}

func (v Retest) limitsWords(c retest.Change) string {
	if c.Percent != nil {
		return number.SignedInterval(c.Percent.Lower, c.Percent.Upper, percentDecimals(c.Percent.Value))
	}
	return number.SignedInterval(c.Change.Lower, c.Change.Upper, number.Decimals(c.SE))
}

// Warnings implements [View].
func (v Retest) Warnings() []string {
	out := v.sentences(v.Caveats)
	if n := v.fromComponents(); n > 0 {
		out = append(out, fmt.Sprintf("%d of the %d changes rest on other numbers of attempts than the noise study: their error is from its variance components", n,
			len(v.Result.Changes)))
	}
	for _, w := range v.Result.Warnings {
		if !strings.Contains(w, "their error is from its variance components") { // said once for all above
			out = append(out, labelled(w, v.label))
		}
	}
	return typographic(out)
}

// fromComponents counts the changes judged by variance components.
func (v Retest) fromComponents() int {
	n := 0
	for _, c := range v.Result.Changes {
		if c.FromComponents {
			n++
		}
	}
	return n
}

// Method implements [View].
func (v Retest) Method() []string {
	level := number.Level(v.Result.Level)
	var sources []string
	for _, n := range v.Result.Noise {
		if !slices.Contains(sources, n.Source) {
			sources = append(sources, n.Source)
		}
	}
	return []string{
		"The noise comes from " + strings.Join(sources, "; ") + ", never from the changes that are judged.",
		"Change D = follow-up − baseline. Standard error SE = typical error · √(1/sessions in the baseline + 1/sessions in the follow-up); where scores rest on other numbers of attempts than in the noise study, from its variance components with Satterthwaite's degrees of freedom. Interval D ± t(1−α/2, df)·SE, with the degrees of freedom of the noise study: " +
			"with t, and not 1.96, the false-alarm rate stays at α in small studies too.",
		"Real: the " + level + " interval excludes 0. Worthwhile is a question of its own: the interval against ± the smallest worthwhile change. Worthwhile: " + v.Worthwhile + ".",
		"Chances: t distribution around the change seen, flat prior; they say nothing about what was known before.",
		"Many changes: Benjamini & Hochberg (1995) and Holm (1979) adjusted p values over all of them. Reliable change index: Jacobson & Truax (1991).",
	}
}

// Data implements [View].
func (v Retest) Data() table.Table {
	return v.changesTable("changes", "Every change that was judged.", v.Result.Changes)
}

// Tables implements [View].
func (v Retest) Tables() []table.Table {
	all := v.Data()
	if len(v.Result.Changes) <= 40 {
		return v.withLeftOut([]table.Table{all, v.measureTable()})
	}
	real := slices.DeleteFunc(slices.Clone(v.Result.Changes), func(c retest.Change) bool { return !c.Real })
	slices.SortStableFunc(real, func(a, b retest.Change) int { return cmp.Compare(a.P, b.P) })
	all.Detail = true
	more := len(real) - surest
	shown := v.changesTable("surest-changes", "The changes that are more than noise, the surest first.", real[:min(surest, len(real))])
	if more > 0 {
		shown.Notes = []string{fmt.Sprintf("%d more are past the noise; the table of every change has them all.", more)}
	}
	return v.withLeftOut([]table.Table{v.measureTable(), shown, all})
}

const surest = 40 // rows of the table of the surest changes

func (v Retest) withLeftOut(out []table.Table) []table.Table {
	t := table.Table{Name: "not-judged", Detail: true, Caption: "Athletes that could not be judged, and why.",
		Columns: []table.Column{table.L("test", "measure"), table.L("reason", "reason"), table.R("athletes", "n"), table.L("who", "athletes")}}
	for _, l := range v.Result.LeftOut {
		t.Rows = append(t.Rows, []table.Cell{table.Text(v.label(l.Measure)), table.Text(l.Reason),
			table.Num(float64(len(l.Athletes)), fmt.Sprint(len(l.Athletes))), table.Text(listed(l.Athletes, 12))})
	}
	if len(t.Rows) == 0 {
		return out
	}
	return append(out, t)
}

func (v Retest) changesTable(name, caption string, changes []retest.Change) table.Table {
	level := number.Level(v.Result.Level)
	t := table.Table{Name: name, Caption: caption, Columns: []table.Column{
		table.L("athlete", "athlete"), table.L("test", "label"), table.Machine("measure"), table.Machine("unit"), table.Machine("scale"),
		table.L("from", "from"), table.L("to", "to"), table.R("baseline", "baseline"), table.R("follow-up", "follow_up"),
		table.R("change ("+level+" interval)", "change"), table.Machine("lower"), table.Machine("upper"),
		table.Machine("lower_narrow"), table.Machine("upper_narrow"), table.Machine("se"), table.Machine("df"),
		table.Machine("detectable"), table.Machine("worthwhile"), table.L("verdict", "verdict"), table.L("way", "way"), table.Machine("direction"), table.Machine("better"),
		table.R("chance: rise", "chance_rise"), table.R("trivial", "chance_trivial"), table.R("fall", "chance_fall"),
		table.R("p", "p"), table.R("p (BH)", "p_bh"), table.Machine("p_holm"), table.Machine("reliable_change_index"),
		v.regressionColumn("expected by regression", "expected_by_regression"), v.regressionColumn("beyond regression to the mean", "beyond_regression"),
		v.practiceColumn(), table.Machine("beyond_practice_lower"), table.Machine("beyond_practice_upper"), table.Machine("from_components")}}
	for _, c := range changes {
		t.Rows = append(t.Rows, v.changeRow(c))
	}
	return t
}

func (v Retest) changeRow(c retest.Change) []table.Cell {
	n := v.noise(c.Measure)
	d := number.Decimals(c.SE)
	if n.Scale == score.Log {
		d = number.Decimals(c.SE * math.Abs(c.Baseline))
	}
	rise, trivial, fall := chanceCells(c.Chance)
	practice := v.practiceCells(c)
	expected, beyond := math.NaN(), math.NaN()
	if c.Expected != nil {
		expected = *c.Expected
	}
	if c.Beyond != nil {
		beyond = c.Beyond.Value
	}
	return []table.Cell{
		table.Text(c.Athlete), table.Text(v.label(c.Measure)), table.Text(c.Measure), table.Text(n.Unit), table.Text(string(n.Scale)),
		table.Text(strings.Join(c.From, "+")), table.Text(strings.Join(c.To, "+")),
		table.Num(c.Baseline, number.Plain(c.Baseline, d)), table.Num(c.FollowUp, number.WithUnit(number.Plain(c.FollowUp, d), n.Unit)),
		table.Num(c.Change.Value, v.changeWords(c)+" ("+v.limitsWords(c)+")"), table.Num(c.Change.Lower, ""), table.Num(c.Change.Upper, ""),
		table.Num(c.Narrow.Lower, ""), table.Num(c.Narrow.Upper, ""), table.Num(c.SE, ""), table.Num(c.DF, ""),
		table.Num(c.Detectable, ""), table.Num(c.Worthwhile, ""), table.Text(string(c.Verdict)), table.Text(way(c)), table.Text(c.Direction), table.Text(c.Better),
		rise, trivial, fall,
		table.Num(c.P, number.PValue(c.P)), table.Num(c.PBH, number.PValue(c.PBH)), table.Num(c.PHolm, ""), table.Num(c.RCI, ""),
		table.Num(expected, v.regressionWords(c, expected)), table.Num(beyond, v.regressionWords(c, beyond)),
		practice[0], practice[1], practice[2], table.Text(yesOrNothing(c.FromComponents)),
	}
}

// regressionColumn is shown when regression to the mean was asked for.
func (v Retest) regressionColumn(head, key string) table.Column {
	if !slices.ContainsFunc(v.Result.Changes, func(c retest.Change) bool { return c.Expected != nil }) {
		head = ""
	}
	return table.R(head, key)
}

func (v Retest) regressionWords(c retest.Change, x float64) string {
	n := v.noise(c.Measure)
	switch {
	case math.IsNaN(x):
		return number.Missing
	case n.Scale == score.Log:
		p := estimate.Percent(x)
		return number.WithUnit(number.Signed(p, percentDecimals(p)), "%")
	}
	return number.WithUnit(number.Signed(x, number.Decimals(c.SE)), n.Unit)
}

// practiceColumn is shown when practice was to be allowed for.
func (v Retest) practiceColumn() table.Column {
	head := ""
	for _, c := range v.Result.Changes {
		if c.AfterLearning != nil {
			head = "beyond practice"
		}
	}
	return table.R(head, "beyond_practice")
}

func (v Retest) practiceCells(c retest.Change) []table.Cell {
	if c.AfterLearning == nil {
		none := table.Num(math.NaN(), number.Missing)
		return []table.Cell{none, none, none}
	}
	n, e := v.noise(c.Measure), *c.AfterLearning
	text := number.WithUnit(number.SignedEstimate(e, number.Decimals(c.SE)), n.Unit)
	if n.Scale == score.Log {
		p := e.Map(estimate.Percent)
		text = number.WithUnit(number.SignedEstimate(p, percentDecimals(p.Value)), "%")
	}
	return triple(e, text)
}

func yesOrNothing(yes bool) string {
	if yes {
		return "yes"
	}
	return ""
}

func chanceCells(c *retest.Chance) (rise, trivial, fall table.Cell) {
	if c == nil {
		none := table.Num(math.NaN(), number.Missing)
		return none, none, none
	}
	return table.Num(c.Rise, share(c.Rise)), table.Num(c.Trivial, share(c.Trivial)), table.Num(c.Fall, share(c.Fall))
}

// tally counts what was found in one measure and follow-up.
type tally struct {
	measure, from, to                    string
	judged, rises, falls, worth, trivial int
	detectable, worthwhile               float64
}

func (v Retest) tallies() []tally {
	var out []tally
	for _, g := range v.grouped() {
		t := tally{measure: g.changes[0].Measure, to: strings.Join(g.to, "+")}
		whole := g.changes[0] // of the athletes with the whole baseline, most are alike
		for _, c := range g.changes {
			if len(c.From)+len(c.To) > len(whole.From)+len(whole.To) {
				whole = c
			}
			t.add(c)
		}
		t.from, t.detectable, t.worthwhile = strings.Join(whole.From, "+"), whole.Detectable, whole.Worthwhile
		out = append(out, t)
	}
	return out
}

func (t *tally) add(c retest.Change) {
	t.judged++
	switch {
	case c.Real && c.Direction == "rise":
		t.rises++
	case c.Real:
		t.falls++
	}
	switch c.Verdict {
	case retest.RealWorthwhile:
		t.worth++
	case retest.TriviallySmall:
		t.trivial++
	}
}

func (v Retest) measureTable() table.Table {
	t := table.Table{Name: "tests", Caption: "What was found in each test, and the noise it was judged by.", Columns: []table.Column{
		table.L("test", "label"), table.Machine("measure"), table.L("from", "from"), table.L("to", "to"), table.R("athletes", "athletes"),
		table.R("real rises", "rises"), table.R("real falls", "falls"), table.R("real and worthwhile", "worthwhile_changes"), table.R("trivially small", "trivial"),
		table.R("by chance", "expected_false_alarms"), table.R("detectable change", "detectable"), table.R("worthwhile change", "worthwhile"),
		table.R("typical error (df)", "typical_error"), table.Machine("df"), table.Machine("source")},
		Notes: []string{"By chance: how many would look real had nobody changed."}}
	for _, y := range v.tallies() {
		n := v.noise(y.measure)
		by := float64(y.judged) * (1 - v.Result.Level)
		t.Rows = append(t.Rows, []table.Cell{
			table.Text(v.label(y.measure)), table.Text(y.measure), table.Text(y.from), table.Text(y.to), count(y.judged),
			count(y.rises), count(y.falls), count(y.worth), count(y.trivial), table.Num(by, number.Plain(by, chanceDecimals(by))),
			table.Num(y.detectable, v.scaled(n, y.detectable)), table.Num(y.worthwhile, v.scaled(n, y.worthwhile)),
			table.Num(n.TypicalError, fmt.Sprintf("%s (%s)", typicalWords(n), number.Plain(n.DF, 0))), table.Num(n.DF, ""), table.Text(n.Source)})
	}
	return t
}

// chanceDecimals are those of a count expected by chance: 0.05 is not 0.1.
func chanceDecimals(x float64) int {
	if x < 1 {
		return 2
	}
	return 1
}

func count(n int) table.Cell { return table.Num(float64(n), fmt.Sprint(n)) }

func typicalWords(n noise.Model) string {
	if n.Scale == score.Log {
		return percent(estimate.Percent(n.TypicalError))
	}
	return number.WithUnit(number.Plain(n.TypicalError, number.Decimals(n.TypicalError)), n.Unit)
}

// scaled writes a change on the scale of the noise model.
func (v Retest) scaled(n noise.Model, x float64) string {
	switch {
	case math.IsNaN(x):
		return number.Missing
	case n.Scale == score.Log:
		return upDown(estimate.Percent(x), estimate.Percent(-x))
	}
	return number.WithUnit(number.Plain(x, number.Decimals(n.TypicalError)), n.Unit)
}

// Document implements [View].
func (v Retest) Document() any {
	r := v.Result
	d := retestDocument{Schema: "noisefloor/retest/1", Input: v.Input.document(), Settings: v.Settings, Noise: []noiseDocument{},
		Changes: []change{}, Family: family{r.Family.Changes, r.Family.ExpectedFalseAlarms, r.Family.Real, r.Family.RealAfterBH}, Warnings: list(append(v.sentences(v.Caveats), r.Warnings...))}
	for _, n := range r.Noise {
		d.Noise = append(d.Noise, noiseDocument{n.Measure, n.Unit, n.Source, number64(n.TypicalError), number64(n.DF), string(n.Scale), n.Athletes, list(n.Sessions), number64(n.Trials)})
	}
	for _, c := range r.Changes {
		d.Changes = append(d.Changes, v.changeDocument(c))
	}
	for _, l := range r.LeftOut {
		d.LeftOut = append(d.LeftOut, changesOut{l.Measure, l.Reason, list(l.Athletes)})
	}
	return d
}

func (v Retest) changeDocument(c retest.Change) change {
	n := v.noise(c.Measure)
	d := change{
		Athlete: c.Athlete, Measure: c.Measure, Unit: n.Unit, Scale: string(n.Scale), From: list(c.From), To: list(c.To),
		Baseline: number64(c.Baseline), FollowUp: number64(c.FollowUp),
		Change: number64(c.Change.Value), Lower: number64(c.Change.Lower), Upper: number64(c.Change.Upper), Narrow: newInterval(c.Narrow),
		SE: number64(c.SE), DF: number64(c.DF), Detectable: number64(c.Detectable), Worthwhile: number64(c.Worthwhile), Percent: intervalOrNil(c.Percent),
		P: number64(c.P), PHolm: number64(c.PHolm), PBH: number64(c.PBH), Real: c.Real, RealBH: c.RealAfterBH,
		Verdict: string(c.Verdict), Direction: c.Direction, Better: c.Better, RCI: number64(c.RCI), Beyond: intervalOrNil(c.Beyond),
	}
	if c.Chance != nil {
		d.Chance = &chance{c.Chance.Rise, c.Chance.Trivial, c.Chance.Fall}
	}
	if c.Expected != nil {
		d.Expected = number64(*c.Expected)
	}
	d.Learning, d.AfterLearning, d.FromComponents, d.NoiseWords = intervalOrNil(c.Learning), intervalOrNil(c.AfterLearning), c.FromComponents, c.NoiseWords
	if c.AfterLearning != nil {
		d.RealAfterLearning = &c.RealAfterLearning
	}
	return d
}
