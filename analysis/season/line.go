package season

import (
	"math"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
)

// A Line is a straight line through one athlete's sessions, on noise known from
// elsewhere.
type Line struct {
	// Slope per unit of time,
	//
	//	b = Sxy/Sxx    SE = TE/√Sxx
	//
	// with Student's t interval on the df of TE, which is exact for sessions outside
	// the noise study.
	Slope    estimate.Estimate
	P        float64 // of no slope, two-sided
	Sessions int     // J
	Residual float64 // SD around the line, on J-2 df

	// Scatters: the residual mean square over TE² exceeds the 90 % point of F on J-2
	// and df: the sessions scatter more than the noise study, and Slope has the residual
	// SD, on J-2 df, for TE.
	Scatters bool

	residuals []float64 // in order of time
}

// scatterLevel is the level of the test by which the residual SD is used. With none
// where TE holds it is needless in every tenth season.
const scatterLevel = 0.90

// Straight fits the line of y on x, the times of the sessions, in order of time; y is
// NaN where missing. te is the typical error of one session with df degrees of
// freedom. It fails with [ErrTooFew] and [ErrTimes].
func Straight(x, y []float64, te, df, level float64) (Line, error) {
	var at, have []float64
	for i, v := range y {
		if !math.IsNaN(v) {
			at, have = append(at, x[i]), append(have, v)
		}
	}
	if len(have) < LeastForLine {
		return Line{}, ErrTooFew
	}
	l := Line{Sessions: len(have)}
	mx, my := mean(at), mean(have)
	var sxx, sxy float64
	for i := range at {
		sxx += float64((at[i] - mx) * (at[i] - mx))
		sxy += float64((at[i] - mx) * (have[i] - my))
	}
	if !(sxx > 0) {
		return Line{}, ErrTimes
	}
	b, ss := sxy/sxx, 0.0
	for i := range at {
		e := have[i] - my - float64(b*(at[i]-mx))
		l.residuals = append(l.residuals, e)
		ss += float64(e * e)
	}
	l.judge(b, sxx, ss, te, df, level)
	return l, nil
}

// judge makes the interval, by the noise study or by the season's own scatter.
func (l *Line) judge(b, sxx, ss, te, df, level float64) {
	own := float64(l.Sessions - 2)
	l.Residual = math.Sqrt(ss / own)
	sd := te
	if l.Residual > te*math.Sqrt(dist.FQuantile(scatterLevel, own, df)) {
		l.Scatters, sd, df = true, l.Residual, own
	}
	se := sd / math.Sqrt(sxx)
	l.Slope = estimate.Around(b, dist.TQuantile(0.5+level/2, df)*se, se, df, level, estimate.StudentT)
	l.P = 1
	if b != 0 {
		l.P = dist.TTwoSided(b/se, df)
	}
}

// A Lag says whether the seasons of a squad move in slow waves: form that comes and
// goes over weeks looks like a trend, and the line takes it for one.
type Lag struct {
	R        float64 // correlation of neighbouring residuals, over all lines
	Expected float64 // what independent noise gives: below 0, since a line was fitted
	SE       float64 // of R, if the noise is independent
	Lines    int
}

// High reports whether R lies above what independent noise gives in one of 20 squads.
func (l Lag) High() bool { return l.R-l.Expected > dist.NormalQuantile(0.95)*l.SE }

// Waves is the correlation of neighbouring residuals over lines,
//
//	r = Σ e_t e_(t+1) / Σ e_t²
//
// With independent noise e = My, M the residual maker of a line, and A the matrix of
// half a one beside the diagonal, E(numerator) = σ² tr(AM), E(denominator) = σ² (J-2),
// and by the delta method Var r = Σ 2 tr(((A - r I)M)²) / (Σ(J-2))². Residual makers are
// those of sessions evenly apart. It reports false without any scatter.
func Waves(lines []Line) (Lag, bool) {
	var top, bottom, expected, free float64
	for _, l := range lines {
		for t, e := range l.residuals {
			bottom += float64(e * e)
			if t > 0 {
				top += float64(e * l.residuals[t-1])
			}
		}
		free += float64(l.Sessions - 2)
		expected += besides(maker(l.Sessions))
	}
	if !(bottom > 0) {
		return Lag{}, false
	}
	lag := Lag{R: top / bottom, Expected: expected / free, Lines: len(lines)}
	variance := 0.0
	for _, l := range lines {
		variance += lagVariance(l.Sessions, lag.Expected)
	}
	lag.SE = math.Sqrt(variance) / free
	return lag, true
}

// maker is the residual maker I - H of a line through n even steps.
func maker(n int) [][]float64 {
	sxx := float64(n) * float64(n*n-1) / 12
	out := make([][]float64, n)
	for i := range out {
		out[i] = make([]float64, n)
		for j := range out[i] {
			a, b := float64(i)-float64(n-1)/2, float64(j)-float64(n-1)/2
			out[i][j] = -1/float64(n) - a*b/sxx
		}
		out[i][i]++
	}
	return out
}

// besides is the sum beside the diagonal.
func besides(m [][]float64) (sum float64) {
	for i := 1; i < len(m); i++ {
		sum += m[i][i-1]
	}
	return sum
}

// lagVariance is 2 tr(((A - r I)M)²).
func lagVariance(n int, r float64) (trace float64) {
	m := maker(n)
	am := make([][]float64, n)
	for i := range am {
		am[i] = make([]float64, n)
		for j := range n {
			v := float64(-r * m[i][j])
			if i > 0 {
				v += m[i-1][j] / 2
			}
			if i < n-1 {
				v += m[i+1][j] / 2
			}
			am[i][j] = v
		}
	}
	for i := range n {
		for j := range n {
			trace += float64(am[i][j] * am[j][i])
		}
	}
	return 2 * trace
}
