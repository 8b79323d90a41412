package noise_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
)

const salt = "a5ca9b5823b001237621b239a221b07cb944bfb6385e249aae587653cf101da8"

// codes are P001, P002, ...
func codes(n int) (out []string) {
	for i := range n {
		out = append(out, fmt.Sprintf("P%03d", i+1))
	}
	return out
}

// drawn are the scores of n athletes in k sessions: true scores with SD spread, error te.
func drawn(rng *rand.Rand, n, k int, mean, spread, te float64) []float64 {
	var x []float64
	for range n {
		athlete := mean + spread*rng.NormFloat64()
		for range k {
			x = append(x, athlete+te*rng.NormFloat64())
		}
	}
	return x
}

func column(x []float64, k, j int) (out []float64) {
	for i := j; i < len(x); i += k {
		out = append(out, x[i])
	}
	return out
}

// modelOf is the noise of a study of two sessions, with its prints.
func modelOf(x []float64, scale score.Scale) noise.Model {
	n := len(x) / 2
	logs := make([]float64, len(x))
	for i, v := range x {
		logs[i] = v
		if scale == score.Log {
			logs[i] = math.Log(v)
		}
	}
	square, df, _ := noise.Covary(logs, logs, 2)
	m := noise.Model{Measure: "jump", Scale: scale, TypicalError: math.Sqrt(square), DF: df, Sessions: []string{"1", "2"},
		Athletes: n}
	m.Prints = m.Print(salt, codes(n), x)
	return m
}

func certain(m noise.Model, who []string, x []float64) bool {
	return m.Recognise(who, x).Certain(len(m.Sessions))
}

// How often a study is recognised in a table that is nearly its own, and a table
// without it is taken for it. Simulated: 2.0 is the error of a jump in cm.
func TestRecognise(t *testing.T) { recognise(t, 100) }

func TestRecogniseLong(t *testing.T) {
	numtest.Heavy(t)
	recognise(t, 2000)
}

func recognise(t *testing.T, studies int) {
	rng := rand.New(rand.NewPCG(1, 2))
	round := func(x float64) float64 { return math.Round(10*x) / 10 }
	for _, scale := range []score.Scale{score.Raw, score.Log} {
		for _, n := range []int{6, 8, 20, 60} {
			var same, added, off, rounded, fresh, freshBoth int
			for range studies {
				x := drawn(rng, n, 2, 100, 6, 2)
				m := modelOf(x, scale)
				one, two := column(x, 2, 0), column(x, 2, 1)
				both := func(who []string, a, b []float64) int {
					if certain(m, who, a) && certain(m, who, b) {
						return 1
					}
					return 0
				}
				same += both(codes(n), one, two)
				more := drawn(rng, 1, 2, 100, 6, 2)
				added += both(codes(n+1), append(append([]float64{}, one...), more[0]),
					append(append([]float64{}, two...), more[1]))
				changed := append([]float64{}, one...)
				changed[rng.IntN(n)] += 0.1
				off += both(codes(n), changed, two)
				a, b := make([]float64, n), make([]float64, n)
				for i := range a {
					a[i], b[i] = round(one[i]), round(two[i])
				}
				rounded += both(codes(n), a, b)
				again := drawn(rng, n, 2, 100, 6, 2)
				for i := range a { // the same athletes on other days
					mid := (one[i] + two[i]) / 2
					a[i], b[i] = mid+2*rng.NormFloat64(), mid+2*rng.NormFloat64()
				}
				if certain(m, codes(n), a) {
					fresh++
				}
				freshBoth += both(codes(n), a, b) + both(codes(n), column(again, 2, 0), column(again, 2, 1))
			}
			rate := func(k int) float64 { return float64(k) / float64(studies) }
			t.Logf("%s, %d athletes: same %.4f, one added %.4f, one off %.4f, rounded %.4f; another session %.5f, both %.5f",
				scale, n, rate(same), rate(added), rate(off), rate(rounded), rate(fresh), rate(freshBoth))
			least := 0.98
			if n == 6 {
				least = 0.9
			}
			for what, k := range map[string]int{"same": same, "one added": added, "one off": off, "rounded": rounded} {
				if rate(k) < least {
					t.Errorf("%s, %d athletes, %s: %.4f recognised", scale, n, what, rate(k))
				}
			}
			if rate(fresh) > 0.02 || rate(freshBoth) > 0.002 {
				t.Errorf("%s, %d athletes: sessions of no study are taken for it in %.4f, both in %.4f", scale, n, rate(fresh),
					rate(freshBoth))
			}
		}
	}
}

