package retest

import (
	"math"
	"testing"

	"noisefloor/analysis/dist"
	"noisefloor/internal/numtest"
)

// Efron B, Morris C (1975), Journal of the American Statistical Association 70:311-319:
// batting averages of 18 players after 45 times at bat. With their shrinkage factor
// 0.212, which is ρ²/(1 + ρ²), the estimates are those printed in their account of 1977
// (Scientific American 236(5):119-127). Data, factor and estimates from memory.
func TestEfronMorris(t *testing.T) {
	batting := []float64{.400, .378, .356, .333, .311, .311, .289, .267, .244, .244, .222, .222, .222, .222, .222,
		.200, .178, .156}
	printed := []float64{.294, .289, .285, .280, .275, .275, .270, .266, .261, .261, .256, .256, .256, .256, .256,
		.251, .247, .242}
	x := spread{d: batting, g: make([]float64, 18), arm: make([]int, 18), arms: 1, te: 0.066, df: math.Inf(1)}
	for i := range x.g {
		x.g[i] = 1
	}
	n, _ := x.node(math.Sqrt(0.212 / (1 - 0.212)))
	n.weight = 1
	b := belief{t: newTails(math.Inf(1)), nodes: []node{n}}
	numtest.CloseAbs(t, "mean of all", n.mean[0], .265, 0.0005)
	for i, y := range batting {
		numtest.CloseAbs(t, "a player", b.of(y, 1, 0).estimate(0.95).Value, printed[i], 0.0008)
	}
}

// The table of tails is off by less than 1e-9 of a chance (dist, which 40-digit
// references check).
func TestTails(t *testing.T) {
	for _, df := range []float64{5, 6.5, 12, 80, 5e5, 2e6, math.Inf(1)} {
		tails := newTails(df)
		for x := -40.0; x < 40; x += 0.0137 {
			numtest.CloseAbs(t, "tail", tails.above(x), dist.TCDF(-x, df), 1e-9)
		}
		numtest.CloseAbs(t, "beyond the table", tails.above(1e6), 0, 1e-20)
	}
}
