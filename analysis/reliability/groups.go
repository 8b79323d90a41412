package reliability

import (
	"fmt"
	"math"

	"noisefloor/analysis/anova"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
)

// maxLift is how far the pooled ICC may lie above the one inside the groups
// before the warning, even where the interval of the latter is wide.
const maxLift = 0.1

// A part is the table of one group.
type part struct {
	name string
	rows []int // of the study
	a    anova.TwoWay
}

// groups fills the reliability of each group and the comparison of the groups.
func (r *Result) groups(s study) {
	if s.options.Group == nil {
		return
	}
	parts, unknown := s.split()
	if unknown > 0 {
		r.Warnings = append(r.Warnings, fmt.Sprintf("%s without a group: in the overall results, in no group", count(unknown)))
	}
	var tested []part
	for _, p := range parts {
		r.Groups = append(r.Groups, r.group(p))
		if len(p.rows) >= MinAthletes {
			tested = append(tested, p)
		}
	}
	if len(parts) > 1 {
		r.GroupTest = r.compareGroups(parts, tested)
	}
}

// split sorts the athletes of the study into groups, in order of appearance.
func (s study) split() (parts []part, unknown int) {
	at := map[string]int{}
	for i, row := range s.rows {
		name := s.options.Group[row]
		if name == "" {
			unknown++
			continue
		}
		g, seen := at[name]
		if !seen {
			g = len(parts)
			at[name] = g
			parts = append(parts, part{name: name})
		}
		parts[g].rows = append(parts[g].rows, i)
	}
	k := len(s.table.Sessions)
	for g, p := range parts {
		if len(p.rows) < 2 {
			continue
		}
		// The study is complete and finite and did not overflow, and so is its part.
		a, err := anova.AnalyseTwoWay(s.table.Rows(p.rows).Value, len(p.rows), k)
		if err == nil {
			parts[g].a = withoutRounding(a)
		}
	}
	return parts, unknown
}

// group is the reliability inside one group.
func (r *Result) group(p part) Group {
	g := Group{Name: p.name, Athletes: len(p.rows)}
	if g.Athletes < MinAthletes {
		g.TooFew = fmt.Sprintf("%s: no typical error below %d", count(g.Athletes), MinAthletes)
		none := estimate.Without(math.NaN(), g.TooFew)
		g.TypicalError, g.TypicalErrorPercent, g.ICC = none, none, none
		g.DF, g.Mean = math.NaN(), math.NaN()
		return g
	}
	g.DF, g.Mean = p.a.DFError, p.a.GrandMean
	g.TypicalError = sdEstimate(math.Sqrt(p.a.MSE), g.DF, r.Level)
	g.TypicalErrorPercent = percentError(g.TypicalError, g.Mean, r.Scale)
	g.ICC = FromANOVA(p.a, r.Level)[4].Value
	return g
}

// compareGroups tests whether the groups have the same error, and holds the
// pooled ICC against the one inside the groups.
func (r *Result) compareGroups(parts, tested []part) *GroupTest {
	variance, df := make([]float64, len(tested)), make([]float64, len(tested))
	for i, p := range tested {
		variance[i], df[i] = p.a.MSE, p.a.DFError
	}
	t := equalVariances(variance, df, 1-r.Level)
	t.PooledICC = r.ICC[4].Value.Value
	t.Within = within(parts, r.Level)
	t.WithinICC = t.Within.Value
	t.LiftedByGroups = t.PooledICC-t.WithinICC > maxLift || (t.Within.HasInterval() && t.PooledICC > t.Within.Upper)
	if t.LiftedByGroups {
		r.Warnings = append(r.Warnings, fmt.Sprintf(
			"the pooled ICC(C,1) of %s owes its height to the differences between the groups: inside them it is %s (%s); the typical error is not lifted",
			two(t.PooledICC), two(t.WithinICC), twoSpan(t.Within)))
	}
	return &t
}

// equalVariances tests the equality of error variances: the larger over the
// smaller with a two-sided F for two of them, Bartlett (1937) for more,
//
//	[ν ln s² - Σ ν_i ln s_i²] / [1 + (Σ 1/ν_i - 1/ν)/(3(g-1))],  ν = Σ ν_i,  s² = Σ ν_i s_i²/ν
//
// as chi-square with g-1 degrees of freedom. Both are exact, or nearly so, for
// normal errors and sensitive to others.
func equalVariances(variance, df []float64, alpha float64) GroupTest {
	t := GroupTest{Statistic: math.NaN(), P: math.NaN()}
	for _, v := range variance {
		if v == 0 {
			t.Words = "no test of equal typical errors: a group has no residual variation"
			return t
		}
	}
	switch len(variance) {
	case 0, 1:
		t.Words = fmt.Sprintf("no test of equal typical errors: fewer than two groups with %d athletes", MinAthletes)
		return t
	case 2:
		t.Method = "F ratio of two variances"
		t.Statistic, t.P = varianceRatio(variance, df)
	default:
		t.Method = "Bartlett"
		t.Statistic, t.P = bartlett(variance, df)
	}
	t.Words = fmt.Sprintf("no sign that the typical errors of the groups differ (%s, p %s): not proof that they are equal", t.Method, probability(t.P))
	if t.P < alpha {
		t.Words = fmt.Sprintf("the typical errors of the groups differ (%s, p %s): judge each group by its own", t.Method, probability(t.P))
	}
	return t
}

func varianceRatio(variance, df []float64) (f, p float64) {
	big, small := 0, 1
	if variance[1] > variance[0] {
		big, small = 1, 0
	}
	f = variance[big] / variance[small]
	return f, min(1, 2*min(dist.FSurvival(f, df[big], df[small]), dist.FSurvival(1/f, df[small], df[big])))
}

func bartlett(variance, df []float64) (statistic, p float64) {
	var total, pooled, logs, inverse float64
	for i, v := range variance {
		total += df[i]
		pooled += float64(df[i] * v)
		inverse += 1 / df[i]
	}
	pooled /= total
	for i, v := range variance {
		logs += float64(df[i] * math.Log(v/pooled))
	}
	g := float64(len(variance))
	statistic = max(0, -logs/(1+(inverse-1/total)/(3*(g-1))))
	return statistic, dist.ChiSquareSurvival(statistic, g-1)
}

// within is ICC(C,1) with the group means of each session removed: the sums of
// squares and the degrees of freedom of the groups added up, with exact F
// limits. Groups of one athlete add nothing.
func within(parts []part, level float64) estimate.Estimate {
	var sum anova.TwoWay
	for _, p := range parts {
		sum.K = max(sum.K, p.a.K)
		sum.SSRows += p.a.SSRows
		sum.SSError += p.a.SSError
		sum.DFRows += p.a.DFRows
		sum.DFError += p.a.DFError
	}
	if sum.DFRows == 0 {
		return estimate.Without(math.NaN(), "no group has two athletes")
	}
	c := ratio{k: sum.K, rows: sum.SSRows / sum.DFRows, error: sum.SSError / sum.DFError,
		df1: sum.DFRows, df2: sum.DFError, level: level}
	return c.single("C,1").Value
}
