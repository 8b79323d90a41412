package association_test

import (
	"math"
	"testing"

	"noisefloor/analysis/association"
	"noisefloor/analysis/estimate"
	"noisefloor/internal/numtest"
)

// R 4.2.2: anova of lm, uniroot on sums of dpois and pbeta (testdata/oracle/added_r2.R).
func TestAddedR2AgainstRecordedR(t *testing.T) { addedAgainstR(t, rows(t, "oracle", "added_r2.csv")) }

func TestAddedR2AgainstLiveR(t *testing.T) { addedAgainstR(t, live(t, "added_r2.R")) }

func addedAgainstR(t *testing.T, want []row) {
	t.Helper()
	if len(want) != 18 {
		t.Fatalf("%d values from R, want 18", len(want))
	}
	for _, w := range want {
		e := association.AddedR2(w.f(t, "f"), w.f(t, "df1"), w.f(t, "df2"), w.f(t, "small"), int(w.f(t, "terms")),
			w.f(t, "level"))
		numtest.Close(t, w["name"], e.Value, w.f(t, "value"), 1e-11)
		numtest.Close(t, w["name"]+" lower", e.Lower, w.f(t, "lower"), 1e-9)
		numtest.Close(t, w["name"]+" upper", e.Upper, w.f(t, "upper"), 1e-9)
	}
}

// The lower limit is 0 just where one side of the F test does not exclude it; the
// upper is at most 1; an F of 0 has 0 and 0 as long as that is not improbable.
func TestAddedR2Edges(t *testing.T) {
	// F on 2 and 17 exceeds 4.618874 in 2.5 %: qf(0.975, 2, 17) in R 4.2.2.
	const edge = 4.61887388130505
	for _, terms := range []int{0, 3} {
		if e := association.AddedR2(edge*(1-1e-9), 2, 17, 0.4, terms, 0); e.Lower != 0 {
			t.Errorf("below the edge: %+v", e)
		}
		if e := association.AddedR2(edge*(1+1e-6), 2, 17, 0.4, terms, 0); !(e.Lower > 0) || !(e.Upper > e.Value) {
			t.Errorf("above the edge: %+v", e)
		}
		if e := association.AddedR2(0, 2, 17, 0.4, terms, 0); e.Value != 0 || e.Lower != 0 || e.Upper != 0 {
			t.Errorf("F = 0: %+v", e)
		}
	}
	// F = 0.02 on 40 and 17: all but impossible, even where nothing is added.
	if e := association.AddedR2(0.02, 40, 17, 0.4, 1, 0); e.Upper != 0 || e.Lower != 0 {
		t.Errorf("improbably small F: %+v", e)
	}
	if e := association.AddedR2(80, 2, 17, 0.1, 5, 0); e.Upper > 1 || !(e.Lower > 0.3) {
		t.Errorf("large F: %+v", e)
	}
	for _, tt := range []struct {
		f, df1, df2 float64
		level       float64
		want        estimate.Kind
	}{{1, 1, 1, 0, estimate.TooFew}, {math.Inf(1), 1, 20, 0, estimate.NoRange}, {2, 1, 20, 7, estimate.Failed}} {
		if e := association.AddedR2(tt.f, tt.df1, tt.df2, 0.3, 1, tt.level); e.HasInterval() || e.Kind != tt.want {
			t.Errorf("%+v: %+v", tt, e)
		}
	}
}
