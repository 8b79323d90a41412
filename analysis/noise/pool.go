package noise

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/anova"
	"noisefloor/analysis/score"
	"noisefloor/analysis/varcomp"
)

// ErrPool: noises cannot be pooled into one.
var ErrPool = errors.New("the noise studies cannot be put together")

// A Study is one of those that were pooled.
type Study struct {
	Source       string
	TypicalError float64
	DF           float64
}

// An Agreement is the test that the typical errors of pooled studies are one:
// [anova.VarianceRatio] for two, [anova.Bartlett] for more.
type Agreement struct {
	Method    string // "F ratio" or "Bartlett"
	Statistic float64
	P         float64
}

// sameTrials is the share by which the attempts behind a score may differ between
// studies: a few attempts are missing in most.
const sameTrials = 0.02

// Pool puts the noise of one measure from several studies together,
//
//	TE² = Σ df_i TE_i² / Σ df_i    df = Σ df_i
//
// which is the typical error of all of them when they have one, with means of their
// own for every session of every study. Agree tests that they have one.
//
// What else a model holds, and what becomes of it:
//   - Components: each variance is Σ w_i σ_i², w_i = df_i/Σ df_i, their covariance
//     matrix Σ w_i² Cov_i. So σ²as + σ²e/attempts is the pooled TE², as in each
//     study. Dropped when a study has none, or could not tell them apart.
//   - Mean: over all athletes, Σ n_i m_i/Σ n_i. TrueSD: the root of
//     Σ (n_i - 1) SD_i²/Σ (n_i - 1), within studies. ICC: SD²/(SD² + TE²) of the
//     pooled. Dropped when a study has none, or does not say how many athletes.
//   - Worthwhile: the root of Σ (n_i - 1) w_i²/Σ (n_i - 1), which is the fraction of
//     the pooled SD; dropped when the studies have other bases, or one has none. Its
//     limits likewise, no narrower than those of one study.
//   - ScaleAdvice: the first that a study gives. TrialSD as Components; dropped when a
//     study has none. EqualP and Own are dropped: they are of the athletes of one study.
//   - GapDays: Σ w_i gap_i; dropped when a study has none.
//   - Sessions: kept when all studies name them alike. Athletes: the sum.
//   - Shifts and ICCK are dropped: they are of the days and the number of sessions
//     of one study. So are Prints, which each study keeps.
//
// It fails with [ErrPool] when the studies differ in scale, unit, summary of the
// attempts, or (by more than 2 %) their number. One model comes back as it is.
func Pool(all []Model) (Model, error) {
	switch len(all) {
	case 0:
		return Model{}, fmt.Errorf("%w: there is none", ErrPool)
	case 1:
		return all[0].Clone(), nil
	}
	for _, m := range all[1:] {
		if err := poolable(all[0], m); err != nil {
			return Model{}, err
		}
	}
	p := pool{all: all}
	for _, m := range all {
		p.df += m.DF
	}
	return p.model(), nil
}

func poolable(a, b Model) error {
	differ := func(what string, x, y any, mend string) error {
		return fmt.Errorf("%w: %s is %v in %s and %v in %s; %s", ErrPool, what, x, a.Source, y, b.Source, mend)
	}
	many := a.Trials > 0 && b.Trials > 0
	switch {
	case !(a.TypicalError > 0 && b.TypicalError > 0 && a.DF > 0 && b.DF > 0):
		return fmt.Errorf("%w: a typical error or its degrees of freedom are not above 0", ErrPool)
	case a.DFKnown() != b.DFKnown():
		return fmt.Errorf("%w: %s or %s does not say how well its typical error is known (df), so it cannot be "+
			"weighed; give df, or take one of the two", ErrPool, a.Source, b.Source)
	case (a.Scale == score.Log) != (b.Scale == score.Log):
		return differ("the scale", scaleWord(a), scaleWord(b), "make one of them again with the other's --scale")
	case a.Unit != "" && b.Unit != "" && a.Unit != b.Unit:
		return differ("the unit", a.Unit, b.Unit, "make one of them again from a table in the other's unit")
	case a.Summary != "" && b.Summary != "" && a.Summary != b.Summary:
		return differ("the summary of the attempts", a.Summary, b.Summary,
			"make one of them again with the other's --score")
	case many && math.Abs(a.Trials-b.Trials) > sameTrials*max(a.Trials, b.Trials):
		return differ("the number of attempts behind a score", fmt.Sprintf("%.3g", a.Trials),
			fmt.Sprintf("%.3g", b.Trials), "take the one made as the scores you judge")
	}
	return nil
}

func scaleWord(m Model) score.Scale {
	if m.Scale == score.Log {
		return score.Log
	}
	return score.Raw
}

// A pool is models that fit together.
type pool struct {
	all []Model
	df  float64
}

