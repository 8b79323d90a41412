package reliability

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"noisefloor/analysis/agreement"
	"noisefloor/analysis/anova"
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/decision"
	"noisefloor/analysis/moment"
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
//	agreement error     sqrt(MSE + max(0, (MSC-MSE)/n)), generalized interval
//	true SD             sqrt(max(0, (MSR-MSE)/k))
//	observed SD         sqrt(MSR/k)
//	detectable change   t(1-alpha/2, df) sqrt(2) TE
//
// the six intraclass correlations of [FromANOVA], the smallest worthwhile
// change, the changes of the mean between sessions, the agreement of two
// sessions, the groups, and the athletes that weigh most. Typical error and
// standard deviations have chi-square intervals, sd sqrt(df/q).
//
// Whether one typical error is true for all is asked of the athletes' own variances
// (does the error grow with the score; is it of one size) and of the tails of the errors.
//
// Everything is on the scale of Options.Scale: the unit of the scores, or
// natural-log units with percent companions. t and o are not modified.
//
// Where athletes lack a session the mean squares give way to the variances of
// athletes (σ²a) and residual (σ²e) by REML of every score, with a mean for each
// session, which on a complete table with MSR >= MSE are (MSR-MSE)/k and MSE:
//
//	typical error       sqrt(σ²e), REML profile limits, Satterthwaite df
//	ICC(C,1), ICC(C,k)  σ²a/(σ²a+σ²e), kσ²a/(kσ²a+σ²e), exact F (see [varcomp.Result.Ratio])
//	ICC(1), ICC(k)      the same from the fit with one mean
//	ICC(A,1), ICC(A,k)  with σ²c, the variance of the session means, estimated
//	                    without bias: σ²a/(σ²a+σ²c+σ²e); Satterthwaite F
//	changes of the mean generalised least squares, Student t, Satterthwaite df
//	observed SD         sqrt(σ²a+σ²e/k)
//
// The typical error of a pair of sessions is then that of the athletes with both.
// [CompleteCases] leaves those athletes out instead. Either way LeftOut lists
// who is not used; athletes without any score do not make a table incomplete.
//
// With Options.Attempts the components of variance are fitted to the attempts
// (on their logarithms on the log scale) and Decision and Cheapest are made.
//
// Special cases are:
//
//	Analyse = ErrOption      if an option makes no sense, or does not fit the table
//	Analyse = ErrOneSession  if the table has fewer than two sessions
//	Analyse = ErrNonFinite   if a score is infinite
//	Analyse = ErrFewAthletes if fewer than MinAthletes have every session; where
//	                         every score is used: two sessions, if a session has
//	                         no score, or if less than 3 df are left for the error
//	Analyse = ErrNotPositive if a score is not above zero on the log scale
//	Analyse = anova.ErrOverflow if the sums of squares exceed float64
//	all scores equal         TE = 0 and the ICCs are NaN, with a caveat
//	no residual              TE = 0 and the ICCs are 1 without limits, with a caveat
//
// Sources: McGraw & Wong (1996), Psychological Methods 1, 30-46; Weir (2005),
// J Strength Cond Res 19(1), 231-240 (typical error, detectable change); Hopkins
// (2000), Sports Med 30(1), 1-15 (typical error on logarithms); Patterson &
// Thompson (1971), Biometrika 58, 545-554 (REML).
func Analyse(t score.Table, o Options) (Result, error) {
	if err := o.fill(t); err != nil {
		return Result{}, err
	}
	s, err := newStudy(t, o)
	if err != nil {
		return Result{}, err
	}
	r := s.describe()
	if s.every {
		e, err := fitEvery(s.all, o.Level)
		if err != nil {
			return Result{}, err
		}
		r.Mean = e.mean()
		s.shifts = e.shifts
		r.noiseEvery(e, s.options)
		if o.Bootstrap {
			r.doubt(NoResampling)
		}
		r.worthwhile(s, e.spread(s))
		r.sessions(e.meanChange(s.all), e.sessionTest())
		r.Influence = e.influence(s)
		e.doubt(&r)
	} else {
		p := partsOf(s.table.Value, s.anova)
		s.shifts = s.sessionShifts
		r.noise(s.options)
		r.ICC = fromANOVA(r.ANOVA, r.Level, o.Lean)
		if err := r.addBCa(s); err != nil {
			return Result{}, err
		}
		r.worthwhile(s, p.spread(s))
		r.sessions(pairedChange(s.table, r.Level), sessionTest(r.ANOVA))
		r.Influence = influence(s.table.Athletes, p, r.ANOVA)
	}
	r.groups(s)
	r.components(s)
	r.errors(s)
	if err := r.agree(s); err != nil {
		return Result{}, err
	}
	r.caveats(s)
	r.verdicts()
	return r, nil
}

