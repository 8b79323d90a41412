// Package decision says what a test would be worth with other numbers of
// sessions and trials than it was studied with, and which design is the
// cheapest that is good enough (a decision study).
package decision

import (
	"errors"
	"fmt"
	"math"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/varcomp"
)

// Errors that callers test with errors.Is.
var (
	ErrComponents = errors.New("no components to plan with")
	ErrDesign     = errors.New("no such design")
	ErrTarget     = errors.New("no such target")
)

// A Design is how often an athlete is tested on one occasion: the score is the
// mean of Trials trials in each of Sessions sessions.
type Design struct{ Sessions, Trials int }

// A Row is what to expect of a design.
type Row struct {
	Design

	// TypicalError is the SD of the error of the mean, in the unit of the data,
	//
	//	TE = sqrt(σ²as/s + σ²e/(s t))
	TypicalError estimate.Estimate
	DF           float64 // Satterthwaite df of TE²; NaN where TE is 0, +Inf where it is known exactly

	// Reliability is σ²a/(σ²a + TE²), the consistency of the mean; NaN where
	// neither athletes nor errors vary.
	Reliability estimate.Estimate

	// Detectable is the smallest change of one athlete between two occasions of
	// this design that is more than noise: t(1-α/2, DF) √2 TE, made monotone: more
	// trials never make it larger. As studied it is the study's own, on its own df.
	Detectable float64

	// Seen is the true change of one athlete between two such occasions that is seen
	// with Options.Power, [Seen] √2 TE, made monotone like Detectable.
	Seen float64

	Cost float64 // sessions × (setup + trials)
}

// Options say what to tabulate. The zero value is 1 to 4 sessions by 1 to 6
// trials at 95 %, where only the numbers of sessions and trials cost anything.
type Options struct {
	Level    float64 // of intervals and of the detectable change; 0 means 0.95
	Power    float64 // with which the change Row.Seen is seen; 0 means 0.8
	Sessions int     // most sessions; 0 means 4
	Trials   int     // most trials per session; 0 means 6
	Setup    float64 // cost of a session, in trials; 0: fewest sessions, then fewest trials

	// Studied is the noise of the study itself, which its components, known on other
	// df, can only repeat; the zero value when it is not known.
	Studied Studied
}

// Studied is what a study found for one session of its own number of trials.
type Studied struct {
	Trials       float64 // mean number behind a session score
	TypicalError estimate.Estimate
	DF           float64
	Reliability  estimate.Estimate // ICC(C,1); without a value when it is not known
}

func (o Options) withDefaults() (Options, error) {
	if o.Level == 0 {
		o.Level = 0.95
	}
	if o.Power == 0 {
		o.Power = DefaultPower
	}
	if o.Sessions == 0 {
		o.Sessions = 4
	}
	if o.Trials == 0 {
		o.Trials = 6
	}
	switch {
	case !(o.Level > 0 && o.Level < 1):
		return o, fmt.Errorf("%w: level %g (above 0 and below 1)", ErrDesign, o.Level)
	case !(o.Power > 0 && o.Power < 1):
		return o, fmt.Errorf("%w: power %g (above 0 and below 1)", ErrDesign, o.Power)
	case o.Sessions < 1 || o.Trials < 1:
		return o, fmt.Errorf("%w: %d sessions by %d trials", ErrDesign, o.Sessions, o.Trials)
	case !(o.Setup >= 0) || math.IsInf(o.Setup, 0):
		return o, fmt.Errorf("%w: setup cost %g", ErrDesign, o.Setup)
	}
	return o, nil
}

// Study returns a row for every design of 1 to o.Sessions sessions by 1 to
// o.Trials trials, sessions first. Components from one trial per session (see
// [varcomp.WithTrial]) give designs of one trial only.
//
// The interval of the typical error is TE·sqrt(df/χ²), that of the reliability
// 1 - 1/F' with F = (σ²a + TE²)/TE² divided by the quantiles of F with the
// Satterthwaite df of numerator and denominator, and not below 0. Both are the
// exact ones where the design is that of a complete study and no component is
// at 0; elsewhere they are approximate (see the simulations in the tests).
//
// It fails with [ErrComponents] if the components are not finite or the
// day-to-day part is unknown, and with [ErrDesign] on numbers below 1.
//
// Sources: Cronbach LJ, Gleser GC, Nanda H, Rajaratnam N (1972). The
// Dependability of Behavioral Measurements. Brennan RL (2001).
// Generalizability Theory, chapter 4. Satterthwaite FE (1946). Biometrics
// Bulletin 2:110-114.
func Study(c varcomp.Components, o Options) ([]Row, error) {
	o, err := o.withDefaults()
	if err != nil {
		return nil, err
	}
	if err := check(c); err != nil {
		return nil, err
	}
	var rows []Row
	for s := 1; s <= o.Sessions; s++ {
		for t := 1; t <= mostTrials(c, o); t++ {
			rows = append(rows, row(c, Design{s, t}, o))
		}
	}
	return rows, nil
}

// mostTrials is 1 where the components of day and trial are not known apart.
func mostTrials(c varcomp.Components, o Options) int {
	if c.Merged == varcomp.NotMerged {
		return o.Trials
	}
	return 1
}

