package reliability

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"noisefloor/analysis/agreement"
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/cell"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
)

// GrowsLess is the advice where the error grows with the value by less than half of
// what would be in proportion: neither scale makes it even, and the raw one is the
// nearer.
const GrowsLess caveat.Kind = "error-grows-partly"

// Growth says whether an athlete's error goes with the athlete's score.
type Growth struct {
	// Slope of the log of the athlete's own error variance on the log of the
	// athlete's mean (on the mean of the logs, on the log scale): 0 for an error of one
	// size, 2 for one in proportion to the score. No value where Slope.Kind says why.
	Slope    estimate.Estimate
	P        float64 // of no slope, two-sided
	Power    float64 // Box–Cox power that would make the error even: 1 - slope/2; on logs -slope/2
	Athletes int
	Parts    int // kinds of variance used: 1 between sessions, 2 with that within them
}

// maxFlat is the share of athletes whose variance may be 0, for scores that are
// rounded, before there is no answer.
const maxFlat = 0.1

// An ownVariance is one of the variances of one athlete: part 0 between sessions, 1
// of attempts within them.
type ownVariance struct {
	athlete, part int
	variance, df  float64
}

// growth regresses the athletes' own log variances v_i on the logs x_i of their
// means. Each athlete has up to two variances: that of the session scores, the means
// of the sessions taken out, on k-1 df, and that of the attempts within sessions, on
// Σ(t-1) df. Freed of the bias of a log χ²,
//
//	l = ln s² - ψ(df/2) + ln(df/2),   Var l = ψ'(df/2) = 1/w
//
// and of the mean of its part (what varies from day to day has its own size), the
// two are averaged with weights w. The line is by weighted least squares, the weights
// those of the athletes, its standard error from the residuals on n-2 df: athletes
// that are not equally noisy, and tails that are not normal, are then in it. ψ' alone
// makes it too small where they are not.
//
// Simulated at n = 20, 2 sessions, 3 trials, between-athlete SD 20 % of the mean, the
// error in proportion to it: internal/calibration has the rates.
//
// Sources: Bartlett & Kendall (1946), Suppl J R Stat Soc 8:128-138 (log variances);
// Box & Cox (1964), J R Stat Soc B 26:211-252, and Bartlett (1947), Biometrics 3:39-52
// (the power that evens the variance); all from memory.
func growth(own []ownVariance, x []float64, onLog bool, level float64) Growth {
	parts, flat := 0, 0
	for _, o := range own {
		parts = max(parts, o.part+1)
		if o.variance == 0 {
			flat++
		}
	}
	none := func(why estimate.Kind) Growth {
		return Growth{Slope: estimate.Bare(math.NaN(), why), P: math.NaN(), Power: math.NaN(), Parts: parts}
	}
	if float64(flat) > maxFlat*float64(len(own)) {
		return none(estimate.NoVariation)
	}
	value, weight := ownLogs(own, len(x), parts)
	for i, w := range weight {
		if w > 0 && (math.IsNaN(x[i]) || math.IsInf(x[i], 0)) {
			return none(estimate.NotPositive)
		}
	}
	return weighted(x, value, weight, onLog, level, none)
}

// ownLogs are the athletes' log variances freed of bias and part, and their weights.
func ownLogs(own []ownVariance, n, parts int) (value, weight []float64) {
	value, weight = make([]float64, n), make([]float64, n)
	logs := func(o ownVariance) (l, w float64) {
		h := o.df / 2
		return math.Log(o.variance) - mathext.Digamma(h) + math.Log(h), 1 / trigamma(h)
	}
	sum, total := make([]float64, parts), make([]float64, parts)
	for _, o := range own {
		if o.variance > 0 {
			l, w := logs(o)
			sum[o.part] += float64(w * l)
			total[o.part] += w
		}
	}
	for _, o := range own {
		if o.variance > 0 {
			l, w := logs(o)
			value[o.athlete] += float64(w * (l - sum[o.part]/total[o.part]))
			weight[o.athlete] += w
		}
	}
	for i, w := range weight {
		if w > 0 {
			value[i] /= w
		}
	}
	return value, weight
}

