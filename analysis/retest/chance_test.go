package retest_test

import (
	"fmt"
	"math"
	"testing"

	"noisefloor/analysis/retest"
	"noisefloor/internal/numtest"
)

// The number that chance alone reaches in 5 % of calls: one test whose noise is known
// exactly gives the 95 % quantile of Bin(n, 0.05). R 4.2.2: qbinom(.95, 40, .05) is 4,
// qbinom(.95, 200, .05) is 15. Of 8 athletes' noise, shared by 200 changes, it is far
// larger.
func TestUpToWhatChanceReaches(t *testing.T) {
	of := func(n int, df float64) int {
		var value []float64
		for i := range n {
			value = append(value, 50, 50+0.001*float64(i%3))
		}
		r, err := retest.Judge([]retest.Test{test(5, df, table(2, value...))}, retest.Options{UpTo: true})
		if err != nil {
			t.Fatal(err)
		}
		return r.Family.UpTo
	}
	for n, want := range map[int]int{40: 4, 200: 15} {
		if got := of(n, 1e6); got != want {
			t.Errorf("%d changes, noise known exactly: up to %d, want %d", n, got, want)
		}
	}
	if got := of(200, math.Inf(1)); got != 15 {
		t.Errorf("200 changes, infinitely many df: up to %d, want 15", got)
	}
	if got := of(200, 7); got < 25 || got > 60 {
		t.Errorf("200 changes by the noise of 8 athletes: up to %d", got)
	}
	if a, b := of(60, 12), of(60, 12); a != b {
		t.Errorf("the same call has %d and %d", a, b)
	}
}

// Two of ten stand out: their interval for the selected is at level 1 - 0.05·2/10.
// R 4.2.2: qt(1 - .05*2/10/2, 20) is 2.845339709786027.
func TestSelectedInterval(t *testing.T) {
	value := []float64{50, 90, 50, 10}
	for i := range 8 {
		value = append(value, 50, 50+0.1*float64(i))
	}
	r := judge(t, test(5, 20, table(2, value...)))
	if r.Family.StandOut != 2 {
		t.Fatalf("%+v", r.Family)
	}
	for i, c := range r.Changes {
		if i > 1 {
			if c.Selected != nil {
				t.Errorf("%s does not stand out and has %+v", c.Athlete, *c.Selected)
			}
			continue
		}
		numtest.Close(t, "half width", (c.Selected.Upper-c.Selected.Lower)/2, 2.845339709786027*5*math.Sqrt2, 1e-12)
		numtest.Close(t, "level", c.Selected.Level, 0.99, 1e-15)
	}
}

// Whoever is shown, the family is the call's.
func TestOfKeepsTheFamily(t *testing.T) {
	r := judge(t, test(1, 20, table(2, 50, 60, 50, 50, 50, 40)))
	name := r.Changes[0].Athlete
	one := r.Of([]string{name})
	if len(one.Changes) != 1 || one.Changes[0].Athlete != name || one.Family != r.Family || len(r.Changes) != 3 ||
		len(one.Runs) != 1 || fmt.Sprint(one.Changes[0].PBH) != fmt.Sprint(r.Changes[0].PBH) {
		t.Errorf("%+v", one)
	}
	var none retest.Result
	if none = r.Of([]string{"nobody"}); len(none.Changes) != 0 || none.Family != r.Family {
		t.Errorf("%+v", none)
	}
}