func check(c varcomp.Components) error {
	if c.Merged == varcomp.WithAthlete {
		return fmt.Errorf("%w: every athlete has one session, so the day-to-day part is unknown; test some of them "+
			"on a second day", ErrComponents)
	}
	parts := []float64{c.Athlete, c.Trial}
	if c.Merged == varcomp.NotMerged {
		parts = append(parts, c.AthleteSession)
	}
	for _, v := range parts {
		if !(v >= 0) || math.IsInf(v, 0) {
			return fmt.Errorf("%w: variances athlete %g, athlete×session %g, trial %g",
				ErrComponents, c.Athlete, c.AthleteSession, c.Trial)
		}
	}
	for _, row := range c.Covariance {
		for _, v := range row {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("%w: the study hardly tells them apart, and how well they are known is unknown",
					ErrComponents)
			}
		}
	}
	return nil
}

// weights returns the coefficients of σ²as and σ²e in TE².
func (d Design) weights() (session, trial float64) {
	s := 1 / float64(d.Sessions)
	return s, s / float64(d.Trials)
}

func row(c varcomp.Components, d Design, o Options) Row {
	as, e := d.weights()
	square, df := c.Satterthwaite(0, as, e)
	r := Row{Design: d, DF: df, Cost: o.cost(d)}
	r.TypicalError = typicalError(square, df, o.Level)
	r.Detectable = least(c, d, o, o.detectable)
	r.Seen = least(c, d, o, o.seen)
	r.Reliability = reliability(c, square, df, as, e, o.Level)
	r.asStudied(o.Studied)
	return r
}

// asStudied gives a design of the study's own trials the intervals that the study
// has: one number has one interval. Several sessions divide the error by their root
// and step the reliability up (Spearman and Brown).
func (r *Row) asStudied(s Studied) {
	if !(s.TypicalError.Value > 0 && s.DF > 0) || math.Abs(float64(r.Trials)-s.Trials) > sameTrials*s.Trials {
		return
	}
	k := float64(r.Sessions)
	r.TypicalError, r.DF = s.TypicalError.Map(func(x float64) float64 { return x / math.Sqrt(k) }), s.DF
	if icc := s.Reliability; icc.HasInterval() && (1+(k-1)*icc.Lower) > 0 {
		r.Reliability = icc.Map(func(x float64) float64 { return k * x / (1 + float64((k-1)*x)) })
	}
}

func (o Options) cost(d Design) float64 {
	return float64(d.Sessions) * (o.Setup + float64(d.Trials))
}

func typicalError(square, df, level float64) estimate.Estimate {
	te, tail := math.Sqrt(square), (1-level)/2
	switch {
	case te == 0:
		return estimate.Bare(0, estimate.NoError)
	case math.IsInf(df, 1):
		return estimate.Bare(te, estimate.Known)
	}
	return estimate.Estimate{Value: te, DF: df, Level: level, Kind: estimate.ChiSquareDF,
		Lower: te * math.Sqrt(df/dist.ChiSquareQuantile(1-tail, df)),
		Upper: te * math.Sqrt(df/dist.ChiSquareQuantile(tail, df))}
}

// A change is the size of a change of one athlete, from the squared typical error
// and its df.
type change func(square, df float64) float64

// detectable is the change that is more than noise.
func (o Options) detectable(square, df float64) float64 {
	if square == 0 {
		return 0
	}
	return dist.TQuantile(1-(1-o.Level)/2, df) * math.Sqrt(2*square)
}

// seen is the true change that is seen with the power asked for.
func (o Options) seen(square, df float64) float64 {
	if square == 0 {
		return 0
	}
	return Seen(o.Level, o.Power, df) * math.Sqrt(2*square)
}

// least is a change, the detectable one or the one seen, of a design as retest has it. With the study's own
// noise known, designs of as many trials as the study or more have the smallest of
// those from the study's to d, whose errors are no smaller; of fewer trials the
// larger of theirs and the study's. Without, the smallest of all with as few trials
// or fewer. Designs beyond the table's most trials count once.
func least(c varcomp.Components, d Design, o Options, size change) float64 {
	as, _ := d.weights()
	at := func(t float64) float64 {
		square, df := c.Satterthwaite(0, as, as/t)
		return size(square, df)
	}
	out, from := at(float64(d.Trials)), 1
	s := o.Studied
	te := s.TypicalError.Value
	own := size(te*te*as, s.DF)
	switch {
	case !(te > 0 && s.DF > 0 && s.Trials > 0):
	case float64(d.Trials) < (1-sameTrials)*s.Trials:
		return max(out, own)
	default:
		out, from = min(out, own), int(math.Ceil((1-sameTrials)*s.Trials))
		if math.Abs(float64(d.Trials)-s.Trials) <= sameTrials*s.Trials {
			return own
		}
	}
	for t := min(d.Trials-1, mostTrials(c, o)); t >= from; t-- {
		out = min(out, at(float64(t)))
	}
	return out
}

// sameTrials is the share by which the trials of a study in which a few are missing
// fall short of the number meant.
const sameTrials = 0.02

func reliability(c varcomp.Components, square, df, as, e, level float64) estimate.Estimate {
	total := c.Athlete + square
	switch {
	case total == 0:
		return estimate.Bare(math.NaN(), estimate.NoVariation)
	case square == 0:
		return estimate.Bare(1, estimate.NoError)
	}
	value, tail := c.Athlete/total, (1-level)/2
	_, dfTotal := c.Satterthwaite(1, as, e)
	if math.IsInf(dfTotal, 1) || math.IsInf(df, 1) {
		return estimate.Bare(value, estimate.Known)
	}
	f := total / square
	return estimate.Estimate{Value: value, Level: level, Kind: estimate.Satterthwaite,
		Lower: max(1-dist.FQuantile(1-tail, dfTotal, df)/f, 0),
		Upper: 1 - dist.FQuantile(tail, dfTotal, df)/f}
}
