package reliability

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"noisefloor/analysis/agreement"
	"noisefloor/analysis/anova"
	"noisefloor/analysis/score"
)

// MinAthletes is the fewest athletes, each with every session, for a typical
// error. With two sessions four athletes leave 3 degrees of freedom, where the
// upper 95 % limit is 3.7 times the estimate; with three athletes it is 6.3
// times, with two 32 times: no answer worth printing.
const MinAthletes = 4

// Errors that callers test with errors.Is.
var (
	ErrFewAthletes = errors.New("too few athletes")
	ErrOneSession  = errors.New("reliability needs at least two sessions")
	ErrNotPositive = score.ErrNotPositive // a score of zero or below on the log scale
	ErrNonFinite   = errors.New("not a finite number")
	ErrOption      = errors.New("bad option")
)

// Analyse measures how noisy a test is, from session scores of n athletes in k
// sessions. With the mean squares MSR (athletes), MSC (sessions) and MSE
// (residual) of the complete two-way table it reports
//
//	typical error       TE = sqrt(MSE), df = (n-1)(k-1)
//	agreement error     sqrt(MSE + max(0, (MSC-MSE)/n))
//	true SD             sqrt(max(0, (MSR-MSE)/k))
//	observed SD         sqrt(MSR/k)
//	detectable change   t(1-alpha/2, df) sqrt(2) TE
//
// the six intraclass correlations of [FromANOVA], the smallest worthwhile
// change, the changes of the mean between sessions, the agreement of two
// sessions, the groups, and the athletes that weigh most. Typical error and
// standard deviations have chi-square intervals, sd sqrt(df/q).
//
// Everything is on the scale of Options.Scale: the unit of the scores, or
// natural-log units with percent companions. Athletes without a score in every
// session are left out and listed in LeftOut; those without any score are
// listed too, but do not make the table incomplete. t and o are not modified.
//
// Special cases are:
//
//	Analyse = ErrOption      if an option makes no sense, or does not fit the table
//	Analyse = ErrOneSession  if the table has fewer than two sessions
//	Analyse = ErrNonFinite   if a score is infinite
//	Analyse = ErrFewAthletes if fewer than MinAthletes have every session
//	Analyse = ErrNotPositive if a score is not above zero on the log scale
//	Analyse = anova.ErrOverflow if the sums of squares exceed float64
//	all scores equal         TE = 0 and the ICCs are NaN, with a warning
//	no residual              TE = 0 and the ICCs are 1 without limits, with a warning
//
// Sources: McGraw & Wong (1996), Psychological Methods 1, 30-46; Weir (2005),
// J Strength Cond Res 19(1), 231-240 (typical error, detectable change); Hopkins
// (2000), Sports Med 30(1), 1-15 (typical error on logarithms).
func Analyse(t score.Table, o Options) (Result, error) {
	if err := o.fill(t); err != nil {
		return Result{}, err
	}
	s, err := newStudy(t, o)
	if err != nil {
		return Result{}, err
	}
	r, err := s.describe()
	if err != nil {
		return Result{}, err
	}
	r.noise()
	r.ICC = FromANOVA(r.ANOVA, r.Level)
	p := partsOf(s.table.Value, r.ANOVA)
	r.worthwhile(s, p)
	r.sessions(s)
	r.groups(s)
	r.Influence = influence(s.table.Athletes, p, r.ANOVA)
	if err := r.agree(s); err != nil {
		return Result{}, err
	}
	r.warn(s)
	return r, nil
}

// fill puts the defaults in and checks the options against the table.
func (o *Options) fill(t score.Table) error {
	if o.Level == 0 {
		o.Level = 0.95
	}
	if o.Scale == "" {
		o.Scale = score.Raw
	}
	if o.Replicates == 0 {
		o.Replicates = 2000
	}
	n, k := len(t.Athletes), len(t.Sessions)
	switch {
	case !(o.Level > 0 && o.Level < 1):
		return fmt.Errorf("%w: level %g is not between 0 and 1", ErrOption, o.Level)
	case o.Scale != score.Raw && o.Scale != score.Log:
		return fmt.Errorf("%w: scale %q (raw or log)", ErrOption, o.Scale)
	case o.Replicates < 0:
		return fmt.Errorf("%w: %d resamples", ErrOption, o.Replicates)
	case len(t.Value) != n*k || (t.Trials != nil && len(t.Trials) != n*k):
		return fmt.Errorf("%w: table of %d athletes and %d sessions holds %d scores and %d counts",
			ErrOption, n, k, len(t.Value), len(t.Trials))
	case o.Group != nil && len(o.Group) != n:
		return fmt.Errorf("%w: %d groups for %d athletes", ErrOption, len(o.Group), n)
	}
	if k < 2 {
		return fmt.Errorf("%w: have %d", ErrOneSession, k)
	}
	if err := o.fillPair(t.Sessions); err != nil {
		return err
	}
	return o.Worthwhile.fill(n)
}

