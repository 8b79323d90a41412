package reliability

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
	"noisefloor/analysis/varcomp"
)

// minDF is the fewest degrees of freedom of a residual, those of MinAthletes
// athletes with two sessions each.
const minDF = MinAthletes - 1

// Profile limits cost seconds where many athletes each lack other sessions.
const (
	profileAthletes = 5000
	profileSessions = 8
)

// An every holds the REML fits of a table in which scores are missing: athlete
// and residual, with a mean for each session (two) and with one mean (one).
type every struct {
	two, one varcomp.Result
	k        int // sessions
	level    float64
	lean     bool // no generalized intervals
}

// fitTwo fits the scores with a mean for each session.
func fitTwo(t score.Table, level float64, limits varcomp.Limits) (every, error) {
	e := every{k: len(t.Sessions), level: level}
	var err error
	e.two, err = varcomp.Fit(varcomp.FromTable(t), varcomp.Options{Model: varcomp.Scores, Level: level, Limits: limits})
	return e.checked(err)
}

// checked refuses a fit that failed, or has too few repeated scores.
func (e every) checked(err error) (every, error) {
	switch {
	case errors.Is(err, varcomp.ErrTooFew):
		return e, fmt.Errorf("%w: %w", ErrFewAthletes, err)
	case err != nil:
		return e, err
	}
	if df := e.additiveDF(); df < minDF {
		return e, fmt.Errorf("%w: %d scores of %s in %d sessions leave %s for the error, no typical error below "+
			"%d; choose sessions that more athletes have",
			ErrFewAthletes, e.two.N, count(e.two.Athletes), e.two.Sessions, degrees(df), minDF)
	}
	return e, nil
}

func degrees(df float64) string {
	if df == 1 {
		return "1 degree of freedom"
	}
	return fmt.Sprintf("%g degrees of freedom", max(df, 0))
}

// additiveDF is what athletes and sessions, both fixed, leave for the error.
func (e every) additiveDF() float64 {
	return float64(e.two.N - e.two.Athletes - e.two.Sessions + 1)
}

// fitEvery fits both models, with limits where they are quick.
func fitEvery(t score.Table, level float64) (every, error) {
	limits := varcomp.Profile
	if len(t.Athletes) > profileAthletes && len(t.Sessions) > profileSessions {
		limits = varcomp.NoLimits
	}
	e, err := fitTwo(t, level, limits)
	if err != nil {
		return e, err
	}
	e.one, err = varcomp.Fit(varcomp.FromTable(t), varcomp.Options{Model: varcomp.Scores, Level: level,
		SingleMean: true, Limits: varcomp.NoLimits})
	return e, err
}

// typicalError is the residual SD and the Satterthwaite degrees of freedom of
// the residual variance.
func (e every) typicalError() (te estimate.Estimate, df float64) {
	v, df := e.two.Satterthwaite(0, 1, 1)
	if v == 0 {
		return sdEstimate(0, 0, e.level), e.additiveDF()
	}
	return e.limited(e.two.Trial, df), df
}

// limited is the SD of a component with its profile limits, else with those of
// chi-square.
func (e every) limited(c varcomp.Component, df float64) estimate.Estimate {
	if c.SD.HasInterval() || c.AtZero || math.IsNaN(df) {
		return c.SD
	}
	sd := sdEstimate(c.SD.Value, df, e.level)
	sd.Kind = estimate.ChiSquareDF
	return sd
}

func (e every) trueSD() estimate.Estimate {
	v, df := e.two.Satterthwaite(1, 0, 0)
	if v == 0 {
		df = math.NaN()
	}
	return e.limited(e.two.Athlete, df)
}

// observedSD is the SD that the athletes' means over all k sessions have,
// sqrt(σ²a + σ²e/k), with its Satterthwaite degrees of freedom.
func (e every) observedSD() (sd, df float64) {
	share := 1 / float64(e.k)
	v, df := e.two.Satterthwaite(1, share, share)
	return math.Sqrt(v), df
}

// mean is the mean of the session means.
func (e every) mean() float64 {
	sum := 0.0
	for _, m := range e.two.Fixed {
		sum += m.Value / float64(len(e.two.Fixed))
	}
	return sum
}

