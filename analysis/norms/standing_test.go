package norms_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"noisefloor/analysis/norms"
	"noisefloor/internal/numtest"
)

var twelve = []float64{41.2, 38.5, 44.0, 36.1, 40.3, 39.9, 42.7, 37.4, 45.6, 40.3, 43.1, 35.8}

// Base R, qbeta and qt: testdata/standing.R. Columns: rank, ρ, sampling, noise, band.
func TestStandAgainstRecordedR(t *testing.T) {
	for _, c := range []struct {
		x, te, df, level float64
		want             [8]float64
	}{
		{41.5, 1.2, 11, 0.95, [8]float64{0.653846153846154, 0.850211585591691, 0.385738338249295, 0.861420661109839,
			0.346153846153846, 0.884615384615385, 0.245732986946166, 0.964235609104518}},
		{40.3, 0, 0, 0.95, [8]float64{0.5, 1, 0.192232441801288, 0.807767558198712, 0.5, 0.5, 0.192232441801288,
			0.807767558198712}},
		{50, 2.5, math.Inf(1), 0.95, [8]float64{0.961538461538462, 0.349876673575048, 0.752947361999529,
			0.998054371502653, 0.961538461538462, 0.961538461538462, 0.752947361999529, 0.998054371502653}},
		{36, 4, 7, 0.9, [8]float64{0.0384615384615385, 0.05, 0.00393786422764445, 0.205816665186551,
			0.0384615384615385, 0.961538461538462, 0.00393786422764445, 0.976586660371353}},
	} {
		before := slices.Clone(twelve)
		s, err := norms.Stand(c.x, norms.Group{Scores: twelve, TypicalError: c.te, DF: c.df}, c.level)
		if err != nil {
			t.Fatal(err)
		}
		got := [8]float64{s.Rank, s.Shrink, s.Sampling.Lower, s.Sampling.Upper, s.Noise.Lower, s.Noise.Upper,
			s.Band.Lower, s.Band.Upper}
		if c.te == 0 { // no noise known: no interval of it
			if s.Noise.HasInterval() || s.Noise.Kind != norms.NoNoise || s.Band != s.Sampling {
				t.Errorf("%+v", s)
			}
			got[4], got[5] = s.Rank, s.Rank
		}
		for i, x := range got {
			numtest.CloseAbs(t, fmt.Sprintf("score %g, column %d", c.x, i+1), x, c.want[i], 1e-12)
		}
		if !slices.Equal(before, twelve) {
			t.Fatal("the scores were modified")
		}
	}
}

func TestStandRefuses(t *testing.T) {
	good := norms.Group{Scores: twelve, TypicalError: 1, DF: 9}
	with := func(change func(*norms.Group)) norms.Group {
		g := good
		g.Scores = slices.Clone(good.Scores)
		change(&g)
		return g
	}
	for name, c := range map[string]struct {
		x, level float64
		g        norms.Group
		want     error
	}{
		"four others":    {40, 0.95, with(func(g *norms.Group) { g.Scores = g.Scores[:4] }), norms.ErrTooFew},
		"score":          {math.NaN(), 0.95, good, norms.ErrScore},
		"other's score":  {40, 0.95, with(func(g *norms.Group) { g.Scores[3] = math.Inf(1) }), norms.ErrScore},
		"negative error": {40, 0.95, with(func(g *norms.Group) { g.TypicalError = -1 }), norms.ErrNoise},
		"no error":       {40, 0.95, with(func(g *norms.Group) { g.TypicalError = math.NaN() }), norms.ErrNoise},
		"hardly any df":  {40, 0.95, with(func(g *norms.Group) { g.DF = 0.5 }), norms.ErrNoise},
		"level 1":        {40, 1, good, norms.ErrLevel},
	} {
		if _, err := norms.Stand(c.x, c.g, c.level); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// The order of the others does not matter, nor do unit and zero; a mirrored group
// mirrors the standing; the band holds the rank and both of its parts, and a higher
// score never stands lower. (Its band may begin lower: below everybody it is short.)
func TestStandProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var y, moved, mirrored []float64
		for range rapid.IntRange(5, 40).Draw(t, "others") {
			v := float64(rapid.IntRange(-64, 64).Draw(t, "score")) / 4
			y, moved, mirrored = append(y, v), append(moved, 8*(v+16)), append(mirrored, -v)
		}
		x := float64(rapid.IntRange(-70, 70).Draw(t, "x")) / 4
		te, df := float64(rapid.IntRange(0, 40).Draw(t, "te"))/8, float64(rapid.IntRange(1, 60).Draw(t, "df"))
		stand := func(x float64, y []float64, te float64) norms.Standing {
			s, err := norms.Stand(x, norms.Group{Scores: y, TypicalError: te, DF: df}, 0.95)
			if err != nil {
				t.Fatal(err)
			}
			return s
		}
		s := stand(x, y, te)
		slices.Reverse(y)
		if other := stand(x, y, te); other.Band != s.Band || other.Rank != s.Rank {
			t.Fatalf("in another order %+v, was %+v", other.Band, s.Band)
		}
		if u := stand(8*(x+16), moved, 8*te); math.Abs(u.Rank-s.Rank) > 1e-12 && te == 0 {
			t.Fatalf("in another unit %g, was %g", u.Rank, s.Rank)
		}
		if te == 0 {
			m := stand(-x, mirrored, te)
			numtest.CloseAbs(t, "mirrored", m.Rank, 1-s.Rank, 1e-12)
			numtest.CloseAbs(t, "mirrored limit", m.Band.Lower, 1-s.Band.Upper, 1e-10)
		}
		parts := []float64{s.Sampling.Lower, s.Rank, s.Sampling.Upper}
		if s.Noise.HasInterval() {
			parts = append(parts, s.Noise.Lower, s.Noise.Upper)
		}
		for _, p := range parts {
			if p < s.Band.Lower-1e-12 || p > s.Band.Upper+1e-12 {
				t.Fatalf("%g outside the band %+v", p, s.Band)
			}
		}
		if up := stand(x+1, y, te); up.Rank < s.Rank {
			t.Fatalf("a higher score stands lower: %+v, %+v", up, s)
		}
	})
}
