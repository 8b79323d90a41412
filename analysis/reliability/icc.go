package reliability

import (
	"math"

	"noisefloor/analysis/anova"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
)

// FromANOVA returns the six intraclass correlations of a complete table of n
// athletes (rows) by k sessions (columns), in the order of Result.ICC,
//
//	1    (MSR-MSW)/(MSR+(k-1)MSW)                    k    (MSR-MSW)/MSR
//	A,1  (MSR-MSE)/(MSR+(k-1)MSE+(k/n)(MSC-MSE))     A,k  (MSR-MSE)/(MSR+(MSC-MSE)/n)
//	C,1  (MSR-MSE)/(MSR+(k-1)MSE)                    C,k  (MSR-MSE)/MSR
//
// with limits at the level given (0 < level < 1): exact F for the forms 1, k and C,
// generalized intervals for the forms A, with those by Satterthwaite's F beside
// them. A negative estimate stays negative.
// The results have no unit and do not change when the data are shifted or
// scaled.
//
// Special cases are:
//
//	no variation at all          every form NaN, with the reason
//	MSR = 0                      the forms k, A,k and C,k NaN, the others without limits
//	MSE = 0 (or MSW = 0)         the forms that need it are 1, without limits; F is +Inf
//	MSR+(MSC-MSE)/n <= 0         ICC(A,k) has left (-Inf, 1] or is NaN; no limits
//	F1(MSC-MSE)+n MSR <= 0       the lower limit of ICC(A,k) is -Inf
//
// A mean square that rounding alone can explain counts as 0.
//
// Sources: McGraw & Wong (1996), Psychological Methods 1, 30-46, tables 4 and
// 7, with the correction in 1(4), 390; Shrout & Fleiss (1979), Psychological
// Bulletin 86, 420-428.
func FromANOVA(a anova.TwoWay, level float64) []ICC { return fromANOVA(a, level, false) }

// fromANOVA leaves the generalized intervals out where lean.
func fromANOVA(a anova.TwoWay, level float64, lean bool) []ICC {
	a = withoutRounding(a)
	oneWay := ratio{sf: "1", k: a.K,
		rows: a.MSR, error: a.MSW, df1: a.DFRows, df2: a.DFWithin, level: level}
	consistency := ratio{sf: "3", k: a.K,
		rows: a.MSR, error: a.MSE, df1: a.DFRows, df2: a.DFError, level: level}
	agree := agreementICC(a, consistency, lean)
	return []ICC{
		oneWay.single("1"), oneWay.average("k"),
		agree[0], agree[1],
		consistency.single("C,1"), consistency.average("C,k"),
	}
}

// A ratio is an intraclass correlation that is a function of one F alone.
type ratio struct {
	sf              string
	k               int
	rows, error     float64 // mean squares
	df1, df2, level float64
}

// single is (F-1)/(F+k-1).
func (r ratio) single(form string) ICC {
	k := float64(r.k)
	value := (r.rows - r.error) / (r.rows + float64((k-1)*r.error))
	return r.icc(form, "1", value, func(f float64) float64 { return (f - 1) / (f + k - 1) })
}

// average is 1 - 1/F.
func (r ratio) average(form string) ICC {
	icc := r.icc(form, "k", (r.rows-r.error)/r.rows,
		func(f float64) float64 { return 1 - 1/f })
	if r.rows == 0 {
		icc.Value.Value = math.NaN()
	}
	return icc
}

// icc fills everything but the limits of the forms A. With q = (1+level)/2 the
// limits are g(F/Fq(df1, df2)) and g(F Fq(df2, df1)).
func (r ratio) icc(form, sfUnit string, value float64, g func(f float64) float64) ICC {
	f := r.rows / r.error
	out := ICC{Form: form, ShroutFleiss: r.sf + "," + sfUnit,
		F: f, DF1: r.df1, DF2: r.df2, P: dist.FSurvival(f, r.df1, r.df2)}
	q := (1 + r.level) / 2
	switch {
	case r.rows == 0 && r.error == 0:
		out.Value = estimate.Bare(math.NaN(), estimate.NoVariation)
		out.P = math.NaN()
	case r.error == 0:
		out.Value = estimate.Bare(1, estimate.NoError)
		out.P = 0
	case r.rows == 0:
		out.Value = estimate.Bare(value, estimate.NoVariation)
	default:
		out.Value = estimate.Estimate{Value: value, Level: r.level, Kind: estimate.ExactF,
			Lower: g(f / dist.FQuantile(q, r.df1, r.df2)), Upper: g(f * dist.FQuantile(q, r.df2, r.df1))}
	}
	return out
}

