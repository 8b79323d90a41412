package profile_test

import (
	"fmt"
	"math"
	"math/rand/v2"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/profile"
	"noisefloor/analysis/score"
)

// A made cohort: one level, a noise study of two sessions, then one session that is read.
// All tests have errors of te percent, independent; names say what they are.
type made struct {
	athletes     int
	te           float64 // typical error as a share of the score
	sides, gains int     // pairs
	gaps         int
	side         func(i, k int, rng *rand.Rand) float64 // true index of athlete i, pair k, percent
	gain         func(i, k int, rng *rand.Rand) float64
	gap          func(i, k int, rng *rand.Rand) float64 // SD
	level        func(i int, rng *rand.Rand) float64    // true standing of athlete i, SD
}

// ordinary athletes, as methods say: sides N(2, 3), gains 11 to 19, gaps of SD 0.2.
func ordinary(n int, te float64, indices int) made {
	return made{athletes: n, te: te, sides: indices / 2, gains: indices / 4, gaps: indices - indices/2 - indices/4,
		side:  func(_, _ int, r *rand.Rand) float64 { return 2 + 3*r.NormFloat64() },
		gain:  func(_, _ int, r *rand.Rand) float64 { return 11 + 8*r.Float64() },
		gap:   func(_, _ int, r *rand.Rand) float64 { return 0.2 * r.NormFloat64() },
		level: func(_ int, r *rand.Rand) float64 { return r.NormFloat64() }}
}

const spread = 0.12 // of the true scores of a level, as a share of their mean

// truth is what the indices of every athlete truly are.
type truth struct{ side, gain, gap [][]float64 }

// make draws the cohort.
func (m made) make(rng *rand.Rand) (profile.Input, truth) {
	b := builder{rng: rng, te: m.te, n: m.athletes}
	level := make([]float64, m.athletes)
	for i := range level {
		level[i] = m.level(i, rng)
	}
	var tr truth
	for k := range m.sides {
		a, o := profile.Test{Name: fmt.Sprintf("s%d.left", k), Side: "left", Quantity: "power", Region: "lower"},
			profile.Test{Name: fmt.Sprintf("s%d.right", k), Side: "right", Quantity: "power", Region: "lower"}
		a.Pair, o.Pair = o.Name, a.Name
		tr.side = append(tr.side, b.two(a, o, level, func(i int) (float64, float64) {
			d := m.side(i, k, rng)
			if d >= 0 {
				return d, 1 - d/100
			}
			return d, 1 / (1 + d/100)
		}, true))
	}
	for k := range m.gains {
		a, o := profile.Test{Name: fmt.Sprintf("g%d", k), Quantity: "power", Countermovement: "with", Region: "lower"},
			profile.Test{Name: fmt.Sprintf("g%d_held", k), Quantity: "power", Countermovement: "without", Region: "lower"}
		a.Counterpart, o.Counterpart = o.Name, a.Name
		tr.gain = append(tr.gain, b.two(a, o, level, func(i int) (float64, float64) {
			g := m.gain(i, k, rng)
			return g, 1 / (1 + g/100)
		}, false))
	}
	for k := range m.gaps {
		a, o := profile.Test{Name: fmt.Sprintf("p%d", k), Quantity: "torque", Region: "lower"},
			profile.Test{Name: fmt.Sprintf("q%d", k), Quantity: "rate", Region: "lower"}
		a.Quickness = o.Name
		gaps := make([]float64, m.athletes)
		pz, qz := make([]float64, m.athletes), make([]float64, m.athletes)
		for i := range gaps {
			gaps[i] = m.gap(i, k, rng)
			pz[i], qz[i] = level[i]+gaps[i]/2, level[i]-gaps[i]/2
		}
		tr.gap = append(tr.gap, gaps)
		b.test(a, func(i int) float64 { return 100 * (1 + spread*pz[i]) })
		b.test(o, func(i int) float64 { return 100 * (1 + spread*qz[i]) })
	}
	return b.input(), tr
}

// A builder collects tests: three sessions, the first two of which are the noise study.
type builder struct {
	rng   *rand.Rand
	te    float64
	n     int
	tests []profile.Test
}

func (b *builder) test(t profile.Test, true0 func(i int) float64) {
	t.Role, t.Better, t.Scale, t.Unit, t.Load = "test", score.Higher, score.Raw, "W", math.NaN()
	t.Scores = score.Table{Sessions: []string{"1", "2", "3"}, Trials: make([]int32, 3*b.n)}
	for i := range b.n {
		t.Scores.Athletes = append(t.Scores.Athletes, fmt.Sprint("A", i))
		x := true0(i)
		for range 3 {
			t.Scores.Value = append(t.Scores.Value, x+100*b.te*b.rng.NormFloat64())
		}
	}
	b.tests = append(b.tests, t)
}

// two adds a pair whose first is the better by its level, the second the first times a
// share; athletes are right-handed, so of a sided pair the second test is the dominant one.
func (b *builder) two(a, o profile.Test, level []float64, index func(i int) (percent, share float64), sided bool) []float64 {
	percent, share := make([]float64, b.n), make([]float64, b.n)
	for i := range percent {
		percent[i], share[i] = index(i)
	}
	high := func(i int) float64 { return 100 * (1 + spread*level[i]) }
	if sided {
		a, o = o, a
	}
	b.test(a, high)
	b.test(o, func(i int) float64 { return high(i) * share[i] })
	return percent
}

func (b *builder) input() profile.Input {
	in := profile.Input{Athletes: b.tests[0].Scores.Athletes, Tests: b.tests}
	for range b.n {
		in.Dominant, in.Group = append(in.Dominant, "right"), append(in.Group, "senior")
	}
	var studied []profile.Test
	for _, t := range b.tests {
		s, err := t.Scores.Select("1", "2")
		if err != nil {
			panic(err)
		}
		t.Scores = s
		studied = append(studied, t)
	}
	for _, name := range []string{"", "senior"} {
		n := profile.Noise{Group: name, Errors: profile.Errors(studied, in.Dominant, nil)}
		for _, t := range studied {
			v, df, _ := noise.Covary(t.Scores.Value, t.Scores.Value, 2)
			n.Models = append(n.Models, noise.Model{Measure: t.Name, Scale: score.Raw, TypicalError: math.Sqrt(v), DF: df})
		}
		in.Noise = append(in.Noise, n)
	}
	return in
}