// sessionVariance is the variance between sessions, estimated without bias from
// the means m with their covariance matrix V,
//
//	σ²c = S²(m) - bias,   bias = (tr V - 1'V1/k)/(k-1)
//
// On a complete table it is (MSC-MSE)/n. It may be negative.
func (e every) sessionVariance() (v, bias float64) {
	k, mean := float64(len(e.two.Fixed)), e.mean()
	for _, m := range e.two.Fixed {
		v += float64((m.Value-mean)*(m.Value-mean)) / (k - 1)
	}
	for i, row := range e.two.MeansCovariance() {
		bias += row[i] / (k - 1)
		for _, c := range row {
			bias -= c / (k * (k - 1))
		}
	}
	return v - bias, bias
}

// squares are the mean squares of the complete table that has these variances
// and knows its session means as well,
//
//	MSE = σ²e   MSR = k σ²a + σ²e   MSC = n σ²c + σ²e   n = σ²e/bias
func (e every) squares() squares {
	v, bias := e.sessionVariance()
	k := float64(e.k)
	s := squares{k: k, n: e.two.Trial.Value / bias, error: e.two.Trial.Value}
	s.rows, s.df1 = e.two.Satterthwaite(k, 1, 1)
	_, s.df2 = e.two.Satterthwaite(0, 1, 1)
	s.sessions = float64(s.n*v) + s.error
	return s
}

// icc returns the six forms: the forms 1, k and C from the exact law of the
// ratio of the variances, the forms A by generalized intervals.
func (e every) icc() []ICC {
	oneWay := e.forms(e.one, "1", "1", "k")
	consistency := e.forms(e.two, "3", "C,1", "C,k")
	agree := e.agreement(consistency)
	return []ICC{oneWay[0], oneWay[1], agree[0], agree[1], consistency[0], consistency[1]}
}

// forms are θ/(1+θ) for one score and kθ/(1+kθ) for the mean of k.
func (e every) forms(fit varcomp.Result, sf, single, average string) [2]ICC {
	k, r := float64(e.k), fit.Ratio(e.level)
	out := [2]ICC{
		{Form: single, ShroutFleiss: sf + ",1"},
		{Form: average, ShroutFleiss: sf + ",k"},
	}
	for i, times := range []float64{1, k} {
		out[i].F, out[i].DF1, out[i].DF2, out[i].P = r.F, r.DF1, r.DF2, r.P
		out[i].Value = within01(r.Estimate, times)
		if fit.Trial.Value > 0 {
			continue
		}
		out[i].Value = estimate.Bare(1, estimate.NoError)
		out[i].F, out[i].P = math.Inf(1), 0
		out[i].DF1, out[i].DF2 = float64(fit.Athletes-1), e.additiveDF()
		if fit.Athlete.Value == 0 {
			out[i].Value, out[i].F, out[i].P = estimate.Bare(math.NaN(), estimate.NoVariation), math.NaN(), math.NaN()
		}
	}
	return out
}

// within01 turns an interval of θ into one of times θ/(1 + times θ).
func within01(theta estimate.Estimate, times float64) estimate.Estimate {
	return theta.Map(func(v float64) float64 {
		if math.IsInf(v, 1) {
			return 1
		}
		return times * v / (1 + float64(times*v))
	})
}

// agreement returns the forms A, with the F and df of the forms C.
func (e every) agreement(c [2]ICC) [2]ICC {
	va, ve := e.two.Athlete.Value, e.two.Trial.Value
	vc, _ := e.sessionVariance()
	one, mean := c[0], c[1]
	one.Form, one.ShroutFleiss = "A,1", "2,1"
	mean.Form, mean.ShroutFleiss = "A,k", "2,k"
	noise := vc + ve
	switch {
	case va+noise == 0: // nothing varies: as in the forms C
	case noise < 0:
		// the sessions share too few athletes to tell how they differ
		apart := estimate.Bare(math.NaN(), estimate.TooFew)
		one.Value, mean.Value = apart, apart
	case ve == 0:
		one.Value = estimate.Bare(va/(va+noise), estimate.NoError)
		mean.Value = estimate.Bare(va/(va+noise/float64(e.k)), estimate.NoError)
	default:
		one, mean = e.squares().intervals(one, mean, va/(va+noise), va/(va+noise/float64(e.k)), e.level, e.lean)
		for _, v := range []*estimate.Estimate{one.Satterthwaite, mean.Satterthwaite} {
			if v.HasInterval() {
				v.Kind = estimate.ApproximateF
			}
		}
	}
	return [2]ICC{one, mean}
}

