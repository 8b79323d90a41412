package simulate_test

import (
	"fmt"
	"math"
	"testing"

	"noisefloor/datasets/simulate"
)

// A truthOf reads one athlete's truth as the rules of the trade look at it.
type truthOf struct {
	t        *testing.T
	study    *simulate.Study
	scores   map[string]float64
	level    string
	dominant string
}

func look(t *testing.T, s *simulate.Study, code string) truthOf {
	t.Helper()
	a, ok := s.Truth.Athlete(code)
	if !ok {
		t.Fatalf("no truth of %q", code)
	}
	for _, p := range s.Athletes {
		if p.Code == code {
			return truthOf{t, s, a.Scores, a.Level, p.Dominant}
		}
	}
	t.Fatalf("no athlete %q", code)
	return truthOf{}
}

// side is the difference of a test's sides, dominant less other, % of the better.
func (a truthOf) side(test string) float64 {
	other := map[string]string{"left": "right", "right": "left"}[a.dominant]
	d, o := a.scores[test+"."+a.dominant], a.scores[test+"."+other]
	return 100 * (d - o) / max(d, o)
}

// gain is the countermovement gain of a test, %.
func (a truthOf) gain(test string) float64 {
	return 100 * (a.scores[test] - a.scores[test+"_paused"]) / a.scores[test+"_paused"]
}

// z is the standing in own level, in SD between athletes; positive is better.
func (a truthOf) z(measure string) float64 {
	u, ok := a.study.Truth.Measure(measure)
	if !ok {
		a.t.Fatalf("no truth of %q", measure)
	}
	score := a.scores[measure]
	if u.Scale == "log" {
		score = math.Log(score)
	}
	z := (score - u.LevelMeans[a.level]) / u.AthleteSD
	if u.LevelMeans["senior"] < u.LevelMeans["school"] {
		return -z
	}
	return z
}

// mean is the mean standing in the tests that anyone would call strength or power.
func (a truthOf) mean() float64 {
	names := []string{"cable_turn", "cable_turn_paused", "fixed_turn", "cable_pull", "overhead_throw"}
	sum := 0.0
	for _, name := range names {
		sum += a.z(name)
	}
	return sum / float64(len(names))
}

// gap is the quickness gap, in SD between athletes.
func (a truthOf) gap() float64 { return a.z("fixed_turn") - a.z("fixed_turn_rise") }

// inWhole is the standing in the cable turn against all levels, in SD: a third
// of the cohort is in each level.
func (a truthOf) inWhole() float64 {
	u, _ := a.study.Truth.Measure("cable_turn")
	var sum, squares float64
	for _, m := range u.LevelMeans {
		sum, squares = sum+m/3, squares+m*m/3
	}
	return (a.scores["cable_turn"] - sum) / math.Sqrt(u.AthleteSD*u.AthleteSD+squares-sum*sum)
}

