package association_test

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"noisefloor/analysis/association"
	"noisefloor/internal/numtest"
	"noisefloor/internal/oracle"
)

// R 4.2.2: cor.test(exact = TRUE) without ties, every order counted with ties,
// the t approximation above 9 (testdata/oracle/spearman_exact.R).
func TestSpearmanPAgainstRecordedR(t *testing.T) {
	spearmanAgainstR(t, rows(t, "oracle", "spearman_exact.csv"))
}

func TestSpearmanPAgainstLiveR(t *testing.T) {
	spearmanAgainstR(t, csvRows(t, oracle.R(t, "spearman_exact.R", "")))
}

func spearmanAgainstR(t *testing.T, want []row) {
	t.Helper()
	if len(want) != 46 {
		t.Fatalf("%d values from R, want 46", len(want))
	}
	for _, w := range want {
		x, y := parsed(t, w["x"]), parsed(t, w["y"])
		s := must[association.Correlation](t)(association.Spearman(x, y, 0))
		numtest.CloseAbs(t, "r of "+w["y"], s.Value, w.f(t, "r"), 1e-14)
		numtest.Close(t, w["kind"]+" p of "+w["y"], s.P, w.f(t, "p"), 1e-9)
		method := association.ExactP
		if w["kind"] == "t" {
			method = association.StudentP
		}
		if s.PMethod != method {
			t.Errorf("%s: p by %q", w["y"], s.PMethod)
		}
	}
}

func parsed(t *testing.T, list string) (out []float64) {
	t.Helper()
	for _, word := range strings.Fields(list) {
		v, err := strconv.ParseFloat(word, 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, v)
	}
	return out
}

// p is never 0: at r = 1 it is 2 in n! orders, with ties in as many as the ties
// allow, and in a table too long for a float64 the smallest one. By hand: 2/10!;
// 2 (2! 3!)/12! for ties of two and three; 1/200! is far below 1e-308.
func TestSpearmanPIsNeverZero(t *testing.T) {
	ramp := func(n int) []float64 {
		x := make([]float64, n)
		for i := range x {
			x[i] = float64(i)
		}
		return x
	}
	factorial := func(n float64) float64 { v, _ := math.Lgamma(n + 1); return math.Exp(v) }
	tied := ramp(12)
	tied[1], tied[5], tied[6] = tied[0], tied[4], tied[4]
	for _, tt := range []struct {
		x    []float64
		want float64
	}{{ramp(10), 2 / factorial(10)}, {tied, 2 * 12 / factorial(12)}, {ramp(200), math.SmallestNonzeroFloat64}} {
		s := must[association.Correlation](t)(association.Spearman(tt.x, mapped(tt.x, math.Exp2), 0))
		numtest.Close(t, "p", s.P, tt.want, 1e-9)
		back := must[association.Correlation](t)(association.Spearman(tt.x, mapped(tt.x, func(v float64) float64 {
			return -v
		}), 0))
		numtest.Close(t, "p of r = -1", back.P, tt.want, 1e-9)
	}
}
