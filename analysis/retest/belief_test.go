package retest_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
)

// Changes of 13 athletes of two arms.
var (
	cohortChanges = []float64{3.1, -0.4, 1.8, 5.6, 0.2, 2.4, -1.2, 0.7, -2.3, 1.1, 0.4, -0.6, 3.9}
	twoArms       = []string{"a", "a", "a", "a", "a", "a", "a", "b", "b", "b", "b", "b", "b"}
)

// cohort has two sessions before and one after, whose changes from the mean of the
// first two are those given; the tenth athlete lacks a session before, the thirteenth
// has two after.
func cohort(d []float64, arms []string, te, df, w float64) retest.Test {
	var v []float64
	for i, x := range d {
		base, far := float64(20+i), missing
		if i == 12 {
			far = base + x
		}
		row := []float64{base - 1, base + 1, base + x, far}
		if i == 9 {
			row = []float64{base, missing, base + x, far}
		}
		v = append(v, row...)
	}
	x := test(te, df, table(4, v...))
	x.Baseline, x.FollowUp, x.Arms, x.Worthwhile = []string{"1", "2"}, [][]string{{"3", "4"}}, arms, ptr(w)
	return x
}

func believed(t testing.TB, x retest.Test) retest.Result {
	t.Helper()
	r, err := retest.Judge([]retest.Test{x}, retest.Options{Cohort: true})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Base R, by brute force on a grid of errors and spreads, means and true changes
// jointly normal: testdata/belief.R. Columns: best estimate, its 95 % limits, chance
// above w, chance below -w.
func TestBestEstimate(t *testing.T) {
	for _, c := range []struct {
		name string
		test retest.Test
		want [][5]float64
	}{
		{"two arms", cohort(cohortChanges, twoArms, 1.3, 11, 0.8), [][5]float64{
			{2.308654, -0.055268, 4.848697, 0.896226, 0.006039},
			{0.709436, -1.926813, 3.124462, 0.486202, 0.122009},
			{1.714659, -0.650610, 4.101234, 0.788694, 0.019287},
			{3.450953, 0.657394, 6.482044, 0.967317, 0.001012},
			{0.983588, -1.554290, 3.346679, 0.572518, 0.077718},
			{1.988810, -0.357213, 4.434429, 0.847068, 0.011185},
			{0.343900, -2.444234, 2.880989, 0.384591, 0.202754},
			{0.686700, -1.724951, 3.079181, 0.461981, 0.104134},
			{-0.684059, -3.536488, 1.956871, 0.149550, 0.458964},
			{0.843823, -1.743832, 3.465449, 0.512003, 0.097403},
			{0.549624, -1.885539, 2.929576, 0.417653, 0.126958},
			{0.092704, -2.459466, 2.488966, 0.286356, 0.230036},
			{2.398109, -0.158458, 4.959221, 0.881115, 0.006356},
		}},
		{"error known", cohort(cohortChanges, nil, 1.3, math.Inf(1), 0.8), [][5]float64{
			{2.073181, -0.088673, 4.592827, 0.869037, 0.005047},
			{0.452054, -2.032071, 2.613532, 0.404236, 0.144648},
			{1.471048, -0.747007, 3.802723, 0.731235, 0.022609},
			{3.231128, 0.772303, 6.220470, 0.973128, 0.000149},
			{0.729962, -1.665888, 2.913015, 0.494167, 0.095007},
			{1.748956, -0.430683, 4.161350, 0.803168, 0.011725},
			{0.081511, -2.534524, 2.257504, 0.298085, 0.230516},
			{0.961551, -1.368852, 3.178702, 0.571586, 0.063754},
			{-0.427986, -3.247495, 1.873114, 0.189098, 0.373034},
			{1.151251, -1.327527, 3.596689, 0.626870, 0.056452},
			{0.822598, -1.546128, 3.017716, 0.525095, 0.081431},
			{0.359419, -2.156254, 2.519343, 0.375899, 0.164132},
			{2.672093, 0.636506, 5.040835, 0.961578, 0.000214},
		}},
		{"six", cohort(cohortChanges[:6], nil, 0.5, 5, 1), [][5]float64{
			{2.859101, 1.131436, 4.475200, 0.981038, 0.000313},
			{0.216538, -1.471956, 2.364811, 0.182923, 0.076592},
			{1.877578, 0.260500, 3.525922, 0.875764, 0.001540},
			{4.746646, 2.181681, 6.513937, 0.997287, 0.000047},
			{0.669549, -0.981234, 2.612970, 0.321587, 0.023897},
			{2.330588, 0.684830, 3.948471, 0.950532, 0.000692},
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			for i, got := range believed(t, c.test).Changes {
				w := c.want[i]
				for j, x := range []float64{got.Best.Value, got.Best.Lower, got.Best.Upper, got.ChanceCohort.Above,
					got.ChanceCohort.Below} {
					numtest.CloseAbs(t, fmt.Sprintf("athlete %d, column %d", i+1, j+1), x, w[j], 2e-5)
				}
				if got.Best.Kind != estimate.Posterior || got.Best.Level != 0.95 {
					t.Errorf("kind %s, level %g", got.Best.Kind, got.Best.Level)
				}
			}
		})
	}
}

// The chance shown is the less sure of the two, of a rise and of a fall, and no jump from
// one to the other: the rest is within.
func TestChanceIsTheLessSure(t *testing.T) {
	flat, both := 0, 0
	for _, c := range believed(t, cohort(cohortChanges, twoArms, 1.3, 11, 0.8)).Changes {
		above, below := min(c.ChanceCohort.Above, c.ChanceFlat.Above), min(c.ChanceCohort.Below, c.ChanceFlat.Below)
		want := retest.Chance{Above: above, Within: 1 - above - below, Below: below}
		if diff := cmp.Diff(want, *c.Chance, cmpopts.EquateApprox(1e-14, 0)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.Athlete, diff)
		}
		if c.ChanceCohort.Above < c.ChanceFlat.Above {
			both++
		} else {
			flat++
		}
	}
	if flat == 0 || both == 0 {
		t.Errorf("the flat one %d times, that of the cohort %d times: one was never less sure", flat, both)
	}
}

