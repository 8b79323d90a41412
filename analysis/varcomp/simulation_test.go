package varcomp_test

import (
	"math"
	"runtime"
	"slices"
	"testing"

	"noisefloor/analysis/cell"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/moment"
	"noisefloor/analysis/varcomp"
	"noisefloor/internal/numtest"
)

// band returns 4 standard errors of a coverage p seen in n studies.
func band(p float64, n int) float64 { return 4 * math.Sqrt(p*(1-p)/float64(n)) }

// REML recovers the truth without bias on uneven studies with missing sessions
// (the truth is far from the boundary), and the asymptotic covariance matrix is
// the spread over studies.
func TestRecoversTheTruth(t *testing.T) {
	s := study{athletes: 30, sessions: 3, trials: 4, a: 20, as: 8, e: 10, missed: 0.2, uneven: true, offset: 300}
	const n = 1500
	var values [3][]float64
	var claimed [3]float64
	for seed := range uint64(n) {
		r := fit(t, s.draw(seed), varcomp.Options{Limits: varcomp.NoLimits})
		c := r.Components()
		for i, v := range [3]float64{c.Athlete, c.AthleteSession, c.Trial} {
			values[i] = append(values[i], v)
			claimed[i] += c.Covariance[i][i] / n
		}
	}
	for i, want := range [3]float64{400, 64, 100} {
		mean, sd := moment.Mean(values[i]), moment.SD(values[i])
		if off := math.Abs(mean - want); off > 4*sd/math.Sqrt(n) {
			t.Errorf("component %d: mean %.2f of %d studies, true %g", i, mean, n, want)
		}
		// The matrix is taken at the estimates, so its mean is a little above.
		numtest.Close(t, "claimed SE", math.Sqrt(claimed[i]), sd, 0.1)
		t.Logf("component %d: mean %.2f (true %g), SD %.2f, claimed %.2f", i, mean, want, sd, math.Sqrt(claimed[i]))
	}
}

// 95 % profile limits hold the true SD in about 95 % of studies.
func TestProfileCoverage(t *testing.T) {
	numtest.Heavy(t)
	s := study{athletes: 20, sessions: 3, trials: 3, a: 20, as: 8, e: 10, missed: 0.15, uneven: true}
	const n = 600
	var held [3]int
	for seed := range uint64(n) {
		r := fit(t, s.draw(seed), varcomp.Options{})
		for i, c := range []struct {
			c    varcomp.Component
			true float64
		}{{r.Athlete, 20}, {r.AthleteSession, 8}, {r.Trial, 10}} {
			if c.c.SD.Lower <= c.true && c.true <= c.c.SD.Upper {
				held[i]++
			}
		}
	}
	for i, name := range []string{"athlete", "athlete×session", "trial"} {
		got := float64(held[i]) / n
		t.Logf("%s: %.1f %% of %d studies", name, 100*got, n)
		// Profile limits are approximate: a point of slack beside the noise.
		if math.Abs(got-0.95) > band(0.95, n)+0.01 {
			t.Errorf("%s: 95 %% limits held in %.1f %%", name, 100*got)
		}
	}
}

// The parametric bootstrap draws what drawing attempts and fitting gives: means
// and SDs of refits agree between Simulate and studies drawn attempt by attempt.
func TestSimulateDrawsStudies(t *testing.T) {
	numtest.Heavy(t)
	for _, s := range []study{
		{athletes: 40, sessions: 3, trials: 3, a: 20, as: 8, e: 10},                            // Bartlett
		{athletes: 12, sessions: 3, trials: 3, a: 20, as: 8, e: 10, missed: 0.3, uneven: true}, // singles
		{athletes: 60, sessions: 2, trials: 1, a: 20, as: 8, e: 6},                             // merged
	} {
		d := s.draw(77)
		r := fit(t, d, varcomp.Options{Limits: varcomp.NoLimits})
		const n = 3000
		draws := r.Simulate(n, 5)
		var got, want [3][]float64
		for b := range n {
			for i, v := range [3]float64{draws[b].Athlete, draws[b].AthleteSession, draws[b].Trial} {
				got[i] = append(got[i], v)
			}
			again := fit(t, redrawn(d, r, uint64(b)), varcomp.Options{Limits: varcomp.NoLimits})
			for i, c := range [3]varcomp.Component{again.Athlete, again.AthleteSession, again.Trial} {
				want[i] = append(want[i], c.Value)
			}
		}
		for i := range got {
			if math.IsNaN(want[i][0]) {
				if !math.IsNaN(got[i][0]) {
					t.Errorf("component %d was drawn though it is not in the fit", i)
				}
				continue
			}
			sd := moment.SD(want[i])
			numtest.CloseAbs(t, "mean of draws", moment.Mean(got[i]), moment.Mean(want[i]), 5*sd*math.Sqrt(2.0/n))
			numtest.Close(t, "SD of draws", moment.SD(got[i]), sd, 0.12)
		}
	}
}

