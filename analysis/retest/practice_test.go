package retest_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
)

var learning = retest.Options{Learning: true}

func learned(t testing.TB, x retest.Test, o retest.Options) retest.Result {
	t.Helper()
	r, err := retest.Judge([]retest.Test{x}, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// sleep is Student's (1908) sleep data as a noise study of 10 patients: R 4.2.2,
// t.test() of datasets::sleep, gives the interval of the change and its mean.
func sleep(value ...float64) retest.Test {
	x := test(0.86973814705602304, 9, table(3, value...))
	x.Noise.Athletes = 10
	x.Noise.Shifts = []noise.Shift{
		{From: "0", To: "1", Value: 7, SE: 0.5}, // not the last
		{From: "1", To: "2", Value: 1.58, SE: (2.4598857632769824 - 0.70011423672301754) / 2 / 2.2621571627982049},
		// R: qt(.975, 9)
	}
	return x
}

// One more change beyond practice is real when it lies outside the interval in
// which R's predict(lm(d ~ 1), interval = "prediction") expects it, with 9 df:
// testdata/oracle.R.
func TestPracticeAgainstR(t *testing.T) {
	const lower, upper = -1.3382509351652232, 4.4982509351652231
	for _, tt := range []struct {
		d          float64
		real, left bool
	}{{4.4, true, false}, {4.5, true, true}, {-1.3, false, false}, {-1.34, false, true}, {0, false, false}} {
		r := learned(t, sleep(10, 10+tt.d, missing), learning)
		c := r.Changes[0]
		name := fmt.Sprintf("%g: ", tt.d)
		numtest.Close(t, name+"value", c.AfterLearning.Value, tt.d-1.58, 1e-12)
		numtest.Close(t, name+"lower", c.AfterLearning.Lower, tt.d-upper, 1e-11)
		numtest.Close(t, name+"upper", c.AfterLearning.Upper, tt.d-lower, 1e-11)
		numtest.Close(t, name+"shift", c.Learning.Value, 1.58, 0)
		numtest.Close(t, name+"shift lower", c.Learning.Lower, 0.70011423672301754, 1e-13)
		numtest.Close(t, name+"shift upper", c.Learning.Upper, 2.4598857632769824, 1e-13)
		if c.PastAfterLearning != tt.left || c.Past() != tt.real {
			t.Errorf("%sreal %t, beyond practice %t", name, c.Past(), c.PastAfterLearning)
		}
		if c.AfterLearning.Kind != estimate.CombinedT || math.Abs(c.AfterLearning.DF-9) > 1e-12 ||
			c.Learning.Kind != estimate.StudentT || c.Learning.DF != 9 {
			t.Errorf("%+v, %+v", c.AfterLearning, c.Learning)
		}
		contains(t, said(r), "jump: practice-subtracted 1 2")
		contains(t, said(r), "jump: mean-moved-from-baseline 1 2")
	}
}

// Another level of the reading: by hand, with R's qt(.95, 9) =
// 1.8331129326562365 and qt(.975, 9) = 2.2621571627982049; df 9 as before.
func TestPracticeLevels(t *testing.T) {
	c := learned(t, sleep(10, 15, missing), retest.Options{Learning: true, Level: 0.9}).Changes[0]
	const t90, t95 = 1.8331129326562365, 2.2621571627982049
	shiftSE := (2.4598857632769824 - 0.70011423672301754) / 2 / t95
	numtest.Close(t, "shift upper", c.Learning.Upper, 1.58+t90*shiftSE, 1e-12)
	se := math.Sqrt(2*0.86973814705602304*0.86973814705602304 + shiftSE*shiftSE)
	numtest.Close(t, "upper", c.AfterLearning.Upper, 3.42+t90*se, 1e-12)
}

// By hand, with errors of unlike df (components, df 100 and SE² 20, as in
// TestComponentsByHand; shift with SE_s² = 5, df 4):
//
//	df = 25² / (20/10 + 5/2)² = 30.864, SE = 5; the quantile is R's, qt(.975, 625/20.25).
func TestPracticeWithComponents(t *testing.T) {
	x := attempted([]int32{3, 1, 0}, 50, 62, missing)
	x.Noise.Athletes = 5
	x.Noise.Shifts = []noise.Shift{{From: "1", To: "2", Value: 2, SE: math.Sqrt(5)}}
	c := learned(t, x, learning).Changes[0]
	numtest.Close(t, "value", c.AfterLearning.Value, 10, 0)
	numtest.Close(t, "half", c.AfterLearning.Upper-10, 2.0398772272372754*5, 1e-12)
	if !c.FromComponents || math.Abs(c.AfterLearning.DF-30.8642) > 1e-4 {
		t.Errorf("%t, %+v", c.FromComponents, c.AfterLearning)
	}
}

// The primary verdict, and all else of a change, is the same with and without.
func TestPracticeLeavesTheVerdict(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := drawnAttempts(t)
		x.Noise.Athletes = 9
		x.Noise.Shifts = sleep().Noise.Shifts
		with, without := learned2(t, x, retest.Options{Learning: true, Regression: true}), changes(t, x)
		for i, c := range with {
			if c.AfterLearning == nil || c.Learning == nil {
				t.Fatal("no reading beyond practice")
			}
			if c.AfterLearning.Upper-c.AfterLearning.Lower <= c.Change.Upper-c.Change.Lower && !c.FromComponents &&
				c.DF >= 8 { // those of the shift: on more df it can narrow an interval on fewer
				t.Fatalf("the uncertainty of the shift is lost: %+v, %+v", c.Change, *c.AfterLearning)
			}
			if c.PastAfterLearning != c.AfterLearning.Excludes(0) {
				t.Fatalf("%t, %+v", c.PastAfterLearning, *c.AfterLearning)
			}
			with[i].Learning, with[i].AfterLearning, with[i].PastAfterLearning = nil, nil, false
			with[i].Exposures = 0
		}
		if diff := cmp.Diff(without, with, cmpopts.EquateNaNs()); diff != "" {
			t.Fatalf("(-without +with)\n%s", diff)
		}
	})
}