// fill puts the defaults in and checks the options against the table.
func (o *Options) fill(t score.Table) error {
	if o.Level == 0 {
		o.Level = 0.95
	}
	if o.Power == 0 {
		o.Power = decision.DefaultPower
	}
	if o.Scale == "" {
		o.Scale = score.Raw
	}
	if o.Missing == "" {
		o.Missing = AllScores
	}
	if o.Replicates == 0 {
		o.Replicates = 2000
	}
	n, k := len(t.Athletes), len(t.Sessions)
	switch {
	case !(o.Level > 0 && o.Level < 1):
		return fmt.Errorf("%w: level %g is not between 0 and 1", ErrOption, o.Level)
	case !(o.Power > 0 && o.Power < 1):
		return fmt.Errorf("%w: power %g is not between 0 and 1", ErrOption, o.Power)
	case o.Scale != score.Raw && o.Scale != score.Log:
		return fmt.Errorf("%w: scale %q (raw or log)", ErrOption, o.Scale)
	case o.Missing != AllScores && o.Missing != CompleteCases:
		return fmt.Errorf("%w: missing sessions %q (%s or %s)", ErrOption, o.Missing, AllScores, CompleteCases)
	case o.Replicates < 0:
		return fmt.Errorf("%w: %d resamples", ErrOption, o.Replicates)
	case len(t.Value) != n*k || (t.Trials != nil && len(t.Trials) != n*k):
		return fmt.Errorf("%w: table of %d athletes and %d sessions holds %d scores and %d counts",
			ErrOption, n, k, len(t.Value), len(t.Trials))
	case o.Attempts != nil && (len(o.Attempts.Athletes) != n || len(o.Attempts.Sessions) != k):
		return fmt.Errorf("%w: attempts of %d athletes in %d sessions, scores of %d in %d",
			ErrOption, len(o.Attempts.Athletes), len(o.Attempts.Sessions), n, k)
	case o.Group != nil && len(o.Group) != n:
		return fmt.Errorf("%w: %d groups for %d athletes", ErrOption, len(o.Group), n)
	}
	if k < 2 {
		return fmt.Errorf("%w: have %d", ErrOneSession, k)
	}
	o.noPair = o.Lean && o.Pair == [2]string{}
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

// A study is what is analysed, on its scale.
type study struct {
	table   score.Table  // the athletes with every session; logarithms on the log scale
	anova   anova.TwoWay // of table
	rows    []int        // index of each athlete of table in the table that came in
	every   bool         // by REML of all
	all     score.Table  // the athletes with a score; table unless every
	allRows []int
	leftOut []LeftOut
	partial int              // athletes with a score that lack a session
	shifts  func() []float64 // of the sessions, from the mean of all
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
			return study{}, fmt.Errorf("%w: athlete %s, session %s has %g", ErrNonFinite, t.Athletes[i/k],
				t.Sessions[i%k], v)
		}
	}
	s.leftOut, s.partial = leftOut(t)
	s.every = s.partial > 0 && o.Missing == AllScores
	if err := s.enough(t); err != nil {
		return study{}, err
	}
	s.all, s.allRows = t, s.rows
	if s.every {
		s.allRows = t.Seen()
		s.leftOut = slices.DeleteFunc(s.leftOut, func(l LeftOut) bool { return !l.Never })
	}
	if len(s.allRows) < len(t.Athletes) {
		s.all = t.Rows(s.allRows)
	}
	if o.Scale == score.Log {
		logs, err := s.all.Log()
		if err != nil {
			return study{}, err
		}
		s.all = logs
	}
	s.table = s.all
	if s.every {
		s.table = s.all.Rows(append([]int{}, s.all.Complete()...)) // nil would mean all
	}
	return s.analysed()
}

