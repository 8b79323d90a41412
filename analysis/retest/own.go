package retest

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/caveat"
)

// refuseOwnNoise fails when all sessions of a baseline and of a follow-up were
// sessions of one noise study.
func (j *judge) refuseOwnNoise() error {
	for _, f := range j.followUp {
		if slices.ContainsFunc(j.t.Studied, func(study []string) bool {
			return within(j.baseline.names, study) && within(f.names, study)
		}) {
			return j.own(f, fmt.Sprintf("%s and %s are both part of the noise study, so its typical error contains the "+
				"change it would judge", named(j.baseline.names), named(f.names)))
		}
	}
	return nil
}

func within(names, study []string) bool {
	return !slices.ContainsFunc(names, func(s string) bool { return !slices.Contains(study, s) })
}

// own is the error of a follow-up that was part of the noise study.
func (j *judge) own(f occasion, why string) error {
	return &ownChange{[]string{strings.Join(j.baseline.names, "+"), strings.Join(f.names, "+")}, why}
}

// An ownChange is a change that its own noise was made from.
type ownChange struct {
	names []string // of the sessions of the baseline, and of the follow-up
	why   string
}

func (e *ownChange) Error() string {
	return fmt.Sprintf("%v: %s; take the noise from other sessions with no training between them, or judge a session "+
		"outside the study", ErrOwnNoise, e.why)
}

// Unwrap makes the error an [ErrOwnNoise].
func (e *ownChange) Unwrap() error { return ErrOwnNoise }

// ownNoise collects the tests that are left out because their noise is their own.
type ownNoise struct{ first error }

// leave takes back what was found of a test, and says why.
func (o *ownNoise) leave(r *Result, before Result, t Test, err error) {
	*r = before
	if o.first == nil {
		o.first = fmt.Errorf("%s: %w", t.Measure, err)
	}
	c := caveat.New(OwnNoise).About(t.Measure)
	if own := (*ownChange)(nil); errors.As(err, &own) {
		c = c.With(own.names...)
	}
	r.Caveats = append(r.Caveats, c)
}

// studied reports whether the session in a column was one of the noise study's;
// of several studies nothing is said.
func (j *judge) studied(column int) bool {
	return len(j.t.Studied) == 1 && slices.Contains(j.t.Studied[0], j.t.Scores.Sessions[column])
}

// sameChange is how close two typical errors must be to have been computed
// from the same numbers; rounding leaves far less, chance almost never hits it.
const sameChange = 1e-9

// refuseSameChanges fails when the typical error is that of the very changes
// judged, sqrt(var(D)/2) with n-1 df, and the mean of the noise study is theirs
// too: a copy of the table under another form. When only the typical error
// agrees, or the scores are coarse, which can be by chance, it warns.
func (j *judge) refuseSameChanges(f int, changes []Change) error {
	m, n := j.t.Noise, len(changes)
	if len(j.baseline.columns)+len(j.followUp[f].columns) != 2 || m.DF != float64(n-1) || m.TypicalError == 0 {
		return nil
	}
	d, level := make([]float64, n), make([]float64, 2*n)
	for i, c := range changes {
		d[i] = c.Change.Value
		level[2*i], level[2*i+1] = j.scaled(c.Baseline), j.scaled(c.FollowUp)
	}
	_, variance := moments(d)
	if !near(math.Sqrt(variance/2), m.TypicalError) {
		return nil
	}
	to := named(j.followUp[f].names)
	grand, _ := moments(level)
	if coarse(level) || m.Mean != 0 && isFinite(m.Mean) && !near(grand, m.Mean) {
		j.doubt(caveat.New(LooksLikeOwnNoise).With(j.followUp[f].names...))
		return nil
	}
	return j.own(j.followUp[f], fmt.Sprintf("the typical error %g with df %g is exactly that of the changes from %s to %s",
		m.TypicalError, m.DF, named(j.baseline.names), to))
}

// coarse reports whether fewer than half of the scores are of their own: typical
// errors and means of such scores are a few numbers, which other scores hit by chance
// (1 to 3 points, 8 athletes: one table in ten).
func coarse(scores []float64) bool {
	sorted := slices.Sorted(slices.Values(scores))
	return 2*len(slices.Compact(sorted)) < len(scores)
}

