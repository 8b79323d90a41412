package varcomp

import (
	"fmt"

	"noisefloor/analysis/cell"
)

// fitted is what a Result keeps to answer further questions.
type fitted struct {
	like *likelihood
	best point
	free [3]bool       // components that can be told apart
	info [3][3]float64 // REML information on the design's scale
	o    Options

	sameTrials bool // no trial differs from the others of its session
	noResidual bool // no athlete changes but as the session means do
	levels     additive
}

// Fit estimates the variance components of d.
//
// The criterion is minimised by Newton's method over the three variances, none
// below 0, from analysis-of-variance estimates; on a complete table whose
// analysis of variance gives no negative component, REML equals it. Athletes
// with the same pattern of sessions and trials share their arithmetic: time
// and memory grow with the attempts while reading and with the patterns after.
//
// Intervals are by profile likelihood: the values of the SD at which the
// criterion, minimised over everything else, exceeds its minimum by the
// chi-square quantile of 1 df at the level. A component estimated as 0 has the
// lower limit 0. d is not modified.
//
// It fails with [ErrShape] or [ErrNonFinite] on faulty data, with [ErrTooFew]
// if there are fewer than two athletes or nothing that tells athletes from
// error, and with [ErrOption] on an unknown option.
//
// Sources: Patterson HD, Thompson R (1971). Recovery of inter-block information
// when block sizes are unequal. Biometrika 58:545-554. Harville DA (1977).
// Maximum likelihood approaches to variance component estimation and to
// related problems. Journal of the American Statistical Association 72:320-338.
// Limits: Bates D, Mächler M, Bolker B, Walker S (2015). Fitting linear
// mixed-effects models using lme4. Journal of Statistical Software 67(1), section 5.1.
func Fit(d cell.Grid, o Options) (Result, error) {
	o, err := o.withDefaults()
	if err != nil {
		return Result{}, err
	}
	s, err := newDesign(d, o.SingleMean)
	if err != nil {
		return Result{}, err
	}
	f := &fitted{like: newLikelihood(s, o.Method == REML), o: o, free: [3]bool{true, true, true}}
	r := Result{Method: o.Method, Model: o.Model, Level: o.Level, Athletes: s.athletes,
		Sessions: s.sessionCount, Cells: s.cells, N: s.n, fit: f}
	if err := f.estimate(&r); err != nil {
		return Result{}, err
	}
	f.report(&r)
	return r, nil
}

func (o Options) withDefaults() (Options, error) {
	if o.Method == "" {
		o.Method = REML
	}
	if o.Model == "" {
		o.Model = Nested
	}
	if o.Limits == "" {
		o.Limits = Profile
	}
	if o.Level == 0 {
		o.Level = 0.95
	}
	if o.Replicates <= 0 {
		o.Replicates = 2000
	}
	switch {
	case o.Method != REML && o.Method != ML:
		return o, fmt.Errorf("%w: method %q (%s or %s)", ErrOption, o.Method, REML, ML)
	case o.Model != Nested && o.Model != Scores:
		return o, fmt.Errorf("%w: model %q (%q or %q)", ErrOption, o.Model, Nested, Scores)
	case o.Limits != Profile && o.Limits != ProfileML && o.Limits != Bootstrap && o.Limits != NoLimits:
		return o, fmt.Errorf("%w: limits %q (%q, %q, %q or %q)", ErrOption, o.Limits, Profile, ProfileML, Bootstrap,
			NoLimits)
	case !(o.Level > 0 && o.Level < 1):
		return o, fmt.Errorf("%w: level %g (above 0 and below 1)", ErrOption, o.Level)
	}
	return o, nil
}

// estimate finds which components can be told apart, and their values.
func (f *fitted) estimate(r *Result) error {
	s := f.like.design
	if s.dfWithin > 0 && s.within <= s.dfWithin*s.noise {
		s.within = 0
		if f.o.Model == Nested { // the cell means are all there is
			f.free[trial], s.dfWithin, f.sameTrials = false, 0, true
		}
	}
	if err := f.separate(r); err != nil {
		return err
	}
	a := f.like.additiveFit()
	if a.df == 0 && f.free[session] && f.free[trial] {
		// Athletes share so few sessions that the means of these take up all
		// there is to see of the day-to-day part.
		r.Merged, f.free[session] = WithAthlete, false
	}
	residual := a.residual
	if !f.free[session] {
		residual += s.within
	}
	if df := a.df + s.dfWithin; s.dfWithin == 0 || !f.free[session] {
		if df == 0 && !(f.sameTrials && r.Merged == WithAthlete) {
			return fmt.Errorf("%w: %d athletes, %d sessions and %d attempts leave nothing to see the error by",
				ErrTooFew, s.athletes, s.sessionCount, s.n)
		}
		if residual <= s.noise*df {
			return f.withoutResidual(r, a)
		}
	}
	return f.minimise(r, a)
}

// minimise fits from moment estimates.
func (f *fitted) minimise(r *Result, a additive) error {
	best, steps, err := f.like.lowest(f.like.start(a, f.free), f.free)
	if err != nil {
		return err
	}
	f.best, r.Iterations = f.like.snapped(best), steps
	info, err := newLikelihood(f.like.design, true).information(f.best.v)
	if err != nil {
		return err
	}
	f.info = info
	return nil
}

// withoutResidual fills the fit of data in which every athlete changes exactly
// as the session means do: the athletes' levels are seen without error.
func (f *fitted) withoutResidual(r *Result, a additive) error {
	f.noResidual = true
	df := a.athlete
	if f.o.Method == ML {
		df = float64(f.like.athletes)
	}
	if a.between > f.like.noise*a.athlete {
		f.best.v[athlete] = a.between / df
	}
	f.levels = a
	return nil
}
