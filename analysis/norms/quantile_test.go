package norms_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"noisefloor/analysis/estimate"
	"noisefloor/analysis/norms"
	"noisefloor/internal/numtest"
)

func upTo(n int) (out []float64) {
	for i := range n {
		out = append(out, float64(i+1))
	}
	return out
}

// Type 8 by R 4.2.2, quantile(1:n, p, type = 8); the places of the limits are the scores
// themselves: r is the largest with pbinom(r - 1, n, p) <= .025, s the smallest with
// pbinom(s - 1, n, p, lower.tail = FALSE) <= .025; attained by pbinom.
func TestQuantileAgainstRecordedR(t *testing.T) {
	for _, c := range []struct {
		n                             int
		p                             float64
		value, lower, upper, attained float64
	}{
		{6, 0.5, 3.5, 1, 6, 0.96875},
		{13, 0.25, 3.66666666666667, 1, 7, 0.951952591538},
		{13, 0.75, 10.3333333333333, 7, 13, 0.951952591538},
		{36, 0.9, 33.0333333333333, 29, 36, 0.953962105203},
		{72, 0.05, 3.95, 1, 9, 0.965490047908},
		{40, 0.5, 20.5, 14, 27, 0.961522691716},
		{101, 0.1, 10.4666666666667, 5, 17, 0.955348395049},
	} {
		e, err := norms.Quantile(upTo(c.n), c.p, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		name := fmt.Sprintf("n %d, p %g", c.n, c.p)
		numtest.Close(t, name, e.Value, c.value, 1e-12)
		numtest.CloseAbs(t, name+" lower", e.Lower, c.lower, 0)
		numtest.CloseAbs(t, name+" upper", e.Upper, c.upper, 0)
		numtest.Close(t, name+" level", e.Level, c.attained, 1e-9)
		if e.Kind != norms.OrderStatistics {
			t.Errorf("%s: %s", name, e.Kind)
		}
	}
}

// By hand, the first n with (1-p)^n <= 0.025: the median from 6, quartiles from 13, the
// 10th and 90th from 36, the 5th and 95th from 72; one fewer has none.
func TestWhereLimitsAreAttainable(t *testing.T) {
	for p, n := range map[float64]int{0.5: 6, 0.25: 13, 0.75: 13, 0.1: 36, 0.9: 36, 0.05: 72, 0.95: 72} {
		with, err := norms.Quantile(upTo(n), p, 0.95)
		without, err2 := norms.Quantile(upTo(n-1), p, 0.95)
		if err != nil || err2 != nil || !with.HasInterval() || without.HasInterval() || without.Kind != estimate.TooFew ||
			math.IsNaN(without.Value) {
			t.Errorf("p %g: with %d %+v, with %d %+v, %v %v", p, n, with, n-1, without, err, err2)
		}
	}
}

func TestQuantileRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		scores   []float64
		p, level float64
		want     error
	}{
		"none":        {nil, 0.5, 0.95, norms.ErrTooFew},
		"NaN":         {[]float64{1, math.NaN()}, 0.5, 0.95, norms.ErrScore},
		"quantile 0":  {[]float64{1}, 0, 0.95, norms.ErrLevel},
		"no quantile": {[]float64{1}, math.NaN(), 0.95, norms.ErrLevel},
		"level":       {[]float64{1}, 0.5, 1, norms.ErrLevel},
	} {
		if _, err := norms.Quantile(c.scores, c.p, c.level); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Whatever the distribution, the limits hold the population's quantile at least as often
// as they say: exponential scores, whose quantile p is -ln(1-p); standard error 0.3.
func TestQuantileLimitsKeepTheirLevel(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	for _, p := range []float64{0.25, 0.5, 0.9} {
		held, said := 0, 0.0
		for range 5000 {
			y := make([]float64, 40)
			for i := range y {
				y[i] = rng.ExpFloat64()
			}
			e, err := norms.Quantile(y, p, 0.95)
			if err != nil {
				t.Fatal(err)
			}
			if truth := -math.Log1p(-p); truth >= e.Lower && truth <= e.Upper {
				held++
			}
			said = e.Level
		}
		numtest.CloseAbs(t, fmt.Sprintf("p %g", p), float64(held)/5000, said, 0.011)
	}
}
