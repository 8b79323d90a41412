package reports

import (
	"fmt"
	"slices"
	"strings"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/reports/field"
	"noisefloor/reports/number"
	"noisefloor/reports/table"
)

// Data implements [View].
func (v Retest) Data() table.Table {
	return v.changeFields().Table("changes", "Every change that was judged.", v.allJudged(v.Result.Changes))
}

const (
	fewChanges = 40 // rows up to which the table of every change is shown at once
	surest     = 40 // rows of the table of the surest changes
)

// Tables implements [View].
func (v Retest) Tables() []table.Table {
	all := v.Data()
	if len(v.Result.Changes) <= fewChanges {
		return v.further([]table.Table{all, v.testTable()})
	}
	all.Detail = true
	return v.further([]table.Table{v.testTable(), v.surestTable(), all})
}

// surestTable holds the changes past the noise, those that stand out first.
func (v Retest) surestTable() table.Table {
	past := v.surest()
	t := v.changeFields().Pick("athlete", "label", "from", "to", "change", "detectable", "verdict", "direction", "p",
		"p_bh").
		Table("surest-changes", "The changes past the noise, those that stand out first.",
			v.allJudged(past[:min(surest, len(past))]))
	if more := len(past) - surest; more > 0 {
		t.Notes = []string{fmt.Sprintf("%d more are past the noise; the table of every change has them all.", more)}
	}
	return t
}

// further adds an A to Z of athletes and who was not judged.
func (v Retest) further(out []table.Table) []table.Table {
	out = append(out, v.seasonTables()...)
	if t := v.athleteTable(); len(t.Rows) > 1 {
		out = append(out, t)
	}
	if len(v.Result.LeftOut) > 0 {
		t := v.leftOutFields().Table("not-judged", "Athletes that could not be judged, and why.", v.Result.LeftOut)
		t.Detail = true
		out = append(out, t)
	}
	return out
}

// A course is what was found of one athlete.
type course struct {
	athlete            string
	changes, out, past int
	best               []string // what stands out
}

func (v Retest) courses() []course {
	at := map[string]int{}
	var out []course
	for _, c := range v.Result.Changes {
		i, ok := at[c.Athlete]
		if !ok {
			i, at[c.Athlete] = len(out), len(out)
			out = append(out, course{athlete: c.Athlete})
		}
		out[i].changes++
		out[i].past += tick(c.Past())
		out[i].out += tick(c.Out())
	}
	for _, c := range v.surest() {
		if c.Out() {
			i := at[c.Athlete]
			out[i].best = append(out[i].best, v.label(c.Measure)+" "+v.changeWords(c))
		}
	}
	slices.SortStableFunc(out, func(a, b course) int { return strings.Compare(a.athlete, b.athlete) })
	return out
}

// athleteTable is an A to Z of athletes, a line each.
func (v Retest) athleteTable() table.Table {
	fields := field.Set[course]{
		field.Text("athlete", func(c course) string { return c.athlete }).Shown("athlete",
			func(c course) string { return c.athlete }),
		field.Integer("changes", func(c course) int { return c.changes }).Shown("looked at",
			func(c course) string { return fmt.Sprint(c.changes) }),
		field.Integer("stand_out", func(c course) int { return c.out }).Shown("stand out",
			func(c course) string { return fmt.Sprint(c.out) }),
		field.Integer("past_noise", func(c course) int { return c.past }).Shown("past the noise",
			func(c course) string { return fmt.Sprint(c.past) }),
		field.Texts("what", func(c course) []string { return c.best }).Shown("what stands out",
			func(c course) string { return listed(c.best, 3) }),
	}
	t := fields.Table("athletes", "Every athlete, from A to Z.", v.courses())
	t.Detail = true
	return t
}

// A tally counts what was found in one measure and occasion.
type tally struct {
	measure                           string
	occasion                          retest.Occasion
	judged, rises, falls, past, worth int
	detectable, worthwhile            float64
	fullest                           int // sessions of the change that the two numbers above are of
	noise                             noise.Model
	by                                float64 // past the noise by chance
}

