package reports_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"noisefloor/analysis/agreement"
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/reports"
	"noisefloor/reports/glossary"
)

// tested is a test whose retest of one athlete sees what matters, or not.
func tested(label string, sees reliability.Seeing, detectable float64) reports.ReliabilityMeasure {
	nan := math.NaN()
	return reports.ReliabilityMeasure{Measure: strings.ToLower(label), Label: label, Unit: "W",
		Result: reliability.Result{
			Scale: score.Raw, Level: 0.95, Athletes: 20, Tells: reliability.TellsApart, Settling: reliability.NotSettled,
			SettledFrom: -1, Design: reliability.DesignNone, Sessions: []string{"1", "2"}, DF: 19, Mean: 500,
			Sees: sees, Ratio: detectable / 25, SeenRatio: detectable / 20,
			TypicalError:        estimate.Estimate{Value: 21, Lower: 18, Upper: 25},
			TypicalErrorPercent: estimate.Estimate{Value: detectable / 14, Lower: 1, Upper: 9},
			DetectableChange: reliability.DetectableChange{Level: 0.95, Value: detectable, PercentUp: nan,
				PercentDown: nan, Power: 0.8, Seen: estimate.Bare(1.25*detectable, estimate.None)},
			Worthwhile: reliability.WorthwhileChange{Estimate: estimate.Bare(25, estimate.Known),
				Basis: reliability.Fixed},
		}}
}

func view(all ...reports.ReliabilityMeasure) reports.Reliability {
	return reports.Reliability{Measures: all, About: reports.About{Version: "1.0", Confidence: 0.95, Score: "mean",
		By:    "level",
		Input: reports.Input{Path: "data/tests.csv"}, Settings: map[string]any{"confidence": 0.95}}}
}

// The first line answers what a coach asks: in one test, from where on to look;
// in many, which are good enough.
func TestReliabilityAnswers(t *testing.T) {
	one := view(tested("Pull", reliability.SeesNot, 59))
	one.Days, one.AllSessions = []int{7}, true
	want := []string{"In Pull, ignore changes under 59 W in one athlete: they may be noise.",
		"What matters starts at 25 W, but a true change must be 74 W to be seen in 4 of 5 retests: one retest cannot see it.",
		"20 athletes, sessions 1 and 2, 7 days apart: all of the table, since none were named (--sessions)."}
	if got := one.Answer(); !slices.Equal(got, want) {
		t.Errorf("one test: %q", got)
	}
	for words, days := range map[string][]int{", 1 day apart.": {1}, ", 7 to 21 days apart.": {21, 7, 14},
		", 0 days apart.": {0}} {
		v := view(tested("Pull", reliability.Sees, 20))
		v.Days = days
		if got := v.Answer(); !strings.HasSuffix(got[len(got)-1], words) {
			t.Errorf("%v: %q", days, got)
		}
	}
	if got := view(tested("Pull", reliability.Sees,
		20)).Answer()[1]; got != "What matters starts at 25 W. One retest can see it: a true change of 25 W is seen in 4 of 5 retests." {
		t.Errorf("one test that sees: %q", got)
	}
	many := []reports.ReliabilityMeasure{tested("Throw, left", reliability.Sees, 14), tested("Pull",
		reliability.SeesNot, 59)}
	for sees, first := range map[int]string{
		1: "A single retest can see a change that matters in 1 of 2 tests (in 4 of 5 retests): Throw, left.",
		2: "A single retest can see a change that matters in 2 of 3 tests (in 4 of 5 retests): Throw, left; Jump 1.",
		5: "A single retest can see a change that matters in 5 of 6 tests (in 4 of 5 retests): Throw, left; Jump 1; Jump 2 and 2 more.",
	} {
		all := slices.Clone(many)
		for i := 1; i < sees; i++ {
			all = append(all, tested(fmt.Sprint("Jump ", i), reliability.Sees, 20))
		}
		if got := view(all...).Answer(); got[0] != first ||
			got[1] != "Least noisy: Throw, left (typical error 1.0 % of the score). Noisiest: Pull (4.2 %)." {
			t.Errorf("%q, want %q", got, first)
		}
	}
	if got := view(many[1],
		many[1]).Answer()[0]; got != "A single retest cannot see a change that matters in any of 2 tests (in 4 of 5 retests): only larger changes show." {
		t.Errorf("none: %q", got)
	}
	if got := view(many[0],
		many[0]).Answer()[0]; got != "A single retest can see a change that matters in all 2 tests (in 4 of 5 retests)." {
		t.Errorf("all: %q", got)
	}
}

