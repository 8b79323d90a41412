package association

import (
	"errors"
	"fmt"
	"math"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/multiplicity"
)

// Errors of [Analyse] that callers test with errors.Is.
var (
	ErrDuplicate = errors.New("named twice")
	ErrPlanes    = errors.New("the comparison needs two different planes")
)

// Analyse correlates one outcome with every test, one number for each athlete:
// [Pearson], [Spearman] and the least-squares slope always; [Partial] when
// there are covariates; [Within] when there are levels; and r corrected for
// unreliability, r/√(rel_test rel_outcome), when both reliabilities are known.
// Across the two planes of the options every test is compared with every test
// by [Williams], [Meng] and [Zou], and again with level means removed.
//
// An association uses the athletes that have its outcome and test (and, where
// they matter, all covariates or a level); a comparison those that have the
// outcome and both tests. Whoever is left out is counted in a warning or in N.
// For comparisons and plane summaries every test is turned so that better is
// higher on both sides; the associations keep the sign of the data. Where nobody
// said which way a measure improves, sizes |r| are compared, see [Variable].
// Holm and BH p values are over all tests, separately for each kind of r;
// the Holm p of Williams' t is over all comparisons of its kind.
//
// What cannot be computed for one test is NaN, with the reason in Kind and
// a caveat. Errors are for what spoils everything: an outcome with fewer than
// 4 values ([ErrTooFew]) or no variation ([ErrConstant]), infinite values
// ([ErrNonFinite]), columns of another length ([ErrLength]), names that occur
// twice ([ErrDuplicate]), covariates that determine one another
// ([ErrCollinear]), and options out of range ([ErrLevel], [ErrPlanes]).
//
// The same input, options and seed give the same result on any number of
// cores. in is not modified.
func Analyse(in Input, o Options) (Result, error) {
	o, err := o.withDefaults()
	if err == nil {
		err = in.check()
	}
	if err != nil {
		return Result{}, err
	}
	r := Result{Outcome: in.Outcome.Name, OutcomeUnit: in.Outcome.Unit, Level: o.Level,
		Athletes: len(complete(len(in.Athletes), in.Outcome.Value)), Family: len(in.Tests)}
	b := newBatch(o)
	for _, t := range in.Tests {
		r.Associations = append(r.Associations, associate(in, t, o, b))
	}
	adjust(r.Associations)
	r.Comparisons = compare(in, o, false)
	r.PlaneContrast = contrast(in, r, o, false)
	if in.levels() > 1 {
		r.WithinComparisons = compare(in, o, true)
		r.WithinPlaneContrast = contrast(in, r, o, true)
	}
	r.Planes = planes(r.Associations, o.Planes)
	if o.Bootstrap {
		resampleAll(in, &r, b)
	}
	b.run()
	r.Caveats = in.caveats(o, r)
	return r, nil
}

func (o Options) withDefaults() (Options, error) {
	var err error
	if o.Level, err = confidence(o.Level); err != nil {
		return o, err
	}
	if o.Planes == [2]string{} {
		o.Planes = [2]string{"transverse", "sagittal"}
	}
	if o.Planes[0] == o.Planes[1] || o.Planes[0] == "" || o.Planes[1] == "" {
		return o, fmt.Errorf("%w: %q and %q", ErrPlanes, o.Planes[0], o.Planes[1])
	}
	if o.Replicates == 0 {
		o.Replicates = 2000
	}
	return o, nil
}