func (p pool) model() Model {
	first := p.all[0]
	m := Model{Measure: first.Measure, Group: first.Group, Scale: scaleWord(first), DF: p.df}
	m.TypicalError = math.Sqrt(p.weighted(func(m Model) float64 { return m.TypicalError * m.TypicalError }))
	if m.DF >= Exact { // of studies that do not say: they weigh alike, and nothing more is known
		m.DF = Exact
	}
	var sources []string
	for _, s := range p.all {
		m.Athletes += s.Athletes
		if m.Unit == "" {
			m.Unit = s.Unit
		}
		if m.Summary == "" {
			m.Summary = s.Summary
		}
		sources = append(sources, s.Source)
		m.Studies = append(m.Studies, Study{s.Source, s.TypicalError, s.DF})
	}
	if p.each(func(s Model) bool { return slices.Equal(s.Sessions, first.Sessions) }) {
		m.Sessions = slices.Clone(first.Sessions)
	}
	if p.each(func(s Model) bool { return s.Trials > 0 }) {
		m.Trials = p.weighted(func(s Model) float64 { return s.Trials })
	}
	if p.each(func(s Model) bool { return s.GapDays != nil }) {
		gap := p.weighted(func(s Model) float64 { return *s.GapDays })
		m.GapDays = &gap
	}
	m.Source = strings.Join(sources, " and ") + ", together"
	m.Components, m.Agree = p.components(), p.agree()
	for _, s := range p.all {
		if m.ScaleAdvice == "" {
			m.ScaleAdvice = s.ScaleAdvice
		}
	}
	if p.each(func(s Model) bool { return s.TrialSD > 0 }) {
		m.TrialSD = math.Sqrt(p.weighted(func(s Model) float64 { return s.TrialSD * s.TrialSD }))
	}
	p.level(&m)
	p.worthwhile(&m)
	return m
}

// weighted is the mean by degrees of freedom.
func (p pool) weighted(get func(Model) float64) (mean float64) {
	for _, m := range p.all {
		mean += float64(m.DF / p.df * get(m))
	}
	return mean
}

func (p pool) each(has func(Model) bool) bool {
	return !slices.ContainsFunc(p.all, func(m Model) bool { return !has(m) })
}

func (p pool) agree() *Agreement {
	var variance, df []float64
	for _, m := range p.all {
		variance, df = append(variance, m.TypicalError*m.TypicalError), append(df, m.DF)
	}
	if !p.each(Model.DFKnown) {
		return nil
	}
	a := Agreement{Method: "F ratio"}
	if len(p.all) == 2 {
		a.Statistic, a.P = anova.VarianceRatio(variance[0], df[0], variance[1], df[1])
		return &a
	}
	a.Method = "Bartlett"
	a.Statistic, a.P = anova.Bartlett(variance, df)
	return &a
}

func (p pool) components() *varcomp.Components {
	if !p.each(func(m Model) bool { return m.Components != nil && m.Components.Merged == varcomp.NotMerged }) {
		return nil
	}
	var c varcomp.Components
	for _, m := range p.all {
		w, of := m.DF/p.df, m.Components
		c.Athlete += float64(w * of.Athlete)
		c.AthleteSession += float64(w * of.AthleteSession)
		c.Trial += float64(w * of.Trial)
		for i := range c.Covariance {
			for j := range c.Covariance[i] {
				c.Covariance[i][j] += float64(w * w * of.Covariance[i][j])
			}
		}
	}
	return &c
}

// level is where the athletes stand and how they differ.
func (p pool) level(m *Model) {
	m.Mean, m.TrueSD, m.ICC, m.ICCK = math.NaN(), math.NaN(), math.NaN(), math.NaN()
	if !p.each(func(s Model) bool { return s.Athletes > 1 }) {
		return
	}
	n := float64(m.Athletes)
	sum, square := 0.0, 0.0
	for _, s := range p.all {
		sum += float64(float64(s.Athletes) / n * s.Mean)
		square += float64(float64(s.Athletes-1) / (n - float64(len(p.all))) * s.TrueSD * s.TrueSD)
	}
	m.Mean, m.TrueSD = sum, math.Sqrt(square)
	m.ICC = square / (square + float64(m.TypicalError*m.TypicalError))
}

func (p pool) worthwhile(m *Model) {
	first := p.all[0]
	if !p.each(func(s Model) bool {
		return s.Athletes > 1 && s.Worthwhile > 0 && s.WorthwhileBasis == first.WorthwhileBasis
	}) {
		return
	}
	root := func(of func(Model) float64) float64 {
		square := 0.0
		for _, s := range p.all {
			square += float64(float64(s.Athletes-1) / float64(m.Athletes-len(p.all)) * of(s) * of(s))
		}
		return math.Sqrt(square)
	}
	m.Worthwhile, m.WorthwhileBasis = root(func(s Model) float64 { return s.Worthwhile }), first.WorthwhileBasis
	if p.each(func(s Model) bool { return s.WorthwhileUpper > 0 }) {
		m.WorthwhileLower = root(func(s Model) float64 { return s.WorthwhileLower })
		m.WorthwhileUpper = root(func(s Model) float64 { return s.WorthwhileUpper })
	}
	if p.each(func(s Model) bool { return s.Worthwhile == first.Worthwhile }) {
		m.Worthwhile = first.Worthwhile // no rounding
	}
}
