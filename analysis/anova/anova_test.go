package anova_test

import (
	"errors"
	"fmt"
	"log"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"noisefloor/analysis/anova"
	"noisefloor/internal/numtest"
)

var nan, inf = math.NaN(), math.Inf(1)

// Six targets by four judges.
var shroutFleiss = []float64{
	9, 2, 5, 8,
	6, 1, 3, 2,
	8, 4, 6, 8,
	7, 1, 2, 6,
	10, 5, 6, 9,
	6, 2, 4, 7,
}

func TestTwoWayAgainstPublished(t *testing.T) {
	for _, tt := range []struct {
		name string
		y    []float64
		want anova.TwoWay
	}{
		{
			// Exact fractions from the published scores.
			name: "Shrout & Fleiss 1979", y: shroutFleiss,
			want: anova.TwoWay{N: 6, K: 4, GrandMean: 127.0 / 24,
				RowMeans: []float64{6, 3, 6.5, 4, 7.5, 4.75},
				ColMeans: []float64{46.0 / 6, 2.5, 26.0 / 6, 40.0 / 6},
				SSRows:   1349.0 / 24, SSCols: 2339.0 / 24, SSError: 367.0 / 24, SSWithin: 112.75,
				MSR: 1349.0 / 120, MSC: 2339.0 / 72, MSE: 367.0 / 360, MSW: 451.0 / 72,
				DFRows: 5, DFCols: 3, DFError: 15, DFWithin: 18},
		},
		{
			// Winer (1971), Statistical Principles in Experimental Design, 2nd
			// edition, pages 288-289, prints within-person 2.0; exact fractions.
			name: "Winer 1971",
			y:    []float64{2, 4, 3, 3, 5, 7, 5, 6, 1, 3, 1, 2, 7, 9, 9, 8, 2, 4, 6, 1, 6, 8, 8, 4},
			want: anova.TwoWay{N: 6, K: 4, GrandMean: 4.75,
				RowMeans: []float64{3, 5.75, 1.75, 8.25, 3.25, 6.5},
				ColMeans: []float64{23.0 / 6, 35.0 / 6, 32.0 / 6, 4},
				SSRows:   122.5, SSCols: 17.5, SSError: 18.5, SSWithin: 36,
				MSR: 24.5, MSC: 17.5 / 3, MSE: 18.5 / 15, MSW: 2,
				DFRows: 5, DFCols: 3, DFError: 15, DFWithin: 18},
		},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := anova.AnalyseTwoWay(tt.y, tt.want.N, tt.want.K)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(tt.want, got, cmpopts.EquateApprox(1e-15, 0)); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

// The mean squares as printed by Shrout & Fleiss (1979), Psychological Bulletin
// 86:420-428: 11.24, 32.49, 1.02, 6.26 (from memory; the exact ones round to them).
func TestTwoWayAgainstPrintedMeanSquares(t *testing.T) {
	r, err := anova.AnalyseTwoWay(shroutFleiss, 6, 4)
	if err != nil {
		t.Fatal(err)
	}
	numtest.CloseAbs(t, "MSR", r.MSR, 11.24, 0.005)
	numtest.CloseAbs(t, "MSC", r.MSC, 32.49, 0.005)
	numtest.CloseAbs(t, "MSE", r.MSE, 1.02, 0.005)
	numtest.CloseAbs(t, "MSW", r.MSW, 6.26, 0.005)
}

// A table whose columns differ by a constant has no residual, and one whose
// rows are constant nothing within rows: exactly 0, not 1e-30.
func TestTwoWayExactZeros(t *testing.T) {
	for _, y := range [][]float64{
		{3, 5, 10, 4, 6, 11, 8, 10, 15},
		{1e15 + 1, 1e15 + 2, 1e15 + 9, 1, 2, 9, -5, -4, 3},
		{0.1, 0.1, 0.1, 0.7, 0.7, 0.7, 0.3, 0.3, 0.3},
	} {
		r, err := anova.AnalyseTwoWay(y, 3, 3)
		if err != nil {
			t.Fatal(err)
		}
		numtest.Close(t, "SSError", r.SSError, 0, 0)
		if y[0] == y[1] {
			numtest.Close(t, "SSWithin", r.SSWithin, 0, 0)
			numtest.Close(t, "SSCols", r.SSCols, 0, 0)
		}
	}
}

// The same digits with a trillion added to every score: the deviations of
// whole numbers plus 2^40 are held exactly.
func TestTwoWayIgnoresOffset(t *testing.T) {
	plain, err := anova.AnalyseTwoWay(shroutFleiss, 6, 4)
	if err != nil {
		t.Fatal(err)
	}
	moved := slices.Clone(shroutFleiss)
	for i := range moved {
		moved[i] += 0x1p50
	}
	shifted, err := anova.AnalyseTwoWay(moved, 6, 4)
	if err != nil {
		t.Fatal(err)
	}
	shifted.GrandMean, shifted.RowMeans, shifted.ColMeans = plain.GrandMean, plain.RowMeans, plain.ColMeans
	if diff := cmp.Diff(plain, shifted); diff != "" {
		t.Errorf("(-plain +shifted):\n%s", diff)
	}
}

func TestOneWayByHand(t *testing.T) {
	// Groups of different size, one empty: means 2, 6, grand 3.6; between
	// 3·2.56 + 2·5.76 = 19.2, within 2 + 8 = 10; F = 19.2/(10/3) = 5.76.
	r, err := anova.AnalyseOneWay([][]float64{{1, 2, 3}, {}, {4, 8}})
	if err != nil {
		t.Fatal(err)
	}
	want := anova.OneWay{Groups: 2, N: 5, GrandMean: 3.6, SSBetween: 19.2, SSWithin: 10,
		DFBetween: 1, DFWithin: 3, MSBetween: 19.2, MSWithin: 10.0 / 3, F: 19.2 / (10.0 / 3)}
	if diff := cmp.Diff(want, r); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestOneWayWithoutResidual(t *testing.T) {
	r, err := anova.AnalyseOneWay([][]float64{{0.1, 0.1, 0.1}, {0.7, 0.7}})
	if err != nil {
		t.Fatal(err)
	}
	numtest.Close(t, "SSWithin", r.SSWithin, 0, 0)
	numtest.Close(t, "F", r.F, inf, 0)
	r, err = anova.AnalyseOneWay([][]float64{{0.1, 0.1, 0.1}, {0.1, 0.1}})
	if err != nil {
		t.Fatal(err)
	}
	numtest.Close(t, "F of equal values", r.F, nan, 0)
}

func TestErrors(t *testing.T) {
	four := []float64{1, 2, 3, 4}
	for _, tt := range []struct {
		name string
		err  error
		run  func() error
	}{
		{"no groups", anova.ErrTooFew, oneWay(nil)},
		{"one group", anova.ErrTooFew, oneWay([][]float64{four})},
		{"empty groups", anova.ErrTooFew, oneWay([][]float64{four, {}, nil})},
		{"no replication", anova.ErrTooFew, oneWay([][]float64{{1}, {2}, {3}})},
		{"NaN in a group", anova.ErrNonFinite, oneWay([][]float64{{1, nan}, {2, 3}})},
		{"Inf in a group", anova.ErrNonFinite, oneWay([][]float64{{1, 2}, {2, -inf}})},
		{"overflow in groups", anova.ErrOverflow, oneWay([][]float64{{1e200, 2}, {3, 4}})},
		{"one row", anova.ErrTooFew, twoWay(four, 1, 4)},
		{"one column", anova.ErrTooFew, twoWay(four, 4, 1)},
		{"negative size", anova.ErrTooFew, twoWay(four, -2, -2)},
		{"ragged", anova.ErrRagged, twoWay(four[:3], 2, 2)},
		{"too long", anova.ErrRagged, twoWay(append(slices.Clone(four), 5), 2, 2)},
		{"empty table", anova.ErrRagged, twoWay(nil, 2, 2)},
		{"size that overflows", anova.ErrRagged, twoWay(nil, math.MaxInt/2+1, 4)},
		{"NaN in the table", anova.ErrNonFinite, twoWay([]float64{1, 2, nan, 4}, 2, 2)},
		{"Inf in the table", anova.ErrNonFinite, twoWay([]float64{1, 2, 3, inf}, 2, 2)},
		{"overflow in the table", anova.ErrOverflow, twoWay([]float64{1e300, 2, 3, 4}, 2, 2)},
	} {
		if err := tt.run(); !errors.Is(err, tt.err) {
			t.Errorf("%s: error %v, want %v", tt.name, err, tt.err)
		}
	}
}

func oneWay(groups [][]float64) func() error {
	return func() error { _, err := anova.AnalyseOneWay(groups); return err }
}

func twoWay(y []float64, n, k int) func() error {
	return func() error { _, err := anova.AnalyseTwoWay(y, n, k); return err }
}

func TestErrorNamesTheCell(t *testing.T) {
	_, err := anova.AnalyseTwoWay([]float64{1, 2, 3, 4, nan, 6}, 3, 2)
	if want := "a value is not a finite number: row 3, column 1 is NaN"; err == nil || err.Error() != want {
		t.Errorf("error %q, want %q", err, want)
	}
	_, err = anova.AnalyseOneWay([][]float64{{1}, {2, inf}})
	if want := "a value is not a finite number: group 2, value 2 is +Inf"; err == nil || err.Error() != want {
		t.Errorf("error %q, want %q", err, want)
	}
}

func TestTwoWayProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, k := rapid.IntRange(2, 8).Draw(t, "n"), rapid.IntRange(2, 5).Draw(t, "k")
		y := rapid.SliceOfN(rapid.Float64Range(-1e3, 1e3), n*k, n*k).Draw(t, "y")
		before := slices.Clone(y)
		r, err := anova.AnalyseTwoWay(y, n, k)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(y, before) {
			t.Fatal("the argument was modified")
		}
		total := 0.0
		for _, v := range y {
			total += (v - r.GrandMean) * (v - r.GrandMean)
		}
		unit := 1e-12 * (total + 1e-12)
		numtest.CloseAbs(t, "parts and total", r.SSRows+r.SSCols+r.SSError, total, unit)
		numtest.CloseAbs(t, "within rows", r.SSWithin, r.SSCols+r.SSError, unit)

		// The rows as groups give the one-way analysis.
		groups := make([][]float64, n)
		for i := range groups {
			groups[i] = y[i*k : (i+1)*k]
		}
		one, err := anova.AnalyseOneWay(groups)
		if err != nil {
			t.Fatal(err)
		}
		numtest.CloseAbs(t, "one-way between", one.MSBetween, r.MSR, unit)
		numtest.CloseAbs(t, "one-way within", one.MSWithin, r.MSW, unit)

		// Rows and columns change places.
		turned := make([]float64, n*k)
		for i, v := range y {
			turned[i%k*n+i/k] = v
		}
		s, err := anova.AnalyseTwoWay(turned, k, n)
		if err != nil {
			t.Fatal(err)
		}
		numtest.CloseAbs(t, "transposed rows", s.SSRows, r.SSCols, unit)
		numtest.CloseAbs(t, "transposed residual", s.SSError, r.SSError, unit)
	})
}

func TestOneWayProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		groups := rapid.SliceOfN(rapid.SliceOfN(rapid.Float64Range(-100, 100), 1, 6), 2, 6).Draw(t, "groups")
		groups = append(groups, []float64{1, 2})
		r, err := anova.AnalyseOneWay(groups)
		if err != nil {
			t.Fatal(err)
		}
		scaled := make([][]float64, len(groups))
		for i, g := range groups {
			for _, v := range g {
				scaled[len(groups)-1-i] = append(scaled[len(groups)-1-i], -4*v)
			}
		}
		s, err := anova.AnalyseOneWay(scaled)
		if err != nil {
			t.Fatal(err)
		}
		numtest.Close(t, "SSWithin of -4y", s.SSWithin, 16*r.SSWithin, 1e-14)
		numtest.CloseAbs(t, "SSBetween of -4y", s.SSBetween, 16*r.SSBetween, 1e-14*(r.SSBetween+r.SSWithin))
	})
}

// R 4.2, anova(lm(y ~ athlete + session)): 49.125, 0.4583333 on 3.
func ExampleAnalyseTwoWay() {
	jump := []float64{ // jump height, cm: an athlete per row, a session per column
		41.0, 42.5,
		35.5, 36.0,
		48.0, 47.5,
		39.5, 41.0,
	}
	r, err := anova.AnalyseTwoWay(jump, 4, 2)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("athletes %.2f, residual %.3f (df %g)\n", r.MSR, r.MSE, r.DFError)
	// Output: athletes 49.12, residual 0.458 (df 3)
}

// R 4.2, anova(lm(y ~ athlete)): F value 105.72.
func ExampleAnalyseOneWay() {
	throws := [][]float64{ // med-ball throw, m: the trials of three athletes
		{9.8, 10.1, 10.0},
		{12.3, 12.1},
		{11.0, 11.4, 11.2},
	}
	r, err := anova.AnalyseOneWay(throws)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("F(%g, %g) = %.1f\n", r.DFBetween, r.DFWithin, r.F)
	// Output: F(2, 5) = 105.7
}

func BenchmarkAnalyseTwoWay(b *testing.B) {
	y := make([]float64, 60*4)
	random := rand.New(rand.NewPCG(1, 2))
	for i := range y {
		y[i] = random.NormFloat64()
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := anova.AnalyseTwoWay(y, 60, 4); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAnalyseOneWay(b *testing.B) {
	groups := make([][]float64, 60)
	random := rand.New(rand.NewPCG(1, 2))
	for i := range groups {
		for range 12 {
			groups[i] = append(groups[i], random.NormFloat64())
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := anova.AnalyseOneWay(groups); err != nil {
			b.Fatal(err)
		}
	}
}
