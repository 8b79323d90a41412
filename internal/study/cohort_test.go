package study_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"noisefloor/analysis/retest"
	"noisefloor/internal/numtest"
	"noisefloor/internal/study"
)

// twoArms is a table of 20 athletes in two noise sessions and one after: those of the
// arm "block" have changed by 3, those of "none" by nothing, give or take 1.
func twoArms(group string) *study.Host {
	var b strings.Builder
	fmt.Fprintf(&b, "athlete,session,%s,jump\n", group)
	for i := range 20 {
		arm, change := "none", 0.0
		if i%2 == 0 {
			arm, change = "block", 3
		}
		base, wobble := 200+10*float64(i%7), float64(i%3)-1
		for s, x := range []float64{base + wobble, base - wobble/2, base + change + float64(i%5)/2 - 1} {
			fmt.Fprintf(&b, "A%02d,%d,%s,%g\n", i+1, s+1, arm, x)
		}
	}
	return &study.Host{Version: "test", Files: fstest.MapFS{"t.csv": {Data: []byte(b.String())}}}
}

func retestOf(t *testing.T, h *study.Host, r *study.Retest) *retest.Result {
	t.Helper()
	r.Common, r.NoiseFrom = study.Common{Table: study.Table{Path: "t.csv"}, Seed: 1}, append([]string(nil), "1", "2")
	r.Measures = []string{"jump"}
	o, err := study.Run(r, h)
	if err != nil {
		t.Fatal(err)
	}
	return o.Result.(*retest.Result)
}

// Each arm has a mean of its own: the best estimates lie near 3 and near 0. Where the
// table has no group, all are drawn towards each other.
func TestArmsOfTheTable(t *testing.T) {
	within, across := retestOf(t, twoArms("group"), &study.Retest{}), retestOf(t, twoArms("shoes"), &study.Retest{})
	apart := func(r *retest.Result) (sum float64) {
		for _, c := range r.Changes {
			sum += math.Abs(c.Best.Value - 1.5)
		}
		return sum / 20
	}
	for i, c := range within.Changes {
		numtest.CloseAbs(t, c.Athlete, c.Best.Value, 3*float64((i+1)%2), 0.8)
	}
	if apart(across) > 0.95*apart(within) {
		t.Errorf("%g from the mean of all without arms, %g with", apart(across), apart(within))
	}
}

// One athlete and one test asked for by name are a family of one; what the others did is
// still known.
func TestAloneWithTheOthersInMind(t *testing.T) {
	all := retestOf(t, twoArms("group"), &study.Retest{})
	alone := retestOf(t, twoArms("group"), &study.Retest{Athletes: []string{"A05"}})
	if alone.Family.Changes != 1 || len(alone.Changes) != 1 {
		t.Fatalf("%d changes in a family of %d", len(alone.Changes), alone.Family.Changes)
	}
	same(t, "best estimate", all.Changes[4].Best, alone.Changes[0].Best)
	same(t, "chance", all.Changes[4].Chance, alone.Changes[0].Chance)
}