func learned2(t *rapid.T, x retest.Test, o retest.Options) []retest.Change {
	r, err := retest.Judge([]retest.Test{x}, o)
	if err != nil {
		t.Fatal(err)
	}
	return r.Changes
}

// Scores and practice the other way round mirror the reading beyond practice.
func TestPracticeMirrors(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := drawn(t, score.Raw)
		x.Noise.Athletes = rapid.IntRange(2, 30).Draw(t, "studied")
		shift := noise.Shift{From: "1", To: "2", Value: rapid.Float64Range(-20, 20).Draw(t, "shift"),
			SE: rapid.Float64Range(0, 20).Draw(t, "se")}
		x.Noise.Shifts = []noise.Shift{shift}
		y := x
		y.Scores.Value = slices.Clone(x.Scores.Value)
		for i := range y.Scores.Value {
			y.Scores.Value[i] *= -1
		}
		shift.Value *= -1
		y.Noise.Shifts = []noise.Shift{shift}
		back := learned2(t, y, learning)
		near := cmpopts.EquateApprox(1e-12, 1e-12)
		for i, c := range learned2(t, x, learning) {
			if diff := cmp.Diff(mirror(*c.AfterLearning), *back[i].AfterLearning, near); diff != "" {
				t.Fatalf("mirrored (-want +got):\n%s", diff)
			}
			if c.PastAfterLearning != back[i].PastAfterLearning {
				t.Fatal("real one way alone")
			}
		}
	})
}

func TestPracticeLeftOut(t *testing.T) {
	for name, tt := range map[string]struct {
		change func(*retest.Test)
		nils   []bool // of the follow-ups
		want   string
	}{
		"no shifts": {func(x *retest.Test) { x.Noise.Shifts = nil }, []bool{true, true}, "jump: no-practice"},
		"no error": {func(x *retest.Test) { x.Noise.Shifts[1].SE = missing }, []bool{true, true},
			"jump: practice-without-error 1 2"},
		"endless error": {func(x *retest.Test) { x.Noise.Shifts[1].SE = math.Inf(1) }, []bool{true, true},
			"practice-without-error"},
		"error below 0": {func(x *retest.Test) { x.Noise.Shifts[1].SE = -9 }, []bool{true, true},
			"practice-without-error"},
		"no value": {func(x *retest.Test) { x.Noise.Shifts[1].Value = missing }, []bool{true, true},
			"practice-without-error"},
		"no athletes": {func(x *retest.Test) { x.Noise.Athletes = 0 }, []bool{true, true},
			"practice-of-unknown-many"},
		"one athlete": {func(x *retest.Test) { x.Noise.Athletes = 1 }, []bool{true, true},
			"practice-of-unknown-many"},
		"two follow-ups": {func(x *retest.Test) {}, []bool{false, false}, "practice-subtracted 1 2 3"},
		"one before": {func(x *retest.Test) { x.Baseline, x.FollowUp = []string{"2"}, [][]string{{"1"}, {"3"}} },
			[]bool{true, false}, "not-after-baseline 2 1"},
		"between": {func(x *retest.Test) { x.Baseline, x.FollowUp = []string{"1", "3"}, [][]string{{"2"}} },
			[]bool{true}, "not-after-baseline 1, 3 2"},
		"both before": {func(x *retest.Test) {
			x.Baseline, x.FollowUp = []string{"3"}, [][]string{{"1"}, {"2",
				"1"}}
		}, []bool{true, true}, "not-after-baseline 3 1 2"},
	} {
		x := sleep(10, 20, 30)
		x.FollowUp = [][]string{{"2"}, {"3"}}
		tt.change(&x)
		r := learned(t, x, learning)
		for i, c := range r.Changes {
			if (c.Learning == nil) != tt.nils[i] || (c.AfterLearning == nil) != tt.nils[i] ||
				c.PastAfterLearning == tt.nils[i] {
				t.Errorf("%s, change %d: %v, %v, %t", name, i, c.Learning, c.AfterLearning, c.PastAfterLearning)
			}
		}
		contains(t, said(r), tt.want)
		if all := strings.Join(said(r), "\n"); !slices.Contains(tt.nils, false) && strings.Contains(all,
			"practice-subtracted") {
			t.Errorf("%s: %s", name, all)
		}
	}
	if c := judge(t, sleep(10, 20, 30)).Changes[0]; c.Learning != nil || c.AfterLearning != nil || c.PastAfterLearning {
		t.Error("practice that nobody asked for")
	}
}