func (o *Options) fillPair(sessions []string) error {
	if o.Pair == [2]string{} {
		o.Pair = [2]string(sessions[len(sessions)-2:])
	}
	for _, name := range o.Pair {
		if !slices.Contains(sessions, name) {
			return fmt.Errorf("%w: %q", score.ErrNoSession, name)
		}
	}
	if o.Pair[0] == o.Pair[1] {
		return fmt.Errorf("%w: agreement of session %q with itself", ErrOption, o.Pair[0])
	}
	return nil
}

// A study is the complete table that is analysed, on its scale.
type study struct {
	table   score.Table // complete; logarithms on the log scale
	rows    []int       // index of each athlete in the table that came in
	leftOut []LeftOut
	partial int // athletes left out although they have a score
	options Options
}

func newStudy(t score.Table, o Options) (study, error) {
	if t.Trials == nil {
		t.Trials = onePerScore(t.Value)
	}
	s := study{rows: t.Complete(), options: o}
	for i, v := range t.Value {
		if math.IsInf(v, 0) {
			k := len(t.Sessions)
			return study{}, fmt.Errorf("%w: athlete %s, session %s has %g", ErrNonFinite, t.Athletes[i/k], t.Sessions[i%k], v)
		}
	}
	s.leftOut, s.partial = leftOut(t)
	if len(s.rows) < MinAthletes {
		return study{}, fmt.Errorf("%w: %s", ErrFewAthletes, tooFew(len(s.rows), s.leftOut))
	}
	s.table = t
	if len(s.rows) < len(t.Athletes) {
		s.table = t.Rows(s.rows)
	}
	if o.Scale == score.Log {
		logs, err := s.table.Log()
		if err != nil {
			return study{}, err
		}
		s.table = logs
	}
	return s, nil
}

// onePerScore stands in for a table that does not count its attempts.
func onePerScore(value []float64) []int32 {
	trials := make([]int32, len(value))
	for i, v := range value {
		if !math.IsNaN(v) {
			trials[i] = 1
		}
	}
	return trials
}

// describe fills what the table is, before any question is asked of it.
func (s study) describe() (Result, error) {
	o := s.options
	n, k := len(s.table.Athletes), len(s.table.Sessions)
	a, err := anova.AnalyseTwoWay(s.table.Value, n, k)
	if err != nil { // complete and finite, so the sums overflow
		return Result{}, err
	}
	r := Result{
		Scale: o.Scale, Level: o.Level, Athletes: n, Sessions: s.table.Sessions,
		Complete: s.partial == 0, LeftOut: s.leftOut,
		ANOVA: withoutRounding(a), Mean: a.GrandMean,
	}
	var trials int
	for _, c := range s.table.Trials {
		trials += int(c)
	}
	r.Trials = float64(trials) / float64(n*k)
	for j, name := range s.table.Sessions {
		r.SessionMeans = append(r.SessionMeans, SessionMean{Session: name, N: n,
			Mean: a.ColMeans[j], SD: sdAround(column(s.table, j), a.ColMeans[j])})
	}
	return r, nil
}

// agree compares the two sessions of Options.Pair.
func (r *Result) agree(s study) error {
	from, to := slices.Index(s.table.Sessions, s.options.Pair[0]), slices.Index(s.table.Sessions, s.options.Pair[1])
	a, err := agreement.Compare(s.table.Athletes, column(s.table, from), column(s.table, to),
		s.options.Pair[0], s.options.Pair[1],
		agreement.Options{Level: r.Level, OnLog: r.Scale == score.Log})
	if err != nil {
		return err
	}
	r.Agreement = &a
	return nil
}

func column(t score.Table, j int) []float64 {
	x := make([]float64, len(t.Athletes))
	for i := range x {
		x[i] = t.At(i, j)
	}
	return x
}
