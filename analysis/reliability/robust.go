package reliability

import (
	"cmp"
	"math"
	"slices"

	"noisefloor/analysis/bootstrap"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
)

// Tails say how far the errors of the session scores are from normal ones.
type Tails struct {
	Robust   estimate.Estimate // typical error that a few wild errors move little; bootstrap over athletes
	Kurtosis float64           // of the errors, n Σe⁴/(Σe²)²; near 3 for normal ones of many athletes
	P        float64           // of a kurtosis as large with normal errors, by simulation
	Errors   []ErrorQuantile   // in order: with two sessions one for each athlete, else all
}

// An ErrorQuantile is one error of a session score, in the unit of the scores, beside
// what is expected of one in its place were all normal with the typical error; of
// normal errors 95 in 100 lie between Lower and Upper, each judged on its own.
type ErrorQuantile struct {
	Athlete, Session              string
	Error, Expected, Lower, Upper float64
}

// tails fills Tails. Result.Tails is nil without error, or below MinAthletes.
func (r *Result) tails(s study, all []sessionError) {
	if r.Equal.Why != "" {
		return
	}
	null := nullOf(all)
	t := Tails{Kurtosis: tailOf(all), Errors: s.quantiles(all, r.TypicalError.Value)}
	t.P = null.beyond(null.tail, t.Kurtosis)
	t.Robust = robustError(s.all.Value, len(s.all.Sessions), s.shifts, r.Level, bootstrap.Options{Seed: s.options.Seed,
		Replicates: s.options.Replicates, Level: r.Level})
	r.Tails = &t
}