// Without any error there is an answer all the same.
func TestPracticeWithoutError(t *testing.T) {
	x := test(0, 7, table(2, 10, 12, 10, 13))
	x.Noise.Athletes = 8
	x.Noise.Shifts = []noise.Shift{{From: "1", To: "2", Value: 2}}
	r := learned(t, x, learning)
	for i, want := range []float64{0, 1} {
		a := r.Changes[i].AfterLearning
		if a.Value != want || a.Lower != want || a.Upper != want || r.Changes[i].PastAfterLearning != (want != 0) {
			t.Errorf("%+v", *a)
		}
	}
}

// Nobody trains, everyone gains 1.5 by practice at every exposure. The reading
// beyond practice calls 5 % of the changes real: exactly with two sessions in
// the study (a prediction interval), 4.87 % with three, by a simulation of its
// own in R (testdata/oracle.R, standard error 0.05 %). The change itself is
// called real far more often, which is what the second reading is for.
func TestFalseAlarmsBeyondPractice(t *testing.T) {
	for _, tt := range []struct {
		k    int
		want float64
	}{{2, 0.05}, {3, 0.0487}} {
		const n, studies, gain = 8, 8000, 1.5
		rng := rand.New(rand.NewPCG(9, uint64(tt.k)))
		var sum, squares, plain float64
		for range studies {
			y := make([]float64, n*tt.k)
			for i := range y {
				y[i] = gain*float64(i%tt.k) + rng.NormFloat64()
			}
			x := test(residual(y, n, tt.k), float64((n-1)*(tt.k-1)), followed(rng, n, gain))
			x.Noise.Athletes = n
			x.Noise.Shifts = []noise.Shift{lastChange(y, n, tt.k)}
			alarms := 0.0
			for _, c := range learned(t, x, learning).Changes {
				if c.PastAfterLearning {
					alarms += 1.0 / n
				}
				if c.Past() {
					plain += 1.0 / n / studies
				}
			}
			sum += alarms
			squares += alarms * alarms
		}
		share := sum / studies
		se := math.Sqrt((squares/studies - share*share) / studies)
		t.Logf("%d sessions: %.2f %% (standard error %.2f) beyond practice, %.1f %% of the change itself", tt.k,
			100*share, 100*se, 100*plain)
		if se > 0.0025 || math.Abs(share-tt.want) > 3*math.Hypot(se, 0.0005) {
			t.Errorf("%d sessions: %.2f %% false alarms, want %.2f -+ %.2f", tt.k, 100*share, 100*tt.want, 300*se)
		}
		if plain < 0.1 {
			t.Errorf("%d sessions: %.2f %% of changes by practice alone are real, and practice is no matter", tt.k,
				100*plain)
		}
	}
}

// followed are n athletes before and after one more exposure.
func followed(rng *rand.Rand, n int, gain float64) score.Table {
	v := make([]float64, 2*n)
	for i := range v {
		v[i] = 50 + gain*float64(i%2) + rng.NormFloat64()
	}
	return table(2, v...)
}