// associate is one test against the outcome.
func associate(in Input, t Variable, o Options, b *batch) Association {
	at := complete(len(in.Athletes), in.Outcome.Value, t.Value)
	x, y := column(t, at), column(in.Outcome, at)
	a := Association{Measure: t.Name, Unit: t.Unit, Plane: t.Plane, N: len(at),
		Flipped: flipped(in.Outcome, t), Undirected: len(in.withoutDirection([]Variable{t})) > 0,
		Points: points(in, t, at)}
	if have := len(complete(len(in.Athletes), in.Outcome.Value)); have > len(at) {
		a.doubt(caveat.New(LackTest, float64(have-len(at)), float64(have)))
	}
	if err := check(minN, x, y); err != nil {
		a.Pearson, a.Spearman = missing(a.N, reasonOf(err)), missing(a.N, reasonOf(err))
		a.Slope = a.Pearson.Estimate
		a.without(NoCorrelation, err, a.N)
	} else {
		a.Pearson, _ = Pearson(x.x, y.x, o.Level) // cannot fail: checked
		a.Spearman, _ = Spearman(x.x, y.x, o.Level)
		a.Slope = slope(x.x, y.x, o.Level)
		a.Line = line(x.x, y.x, o.Level)
	}
	a.addPartial(in, t, o.Level)
	a.addWithin(in, t, o.Level)
	var doubts []caveat.Caveat
	a.Corrected, doubts = correct(in, t, a.Pearson.Value, o, b)
	if a.Corrected != nil && a.Within != nil && !math.IsNaN(a.Within.Value) {
		var more []caveat.Caveat
		a.Within.Corrected, more = correctWithin(in, t, a.Within.Value, o, b)
		doubts = append(doubts, more...)
	}
	for _, c := range doubts {
		a.doubt(c)
	}
	return a
}

func (a *Association) addPartial(in Input, t Variable, level float64) {
	if len(in.Covariates) == 0 {
		return
	}
	at, z := in.withCovariates(t)
	c, err := partial(column(t, at), column(in.Outcome, at), z, level)
	if err != nil {
		a.without(NoPartial, err, c.N)
	} else if c.N < a.N {
		a.doubt(caveat.New(LackCovariate, float64(a.N-c.N), float64(a.N)))
	}
	a.Partial = &c
}

func (a *Association) addWithin(in Input, t Variable, level float64) {
	if in.Group == nil {
		return
	}
	var at []int
	for _, i := range complete(len(in.Athletes), in.Outcome.Value, t.Value) {
		if in.Group[i] != "" {
			at = append(at, i)
		}
	}
	w, err := within(column(t, at), column(in.Outcome, at), pick(in.Group, at), level)
	if err != nil {
		a.without(NoWithin, err, w.N)
	}
	if w.Parted {
		a.doubt(caveat.New(LevelsPart, w.Across, w.Value).With(string(w.Says)))
	}
	if w.Differ {
		a.doubt(levelsDiffer(w))
	}
	a.Within = &w
}

func (a *Association) doubt(c caveat.Caveat) { a.Caveats = append(a.Caveats, c.About(a.Measure)) }

// without raises the doubt that there is no r of a kind, of n athletes.
func (a *Association) without(kind caveat.Kind, err error, n int) {
	a.doubt(caveat.New(kind, float64(n)).With(string(reasonOf(err))))
}

// adjust fills the adjusted p values of every kind of r.
func adjust(as []Association) {
	kinds := []func(*Association) *Correlation{
		func(a *Association) *Correlation { return &a.Pearson },
		func(a *Association) *Correlation { return &a.Spearman },
		func(a *Association) *Correlation { return a.Partial },
		func(a *Association) *Correlation {
			if a.Within == nil {
				return nil
			}
			return &a.Within.Correlation
		},
	}
	for _, kind := range kinds {
		var family []*Correlation
		var p []float64
		for i := range as {
			if c := kind(&as[i]); c != nil {
				family, p = append(family, c), append(p, c.P)
			}
		}
		holm, bh := multiplicity.Holm(p), multiplicity.BenjaminiHochberg(p)
		for i, c := range family {
			c.PHolm, c.PBH = holm[i], bh[i]
		}
	}
}

// complete returns the positions, of n, at which no column is NaN.
func complete(n int, columns ...[]float64) []int {
	at := make([]int, 0, n)
next:
	for i := range n {
		for _, c := range columns {
			if math.IsNaN(c[i]) {
				continue next
			}
		}
		at = append(at, i)
	}
	return at
}

func column(v Variable, at []int) series {
	return series{fmt.Sprintf("%q", v.Name), pick(v.Value, at)}
}

func points(in Input, t Variable, at []int) []Point {
	out := make([]Point, len(at))
	for i, j := range at {
		out[i] = Point{Athlete: in.Athletes[j], X: t.Value[j], Y: in.Outcome.Value[j]}
		if in.Group != nil {
			out[i].Group = in.Group[j]
		}
	}
	return out
}
