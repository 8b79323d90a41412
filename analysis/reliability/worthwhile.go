package reliability

import (
	"cmp"
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
			return fmt.Errorf("%w: change of the outcome that matters, %g, is not above zero", ErrOption, w.OutcomeChange)
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
	var what string
	switch w.Basis {
	case ObservedSD:
		c.Estimate = sdEstimate(r.ObservedSD, p.observedDF, r.Level)
		c.Estimate = c.Map(func(v float64) float64 { return w.Fraction * v })
		what = fmt.Sprintf("%s of the SD of the athletes' means", digits(w.Fraction))
	case Fixed:
		value := w.Value
		if r.Scale == score.Log {
			value = math.Log1p(w.Value / 100)
		}
		what = cmp.Or(w.Source, "set by the user")
		c.Estimate = estimate.Without(value, what)
	case Anchored:
		c.Estimate = anchored(w, p, r.Level)
		what = fmt.Sprintf("goes with a change of %s in %s", withUnit(w.OutcomeChange, w.OutcomeUnit), outcomeName(w))
	default:
		c.Estimate = p.trueSD()
		c.Estimate = c.Map(func(v float64) float64 { return w.Fraction * v })
		what = fmt.Sprintf("%s of the true between-athlete SD", digits(w.Fraction))
	}
	c.PercentUp, c.PercentDown = upAndDown(c.Value, r.Scale)
	c.Words = inWords(c, what, r.Scale)
	r.Worthwhile = c
	r.Ratio = math.NaN()
	if c.Value > 0 {
		r.Ratio = r.DetectableChange.Value / c.Value
	}
}

// inWords prints the change with what it rests on.
func inWords(c WorthwhileChange, what string, scale score.Scale) string {
	switch {
	case math.IsNaN(c.Value):
		return "none: " + c.Method
	case scale == score.Log:
		what += fmt.Sprintf(" (+%s %%, %s %%)", digits(c.PercentUp), digits(c.PercentDown))
	default:
		what += fmt.Sprintf(" (%s)", digits(c.Value))
	}
	if c.Basis == Anchored && c.HasInterval() && c.Lower <= 0 {
		what += "; its interval includes 0, so the test is not shown to go with the outcome"
	}
	return what
}

// trueSD returns sqrt(max(0, (MSR-MSE)/k)) with the REML profile limits of the
// athletes' SD, which keep their level in small studies where resampling the
// athletes does not (internal/calibration), or with a large-sample interval,
// free of the normal distribution, for more than largeStudy athletes.
func trueSD(t score.Table, p parts, msr, mse, level float64) estimate.Estimate {
	k := float64(p.k)
	value := math.Sqrt(max(0, (msr-mse)/k))
	if msr == 0 && mse == 0 {
		return estimate.Without(0, "no interval: nothing varies")
	}
	if p.n > largeStudy {
		return largeSample(p, (msr-mse)/k, level)
	}
	fit, err := varcomp.Fit(varcomp.FromTable(t), varcomp.Options{Model: varcomp.Scores, Level: level})
	if err != nil {
		return estimate.Without(value, err.Error())
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
		Value:  math.Sqrt(max(0, v)),
		Lower:  math.Sqrt(max(0, v-half)),
		Upper:  math.Sqrt(max(0, v+half)),
		Method: fmt.Sprintf("large sample, delta method (more than %d athletes)", largeStudy),
	}
}

// anchored regresses the athletes' means of the test on the outcome; the
// change of the test that goes with the stated change of the outcome is
// |slope| times it. A lower limit below 0 stays: the slope's sign is not sure.
func anchored(w Worthwhile, p spread, level float64) estimate.Estimate {
	var x, y []float64
	means := p.means()
	for i, row := range p.rows {
		if v := w.Outcome[row]; !math.IsNaN(v) {
			x, y = append(x, v), append(y, means[i])
		}
	}
	if len(x) < MinAthletes {
		return estimate.Without(math.NaN(), fmt.Sprintf("%s with %s, no line below %d", count(len(x)), outcomeName(w), MinAthletes))
	}
	fit, err := moment.Line(x, y)
	switch {
	case errors.Is(err, moment.ErrNoSpread):
		return estimate.Without(math.NaN(), outcomeName(w)+" is the same for every athlete")
	case err != nil:
		return estimate.Without(math.NaN(), fmt.Sprintf("%s: %v", outcomeName(w), err))
	}
	value := math.Abs(fit.Slope) * w.OutcomeChange
	half := dist.TQuantile((1+level)/2, fit.DF) * fit.SlopeSE * w.OutcomeChange
	return estimate.Estimate{Value: value, Lower: value - half, Upper: value + half,
		Method: fmt.Sprintf("Student t, slope on %s, %s", outcomeName(w), count(fit.N))}
}

func outcomeName(w Worthwhile) string {
	if w.OutcomeName == "" {
		return "the outcome"
	}
	return w.OutcomeName
}