// residual is the typical error of n athletes by k sessions, by the sums of a
// textbook.
func residual(y []float64, n, k int) float64 {
	rows, cols, all := make([]float64, n), make([]float64, k), 0.0
	for i, v := range y {
		rows[i/k] += v / float64(k)
		cols[i%k] += v / float64(n)
		all += v / float64(n*k)
	}
	ss := 0.0
	for i, v := range y {
		e := v - rows[i/k] - cols[i%k] + all
		ss += e * e
	}
	return math.Sqrt(ss / float64((n-1)*(k-1)))
}

// lastChange is the paired change of the mean to the last session.
func lastChange(y []float64, n, k int) noise.Shift {
	mean, ss := 0.0, 0.0
	for i := range n {
		mean += (y[i*k+k-1] - y[i*k+k-2]) / float64(n)
	}
	for i := range n {
		d := y[i*k+k-1] - y[i*k+k-2] - mean
		ss += d * d
	}
	return noise.Shift{From: "1", To: "2", Value: mean, SE: math.Sqrt(ss / float64(n-1) / float64(n))}
}

// The shift's own degrees of freedom count, where the study tells them: its
// interval is of their t quantile. t(33, 0.975) is
// 2.0345152974493397, t(7, 0.975) 2.364624251592785 (R 4.2.2, qt).
func TestPracticeTakesTheShiftsDF(t *testing.T) {
	for df, quantile := range map[float64]float64{33: 2.0345152974493397, 0: 2.364624251592785} {
		x := test(1, 7, table(2, 10, 20))
		x.Noise.Athletes = 8
		x.Noise.Shifts = []noise.Shift{{From: "a", To: "b", DF: df, Value: 3, SE: 1}}
		r, err := retest.Judge([]retest.Test{x}, retest.Options{Learning: true})
		if err != nil {
			t.Fatal(err)
		}
		l := r.Changes[0].Learning
		numtest.Close(t, "half width", (l.Upper-l.Lower)/2, quantile, 1e-12)
		d := r.Changes[0].AfterLearning
		f := 7.0
		if df > 0 {
			f = df
		}
		// Hand: SE² = 2 + 1, df = 9/(2/√7 + 1/√f)².
		total := 9 / math.Pow(2/math.Sqrt(7)+1/math.Sqrt(f), 2)
		numtest.Close(t, "beyond practice", (d.Upper-d.Lower)/2, math.Sqrt(3)*dist.TQuantile(0.975, total), 1e-9)
	}
}

// From the mean of sessions 1 and 2 to session 3 steady practice has one and a half steps.
// By hand from Student's sleep data as above: 1.5·1.58 = 2.37, SE'² = TE²·1.5 + 2.25·SE_s²,
// df 9. Of an athlete with session 2 alone it is one step; the baseline then is the later
// session of the shift, and SE'² = 2·TE² + SE_s² + 2·TE²/10 for an athlete of the study; of
// one with session 1 alone it is the earlier one, and as much is taken off.
func TestPracticeStepsOfTheBaseline(t *testing.T) {
	const te, t95 = 0.86973814705602304, 2.2621571627982049
	shift := (2.4598857632769824 - 0.70011423672301754) / 2 / t95
	x := sleep(10, 12, 15, missing, 12, 15, 10, missing, 15)
	x.Baseline, x.FollowUp = []string{"1", "2"}, [][]string{{"3"}}
	x.Studied = [][]string{{"1", "2"}}
	for i, want := range []struct{ steps, square float64 }{
		{1.5, 1.5*te*te + 2.25*shift*shift}, {1, 2*te*te + shift*shift + 2*te*te/10},
		{1, 2*te*te + shift*shift - 2*te*te/10},
	} {
		c := learned(t, x, learning).Changes[i]
		numtest.Close(t, "steps", c.Exposures, want.steps, 1e-14)
		numtest.Close(t, "learning", c.Learning.Value, want.steps*1.58, 1e-13)
		numtest.Close(t, "its upper limit", c.Learning.Upper, want.steps*2.4598857632769824, 1e-12)
		numtest.Close(t, "SE", c.AfterLearning.SE, math.Sqrt(want.square), 1e-12)
		numtest.Close(t, "value", c.AfterLearning.Value, c.Change.Value-want.steps*1.58, 1e-12)
	}
	x.Studied = nil // another study: nothing is shared
	numtest.Close(t, "SE of others", learned(t, x, learning).Changes[1].AfterLearning.SE, math.Sqrt(2*te*te+shift*shift), 1e-12)
	contains(t, said(learned(t, x, learning)), "practice-subtracted 1 2 1.5")
}