// patterns are what each case must show. The thresholds are common practice,
// no source: sides under 5 % even, from 15 % flagged; gain 10 to 20 % typical,
// at 0 or below not elastic, over 20 very elastic; a gap of 0.4 SD.
var patterns = map[string]func(a truthOf, c simulate.Case){
	"even": func(a truthOf, c simulate.Case) {
		between(a.t, "mean standing", a.mean(), 0.6, 2)
		between(a.t, "gap", a.gap(), -0.2, 0.2)
		between(a.t, "gain", a.gain("cable_turn"), 11, 19)
		for test := range c.SideDifference {
			between(a.t, test, a.side(test), -5, 5)
		}
	},
	"faded senior": func(a truthOf, _ simulate.Case) {
		between(a.t, "standing in the whole cohort", a.inWhole(), -0.5, 0.5)
		between(a.t, "mean standing in own level", a.mean(), -3, -1)
		between(a.t, "gap", a.gap(), -0.2, 0.2)
		between(a.t, "gain", a.gain("cable_turn"), -10, -1)
	},
	"strong and stiff": func(a truthOf, c simulate.Case) {
		between(a.t, "mean standing", a.mean(), 1.5, 4)
		between(a.t, "gap", a.gap(), 1, 3)
		between(a.t, "gain", a.gain("cable_turn"), -2, 2)
		between(a.t, "sides, throw", a.side("side_throw_speed"), 20, 40)
		between(a.t, "sides, press", a.side("cable_press"), 20, 40)
		if len(c.SetAside) == 0 || c.Reason == "" {
			a.t.Error("nothing is set aside")
		}
	},
	"springy": func(a truthOf, _ simulate.Case) {
		between(a.t, "mean standing", a.mean(), 0.5, 2)
		between(a.t, "quickness", a.z("fixed_turn_rise"), -2, -0.5)
		between(a.t, "gain", a.gain("cable_turn"), 24, 40)
	},
	"one joint": func(a truthOf, _ simulate.Case) {
		between(a.t, "mean standing", a.mean(), 0.5, 2)
		between(a.t, "sides, press", a.side("cable_press"), -50, -20)
		between(a.t, "standing of the weak side", a.z("cable_press."+a.dominant), -4, -1)
		between(a.t, "sides, throw", a.side("side_throw_speed"), -5, 5)
	},
	"first exposure": func(a truthOf, c simulate.Case) {
		between(a.t, "gain", a.gain("cable_turn"), 11, 19)
		gains := c.GainBySession["cable_turn"]
		if len(gains) != simulate.Sessions {
			a.t.Fatalf("%d gains", len(gains))
		}
		between(a.t, "gain in session 1", gains[0], 0, 6)
		for j := 1; j < len(gains); j++ {
			between(a.t, "later gain", gains[j], gains[j-1]+1, 20)
		}
	},
}

// Whoever is picked, however large the cohort: each case is there once, shows
// its pattern, and states the sides, gain and standing that its scores have.
func TestCasesShowTheirPatterns(t *testing.T) {
	for n := simulate.CaseAthletes; n <= 90; n += 6 {
		s := cohort(t, uint64(n), n)
		if len(s.Truth.Cases) != len(patterns) {
			t.Errorf("n = %d: %d cases, want %d", n, len(s.Truth.Cases), len(patterns))
		}
		for name, show := range patterns {
			t.Run(fmt.Sprintf("%d/%s", n, name), func(t *testing.T) {
				c, ok := s.Truth.Case(name)
				if !ok {
					t.Fatal("not there")
				}
				a := look(t, s, c.Athlete)
				show(a, c)
				states(a, c)
				constant(t, s, c)
			})
		}
	}
	if s := cohort(t, 1, simulate.CaseAthletes-1); len(s.Truth.Cases) != 0 {
		t.Error("a small cohort has cases")
	}
}

// states holds what a case says of itself against its scores. The truth has
// nine digits.
func states(a truthOf, c simulate.Case) {
	for test, want := range c.SideDifference {
		between(a.t, test+" as stated", a.side(test), want-1e-6, want+1e-6)
	}
	for test, want := range c.CountermovementGain {
		between(a.t, test+" as stated", a.gain(test), want-1e-6, want+1e-6)
		middle, at := 1.0, 1.0 // squares of what the pair has, and of what the standing says
		for _, name := range []string{test, test + "_paused"} {
			u, _ := a.study.Truth.Measure(name)
			middle *= a.scores[name]
			at *= u.LevelMeans[a.level] + c.Standing*u.AthleteSD
		}
		between(a.t, test+", middle of the pair over what is stated", middle/at, 1-1e-6, 1+1e-6)
	}
	for _, test := range []string{"cable_pull", "fixed_turn", "fixed_turn_rise", "overhead_throw", "seated_flick"} {
		want, ok := c.Standings[test]
		switch {
		case ok:
		case test == "seated_flick": // goes with nothing
		default:
			want = c.Standing
		}
		between(a.t, test+" as stated", a.z(test), want-1e-6, want+1e-6)
	}
}