// sessionTest asks whether the session means are equal, with the differences d
// from the first and their covariance matrix D: F = d'D⁻¹d/(k-1).
func (e every) sessionTest() FTest {
	m, v := e.two.Fixed, e.two.MeansCovariance()
	p := len(m) - 1
	_, df := e.typicalError()
	t := FTest{F: math.NaN(), DF1: float64(p), DF2: df, P: math.NaN()}
	d, covariance := mat.NewVecDense(p, nil), mat.NewSymDense(p, nil)
	differ := false
	for i := range p {
		d.SetVec(i, m[i+1].Value-m[0].Value)
		differ = differ || d.AtVec(i) != 0
		for j := range i + 1 {
			covariance.SetSym(i, j, v[i+1][j+1]-v[i+1][0]-v[0][j+1]+v[0][0])
		}
	}
	var factor mat.Cholesky
	var x mat.VecDense
	switch {
	case e.two.Trial.Value == 0 && differ:
		t.F, t.P = math.Inf(1), 0
	case e.two.Trial.Value > 0 && factor.Factorize(covariance) && factor.SolveVecTo(&x, d) == nil:
		t.F = mat.Dot(d, &x) / t.DF1
		t.P = dist.FSurvival(t.F, t.DF1, t.DF2)
	}
	return t
}

// change is the change of the mean by generalised least squares over every
// score; the typical error of the pair is that of the athletes with both.
func (e every) change(t score.Table, from, to int) MeanChange {
	var before, after []float64
	for i := range t.Athletes {
		if a, b := t.At(i, from), t.At(i, to); !math.IsNaN(a) && !math.IsNaN(b) {
			before, after = append(before, a), append(after, b)
		}
	}
	c := MeanChange{N: len(before)}
	if c.N >= MinAthletes {
		c.TypicalError = meanChange(before, after, e.level).TypicalError
	} else {
		c.TypicalError = estimate.Bare(math.NaN(), estimate.TooFew)
	}
	value, se := e.two.Change(from, to)
	if se == 0 || e.two.Trial.Value == 0 {
		c.Change, c.P = estimate.Bare(value, estimate.NoVariation), math.NaN()
		return c
	}
	df := e.two.ChangeDF(from, to)
	c.DF = df
	half := dist.TQuantile((1+e.level)/2, df) * se
	c.Change = estimate.Around(value, half, se, df, e.level, estimate.GLST)
	c.P = dist.TTwoSided(value/se, df)
	return c
}

func (e every) meanChange(t score.Table) func(from, to int) MeanChange {
	return func(from, to int) MeanChange { return e.change(t, from, to) }
}

// shifts are the session means less the mean of all sessions.
func (e every) shifts() []float64 {
	shift, mean := make([]float64, e.k), e.mean()
	for _, m := range e.two.Fixed {
		shift[m.Session] = m.Value - mean
	}
	return shift
}

// athleteMeans returns the means of the athletes' scores, each brought to the
// mean of all sessions.
func (e every) athleteMeans(t score.Table) []float64 {
	shift := e.shifts()
	out := make([]float64, len(t.Athletes))
	for i := range out {
		n := 0.0
		for j, v := range t.Row(i) {
			if !math.IsNaN(v) {
				out[i] += v - shift[j]
				n++
			}
		}
		out[i] /= n
	}
	return out
}

// spread is what a worthwhile change is taken from.
func (e every) spread(s study) spread {
	_, df := e.observedSD()
	return spread{rows: s.allRows, observedDF: df, trueSD: e.trueSD,
		means: func() []float64 { return e.athleteMeans(s.all) }}
}

// noiseEvery fills from every score what noise fills from the analysis of
// variance.
func (r *Result) noiseEvery(e every, o Options) {
	r.TypicalError, r.DF = e.typicalError()
	r.TypicalErrorPercent = percentError(r.TypicalError, r.Mean, r.Scale)
	v, _ := e.sessionVariance()
	r.AgreementError = e.agreementError(v, o.Lean)
	r.TrueSD = e.two.Athlete.SD.Value
	r.ObservedSD, _ = e.observedSD()
	r.DetectableChange = detectable(r.TypicalError, r.DF, o)
	e.lean = o.Lean
	r.ICC = e.icc()
}