// Two athletes whose fresh scores happen to meet the prints are no study: 0.28² of such
// pairs do, by hand from the 1/8 of bits that are set and the two cells asked for.
func TestFewHitsAreNoStudy(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 14))
	m := modelOf(drawn(rng, 20, 2, 100, 6, 2), score.Raw)
	hit := 0
	for range 1000 {
		got := m.Recognise(codes(2), column(drawn(rng, 2, 2, 100, 6, 2), 2, 0))
		if got.Hits == 2 {
			hit++
		}
		if got.Certain(2) || got.Mostly(2) {
			t.Fatalf("two athletes are a study: %+v", got)
		}
	}
	if hit == 0 {
		t.Error("no pair met the prints: nothing was tried")
	}
}

// Scores of 1 to 3 points have no prints, which would tell them; nor has a test of few
// steps.
func TestNoPrintsOfCoarseScores(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	var x, steps []float64
	for range 40 {
		x = append(x, float64(1+rng.IntN(3)))
		steps = append(steps, float64(rng.IntN(25)))
	}
	for name, v := range map[string][]float64{"points": x, "steps": steps} {
		if m := modelOf(v, score.Raw); m.Prints != nil {
			t.Errorf("%s have prints", name)
		}
	}
	if m := (noise.Model{TypicalError: 0, Sessions: []string{"1"}}); m.Print(salt, codes(2), []float64{1, 2}) != nil {
		t.Error("prints without an error")
	}
}

// Of a table that holds part of the study the share is found.
func TestShareOfTheStudy(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	x := drawn(rng, 200, 2, 100, 6, 2)
	m := modelOf(x, score.Raw)
	one := column(x, 2, 0)
	for i := range 60 {
		one[i] = column(drawn(rng, 1, 2, 100, 6, 2), 2, 0)[0]
	}
	got := m.Recognise(codes(200), one)
	if math.Abs(got.Share-0.7) > 0.07 || got.Certain(2) || !got.Mostly(2) || got.Athletes != 200 {
		t.Errorf("%+v, want a share of 0.7", got)
	}
	// Missing scores count for nobody.
	one[0], one[199] = math.NaN(), math.Inf(1)
	if got := m.Recognise(codes(200), one); got.Athletes != 198 {
		t.Errorf("%+v", got)
	}
}

// Prints are the same from the same table, and others with another salt, measure or
// code.
func TestPrintsDependOnAll(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	x := drawn(rng, 12, 2, 100, 6, 2)
	m := modelOf(x, score.Raw)
	one := column(x, 2, 0)
	if again := modelOf(x, score.Raw); fmt.Sprint(again.Prints) != fmt.Sprint(m.Prints) {
		t.Error("not the same twice")
	}
	other := codes(24)[12:]
	salted, named := m.Clone(), m.Clone()
	salted.Prints.Salt, named.Measure = "0", "hop"
	for name, is := range map[string]bool{"codes": certain(m, other, one), "salt": certain(salted, codes(12), one),
		"measure": certain(named, codes(12), one)} {
		if is {
			t.Errorf("recognised with another %s", name)
		}
	}
	if !certain(m, codes(12), one) {
		t.Error("not recognised")
	}
}

// BenchmarkRecognise asks for a table of 300 athletes and 40 tests, one session.
func BenchmarkRecognise(b *testing.B) {
	rng := rand.New(rand.NewPCG(11, 12))
	x := drawn(rng, 300, 2, 100, 6, 2)
	m := modelOf(x, score.Raw)
	who, one := codes(300), column(x, 2, 0)
	for b.Loop() {
		for range 40 {
			m.Recognise(who, one)
		}
	}
}
