package retest

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/multiplicity"
)

// Errors that callers test with errors.Is.
var (
	// ErrOwnNoise: the noise was taken from the change that it should judge.
	ErrOwnNoise = errors.New("the noise comes from the very change that is judged")
	// ErrNothing: no athlete has both a baseline and a follow-up in any test.
	ErrNothing = errors.New("no change to judge")
	// ErrNoise: the noise model cannot be used.
	ErrNoise = errors.New("unusable noise model")
	// ErrSessions: baseline and follow-up are not two separate sets of the table's sessions.
	ErrSessions = errors.New("unusable choice of sessions")
	// ErrScores: the columns of the score table do not fit together.
	ErrScores = errors.New("malformed score table")
	// ErrLevel: a level is not between 0 and 1.
	ErrLevel = errors.New("the level must lie between 0 and 1")
	// ErrWorthwhile: a worthwhile change is negative or not a number.
	ErrWorthwhile = errors.New("the worthwhile change must be a number above 0")
)

// Judge judges every follow-up of every test against its baseline, athlete by
// athlete:
//
//	D  = follow-up - baseline, of logarithms on the log scale
//	SE = TE sqrt(1/b + 1/f)
//	L, U = D -+ t(1 - alpha/2, df) SE
//
// where TE is the typical error of one session score and df its degrees of
// freedom, both from the noise model; b and f are the numbers of sessions that
// were averaged, and alpha = 1 - level. SE is right because TE is the whole
// error of a session score from one session to another, day-to-day and
// attempt-to-attempt together, and that is independent between sessions; with
// one session each it is sqrt(2) TE. It holds for scores made of as many
// attempts as those of the noise study. An athlete who has only some of an
// occasion's sessions is judged by those, with the larger SE. Systematic shifts
// between sessions (learning) are part of D.
//
// Where an athlete's scores are means of other numbers of attempts and the
// noise model has variance components, day-to-day σ²as and attempt-to-attempt
// σ²e, SE and df are for what was done,
//
//	SE² = σ²as (1/b + 1/f) + σ²e (e_b + e_f)    df = 2 SE⁴ / Var(SE²)
//
// with e the sum of 1/attempts over the sessions of an occasion, divided by the
// square of their number: 1/(all attempts) where each has equally many. df is
// Satterthwaite's, from the covariance matrix of the components. As many
// attempts as in the study (to 2 %, for studies in which a few are missing)
// keep TE and its df, which on complete tables are the same. The rate of false
// alarms is approximate then. For baseline and study of 3 attempts, 2 sessions,
// σas = σe, alpha 5 % and 8, 12, 20 athletes it is 5.2, 5.1, 5.0 % for a
// follow-up of one attempt, where TE would give 7.2 to 7.7 %, and 4.5, 4.5, 4.9
// % for one of six. It is lower where days differ little (σas 0, 8 athletes: 3.9
// and 3.0 %). More attempts than the study's never make the interval wider:
// the narrowest of the designs from the study's (TE on its df among them) to the one
// at hand holds. Where the components do not help (none, days and
// attempts not told apart, scores that are no means) a warning says so.
//
// The factor is Student's t, not 1.96, because TE is itself an estimate: t
// keeps the rate of false alarms at alpha, 1.96 gives 9 % for alpha = 5 % when
// 8 athletes were studied. It is exact for a baseline and a follow-up outside
// the noise study, and for a baseline that averages all sessions of the study.
// For a baseline that is one session among them the rate is lower than alpha (8
// athletes and 2 sessions: 4.3 %, 12: 4.4 %, 20: 4.6 %), and a warning gives it
// when it is off by more than a tenth of alpha.
//
// Is it past the noise: the interval excludes 0. Does it stand out: Benjamini &
// Hochberg at alpha keeps it among all changes of the call, see [State]. Does it
// matter: the interval against -w to w, see [Matters]. ChanceFlat is what a flat
// prior makes of D, SE and df, ChanceCohort and Best what the changes of the other
// athletes of the arm add: true changes spread by τ around the arm's mean, both
// unknown. Chance is, above and below, the smaller of the two, the rest within:
// of those printed as 85 to 95 % some 83 (8 athletes) to 88 % (40) came true
// (internal/calibration), of ChanceFlat alone 66 to 69. P
// is the two-sided p value of D/SE, adjusted over all changes of the call by
// Holm (1979) and by Benjamini & Hochberg (1995).
//
// Expected is what regression to the mean alone would bring, (1-r)(m - x) with
// x the baseline, m and r the mean and the reliability ICC(C,1) of the noise
// study, r stepped up by Spearman-Brown to b r/(1 + (b-1) r).
//
// Learning is what practice with the test is expected to bring: the last change of the
// mean in the noise study, where nobody trained, times the exposures from the mean place
// of the baseline to the session after it, 1.5 for the mean of sessions 1 and 2. The last
// change stands for the step, and not the mean of several: learning fades, and the first
// step promises too much. AfterLearning is D less that, a second reading that leaves the
// verdict on D alone, with
//
//	SE'² = SE² + (steps SE_s)²    df' = SE'⁴ / (SE²/√df + (steps SE_s)²/√df_s)²
//
// where SE_s is the standard error of the shift, of df_s = n-1. Of the mean of the
// sessions of the study the error is independent of the shift's; a baseline that has one
// of the shift's two sessions alone has a covariance, which is in SE'². SE and SE_s are
// from the same athletes, and df' takes them as fully dependent. With two sessions in
// the study that is exact (the prediction interval of one more difference, n-1 df, where
// Welch's formula would give too many false alarms), with three it is a little cautious.
// With steady practice false alarms are 4.9 to 5.1 % (two sessions) and 4.7 to 5.0 %
// (three) for 8, 12 and 20 athletes. It is approximate for a baseline that is one session of the
// study, and where the interval of the shift has other df than n-1 (incomplete studies).
//
// The numbers of a Change are on the scale of the noise model; scores are in
// the unit of the measure. Multiplying all scores (with TE, mean and worthwhile
// change) changes no verdict, nor does a change of unit on the log scale. The
// arguments are not modified.
//
// A test whose change is part of its noise study is left out with the caveat
// [OwnNoise]: its sessions are known to be in the study, or TE and mean are exactly
// those of the changes judged. When no other test has a change, Judge fails with
// [ErrOwnNoise]. Other errors: [ErrNoise] (TE not a number or negative, df not
// positive, a component negative, another unit), [ErrSessions], [ErrScores],
// [ErrLevel], [ErrWorthwhile], and [ErrNothing] when nobody can be judged.
//
// What stands out was picked for being far out: Selected is its interval at level
// 1 - alpha R/m, R kept of m (Benjamini & Yekutieli 2005), where the plain one covers
// 87 to 90 %. Family.UpTo is the 95 % quantile of how many changes would be past the
// noise had nobody changed, the noise of a test shared by its athletes.
//
// Sources: Benjamini Y, Yekutieli D (2005), Journal of the American Statistical
// Association 100:71-81; Jacobson NS, Truax P (1991), Journal of Consulting and Clinical
// Psychology 59:12-19; Holm S (1979), Scandinavian Journal of Statistics
// 6:65-70; Benjamini Y, Hochberg Y (1995), Journal of the Royal Statistical
// Society B 57:289-300; Satterthwaite FE (1946), Biometrics Bulletin 2:110-114;
// Brennan RL (2001), Generalizability Theory, chapter 4. The t interval is
// Student's with TE in place of an SD.
func Judge(tests []Test, o Options) (Result, error) {
	o, err := o.filled()
	if err != nil {
		return Result{}, err
	}
	r := Result{Level: o.Level, Narrow: o.Narrow, Changes: make([]Change, 0, most(tests))}
	var own ownNoise
	known := map[float64]*tails{}
	for _, t := range tests {
		before := r
		j, err := newJudge(t, o, known)
		if err == nil {
			err = j.run(&r)
		}
		if errors.Is(err, ErrOwnNoise) {
			own.leave(&r, before, t, err)
			continue
		}
		if err != nil {
			return Result{}, fmt.Errorf("%s: %w", t.Measure, err)
		}
		r.Caveats = append(r.Caveats, j.caveats...)
	}
	if o.Family != nil {
		r = r.Of(o.Family)
	}
	if len(r.Changes) == 0 {
		if own.first != nil {
			return Result{}, own.first
		}
		return Result{}, nothing(r)
	}
	adjust(&r)
	if o.UpTo {
		r.Family.UpTo = upTo(r.Changes, r.Level)
	}
	markOut(&r)
	r.Caveats = caveat.Gather(r.Caveats)
	return r, nil
}