// constant says that nothing changes a case: it is in the control group, was
// there in every session, and is not the injured athlete.
func constant(t *testing.T, s *simulate.Study, c simulate.Case) {
	t.Helper()
	truth, _ := s.Truth.Athlete(c.Athlete)
	for name, change := range truth.Changes {
		if change != 0 {
			t.Errorf("%s truly changes by %g", name, change)
		}
	}
	for _, m := range s.Truth.Missed {
		if m.Athlete == c.Athlete {
			t.Errorf("missed session %d", m.Session)
		}
	}
	if truth.Group != "control" || s.Truth.Injured == c.Athlete {
		t.Errorf("group %s, injured %s", truth.Group, s.Truth.Injured)
	}
}

// Most of the athletes that were drawn are ordinary: otherwise the rules of
// the trade would flag everybody. One large cohort.
func TestDrawnAthletesAreOrdinary(t *testing.T) {
	s := cohort(t, 7, 3000)
	set := cases(s)
	var gains, sides, gaps []float64
	ordinary := 0.0
	for _, p := range s.Athletes {
		if set[p.Code] {
			continue
		}
		a := look(t, s, p.Code)
		gains, sides, gaps = append(gains, a.gain("cable_turn")), append(sides, a.side("cable_press")), append(gaps,
			a.gap())
		if g := a.gain("cable_turn"); g >= 10 && g <= 20 {
			ordinary++
		}
	}
	between(t, "mean gain", mean(gains), 14, 16)
	between(t, "share of gains from 10 to 20", ordinary/float64(len(gains)), 0.7, 0.95)
	between(t, "mean side difference, press", mean(sides), 1, 3)
	between(t, "SD of it", math.Sqrt(covariance(sides, sides)), 2, 4)
	between(t, "SD of the quickness gap", math.Sqrt(covariance(gaps, gaps)), 0.3, 0.6)
}

// The true velocities of an athlete at three loads lie on a straight line that
// falls, before the training block and after it.
func TestLoadVelocityLineIsStraight(t *testing.T) {
	s := cohort(t, 9, 200)
	for _, a := range s.Truth.Athletes {
		at := func(kg string) (before, after float64) {
			name := "cable_turn_speed_" + kg
			return a.Scores[name], a.Scores[name] + a.Changes[name]
		}
		v10, w10 := at("10")
		v20, w20 := at("20")
		v30, w30 := at("30")
		for _, bend := range []float64{v10 - 2*v20 + v30, w10 - 2*w20 + w30} {
			if math.Abs(bend) > 2e-8 { // nine digits: 5e-9 in v10, twice that in 2·v20, less in the rest
				t.Errorf("%s: bent by %g m/s", a.Athlete, bend)
			}
		}
		if !(v10 > v20 && v20 > v30 && v30 > 0) {
			t.Errorf("%s: %.3f, %.3f, %.3f m/s", a.Athlete, v10, v20, v30)
		}
	}
}

// One who is new to the cable turn gains what the truth says in each session,
// over 100 seeds: the mean of with - (1 + gain/100)·without is within 5
// standard errors of 0.
func TestFirstExposureIsLearned(t *testing.T) {
	off := make([][]float64, simulate.Sessions)
	for seed := uint64(501); seed <= 600; seed++ {
		s := cohort(t, seed, simulate.CaseAthletes)
		c, _ := s.Truth.Case("first exposure")
		gains, scores := c.GainBySession["cable_turn"], scoresOf(s)
		with, without := scores.of("cable_turn", c.Athlete), scores.of("cable_turn_paused", c.Athlete)
		for j := range off {
			if d := with[j] - (1+gains[j]/100)*without[j]; !math.IsNaN(d) {
				off[j] = append(off[j], d)
			}
		}
	}
	for j, d := range off {
		limit := 5 * math.Sqrt(covariance(d, d)/float64(len(d)))
		between(t, fmt.Sprintf("session %d, W (n = %d)", j+1, len(d)), mean(d), -limit, limit)
	}
}

// of are the session scores of one athlete.
func (s sessionScores) of(measure, code string) [simulate.Sessions]float64 {
	for m, described := range s.study.Measures {
		for i, p := range s.study.Athletes {
			if described.Name == measure && p.Code == code {
				return s.mean[m][i]
			}
		}
	}
	return [simulate.Sessions]float64{}
}
