package reliability

import (
	"cmp"
	"math"
	"slices"

	"noisefloor/analysis/agreement"
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
)

// sessionShifts are the session means of a complete table less the grand mean.
func (s study) sessionShifts() []float64 {
	out := make([]float64, len(s.anova.ColMeans))
	for j, m := range s.anova.ColMeans {
		out[j] = m - s.anova.GrandMean
	}
	return out
}

// errors asks whether one typical error is true for all: whether the error grows
// with the score, whether all athletes are equally noisy, whether it has wild ones.
func (r *Result) errors(s study) {
	k := len(s.all.Sessions)
	df := r.DF
	if s.every {
		df = additiveDF(s.all)
	}
	all := sessionErrors(s.all.Value, k, s.shifts(), df)
	none := estimate.Bare(math.NaN(), estimate.NoError)
	r.Growth = Growth{Slope: none, P: math.NaN(), Power: math.NaN()}
	r.Equal = EqualNoise{Statistic: math.NaN(), P: math.NaN(), Why: estimate.NoError}
	if r.TypicalError.Value == 0 {
		return
	}
	own, x := s.ownVariances(all)
	r.Growth = growth(own, x, r.Scale == score.Log, r.Level)
	r.ScaleAdvice = r.Growth.advice(r.Scale, positiveScores(s.all))
	r.Equal = equalNoise(all)
	if r.Equal.Why == "" {
		r.OwnNoise = r.Equal.moderated(s.all.Athletes, all, r.DF)
	}
	if !s.options.Lean {
		r.tails(s, all)
	}
}

// additiveDF is what athletes and sessions leave of the scores.
func additiveDF(t score.Table) float64 {
	n := 0.0
	for _, v := range t.Value {
		if !math.IsNaN(v) {
			n++
		}
	}
	return n - float64(len(t.Athletes)) - float64(len(t.Sessions)) + 1
}

func positiveScores(t score.Table) bool {
	return !slices.ContainsFunc(t.Value, func(v float64) bool { return v <= 0 })
}

// growthSessions are the sessions that the advice on the scale rests on.
func (r *Result) growthSessions() []string {
	if math.IsNaN(r.Growth.Slope.Value) && r.Agreement != nil {
		return []string{r.Agreement.From, r.Agreement.To}
	}
	return r.Sessions
}

// Noisiest is the athlete with the largest typical error of its own.
func (r Result) Noisiest() (AthleteNoise, bool) {
	if len(r.OwnNoise) == 0 {
		return AthleteNoise{}, false
	}
	return slices.MaxFunc(r.OwnNoise, func(a, b AthleteNoise) int { return cmp.Compare(a.TypicalError, b.TypicalError) }),
		true
}

// sameTests are the most sessions with which the kurtosis of the errors and the
// spread of the athletes' sums of squares are functions of each other: of two or three
// errors that add up to 0, Σe⁴ = (Σe²)²/2.
const sameTests = 3

// doubtErrors says where the typical error of all is not that of the noisiest, and
// where its chi-square interval cannot be trusted.
func (r *Result) doubtErrors() {
	alpha := 1 - r.Level
	most, differ := r.Noisiest()
	differ = differ && r.Equal.P < alpha && !math.IsInf(r.Equal.PriorDF, 1)
	if differ {
		c := caveat.New(AthletesDiffer, r.Equal.P, float64(len(r.Sessions)))
		r.inUnits(c, []string{most.Athlete}, most.TypicalError, r.TypicalError.Value)
	}
	if differ && len(r.Sessions) <= sameTests {
		return // the two tests are one
	}
	if t := r.Tails; t != nil && t.P < alpha && !math.IsNaN(t.Robust.Value) {
		r.inUnits(caveat.New(HeavyTails, t.P), nil, t.Robust.Value, r.TypicalError.Value)
	}
}

// inUnits raises a caveat whose last numbers are errors on the scale of r.
func (r *Result) inUnits(c caveat.Caveat, names []string, errors ...float64) {
	if r.Scale == score.Log {
		names = append([]string{Log}, names...)
	}
	for _, x := range errors {
		if r.Scale == score.Log {
			x = estimate.Percent(x)
		}
		c.Numbers = append(c.Numbers, x)
	}
	r.Caveats = append(r.Caveats, c.With(names...))
}

// UsesLog reports whether the advice is to use the log scale.
func (r Result) UsesLog() bool {
	return r.ScaleAdvice == agreement.UseLog || r.ScaleAdvice == agreement.UseLogAllTheSame
}
