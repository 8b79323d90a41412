package cell_test

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"noisefloor/analysis/cell"
	"noisefloor/internal/numtest"
)

// exact are mean and Σ(v - mean)² of the values as float64 holds them, by
// math/big with 2000 bits.
func exact(values []float64) (mean, m2 float64) {
	number := func(v float64) *big.Float { return new(big.Float).SetPrec(2000).SetFloat64(v) }
	zero := func() *big.Float { return new(big.Float).SetPrec(2000) }
	sum := zero()
	for _, v := range values {
		sum.Add(sum, number(v))
	}
	m := zero().Quo(sum, number(float64(len(values))))
	squares := zero()
	for _, v := range values {
		d := zero().Sub(number(v), m)
		squares.Add(squares, d.Mul(d, d))
	}
	mean, _ = m.Float64()
	m2, _ = squares.Float64()
	return mean, m2
}

func of(values []float64) cell.Cell {
	var c cell.Cell
	for i, v := range values {
		c.Add(int32(i), v)
	}
	return c
}

// Mean and squares of values on offsets of any size, against math/big.
func TestAgainstExactSums(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 9))
	for _, offset := range []float64{0, 1, 1e6, 1e12, -1e15} {
		for range 50 {
			values := make([]float64, 2+rng.IntN(8))
			for i := range values {
				values[i] = offset + rng.NormFloat64()
			}
			mean, m2 := exact(values)
			c := of(values)
			numtest.Close(t, "mean", c.Mean(), mean, 1e-15)
			if math.Abs(c.M2()-m2) > 1e-13*m2+1e-300 {
				t.Errorf("offset %g: M2 %.17g, exactly %.17g", offset, c.M2(), m2)
			}
			numtest.Close(t, "sum", c.Sum().Float(), mean*float64(len(values)), 1e-14)
		}
	}
}

// However attempts are split and in whichever order the parts are merged, the cell
// is that of one pass.
func TestMergeIsOrderFree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		offset := rapid.SampledFrom([]float64{0, 50, 1e9}).Draw(t, "offset")
		values := rapid.SliceOfN(rapid.Float64Range(-100, 100), 1, 20).Draw(t, "values")
		parts := make([]cell.Cell, 4)
		var whole cell.Cell
		for i, v := range values {
			trial := rapid.Int32Range(1, 5).Draw(t, "trial")
			whole.Add(trial, offset+v)
			parts[rapid.IntRange(0, 3).Draw(t, "part")].Add(trial, offset+v)
			_ = i
		}
		var merged cell.Cell
		for _, at := range rapid.Permutation([]int{0, 1, 2, 3}).Draw(t, "order") {
			merged.Merge(parts[at])
		}
		if merged.N != whole.N || merged.Min != whole.Min || merged.Max != whole.Max || merged.First != whole.First {
			t.Fatalf("%+v, want %+v", merged, whole)
		}
		if d := math.Abs(merged.Mean() - whole.Mean()); d > 4e-16*math.Abs(whole.Mean()) {
			t.Fatalf("mean %.17g, want %.17g", merged.Mean(), whole.Mean())
		}
		if d := math.Abs(merged.M2() - whole.M2()); d > 1e-13*whole.M2()+1e-20 {
			t.Fatalf("M2 %.17g, want %.17g", merged.M2(), whole.M2())
		}
	})
}

// By hand: 3, 1, 8 as trials 2, 1, 1.
func TestByHand(t *testing.T) {
	var c cell.Cell
	if !math.IsNaN(c.Mean()) || c.M2() != 0 || c.N != 0 {
		t.Errorf("no attempts: %+v", c)
	}
	c.Add(2, 3)
	c.Add(1, 8)
	c.Add(1, 1)
	if c.N != 3 || c.Min != 1 || c.Max != 8 || c.First != 1 || c.Mean() != 4 || c.M2() != 26 || c.MeanLess(1.5) != 2.5 {
		t.Errorf("%+v: mean %g, M2 %g", c, c.Mean(), c.M2())
	}
	same := of([]float64{0.1, 0.1, 0.1})
	if same.M2() != 0 || same.Mean() != 0.1 {
		t.Errorf("equal attempts: mean %g, M2 %g", same.Mean(), same.M2())
	}
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e300} {
		for _, values := range [][]float64{{bad}, {1, bad}, {bad, 1}} {
			if of(values).Finite(1e290) {
				t.Errorf("%v is finite", values)
			}
		}
	}
	if !c.Finite(8) || c.Finite(7.9) {
		t.Error("the limit is not that of the magnitude")
	}
}

// Logarithms: what has none is kept apart, the first of each athlete, and stays
// with its athlete when some are taken.
func TestTable(t *testing.T) {
	a := cell.Attempts{Athletes: []string{"P", "Q", "R"}, Sessions: []string{"1", "2"},
		Athlete: []int32{2, 0, 1, 2, 2, 1}, Session: []int32{0, 0, 1, 0, 1, 1}, Trial: []int32{1, 1, 1, 2, 1, 2},
		Value: []float64{3, 5, 0, 9, -11, -2}}
	x := a.Table(cell.Options{Log: true, Values: true})
	if want := []cell.Low{{Athlete: 1, Session: 1, Value: 0}, {Athlete: 2, Session: 1,
		Value: -11}}; !slices.Equal(x.Low, want) {
		t.Errorf("low %v, want %v", x.Low, want)
	}
	if x.N() != 3 || x.At(2, 0).Mean() != (math.Log(3)+math.Log(9))/2 || x.At(1, 1).N != 0 {
		t.Errorf("%+v", x.Grid)
	}
	some := x.Of([]int{2, 0})
	if !slices.Equal(some.Athletes, []string{"R", "P"}) || *some.At(0, 0) != *x.At(2, 0) || *some.At(1, 0) != *x.At(0,
		0) {
		t.Errorf("%+v", some)
	}
	if want := []cell.Low{{Athlete: 0, Session: 1, Value: -11}}; !slices.Equal(some.Low, want) {
		t.Errorf("low of some %v", some.Low)
	}
	if values, kept := some.Values(0); !kept || !slices.Equal(values, []float64{math.Log(3), math.Log(9)}) {
		t.Errorf("values %v, %t", values, kept)
	}
	if _, kept := a.Table(cell.Options{}).Values(0); kept {
		t.Error("values are kept that nobody asked for")
	}
	only := x.Only([]int{0})
	if only.N() != 1 || only.At(0, 0).N != 1 || x.N() != 3 {
		t.Errorf("only: %+v", only)
	}
}

func ExampleCell_Merge() {
	var monday, tuesday cell.Cell
	monday.Add(1, 412) // W
	monday.Add(2, 420)
	tuesday.Add(1, 431)
	monday.Merge(tuesday)
	fmt.Println(monday.N, monday.Mean(), monday.Max)
	// Output: 3 421 431
}

func BenchmarkAdd(b *testing.B) {
	var c cell.Cell
	for i := range b.N {
		c.Add(int32(i), float64(i&7))
	}
}
