package norms

import (
	"fmt"
	"math"
	"slices"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/moment"
	"noisefloor/analysis/score"
)

// mostlyNoise is the share of a group's variance under which its spread is called mostly
// noise: half, a choice.
const mostlyNoise = 0.5

// Analyse makes the reference values of a test, of each group and of the whole cohort,
// and says where athletes stand in them: in their own group first, then in the whole.
//
// A reference has the mean and standard deviation in the unit, and the quantiles of
// [Percentiles] by [Quantile] as far as they lie between the smallest and the largest
// score. Percentiles count towards better: for a test where less is better, the quantile
// at p is that of 1-p of the scores, and a rank is that of the scores turned round. From
// [MinCentiles] athletes of one level, with scores above 0, it has smooth centiles too
// (see [Smooth]), never for athletes of several levels. Places are those of [Stand], on
// the scale of the test, with the noise of the group that is stood in.
//
// It fails with [ErrTooFew] when no athlete has a score, with [ErrScore] when a score is
// infinite or, on the log scale, not above 0, and with [ErrLevel]. Slices of the test are
// not modified.
func Analyse(t Test, o Options) (Result, error) {
	if err := t.check(); err != nil {
		return Result{}, err
	}
	var r Result
	for _, w := range t.groups(o.Column) {
		ref, err := t.reference(w, o)
		if err != nil {
			return Result{}, err
		}
		r.References = append(r.References, ref)
		if err := t.places(&r, ref, o); err != nil {
			return Result{}, err
		}
	}
	r.Caveats = append(t.doubts(r, o), r.Caveats...)
	for i := range r.Caveats {
		r.Caveats[i] = r.Caveats[i].About(t.Measure)
	}
	order(r.Places, t.Athletes)
	return r, nil
}

func (t Test) check() error {
	n := 0
	for i, y := range t.Scores {
		switch {
		case math.IsNaN(y):
			continue
		case math.IsInf(y, 0):
			return fmt.Errorf("%w: %g of %s", ErrScore, y, t.Athletes[i])
		case t.Scale == score.Log && !(y > 0):
			return fmt.Errorf("%w: %g of %s, the log scale needs scores above 0", ErrScore, y, t.Athletes[i])
		}
		n++
	}
	if n == 0 {
		return fmt.Errorf("%w: nobody has a score", ErrTooFew)
	}
	return nil
}

// groups are those of the test in order of their names, then the whole cohort.
func (t Test) groups(column string) (out []Whom) {
	for _, g := range slices.Compact(slices.Sorted(slices.Values(t.Groups))) {
		if g != "" && len(t.rows(Whom{column, g})) > 0 {
			out = append(out, Whom{column, g})
		}
	}
	return append(out, Whom{})
}

// rows are the athletes of a group who have a score.
func (t Test) rows(w Whom) (rows []int) {
	for i, y := range t.Scores {
		if !math.IsNaN(y) && (w.Whole() || t.Groups[i] == w.Value) {
			rows = append(rows, i)
		}
	}
	return rows
}

// turn puts a score on the scale of the test, more being better; back undoes
// the scale.
func turn(y float64, scale score.Scale, better score.Direction) float64 {
	if scale == score.Log {
		y = math.Log(y)
	}
	if better == score.Lower {
		return -y
	}
	return y
}

func back(x float64, scale score.Scale) float64 {
	if scale == score.Log {
		return math.Exp(x)
	}
	return x
}

func (t Test) reference(w Whom, o Options) (Reference, error) {
	rows := t.rows(w)
	r := Reference{Measure: t.Measure, Unit: t.Unit, Scale: t.Scale, Better: t.Better, Whom: w, Athletes: len(rows),
		Noise: t.Noise[w.Value], Mean: math.NaN(), SD: math.NaN(), Rho: math.NaN()}
	var scaled []float64
	for _, i := range rows {
		r.Scores = append(r.Scores, t.Scores[i])
		scaled = append(scaled, turn(t.Scores[i], t.Scale, score.Higher))
	}
	slices.Sort(r.Scores)
	if len(rows) > 0 {
		r.Mean = moment.Mean(r.Scores)
	}
	if len(rows) > 1 {
		r.SD, r.scaled = moment.SD(r.Scores), [2]float64{moment.Mean(scaled), moment.SD(scaled)}
		if r.Noise.Known() {
			_, r.Rho = Group{Scores: scaled, TypicalError: r.Noise.TypicalError}.drawn()
		}
	}
	if t.oneLevel(rows) {
		if c, err := Smooth(r.Scores); err == nil {
			r.Centiles = &c
		}
	}
	return r, r.quantiles(o.level())
}

