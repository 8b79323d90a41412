package norms_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/norms"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
	"noisefloor/internal/published"
)

// The method of Cole TJ, Green PJ (1992), Statistics in Medicine 11:1305-1319, with rows of
// the CDC growth charts: score = M (1 + L S z)^(1/L), as printed. In the terms of Box & Cox
// λ = L, μ = (M^L - 1)/L, σ = M^L S.
func TestCentilesOfAGrowthTable(t *testing.T) {
	c := published.Columns(t, "percentile/cdc_bmi_for_age.csv")
	for i := range c["L"] {
		l, m, s := c["L"][i], c["M"][i], c["S"][i]
		g := norms.Centiles{Lambda: l, Mu: math.Expm1(l*math.Log(m)) / l, Sigma: math.Pow(m, l) * s}
		for _, p := range []float64{3, 5, 10, 25, 50, 75, 85, 90, 95, 97} {
			printed := c[fmt.Sprintf("P%g", p)][i]
			numtest.Close(t, fmt.Sprintf("row %d, P%g", i+1, p), g.At(p/100), printed, 4e-9)
			numtest.Close(t, fmt.Sprintf("row %d, rank of P%g", i+1, p), g.Rank(printed), p/100, 1e-6)
		}
	}
}

// rowed is a test of two groups: the others of twelve in one, six higher ones in the other.
func rowed(better score.Direction) norms.Test {
	t := norms.Test{Measure: "throw", Unit: "m", Scale: score.Raw, Better: better, Noise: map[string]norms.Noise{
		"": {TypicalError: 1.2, DF: 11}, "club": {TypicalError: 1.2, DF: 11}}}
	for i, y := range append(slices.Clone(twelve), 41.5, 50, 51, 52, 53, 54, 55) {
		group := "club"
		if i > 12 {
			group = "senior"
		}
		t.Athletes, t.Scores, t.Groups = append(t.Athletes, fmt.Sprintf("A%02d", i+1)), append(t.Scores, y), append(t.Groups, group)
	}
	return t
}

