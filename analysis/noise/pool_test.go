package noise_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/score"
	"noisefloor/analysis/varcomp"
	"noisefloor/internal/numtest"
)

func ofDifferences(d []float64) noise.Model {
	return noise.Model{Measure: "jump", TypicalError: math.Sqrt(stat.Variance(d, nil) / 2), DF: float64(len(d) - 1),
		Athletes: len(d), Sessions: []string{"1", "2"}, Source: "s"}
}

// Pooling studies of two sessions is the residual error of their differences with a
// mean for each study: R 4.x, sqrt(deviance(m)/df.residual(m)/2) for m <- lm(d ~ study),
// and var.test, bartlett.test of the differences, recorded with 17 digits.
func TestPoolAgainstR(t *testing.T) {
	a := ofDifferences([]float64{1.2, 2.4, 1.3, 1.3, 0, 1, 1.8, .8, 4.6, 1.4})
	b := ofDifferences([]float64{2, -1, 3, .5, 1.5, -2, 0})
	c := ofDifferences([]float64{1, 4, 2, -3, 0, 5})
	three, err := noise.Pool([]noise.Model{a, b, c})
	if err != nil {
		t.Fatal(err)
	}
	numtest.Close(t, "three", three.TypicalError, 1.3539782652824022, 1e-13)
	numtest.Close(t, "Bartlett", three.Agree.Statistic, 4.6809472892632442, 1e-12)
	numtest.Close(t, "its p", three.Agree.P, 0.096282023965097024, 1e-12)
	two, err := noise.Pool([]noise.Model{a, b})
	if err != nil {
		t.Fatal(err)
	}
	numtest.Close(t, "two", two.TypicalError, 1.0300531655257041, 1e-13)
	numtest.Close(t, "its F", two.Agree.Statistic, 2.0065679033070341, 1e-12)
	numtest.Close(t, "its p", two.Agree.P, 0.3340693874598108, 1e-12)
	if three.DF != 20 || two.DF != 15 || two.Athletes != 17 || two.Agree.Method != "F ratio" ||
		three.Agree.Method != "Bartlett" || len(three.Studies) != 3 || three.Source != "s and s and s, together" {
		t.Errorf("%+v\n%+v", two, three)
	}
}