// Five athletes say too little about one: the flat chance stands, and that is said. So
// it is for an arm of five beside one of eight.
func TestFewAreNotBelieved(t *testing.T) {
	few := append([]string{"b", "b", "b", "b", "b"}, twoArms[:7]...)
	few = append(few, "a")
	for name, c := range map[string]struct {
		test retest.Test
		none int
	}{
		"five":        {cohort(cohortChanges[:5], nil, 1, 9, 0.8), 5},
		"five beside": {cohort(cohortChanges, few, 1, 9, 0.8), 5},
		"six":         {cohort(cohortChanges[:6], nil, 1, 9, 0.8), 0},
	} {
		r := believed(t, c.test)
		none := 0
		for _, c := range r.Changes {
			if c.Best == nil {
				none++
				if c.ChanceCohort != nil || *c.Chance != *c.ChanceFlat {
					t.Errorf("%s: %s has a chance by the cohort", name, c.Athlete)
				}
			}
		}
		var want, got []caveat.Caveat
		if c.none > 0 {
			want = []caveat.Caveat{caveat.New(retest.FewToBelieve, float64(c.none), 6).About("jump")}
		}
		for _, c := range r.Caveats {
			if c.Kind == retest.FewToBelieve {
				got = append(got, c)
			}
		}
		if none != c.none {
			t.Errorf("%s: %d without a best estimate, want %d", name, none, c.none)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
	}
}

// With no error seen, nothing is believed beyond the changes.
func TestNoErrorNoBelief(t *testing.T) {
	for _, c := range believed(t, cohort(cohortChanges, nil, 0, 9, 0.8)).Changes {
		if c.Best != nil || c.ChanceCohort != nil {
			t.Errorf("%s: %+v", c.Athlete, c.Best)
		}
	}
}

// Changes whose squares leave float64 are judged, and nothing is believed beyond them.
func TestHugeChangesAreNotBelieved(t *testing.T) {
	d := slices.Clone(cohortChanges)
	d[3] = 1e200
	for _, c := range believed(t, cohort(d, nil, 1, 9, 0.8)).Changes {
		if c.Best != nil || c.ChanceCohort != nil || c.Chance == nil {
			t.Errorf("%s: %+v", c.Athlete, c.Best)
		}
	}
}

// A family of one athlete is judged alone; what is believed stays that of all.
func TestFamilyOfOne(t *testing.T) {
	x := cohort(cohortChanges, twoArms, 1.3, 11, 0.8)
	all := believed(t, x)
	r, err := retest.Judge([]retest.Test{x}, retest.Options{Cohort: true, Family: []string{"A4"}})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Changes) != 1 || r.Family.Changes != 1 || r.Changes[0].PBH != r.Changes[0].P {
		t.Fatalf("%d changes, family %+v", len(r.Changes), r.Family)
	}
	if diff := cmp.Diff(all.Changes[3].Best, r.Changes[0].Best); diff != "" {
		t.Errorf("best estimate (-among all +alone):\n%s", diff)
	}
}

// drawnCohort is of 6 to 20 athletes of two arms, changes on a grid.
func drawnCohort(t *rapid.T) (d []float64, arms []string, df float64) {
	n := rapid.IntRange(6, 20).Draw(t, "athletes")
	for range n {
		d = append(d, float64(rapid.IntRange(-40, 40).Draw(t, "change"))/8)
		arms = append(arms, rapid.SampledFrom([]string{"x", "y"}).Draw(t, "arm"))
	}
	return d, arms, float64(rapid.IntRange(2, 60).Draw(t, "df"))
}

