package retest_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/analysis/season"
	"noisefloor/internal/numtest"
)

func planned(sessions int) retest.Options {
	return retest.Options{Season: &retest.SeasonPlan{Planned: sessions}}
}

// course is a test with a baseline of sessions 1 and 2 and typical error 1 on 19 df.
func course(sessions int, value ...float64) retest.Test {
	x := test(1, 19, table(sessions, value...))
	x.Baseline, x.FollowUp = []string{"1", "2"}, nil
	for _, s := range x.Scores.Sessions[2:] {
		x.FollowUp = append(x.FollowUp, []string{s})
	}
	return x
}

func seasons(t *testing.T, o retest.Options, tests ...retest.Test) retest.Result {
	t.Helper()
	r, err := retest.Judge(tests, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// By hand: baseline (50 + 52)/2 = 51, then 51 53 54.2 55. The limits of J = 4, b = 2, 19
// df have c = 2.797 (R's mvtnorm::pmvt; 2.80 here to 0.01): w 1 3.43, 2 2.80, 3 2.55.
// The mean of the last one is 0 2 3.2 4 above, of two - 1 2.6 3.6, of three - - 1.73 3.07:
// it sounds at session 6, and of the looks there (4/3.43 = 1.17, 3.6/2.80 = 1.29, 3.07/2.55
// = 1.20, four 2.3/2.42) two sessions are the farthest out. The slope is R's, lm(c(51, 53,
// 54.2, 55) ~ I(1:4)), 1.32; Sxx = 5.
func TestSeasonByHand(t *testing.T) {
	x := course(6, 50, 52, 51, 53, 54.2, 55)
	x.Better = score.Higher
	r := seasons(t, planned(4), x)
	if len(r.Seasons) != 1 {
		t.Fatalf("%+v", r.Seasons)
	}
	s := r.Seasons[0]
	w := s.Watch
	if !w.Alarm || w.At != "6" || w.From != "5" || w.W != 2 || w.Direction != "rise" || w.Better != "better" {
		t.Errorf("%+v", w)
	}
	numtest.CloseAbs(t, "c", w.Factor, 2.797, 0.01)
	numtest.Close(t, "change", w.Change.Value, 3.6, 1e-12)
	numtest.Close(t, "limit", w.Limit, w.Factor, 1e-12) // √(1/2 + 1/2) is 1
	numtest.Close(t, "lower", w.Change.Lower, 3.6-w.Limit, 1e-12)
	numtest.Close(t, "slope", s.Line.Slope.Value, 1.32, 1e-12)
	numtest.Close(t, "SE", s.Line.Slope.SE, 1/math.Sqrt(5), 1e-12)
	numtest.Close(t, "level", w.Level, 54.6, 1e-12)
	numtest.Close(t, "low", w.High-51, w.Limit, 1e-12)
	if w.State == retest.InsideNoise || w.Low >= 51 || s.Line.Scatters || len(s.Sessions) != 4 {
		t.Errorf("%+v", s)
	}
	c := r.SeasonTests[0]
	if c.Athletes != 1 || c.Sessions != 4 || c.Alarms != 1 || c.Lines != 1 || math.Abs(c.ByChance-0.05) > 1e-15 ||
		c.Baseline != 2 || c.Step != 1.5 || !(c.Power > 0.2 && c.Power < 0.35) {
		t.Errorf("%+v", c)
	}
}

// Half way through a season fewer alarms come by chance than by its end. R 4.2.2, 400,000
// seasons of 6 sessions after a baseline of 2, df 19, c 3.262: 2.81 % (standard error
// 0.03).
func TestAlarmsByChanceSoFar(t *testing.T) {
	c := seasons(t, planned(12), course(8, 50, 52, 51, 51, 51, 51, 51, 51)).SeasonTests[0]
	numtest.CloseAbs(t, "half a season", c.ByChance, 0.0281, 0.002)
}

// The family of a call with seasons holds the changes, the watches and the lines: p by
// Benjamini & Hochberg's definition over all of them.
func TestSeasonsJoinTheFamily(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	v := make([]float64, 10*8)
	for i := range v {
		v[i] = 50 + rng.NormFloat64()
		if i < 16 && i%8 > 3 {
			v[i] += 6
		}
	}
	copy(v[72:], []float64{50, 50, 50, 50, 50, 54.5, 50, 50}) // an alarm that does not stand out among 80
	r := seasons(t, planned(12), course(8, v...))
	var p, adjusted []float64
	out, own := 0, 0
	for _, c := range r.Changes {
		p, adjusted = append(p, c.P), append(adjusted, c.PBH)
	}
	for _, s := range r.Seasons {
		p, adjusted = append(p, s.Watch.P, s.Line.P), append(adjusted, s.Watch.PBH, s.Line.PBH)
		for _, one := range []retest.SeasonReading{s.Watch.SeasonReading, s.Line.SeasonReading} {
			if one.State == retest.StandsOut {
				out++
			}
			if one.PBH > 0.05 && one.P < 0.05 {
				own++
			}
			if (one.State == retest.StandsOut) != (one.PBH <= 0.05) {
				t.Errorf("%+v", one)
			}
		}
	}
	if r.Family.Changes != 60 || r.Family.Seasons != 20 || len(p) != 80 || r.Family.SeasonsOut != out || out < 2 || own == 0 {
		t.Errorf("%+v, %d out, %d on their own", r.Family, out, own)
	}
	for i := range p {
		want := 1.0
		for _, q := range p {
			if q < p[i] {
				continue
			}
			rank := 0.0
			for _, x := range p {
				if x <= q {
					rank++
				}
			}
			want = min(want, q*float64(len(p))/rank)
		}
		numtest.Close(t, "BH", adjusted[i], want, 1e-12)
	}
	for _, c := range r.Changes {
		if c.Selected != nil {
			numtest.Close(t, "selected", c.Selected.Level, 1-0.05*float64(r.Family.StandOut+out)/80, 1e-12)
		}
	}
	if some := r.Of([]string{"A1"}); len(some.Seasons) != 1 || len(some.SeasonTests) != 1 || some.Family != r.Family {
		t.Errorf("%+v", some.Seasons)
	}
}

// Without a plan nothing is added; with one the changes are as before but for the family.
func TestSeasonsAreAsked(t *testing.T) {
	x := course(6, 50, 52, 51, 53, 54.2, 55)
	plain := seasons(t, retest.Options{}, x)
	if plain.Seasons != nil || plain.Family.Seasons != 0 || plain.SeasonTests != nil {
		t.Error("seasons that nobody asked for")
	}
	with := seasons(t, planned(0), x)
	if with.SeasonTests[0].Planned != season.Usual || with.Changes[0].P != plain.Changes[0].P {
		t.Errorf("%+v", with.SeasonTests[0])
	}
}

// After the planned sessions the watch begins anew: what came before is not averaged in,
// and the p is twice that of the part farthest out.
func TestSeasonBeginsAnew(t *testing.T) {
	x := course(8, 50, 50, 50, 50, 50, 57, 50, 50.1)
	r := seasons(t, planned(4), x)
	w := r.Seasons[0].Watch
	if !w.Alarm || w.At != "6" || w.W != 1 {
		t.Errorf("%+v", w)
	}
	one := seasons(t, planned(4), course(6, 50, 50, 50, 50, 50, 57)).Seasons[0].Watch
	numtest.Close(t, "p", w.P, 2*one.P, 1e-12)
	contains(t, said(r), "jump: season-restarts")
	// one season over, and two of four sessions of the next: R as below, 0.0250
	if math.Abs(r.SeasonTests[0].ByChance-0.05-0.0250) > 0.002 {
		t.Errorf("%+v", r.SeasonTests[0])
	}
	late := seasons(t, planned(4), course(8, 50, 50, 50, 50, 50, 50, 54, 54)).Seasons[0].Watch
	if !late.Alarm || late.At != "7" || late.From != "7" {
		t.Errorf("%+v", late)
	}
}

// A log scale has percent per session; times have slopes per week; sessions of the noise
// study and unusable scores are not of the season.
func TestSeasonScalesAndTimes(t *testing.T) {
	x := course(6, 100, 100, 100, 110, 121, 133.1)
	x.Noise.Scale, x.Noise.TypicalError = score.Log, 0.05
	s := seasons(t, planned(4), x).Seasons[0]
	numtest.Close(t, "percent", s.Line.Percent.Value, 10, 1e-9)
	numtest.Close(t, "watch", s.Watch.Percent.Value, 100*math.Expm1(s.Watch.Change.Value), 1e-12)

	o := planned(4)
	o.Season.Weeks = []float64{0, 1, 2, 4, 6, 8}
	numtest.Close(t, "per week", seasons(t, o, x).Seasons[0].Line.Slope.Value, math.Log(1.1)/2, 1e-9)
	o.Season.Weeks = o.Season.Weeks[:3]
	if _, err := retest.Judge([]retest.Test{x}, o); !errors.Is(err, retest.ErrSessions) {
		t.Error(err)
	}

	x.Scores.Value[3] = -4
	r := seasons(t, planned(4), x)
	if s := r.Seasons[0]; len(s.Sessions) != 3 || s.Line != nil {
		t.Errorf("%+v", s)
	}
	contains(t, said(r), "jump: season-too-short")

	y := course(6, 50, 52, 51, 53, 54.2, 55)
	y.Studied = [][]string{{"3"}}
	if s := seasons(t, planned(4), y).Seasons[0]; strings.Join(s.Sessions, "") != "456" {
		t.Errorf("%+v", s)
	}
	if _, err := retest.Judge([]retest.Test{x}, planned(season.Longest+1)); !errors.Is(err, season.ErrPlan) {
		t.Error(err)
	}
}

// Other numbers of attempts than the study's, and a squad whose form comes in waves, are
// said.
func TestSeasonDoubts(t *testing.T) {
	x := course(6, 50, 52, 51, 53, 54.2, 55)
	x.Noise.Trials = 3
	x.Scores.Trials = []int32{3, 3, 1, 1, 1, 1}
	contains(t, said(seasons(t, planned(4), x)), "jump: season-other-attempts")
	var v []float64
	for i := range 8 {
		v = append(v, 50, 50)
		for k := range 12 {
			v = append(v, 50+2*math.Sin(2*math.Pi*float64(k+i)/12))
		}
	}
	r := seasons(t, planned(12), course(14, v...))
	contains(t, said(r), "jump: slow-waves")
	if w := r.SeasonTests[0].Waves; w == nil || w.R < 0.3 {
		t.Errorf("%+v", w)
	}
	four := seasons(t, planned(12), course(14, v[:4*14]...)) // too few for waves to be spoken of
	if w := four.SeasonTests[0].Waves; w == nil || !w.High() || strings.Contains(fmt.Sprint(said(four)), "slow-waves") {
		t.Errorf("of four athletes %+v: %v", w, said(four))
	}
	y := course(3, 50, 51, 52)
	y.Studied = [][]string{{"3"}}
	contains(t, said(seasons(t, planned(4), y)), "jump: no-season")
}
