package linear_test

import (
	"errors"
	"fmt"
	"log"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"noisefloor/analysis/linear"
	"noisefloor/internal/numtest"
	"noisefloor/internal/published"
)

// norris is the file with one variable in a line.
func norris(t testing.TB) [][]float64 {
	t.Helper()
	text, err := os.ReadFile(published.Path(t, "published/nist/Norris.csv"))
	if err != nil {
		t.Fatal(err)
	}
	var out [][]float64
	for line := range strings.FieldsSeq(string(text)) {
		var row []float64
		for cell := range strings.SplitSeq(line, ",") {
			v, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				t.Fatal(err)
			}
			row = append(row, v)
		}
		out = append(out, row)
	}
	return out
}

func TestErrors(t *testing.T) {
	y := []float64{1, 3, 2, 5, 4}
	a, b := []float64{1, 2, 3, 4, 6}, []float64{2, 1, 4, 3, 3}
	sum := []float64{3, 3, 7, 7, 9}
	tests := []struct {
		name   string
		y      []float64
		x      [][]float64
		want   error
		column int // -2: not a ColumnError
	}{
		{"lengths", y, [][]float64{a, b[:4]}, linear.ErrLength, -2},
		{"rows", y[:3], [][]float64{a[:3], b[:3]}, linear.ErrTooFew, -2},
		{"nothing", nil, nil, linear.ErrTooFew, -2},
		{"NaN in y", []float64{1, 2, math.NaN(), 3, 4}, [][]float64{a}, linear.ErrNonFinite, -1},
		{"Inf in x", y, [][]float64{a, {1, 2, 3, math.Inf(1), 4}}, linear.ErrNonFinite, 1},
		{"constant y", []float64{2, 2, 2, 2, 2}, [][]float64{a}, linear.ErrConstant, -1},
		{"zero column", y, [][]float64{a, make([]float64, 5)}, linear.ErrConstant, 1},
		{"constant but for a bit", y, [][]float64{{0.3, 0.3, math.Nextafter(0.3, 1), 0.3, 0.3}, b},
			linear.ErrConstant, 0},
		{"sum of two", y, [][]float64{a, b, sum}, linear.ErrCollinear, 2},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := linear.LeastSquares(tt.y, tt.x)
			if !errors.Is(err, tt.want) {
				t.Fatalf("error %v, want %v", err, tt.want)
			}
			var c *linear.ColumnError
			if errors.As(err, &c) != (tt.column > -2) || c != nil && c.Column != tt.column {
				t.Errorf("error %v, want column %d", err, tt.column)
			}
			if name := map[int]string{-1: "y: ", 0: "column 1: ", 1: "column 2: ",
				2: "column 3: "}[tt.column]; !strings.HasPrefix(err.Error(), name) {
				t.Errorf("error %q does not begin with %q", err, name)
			}
		})
	}
}

// Without columns the model is the mean: R² and leave-one-out R² are 0, every
// leverage is 1/n. By hand: Σ(y-3)² = 10.
func TestMeanOnly(t *testing.T) {
	f, err := linear.LeastSquares([]float64{1, 2, 3, 4, 5}, nil)
	if err != nil {
		t.Fatal(err)
	}
	got := []float64{f.Intercept, f.SSTotal, f.SSResidual, f.RSquared, f.Adjusted, f.ResidualSD, f.Leverage[2],
		f.PRESS, f.RSquaredLOO, f.Condition, f.Inflation()}
	want := []float64{3, 10, 10, 0, 0, math.Sqrt(2.5), 0.2, 10 * 25 / 16., 0, 1, 1}
	if diff := cmp.Diff(want, got, cmpopts.EquateApprox(1e-15, 0)); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// A row that has a column for itself is fitted whatever its y.
func TestAlone(t *testing.T) {
	f, err := linear.LeastSquares([]float64{1, 2, 4, 7, 30}, [][]float64{{0, 0, 0, 0, 1}})
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(f.Alone, []int{4}) || !math.IsNaN(f.PRESS) || !math.IsNaN(f.RSquaredLOO) ||
		!math.IsNaN(f.PredictionSD) {
		t.Errorf("alone %v, PRESS %g, %g, %g", f.Alone, f.PRESS, f.RSquaredLOO, f.PredictionSD)
	}
	numtest.Close(t, "slope", f.Slope[0], 26.5, 1e-14)
}

// drawn is a random problem of n rows and p columns.
func drawn(rng *rand.Rand, n, p int) (y []float64, x [][]float64) {
	for range p {
		c := make([]float64, n)
		for i := range c {
			c[i] = 50 + 3*rng.NormFloat64()
		}
		x = append(x, c)
	}
	for i := range n {
		v := rng.NormFloat64()
		for j := range x {
			v += x[j][i] / float64(j+1)
		}
		y = append(y, v)
	}
	return y, x
}

// PRESS is what it says: fitted anew without each row, the errors squared.
func TestPRESSIsLeavingOut(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := rapid.IntRange(1, 5).Draw(rt, "p")
		n := p + 3 + rapid.IntRange(0, 20).Draw(rt, "more")
		y, x := drawn(rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "seed"), 1)), n, p)
		f := fit(t, y, x)
		var press, base float64
		for i := range y {
			rest := without(x, i)
			g := fit(t, slices.Concat(y[:i], y[i+1:]), rest)
			predicted := g.Intercept
			for j := range x {
				predicted += g.Slope[j] * x[j][i]
			}
			press += (y[i] - predicted) * (y[i] - predicted)
			mean := 0.0
			for k, v := range y {
				if k != i {
					mean += v / float64(n-1)
				}
			}
			base += (y[i] - mean) * (y[i] - mean)
		}
		numtest.Close(t, "PRESS", f.PRESS, press, 1e-8)
		numtest.CloseAbs(t, "R²", f.RSquaredLOO, 1-press/base, 1e-8*max(1, press/base))
		numtest.Close(t, "error of prediction", f.PredictionSD, math.Sqrt(press/float64(n)), 1e-8)
	})
}