func (v Retest) tallies() []tally {
	type key struct {
		measure, group string
		occasion       int
	}
	at := map[key]int{}
	var out []tally
	for _, c := range v.Result.Changes {
		k := key{c.Measure, c.Group, c.Occasion}
		i, ok := at[k]
		if !ok {
			i, at[k] = len(out), len(out)
			out = append(out, tally{measure: c.Measure, occasion: v.Result.Occasions[c.Occasion],
				noise: v.noise(c.Measure, c.Group)})
		}
		out[i].add(c)
		out[i].by = float64(out[i].judged) * (1 - v.Result.Level)
	}
	return out
}

func (t *tally) add(c retest.Change) {
	t.judged++
	t.past += tick(c.Past())
	if c.Out() {
		t.rises += tick(c.Direction == "rise")
		t.falls += tick(c.Direction == "fall")
		t.worth += tick(c.Matters == retest.MattersYes)
	}
	// Of athletes with the whole baseline most are alike: their noise is shown.
	if n := len(c.From) + len(c.To); n > t.fullest {
		t.fullest, t.detectable, t.worthwhile = n, c.Detectable, c.Worthwhile
	}
}

func (v Retest) testFields() field.Set[tally] {
	plain := func(get func(tally) int) func(tally) string {
		return func(t tally) string { return fmt.Sprint(get(t)) }
	}
	judged, rises, falls := func(t tally) int { return t.judged }, func(t tally) int { return t.rises },
		func(t tally) int { return t.falls }
	past, worth := func(t tally) int { return t.past }, func(t tally) int { return t.worth }
	group := field.Text("group", func(t tally) string { return t.noise.Group }).Column("-")
	if v.byGroup() {
		group = group.Column("group").Shown("group", func(t tally) string { return t.noise.Group })
	}
	return field.Set[tally]{
		field.Text("label", func(t tally) string { return v.label(t.measure) }).Shown("test",
			func(t tally) string { return v.label(t.measure) }),
		field.Text("measure", func(t tally) string { return t.measure }),
		group,
		field.Texts("from", func(t tally) []string { return t.occasion.Baseline }).Shown("from",
			func(t tally) string { return strings.Join(t.occasion.Baseline, "+") }),
		field.Texts("to", func(t tally) []string { return t.occasion.FollowUp }).Shown("to",
			func(t tally) string { return strings.Join(t.occasion.FollowUp, "+") }),
		field.Integer("athletes", judged).Shown("athletes", plain(judged)),
		field.Integer("rises", rises).Shown("rises that stand out", plain(rises)),
		field.Integer("falls", falls).Shown("falls that stand out", plain(falls)),
		field.Integer("worthwhile_changes", worth).Shown("and matter", plain(worth)),
		field.Integer("past_noise", past).Shown("past the noise", plain(past)),
		field.Number("expected_false_alarms", func(t tally) float64 { return t.by }).Shown("by chance",
			func(t tally) string { return number.Plain(t.by, chanceDecimals(t.by)) }),
		field.Number("detectable", func(t tally) float64 { return t.detectable }).Shown("ignore under",
			func(t tally) string { return v.scaled(t.noise, t.detectable) }),
		field.Number("worthwhile", func(t tally) float64 { return t.worthwhile }).Shown("matters from",
			func(t tally) string { return v.scaled(t.noise, t.worthwhile) }),
		field.Number("typical_error", func(t tally) float64 { return t.noise.TypicalError }).Shown("typical error "+
			"(df)", func(t tally) string {
			return fmt.Sprintf("%s (%s)", typicalWords(t.noise), dfWords(t.noise))
		}),
		field.Number("df", func(t tally) float64 { return knownDF(t.noise) }),
		field.Text("source", func(t tally) string { return t.noise.Source }),
	}
}

func (v Retest) testTable() table.Table {
	t := v.testFields().Table("tests", "What was found in each test, and the noise it was judged by.", v.tallies())
	t.Notes = []string{"By chance: how many would be past the noise had nobody changed."}
	return t
}
