package reliability

import (
	"math"
	"testing"

	"noisefloor/analysis/bootstrap"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
)

// limma 3.54.1, squeezeVar of these variances on 2 and on 10 df, and of variances no
// wider apart than chance: testdata/oracle/one_noise.R.
func TestModeratedAgainstLimma(t *testing.T) {
	s2 := []float64{1, 2, 3, 4, 30, 0.5, 9, 1.5}
	for d, want := range map[float64][]float64{
		2: {110.3568668402713797, 5.0999258415184876, 5.0269454183931792, 5.0447458435584984, 5.0625462687238176,
			5.0803466938891368, 5.5431577481874399, 5.0180452058105196, 5.1693488197157338, 5.0358456309758388},
		10: {2.19081116432723144, 1.90205510145667112, 1.16210835853913186, 1.98239831834607338, 2.80268827815301513,
			3.62297823795995688, 24.95051719294044190, 0.75196337863566098, 7.72442803699466474, 1.57225333844260273},
	} {
		all := make([]sessionError, len(s2))
		for i, v := range s2 {
			all[i] = sessionError{ss: v * d, df: d, share: 1}
		}
		var q EqualNoise
		own := q.moderated(make([]string, len(s2)), all, 1000)
		numtest.Close(t, "prior df", q.PriorDF, want[0], 1e-8)
		numtest.Close(t, "prior variance", q.PriorSD*q.PriorSD, want[1], 1e-10)
		for i, o := range own {
			numtest.Close(t, "moderated", o.TypicalError*o.TypicalError, want[2+i], 1e-10)
			numtest.Close(t, "df", o.DF, q.PriorDF+d, 1e-14)
		}
		if capped := q.moderated(make([]string, len(s2)), all, 11); capped[0].DF != 11 {
			t.Errorf("df %g of 11 in all", capped[0].DF)
		}
	}
	if d0, s0 := prior([]float64{3, 2, 2.5, 3.2, 2.8}, []float64{3, 3, 3, 3, 3}); !math.IsInf(d0, 1) ||
		math.Abs(s0-2.7) > 1e-14 {
		t.Errorf("prior %g, %g", d0, s0)
	}
}

// ψ'(1) = π²/6, ψ'(1/2) = π²/2, ψ'(2) = π²/6 - 1 (exact).
func TestInverseTrigamma(t *testing.T) {
	for x, y := range map[float64]float64{1: math.Pi * math.Pi / 6, 0.5: math.Pi * math.Pi / 2, 2: math.Pi*math.Pi/6 - 1} {
		numtest.Close(t, "inverse", inverseTrigamma(y), x, 1e-12)
	}
}

// Two athletes of 1 and 3 about a mean of nothing, by hand: SS 2 and 18 on 1 df each,
// s² = 10, T = (0.2 - 1)² + (1.8 - 1)² = 1.28; kurtosis 4·(2·1 + 2·81)/(2 + 18)² = 1.64.
func TestSpreadAndTailByHand(t *testing.T) {
	all := []sessionError{{at: []float64{-1, 1}, ss: 2, df: 1}, {at: []float64{3, -3}, ss: 18, df: 1}}
	numtest.Close(t, "T", spreadOf(all), 1.28, 1e-14)
	numtest.Close(t, "kurtosis", tailOf(all), 1.64, 1e-14)
}

// Huber's proposal 2 by hand: no SS is cut when all are alike, so that σ² is ΣSS over
// ΣE; with one wild athlete of five (c = 2.705543, the 0.9 quantile of χ² on 1 df in any
// table; E = 1 - 2cφ(√c)/√c + ... = P(χ²_3 <= c) + 0.1c) it is 4·SS/(5E - c).
func TestRobustByHand(t *testing.T) {
	const c = 2.705543454095404
	z := math.Sqrt(c)
	p3 := math.Erf(z/math.Sqrt2) - math.Sqrt(2/math.Pi)*z*math.Exp(-c/2) // χ² on 3 df, closed form
	e := p3 + 0.1*c
	units := robustUnits([]float64{0, 2, 0, -2, 0, 2, 0, -2, 0, 0}, 2, []float64{0, 0})
	numtest.Close(t, "cut", units[0].cut, c, 1e-12)
	numtest.Close(t, "expected", units[0].expected, e, 1e-12)
	for i := range units {
		units[i].ss = 2
	}
	all := []int{0, 1, 2, 3, 4}
	v, _ := solveScale(units, all)
	numtest.Close(t, "alike", v, 2/e, 1e-10)
	units[4].ss = 1e6
	v, _ = solveScale(units, all)
	numtest.Close(t, "one wild", v, 8/(5*e-c), 1e-10)
}