// agreementICC returns the forms A,1 and A,k. F tests zero as in the forms C.
func agreementICC(a anova.TwoWay, c ratio, lean bool) [2]ICC {
	c.sf = "2"
	one, mean := c.single("A,1"), c.average("A,k")
	n, k := float64(a.N), float64(a.K)
	shift := a.MSC - a.MSE
	oneValue := (a.MSR - a.MSE) / (a.MSR + float64((k-1)*a.MSE) + k/n*shift)
	meanValue := (a.MSR - a.MSE) / (a.MSR + shift/n)
	switch {
	case a.MSR == 0 && a.MSW == 0: // nothing varies: as in the forms C
	case a.MSR == 0 && a.MSE == 0: // only the sessions differ
		one.Value = estimate.Bare(0, estimate.NoVariation)
	case a.MSR == 0:
		one.Value = estimate.Bare(oneValue, estimate.NoVariation)
	case a.MSW == 0:
	default:
		s := squares{n: n, k: k, rows: a.MSR, sessions: a.MSC, error: a.MSE, df1: n - 1, df2: (n - 1) * (k - 1)}
		one, mean = s.intervals(one, mean, oneValue, meanValue, c.level, lean)
	}
	return [2]ICC{one, mean}
}

// squares are the mean squares of n athletes in k sessions, with the degrees of
// freedom of the athletes and of the residual.
type squares struct {
	n, k                  float64
	rows, sessions, error float64
	df1, df2              float64
}

// intervals gives the forms A both of their intervals.
func (s squares) intervals(one, mean ICC, oneValue, meanValue, level float64, lean bool) (single, average ICC) {
	a, b := satterthwaite(s, oneValue, meanValue, level)
	one.Satterthwaite, mean.Satterthwaite = &a, &b
	one.Value, mean.Value = estimate.Bare(a.Value, estimate.None), estimate.Bare(b.Value, estimate.None)
	if lean {
		return one, mean
	}
	one.Value, mean.Value = s.generalized(a.Value, b.Value, level)
	return one, mean
}

// satterthwaite gives ICC(A,1) and ICC(A,k) their limits. The sum a MSC + b MSE
// is taken as a chi-square with v degrees of freedom, where
//
//	a = k rho/(n(1-rho)),  b = 1 + k rho (n-1)/(n(1-rho)),  rho = ICC(A,1).
func satterthwaite(s squares, one, mean, level float64) (single, average estimate.Estimate) {
	v := s.satterthwaiteDF(one)
	f1 := dist.FQuantile((1+level)/2, s.df1, v)
	f2 := dist.FQuantile((1+level)/2, v, s.df1)

	rest := float64(s.k*s.sessions) + float64((s.k*s.n-s.k-s.n)*s.error)
	low := s.n * (s.rows - float64(f1*s.error))
	high := s.n * (float64(f2*s.rows) - s.error)
	single = estimate.Estimate{Value: one, DF: v, Level: level, Kind: estimate.Satterthwaite,
		Lower: low / (float64(f1*rest) + float64(s.n*s.rows)), Upper: high / (rest + float64(s.n*f2*s.rows))}
	if !ordered(single) {
		single = estimate.Bare(one, estimate.NoRange)
	}

	shift := s.sessions - s.error
	belowLow := float64(f1*shift) + float64(s.n*s.rows)
	average = estimate.Estimate{Value: mean, DF: v, Level: level, Kind: estimate.Satterthwaite,
		Lower: low / belowLow, Upper: high / (shift + float64(s.n*f2*s.rows))}
	if belowLow <= 0 {
		average.Lower = math.Inf(-1)
	}
	switch {
	case float64(s.n*s.rows)+shift <= 0:
		average = estimate.Bare(mean, estimate.NoRange)
		if float64(s.n*s.rows)+shift == 0 {
			average.Value = math.NaN()
		}
	case !ordered(average):
		average = estimate.Bare(mean, estimate.NoRange)
	}
	return single, average
}

func (s squares) satterthwaiteDF(rho float64) float64 {
	odds := rho / (1 - rho)
	a := s.k * odds / s.n * s.sessions
	b := (1 + s.k*odds*(s.n-1)/s.n) * s.error
	return (a + b) * (a + b) / (a*a/(s.k-1) + b*b/s.df2)
}

// ordered reports whether e is a proper interval around its value.
func ordered(e estimate.Estimate) bool {
	return e.HasInterval() && e.Lower <= e.Value && e.Value <= e.Upper
}

// withoutRounding sets sums of squares to 0 that rounding of the scores alone
// can explain: 16 units in the last place of their root mean square. Scores
// such as 0.1 and 0.3 otherwise leave a residual of 1e-34 and an F of 1e30.
func withoutRounding(a anova.TwoWay) anova.TwoWay {
	cells := float64(a.N * a.K)
	size := a.GrandMean*a.GrandMean + (a.SSRows+a.SSWithin)/cells
	floor := 16 * 0x1p-52 * 16 * 0x1p-52 * size
	for _, part := range []struct {
		ss, ms *float64
		df     float64
	}{
		{&a.SSRows, &a.MSR, a.DFRows}, {&a.SSCols, &a.MSC, a.DFCols},
		{&a.SSError, &a.MSE, a.DFError}, {&a.SSWithin, &a.MSW, a.DFWithin},
	} {
		if *part.ms <= floor {
			*part.ss, *part.ms = 0, 0
		}
	}
	if a.MSW == 0 || (a.MSE == 0 && a.MSC == 0) {
		a.SSCols, a.SSError, a.SSWithin = 0, 0, 0
		a.MSC, a.MSE, a.MSW = 0, 0, 0
	}
	return a
}