// The groups' verdict is said from values: differing tests by label.
func TestReliabilitySpeaksOfGroups(t *testing.T) {
	a, b := tested("Pull: seated", reliability.SeesNot, 59), tested("Throw and press", reliability.SeesNot, 50)
	a.Result.GroupTest = &reliability.GroupTest{Verdict: reliability.GroupsDiffer, P: 0.01, LiftedByGroups: true}
	b.Result.GroupTest = &reliability.GroupTest{Verdict: reliability.GroupsNotShown, P: 0.4}
	says(t, view(a, b),
		"By level, the noise differs in 1 of 2 tests, each judged on its own: Pull: seated. In 1 the ICC over all owes its height")
	says(t, view(a), "By level, the noise differs: judge each group by its own. The ICC over all owes its height")
	says(t, view(b), "By level, the noise is not shown to differ between the groups.")
	a.Result.GroupTest = b.Result.GroupTest
	says(t, view(a, b), "By level, no test is shown to be noisier in one group than in another.")
}

// Every kind of caveat of reliability and of agreement has words: numbers in
// the unit of the measure, or in percent where the caveat says log.
func TestReliabilityCaveatsInWords(t *testing.T) {
	for _, tt := range []struct {
		c    caveat.Caveat
		want string
	}{
		{caveat.New(reliability.EveryScoreUsed, 4),
			"4 athletes without every session. Every score is used all the same (REML)."},
		{caveat.New(reliability.LeftOutOf, 4, 9), "4 of 9 athletes left out: not every session has a score."},
		{caveat.New(reliability.AllEqual), "every score is the same. The typical error is 0"},
		{caveat.New(reliability.EqualInSessions), "every score is that of the others of its session."},
		{caveat.New(reliability.NoResidual), "no error at all was seen."},
		{caveat.New(reliability.BelowNoise), "the athletes differ less than the noise."},
		{caveat.New(reliability.NothingBetween, 12.4), "come out as 0 (its SD may be up to 12 W)."},
		{caveat.New(reliability.NothingBetween, 12.4).With("log"), "come out as 0 (its SD may be up to 12 %)."},
		{caveat.New(reliability.OutOfRange), "ICC(A,k) has left its range."},
		{caveat.New(reliability.SessionsDiffer, 0.012, 24),
			"the session means differ (p = 0.012). The typical error leaves that shift out. The agreement error of 24 W counts it."},
		{caveat.New(reliability.SessionsDiffer, 0.012, 6.7).With("log"), "The agreement error of 6.7 % counts it."},
		{caveat.New(reliability.NoWorthwhile, 3).With("bat_speed", "too-few"),
			"no smallest worthwhile change. 3 athletes with bat_speed, and 4 are needed."},
		{caveat.New(reliability.NoWorthwhile, 9).With("", "no-variation"),
			"the outcome is the same for every athlete."},
		{caveat.New(reliability.NoWorthwhile, 9).With("bat_speed", "failed"),
			"It could not be computed from bat_speed."},
		{caveat.New(reliability.WorthwhileZero), "the smallest worthwhile change comes out as 0"},
		{caveat.New(reliability.OutcomeNotShown), "the test is not shown to go with the outcome."},
		{caveat.New(reliability.NoAgreement, 1, 3).With("4", "5"),
			"no agreement of sessions 4 and 5. 1 athlete with both, and 3 are needed."},
		{caveat.New(reliability.NoComponents).With("not-positive", "A1", "2"),
			"The log scale needs attempts above zero: see athlete A1, session 2."},
		{caveat.New(reliability.NoComponents).With("too-few"), "Too few attempts are repeated."},
		{caveat.New(reliability.NoComponents).With("failed"), "The fit failed"},
		{caveat.New(reliability.NoDecision), "no word on other numbers of sessions and trials."},
		{caveat.New(reliability.DaysWithTrials), "one attempt in each session."},
		{caveat.New(reliability.NoErrorSeen), "the attempts show no error at all."},
		{caveat.New(reliability.TrialsEqual), "Are the values rounded, or copied?"},
		{caveat.New(reliability.NothingDayToDay, 3), "the day-to-day part is 0 (its SD may be up to 3.0 W)."},
		{caveat.New(reliability.NothingOfAthlete), "the part between athletes comes out as 0."},
		{caveat.New(reliability.NoGroup, 5), "5 athletes without a group."},
		{caveat.New(reliability.LiftedByGroups, 0.99, 0.85, 0.63, 0.95),
			"the ICC(C,1) over all, 0.99, owes its height to the differences between the groups. Inside them it is 0.85 (0.63 to 0.95)."},
		{caveat.New(reliability.LiftedByGroups, 0.99, -1), "Inside them it is −1.00."},
		{caveat.New(reliability.NoResampling), "no bootstrap intervals of the ICC"},
		{caveat.New(agreement.PairsLeftOut, 2, 5).With("1", "2"),
			"2 of 5 athletes left out of the agreement of sessions 1 and 2."},
		{caveat.New(agreement.AllAlike), "every athlete changed by the same amount."},
		{caveat.New(agreement.ProportionalBias), "the difference between sessions changes with the value."},
		{caveat.New(agreement.UseLog), "Use the log scale, where it no longer does."},
		{caveat.New(agreement.UseLogAllTheSame), "although the error is not even there either."},
		{caveat.New(agreement.NoLog), "the log scale needs every score above zero."},
		{caveat.New(agreement.Shrinks), "The log scale would not help."},
		{caveat.New(agreement.LogNotEnough), "even on the log scale the error grows"},
		{caveat.New(agreement.LogTooMuch), "The raw scale may fit better."},
	} {
		m := tested("Press and pull: seated", reliability.SeesNot, 59)
		m.Result.Caveats = []caveat.Caveat{tt.c}
		got := view(m).Warnings()
		if len(got) != 1 || !strings.HasPrefix(got[0], "Press and pull: seated: ") || !strings.Contains(got[0],
			tt.want) {
			t.Errorf("%s: %q, want %q", tt.c.Kind, got, tt.want)
		}
	}
}

