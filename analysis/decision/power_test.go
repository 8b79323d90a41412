package decision_test

import (
	"math"
	"testing"

	"noisefloor/analysis/decision"
	"noisefloor/analysis/dist"
	"noisefloor/internal/numtest"
)

// R 4.2.2's uniroot on pt(t, df, d, lower.tail = FALSE), testdata/oracle/one_noise.R.
func TestSeenAgainstR(t *testing.T) {
	for _, tt := range []struct{ df, of5, of10, at90 float64 }{
		{3, 4.2558988207384294, 5.0137906388710842, 3.2994491499489147},
		{7, 3.2697621494021041, 3.7951905282087219, 2.7666432045628739},
		{19, 2.9535882471560284, 3.4187602076710051, 2.5800512647347604},
		{58, 2.8490516161637962, 3.2965730997909231, 2.5160005406331480},
		{math.Inf(1), 1.9599639845400545 + 0.8416212335729143, 1.9599639845400545 + 1.2815515655446004,
			1.6448536269514722 + 0.8416212335729143},
	} {
		numtest.Close(t, "4 of 5", decision.Seen(0.95, 0.8, tt.df), tt.of5, 1e-10)
		numtest.Close(t, "9 of 10", decision.Seen(0.95, 0.9, tt.df), tt.of10, 1e-10)
		numtest.Close(t, "4 of 5 at 90 %", decision.Seen(0.9, 0.8, tt.df), tt.at90, 1e-10)
	}
	for _, bad := range [][3]float64{{1, 0.8, 5}, {0, 0.8, 5}, {0.95, 1, 5}, {0.95, 0, 5}, {0.95, 0.8, 0},
		{0.95, 0.8, math.NaN()}, {math.NaN(), 0.8, 5}} {
		if got := decision.Seen(bad[0], bad[1], bad[2]); !math.IsNaN(got) {
			t.Errorf("%v: %g", bad, got)
		}
	}
	if got := decision.Seen(0.95, 0.8, 0.5); !math.IsInf(got, 1) {
		t.Errorf("half a degree of freedom: %g", got)
	}
}

// As studied the change seen is δ √2 TE on the df of the study, over the root of the
// sessions; δ by R as above. The power is the one asked for.
func TestSeenAsStudied(t *testing.T) {
	c, te := small()
	o := decision.Options{Trials: 12, Studied: decision.Studied{Trials: 3, DF: 7}}
	o.Studied.TypicalError.Value = te
	for power, δ := range map[float64]float64{0.8: 3.2697621494021041, 0.9: 3.7951905282087219} {
		o.Power = power
		rows, err := decision.Study(c, o)
		if err != nil {
			t.Fatal(err)
		}
		for i, r := range rows {
			if r.Trials == 3 {
				numtest.Close(t, "seen", r.Seen, δ*math.Sqrt(2/float64(r.Sessions))*te, 1e-10)
			}
			if r.Trials > 3 && r.Seen > rows[i-1].Seen {
				t.Errorf("%+v: %g, with a trial less %g", r.Design, r.Seen, rows[i-1].Seen)
			}
			if !(r.Seen > r.Detectable) {
				t.Errorf("%+v: seen %g, detectable %g", r.Design, r.Seen, r.Detectable)
			}
		}
		a, err := decision.Cheapest(c, decision.Target{Goal: decision.SeenChange, Value: rows[2].Seen}, o)
		if err != nil || !a.Found || a.Row.Design != rows[2].Design {
			t.Errorf("%+v, %v", a, err)
		}
	}
	numtest.Close(t, "power of what is seen", 1-dist.NoncentralTCDF(dist.TQuantile(0.975, 7), 7,
		decision.Seen(0.95, 0.6, 7)), 0.6, 1e-10)
}
