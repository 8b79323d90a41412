package reliability_test

import (
	"math"
	"testing"

	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
)

// A retest sees the worthwhile change when the change seen in 4 of 5 is no larger;
// both sides of the edge, by a fixed worthwhile change around it.
func TestSees(t *testing.T) {
	table := tableOf([][]float64{{10, 11}, {20, 22}, {30, 29}, {40, 42}, {50, 49}})
	edge := analyse(t, table, reliability.Options{}).DetectableChange.Seen.Value
	for times, want := range map[float64]reliability.Seeing{1.01: reliability.Sees, 0.99: reliability.SeesNot} {
		o := reliability.Options{Worthwhile: reliability.Worthwhile{Basis: reliability.Fixed, Value: times * edge}}
		if r := analyse(t, table, o); r.Sees != want || r.Tells != reliability.TellsApart {
			t.Errorf("%g times the change seen: %s, tells apart %s", times, r.Sees, r.Tells)
		}
	}
	alike := tableOf([][]float64{{1, 5}, {5, 1}, {2, 4}, {4, 2}, {3, 5}})
	if r := analyse(t, alike, reliability.Options{}); r.Tells != reliability.NotShownApart {
		t.Errorf("athletes who swap places are told apart: %s, ICC %+v", r.Tells, r.ICC[4].Value)
	}
}

// The detectable change goes with the limits of the typical error. The change
// found in 80 % of retests, by the normal law for a study of many athletes:
// (1.959964 + 0.841621) sqrt(2) TE; with few it is larger.
func TestDetectableLimitsAndPower(t *testing.T) {
	var rows [][]float64
	for i := range 4001 {
		x := float64(i % 97)
		rows = append(rows, []float64{x + float64(i*7919%13), x + float64(i*104729%11)})
	}
	r := analyse(t, tableOf(rows), reliability.Options{Worthwhile: reliability.Worthwhile{Basis: reliability.Fixed,
		Value: 1}})
	d, te := r.DetectableChange, r.TypicalError
	numtest.Close(t, "power 80 %", d.Power80, (1.9599639845400545+0.8416212335729143)*math.Sqrt2*te.Value, 2e-3)
	numtest.Close(t, "lower", d.Lower/d.Value, te.Lower/te.Value, 1e-12)
	numtest.Close(t, "upper", d.Upper/d.Value, te.Upper/te.Value, 1e-12)
	few := analyse(t, tableOf([][]float64{{10, 11}, {20, 22}, {30, 29}, {40, 42}}), reliability.Options{})
	d = few.DetectableChange
	if f := d.Power80; f <= (1.96+0.8416)*math.Sqrt2*few.TypicalError.Value || f <= d.Value {
		t.Errorf("with 3 df: %g", f)
	}
}

// On the log scale the numbers of a caveat are in percent, 100(exp(x)-1), and
// it says so.
func TestCaveatsInPercent(t *testing.T) {
	rows := [][]float64{{10, 12}, {20, 24.5}, {30, 36}, {40, 47}, {50, 61}}
	r := analyse(t, tableOf(rows), reliability.Options{Scale: score.Log})
	holds(t, r, reliability.SessionsDiffer, []string{"log"}, r.SessionTest.P, 100*(math.Exp(r.AgreementError.Value)-1))
	if raw := analyse(t, tableOf(rows), reliability.Options{Level: 0.8}); has(raw, reliability.SessionsDiffer) {
		holds(t, raw, reliability.SessionsDiffer, nil, raw.SessionTest.P, raw.AgreementError.Value)
	} else {
		t.Errorf("session means alike: %+v", raw.SessionTest)
	}
}
