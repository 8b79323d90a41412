package programme

import (
	"fmt"
	"math"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/moment"
)

// MinArm is the fewest athletes of an arm, and MinGroup of one group alone.
const (
	MinArm   = 4
	MinGroup = 4
	smallArm = 10
)

// Analyse compares scores before and after, of one group or of trained athletes with a
// control. Athletes without both scores are left out and counted.
//
// In each group: the mean change with a paired t interval; Hedges' g, the change over the SD
// before times J(n-1), with limits from those of the noncentral t of the paired test; the
// signed-rank test with the shift of Hodges and Lehmann. Between groups: the difference that
// ANCOVA adjusts for the score before, with levels as a factor, on HC2 with Bell &
// McCaffrey's degrees of freedom, HC3 beside it, and a permutation of the labels within
// levels; where groups existed before, or nobody said, the difference of the changes beside
// it. Then how far the true responses differ, see [Spread].
//
// It fails with [ErrInput] on columns of other lengths and [ErrTooFew] below MinArm in an
// arm. The input is not modified.
func Analyse(in Input, o Options) (*Result, error) {
	if o.Level == 0 {
		o.Level = 0.95
	}
	if o.Assigned == "" {
		o.Assigned = Unknown
	}
	if o.Replicates == 0 {
		o.Replicates = 9999
	}
	n := len(in.Before)
	if len(in.After) != n || in.Trained != nil && len(in.Trained) != n || in.Level != nil && len(in.Level) != n ||
		!(o.Level > 0 && o.Level < 1) {
		return nil, fmt.Errorf("%w: %d scores before, %d after", ErrInput, n, len(in.After))
	}
	r := &Result{Measure: in.Measure, Assigned: o.Assigned, Level: o.Level, Worthy: in.Worthwhile, Permutation: math.NaN(),
		Baseline: math.NaN(), Artefact: math.NaN(), Regression: math.NaN(), Matters: Unclear}
	arms := []bool{true}
	if in.Trained != nil {
		arms = append(arms, false)
	}
	for _, trained := range arms {
		g, missing := in.group(trained, o.Level)
		if len(g.Changes) < MinArm {
			return nil, fmt.Errorf("%w: %d, at least %d are needed in each group", ErrTooFew, len(g.Changes), MinArm)
		}
		r.Groups = append(r.Groups, g)
		if missing.N > 0 {
			r.Missing = append(r.Missing, missing)
		}
	}
	if in.Trained != nil {
		if err := r.compare(in, o); err != nil {
			return nil, err
		}
	}
	r.Spread = r.spread(in, o)
	r.judge()
	r.doubt(in)
	return r, nil
}

func (in Input) arm(i int) bool { return in.Trained == nil || in.Trained[i] }

// group is one arm.
func (in Input) group(trained bool, level float64) (g Group, missing Missing) {
	g.Trained, missing.Trained = trained, trained
	var before, after, lost []float64
	for i := range in.Before {
		if in.arm(i) != trained {
			continue
		}
		a, b := in.Before[i], in.After[i]
		if math.IsNaN(a) || math.IsNaN(b) {
			missing.N++
			if !math.IsNaN(a) {
				lost = append(lost, a)
			}
			continue
		}
		before, after = append(before, a), append(after, b)
		g.Changes, g.Athletes = append(g.Changes, b-a), append(g.Athletes, i)
	}
	missing.Before = math.NaN()
	if len(lost) > 0 {
		missing.Before = moment.Mean(lost)
	}
	if g.N = len(before); g.N < MinGroup {
		return g, missing
	}
	g.Before, g.After = moment.Mean(before), moment.Mean(after)
	g.Change, g.P, g.Hedges = paired(g.Changes, moment.SD(before), level)
	g.SignedRank = Wilcoxon(g.Changes, level)
	return g, missing
}

// paired is the mean change by Student's t, and Hedges' g of it.
func paired(changes []float64, sdBefore, level float64) (change estimate.Estimate, p float64, g estimate.Estimate) {
	n := float64(len(changes))
	mean, sd := moment.Mean(changes), moment.SD(changes)
	if !(sd > 0) {
		return estimate.Bare(mean, estimate.NoVariation), math.NaN(), estimate.Bare(math.NaN(), estimate.NoVariation)
	}
	se, df := sd/math.Sqrt(n), n-1
	change = estimate.Around(mean, dist.TQuantile((1+level)/2, df)*se, se, df, level, estimate.PairedT)
	t := mean / se
	p = dist.TTwoSided(t, df)
	if !(sdBefore > 0) {
		return change, p, estimate.Bare(math.NaN(), estimate.NoVariation)
	}
	j := J(df)
	scale := sd / sdBefore / math.Sqrt(n) * j
	g = estimate.Estimate{Value: mean / sdBefore * j, DF: df, Level: level, Kind: estimate.NoncentralT,
		Lower: scale * noncentrality(t, df, (1+level)/2), Upper: scale * noncentrality(t, df, (1-level)/2)}
	return change, p, g
}