func fit(t testing.TB, y []float64, x [][]float64) linear.Fit {
	t.Helper()
	f, err := linear.LeastSquares(y, x)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func without(x [][]float64, i int) [][]float64 {
	var out [][]float64
	for _, c := range x {
		out = append(out, slices.Concat(c[:i], c[i+1:]))
	}
	return out
}

func TestProperties(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := rapid.IntRange(2, 5).Draw(rt, "p")
		n := p + 3 + rapid.IntRange(0, 20).Draw(rt, "more")
		y, x := drawn(rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "seed"), 2)), n, p)
		before := slices.Clone(x[0])
		f := fit(t, y, x)
		numtest.Close(t, "sums of squares", f.SSModel+f.SSResidual, f.SSTotal, 1e-13)
		var trace float64
		for _, h := range f.Leverage {
			trace += h
		}
		numtest.Close(t, "trace of the hat matrix", trace, float64(p+1), 1e-13)
		for j, q := range f.Orthonormal() {
			for k, other := range f.Orthonormal() {
				numtest.CloseAbs(t, "orthonormal", sum(times(q, other)), map[bool]float64{true: 1}[j == k], 1e-13)
			}
			numtest.CloseAbs(t, "left of column", fit(t, x[j], f.Orthonormal()[:j+1]).SSResidual, 0, 1e-24*fit(t,
				x[j], nil).SSTotal)
		}
		for j, c := range x {
			others := slices.Concat(x[:j], x[j+1:])
			g := fit(t, c, others)
			numtest.Close(t, "VIF", f.Inflation(j), 1/(1-g.RSquared), 1e-9)
			numtest.Close(t, "all as one", f.Inflation(0), f.Inflation(complement(p, 0)...), 1e-9)
			if fewer := fit(t, y, others); fewer.RSquared > f.RSquared+1e-13 {
				t.Fatalf("R² falls from %g to %g with one column more", fewer.RSquared, f.RSquared)
			}
		}
		moved := slices.Clone(x)
		moved[0] = make([]float64, n)
		for i, v := range x[0] {
			moved[0][i] = 8*v - 1024
		}
		g := fit(t, y, moved)
		numtest.Close(t, "R²", g.RSquared, f.RSquared, 1e-12)
		numtest.Close(t, "PRESS", g.PRESS, f.PRESS, 1e-12)
		numtest.Close(t, "slope", 8*g.Slope[0], f.Slope[0], 1e-9)
		numtest.Close(t, "condition", g.Condition, f.Condition, 1e-9)
		numtest.Close(t, "scale", g.Scale(0), 8*f.Scale(0), 1e-12)
		slices.Reverse(moved)
		numtest.Close(t, "R² in another order", fit(t, y, moved).RSquared, f.RSquared, 1e-12)
		if !slices.Equal(before, x[0]) {
			t.Fatal("an argument was modified")
		}
	})
}

func sum(x []float64) (s float64) {
	for _, v := range x {
		s += v
	}
	return s
}

func complement(p, j int) []int {
	var out []int
	for k := range p {
		if k != j {
			out = append(out, k)
		}
	}
	return out
}

// Units so large or small that squares leave float64 change nothing.
func TestExtremeUnits(t *testing.T) {
	y, x := drawn(rand.New(rand.NewPCG(1, 1)), 12, 2)
	want := fit(t, y, x)
	for _, e := range []int{900, -900} {
		far := slices.Clone(x)
		far[1] = make([]float64, 12)
		for i, v := range x[1] {
			far[1][i] = math.Ldexp(v, e)
		}
		got := fit(t, y, far)
		numtest.Close(t, "R²", got.RSquared, want.RSquared, 0)
		numtest.Close(t, "slope", got.Slope[1], math.Ldexp(want.Slope[1], -e), 0)
		numtest.Close(t, "se", got.SlopeSE[1], math.Ldexp(want.SlopeSE[1], -e), 0)
		numtest.Close(t, "intercept", got.Intercept, want.Intercept, 0)
	}
}

// How fast do athletes bowl who throw this far? Eight invented ones.
func ExampleLeastSquares() {
	y := []float64{28.1, 30.2, 29.5, 31.9, 33.0, 32.2, 35.1, 34.4} // ball speed, m/s
	x := [][]float64{{8.1, 8.9, 9.4, 9.2, 10.5, 10.1, 11.0, 11.4}} // throw, m
	f, err := linear.LeastSquares(y, x)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%.2f m/s for 1 m, R² %.2f, left out %.2f, residual SD %.2f m/s\n", f.Slope[0], f.RSquared,
		f.RSquaredLOO, f.ResidualSD)
	// Output: 2.01 m/s for 1 m, R² 0.87, left out 0.84, residual SD 0.94 m/s
}

func BenchmarkLeastSquares(b *testing.B) {
	for _, size := range [][2]int{{60, 8}, {5000, 20}} {
		y, x := drawn(rand.New(rand.NewPCG(1, 1)), size[0], size[1])
		b.Run(fmt.Sprintf("rows=%d/columns=%d", size[0], size[1]), func(b *testing.B) {
			for b.Loop() {
				if _, err := linear.LeastSquares(y, x); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