// By hand: 3 on 9 df and 5 on 16 df: TE² = (9·9 + 16·25)/25 = 19.24. Means 100 of 10 and
// 112 of 20 athletes: 108. SD 4 and 6 on 9 and 19: (9·16 + 19·36)/28 = 828/28. Worthwhile
// 1 and 2: (9 + 76)/28. Gaps 7 and 14 days: 11.48. Components: 9/25 and 16/25 of each, their
// covariance by the squares.
func TestPoolByHand(t *testing.T) {
	gap := func(x float64) *float64 { return &x }
	a := noise.Model{Measure: "jump", Unit: "cm", TypicalError: 3, DF: 9, Athletes: 10, Sessions: []string{"1", "2"},
		Summary: score.Mean, Trials: 3, Mean: 100, TrueSD: 4, Worthwhile: 1, WorthwhileBasis: "true-sd", GapDays: gap(7),
		Components: &varcomp.Components{Athlete: 16, AthleteSession: 6, Trial: 9,
			Covariance: [3][3]float64{{1, 0, 0}, {0, 2, -1}, {0, -1, 3}}},
		Shifts: []noise.Shift{{From: "1", To: "2"}}, Prints: &noise.Prints{}}
	b := a.Clone()
	b.TypicalError, b.DF, b.Athletes, b.Mean, b.TrueSD, b.Worthwhile, b.GapDays = 5, 16, 20, 112, 6, 2, gap(14)
	b.Components.AthleteSession, b.Components.Trial = 22, 9
	m, err := noise.Pool([]noise.Model{a, b})
	if err != nil {
		t.Fatal(err)
	}
	for what, x := range map[string][2]float64{
		"typical error": {m.TypicalError * m.TypicalError, 19.24}, "df": {m.DF, 25}, "mean": {m.Mean, 108},
		"SD": {m.TrueSD * m.TrueSD, 828.0 / 28}, "worthwhile": {m.Worthwhile * m.Worthwhile, 85.0 / 28},
		"ICC": {m.ICC, 828.0 / 28 / (828.0/28 + 19.24)}, "gap": {*m.GapDays, 11.48}, "trials": {m.Trials, 3},
		"day to day":         {m.Components.AthleteSession, (9*6.0 + 16*22) / 25},
		"attempts":           {m.Components.Trial, 9},
		"of the components":  {m.Components.AthleteSession + m.Components.Trial/3, 19.24},
		"variance":           {m.Components.Covariance[1][1], 2 * (81.0 + 256) / 625},
		"covariance":         {m.Components.Covariance[1][2], -(81.0 + 256) / 625},
		"ICC of the mean":    {bit(math.IsNaN(m.ICCK)), 1},
		"shifts and prints":  {bit(m.Shifts == nil && m.Prints == nil), 1},
		"sessions, unit":     {bit(strings.Join(m.Sessions, "") == "12" && m.Unit == "cm"), 1},
		"summary, attempts":  {bit(m.Summary == score.Mean), 1},
		"basis":              {bit(m.WorthwhileBasis == "true-sd"), 1},
		"the scale is named": {bit(m.Scale == score.Raw), 1},
	} {
		numtest.Close(t, what, x[0], x[1], 1e-13)
	}

	one, err := noise.Pool([]noise.Model{a})
	if err != nil || one.Agree != nil || one.Shifts == nil || one.TypicalError != 3 {
		t.Errorf("one study came back as %+v, %v", one, err)
	}
	// What one study lacks, the pooled noise lacks.
	b.Components, b.GapDays, b.Worthwhile, b.Athletes, b.Sessions = nil, nil, 0, 0, []string{"pre", "post"}
	m, err = noise.Pool([]noise.Model{a, b})
	if err != nil || m.Components != nil || m.GapDays != nil || m.Worthwhile != 0 || !math.IsNaN(m.Mean) ||
		!math.IsNaN(m.ICC) || m.Sessions != nil {
		t.Errorf("%+v, %v", m, err)
	}
}

func bit(is bool) float64 {
	if is {
		return 1
	}
	return 0
}