// changesOf judges such changes in a unit; a typical error and a change of one matter.
func changesOf(t *rapid.T, d []float64, arms []string, df, unit float64) []retest.Change {
	v := make([]float64, 0, 2*len(d))
	for i, x := range d {
		v = append(v, unit*(100+float64(i)), unit*(100+float64(i)+x))
	}
	x := test(unit, df, table(2, v...))
	x.Arms, x.Worthwhile = arms, ptr(unit)
	r, err := retest.Judge([]retest.Test{x}, retest.Options{Cohort: true})
	if err != nil {
		t.Fatal(err)
	}
	return r.Changes
}

// The order of athletes and the names of the arms do not matter; a change that all
// share moves every best estimate by as much; mirrored changes mirror them; another unit
// multiplies them.
func TestBeliefProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, arms, df := drawnCohort(t)
		n := len(d)
		turned, named, moved, mirrored := make([]float64, n), make([]string, n), make([]float64, n), make([]float64, n)
		for i := range d {
			turned[i], named[i] = d[n-1-i], map[string]string{"x": "b", "y": "a"}[arms[n-1-i]]
			moved[i], mirrored[i] = d[i]+2, -d[i]
		}
		other, shifted := changesOf(t, turned, named, df, 1), changesOf(t, moved, arms, df, 1)
		back, inUnit := changesOf(t, mirrored, arms, df, 1), changesOf(t, d, arms, df, 8)
		for i, c := range changesOf(t, d, arms, df, 1) {
			if (c.Best == nil) != (other[n-1-i].Best == nil) {
				t.Fatal("in another order other arms are believed")
			}
			if c.Best == nil {
				continue
			}
			alike := func(name string, got, want estimate.Estimate) {
				if diff := cmp.Diff(want, got, cmpopts.EquateApprox(1e-6, 1e-6)); diff != "" {
					t.Fatalf("%s (-want +got):\n%s", name, diff)
				}
			}
			alike("in another order", *other[n-1-i].Best, *c.Best)
			alike("all moved by 2", *shifted[i].Best, c.Best.Map(func(x float64) float64 { return x + 2 }))
			alike("mirrored", *back[i].Best, mirror(*c.Best))
			alike("in another unit", *inUnit[i].Best, times(*c.Best, 8))
			sum := c.ChanceCohort.Above + c.ChanceCohort.Within + c.ChanceCohort.Below
			numtest.CloseAbs(t, "sum", sum, 1, 1e-12)
		}
	})
}

// Where all changed by the same, the best estimate is that; on the log scale it is a
// difference of logarithms.
func TestBestEstimateOnTheLogScale(t *testing.T) {
	v := make([]float64, 0, 40)
	for i := range 20 {
		v = append(v, float64(50+i), float64(50+i)*1.1)
	}
	x := test(0.05, 19, table(2, v...))
	x.Noise.Scale = score.Log
	for _, c := range believed(t, x).Changes {
		numtest.CloseAbs(t, c.Athlete, c.Best.Value, math.Log(1.1), 1e-9)
	}
}

// By hand: a typical error of 1 known exactly, two single sessions, half width
// 1.959964·√2 = 2.7718; w 4 with limits 3 and 6. A change of 8 is past w by 4, more than
// √(2.7718² + 2²) = 3.418; one of 7.3 by 3.3, less than that, though more than 2.7718.
// One of 1 falls short of w by 3, more than √(2.7718² + 1²) = 2.9467; one of 1.1 by
// 2.9, less than that, though more than 2.7718.
func TestWorthwhileIntervalCounts(t *testing.T) {
	for _, c := range []struct {
		change       float64
		want, stated retest.Matters
	}{
		{8, retest.MattersYes, retest.MattersYes},
		{-8, retest.MattersYes, retest.MattersYes},
		{7.3, retest.MattersUnclear, retest.MattersYes},
		{-7.3, retest.MattersUnclear, retest.MattersYes},
		{1, retest.MattersNo, retest.MattersNo},
		{1.1, retest.MattersUnclear, retest.MattersNo},
		{-1.1, retest.MattersUnclear, retest.MattersNo},
	} {
		x := test(1, math.Inf(1), table(2, 20, 20+c.change))
		x.Noise.Worthwhile, x.Noise.WorthwhileLower, x.Noise.WorthwhileUpper = 4, 3, 6
		if got := judge(t, x).Changes[0].Matters; got != c.want {
			t.Errorf("%g: %s, want %s", c.change, got, c.want)
		}
		x.Worthwhile = ptr(4) // a stated number has no interval
		if got := judge(t, x).Changes[0].Matters; got != c.stated {
			t.Errorf("%g against 4 exactly: %s, want %s", c.change, got, c.stated)
		}
	}
}

// An upper limit that does not exist leaves nothing that surely matters.
func TestWorthwhileWithoutUpperLimit(t *testing.T) {
	x := test(1, math.Inf(1), table(2, 20, 60))
	x.Noise.Worthwhile, x.Noise.WorthwhileLower, x.Noise.WorthwhileUpper = 4, 3, math.Inf(1)
	if got := judge(t, x).Changes[0].Matters; got != retest.MattersUnclear {
		t.Errorf("%s", got)
	}
}