// Names stand where the contract says names, labels where people read; a
// group's caveat names its group.
func TestReliabilityNamesAndLabels(t *testing.T) {
	a, b := tested("throw: seated", reliability.SeesNot, 59), tested("Press and pull", reliability.SeesNot, 59)
	a.Measure, b.Measure = "throw_seated", "press"
	a.Result.Caveats, b.Result.Caveats = []caveat.Caveat{caveat.New(reliability.OutOfRange)},
		[]caveat.Caveat{caveat.New(reliability.OutOfRange)}
	own := b
	own.Group = "senior"
	v := view(a, b, own)
	d := decoded(t, v)
	var caveats []struct {
		Kind, Text string
		Measures   []string
	}
	remarshal(t, d["caveats"], &caveats)
	if len(caveats) != 1 || !slices.Equal(caveats[0].Measures, []string{"throw_seated", "press"}) ||
		!strings.HasPrefix(caveats[0].Text, "throw: seated; Press and pull: ICC(A,k)") {
		t.Errorf("caveats %+v", caveats)
	}
	if w := v.Warnings(); len(w) != 2 || !strings.HasPrefix(w[1], "Press and pull (senior): ICC(A,k)") {
		t.Errorf("warnings %q", w)
	}
}

// The document holds to the schema that is made of the same fields.
func TestReliabilitySchema(t *testing.T) {
	v := filledReliability()
	v.About.Settings = map[string]any{"confidence": 0.95}
	schema := remade(t, reports.ReliabilityFields().Schema("reliability.schema.json", "reliability"))
	c := jsonschema.NewCompiler()
	interval := map[string]any{"type": "object", "additionalProperties": false, "properties": map[string]any{
		"estimate": number, "lower": number, "upper": number, "se": number, "df": number,
		"method": map[string]any{"type": "string"}}}
	common := map[string]any{"$defs": map[string]any{"interval": interval, "input": map[string]any{"type": "object"},
		"settings": map[string]any{"type": "object"}}}
	for name, s := range map[string]any{"common.schema.json": common, "reliability.schema.json": schema} {
		if err := c.AddResource(name, s); err != nil {
			t.Fatal(err)
		}
	}
	s, err := c.Compile("reliability.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	for name, x := range map[string]reports.Reliability{"filled": v, "small": view(tested("Pull", reliability.SeesNot,
		59)), "none": view()} {
		if err := s.Validate(map[string]any(decoded(t, x))); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	broken := decoded(t, v)
	broken["measures"].([]any)[0].(map[string]any)["verdict"].(map[string]any)["one_retest_enough"] = "perhaps"
	if s.Validate(map[string]any(broken)) == nil {
		t.Error("the schema takes a verdict that is none")
	}
}