// quantiles are the errors in order, each over the root of its share of the variance,
// so that it is of the size of the error of one score. The i-th of m normal ones is
// expected at z((i - 3/8)/(m + 1/4)) (Blom 1958), and lies between the quantiles of
// beta(i, m+1-i).
func (s study) quantiles(all []sessionError, te float64) []ErrorQuantile {
	var out []ErrorQuantile
	k := len(s.all.Sessions)
	for i, e := range all {
		for j, v := range e.at {
			if e.df > 0 && !math.IsNaN(v) && (k > 2 || j == 1) {
				out = append(out, ErrorQuantile{Athlete: s.all.Athletes[i], Session: s.all.Sessions[j],
					Error: v / math.Sqrt(e.share*e.df/(e.df+1))})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b ErrorQuantile) int { return cmp.Compare(a.Error, b.Error) })
	m := float64(len(out))
	for i := range out {
		a := float64(i + 1)
		b := m + 1 - a
		out[i].Expected = te * dist.NormalQuantile((a-0.375)/(m+0.25))
		out[i].Lower = te * dist.NormalQuantile(dist.BetaQuantile(0.025, a, b))
		out[i].Upper = te * dist.NormalQuantile(dist.BetaQuantile(0.975, a, b))
	}
	return out
}

// winsorAt is the share of athletes that counts in full, were errors normal.
const winsorAt = 0.9

// robustError is a typical error that a few wild errors move little: Huber's proposal
// 2 with athletes as the units. With SS_i the sum of squares of athlete i about the
// medians of the sessions, on ν_i df, σ² solves
//
//	Σ min(SS_i/σ², c_i) = Σ E min(χ²_ν, c_i),   c_i the 0.9 quantile of χ²_ν
//
// times n/(n-1) for the medians taken out. It estimates the typical error where errors are
// normal. The interval is by the bootstrap over athletes, on the log: the quantiles of
// (log σ* - log σ)/SE*, SE from the influence of each athlete (bootstrap-t); above
// 2000 athletes it is the normal one with that SE.
//
// Sources: Huber (1964), Annals of Mathematical Statistics 35:73-101; Efron &
// Tibshirani (1993), An Introduction to the Bootstrap, ch. 12 (from memory).
func robustError(y []float64, k int, shift func() []float64, level float64, o bootstrap.Options) estimate.Estimate {
	u := robustUnits(y, k, shift())
	if len(u) < MinAthletes {
		return estimate.Bare(math.NaN(), estimate.TooFew)
	}
	all := make([]int, len(u))
	for i := range all {
		all[i] = i
	}
	variance, se := solveScale(u, all)
	if !(variance > 0) {
		return estimate.Bare(math.NaN(), estimate.NoVariation)
	}
	n := float64(len(u))
	sd := math.Sqrt(variance * n / (n - 1))
	e := estimate.Estimate{Value: sd, SE: sd * se, Level: level, Kind: LargeSample}
	low, high := -dist.NormalQuantile((1+level)/2), dist.NormalQuantile((1+level)/2)
	if len(u) <= largeStudy {
		e.Kind = estimate.BootstrapT
		t := bootstrap.Distribution(len(u), func(index []int) float64 {
			v, s := solveScale(u, index)
			return math.Log(v/variance) / 2 / s
		}, o)
		t = slices.DeleteFunc(t, func(v float64) bool { return math.IsNaN(v) || math.IsInf(v, 0) })
		if len(t) == 0 || 10*len(t) < 9*o.WithDefaults().Replicates {
			return estimate.Bare(sd, estimate.NoResample)
		}
		slices.Sort(t)
		at := func(p float64) float64 { return t[int(math.Round(p*float64(len(t)-1)))] }
		low, high = at((1-level)/2), at((1+level)/2)
	}
	e.Lower, e.Upper = sd*math.Exp(-high*se), sd*math.Exp(-low*se)
	return e
}

// A robustUnit is one athlete: SS, c and E min(χ²_ν, c).
type robustUnit struct{ ss, cut, expected float64 }

func robustUnits(y []float64, k int, shift []float64) []robustUnit {
	rows := sessionErrors(y, k, shift, 1)
	for range 2 { // medians of the sessions, then the athletes' means again
		for j := range k {
			var column []float64
			for _, e := range rows {
				if e.df > 0 && !math.IsNaN(e.at[j]) {
					column = append(column, e.at[j])
				}
			}
			if len(column) == 0 {
				continue
			}
			m := middle(column)
			for i := range rows {
				rows[i].at[j] -= m
			}
		}
	}
	var out []robustUnit
	for _, e := range rows {
		if e.df > 0 {
			c := dist.ChiSquareQuantile(winsorAt, e.df)
			// E min(χ²_ν, c) = ν P(χ²_{ν+2} <= c) + c P(χ²_ν > c)
			expected := float64(e.df*(1-dist.ChiSquareSurvival(c, e.df+2))) + float64(c*(1-winsorAt))
			out = append(out, robustUnit{squaresAbout(e.at), c, expected})
		}
	}
	return out
}

// squaresAbout is the sum of squares about the mean, NaN left out.
func squaresAbout(x []float64) (ss float64) {
	mean, n := 0.0, 0.0
	for _, v := range x {
		if !math.IsNaN(v) {
			mean, n = mean+v, n+1
		}
	}
	mean /= n
	for _, v := range x {
		if !math.IsNaN(v) {
			ss += float64((v - mean) * (v - mean))
		}
	}
	return ss
}

// solveScale is σ² and the standard error of log σ, from the influence of each unit.
func solveScale(u []robustUnit, index []int) (variance, se float64) {
	var ss, want float64
	for _, i := range index {
		ss, want = ss+u[i].ss, want+u[i].expected
	}
	variance = ss / want
	for range 200 {
		inside, cut := 0.0, 0.0
		for _, i := range index {
			if u[i].ss < u[i].cut*variance {
				inside += u[i].ss
			} else {
				cut += u[i].cut
			}
		}
		next := inside / (want - cut)
		if !(next > 0) || math.IsInf(next, 0) {
			return math.NaN(), math.NaN()
		}
		done := math.Abs(next-variance) <= 1e-12*variance
		variance = next
		if done {
			break
		}
	}
	var square, slope float64
	for _, i := range index {
		x := u[i].ss / variance
		psi := min(x, u[i].cut) - u[i].expected
		square += float64(psi * psi)
		if x < u[i].cut {
			slope += x
		}
	}
	return variance, math.Sqrt(square) / (2 * slope)
}