// most returns how many changes there can be.
func most(tests []Test) (n int) {
	for _, t := range tests {
		n += len(t.Scores.Athletes) * len(t.FollowUp)
	}
	return n
}

// filled returns o with its defaults.
func (o Options) filled() (Options, error) {
	if o.Level == 0 {
		o.Level = 0.95
	}
	if o.Narrow == 0 {
		o.Narrow = 0.80
	}
	for _, level := range []float64{o.Level, o.Narrow} {
		if !(level > 0 && level < 1) {
			return o, fmt.Errorf("%w: %g", ErrLevel, level)
		}
	}
	return o.withSeason(), nil
}

// run judges one test and adds what it finds to r.
func (j *judge) run(r *Result) error {
	r.Noise = append(r.Noise, j.t.Noise.Clone())
	j.enrol(r)
	j.findBaselines()
	runs := j.newRuns()
	first := len(r.Changes)
	for f := range j.followUp {
		start := len(r.Changes)
		r.Changes = j.judgeFollowUp(r.Changes, f, runs)
		if err := j.refuseSameChanges(f, r.Changes[start:]); err != nil {
			return err
		}
		j.believeFollowUp(r.Changes[start:])
	}
	if len(r.Changes) == first {
		j.doubt(caveat.New(NobodyJudged).With(j.baseline.names...))
	}
	j.checkTrials(r.Changes[first:])
	j.checkPractice()
	j.tellPractice(r)
	j.checkBest()
	if err := j.seasons(r); err != nil {
		return err
	}
	r.Runs = append(r.Runs, runs.list...)
	r.LeftOut = append(r.LeftOut, j.left.list...)
	return nil
}