// A wild day of one athlete moves the typical error by far, the robust one by little.
func TestRobustHoldsStill(t *testing.T) {
	y := []float64{10, 11, 20, 19, 30, 32, 40, 39, 50, 51, 60, 58, 70, 71, 80, 80, 90, 91, 15, 14}
	shift := func() []float64 { return []float64{0, 0} }
	o := bootstrap.Options{Replicates: 400, Seed: 1, Level: 0.95}
	calm := robustError(y, 2, shift, 0.95, o)
	y[1] = 60
	wild := robustError(y, 2, shift, 0.95, o)
	if !(wild.Value < 1.5*calm.Value) || !wild.HasInterval() || !(wild.Lower < wild.Value && wild.Value < wild.Upper) {
		t.Errorf("calm %+v, wild %+v", calm, wild)
	}
}

// Own variances that follow the mean exactly: the slope and the power that evens them,
// on both scales.
func TestGrowthByHand(t *testing.T) {
	var own []ownVariance
	var x []float64
	for i := range 6 {
		m := float64(1 + i)
		x = append(x, math.Log(m))
		wobble := []float64{1.1, 0.9, 1, 1, 0.9, 1.1}[i]
		own = append(own, ownVariance{i, 0, 3 * m * m * wobble, 1}, ownVariance{i, 1, 5 * m * m * wobble, 4})
	}
	// lm(log(m^2*w) ~ log(m)): the wobble is even about the middle only roughly, so by the
	// normal equations from the numbers themselves.
	var mx, my, sxx, sxy float64
	for i := range x {
		mx, my = mx+x[i]/6, my+math.Log(own[2*i].variance)/6
	}
	for i := range x {
		sxx += (x[i] - mx) * (x[i] - mx)
		sxy += (x[i] - mx) * (math.Log(own[2*i].variance) - my)
	}
	g := growth(own, x, false, 0.95)
	numtest.Close(t, "slope", g.Slope.Value, sxy/sxx, 1e-12)
	numtest.Close(t, "power", g.Power, 1-sxy/sxx/2, 1e-12)
	if g.Athletes != 6 || g.Parts != 2 || g.Slope.DF != 4 ||
		g.Slope.Excludes(2) || g.advice(score.Raw, true) != "error-grows" {
		t.Errorf("%+v: %s", g, g.advice(score.Raw, true))
	}
	numtest.Close(t, "power on logs", growth(own, x, true, 0.95).Power, -sxy/sxx/2, 1e-12)
	own[0].variance, own[1].variance = 0, 0
	if g := growth(own, x, false, 0.95); g.Slope.HasInterval() || g.Slope.Kind != "no-variation" {
		t.Errorf("rounded scores: %+v", g.Slope)
	}
	x[3] = math.NaN()
	own[0].variance, own[1].variance = 1, 1
	if g := growth(own, x, false, 0.95); g.Slope.Kind != "not-positive" {
		t.Errorf("a mean below 0: %+v", g.Slope)
	}
}

// The advice from the interval of the slope.
func TestAdvice(t *testing.T) {
	for _, tt := range []struct {
		value, lower, upper float64
		scale               score.Scale
		positive            bool
		want                string
	}{
		{1, -1, 3, score.Raw, true, ""}, {2, 1, 3, score.Raw, true, "error-grows"},
		{2, 1, 3, score.Raw, false, "error-grows-no-log"}, {3, 2.5, 3.5, score.Raw, true, "error-grows-on-log"},
		{1.2, 0.5, 1.9, score.Raw, true, "error-grows-on-log"}, {0.8, 0.1, 1.5, score.Raw, true, "error-grows-partly"},
		{-1, -2, -0.1, score.Raw, true, "error-shrinks"}, {1, 0.2, 1.8, score.Log, true, "log-not-enough"},
		{-1, -2, -0.2, score.Log, true, "log-too-much"},
	} {
		g := Growth{}
		g.Slope.Value, g.Slope.Lower, g.Slope.Upper = tt.value, tt.lower, tt.upper
		if got := g.advice(tt.scale, tt.positive); string(got) != tt.want {
			t.Errorf("%+v: %q", tt, got)
		}
	}
}

// With sessions that do not differ and many of them the agreement error is the typical
// error, and so are its limits: chi-square's, R's sqrt(19/qchisq(c(.975, .025), 19)).
func TestAgreementErrorOfLikeSessions(t *testing.T) {
	s := squares{n: 1e9, k: 2, sessions: 1, error: 1, df2: 19}
	e := s.agreementError(0.95)
	numtest.Close(t, "value", e.Value, 1, 1e-14)
	numtest.Close(t, "lower", e.Lower, 0.7604874, 2e-3)
	numtest.Close(t, "upper", e.Upper, 1.4605839, 2e-3)
	if bare := (squares{n: 9, k: 2, sessions: 4}).agreementError(0.95); bare.HasInterval() ||
		math.Abs(bare.Value-2.0/3) > 1e-14 {
		t.Errorf("without error: %+v", bare)
	}
}
