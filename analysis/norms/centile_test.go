package norms_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"noisefloor/analysis/norms"
	"noisefloor/internal/numtest"
)

// Data sets of R: annual precipitation of cities, inches, and lengths of rivers, miles.
var (
	precip = []float64{
		67, 54.7, 7, 48.5, 14, 17.2, 20.7, 13, 43.4, 40.2, 38.9, 54.5, 59.8, 48.3, 22.9, 11.5, 34.4, 35.1, 38.7,
		30.8, 30.6, 43.1, 56.8, 40.8, 41.8, 42.5, 31, 31.7, 30.2, 25.9, 49.2, 37, 35.9, 15, 30.2, 7.2, 36.2,
		45.5, 7.8, 33.4, 36.1, 40.2, 42.7, 42.5, 16.2, 39, 35, 37, 31.4, 37.6, 39.9, 36.2, 42.8, 46.4, 24.7,
		49.1, 46, 35.9, 7.8, 48.2, 15.2, 32.5, 44.7, 42.6, 38.8, 17.4, 40.8, 29.1, 14.6, 59.2,
	}
	rivers = []float64{
		735, 320, 325, 392, 524, 450, 1459, 135, 465, 600, 330, 336, 280, 315, 870, 906, 202, 329, 290, 1000,
		600, 505, 1450, 840, 1243, 890, 350, 407, 286, 280, 525, 720, 390, 250, 327, 230, 265, 850, 210, 630,
		260, 230, 360, 730, 600, 306, 390, 420, 291, 710, 340, 217, 281, 352, 259, 250, 470, 680, 570, 350, 300,
		560, 900, 625, 332, 2348, 1171, 3710, 2315, 2533, 780, 280, 410, 460, 260, 255, 431, 350, 760, 618, 338,
		981, 1306, 500, 696, 605, 250, 411, 1054, 735, 233, 435, 490, 310, 460, 383, 375, 1270, 545, 445, 1885,
		380, 300, 380, 377, 425, 276, 210, 800, 420, 350, 360, 538, 1100, 1205, 314, 237, 610, 360, 540, 1038,
		424, 310, 300, 444, 301, 268, 620, 215, 652, 900, 525, 246, 360, 529, 500, 720, 270, 430, 671, 1770,
	}
)

// Base R, the likelihood as Box & Cox (1964) write it: testdata/centile.R. Columns: λ, the
// 10th, 50th and 90th centile, the rank of the first.
func TestSmoothAgainstRecordedR(t *testing.T) {
	for _, c := range []struct {
		scores                        []float64
		lambda, low, middle, high, at float64
	}{
		{precip, 1.135192671, 17.30244613, 35.2831096, 52.04474369, 0.9933270097},
		{rivers, -0.5521314804, 248.5309983, 440.7829883, 1024.032237, 0.8015191597},
	} {
		g, err := norms.Smooth(c.scores)
		if err != nil {
			t.Fatal(err)
		}
		numtest.Close(t, "λ", g.Lambda, c.lambda, 1e-6)
		numtest.Close(t, "10th", g.At(0.1), c.low, 1e-7)
		numtest.Close(t, "50th", g.At(0.5), c.middle, 1e-7)
		numtest.Close(t, "90th", g.At(0.9), c.high, 1e-7)
		numtest.Close(t, "rank", g.Rank(c.scores[0]), c.at, 1e-7)
		for _, p := range []float64{0.02, 0.3, 0.98} {
			numtest.Close(t, "there and back", g.Rank(g.At(p)), p, 1e-10)
		}
	}
}

// Another unit changes neither λ nor the centiles of the scores; logarithms that are
// normal have λ near 0; a very lopsided group stops at the widest power.
func TestSmoothProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 1))
	var y, inches, wide []float64
	for range 400 {
		v := math.Exp(3 + 0.3*rng.NormFloat64())
		y, inches, wide = append(y, v), append(inches, v/2.54), append(wide, math.Pow(v, 0.05))
	}
	a, err := norms.Smooth(y)
	b, err2 := norms.Smooth(inches)
	c, err3 := norms.Smooth(wide)
	if err := errors.Join(err, err2, err3); err != nil {
		t.Fatal(err)
	}
	numtest.CloseAbs(t, "λ of logarithms", a.Lambda, 0, 0.35) // its standard error is about 0.17
	numtest.CloseAbs(t, "λ in inches", b.Lambda, a.Lambda, 1e-5)
	numtest.Close(t, "90th in inches", 2.54*b.At(0.9), a.At(0.9), 1e-6)
	if math.Abs(c.Lambda) > 2 {
		t.Errorf("λ %g", c.Lambda)
	}
	numtest.CloseAbs(t, "λ 0", norms.Centiles{Mu: 1, Sigma: 0.5}.At(0.5), math.E, 1e-12)
	numtest.CloseAbs(t, "λ 0, back", norms.Centiles{Mu: 1, Sigma: 0.5}.Rank(math.E), 0.5, 1e-12)
}

func TestSmoothRefuses(t *testing.T) {
	with := func(last float64) []float64 { return append(upTo(60), last) }
	same := make([]float64, 60)
	for i := range same {
		same[i] = 3
	}
	for name, c := range map[string]struct {
		scores []float64
		want   error
	}{
		"49":       {upTo(49), norms.ErrTooFew},
		"zero":     {with(0), norms.ErrScore},
		"negative": {with(-1), norms.ErrScore},
		"NaN":      {with(math.NaN()), norms.ErrScore},
		"infinite": {with(math.Inf(1)), norms.ErrScore},
		"the same": {same, norms.ErrTooFew},
	} {
		if _, err := norms.Smooth(c.scores); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if r := (norms.Centiles{Lambda: 1, Sigma: 1}).Rank(0); !math.IsNaN(r) {
		t.Errorf("rank of 0: %g", r)
	}
}
