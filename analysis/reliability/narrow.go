package reliability

import (
	"math"

	"noisefloor/analysis/bootstrap"
	"noisefloor/analysis/cell"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
)

// GrowthOf is Result.Growth alone, from session scores and the attempts behind them
// (nil: of scores alone), both on o.Scale. It fails as [Analyse].
func GrowthOf(t score.Table, attempts *cell.Table, o Options) (Growth, error) {
	o.Attempts = attempts
	s, all, err := complete(t, &o)
	if err != nil {
		return Growth{}, err
	}
	own, x := s.ownVariances(all)
	return growth(own, x, o.Scale == score.Log, o.Level), nil
}

// EqualNoiseOf are the p values of Result.Equal and Result.Tails alone, of a table in
// which no score is missing. It fails as [Analyse].
func EqualNoiseOf(t score.Table) (differ, tails float64, err error) {
	_, all, err := complete(t, &Options{})
	if err != nil {
		return math.NaN(), math.NaN(), err
	}
	null := nullOf(all)
	return null.beyond(null.spread, spreadOf(all)), null.beyond(null.tail, tailOf(all)), nil
}

// RobustErrorOf is Tails.Robust alone, of a table in which no score is missing. It
// fails as [Analyse].
func RobustErrorOf(t score.Table, o Options) (estimate.Estimate, error) {
	s, _, err := complete(t, &o)
	if err != nil {
		return estimate.Estimate{}, err
	}
	return robustError(s.all.Value, len(s.all.Sessions), s.sessionShifts, o.Level,
		bootstrap.Options{Replicates: o.Replicates, Seed: o.Seed, Level: o.Level}), nil
}

// AgreementErrorOf is Result.AgreementError alone, of a table in which no score is
// missing. It fails as [Analyse].
func AgreementErrorOf(t score.Table, level float64) (estimate.Estimate, error) {
	s, _, err := complete(t, &Options{Level: level})
	if err != nil {
		return estimate.Estimate{}, err
	}
	a := s.anova
	return squares{n: float64(a.N), k: float64(a.K), sessions: a.MSC, error: a.MSE, df2: a.DFError}.agreementError(level),
		nil
}

// GroupTestOf are the tests of equal typical errors alone, of a table in which no
// score is missing; groups as in Options.Group. It fails as [Analyse].
func GroupTestOf(t score.Table, groups []string) (GroupTest, error) {
	s, _, err := complete(t, &Options{Group: groups})
	if err != nil {
		return GroupTest{}, err
	}
	parts, _ := s.split()
	var variance, df []float64
	for _, p := range parts {
		variance, df = append(variance, p.variance), append(df, p.df)
	}
	test := equalVariances(variance, df)
	if test.Why == "" {
		test.judge(s, parts, 1-s.options.Level)
	}
	return test, nil
}

// complete is a study whose athletes lack no session, and its errors.
func complete(t score.Table, o *Options) (study, []sessionError, error) {
	o.Missing = CompleteCases
	if err := o.fill(t); err != nil {
		return study{}, nil, err
	}
	s, err := newStudy(t, *o)
	if err != nil {
		return study{}, nil, err
	}
	return s, sessionErrors(s.all.Value, len(s.all.Sessions), s.sessionShifts(), s.anova.DFError), nil
}
