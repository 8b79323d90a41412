package planning

import (
	"fmt"
	"math"

	"noisefloor/analysis/dist"
)

// A Change is the wish to see a mean change of one group with a power.
type Change struct {
	Effect float64 // the mean change to be seen
	SD     float64 // of the athletes' changes, in the same unit
	Power  float64 // with which it is to be seen
	Level  float64 // 1 - α, two-sided
}

// Plan returns the smallest n for which a paired t test sees the change,
//
//	power = P(|T| > t(1-α/2, n-1))    T noncentral t, δ = effect/SD √n, n-1 df
//
// The curve is the power.
func (p Change) Plan() (Plan, error) {
	if err := first(above("the effect", math.Abs(p.Effect)), above("the SD", p.SD), within("the power", p.Power, 0, 1),
		within("the level", p.Level, 0, 1)); err != nil {
		return Plan{}, err
	}
	return powered(2, p.Power, p.Seen)
}

// Seen is the power of n athletes.
func (p Change) Seen(n int) float64 {
	if n < 2 {
		return 0
	}
	return twoSided(math.Abs(p.Effect)/p.SD*math.Sqrt(float64(n)), float64(n-1), p.Level)
}

// twoSided is the power of a two-sided t test.
func twoSided(delta, df, level float64) float64 {
	t := dist.TQuantile((1+level)/2, df)
	return 1 - dist.NoncentralTCDF(t, df, delta) + dist.NoncentralTCDF(-t, df, delta)
}

// powered is the smallest n that reaches a power.
func powered(low int, power float64, seen func(int) float64) (Plan, error) {
	n, err := smallest(low, func(n int) bool { return seen(n) >= power })
	if err != nil {
		return Plan{}, err
	}
	out := Plan{Athletes: n, Reached: seen(n), Before: seen(n - 1)}
	for _, m := range around(low, n) {
		out.Curve = append(out.Curve, Point{float64(m), seen(m)})
	}
	return out, nil
}

// A Programme is the wish to see what a programme adds to a control group, by ANCOVA on the
// score before.
type Programme struct {
	Effect float64 // the adjusted difference to be seen
	SD     float64 // of the scores after, within an arm, in the same unit
	R      float64 // correlation of before and after, over the length of the programme
	Power  float64
	Level  float64
}

// Plan returns the smallest number of athletes in each of two arms for which ANCOVA sees
// the difference: noncentral t on 2n - 3 df with
//
//	δ = effect/SD √(n/2) / √(1 - r²) / √(1 + 1/(2n - 4))
//
// the last factor for the baselines of the arms differing by chance; one more in each arm
// for the robust standard error (HC2 on Bell & McCaffrey's df). The curve is the power.
//
// Source: Borm GF, Fransen J, Lemmens WA (2007), Journal of Clinical Epidemiology
// 60:1234-1238 (the factor 1 - r²; from memory).
func (p Programme) Plan() (Plan, error) {
	if err := first(above("the effect", math.Abs(p.Effect)), above("the SD", p.SD), within("the power", p.Power, 0, 1),
		within("the level", p.Level, 0, 1)); err != nil {
		return Plan{}, err
	}
	if !(p.R >= 0 && p.R < 1) {
		return Plan{}, fmt.Errorf("%w: r %g must lie from 0 to below 1", ErrGoal, p.R)
	}
	return powered(4, p.Power, p.Seen)
}

// Seen is the power of n athletes in each arm.
func (p Programme) Seen(n int) float64 {
	n-- // one more in each arm for HC2
	if n < 3 {
		return 0
	}
	m := float64(n)
	delta := math.Abs(p.Effect) / p.SD * math.Sqrt(m/2) / math.Sqrt(1-p.R*p.R) / math.Sqrt(1+1/(2*m-4))
	return twoSided(delta, 2*m-3, p.Level)
}

// LowerR is the lower one-sided limit of ICC(C,1) at a level, from the estimate, athletes
// and sessions of a noise study: what a short retest says of r over a programme is an upper
// bound, so its cautious end is planned with.
func LowerR(icc float64, athletes, sessions int, level float64) float64 {
	if athletes < 2 || sessions < 2 || !(icc < 1) {
		return math.NaN()
	}
	k := float64(sessions)
	f0 := (1 + (k-1)*icc) / (1 - icc)
	f := f0 / dist.FQuantile(level, float64(athletes-1), float64(athletes-1)*(k-1))
	return max(0, (f-1)/(f+k-1))
}

// Spread is how the power with which a true change of one athlete is seen hangs on the
// noise study that it is judged by: a study on df degrees of freedom finds a typical error
// of s = √(χ²/df) times the true one, and the change is seen with
//
//	P(|Z + δ| > t(1-α/2, df) s)
//
// Z normal and δ the change in true standard errors of a change. low and high are the
// powers at the quantiles (1+share)/2 and (1-share)/2 of s.
func Spread(change, df, level, share float64) (low, high float64) {
	t := dist.TQuantile((1+level)/2, df)
	at := func(p float64) float64 {
		s := math.Sqrt(dist.ChiSquareQuantile(p, df) / df)
		return 1 - dist.NormalCDF(t*s-change) + dist.NormalCDF(-t*s-change)
	}
	return at((1 + share) / 2), at((1 - share) / 2)
}
