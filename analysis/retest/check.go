package retest

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/score"
	"noisefloor/analysis/varcomp"
)

// A judge is one checked test with all that its changes have in common.
type judge struct {
	t          Test
	o          Options
	baseline   occasion
	followUp   []occasion
	value      []float64 // scores on the scale of the noise model, NaN where missing
	base       []mean    // of every athlete
	worthwhile worthwhile
	factor     float64 // t(1-alpha/2, df) of the typical error
	regression bool

	practice *practice           // nil when it is not asked for, or not known
	known    map[pair]*precision // of the changes so far

	components   *varcomp.Components // nil when other numbers of attempts cannot be judged by them
	noComponents caveat.Kind         // why not; "" where there is nothing to say

	// Changes on other numbers of attempts than the study's: judged by the
	// components, and not; and whether some of the former are on more.
	through, stuck int
	tops           tops // of the best attempt

	byAthlete map[string]noise.Own // of the athletes, where each is judged by their own
	arms      map[string]string    // of the athletes
	tails     map[float64]*tails   // by degrees of freedom, of all tests of a call

	occasions []int // of each follow-up, among those of the result
	caveats   []caveat.Caveat
	left      leftOut
}

// An occasion is the sessions that are averaged into one score.
type occasion struct {
	names   []string
	columns []int
}

// newJudge checks everything that can be checked before a change is computed.
func newJudge(t Test, o Options, tails map[float64]*tails) (*judge, error) {
	j := &judge{t: t, o: o, left: leftOut{measure: t.Measure}, arms: map[string]string{}, tails: tails}
	for _, check := range []func() error{
		j.checkScores, j.checkSessions, j.checkNoise, j.checkWorthwhile, j.refuseOwnNoise,
	} {
		if err := check(); err != nil {
			return nil, err
		}
	}
	m := t.Noise
	j.factor = dist.TQuantile(0.5+o.Level/2, m.DF)
	j.known = map[pair]*precision{}
	j.checkSummary()
	j.checkFew()
	j.chooseOwn()
	j.chooseComponents()
	j.checkRegression()
	j.choosePractice()
	j.checkShared()
	if m.TypicalError == 0 {
		j.doubt(caveat.New(NoErrorSeen))
	}
	j.value = onScale(t.Scores.Value, m.Scale)
	return j, nil
}

// fewDF is below what the limits are wide: t(0.975, 7) is 2.36 for 1.96. Common
// practice, no source.
const fewDF = 7

// checkFew says how many athletes would cure limits that are wide because few show
// the noise.
func (j *judge) checkFew() {
	m := j.t.Noise
	k := len(m.Sessions)
	if m.DF >= fewDF || k < 2 || m.Athletes < 2 {
		return
	}
	enough := 1 + math.Ceil(fewDF/float64(k-1))
	j.doubt(caveat.New(FewShowNoise, float64(m.Athletes), m.DF, enough).With(m.Group))
}

// doubt notes a caveat about the measure.
func (j *judge) doubt(c caveat.Caveat) {
	j.caveats = append(j.caveats, c.About(j.t.Measure))
}

func (j *judge) checkScores() error {
	s := j.t.Scores
	cells := len(s.Athletes) * len(s.Sessions)
	if len(s.Value) != cells || (s.Trials != nil && len(s.Trials) != cells) {
		return fmt.Errorf("%w: %d athletes by %d sessions, but %d values and %d counts of attempts",
			ErrScores, len(s.Athletes), len(s.Sessions), len(s.Value), len(s.Trials))
	}
	if j.t.Arms != nil && len(j.t.Arms) != len(s.Athletes) {
		return fmt.Errorf("%w: %d athletes, but %d arms", ErrScores, len(s.Athletes), len(j.t.Arms))
	}
	for i, arm := range j.t.Arms {
		j.arms[s.Athletes[i]] = arm
	}
	return nil
}

func (j *judge) checkSessions() (err error) {
	if j.baseline, err = j.occasion("baseline", j.t.Baseline); err != nil {
		return err
	}
	if len(j.t.FollowUp) == 0 {
		return fmt.Errorf("%w: no follow-up is named", ErrSessions)
	}
	for _, names := range j.t.FollowUp {
		f, err := j.occasion("follow-up", names)
		if err != nil {
			return err
		}
		for _, s := range f.names {
			if slices.Contains(j.baseline.names, s) {
				return fmt.Errorf("%w: session %s is both baseline and follow-up", ErrSessions, s)
			}
		}
		j.followUp = append(j.followUp, f)
	}
	return nil
}

