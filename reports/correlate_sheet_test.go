package reports_test

import (
	"slices"
	"testing"

	"noisefloor/analysis/association"
	"noisefloor/analysis/estimate"
	"noisefloor/reports"
)

// A sheet of correlations keeps the r within a level beside that over all, and
// before it: the sentence above the table speaks of it. The numbers are made up.
func TestCorrelateSheetColumns(t *testing.T) {
	r := func(value float64) association.Correlation {
		return association.Correlation{Estimate: estimate.Estimate{Value: value, Lower: value - 0.1,
			Upper: value + 0.1}, N: 30, P: 0.01, PHolm: 0.02}
	}
	a := association.Association{Measure: "toss", Plane: "transverse", N: 30, Pearson: r(0.9), Spearman: r(0.8)}
	for _, tt := range []struct {
		within *association.WithinGroups
		heads  []string
		first  string // the text of the first r
	}{
		{&association.WithinGroups{Correlation: r(0.6)}, []string{"test", "plane", "r within level", "p (Holm)",
			"r over all (Pearson)"}, "0.60 (0.50 to 0.70)"},
		{nil, []string{"test", "plane", "r over all (Pearson)", "p (Holm)"}, "0.90 (0.80 to 1.00)"},
	} {
		a.Within = tt.within
		s, err := reports.Correlate{Result: association.Result{Outcome: "speed", Level: 0.95,
			Associations: []association.Association{a}}}.Sheet()
		if err != nil {
			t.Fatal(err)
		}
		shown := s.Table.View()
		var heads []string
		for _, c := range shown.Heads {
			heads = append(heads, c.Head)
		}
		if !slices.Equal(heads, tt.heads) {
			t.Errorf("columns %q, want %q", heads, tt.heads)
			continue
		}
		if got := shown.Body[0][2].Text; got != tt.first {
			t.Errorf("first r %q, want %q", got, tt.first)
		}
	}
}
