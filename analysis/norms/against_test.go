package norms_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"noisefloor/analysis/norms"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
)

// ideal are the quantiles of a normal group, mean 50 and standard deviation 10, to four
// decimals: tables of Φ, Φ(0.6745) = 0.75 and Φ(1.2816) = 0.90.
func ideal() norms.Kept {
	return norms.Kept{Measure: "throw", Unit: "m", Scale: score.Raw, Better: score.Higher, Athletes: 60, Mean: 50, SD: 10,
		Noise: norms.Noise{TypicalError: 6, DF: 30}, Step: 0.0001, UnitStep: 0.0001, Quantiles: []norms.KeptQuantile{
			{0.1, 37.184}, {0.25, 43.255}, {0.5, 50}, {0.75, 56.745}, {0.9, 62.816}}}
}

// The true spread is 10·√(1 - 0.36) = 8: a score 4 above the mean is half a true standard
// deviation up, Φ(0.5) = 0.6915 (tables), and one 8 above stands at Φ(1) = 0.8413.
func TestAgainstByHand(t *testing.T) {
	for x, want := range map[float64]float64{50: 0.5, 54: 0.6915, 46: 0.3085, 58: 0.8413, 60.25: 0.8999} {
		s, err := ideal().Stand(x, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		numtest.CloseAbs(t, fmt.Sprint(x), s.Rank, want, 2e-4)
		if s.Above != 0 || s.Under != 0 || s.Band.Lower >= want || s.Band.Upper <= want {
			t.Errorf("%g: %+v", x, s)
		}
	}
	numtest.CloseAbs(t, "ρ", ideal().Rho(), 0.64, 1e-12)
}

// Beyond the outermost quantile there is no number: above the 90th, under the 10th.
func TestAgainstBeyond(t *testing.T) {
	above, err := ideal().Stand(75, 0.95)
	under, err2 := ideal().Stand(20, 0.95)
	if err := errors.Join(err, err2); err != nil {
		t.Fatal(err)
	}
	if above.Above != 0.9 || !math.IsNaN(above.Rank) || above.Band.Upper != 1 || !(above.Band.Lower < 0.9) {
		t.Errorf("%+v", above)
	}
	if under.Under != 0.1 || !math.IsNaN(under.Rank) || under.Band.Lower != 0 || !(under.Band.Upper > 0.1) {
		t.Errorf("%+v", under)
	}
}

// A test where less is better mirrors one where more is; on the log scale a unit makes no
// difference; a higher score never stands lower; rounded quantiles may be alike.
func TestAgainstProperties(t *testing.T) {
	k := ideal()
	less := k
	less.Better, less.Mean, less.Quantiles = score.Lower, 50, nil
	for _, q := range k.Quantiles {
		less.Quantiles = append(less.Quantiles, norms.KeptQuantile{P: q.P, Value: 100 - q.Value})
	}
	logs := k
	logs.Scale, logs.Mean, logs.SD, logs.Noise.TypicalError, logs.Quantiles = score.Log, 4, 0.2, 0.12, nil
	feet := logs
	feet.Mean, feet.UnitStep, feet.Quantiles = 4+math.Log(3), 3*logs.UnitStep, nil
	for _, q := range k.Quantiles {
		y := math.Exp(4 + (q.Value-50)/50)
		logs.Quantiles = append(logs.Quantiles, norms.KeptQuantile{P: q.P, Value: y})
		feet.Quantiles = append(feet.Quantiles, norms.KeptQuantile{P: q.P, Value: 3 * y})
	}
	last := 0.0
	for x := 30.0; x < 72; x += 1.5 {
		a := must(t)(k.Stand(x, 0.95))
		b := must(t)(less.Stand(100-x, 0.95))
		numtest.CloseAbs(t, "mirrored", b.Band.Lower, a.Band.Lower, 1e-9)
		c := must(t)(logs.Stand(x, 0.95))
		d := must(t)(feet.Stand(3*x, 0.95))
		numtest.CloseAbs(t, "in feet", d.Band.Upper, c.Band.Upper, 1e-9)
		rank := max(a.Rank, a.Above)
		if a.Above == 0 && a.Under == 0 && !(rank >= last) {
			t.Errorf("%g stands at %g, less at %g", x, rank, last)
		}
		if a.Above == 0 && a.Under == 0 {
			last = rank
		}
	}
	k.Quantiles[1].Value = k.Quantiles[2].Value
	if s := must(t)(k.Stand(50, 0.95)); !(s.Rank > 0.25 && s.Rank < 0.5) {
		t.Errorf("quantiles alike: %+v", s)
	}
}

func must(t *testing.T) func(norms.Standing, error) norms.Standing {
	return func(s norms.Standing, err error) norms.Standing {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
}

func TestAgainstRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		x, level float64
		change   func(*norms.Kept)
		want     error
	}{
		"no quantile": {50, 0.95, func(k *norms.Kept) { k.Quantiles = nil }, norms.ErrTooFew},
		"no noise":    {50, 0.95, func(k *norms.Kept) { k.Noise.TypicalError = 0 }, norms.ErrNoise},
		"NaN":         {math.NaN(), 0.95, func(*norms.Kept) {}, norms.ErrScore},
		"log of -1":   {-1, 0.95, func(k *norms.Kept) { k.Scale = score.Log }, norms.ErrScore},
		"level":       {50, 0, func(*norms.Kept) {}, norms.ErrLevel},
	} {
		k := ideal()
		c.change(&k)
		if _, err := k.Stand(c.x, c.level); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A table stands in the groups of a file that are called as its own.
func TestAgainstFile(t *testing.T) {
	club, whole := ideal(), ideal()
	club.Whom = norms.Whom{Column: "level", Value: "club"}
	in := rowed(score.Higher)
	r, err := norms.Against(in, []norms.Kept{club, whole}, norms.Options{Column: "level"})
	if err != nil || len(r.References) != 2 || len(r.Places) != 13+19 {
		t.Fatalf("%d references, %d places, %v", len(r.References), len(r.Places), err)
	}
	if !slices.Contains(kinds(r.Caveats), norms.NotInFile) || !r.References[0].Coarse || r.References[0].Scores != nil {
		t.Errorf("%+v", r.Caveats)
	}
	in.Measure = "jump"
	if _, err := norms.Against(in, []norms.Kept{club, whole}, norms.Options{Column: "level"}); !errors.Is(err, norms.ErrTooFew) {
		t.Errorf("another test: %v", err)
	}
}