// redrawn draws attempts from the fit for the design of d.
func redrawn(d cell.Values, r varcomp.Result, seed uint64) cell.Values {
	as := r.AthleteSession.Value
	if math.IsNaN(as) {
		as = 0
	}
	out := cell.Values{Athletes: d.Athletes, Sessions: d.Sessions, Athlete: d.Athlete, Session: d.Session}
	s := study{athletes: d.Athletes, sessions: d.Sessions, trials: 1, a: 1, as: 0, e: 0}
	levels, days := s.draw(seed*3+1), study{athletes: d.Athletes, sessions: d.Sessions, trials: 1, e: 1}.draw(seed*3+2)
	errs := study{athletes: len(d.Value), sessions: 1, trials: 1, e: 1}.draw(seed*3 + 3)
	for i := range d.Value {
		a, c := int(d.Athlete[i]), int(d.Athlete[i])*d.Sessions+int(d.Session[i])
		out.Value = append(out.Value, math.Sqrt(r.Athlete.Value)*levels.Value[a*d.Sessions]+
			math.Sqrt(as)*(days.Value[c]-float64(d.Session[i]))+math.Sqrt(r.Trial.Value)*errs.Value[i])
	}
	return out
}

func TestSimulateIsDeterministic(t *testing.T) {
	r := fit(t, study{athletes: 25, sessions: 3, trials: 3, a: 20, as: 8, e: 10, missed: 0.2, uneven: true}.draw(1),
		varcomp.Options{})
	long := r.Simulate(200, 42)
	before := runtime.GOMAXPROCS(1)
	one := r.Simulate(200, 42)
	runtime.GOMAXPROCS(before)
	if !slices.Equal(long, one) || !slices.Equal(long[:50], r.Simulate(50, 42)) {
		t.Error("draws depend on the number of cores or of draws")
	}
	if slices.Equal(long, r.Simulate(200, 43)) || long[0] == long[1] {
		t.Error("draws do not depend on the seed or the replicate")
	}
	if r.Simulate(0, 1) != nil || (varcomp.Result{}).Simulate(3, 1) != nil {
		t.Error("draws of nothing")
	}
}

// On a complete table the within-cell variance is σ²e χ²/df exactly, so its
// bootstrap limits are known: the percentiles of that distribution.
func TestBootstrapLimits(t *testing.T) {
	d := study{athletes: 15, sessions: 2, trials: 3, a: 20, as: 15, e: 10}.draw(2)
	o := varcomp.Options{Limits: varcomp.Bootstrap, Replicates: 20000, Seed: 3, Level: 0.9}
	r := fit(t, d, o)
	df := 60.0
	numtest.Close(t, "lower", r.Trial.SD.Lower, r.Trial.SD.Value*math.Sqrt(dist.ChiSquareQuantile(0.05, df)/df), 0.01)
	numtest.Close(t, "upper", r.Trial.SD.Upper, r.Trial.SD.Value*math.Sqrt(dist.ChiSquareQuantile(0.95, df)/df), 0.01)
	numtest.Close(t, "variance, upper", r.Trial.Upper, r.Trial.SD.Upper*r.Trial.SD.Upper, 1e-15)
	if want := estimate.ParametricQuantile; r.Athlete.Kind != want || r.Athlete.SD.Kind != want {
		t.Errorf("limits by %q, want %q", r.Athlete.Kind, want)
	}
	if !(r.Athlete.SD.Lower < r.Athlete.SD.Value && r.Athlete.SD.Value < r.Athlete.SD.Upper) {
		t.Errorf("athlete %+v", r.Athlete.SD)
	}
	again := fit(t, d, o)
	if again.Athlete != r.Athlete {
		t.Error("the bootstrap is not reproducible")
	}
	merged := fit(t, study{athletes: 15, sessions: 3, trials: 1, a: 5, as: 2, e: 3}.draw(3),
		varcomp.Options{Limits: varcomp.Bootstrap, Replicates: 200})
	if merged.AthleteSession.HasInterval() || !merged.Trial.HasInterval() {
		t.Errorf("merged: %+v, %+v", merged.AthleteSession, merged.Trial)
	}
}