func analysed(t *testing.T, in norms.Test, o norms.Options) norms.Result {
	t.Helper()
	o.Column = "level"
	r, err := norms.Analyse(in, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// The athlete A13 among the twelve of testdata/standing.R, of base R; the whole cohort by
// hand: 7 of 18 others stand above. Mean and SD of the seniors by hand.
func TestAnalyseAgainstRecordedR(t *testing.T) {
	r := analysed(t, rowed(score.Higher), norms.Options{Asked: []string{"A13"}})
	if len(r.References) != 3 || len(r.Places) != 2 {
		t.Fatalf("%d references, %d places", len(r.References), len(r.Places))
	}
	own, whole := r.Places[0], r.Places[1]
	if own.Value != "club" || own.Others != 12 || own.Rank != 5 || !whole.Whole() || whole.Others != 18 || whole.Rank != 11 {
		t.Errorf("%+v, %+v", own, whole)
	}
	numtest.Close(t, "rank", own.Standing.Rank, 0.653846153846154, 1e-12)
	numtest.Close(t, "band", own.Standing.Band.Lower, 0.245732986946166, 1e-12)
	senior := r.References[1]
	numtest.Close(t, "mean", senior.Mean, 52.5, 1e-14)
	numtest.Close(t, "sd", senior.SD, math.Sqrt(3.5), 1e-14)
	if senior.Noise.Known() || !math.IsNaN(senior.Rho) || senior.Athletes != 6 || !senior.Coarse {
		t.Errorf("%+v", senior)
	}
}

// Less is better: everything is turned round, and percentiles still count towards better.
func TestAnalyseLessIsBetter(t *testing.T) {
	more, less := rowed(score.Higher), rowed(score.Lower)
	for i := range less.Scores {
		less.Scores[i] = 100 - less.Scores[i]
	}
	a, b := analysed(t, more, norms.Options{}), analysed(t, less, norms.Options{})
	for i, p := range a.Places {
		q := b.Places[i]
		numtest.CloseAbs(t, p.Athlete, q.Standing.Rank, p.Standing.Rank, 1e-12)
		numtest.CloseAbs(t, p.Athlete, q.Standing.Band.Lower, p.Standing.Band.Lower, 1e-9)
		if p.Rank != q.Rank {
			t.Errorf("%s: rank %d, turned %d", p.Athlete, p.Rank, q.Rank)
		}
	}
	for i, q := range a.References[2].Quantiles {
		turned := b.References[2].Quantiles[i]
		numtest.CloseAbs(t, fmt.Sprint(q.P), turned.Value, 100-q.Value, 1e-9)
		if q.HasInterval() {
			numtest.CloseAbs(t, fmt.Sprint(q.P), turned.Lower, 100-q.Upper, 1e-9)
		}
	}
}

// On the log scale another unit changes no place; nor does the order of the athletes.
func TestAnalyseProperties(t *testing.T) {
	in := rowed(score.Higher)
	in.Scale, in.Noise = score.Log, map[string]norms.Noise{"": {TypicalError: 0.03, DF: 15}}
	other := in
	other.Scores = nil
	for _, y := range in.Scores {
		other.Scores = append(other.Scores, y*3.28084)
	}
	a, b := analysed(t, in, norms.Options{}), analysed(t, other, norms.Options{})
	for i, p := range a.Places {
		numtest.CloseAbs(t, "in feet", b.Places[i].Standing.Band.Upper, p.Standing.Band.Upper, 1e-9)
	}
	back := in
	back.Athletes, back.Scores, back.Groups = slices.Clone(in.Athletes), slices.Clone(in.Scores), slices.Clone(in.Groups)
	slices.Reverse(back.Athletes)
	slices.Reverse(back.Scores)
	slices.Reverse(back.Groups)
	c := analysed(t, back, norms.Options{Asked: []string{"A13"}})
	d := analysed(t, in, norms.Options{Asked: []string{"A13"}})
	if c.Places[0].Standing.Band != d.Places[0].Standing.Band {
		t.Errorf("in another order %+v, was %+v", c.Places[0], d.Places[0])
	}
}

func kinds(all []caveat.Caveat) (out []caveat.Kind) {
	for _, c := range all {
		out = append(out, c.Kind)
	}
	return out
}

func TestAnalyseDoubts(t *testing.T) {
	in := rowed(score.Unknown)
	in.Scores, in.Groups, in.Noise = slices.Clone(in.Scores), slices.Clone(in.Groups), nil
	in.Scores[0], in.Groups[1] = math.NaN(), ""
	in.Groups[18], in.Groups[17] = "", ""
	r := analysed(t, in, norms.Options{})
	for _, want := range []caveat.Kind{norms.MoreCounted, norms.WithoutScore, norms.Ungrouped, norms.NoiseNotKnown,
		norms.GroupTooSmall} {
		if !slices.Contains(kinds(r.Caveats), want) {
			t.Errorf("no %s: %v", want, kinds(r.Caveats))
		}
	}
	for _, p := range r.Places {
		if (p.Others < norms.MinAthletes) != (p.Standing == nil) {
			t.Errorf("%+v", p)
		}
	}
	in.Noise = map[string]norms.Noise{"": {TypicalError: 6, DF: 11}}
	if r := analysed(t, in, norms.Options{}); !slices.Contains(kinds(r.Caveats), norms.MostlyNoise) {
		t.Errorf("%v", kinds(r.Caveats))
	}
}

// Smooth centiles are of one level alone.
func TestCentilesOfOneLevel(t *testing.T) {
	in := norms.Test{Measure: "jump", Scale: score.Raw, Better: score.Higher}
	for i := range 60 {
		in.Athletes, in.Scores = append(in.Athletes, fmt.Sprint(i)), append(in.Scores, 30+float64(i*7%60)/4)
		in.Levels = append(in.Levels, "club")
	}
	if r := analysed(t, in, norms.Options{}); r.References[0].Centiles == nil {
		t.Error("one level has no centiles")
	}
	in.Levels[3] = "senior"
	if r := analysed(t, in, norms.Options{}); r.References[0].Centiles != nil {
		t.Error("a mixed whole has centiles")
	}
}

func TestAnalyseRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*norms.Test)
		want   error
	}{
		"nobody":   {func(t *norms.Test) { t.Scores = make([]float64, len(t.Scores)); fill(t.Scores, math.NaN()) }, norms.ErrTooFew},
		"infinite": {func(t *norms.Test) { t.Scores[2] = math.Inf(1) }, norms.ErrScore},
		"log of 0": {func(t *norms.Test) { t.Scale, t.Scores[2] = score.Log, 0 }, norms.ErrScore},
	} {
		in := rowed(score.Higher)
		c.change(&in)
		if _, err := norms.Analyse(in, norms.Options{}); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := norms.Analyse(rowed(score.Higher), norms.Options{Level: 2}); !errors.Is(err, norms.ErrLevel) {
		t.Errorf("level 2: %v", err)
	}
}

func fill(x []float64, v float64) {
	for i := range x {
		x[i] = v
	}
}
