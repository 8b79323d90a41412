package varcomp

import (
	"math"
	"slices"
)

// Components are what judging needs of a fit, in numbers that can be saved:
// three variances and how well they are known.
type Components struct {
	Athlete, AthleteSession, Trial float64 // NaN where Merged says that one is not known by itself

	// Covariance is the asymptotic covariance matrix of the three, in the order
	// above: twice the inverse of the REML information tr(P V_a P V_b) at the
	// estimates. Rows and columns of a component that is NaN, or known exactly, are 0.
	Covariance [3][3]float64

	Merged Merged
}

// Components returns the components with their covariance matrix.
func (r Result) Components() Components {
	c := Components{Athlete: r.Athlete.Value, AthleteSession: r.AthleteSession.Value, Trial: r.Trial.Value,
		Merged: r.Merged}
	if r.fit != nil {
		c.Covariance = r.fit.covariance()
	}
	return c
}

// Satterthwaite returns the value of a σ²a + as σ²as + e σ²e and its degrees of
// freedom; see [Components.Satterthwaite].
func (r Result) Satterthwaite(a, as, e float64) (value, df float64) {
	return r.Components().Satterthwaite(a, as, e)
}

// Satterthwaite returns the value of the combination
//
//	L = a σ²a + as σ²as + e σ²e    df = 2 L² / Var(L)
//
// and the degrees of freedom of the chi-square distribution that has its mean
// and variance, Var(L) from the covariance matrix. On a complete table the
// mean square MSE = t σ²as + σ²e has df = (n-1)(k-1), as it must.
//
// A component at 0 counts with its uncertainty, which lowers df.
//
// Special cases are:
//
//	both NaN                 if the combination takes merged components apart
//	df = NaN                 if L is 0
//	df = +Inf                if L is known exactly
//
// Source: Satterthwaite FE (1946). An approximate distribution of estimates of
// variance components. Biometrics Bulletin 2:110-114.
func (c Components) Satterthwaite(a, as, e float64) (value, df float64) {
	weight := [3]float64{a, as, e}
	switch {
	case c.Merged == WithTrial || c.Merged == NotInTheFit:
		if as != e {
			return math.NaN(), math.NaN()
		}
		weight[1] = 0
	case c.Merged == WithAthlete:
		if as != a {
			return math.NaN(), math.NaN()
		}
		weight[1] = 0
	}
	variance := 0.0
	for i, v := range [3]float64{c.Athlete, c.AthleteSession, c.Trial} {
		if weight[i] == 0 {
			continue
		}
		value += float64(weight[i] * v)
		for j, w := range weight {
			variance += float64(weight[i] * w * c.Covariance[i][j])
		}
	}
	if value == 0 {
		return 0, math.NaN()
	}
	return value, 2 * (value / math.Sqrt(variance)) * (value / math.Sqrt(variance))
}

// covariance inverts the information of the components in the fit.
func (f *fitted) covariance() (out [3][3]float64) {
	place := [3]int{trial: 2, session: 1, athlete: 0}
	unit := f.like.scale * f.like.scale
	if f.noResidual {
		v := f.best.v[athlete] * unit
		out[0][0] = 2 * v * v / f.levels.athlete
		return out
	}
	for c := range 3 {
		if !f.free[c] {
			continue
		}
		var one [3]float64
		one[c] = 1
		column, ok := solve3(f.info, one, f.free)
		for e := range 3 {
			if !ok {
				column[e] = math.NaN()
			}
			if f.free[e] {
				out[place[c]][place[e]] = 2 * column[e] * unit * unit
			}
		}
	}
	return out
}

// Change returns the estimated change of the mean from one session of the data
// to another and its standard error, both NaN unless both have a fixed mean.
func (r Result) Change(from, to int) (value, se float64) {
	i := slices.IndexFunc(r.Fixed, func(m Mean) bool { return m.Session == from })
	j := slices.IndexFunc(r.Fixed, func(m Mean) bool { return m.Session == to })
	if r.fit == nil || i < 0 || j < 0 {
		return math.NaN(), math.NaN()
	}
	return r.fit.change(i, j)
}

func (f *fitted) change(i, j int) (value, se float64) {
	s := f.like.design
	apart := s.offset[j] - s.offset[i]
	if f.noResidual {
		if f.levels.part[i] != f.levels.part[j] { // other athletes
			se = s.scale * math.Sqrt(f.best.v[athlete]*(1/f.levels.connected[i]+1/f.levels.connected[j]))
		}
		return apart + float64(s.scale*(f.levels.beta[j]-f.levels.beta[i])), se
	}
	contrast := make([]float64, s.means)
	contrast[j]++
	contrast[i]--
	contrast[0] = 0 // the column of ones is in both
	weight := f.best.m.solve(slices.Clone(contrast))
	return apart + float64(s.scale*(f.mean(j)-f.mean(i))), s.scale * math.Sqrt(dot(contrast, weight))
}