func TestPoolRefuses(t *testing.T) {
	a := noise.Model{Measure: "jump", Unit: "W", Scale: score.Raw, TypicalError: 3, DF: 9, Summary: score.Mean, Trials: 3,
		Source: "a.json"}
	for want, change := range map[string]func(*noise.Model){
		"the scale is raw in a.json and log": func(m *noise.Model) { m.Scale = score.Log },
		"the unit is W in a.json and kW":     func(m *noise.Model) { m.Unit = "kW" },
		"the summary of the attempts is":     func(m *noise.Model) { m.Summary = score.Best },
		"behind a score is 3 in a.json and 5": func(m *noise.Model) {
			m.Trials = 5
		},
		"not above 0":  func(m *noise.Model) { m.TypicalError = 0 },
		"how well its": func(m *noise.Model) { m.DF = noise.Exact },
	} {
		b := a
		change(&b)
		b.Source = "b.json"
		if _, err := noise.Pool([]noise.Model{a, b}); !errors.Is(err, noise.ErrPool) || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
	b := a
	b.Trials, b.Unit, b.Summary = 2.95, "", ""
	if _, err := noise.Pool([]noise.Model{a, b}); err != nil {
		t.Errorf("a few attempts less: %v", err)
	}
	if _, err := noise.Pool(nil); !errors.Is(err, noise.ErrPool) {
		t.Errorf("of nothing: %v", err)
	}
}

// By hand: 2 on 9 df and 5 on 18 df is 4 on 27; a test that one study lacks is left out,
// and what one study does not know is not known.
func TestPoolTogether(t *testing.T) {
	a := noise.Together{Kind: "scores", Of: []string{"l", "r", "x"}, Covariance: [][]float64{{1, 2, 0}, {2, 1, 0}, {0, 0, 1}},
		DF: [][]float64{{9, 9, 9}, {9, 9, 9}, {9, 9, 9}}}
	b := noise.Together{Kind: "scores", Of: []string{"r", "l"}, Covariance: [][]float64{{1, 5}, {5, math.NaN()}},
		DF: [][]float64{{18, 18}, {18, 0}}}
	p := noise.PoolTogether([]noise.Together{a, b})
	s, df, ok := p.At("l", "r")
	if _, _, known := p.At("l", "l"); s != 4 || df != 27 || !ok || known || len(p.Of) != 2 {
		t.Errorf("%+v", p)
	}
}

// ln 1.032 = 0.031498667059371 (bc -l), and 100(exp(TE) - 1) is 3.2 again.
func TestGiven(t *testing.T) {
	m := noise.Given("throw", "m/s", 3.2, true, 19, "club manual 2024")
	numtest.Close(t, "typical error", m.TypicalError, 0.031498667059371, 1e-12)
	numtest.Close(t, "percent", 100*math.Expm1(m.TypicalError), 3.2, 1e-13)
	if m.Scale != score.Log || m.DF != 19 || m.Source != "typical error given, df 19, club manual 2024" || !m.DFKnown() {
		t.Errorf("%+v", m)
	}
	m = noise.Given("press", "W", 45, false, 0, "")
	if m.Scale != score.Raw || m.TypicalError != 45 || m.DFKnown() || m.Source != "typical error given, df not said" ||
		!math.IsNaN(m.Mean) || !math.IsNaN(m.ICC) || m.Worthwhile != 0 || m.Components != nil {
		t.Errorf("%+v", m)
	}
}

// By hand: of 11 and 21 athletes, 10 and 20 df between them: limits of w are the roots of
// (10·1² + 20·2²)/30 = 3 and (10·3² + 20·6²)/30 = 27; the SD of an attempt of 7 and 14 df
// the root of (7·2² + 14·5²)/21 = 18. What one study doubts of its scale stands.
func TestPoolKeepsLimitsAndDoubts(t *testing.T) {
	a := noise.Model{Measure: "m", TypicalError: 1, DF: 7, Athletes: 11, Worthwhile: 2, WorthwhileLower: 1,
		WorthwhileUpper: 3, WorthwhileBasis: "b", TrialSD: 2, Source: "a", EqualP: 0.01}
	b := noise.Model{Measure: "m", TypicalError: 1, DF: 14, Athletes: 21, Worthwhile: 4, WorthwhileLower: 2,
		WorthwhileUpper: 6, WorthwhileBasis: "b", TrialSD: 5, Source: "b", ScaleAdvice: "error-grows"}
	m, err := noise.Pool([]noise.Model{a, b})
	if err != nil {
		t.Fatal(err)
	}
	numtest.Close(t, "lower", m.WorthwhileLower, math.Sqrt(3), 1e-14)
	numtest.Close(t, "upper", m.WorthwhileUpper, math.Sqrt(27), 1e-14)
	numtest.Close(t, "SD of an attempt", m.TrialSD, math.Sqrt(18), 1e-14)
	if m.ScaleAdvice != "error-grows" || m.EqualP != 0 {
		t.Errorf("advice %q, p %g", m.ScaleAdvice, m.EqualP)
	}
	b.WorthwhileLower, b.WorthwhileUpper, b.TrialSD = 0, 0, 0
	if m, err = noise.Pool([]noise.Model{a, b}); err != nil || m.WorthwhileUpper != 0 || m.TrialSD != 0 {
		t.Errorf("limits up to %g, attempts %g, %v", m.WorthwhileUpper, m.TrialSD, err)
	}
}
