package reliability

import (
	"errors"
	"fmt"
	"math"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/moment"
	"noisefloor/analysis/score"
	"noisefloor/analysis/varcomp"
)

// largeStudy is the number of athletes above which the true SD takes its
// interval from its large-sample standard error: there the two agree to a
// fraction of a percent, and a bootstrap would cost seconds.
const largeStudy = 2000

// LargeSample is the kind of interval of the true SD of more than 2000
// athletes: its large-sample standard error by the delta method, without
// assuming normal scores.
const LargeSample estimate.Kind = "large-sample-delta"

// fill puts the defaults in and checks the choice for a table of n athletes.
func (w *Worthwhile) fill(n int) error {
	if w.Basis == "" {
		w.Basis = TrueSD
	}
	if w.Fraction == 0 {
		w.Fraction = 0.2
	}
	switch w.Basis {
	case TrueSD, ObservedSD:
		if !positive(w.Fraction) {
			return fmt.Errorf("%w: worthwhile fraction %g of the SD is not above zero", ErrOption, w.Fraction)
		}
	case Fixed:
		if !positive(w.Value) {
			return fmt.Errorf("%w: fixed worthwhile change %g is not above zero", ErrOption, w.Value)
		}
	case Anchored:
		if len(w.Outcome) != n {
			return fmt.Errorf("%w: %d outcomes for %d athletes", ErrOption, len(w.Outcome), n)
		}
		if !positive(w.OutcomeChange) {
			return fmt.Errorf("%w: change of the outcome that matters, %g, is not above zero", ErrOption,
				w.OutcomeChange)
		}
	default:
		return fmt.Errorf("%w: basis %q of the worthwhile change (%s, %s, %s or %s)",
			ErrOption, w.Basis, TrueSD, ObservedSD, Fixed, Anchored)
	}
	return nil
}

func positive(x float64) bool { return x > 0 && !math.IsInf(x, 1) }

// A spread is what a worthwhile change is taken from, by either route.
type spread struct {
	rows       []int // index of each athlete in the table that came in
	observedDF float64
	trueSD     func() estimate.Estimate
	means      func() []float64 // of the athletes
}

func (p parts) spread(s study) spread {
	a := s.anova
	return spread{rows: s.rows, observedDF: a.DFRows,
		trueSD: func() estimate.Estimate { return trueSD(s.table, p, a.MSR, a.MSE, s.options.Level) },
		means: func() []float64 {
			out := make([]float64, p.n)
			for i, v := range p.row {
				out[i] = a.GrandMean + v
			}
			return out
		}}
}

// worthwhile fills the smallest worthwhile change and its ratio to the
// detectable one.
func (r *Result) worthwhile(s study, p spread) {
	w := s.options.Worthwhile
	c := WorthwhileChange{Basis: w.Basis}
	switch w.Basis {
	case ObservedSD:
		c.Fraction = w.Fraction
		c.Estimate = sdEstimate(r.ObservedSD, p.observedDF, r.Level)
		c.Estimate = c.Map(func(v float64) float64 { return w.Fraction * v })
	case Fixed:
		value := w.Value
		if r.Scale == score.Log {
			value = math.Log1p(w.Value / 100)
		}
		c.Source = w.Source
		c.Estimate = estimate.Bare(value, estimate.Known)
	case Anchored:
		c.OutcomeName, c.OutcomeUnit, c.OutcomeChange = w.OutcomeName, w.OutcomeUnit, w.OutcomeChange
		c.Estimate, c.OutcomeAthletes = anchored(w, p, r.Level)
	default:
		c.Fraction = w.Fraction
		c.Estimate = p.trueSD()
		c.Estimate = c.Map(func(v float64) float64 { return w.Fraction * v })
	}
	c.PercentUp, c.PercentDown = upAndDown(c.Value, r.Scale)
	r.Worthwhile = c
	r.Ratio, r.SeenRatio = math.NaN(), math.NaN()
	if c.Value > 0 {
		r.SeenRatio = r.DetectableChange.Seen.Value / c.Value
		r.Ratio = r.DetectableChange.Value / c.Value
	}
}

// trueSD returns sqrt(max(0, (MSR-MSE)/k)) with the REML profile limits of the
// athletes' SD, which keep their level in small studies where resampling the
// athletes does not (internal/calibration), or with a large-sample interval,
// free of the normal distribution, for more than largeStudy athletes.
func trueSD(t score.Table, p parts, msr, mse, level float64) estimate.Estimate {
	k := float64(p.k)
	value := math.Sqrt(max(0, (msr-mse)/k))
	if msr == 0 && mse == 0 {
		return estimate.Bare(0, estimate.NoVariation)
	}
	if p.n > largeStudy {
		return largeSample(p, (msr-mse)/k, level)
	}
	fit, err := varcomp.Fit(varcomp.FromTable(t), varcomp.Options{Model: varcomp.Scores, Level: level})
	if err != nil {
		return estimate.Bare(value, estimate.Failed)
	}
	e := fit.Athlete.SD
	e.Value = value // the same, to the last bit, as from the mean squares
	return e
}

// largeSample gives the true SD the interval of its variance v = (MSR-MSE)/k,
// v -+ z SE, with both ends carried to the SD. v is close to the mean over the
// athletes of u = r² - Σ e²/(k(k-1)), so SE = SD(u)/sqrt(n): the delta method,
// without assuming normal scores.
func largeSample(p parts, v, level float64) estimate.Estimate {
	k := float64(p.k)
	u := make([]float64, p.n)
	for i, r := range p.row {
		u[i] = float64(r*r) - p.residualSS[i]/(k*(k-1))
	}
	half := dist.NormalQuantile((1+level)/2) * moment.SD(u) / math.Sqrt(float64(p.n))
	return estimate.Estimate{
		Value: math.Sqrt(max(0, v)),
		Lower: math.Sqrt(max(0, v-half)),
		Upper: math.Sqrt(max(0, v+half)),
		Level: level, Kind: LargeSample,
	}
}

// anchored regresses the athletes' means of the test on the outcome; the
// change of the test that goes with the stated change of the outcome is
// |slope| times it. A lower limit below 0 stays: the slope's sign is not sure.
func anchored(w Worthwhile, p spread, level float64) (e estimate.Estimate, athletes int) {
	var x, y []float64
	means := p.means()
	for i, row := range p.rows {
		if v := w.Outcome[row]; !math.IsNaN(v) {
			x, y = append(x, v), append(y, means[i])
		}
	}
	if len(x) < MinAthletes {
		return estimate.Bare(math.NaN(), estimate.TooFew), len(x)
	}
	fit, err := moment.Line(x, y)
	switch {
	case errors.Is(err, moment.ErrNoSpread):
		return estimate.Bare(math.NaN(), estimate.NoVariation), len(x)
	case err != nil:
		return estimate.Bare(math.NaN(), estimate.Failed), len(x)
	}
	se := fit.SlopeSE * w.OutcomeChange
	half := dist.TQuantile((1+level)/2, fit.DF) * se
	return estimate.Around(math.Abs(fit.Slope)*w.OutcomeChange, half, se, fit.DF, level, estimate.Slope), fit.N
}