// J is Hedges' exact correction of a standardised mean,
//
//	J(m) = Γ(m/2)/(√(m/2) Γ((m-1)/2))
//
// Source: Hedges LV (1981), Journal of Educational Statistics 6:107-128.
func J(m float64) float64 {
	a, _ := math.Lgamma(m / 2)
	b, _ := math.Lgamma((m - 1) / 2)
	return math.Exp(a - b - math.Log(m/2)/2)
}

// noncentrality is the δ for which t is the quantile p of a noncentral t.
func noncentrality(t, df, p float64) float64 {
	low, high := t-10-math.Abs(t), t+10+math.Abs(t)
	for range 200 {
		m := low + (high-low)/2
		if dist.NoncentralTCDF(t, df, m) > p {
			low = m
		} else {
			high = m
		}
	}
	return low + (high-low)/2
}

// compare puts the groups beside each other.
func (r *Result) compare(in Input, o Options) error {
	d := in.design()
	adjusted, ok := fit(d.columns(true), 1)
	changed, okToo := fit(d.columns(false), 1)
	if !ok || !okToo {
		return fmt.Errorf("%w: arm, level and score before cannot be told apart", ErrInput)
	}
	c := adjusted.coefficient(d.after, o.Level)
	r.Adjusted = &c
	if o.Assigned == Existing || o.Assigned == Unknown {
		k := changed.coefficient(d.changes(), o.Level)
		r.Change = &k
	}
	r.Permutation, r.Permuted, r.AllPermuted = d.permute(o)
	pooled := d.pooledSD()
	raw := moment.Mean(d.of(d.before, true)) - moment.Mean(d.of(d.before, false))
	r.Baseline = raw / pooled
	if !math.IsNaN(in.Reliability) && in.Reliability > 0 {
		r.Artefact = (1 - in.Reliability) * raw
		if o.Assigned == ByScore {
			r.Regression = (1 - in.Reliability) * (moment.Mean(d.before) - moment.Mean(d.of(d.before, true)))
		}
	}
	return nil
}

// judge holds the difference, or the change of one group, against what matters.
func (r *Result) judge() {
	e := r.Groups[0].Change
	if r.Adjusted != nil {
		e = r.Adjusted.HC2
	}
	switch w := r.Worthy; {
	case !(w > 0) || !e.HasInterval():
	case e.Lower >= w || e.Upper <= -w:
		r.Matters = Yes
	case e.Lower > -w && e.Upper < w:
		r.Matters = No
	}
}

func (r *Result) doubt(in Input) {
	put := func(c caveat.Caveat) { r.Caveats = append(r.Caveats, c.About(r.Measure)) }
	if r.Adjusted == nil {
		put(caveat.New(NoControl))
	}
	if r.Adjusted != nil && r.Assigned == Unknown {
		put(caveat.New(NotSaidHow))
	}
	if r.Change != nil && r.Adjusted.HC2.HasInterval() && r.Change.HC2.HasInterval() {
		a, c := r.Adjusted.HC2, r.Change.HC2
		if a.Excludes(0) != c.Excludes(0) || a.Excludes(c.Value) || c.Excludes(a.Value) {
			put(caveat.New(LordsParadox, a.Value, c.Value))
		}
	}
	if r.Assigned == ByScore {
		c := caveat.New(PickedByScore)
		if !math.IsNaN(r.Regression) {
			c.Numbers = []float64{r.Regression}
		}
		put(c)
	}
	lost := map[bool]float64{}
	for _, m := range r.Missing {
		lost[m.Trained] = float64(m.N)
	}
	if len(r.Missing) > 0 {
		put(caveat.New(LostAthletes, lost[true], lost[false]))
	}
	for _, g := range r.Groups {
		if in.Trained != nil && g.N < smallArm {
			put(caveat.New(SmallArm, float64(g.N)))
			break
		}
	}
}