// occasion finds the named sessions in the table.
func (j *judge) occasion(what string, names []string) (occasion, error) {
	if len(names) == 0 {
		return occasion{}, fmt.Errorf("%w: the %s has no session", ErrSessions, what)
	}
	o := occasion{names: slices.Clone(names)}
	for i, name := range names {
		column := slices.Index(j.t.Scores.Sessions, name)
		if column < 0 {
			return o, fmt.Errorf("%w: %w %q for the %s; the table has %s", ErrSessions, score.ErrNoSession,
				name, what, strings.Join(j.t.Scores.Sessions, ", "))
		}
		if slices.Contains(names[:i], name) {
			return o, fmt.Errorf("%w: session %s is named twice for the %s", ErrSessions, name, what)
		}
		o.columns = append(o.columns, column)
	}
	return o, nil
}

func (j *judge) checkNoise() error {
	m := j.t.Noise
	switch {
	case !(m.TypicalError >= 0) || math.IsInf(m.TypicalError, 1):
		return fmt.Errorf("%w: its typical error is %g; it must be a number, 0 or above", ErrNoise, m.TypicalError)
	case !(m.DF > 0):
		return fmt.Errorf("%w: its degrees of freedom are %g; they must be above 0 (at least 2 athletes and 2 "+
			"sessions)", ErrNoise, m.DF)
	case m.Scale != "" && m.Scale != score.Raw && m.Scale != score.Log:
		return fmt.Errorf("%w: its scale is %q, neither raw nor log", ErrNoise, m.Scale)
	case otherUnit(m, j.t.Unit) && m.Scale != score.Log:
		return fmt.Errorf("%w: it is in %s, the scores are in %s; bring both to one unit", ErrNoise, m.Unit, j.t.Unit)
	}
	return checkComponents(m.Components)
}

// checkComponents refuses what no fit leaves behind. Components that are NaN
// are not known, and not used.
func checkComponents(c *varcomp.Components) error {
	if c == nil {
		return nil
	}
	for _, v := range []float64{c.Athlete, c.AthleteSession, c.Trial} {
		if v < 0 || math.IsInf(v, 1) {
			return fmt.Errorf("%w: a variance component is %g; it must be a number, 0 or above", ErrNoise, v)
		}
	}
	return nil
}

func otherUnit(m noise.Model, unit string) bool {
	return m.Unit != "" && unit != "" && m.Unit != unit
}

// checkWorthwhile takes the worthwhile change of the test, a stated number, else that of
// the noise study with its interval.
func (j *judge) checkWorthwhile() error {
	m := j.t.Noise
	w := worthwhile{m.Worthwhile, m.WorthwhileLower, m.WorthwhileUpper}
	if j.t.Worthwhile != nil {
		w = worthwhile{value: *j.t.Worthwhile}
	}
	if w.value < 0 || math.IsInf(w.value, 0) || j.t.Worthwhile != nil && math.IsNaN(w.value) {
		return fmt.Errorf("%w: %g", ErrWorthwhile, w.value)
	}
	switch {
	case !(w.value > 0):
		w = worthwhile{math.NaN(), math.NaN(), math.NaN()}
	case !(w.lower <= w.value && w.value <= w.upper):
		w.lower, w.upper = w.value, w.value
	}
	j.worthwhile = w
	return nil
}

func (j *judge) checkSummary() {
	scores, study := j.t.Summary, j.t.Noise.Summary
	if scores != "" && study != "" && scores != study {
		j.doubt(caveat.New(OtherSummary).With(string(scores), string(study)))
	}
}

// checkRegression decides whether regression to the mean can be computed.
func (j *judge) checkRegression() {
	if !j.o.Regression {
		return
	}
	m := j.t.Noise
	switch {
	case !isFinite(m.ICC) || !isFinite(m.Mean) || m.ICC > 1 || (m.ICC == 0 && m.Mean == 0):
		j.doubt(caveat.New(NoRegression))
	case otherUnit(m, j.t.Unit):
		j.doubt(caveat.New(RegressionInOtherUnit).With(m.Unit, j.t.Unit))
	case m.ICC < 0:
		j.doubt(caveat.New(NegativeICC, m.ICC))
		j.regression = true
	default:
		j.regression = true
	}
}

// onScale takes logarithms on the log scale; what has none becomes -Inf, which
// is how a score of zero or below is recognised later.
func onScale(raw []float64, s score.Scale) []float64 {
	if s != score.Log {
		return raw
	}
	logs := make([]float64, len(raw))
	for i, v := range raw {
		logs[i] = math.Inf(-1)
		if !(v <= 0) {
			logs[i] = math.Log(v)
		}
	}
	return logs
}
