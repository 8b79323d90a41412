package association

import (
	"fmt"
	"math"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
)

// A Retested variable is its score on two occasions, one for each athlete in
// the same order, NaN where missing.
type Retested struct {
	Name, Unit    string
	Before, After []float64

	// TypicalError is the standard deviation of the noise of one score, in the
	// unit of the score, from a study without a programme in between; 0 or NaN
	// when unknown.
	TypicalError float64
}

// ChangeAssociation is the correlation of two changes.
type ChangeAssociation struct {
	N                 int // athletes with all four scores
	Pearson, Spearman Correlation
	Slope             estimate.Estimate // change of the outcome for one unit of change of the test
	// The reliability of each change, 1 - 2 TE²/Var(change); NaN when the
	// typical error is unknown. It is below 0 when the changes vary less than
	// their noise.
	ReliabilityTest, ReliabilityOutcome float64
	Corrected                           *Corrected // r/√(rel rel); nil when it cannot be had
	Points                              []Point    // X change of the test, Y change of the outcome; no names
	Caveats                             []caveat.Caveat
}

// ChangeAgainstChange asks whether athletes who gained more in a test gained
// more in the outcome: r of After - Before, by [Pearson] and [Spearman].
//
// A change carries the noise of two scores, which pulls r towards 0. With the
// typical errors TE of one score the reliability of a change is
//
//	rel = 1 - 2 TE²/Var(change)
//
// and r freed of the noise is r/√(rel_test rel_outcome), with a BCa interval
// over athletes in which r and both variances are computed anew and the typical
// errors stay as given. The correction supposes that the noise of test and
// outcome is independent. When both are measured on the same two days it is
// not: a good day lifts both, pushes r up, and no correction here removes it;
// the result says so.
//
// o gives level, replicates and seed. The errors are [ErrTooFew] below 4
// complete athletes, [ErrConstant] when a change is the same for all,
// [ErrNonFinite] (infinite; NaN is missing), [ErrLength] and [ErrLevel]. The
// arguments are not modified.
//
// Sources: Spearman C (1904). American Journal of Psychology 15:72-101, for the
// correction; for the reliability of a difference, Lord FM, Novick MR (1968).
// Statistical Theories of Mental Test Scores, section 3.5 (from memory).
func ChangeAgainstChange(test, outcome Retested, o Options) (ChangeAssociation, error) {
	o, err := o.withDefaults()
	if err == nil {
		err = checkRetested(test, outcome)
	}
	if err != nil {
		return missingChange(err), err
	}
	dx, dy := differences(test, outcome)
	c := ChangeAssociation{N: len(dx)}
	if c.Pearson, err = changed(Pearson(dx, dy, o.Level)); err != nil {
		return missingChange(err), err
	}
	c.Spearman, _ = Spearman(dx, dy, o.Level) // cannot fail: checked
	c.Slope = slope(dx, dy, o.Level)
	for i := range dx {
		c.Points = append(c.Points, Point{X: dx[i], Y: dy[i]})
	}
	if lost := len(test.Before) - c.N; lost > 0 {
		c.doubt(LackScores, float64(lost), float64(len(test.Before)))
	}
	c.correct(test, outcome, dx, dy, o)
	c.doubt(SameDays)
	return c, nil
}

// changed says that a fault is one of the changes.
func changed(c Correlation, err error) (Correlation, error) {
	if err != nil {
		err = fmt.Errorf("change of test (x) and outcome (y): %w", err)
	}
	return c, err
}

// correct fills the reliabilities and the corrected r.
func (c *ChangeAssociation) correct(test, outcome Retested, dx, dy []float64, o Options) {
	w := ones(c.N)
	p := pairing{one: w, x: centre(dx).d, y: centre(dy).d}
	ex, ey := centre(dx).exponent, centre(dy).exponent
	tx, ty := math.Ldexp(test.TypicalError, -ex), math.Ldexp(outcome.TypicalError, -ey)
	known := func(te float64) bool { return te > 0 && !math.IsInf(te, 0) }
	relX := func(w []float64) float64 { return reliabilityOfChange(p.x, w, tx) }
	relY := func(w []float64) float64 { return reliabilityOfChange(p.y, w, ty) }
	c.ReliabilityTest, c.ReliabilityOutcome = math.NaN(), math.NaN()
	if known(test.TypicalError) {
		c.ReliabilityTest = relX(w)
	}
	if known(outcome.TypicalError) {
		c.ReliabilityOutcome = relY(w)
	}
	a, b := c.ReliabilityTest, c.ReliabilityOutcome
	switch {
	case math.IsNaN(a) || math.IsNaN(b):
		c.doubt(ErrorsUnknown)
		return
	case !(a > 0 && b > 0):
		c.doubt(OnlyNoise, a, b)
		return
	}
	value := c.Pearson.Value / math.Sqrt(a*b)
	c.Corrected = &Corrected{Estimate: estimate.Bare(value, estimate.None), ReliabilityTest: a, ReliabilityOutcome: b,
		AboveOne: math.Abs(value) > 1,
		Sources: [2]Source{{Variable: test.Name, TypicalError: test.TypicalError}, {Variable: outcome.Name,
			TypicalError: outcome.TypicalError}}}
	if c.Corrected.AboveOne {
		c.doubt(ChangesBeyond, value)
	}
	bt := newBatch(o)
	bt.addBCa(indices(c.N), nil, func(w, _ []float64) float64 {
		a, b := relX(w), relY(w)
		if !(a > 0 && b > 0) {
			return math.NaN()
		}
		return p.r(w, nil) / math.Sqrt(a*b)
	}, o.Level, func(e estimate.Estimate) {
		e.Value = value
		c.Corrected.Estimate = e
	})
	bt.run()
}

// reliabilityOfChange is 1 - 2 TE²/Var(d) where athlete i counts w[i] times; d
// has mean 0.
func reliabilityOfChange(d, w []float64, te float64) float64 {
	var n, sum, square float64
	for i, v := range d {
		n += w[i]
		sum += float64(w[i] * v)
		square += float64(w[i] * v * v)
	}
	return 1 - 2*te*te*(n-1)/(square-sum*sum/n)
}

func (c *ChangeAssociation) doubt(kind caveat.Kind, numbers ...float64) {
	c.Caveats = append(c.Caveats, caveat.New(kind, numbers...))
}

func checkRetested(variables ...Retested) error {
	n := len(variables[0].Before)
	for _, v := range variables {
		for k, scores := range [][]float64{v.Before, v.After} {
			when := []string{"before", "after"}[k]
			if len(scores) != n {
				return fmt.Errorf("%q %s: %w: %d scores, %d athletes", v.Name, when, ErrLength, len(scores), n)
			}
			for i, s := range scores {
				if math.IsInf(s, 0) {
					return fmt.Errorf("%q %s, athlete %d: %w: %g", v.Name, when, i+1, ErrNonFinite, s)
				}
			}
		}
	}
	return nil
}

// differences are the changes of the athletes with all four scores.
func differences(test, outcome Retested) (dx, dy []float64) {
	for _, i := range complete(len(test.Before), test.Before, test.After, outcome.Before, outcome.After) {
		dx, dy = append(dx, test.After[i]-test.Before[i]), append(dy, outcome.After[i]-outcome.Before[i])
	}
	return dx, dy
}

func missingChange(err error) ChangeAssociation {
	nan, reason := math.NaN(), reasonOf(err)
	return ChangeAssociation{Pearson: missing(0, reason), Spearman: missing(0, reason), Slope: estimate.Bare(nan,
		reason),
		ReliabilityTest: nan, ReliabilityOutcome: nan}
}
