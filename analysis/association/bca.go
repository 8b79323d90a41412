package association

import (
	"math"
	"slices"

	"noisefloor/analysis/estimate"
)

// resampleAll asks for the BCa intervals of every correlation and comparison.
// Those that rest on the same athletes share their resamples.
func resampleAll(in Input, r *Result, b *batch) {
	for i := range r.Associations {
		resampleOne(in, in.Tests[i], &r.Associations[i], r.Level, b)
	}
	for _, list := range [][]Comparison{r.Comparisons, r.WithinComparisons} {
		for i := range list {
			resampleComparison(in, &list[i], r.Level, b)
		}
	}
}

// interval asks for the BCa interval of one correlation that has a value.
func (b *batch) interval(to **estimate.Estimate, value float64, units []int, statistic weighed, level float64) {
	if math.IsNaN(value) {
		return
	}
	b.addBCa(units, nil, statistic, level, func(e estimate.Estimate) {
		e.Value = value // the same but for rounding
		*to = &e
	})
}

func resampleOne(in Input, t Variable, a *Association, level float64, b *batch) {
	at := complete(len(in.Athletes), in.Outcome.Value, t.Value)
	b.interval(&a.Pearson.BCa, a.Pearson.Value, at, pair(t.Value, in.Outcome.Value, at).r, level)
	b.interval(&a.Spearman.BCa, a.Spearman.Value, at, spearman(pick(t.Value, at), pick(in.Outcome.Value, at)), level)
	if a.Partial != nil && !math.IsNaN(a.Partial.Value) {
		at, z := in.withCovariates(t)
		if statistic, err := partialR(pick(t.Value, at), pick(in.Outcome.Value, at), z); err == nil {
			b.interval(&a.Partial.BCa, a.Partial.Value, at, statistic, level)
		}
	}
	if a.Within != nil {
		at := slices.DeleteFunc(slices.Clone(at), func(i int) bool { return in.Group[i] == "" })
		statistic := pair(t.Value, in.Outcome.Value, at).within(pick(in.Group, at)).r
		b.interval(&a.Within.BCa, a.Within.Value, at, statistic, level)
	}
}

// withCovariates returns the athletes with the outcome, the test and every
// covariate, and these covariates.
func (in Input) withCovariates(t Variable) (at []int, z []series) {
	values := [][]float64{in.Outcome.Value, t.Value}
	for _, c := range in.Covariates {
		values = append(values, c.Value)
	}
	at = complete(len(in.Athletes), values...)
	for _, c := range in.Covariates {
		z = append(z, column(c, at))
	}
	return at, z
}

// differenceN is the fewest athletes with whom a difference of two r has a BCa
// interval: below, it held the truth in 88 to 93 % of simulations, and Zou's
// stands alone.
const differenceN = 40

// withoutBCa counts the comparisons that have an interval but too few athletes
// for the bootstrap.
func (r Result) withoutBCa() int {
	few := 0
	for _, c := range slices.Concat(r.Comparisons, r.WithinComparisons) {
		if c.Difference.HasInterval() && c.N < differenceN {
			few++
		}
	}
	return few
}

func resampleComparison(in Input, c *Comparison, level float64, b *batch) {
	if !c.Difference.HasInterval() || c.N < differenceN {
		return
	}
	find := func(name string) Variable {
		return in.Tests[slices.IndexFunc(in.Tests, func(t Variable) bool { return t.Name == name })]
	}
	va, vb := find(c.A), find(c.B)
	at := complete(len(in.Athletes), in.Outcome.Value, va.Value, vb.Value)
	if c.Within {
		at = slices.DeleteFunc(at, func(i int) bool { return in.Group[i] == "" })
	}
	pa, pb := pair(va.Value, in.Outcome.Value, at), pair(vb.Value, in.Outcome.Value, at)
	if c.Within {
		pa, pb = pa.within(pick(in.Group, at)), pb.within(pick(in.Group, at))
	}
	signA, signB := sign(c.FlippedA), sign(c.FlippedB)
	b.interval(&c.BCa, c.Difference.Value, at, func(w, v []float64) float64 {
		ra, rb := pa.r(w, v), pb.r(w, v)
		if c.Absolute {
			return math.Abs(ra) - math.Abs(rb)
		}
		return float64(signA*ra) - float64(signB*rb)
	}, level)
}
