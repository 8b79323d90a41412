package reliability_test

import (
	"math"
	"strings"
	"testing"

	"noisefloor/analysis/estimate"
	"noisefloor/analysis/reliability"
)

func TestGroupsWithoutATest(t *testing.T) {
	table := tableOf([][]float64{{1, 2}, {3, 5}, {4, 4}, {7, 6}, {9, 8}, {12, 11}, {15, 17}, {16, 16}, {21, 22}})
	for _, tt := range []struct {
		name   string
		groups string
		n      int
		why    estimate.Kind
	}{
		{"one group", "a,a,a,a,a,a,a,a,a", 1, ""},
		{"nobody known", ",,,,,,,,", 0, ""},
		{"one large enough", "a,a,a,a,a,a,b,b,b", 2, estimate.TooFew},
		{"all alone", "a,b,c,d,e,f,g,h,i", 9, estimate.TooFew},
	} {
		r := analyse(t, table, reliability.Options{Group: strings.Split(tt.groups, ",")})
		if len(r.Groups) != tt.n || (r.GroupTest != nil) != (tt.why != "") {
			t.Errorf("%s: %d groups, test %+v", tt.name, len(r.Groups), r.GroupTest)
			continue
		}
		if r.GroupTest == nil {
			continue
		}
		if r.GroupTest.Why != tt.why || r.GroupTest.Verdict != reliability.GroupsNotTested ||
			!math.IsNaN(r.GroupTest.P) {
			t.Errorf("%s: %+v", tt.name, r.GroupTest)
		}
		last := r.Groups[len(r.Groups)-1]
		if last.Why != estimate.TooFew || last.ICC.HasInterval() || !math.IsNaN(last.TypicalError.Value) {
			t.Errorf("%s: last group %+v", tt.name, last)
		}
	}
	alone := analyse(t, table, reliability.Options{Group: strings.Split("a,b,c,d,e,f,g,h,i", ",")})
	if !math.IsNaN(alone.GroupTest.WithinICC) || alone.GroupTest.LiftedByGroups {
		t.Errorf("groups of one: %+v", alone.GroupTest)
	}
}

func TestGroupWithoutResidual(t *testing.T) {
	table := tableOf([][]float64{{1, 2}, {3, 4}, {5, 6}, {7, 8}, {1, 3}, {2, 2}, {5, 4}, {8, 9}})
	r := analyse(t, table, reliability.Options{Group: strings.Split("a,a,a,a,b,b,b,b", ",")})
	if !math.IsNaN(r.GroupTest.Statistic) || r.GroupTest.Why != estimate.NoError {
		t.Errorf("test %+v", r.GroupTest)
	}
}

// Groups that do not differ lift nothing.
func TestGroupsThatDoNotLift(t *testing.T) {
	table := tableOf([][]float64{{10, 11}, {20, 19}, {30, 31}, {40, 41}, {50, 49}, {11, 10}, {21, 22}, {29, 30}, {41,
		40}, {49, 51}})
	r := analyse(t, table, reliability.Options{Group: strings.Split("a,a,a,a,a,b,b,b,b,b", ",")})
	if r.GroupTest.LiftedByGroups || has(r, reliability.LiftedByGroups) {
		t.Errorf("test %+v, caveats %v", r.GroupTest, r.Caveats)
	}
}

// Inside each group the athletes' means are equal, between them far apart: all
// of the pooled ICC comes from the groups. By hand: within is -1/(k-1) = -1.
func TestGroupsThatAreEverything(t *testing.T) {
	table := tableOf([][]float64{{10, 12}, {12, 10}, {11, 11}, {13, 9}, {50, 52}, {52, 50}, {51, 51}, {53, 49}})
	r := analyse(t, table, reliability.Options{Group: strings.Split("a,a,a,a,b,b,b,b", ",")})
	if r.GroupTest.WithinICC != -1 || r.GroupTest.Within.HasInterval() || !r.GroupTest.LiftedByGroups {
		t.Errorf("test %+v", r.GroupTest)
	}
	holds(t, r, reliability.LiftedByGroups, nil, r.GroupTest.PooledICC, -1)
}

// Both ICCs are above 0.98, and yet the pooled one is above the interval of
// the other: 20 athletes a group, one apart inside, 1000 apart between.
func TestGroupsThatLiftAHighICC(t *testing.T) {
	var rows [][]float64
	for i := range 40 {
		level := float64(i%20) + 1000*float64(i/20)
		rows = append(rows, []float64{level, level + 0.5*float64(i%3)})
	}
	r := analyse(t, tableOf(rows), reliability.Options{Group: append(repeat("a", 20), repeat("b", 20)...)})
	g := r.GroupTest
	if g.PooledICC-g.WithinICC > 0.1 || g.PooledICC <= g.Within.Upper || !g.LiftedByGroups {
		t.Errorf("pooled %g, within %+v, lifted %t", g.PooledICC, g.Within, g.LiftedByGroups)
	}
}