// adjust fills in what depends on all changes together.
func adjust(r *Result) {
	p := make([]float64, len(r.Changes))
	for i, c := range r.Changes {
		p[i] = c.P
	}
	for _, reading := range r.readings() {
		p = append(p, reading.P)
	}
	holm, bh := multiplicity.Holm(p), multiplicity.BenjaminiHochberg(p)
	alpha := 1 - r.Level
	n := len(r.Changes)
	r.Family = Family{Changes: n, ExpectedFalseAlarms: float64(n) * alpha}
	r.judgeSeasons(bh[n:], alpha)
	for i := range r.Changes {
		c := &r.Changes[i]
		c.PHolm, c.PBH = holm[i], bh[i]
		if c.Past() {
			r.Family.PastNoise++
			if c.PBH <= alpha {
				c.State = StandsOut
				r.Family.StandOut++
			}
		}
		c.Verdict = verdict(c.State, c.Matters)
	}
	share := alpha * float64(r.Family.StandOut+r.Family.SeasonsOut) / float64(len(p))
	for i := range r.Changes {
		if c := &r.Changes[i]; c.Out() {
			half := dist.TQuantile(1-share/2, c.DF) * c.SE
			e := estimate.Around(c.Change.Value, half, c.SE, c.DF, 1-share, estimate.StudentT)
			c.Selected = &e
		}
	}
}

// enrol finds the occasions of the test among those of the result, and adds
// those that are new.
func (j *judge) enrol(r *Result) {
	for _, f := range j.followUp {
		o := Occasion{Baseline: j.baseline.names, FollowUp: f.names}
		i := slices.IndexFunc(r.Occasions, func(p Occasion) bool {
			return slices.Equal(p.Baseline, o.Baseline) && slices.Equal(p.FollowUp, o.FollowUp)
		})
		if i < 0 {
			i = len(r.Occasions)
			r.Occasions = append(r.Occasions, o)
		}
		j.occasions = append(j.occasions, i)
	}
}

// nothing explains why there is no change at all.
func nothing(r Result) error {
	var why []string
	for _, l := range r.LeftOut {
		why = append(why, fmt.Sprintf("%s: %d athletes (%s)", l.Measure, len(l.Athletes),
			strings.ReplaceAll(string(l.Reason), "-", " ")))
	}
	if len(why) == 0 {
		return fmt.Errorf("%w: no test with athletes and a follow-up was given", ErrNothing)
	}
	const shown = 5
	if more := len(why) - shown; more > 0 {
		why = append(why[:shown], fmt.Sprintf("and %d more", more))
	}
	return fmt.Errorf("%w: %s", ErrNothing, strings.Join(why, "; "))
}

// named puts sessions in words: "session 1", "sessions 1, 2".
func named(sessions []string) string {
	if len(sessions) == 1 {
		return "session " + sessions[0]
	}
	return "sessions " + strings.Join(sessions, ", ")
}

func isFinite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
