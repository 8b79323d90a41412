package compensated_test

import (
	"fmt"
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"noisefloor/analysis/compensated"
	"noisefloor/internal/numtest"
)

// exact sums are made with 2000 bits of math/big, the outside source here.
func exact() *big.Float { return new(big.Float).SetPrec(2000) }

func number(x float64) *big.Float { return exact().SetFloat64(x) }

func float(x *big.Float) float64 { f, _ := x.Float64(); return f }

func TestSumOfWhatFloat64Loses(t *testing.T) {
	x := []float64{1e16, 1, -1e16, 0x1p-60, 3e-40}
	if naive := x[0] + x[1] + x[2]; naive == 1 {
		t.Fatal("the case does not test anything")
	}
	numtest.Close(t, "Sum", compensated.Sum(x).Sub(compensated.Of(1)).Float(), 0x1p-60, 0)
	numtest.Close(t, "Sum of none", compensated.Sum(nil).Float(), 0, 0)
}

func TestAgainstBig(t *testing.T) {
	value := rapid.OneOf(rapid.Float64Range(-1e6, 1e6), rapid.Float64Range(-1e-6, 1e-6),
		rapid.Map(rapid.IntRange(-1000, 1000), func(n int) float64 { return float64(n) }))
	value = value.Filter(func(x float64) bool {
		return x == 0 ||
			math.Abs(x) > 1e-30
	}) // (a b)² and what its rounding loses must not underflow
	rapid.Check(t, func(t *rapid.T) {
		a, b, c, d := value.Draw(t, "a"), value.Draw(t, "b"), value.Draw(t, "c"), value.Draw(t, "d")
		p, q := compensated.Product(a, b), compensated.Product(c, d)
		wantP, wantQ := exact().Mul(number(a), number(b)), exact().Mul(number(c), number(d))

		check(t, "a b", p, wantP, 0)
		scale := math.Abs(a*b) + math.Abs(c*d) + 1e-200
		check(t, "a b + c d", p.Add(q), exact().Add(wantP, wantQ), scale)
		check(t, "a b - c d", p.Sub(q), exact().Sub(wantP, wantQ), scale)
		check(t, "a b + c", p.Plus(c), exact().Add(wantP, number(c)), scale+math.Abs(c))
		check(t, "a b c", p.Times(c), exact().Mul(wantP, number(c)), math.Abs(a*b*c))
		check(t, "a b c d", p.Mul(q), exact().Mul(wantP, wantQ), math.Abs(a*b*c*d))
		check(t, "(a b)²", p.Square(), exact().Mul(wantP, wantP), a*b*a*b)
		if c != 0 {
			check(t, "a b / c", p.Over(c), exact().Quo(wantP, number(c)), math.Abs(a*b/c))
		}
		if c*d != 0 {
			check(t, "a b / (c d)", p.Divided(q), exact().Quo(wantP, wantQ), math.Abs(a*b/(c*d)))
		}
	})
}

// check compares n with want to 30 digits of scale, far beyond float64, by
// subtracting the leading part of want first.
func check(t *rapid.T, name string, n compensated.Number, want *big.Float, scale float64) {
	lead := float(want)
	rest := float(exact().Sub(want, number(lead)))
	numtest.CloseAbs(t, name, n.Plus(-lead).Float(), rest, 1e-30*scale)
}

func ExampleSum() {
	grams := []float64{1e16, 1, -1e16}
	fmt.Println(grams[0]+grams[1]+grams[2], compensated.Sum(grams).Float())
	// Output: 0 1
}

func BenchmarkSum(b *testing.B) {
	x := make([]float64, 1000)
	for i := range x {
		x[i] = float64(i) / 7
	}
	for b.Loop() {
		compensated.Sum(x)
	}
}