// agreementError counts the variance v of the sessions in, where it is known.
func (e every) agreementError(v float64, lean bool) estimate.Estimate {
	value := math.Sqrt(e.two.Trial.Value + max(0, v))
	switch {
	case lean:
		return estimate.Bare(value, estimate.None)
	case e.two.Trial.Value == 0:
		return estimate.Bare(value, estimate.NoError)
	case e.two.Trial.Value+v < 0:
		return estimate.Bare(value, estimate.TooFew)
	}
	return e.squares().agreementError(e.level)
}

// refitted is the largest study in which athletes are left out by fitting all
// over again, and candidates how many of them for each question.
const (
	refitted   = 2000
	candidates = 4
)

// influence names the athletes that weigh most, from fits without each of those
// that stand out; in larger studies from the athletes with every session.
func (e every) influence(s study) *Influence {
	if len(s.all.Athletes) > refitted {
		return influenceOfComplete(s)
	}
	te, icc := e.two.Trial.SD.Value, share(e.two)
	out := &Influence{ICCWithout: math.NaN(), By: ByStandouts, OfTypicalError: te, OfICC: icc}
	farTE, farICC := -1.0, -1.0
	all := e.standOut(s.all)
	out.Athletes = len(all)
	for _, i := range all {
		rest, err := fitTwo(s.without(i), e.level, varcomp.NoLimits)
		if err != nil || rest.two.Sessions < e.k {
			continue
		}
		name := s.all.Athletes[i]
		if d := math.Abs(rest.two.Trial.SD.Value - te); d > farTE {
			farTE, out.TypicalErrorAthlete, out.TypicalErrorWithout = d, name, rest.two.Trial.SD.Value
		}
		without := share(rest.two)
		if d := math.Abs(without - icc); d > farICC { // false for NaN
			farICC, out.ICCAthlete, out.ICCWithout = d, name, without
		}
	}
	if farTE < 0 {
		return nil
	}
	return out
}

// standOut returns the athletes whose removal should move the residual variance
// or ICC(C,1) most, by how far their scores, and their mean, lie from what the
// variances lead to expect.
func (e every) standOut(t score.Table) []int {
	va, ve := e.two.Athlete.Value, e.two.Trial.Value
	level, mean := e.athleteMeans(t), e.mean()
	shift := e.shifts()
	n := len(t.Athletes)
	error, icc, order := make([]float64, n), make([]float64, n), make([]int, n)
	for i := range n {
		seen, squares := 0.0, 0.0
		for j, v := range t.Row(i) {
			if !math.IsNaN(v) {
				d := v - shift[j] - level[i]
				squares += float64(d * d)
				seen++
			}
		}
		order[i] = i
		within := (squares - float64((seen-1)*ve)) / e.additiveDF()
		between := (float64((level[i]-mean)*(level[i]-mean)) - va - ve/seen) / float64(n)
		error[i], icc[i] = math.Abs(within), math.Abs(ve*between-va*within)
	}
	var out []int
	for _, by := range [][]float64{error, icc} {
		slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(by[b], by[a]) })
		out = append(out, order[:min(candidates, n)]...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// influenceOfComplete is influence among the athletes with every session.
func influenceOfComplete(s study) *Influence {
	if len(s.table.Athletes) <= MinAthletes {
		return nil
	}
	p := partsOf(s.table.Value, s.anova)
	out := influence(s.table.Athletes, p, s.anova)
	out.By = ByCompletely
	return out
}

// share is ICC(C,1), NaN if nothing varies.
func share(f varcomp.Result) float64 {
	return f.Athlete.Value / (f.Athlete.Value + f.Trial.Value)
}

// without is the table of all athletes but one.
func (s study) without(athlete int) score.Table {
	t := s.all
	k := len(t.Sessions)
	t.Athletes = append(append([]string(nil), t.Athletes[:athlete]...), t.Athletes[athlete+1:]...)
	t.Value = append(append([]float64(nil), t.Value[:athlete*k]...), t.Value[(athlete+1)*k:]...)
	return t
}

// route says how the numbers of a study are made.
func (s study) route() Route {
	switch {
	case s.every:
		return EveryScore
	case s.partial > 0:
		return Cases
	}
	return Complete
}