// oneLevel reports whether athletes are of one level, or nobody said of which.
func (t Test) oneLevel(rows []int) bool {
	if t.Levels == nil {
		return true
	}
	for _, i := range rows {
		if t.Levels[i] != t.Levels[rows[0]] {
			return false
		}
	}
	return true
}

func (r *Reference) quantiles(level float64) error {
	turned := make([]float64, len(r.Scores))
	for i, y := range r.Scores {
		turned[i] = turn(y, score.Raw, r.Better)
	}
	n := float64(len(turned))
	for _, p := range Percentiles() {
		if at := p*(n+1.0/3) + 1.0/3; at < 1 || at > n {
			r.Coarse = true
			continue // beyond the extremes: nothing is known there
		}
		e, err := Quantile(turned, p, level)
		if err != nil {
			return err
		}
		if r.Coarse = r.Coarse || !e.HasInterval(); r.Better == score.Lower {
			e.Value, e.Lower, e.Upper = -e.Value, -e.Upper, -e.Lower
		}
		r.Quantiles = append(r.Quantiles, QuantileAt{p, e})
	}
	return nil
}

// places adds where athletes stand among the others of a reference.
func (t Test) places(r *Result, ref Reference, o Options) error {
	rows := t.rows(ref.Whom)
	turned := make([]float64, len(rows))
	for i, row := range rows {
		turned[i] = turn(t.Scores[row], t.Scale, t.Better)
	}
	for i, row := range rows {
		if o.Asked != nil && !slices.Contains(o.Asked, t.Athletes[row]) {
			continue
		}
		p := Place{Athlete: t.Athletes[row], Measure: t.Measure, Score: t.Scores[row], Whom: ref.Whom,
			Others: len(rows) - 1, Rank: 1}
		p.ScoreLower, p.ScoreUpper = reach(p.Score, t.Scale, ref.Noise, o.level())
		for _, y := range turned {
			if y > turned[i] {
				p.Rank++
			}
		}
		if p.Others >= MinAthletes {
			g := Group{Scores: slices.Concat(turned[:i], turned[i+1:]), TypicalError: ref.Noise.TypicalError, DF: ref.Noise.DF}
			s, err := Stand(turned[i], g, o.level())
			if err != nil {
				return err
			}
			p.Standing = &s
		}
		r.Places = append(r.Places, p)
	}
	return nil
}

// reach are the limits of a score's noise, in the unit.
func reach(y float64, scale score.Scale, n Noise, level float64) (lower, upper float64) {
	if !n.Known() || !(n.DF >= 1) {
		return math.NaN(), math.NaN()
	}
	half := dist.TQuantile((1+level)/2, n.DF) * n.TypicalError
	x := turn(y, scale, score.Higher)
	return back(x-half, scale), back(x+half, scale)
}

// order puts the places of one athlete together, in the order of the athletes; the own
// group, which comes first, stays first.
func order(places []Place, athletes []string) {
	at := map[string]int{}
	for i, a := range athletes {
		at[a] = i
	}
	slices.SortStableFunc(places, func(a, b Place) int { return at[a.Athlete] - at[b.Athlete] })
}

// doubts are those of the test and of its groups.
func (t Test) doubts(r Result, o Options) (out []caveat.Caveat) {
	without, ungrouped := 0, 0
	for i, y := range t.Scores {
		switch {
		case math.IsNaN(y):
			without++
		case t.Groups != nil && t.Groups[i] == "":
			ungrouped++
		}
	}
	if t.Better == score.Unknown {
		out = append(out, caveat.New(MoreCounted))
	}
	if without > 0 {
		out = append(out, caveat.New(WithoutScore, float64(without), float64(len(t.Scores))))
	}
	if ungrouped > 0 {
		out = append(out, caveat.New(Ungrouped, float64(ungrouped)).With(o.Column))
	}
	known := false
	for _, ref := range r.References {
		if known = known || ref.Noise.Known(); ref.Rho < mostlyNoise {
			out = append(out, caveat.New(MostlyNoise, ref.Rho).With(ref.name()))
		}
		if ref.Athletes-1 < MinAthletes {
			out = append(out, caveat.New(GroupTooSmall, float64(ref.Athletes), MinAthletes+1).With(ref.name()))
		}
	}
	if !known {
		out = append(out, caveat.New(NoiseNotKnown))
	}
	return out
}

// name is that of the group in a sentence.
func (w Whom) name() string {
	if w.Whole() {
		return "the whole cohort"
	}
	return w.Value
}
