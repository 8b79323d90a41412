package reports_test

import (
	"bytes"
	"strings"
	"testing"

	"noisefloor/analysis/caveat"
	"noisefloor/reports"
	facts "noisefloor/reports/field"
	"noisefloor/reports/picture"
)

// A view of one table of facts has its sheet, JSON, table and picture from the
// fields and sentences alone.
func TestSimple(t *testing.T) {
	type place struct {
		athlete string
		score   float64
	}
	v := reports.Simple[place]{
		About:    reports.About{Input: reports.Input{Path: "t.csv", Rows: 2}, Settings: map[string]any{}, Version: "1"},
		Question: "place", Heading: "Who is first?", Says: []string{"A is first.", "b", "c", "d"}, How: []string{"By score."},
		Key: "places", Caption: "Everybody.", OnSheet: []string{"athlete", "score"},
		Rows: []place{{"A", 3}, {"B", 2}}, Doubts: []caveat.Caveat{caveat.New(caveat.LowerIsBetter).About("throw")},
		Failed: []reports.Failed{{Measure: "jump", Reason: "nobody jumped"}},
		Facts: facts.Set[place]{
			facts.Text("athlete", func(p place) string { return p.athlete }).Required().As("athlete"),
			facts.Number("score", func(p place) float64 { return p.score }).Shown("score",
				func(p place) string { return strings.Repeat("|", int(p.score)) }),
		},
		Draw: func() ([]picture.Picture, error) {
			p, err := picture.Strip(picture.StripInput{Name: "places", Title: "Scores", Caption: "Each mark is an athlete.",
				Axis: "score", Unit: "W", RowsAre: "level", MarksAre: "athlete",
				Rows: []picture.StripRow{{Label: "all", Names: []string{"A", "B"}, Marks: []float64{3, 2}}}})
			return []picture.Picture{p}, err
		},
	}
	var view reports.View = v
	s, err := view.Sheet()
	if err != nil {
		t.Fatal(err)
	}
	if s.Title != "Who is first?" || len(s.Answer) != 3 || len(s.Watch) != 2 || !strings.Contains(s.Source, "t.csv") ||
		len(s.Table.Rows) != 2 || len(s.Table.Columns) != 2 {
		t.Errorf("%+v", s)
	}
	p, err := s.Draw()
	if err != nil || p == nil || p.Alt == "" || len(p.Table.Rows) != 2 || p.Table.Header[1] != "athlete" {
		t.Errorf("%+v, %v", p, err)
	}
	var b bytes.Buffer
	if err := reports.WriteJSON(&b, view); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"schema": "noisefloor/place/1"`, `"answer": "A is first."`, `"athlete": "B"`,
		`"kind": "lower-is-better"`} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("no %s in %s", want, b.String())
		}
	}
	b.Reset()
	if err := view.Data().WriteCSV(&b); err != nil || b.String() != "athlete,score\nA,3\nB,2\n" {
		t.Errorf("%q, %v", b.String(), err)
	}
	if text, err := v.Schema().MarshalJSON(); err != nil || !bytes.Contains(text, []byte(`"const":"noisefloor/place/1"`)) {
		t.Errorf("%s, %v", text, err)
	}
	if w := view.Warnings(); len(w) != 2 || w[1] != "jump: not analysed: nobody jumped" {
		t.Errorf("%q", w)
	}
	v.OnSheet = []string{"shoe size"}
	if _, err := v.Sheet(); err == nil {
		t.Error("a sheet with a column that the facts lack")
	}
	if _, err := picture.Strip(picture.StripInput{Title: "none"}); err == nil {
		t.Error("a picture of nothing")
	}
}
