package decision_test

import (
	"math"
	"testing"

	"noisefloor/analysis/decision"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/varcomp"
	"noisefloor/internal/numtest"
)

// small are the components of a study of 8 athletes, 2 sessions, 3 trials whose
// day-to-day part is hardly known: MSas = 3 on 7 df, MSe = 2.7 on 32, by hand
// σ²as = (3 - 2.7)/3, Var = (2·3²/7 + 2·2.7²/32)/9, Var(σ²e) = 2·2.7²/32, Cov = -Var(σ²e)/3.
func small() (c varcomp.Components, te float64) {
	ve := 2 * 2.7 * 2.7 / 32
	c = varcomp.Components{Athlete: 9, AthleteSession: 0.1, Trial: 2.7}
	c.Covariance[1][1], c.Covariance[2][2] = (2*9.0/7+ve)/9, ve
	c.Covariance[1][2], c.Covariance[2][1] = -ve/3, -ve/3
	return c, 1 // sqrt(0.1 + 2.7/3)
}

// More trials never make the detectable change larger, though the components alone
// would have it so; as studied it is t(0.975, 7) sqrt(2) TE; and the reliability has
// the interval of the study.
func TestAsStudied(t *testing.T) {
	c, te := small()
	icc := estimate.Estimate{Value: 0.9, Lower: 0.6, Upper: 0.98, Level: 0.95, Kind: estimate.ExactF}
	o := decision.Options{Trials: 12, Studied: decision.Studied{Trials: 3, DF: 7, Reliability: icc,
		TypicalError: estimate.Estimate{Value: te, Lower: 0.7, Upper: 1.9, Level: 0.95, Kind: estimate.ChiSquare}}}
	rows, err := decision.Study(c, o)
	if err != nil {
		t.Fatal(err)
	}
	alone, _ := decision.Study(c, decision.Options{Trials: 12})
	rose := false
	for i, r := range rows {
		if r.Trials > 1 && r.Detectable > rows[i-1].Detectable {
			t.Errorf("%+v is larger than with a trial less, %g", r.Design, rows[i-1].Detectable)
		}
		as := 1 / float64(r.Sessions)
		if square, df := c.Satterthwaite(0, as, as/float64(r.Trials)); dist.TQuantile(0.975, df)*math.Sqrt(2*square) >
			alone[i].Detectable+1e-12 {
			rose = true
		}
		if r.Trials == 3 {
			k := float64(r.Sessions)
			// R: qt(.975, 7) is 2.3646242515927849.
			numtest.Close(t, "detectable as studied", r.Detectable, 2.3646242515927849*math.Sqrt(2/k)*te, 1e-12)
			numtest.Close(t, "typical error", r.TypicalError.Upper, 1.9/math.Sqrt(k), 1e-14)
			numtest.Close(t, "reliability", r.Reliability.Lower, k*0.6/(1+(k-1)*0.6), 1e-14)
			if r.Reliability.Kind != estimate.ExactF || r.DF != 7 {
				t.Errorf("%+v", r)
			}
		}
	}
	if !rose {
		t.Error("the components alone never rise here: the example shows nothing")
	}
	// The cheapest design obeys the same limits.
	a, err := decision.Cheapest(c, decision.Target{Goal: decision.Detectable, Value: rows[2].Detectable}, o)
	if err != nil || !a.Found || a.Row.Design != (decision.Design{Sessions: 1, Trials: 3}) {
		t.Errorf("%+v, %v", a, err)
	}
}
