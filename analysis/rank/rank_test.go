package rank_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"noisefloor/analysis/rank"
	"noisefloor/internal/numtest"
)

var probabilities = []float64{0, 0.05, 0.1, 0.25, 1.0 / 3, 0.5, 0.75, 0.9, 0.975, 1}

// By the definitions of Hyndman & Fan (1996) in exact fractions; R 4.2
// quantile(type = 1 ... 9) agrees to 2e-15. Row i is type i+1.
var reference = []struct {
	name string
	x    []float64
	want [9][]float64
}{
	{"ten values", []float64{2.1, 3.4, 3.9, 4.4, 5.0, 5.8, 6.3, 7.7, 9.2, 12.5}, [9][]float64{
		{2.1, 2.1, 2.1, 3.9, 4.4, 5.0, 7.7, 9.2, 12.5, 12.5},
		{2.1, 2.1, 2.75, 3.9, 4.4, 5.4, 7.7, 10.85, 12.5, 12.5},
		{2.1, 2.1, 2.1, 3.4, 3.9, 5.0, 7.7, 9.2, 12.5, 12.5},
		{2.1, 2.1, 2.1, 3.65, 4.066666666666666, 5.0, 7.0, 9.2, 11.675, 12.5},
		{2.1, 2.1, 2.75, 3.9, 4.316666666666666, 5.4, 7.7, 10.85, 12.5, 12.5},
		{2.1, 2.1, 2.23, 3.775, 4.233333333333333, 5.4, 8.075, 12.17, 12.5, 12.5},
		{2.1, 2.685, 3.27, 4.025, 4.4, 5.4, 7.35, 9.53, 11.7575, 12.5},
		{2.1, 2.1, 2.5766666666666667, 3.8583333333333334, 4.288888888888889, 5.4, 7.825, 11.29, 12.5, 12.5},
		{2.1, 2.1, 2.62, 3.86875, 4.295833333333333, 5.4, 7.79375, 11.18, 12.5, 12.5},
	}},
	{"seven with tie", []float64{3.0, 7.0, 7.0, 9.0, 11.0, 15.0, 20.0}, [9][]float64{
		{3.0, 3.0, 3.0, 7.0, 7.0, 9.0, 15.0, 20.0, 20.0, 20.0},
		{3.0, 3.0, 3.0, 7.0, 7.0, 9.0, 15.0, 20.0, 20.0, 20.0},
		{3.0, 3.0, 3.0, 7.0, 7.0, 9.0, 11.0, 15.0, 20.0, 20.0},
		{3.0, 3.0, 3.0, 6.0, 7.0, 8.0, 12.0, 16.5, 19.125, 20.0},
		{3.0, 3.0, 3.8, 7.0, 7.0, 9.0, 14.0, 19.0, 20.0, 20.0},
		{3.0, 3.0, 3.0, 7.0, 7.0, 9.0, 15.0, 20.0, 20.0, 20.0},
		{3.0, 4.2, 5.4, 7.0, 7.0, 9.0, 13.0, 17.0, 19.25, 20.0},
		{3.0, 3.0, 3.2666666666666666, 7.0, 7.0, 9.0, 14.333333333333334, 19.666666666666668, 20.0, 20.0},
		{3.0, 3.0, 3.4, 7.0, 7.0, 9.0, 14.25, 19.5, 20.0, 20.0},
	}},
}

func TestQuantileAgainstReference(t *testing.T) {
	for _, r := range reference {
		for i, want := range r.want {
			for j, p := range probabilities {
				numtest.Close(t, fmt.Sprintf("%s, type %d, p = %g", r.name, i+1, p),
					rank.Quantile(r.x, p, i+1), want[j], 4e-15)
			}
		}
	}
}

// 0.29 × 100 is 28.999999999999996 in float64; the 29th of 100 values is meant.
// Wanted values are by the definitions with the decimal p. (R 4.2 allows for
// the rounding in types 4 to 9 only and gives 29 for type 2.)
func TestQuantileJumpsWhereMeant(t *testing.T) {
	x := make([]float64, 100)
	for i := range x {
		x[i] = float64(i + 1)
	}
	for _, tt := range []struct {
		p    float64
		typ  int
		want float64
	}{{.29, 1, 29}, {.29, 2, 29.5}, {.285, 3, 28}, {.275, 3, 28}, {.29, 4, 29}, {.57, 1, 57}, {.58, 1, 58}} {
		numtest.Close(t, fmt.Sprintf("type %d, p = %g", tt.typ, tt.p), rank.Quantile(x, tt.p, tt.typ), tt.want, 1e-15)
	}
}

func TestQuantileSpecialCases(t *testing.T) {
	x := []float64{1, 2, 4}
	for _, bad := range []struct {
		x   []float64
		p   float64
		typ int
	}{{nil, .5, 7}, {x, -1e-9, 7}, {x, 1.1, 7}, {x, math.NaN(), 7}, {x, .5, 0}, {x, .5, 10}} {
		numtest.Close(t, fmt.Sprint("Quantile of ", bad), rank.Quantile(bad.x, bad.p, bad.typ), math.NaN(), 0)
	}
	big := []float64{math.MaxFloat64 * 0.9, math.MaxFloat64}
	for typ := 1; typ <= 9; typ++ {
		numtest.Close(t, "one value", rank.Quantile([]float64{3}, .2, typ), 3, 0)
		if q := rank.Quantile(big, .5, typ); math.IsInf(q, 0) || math.IsNaN(q) {
			t.Errorf("type %d of the two largest numbers is %g", typ, q)
		}
		withEnds := []float64{math.Inf(-1), 0, 1, 2, math.Inf(1)}
		numtest.Close(t, fmt.Sprintf("type %d beside infinities", typ), rank.Quantile(withEnds, .5, max(typ, 5)), 1,
			1e-15)
	}
}

func TestQuantileProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(-1e6, 1e6), 1, 30).Draw(t, "x")
		slices.Sort(x)
		p, q := rapid.Float64Range(0, 1).Draw(t, "p"), rapid.Float64Range(0, 1).Draw(t, "q")
		typ := rapid.IntRange(1, 9).Draw(t, "type")
		low, high := rank.Quantile(x, min(p, q), typ), rank.Quantile(x, max(p, q), typ)
		slack := 1e-12 * max(math.Abs(low), math.Abs(high))
		if low > high+slack || low < x[0]-slack || high > x[len(x)-1]+slack {
			t.Fatalf("type %d: %g at %g, %g at %g", typ, low, min(p, q), high, max(p, q))
		}
		mirrored := make([]float64, len(x))
		for i, v := range x {
			mirrored[len(x)-1-i] = -v
		}
		if typ == 2 || typ >= 5 { // the definitions that are symmetric
			tolerance := 1e-9 * (math.Abs(x[0]) + math.Abs(x[len(x)-1]) + 1)
			if typ == 2 && math.Abs(p*float64(len(x))-math.Round(p*float64(len(x)))) < 1e-9 {
				return // 1-p is rounded, and type 2 jumps there
			}
			numtest.CloseAbs(t, "mirrored", -rank.Quantile(mirrored, 1-p, typ), rank.Quantile(x, p, typ), tolerance)
		}
	})
}

func TestMid(t *testing.T) {
	for _, tt := range []struct{ x, want []float64 }{
		// x and y of the ties case, ranks from R 4.2 rank().
		{[]float64{3, 5, 5, 7, 8, 8, 8, 10, 12, 15}, []float64{1, 2.5, 2.5, 4, 6, 6, 6, 8, 9, 10}},
		{[]float64{2, 1, 4, 4, 6, 5, 9, 9, 9, 11}, []float64{2, 1, 3.5, 3.5, 6, 5, 8, 8, 8, 10}},
		{[]float64{math.Inf(1), math.NaN(), 0, math.Inf(-1), math.Copysign(0, -1)}, []float64{4, math.NaN(), 2.5, 1,
			2.5}},
		{[]float64{7}, []float64{1}},
		{nil, nil},
	} {
		got := rank.Mid(tt.x)
		if len(got) != len(tt.want) {
			t.Fatalf("Mid(%v) = %v", tt.x, got)
		}
		for i := range got {
			numtest.Close(t, fmt.Sprintf("Mid(%v)[%d]", tt.x, i), got[i], tt.want[i], 0)
		}
	}
}

func TestMidProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		whole := rapid.SliceOfN(rapid.IntRange(-5, 5), 0, 30).Draw(t, "x")
		x, sum := make([]float64, len(whole)), 0.0
		for i, v := range whole {
			x[i] = float64(v)
		}
		before := slices.Clone(x)
		ranks := rank.Mid(x)
		if !slices.Equal(x, before) {
			t.Fatal("the argument was modified")
		}
		for i := range x {
			sum += ranks[i]
			below, equal := 0.0, 0.0
			for _, v := range x {
				if v < x[i] {
					below++
				} else if v == x[i] {
					equal++
				}
			}
			numtest.Close(t, "rank by counting", ranks[i], below+(equal+1)/2, 0)
		}
		n := float64(len(x))
		numtest.Close(t, "sum of ranks", sum, n*(n+1)/2, 0)
	})
}

func ExampleMid() {
	throw := []float64{11.2, 12.8, 11.2, 13.1} // med-ball throw, m
	fmt.Println(rank.Mid(throw))
	// Output: [1.5 3 1.5 4]
}

func ExampleQuantile() {
	jump := []float64{31, 33, 34, 38, 45} // jump height, cm, in order
	fmt.Printf("%.1f %.1f\n", rank.Quantile(jump, 0.25, 7), rank.Quantile(jump, 0.25, 6))
	// Output: 33.0 32.0
}

func BenchmarkQuantile(b *testing.B) {
	x := make([]float64, 10000)
	for i := range x {
		x[i] = float64(i)
	}
	for b.Loop() {
		rank.Quantile(x, 0.975, 6)
	}
}

func BenchmarkMid(b *testing.B) {
	x := make([]float64, 10000)
	for i := range x {
		x[i] = float64(i * 7919 % 1000)
	}
	b.ReportAllocs()
	for b.Loop() {
		rank.Mid(x)
	}
}

// The same three attempts in another order: their means differ in the last bit,
// and are one score.
func TestMidTies(t *testing.T) {
	b := 0.2
	a := math.Nextafter(b, 1)
	if got := rank.Mid([]float64{a, 1, b}); !slices.Equal(got, []float64{1.5, 3, 1.5}) {
		t.Errorf("got %v", got)
	}
	if got := rank.Mid([]float64{1, 1 + 1e-9, math.Inf(1), math.MaxFloat64}); !slices.Equal(got, []float64{1, 2, 4, 3}) {
		t.Errorf("got %v", got)
	}
}