// enough refuses a table with too few athletes to say anything.
func (s study) enough(t score.Table) error {
	if !s.every || len(t.Sessions) == 2 {
		if len(s.rows) < MinAthletes {
			return fmt.Errorf("%w: %s", ErrFewAthletes, tooFew(len(s.rows), "every session", s.leftOut))
		}
		return nil
	}
	if n := repeated(t); n < MinAthletes {
		return fmt.Errorf("%w: %s", ErrFewAthletes, tooFew(n, "two sessions or more", s.leftOut))
	}
	if name := emptySession(t); name != "" {
		return fmt.Errorf("%w: nobody has a score in session %s; choose other sessions", ErrFewAthletes, name)
	}
	return nil
}

// analysed adds the analysis of variance of the athletes with every session.
func (s study) analysed() (study, error) {
	n, k := len(s.table.Athletes), len(s.table.Sessions)
	if n < 2 {
		nan := math.NaN()
		s.anova = anova.TwoWay{N: n, K: k, GrandMean: nan, MSR: nan, MSC: nan, MSE: nan, MSW: nan}
		return s, nil
	}
	a, err := anova.AnalyseTwoWay(s.table.Value, n, k)
	s.anova = withoutRounding(a)
	return s, err // complete and finite, so an error is sums that overflow
}

// repeated counts the athletes with two scores or more.
func repeated(t score.Table) (n int) {
	for i := range t.Athletes {
		seen := 0
		for _, v := range t.Row(i) {
			if !math.IsNaN(v) {
				seen++
			}
		}
		if seen >= 2 {
			n++
		}
	}
	return n
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
func (s study) describe() Result {
	r := Result{
		Scale: s.options.Scale, Level: s.options.Level, Athletes: len(s.all.Athletes), Sessions: s.all.Sessions,
		Complete: s.partial == 0, LeftOut: s.leftOut, Route: s.route(),
		ANOVA: s.anova, Mean: s.anova.GrandMean,
	}
	var trials, scores int
	for i, c := range s.all.Trials {
		if !math.IsNaN(s.all.Value[i]) {
			trials, scores = trials+int(c), scores+1
		}
	}
	r.Trials = float64(trials) / float64(scores)
	for j, name := range s.all.Sessions {
		seen := slices.DeleteFunc(column(s.all, j), math.IsNaN)
		m := SessionMean{Session: name, N: len(seen), Mean: moment.Mean(seen), SD: math.NaN()}
		if !s.every {
			m.Mean = s.anova.ColMeans[j]
		}
		if len(seen) > 1 {
			m.SD = sdAround(seen, m.Mean)
		}
		r.SessionMeans = append(r.SessionMeans, m)
	}
	return r
}

// agree compares the two sessions of Options.Pair.
func (r *Result) agree(s study) error {
	if s.options.noPair {
		return nil
	}
	from, to := slices.Index(s.all.Sessions, s.options.Pair[0]), slices.Index(s.all.Sessions, s.options.Pair[1])
	a, err := agreement.Compare(s.all.Athletes, column(s.all, from), column(s.all, to),
		s.options.Pair[0], s.options.Pair[1],
		agreement.Options{Level: r.Level, OnLog: r.Scale == score.Log})
	switch {
	case errors.Is(err, agreement.ErrFewPairs):
		both := float64(together(s.all, from, to))
		r.Caveats = append(r.Caveats, caveat.New(NoAgreement, both, agreement.MinPairs).With(s.options.Pair[0],
			s.options.Pair[1]))
		return nil
	case err != nil:
		return err
	}
	r.Agreement = &a
	if math.IsNaN(r.Growth.Slope.Value) { // the pair alone must tell
		r.ScaleAdvice = a.Advice
	}
	return nil
}

// together counts the athletes with a score in both sessions.
func together(t score.Table, from, to int) (n int) {
	for i := range t.Athletes {
		if !math.IsNaN(t.At(i, from)) && !math.IsNaN(t.At(i, to)) {
			n++
		}
	}
	return n
}

func column(t score.Table, j int) []float64 {
	x := make([]float64, len(t.Athletes))
	for i := range x {
		x[i] = t.At(i, j)
	}
	return x
}