func near(a, b float64) bool { return math.Abs(a-b) <= sameChange*math.Abs(b) }

// moments returns the mean and the variance (n-1), by two passes.
func moments(x []float64) (mean, variance float64) {
	n := float64(len(x))
	for _, v := range x {
		mean += v / n
	}
	for _, v := range x {
		variance += float64((v-mean)*(v-mean)) / (n - 1)
	}
	return mean, variance
}

// checkShared warns when some of the judged sessions were in the noise study
// and the rate of false alarms therefore is not the stated one.
func (j *judge) checkShared() {
	alpha := 1 - j.o.Level
	var rates []float64
	var names [][]string // of the follow-ups with that rate
	for _, f := range j.followUp {
		rate := j.falseAlarms(f)
		at := slices.Index(rates, rate)
		if at < 0 {
			at = len(rates)
			rates, names = append(rates, rate), append(names, nil)
		}
		names[at] = append(names[at], f.names...)
	}
	for i, rate := range rates {
		if math.Abs(rate-alpha) > alpha/10 {
			j.doubt(caveat.New(SharedSessions, rate, alpha).With(append([]string{strings.Join(j.baseline.names,
				", ")}, names[i]...)...))
		}
	}
}

// falseAlarms returns the rate of false alarms of a follow-up, for an athlete
// of the noise study.
func (j *judge) falseAlarms(f occasion) float64 {
	m := j.t.Noise
	rho2 := j.shared(f)
	if rho2 == 0 || m.DF < 1 || m.TypicalError == 0 {
		return 1 - j.o.Level
	}
	return falseAlarms(j.factor, m.DF, rho2)
}

// shared returns the squared correlation between the error of a change of an
// athlete of the noise study and that athlete's part of the typical error. With
// c the weights of the sessions in the change (1/f, -1/b) and c' their mean over
// the k sessions of the study, of n athletes,
//
//	rho² = (1 - 1/n) sum over the study of (c - c')² / sum of c²
//
// It is 0 when the change has no session in the study or weighs all alike.
func (j *judge) shared(f occasion) float64 {
	n, k := float64(j.t.Noise.Athletes), float64(len(j.t.Noise.Sessions))
	if n < 2 || k < 2 {
		return 0
	}
	var all, within, sum float64
	add := func(o occasion, sign float64) {
		weight := sign / float64(len(o.columns))
		for _, c := range o.columns {
			all += weight * weight
			if j.studied(c) {
				within += weight * weight
				sum += weight
			}
		}
	}
	add(j.baseline, -1)
	add(f, 1)
	rho2 := (1 - 1/n) * (within - sum*sum/k) / all
	if rho2 < 1e-12 { // rounding
		return 0
	}
	return min(rho2, 1-1/n)
}

// falseAlarms returns P(|T| > t) for T = D/SE under no change, when D shares
// part of its error with the typical error in SE, as [judge.shared] says.
//
// In units of one error, D is rho U + sqrt(1-rho²) W and TE² is (U² + V)/df
// with U, W standard normal and V chi-square with df-1. So |T| > t means
// x'Ax > t² V for x = (U, W) and A = df aa' - t² diag(1, 0), a = (rho,
// sqrt(1-rho²)); with eigenvalues l1, l2 of A, the angle p of x uniform and
// |x|² chi-square with 2 df,
//
//	P = mean over p of (q/(q+t²))^((df-1)/2), q = max(0, l1 cos²p + l2 sin²p)
//
// which for rho = 0 is the two-sided tail of Student's t.
func falseAlarms(t, df, rho2 float64) float64 {
	t2 := t * t
	half := (df - t2) / 2                         // of the trace of A
	root := math.Sqrt(half*half + t2*df*(1-rho2)) // its determinant is -t² df (1-rho²)
	l1, l2 := half+root, half-root
	const steps = 1000 // far more digits than the sentence shows
	sum := 0.0
	for i := range steps {
		sin, cos := math.Sincos((float64(i) + 0.5) / steps * math.Pi / 2)
		if q := float64(l1*cos*cos) + l2*sin*sin; q > 0 {
			sum += math.Pow(q/(q+t2), (df-1)/2)
		}
	}
	return sum / steps
}