var number = map[string]any{"type": "number"}

// Every member of the document, every column of the tables and every kind of
// caveat that has a column is explained.
func TestReliabilityIsExplained(t *testing.T) {
	plain := func(key string) bool { // says itself what it is
		first, last := strings.Split(key, ".")[0], key[strings.LastIndex(key, ".")+1:]
		return slices.Contains([]string{"schema", "version", "input", "settings", "caveats", "not_analysed"}, first) ||
			slices.Contains([]string{"measures", "label", "unit", "warnings"}, last)
	}
	for _, p := range reports.ReliabilityFields().Paths() {
		key := p.Key
		if p.Term != "" {
			key = p.Term
		}
		if _, ok := glossary.Covering(key); !ok && !plain(key) {
			t.Errorf("no term covers %s", key)
		}
	}
	for _, x := range filledReliability().Tables() {
		for _, c := range x.Columns {
			if _, ok := glossary.Find(c.Head); c.Head != "" && !ok {
				t.Errorf("%s: no term explains the head %q", x.Name, c.Head)
			}
			if _, ok := glossary.Covering(x.Name + "." + c.Key); !ok && !plain(c.Key) {
				t.Errorf("no term explains the column %s.%s", x.Name, c.Key)
			}
		}
	}
}

func decoded(t *testing.T, v reports.View) map[string]any {
	t.Helper()
	var b bytes.Buffer
	if err := reports.WriteJSON(&b, v); err != nil {
		t.Fatal(err)
	}
	d, err := jsonschema.UnmarshalJSON(&b)
	if err != nil {
		t.Fatal(err)
	}
	return d.(map[string]any)
}

func remade(t *testing.T, x any) any {
	t.Helper()
	text, err := json.Marshal(x)
	if err != nil {
		t.Fatal(err)
	}
	out, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func remarshal(t *testing.T, from, to any) {
	t.Helper()
	text, err := json.Marshal(from)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, to); err != nil {
		t.Fatal(err)
	}
}

// A sheet is one page: few sentences, five columns, five lines, one picture
// that is no taller than half a page, however many tests there are.
func TestReliabilitySheet(t *testing.T) {
	var all []reports.ReliabilityMeasure
	kinds := []caveat.Kind{reliability.OutOfRange, reliability.NoErrorSeen, reliability.TrialsEqual,
		reliability.NoResampling,
		reliability.BelowNoise, reliability.AllEqual, agreement.UseLog}
	for i := range 18 {
		m := tested(fmt.Sprintf("Test %02d", i), reliability.SeesNot, 30+float64(i))
		m.Result.Caveats = []caveat.Caveat{caveat.New(kinds[i%len(kinds)])}
		all = append(all, m)
	}
	v := view(all...)
	s, err := v.Sheet()
	if err != nil {
		t.Fatal(err)
	}
	people := 0
	for _, c := range s.Table.Columns {
		if c.Head != "" {
			people++
		}
	}
	if n := len(s.Answer); n < 1 || n > 3 || people != 5 || len(s.Table.Rows) != 18 {
		t.Errorf("%d sentences, %d columns, %d rows", n, people, len(s.Table.Rows))
	}
	// Seven things to watch out for: the four weightiest, and a count.
	if len(s.Watch) != 4 || !strings.Contains(s.Watch[0], "every score is the same") || s.More != 3 {
		t.Errorf("watch %q", s.Watch)
	}
	p, err := s.Draw()
	if err != nil || p == nil || p.Height > 110*72/25.4 || !strings.Contains(p.Caption,
		"Drawn are the 10 of 18 tests that come closest; the working page has them all.") {
		t.Errorf("picture %+v, %v", p, err)
	}
	if s.Source != "tests.csv, sessions 1 and 2, noisefloor 1.0." || strings.Contains(s.Source, "\n") {
		t.Errorf("source %q", s.Source)
	}
}
