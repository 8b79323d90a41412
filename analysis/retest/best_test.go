package retest_test

import (
	"strings"
	"testing"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
)

// best is a test of the best of attempts: three before, five after for A1 and A2, three
// for A3.
func best() retest.Test {
	x := test(1, 9, table(2, 10, 12, 20, 21, 30, 34))
	x.Summary, x.Noise.Summary, x.Noise.TrialSD, x.Noise.Scale = score.Best, score.Best, 2, score.Raw
	x.Scores.Trials = []int32{3, 5, 3, 5, 3, 3}
	return x
}

// The best of five lies above the best of three by itself: it is said by how much, and of
// how many changes. The expected highest of 3 and 5 standard normal values is
// 0.8462843753 and 1.1629644736 (R 4.2.2, m*integrate(function(x) x*dnorm(x)*pnorm(x)^(m-1),
// -9, 9)); an attempt has the SD 2.
func TestBestOfOtherNumbersIsSaid(t *testing.T) {
	r := judge(t, best())
	if len(r.Changes) != 3 {
		t.Errorf("%+v", r.Changes)
	}
	for _, c := range r.Caveats {
		if c.Kind == retest.BestRises {
			for i, want := range []float64{2, 3, 5, 2 * (1.1629644736 - 0.8462843753), 1} {
				numtest.Close(t, "best rises", c.Numbers[i], want, 1e-8)
			}
			return
		}
	}
	t.Error("nothing is said")
}

// Of means, of attempts that are not counted and of equal numbers nothing is said; the
// size of the rise is not known without the SD of an attempt.
func TestBestOfEqualNumbers(t *testing.T) {
	for name, change := range map[string]func(*retest.Test){
		"mean":      func(x *retest.Test) { x.Summary, x.Noise.Summary = score.Mean, score.Mean },
		"uncounted": func(x *retest.Test) { x.Scores.Trials = nil },
		"not all":   func(x *retest.Test) { x.Scores.Trials = []int32{0, 5, 3, 0, 3, 3} },
		"equal":     func(x *retest.Test) { x.Scores.Trials = []int32{5, 5, 4, 4, 3, 3} },
	} {
		x := best()
		change(&x)
		if r := judge(t, x); len(r.Changes) != 3 || strings.Contains(strings.Join(said(r), " "), "best-rises") {
			t.Errorf("%s: %d changes, %v", name, len(r.Changes), said(r))
		}
	}
	x := best()
	x.Noise.TrialSD = 0
	contains(t, said(judge(t, x)), "best-rises raw 2 3 5 0 0")
}

// What the noise study could have seen: with R's power.t.test as in the tests of
// noise.Shift, 8 athletes, SD of the differences 1: 1.1560 from 80 % power on. Silence is
// said to be none where what matters is smaller.
func TestPracticeThatIsNotSeen(t *testing.T) {
	x := test(1, 7, table(2, 10, 12, 20, 21, 30, 34))
	x.Noise.Athletes, x.Noise.Worthwhile = 8, 1
	x.Noise.Shifts = []noise.Shift{{From: "1", To: "2", Value: 0.3, SE: 0.35355339059327373}}
	o := retest.Options{Sight: true}
	r := learned(t, x, o)
	if len(r.Practice) != 1 || r.Practice[0].Change.Value != 0.3 || r.Practice[0].To != "2" {
		t.Fatalf("%+v", r.Practice)
	}
	numtest.Close(t, "seen from", r.Practice[0].SeenFrom, 1.156034678, 1e-6)
	contains(t, said(r), "jump: practice-unseen raw 1.16 8")
	if got := r.Of([]string{"A2"}).Practice; len(got) != 1 {
		t.Errorf("%+v", got)
	}
	silent := func(name string, change func(*retest.Test)) {
		y := x
		y.Noise.Shifts = []noise.Shift{x.Noise.Shifts[0]}
		change(&y)
		if strings.Contains(strings.Join(said(learned(t, y, o)), " "), "practice-unseen") {
			t.Errorf("%s: a doubt", name)
		}
	}
	silent("what matters is larger", func(y *retest.Test) { y.Noise.Worthwhile = 1.2 })
	silent("practice is seen", func(y *retest.Test) { y.Noise.Shifts[0].Value = 3 })
	silent("no error known", func(y *retest.Test) { y.Noise.Shifts[0].SE = missing })
}
