package reports_test

import (
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"noisefloor/analysis/norms"
	"noisefloor/analysis/score"
	"noisefloor/reports"
	"noisefloor/reports/schema"
	"noisefloor/reports/table"
)

// normsView is a view of two levels, one of them low, with the athlete asked for in it; the
// numbers are those of the analysis.
func normsView(t *testing.T, asked ...string) reports.Norms {
	t.Helper()
	in := norms.Test{Measure: "throw", Unit: "m", Scale: score.Raw, Better: score.Higher, Noise: map[string]norms.Noise{}}
	for l, name := range []string{"academy", "senior"} {
		in.Noise[name] = norms.Noise{TypicalError: 1, DF: 19, Source: "sessions 1, 2"}
		for i := range 20 {
			in.Athletes = append(in.Athletes, fmt.Sprintf("%c%02d", 'A'+l, i+1))
			in.Scores, in.Groups = append(in.Scores, 30+10*float64(l)+4*math.Sin(float64(i))), append(in.Groups, name)
		}
	}
	in.Noise[""] = in.Noise["senior"]
	r, err := norms.Analyse(in, norms.Options{Column: "level", Asked: asked})
	if err != nil {
		t.Fatal(err)
	}
	return reports.Norms{About: reports.About{Version: "1", Input: reports.Input{Path: "t.csv", Rows: 40}, By: "level",
		Confidence: 0.95, Settings: map[string]any{}, Better: map[string]score.Direction{"throw": score.Higher}},
		Session: "2", Asked: asked, Tests: []reports.NormsTest{{Measure: "throw", Label: "Throw", Unit: "m", Result: r}}}
}

// The names of the keys are a contract (norms/1): they are spelled out here.
func TestNormsKeys(t *testing.T) {
	text, err := json.Marshal(normsView(t, "B03").Document())
	if err != nil {
		t.Fatal(err)
	}
	var d struct{ Groups, Standings []map[string]any }
	if err := json.Unmarshal(text, &d); err != nil {
		t.Fatal(err)
	}
	for _, key := range strings.Fields("group measure unit athletes mean sd quantiles coarse") {
		if _, ok := d.Groups[0][key]; !ok {
			t.Errorf("a group has no %q", key)
		}
	}
	for _, key := range strings.Fields("athlete measure score group athletes rank percentile_rank lower upper sampling noise") {
		if _, ok := d.Standings[0][key]; !ok {
			t.Errorf("a standing has no %q", key)
		}
	}
	own, whole := fmt.Sprint(d.Standings[0]["group"]), fmt.Sprint(d.Standings[1]["group"])
	if own != "map[column:level value:senior]" || whole != "map[whole:true]" || len(d.Standings) != 2 || len(d.Groups) != 3 {
		t.Errorf("%s, %s", own, whole)
	}
	quantile := d.Groups[0]["quantiles"].([]any)[2].(map[string]any)
	for _, key := range []string{"p", "estimate", "lower", "upper", "level"} {
		if _, ok := quantile[key]; !ok {
			t.Errorf("a quantile has no %q: %v", key, quantile)
		}
	}
	if strings.Contains(string(text), "null") || strings.Contains(string(text), "NaN") {
		t.Error("an absent value is not left out")
	}
	if _, err := schema.Files().Open("norms.schema.json"); err != nil {
		t.Error(err)
	}
}

// A place is never a bare percentile; the own group comes first, the whole beside it, and
// the words tell the same limits as the numbers.
func TestNormsWords(t *testing.T) {
	v := normsView(t, "B03")
	s := v.Answer()[0]
	if !regexp.MustCompile(`^B03, session 2, stands (between the \d+\w\w and the|above the|under the) \d+\w\w of the 19 others in ` +
		`senior in Throw; in the whole cohort (between the \d+\w\w and the|above the) \d+\w\w of the 39 others\.$`).MatchString(s) {
		t.Errorf("%q", s)
	}
	own, whole := v.Tests[0].Places[0].Standing.Band, v.Tests[0].Places[1].Standing.Band
	if !(whole.Lower > own.Lower) || !strings.Contains(s, fmt.Sprint(int(math.Round(100*whole.Lower)))) {
		t.Errorf("%q of %+v, %+v", s, own, whole)
	}
	for limits, want := range map[[2]float64]string{
		{0.4, 0.88}: "between the 40th and the 88th", {0.001, 0.43}: "under the 43rd", {0.571, 0.999}: "above the 57th",
		{0.002, 0.998}: "anywhere", {0.11, 0.12}: "between the 11th and the 12th", {0.21, 0.93}: "between the 21st and the 93rd",
		{0.02, 0.13}: "between the 2nd and the 13th",
	} {
		v := normsView(t, "B03")
		for i := range v.Tests[0].Places {
			p := &v.Tests[0].Places[i]
			p.Standing.Band.Lower, p.Standing.Band.Upper = limits[0], limits[1]
		}
		if got := v.Answer()[0]; !strings.Contains(got, "stands "+want+" ") {
			t.Errorf("%v: %q", limits, got)
		}
	}
}

// Groups: half of each, from the quartiles; the sheet has a row for each test with its
// groups beside each other.
func TestNormsOfGroups(t *testing.T) {
	v := normsView(t)
	s := v.Answer()[0]
	if !strings.HasPrefix(s, "Throw, session 2: half of the 20 in academy lie between ") || !strings.Contains(s, "half of the 40 in the whole cohort") {
		t.Errorf("%q", s)
	}
	sheet, err := v.Sheet()
	if err != nil || len(sheet.Table.Rows) != 1 || len(sheet.Table.Columns) != 4 {
		t.Errorf("%+v, %v", sheet.Table, err)
	}
	if len(v.Tables()) != 2 || len(v.Tables()[1].Rows) != 80 {
		t.Errorf("%d rows of places", len(v.Tables()[1].Rows))
	}
	one, err := normsView(t, "B03").Sheet()
	if err != nil || !slices.ContainsFunc(one.Table.Columns, func(c table.Column) bool { return c.Head == "place (in senior)" }) {
		t.Errorf("%+v, %v", one.Table.Columns, err)
	}
}
