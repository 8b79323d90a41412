package season_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"noisefloor/analysis/season"
	"noisefloor/internal/numtest"
)

var scores = []float64{61.2, 60.1, 62.9, 63.4, 62.2, 65.0}

func straight(t *testing.T, x, y []float64, te, df float64) season.Line {
	t.Helper()
	l, err := season.Straight(x, y, te, df, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

var (
	bySession = []float64{1, 2, 3, 4, 5, 6}
	byWeek    = []float64{0, 9. / 7, 2, 30. / 7, 37. / 7, 51. / 7}
)

// Against R's lm: its slope, its standard error times 1.3 over its residual SD, and the
// interval and p by qt and pt on 19 df; testdata/oracle.R.
func TestLineAgainstR(t *testing.T) {
	for _, tt := range []struct{ x, want []float64 }{
		{bySession, []float64{0.737142857143, 0.310759438427, 0.086715877381, 1.387569836905, 1.145009877271, 0.028405093818}},
		{byWeek, []float64{0.504335969457, 0.212520551951, 0.059525342169, 0.949146596746, 1.144092774835, 0.028343538546}},
	} {
		l := straight(t, tt.x, scores, 1.3, 19)
		for i, got := range []float64{l.Slope.Value, l.Slope.SE, l.Slope.Lower, l.Slope.Upper, l.Residual, l.P} {
			numtest.Close(t, "lm", got, tt.want[i], 1e-10)
		}
		if l.Scatters || l.Slope.DF != 19 || l.Sessions != 6 {
			t.Errorf("%+v", l)
		}
	}
	// A missing session is left out: the line is that of the five others.
	y := append([]float64{50}, scores...)
	y[0] = missing
	l := straight(t, []float64{0, 1, 2, 3, 4, 5, 6}, y, 1.3, 19)
	numtest.Close(t, "without a session", l.Slope.Value, 0.737142857143, 1e-10)
}

// Sessions that scatter more than the noise study have lm's own interval and p. F's 90 %
// point on 4 and 19 df is 2.2663025675 (qf): 1.1450/1.1450 = 1 times √2.2663 apart.
func TestLineThatScatters(t *testing.T) {
	l := straight(t, bySession, scores, 0.5, 19)
	if !l.Scatters || l.Slope.DF != 4 {
		t.Fatalf("%+v", l)
	}
	numtest.Close(t, "lower", l.Slope.Lower, -0.022797134808, 1e-9)
	numtest.Close(t, "upper", l.Slope.Upper, 1.497082849094, 1e-9)
	numtest.Close(t, "p", l.P, 0.054479435168, 1e-9)
	edge := 1.145009877271 / math.Sqrt(2.2663025675)
	if straight(t, bySession, scores, edge*1.0001, 19).Scatters || !straight(t, bySession, scores, edge*0.9999, 19).Scatters {
		t.Error("the limit of F")
	}
}

func TestLinesRefused(t *testing.T) {
	if _, err := season.Straight(bySession[:4], []float64{1, 2, missing, 3}, 1, 9, 0.95); !errors.Is(err, season.ErrTooFew) {
		t.Error(err)
	}
	if _, err := season.Straight(make([]float64, 6), scores, 1, 9, 0.95); !errors.Is(err, season.ErrTimes) {
		t.Error(err)
	}
	if l := straight(t, bySession[:4], []float64{3, 3, 3, 3}, 0, 9); l.P != 1 || l.Slope.Value != 0 || l.Scatters {
		t.Errorf("nothing moves: %+v", l)
	}
	if l := straight(t, bySession[:4], []float64{1, 2, 3, 4}, 0, 9); l.P != 0 || l.Slope.Lower != 1 {
		t.Errorf("no error: %+v", l)
	}
}

// The interval holds the slope in 95 % of seasons, and a little more: the tenth of them
// whose own scatter is used, being large, has a wider one. By 1.96 for t it would hold it
// in about 93 %.
func TestLineCovers(t *testing.T) {
	const seasons = 12000
	for _, sessions := range []int{4, 8, 12} {
		rng := rand.New(rand.NewPCG(5, uint64(sessions)))
		held, scatters := 0.0, 0.0
		x := make([]float64, sessions)
		for i := range x {
			x[i] = float64(i)
		}
		for range seasons {
			y := normals(rng, sessions)
			for i := range y {
				y[i] += 0.3 * x[i]
			}
			l := straight(t, x, y, typical(rng, 11), 11)
			if !l.Slope.Excludes(0.3) {
				held += 1. / seasons
			}
			if l.Scatters {
				scatters += 1. / seasons
			}
		}
		t.Logf("%d sessions: %.2f %% held, %.2f %% scatter", sessions, 100*held, 100*scatters)
		if held < 0.95 || held > 0.967 || math.Abs(scatters-0.10) > 0.0096 {
			t.Errorf("%d sessions: %.2f %% held, %.2f %% scatter", sessions, 100*held, 100*scatters)
		}
	}
}

// Neighbouring residuals of independent noise: the expectation is R's (exactly -2/J for
// a line through even steps), the SD over 20,000 squads of 30 athletes 0.0559.
func TestWaves(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	for sessions, want := range map[int]float64{4: -0.5, 8: -0.25, 12: -1. / 6} {
		var lines []season.Line
		x := make([]float64, sessions)
		for i := range x {
			x[i] = float64(i)
		}
		for range 30 {
			lines = append(lines, straight(t, x, normals(rng, sessions), 1, 11))
		}
		lag, ok := season.Waves(lines)
		numtest.Close(t, "expected", lag.Expected, want, 1e-12)
		if !ok || math.Abs(lag.R-want) > 4*lag.SE || lag.Lines != 30 || lag.High() {
			t.Errorf("%d sessions: %+v", sessions, lag)
		}
		if sessions == 8 {
			numtest.Close(t, "SE", lag.SE, 0.05587, 0.03)
		}
	}
	// By hand:
	l := straight(t, bySession[:4], []float64{-1, 1, 1, -1}, 1, 11)
	lag, _ := season.Waves([]season.Line{l}) // no slope: residuals -1 1 1 -1, (-1 + 1 - 1)/4
	numtest.Close(t, "r", lag.R, -0.25, 1e-12)
	if _, ok := season.Waves(nil); ok {
		t.Error("waves of nobody")
	}
	if l, _ := season.Waves(waving(t)); !l.High() {
		t.Errorf("waves are not seen: %+v", l)
	}
}

// waving are seasons with a wave of twelve sessions.
func waving(t *testing.T) (lines []season.Line) {
	x := make([]float64, 12)
	for i := range x {
		x[i] = float64(i)
	}
	rng := rand.New(rand.NewPCG(8, 8))
	for range 10 {
		y := normals(rng, 12)
		for i := range y {
			y[i] += 2 * math.Sin(2*math.Pi*x[i]/12)
		}
		lines = append(lines, straight(t, x, y, 1, 11))
	}
	return lines
}