// weighted fits the line.
func weighted(x, y, w []float64, onLog bool, level float64, none func(estimate.Kind) Growth) Growth {
	var n, total, mx, my float64
	for i := range x {
		if w[i] > 0 {
			n++
			total += w[i]
			mx += float64(w[i] * x[i])
			my += float64(w[i] * y[i])
		}
	}
	if n < MinAthletes {
		return none(estimate.TooFew)
	}
	mx, my = mx/total, my/total
	var sxx, sxy, rest, size float64
	for i := range x {
		if w[i] > 0 {
			sxx += float64(w[i] * (x[i] - mx) * (x[i] - mx))
			sxy += float64(w[i] * (x[i] - mx) * (y[i] - my))
			size = max(size, math.Abs(x[i]))
		}
	}
	if sxx <= total*(16*0x1p-52*size)*(16*0x1p-52*size) {
		return none(estimate.NoVariation)
	}
	slope := sxy / sxx
	for i := range x {
		if w[i] > 0 {
			e := y[i] - my - float64(slope*(x[i]-mx))
			rest += float64(w[i] * e * e)
		}
	}
	df := n - 2
	se := math.Sqrt(rest / df / sxx)
	g := Growth{P: dist.TTwoSided(slope/se, df), Power: 1 - slope/2, Athletes: int(n), Parts: none(estimate.None).Parts,
		Slope: estimate.Around(slope, dist.TQuantile((1+level)/2, df)*se, se, df, level, estimate.Slope)}
	if onLog {
		g.Power--
	}
	return g
}

// trigamma is ψ'(x), the derivative of digamma: Hurwitz's ζ(2, x).
func trigamma(x float64) float64 { return mathext.Zeta(2, x) }

// advice says which scale fits, from the interval of the slope. To first order in the
// size of the error the slope on the log scale is that on the raw scale less 2, so
// the log scale makes the error even where the interval holds 2.
func (g Growth) advice(scale score.Scale, positive bool) caveat.Kind {
	s := g.Slope
	grows, shrinks := s.HasInterval() && s.Lower > 0, s.HasInterval() && s.Upper < 0
	switch {
	case grows && scale == score.Log:
		return agreement.LogNotEnough
	case shrinks && scale == score.Log:
		return agreement.LogTooMuch
	case shrinks:
		return agreement.Shrinks
	case grows && !positive:
		return agreement.NoLog
	case grows && !s.Excludes(2):
		return agreement.UseLog
	case grows && s.Value < 1:
		return GrowsLess
	case grows:
		return agreement.UseLogAllTheSame
	}
	return ""
}

// ownVariances are those of the athletes of the study, and the logs of their means.
func (s study) ownVariances(errors []sessionError) (own []ownVariance, x []float64) {
	x = make([]float64, len(s.all.Athletes))
	for i := range x {
		sum, n := 0.0, 0.0
		for _, v := range s.all.Row(i) {
			if !math.IsNaN(v) {
				sum, n = sum+v, n+1
			}
		}
		x[i] = sum / n
		if s.options.Scale != score.Log {
			x[i] = math.Log(x[i])
		}
		if e := errors[i]; e.df > 0 {
			own = append(own, ownVariance{i, 0, e.variance(), e.df})
		}
		if a := s.options.Attempts; a != nil {
			if v, df := attemptVariance(a, s.allRows[i]); df > 0 {
				own = append(own, ownVariance{i, 1, v, df})
			}
		}
	}
	return own, x
}

// attemptVariance is that of an athlete's attempts about the means of their sessions.
func attemptVariance(a *cell.Table, athlete int) (v, df float64) {
	for j := range a.Columns {
		if c := a.At(athlete, j); c.N > 1 {
			v += c.M2()
			df += float64(c.N - 1)
		}
	}
	return v / df, df
}
