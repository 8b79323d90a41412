package reports

import (
	"fmt"
	"math"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/reliability"
	"noisefloor/reports/field"
	"noisefloor/reports/number"
	"noisefloor/reports/table"
)

// growthFields say whether the error goes with the score.
func growthFields() field.Set[ReliabilityMeasure] {
	type M = ReliabilityMeasure
	return field.Set[M]{
		field.Interval("slope", func(m M) estimate.Estimate { return m.Result.Growth.Slope }).Required().
			Shown("error growth", func(m M) string { return number.SignedEstimate(m.Result.Growth.Slope, 1) }),
		field.Number("p", func(m M) float64 { return m.Result.Growth.P }).
			Shown("p", func(m M) string { return number.PValue(m.Result.Growth.P) }),
		field.Number("power", func(m M) float64 { return m.Result.Growth.Power }).
			Shown("power that evens it", func(m M) string { return number.Signed(m.Result.Growth.Power, 1) }),
		field.Integer("athletes", func(m M) int { return m.Result.Growth.Athletes }),
		field.Text("advice", func(m M) string { return adviceWords(m.Result.ScaleAdvice) }).Hidden().
			Shown("scale advice", func(m M) string { return adviceWords(m.Result.ScaleAdvice) }),
	}
}

// equalFields say whether all athletes are equally noisy.
func equalFields() field.Set[ReliabilityMeasure] {
	type M = ReliabilityMeasure
	noisiest := func(m M) reliability.AthleteNoise { n, _ := m.Result.Noisiest(); return n }
	return field.Set[M]{
		field.Number("p", func(m M) float64 { return m.Result.Equal.P }).Required().
			Shown("athletes equally noisy, p", func(m M) string { return number.PValue(m.Result.Equal.P) }),
		field.Number("prior_df", func(m M) float64 { return m.Result.Equal.PriorDF }).
			Shown("prior df", func(m M) string { return priorWords(m.Result.Equal.PriorDF) }),
		field.Number("prior_typical_error", func(m M) float64 { return m.Result.Equal.PriorSD }),
		field.Text("noisiest", func(m M) string { return noisiest(m).Athlete }).Hidden().
			Shown("noisiest", func(m M) string { return noisiest(m).Athlete }),
		field.Number("noisiest_typical_error", func(m M) float64 { return noisiest(m).TypicalError }).Hidden().
			Shown("its typical error", func(m M) string { return m.error(noisiest(m).TypicalError) }),
	}
}

func priorWords(df float64) string {
	if math.IsInf(df, 1) {
		return "all alike"
	}
	return number.Plain(df, 1)
}

// ownFields are the typical errors of single athletes.
func ownFields() field.Set[part[reliability.AthleteNoise]] {
	type P = part[reliability.AthleteNoise]
	return field.Set[P]{
		field.Text("athlete", func(p P) string { return p.v.Athlete }).Required(),
		field.Number("typical_error", func(p P) float64 { return p.v.TypicalError }),
		field.Number("df", func(p P) float64 { return p.v.DF }),
		field.Number("alone", func(p P) float64 { return p.v.Own }),
		field.Number("alone_df", func(p P) float64 { return p.v.OwnDF }),
	}
}

// tailFields say how far the errors are from normal ones.
func tailFields() field.Set[part[reliability.Tails]] {
	type P = part[reliability.Tails]
	return field.Set[P]{
		field.Interval("robust_typical_error", func(p P) estimate.Estimate { return p.v.Robust }).
			Shown("robust typical error", func(p P) string { return p.m.spread(p.v.Robust) }),
		field.Number("kurtosis", func(p P) float64 { return p.v.Kurtosis }).
			Shown("kurtosis", func(p P) string { return number.Plain(p.v.Kurtosis, 1) }),
		field.Number("p", func(p P) float64 { return p.v.P }).
			Shown("normal tails, p", func(p P) string { return number.PValue(p.v.P) }),
	}
}

// growthTable and the two after it ask whether one noise is true for all.
func (v Reliability) growthTable() table.Table {
	t := v.perMeasure("error-growth", "Does the error grow with the score? From each athlete's own variance.",
		growthFields(), func(m ReliabilityMeasure) bool { return m.Result.Growth.Slope.HasInterval() })
	t.Notes = []string{"0: one size for all. 2: in proportion to the score, which the log scale makes even."}
	return t
}

func (v Reliability) equalTable() table.Table {
	t := v.perMeasure("equal-noise", "Are all athletes equally noisy?", equalFields(),
		func(m ReliabilityMeasure) bool { return m.Group == "" && m.Result.Equal.P > 0 })
	t.Notes = []string{"With two or three sessions wild errors of all athletes look the same as athletes that differ."}
	return t
}

func (v Reliability) tailTable() table.Table {
	return partTable(v, "errors", "Are the errors normal? A typical error that a few wild ones move little, beside.",
		tailFields(), func(m ReliabilityMeasure) []part[reliability.Tails] {
			if m.Group != "" {
				return nil
			}
			return single(func(m ReliabilityMeasure) *reliability.Tails { return m.Result.Tails })(m)
		})
}

// normalWords name the test that takes errors for normal.
func normalWords(t reliability.VarianceTest) string {
	return map[reliability.TestMethod]string{reliability.FRatio: "F ratio of two variances",
		reliability.Bartlett: "Bartlett"}[t.Method]
}

// besideIt is that test beside the first group.
func (p part[T]) besideIt() string {
	g, ok := any(p.v).(reliability.Group)
	t, first := p.m.Result.GroupTest, p.m.Result.Groups
	if !ok || t == nil || t.Normal.Method == "" || len(first) == 0 || first[0].Name != g.Name {
		return ""
	}
	return normalWords(t.Normal) + ", " + number.P(t.Normal.P)
}

// power is that of every measure, 0 without any.
func (v Reliability) power() float64 {
	if len(v.Measures) == 0 {
		return 0
	}
	return v.Measures[0].Result.DetectableChange.Power
}

// oddsWords say the power in plain words: "4 of 5 retests".
func (m ReliabilityMeasure) oddsWords() string {
	return number.Odds(m.Result.DetectableChange.Power) + " retests"
}

// seen is the true change that is seen with the power asked for.
func (m ReliabilityMeasure) seen() string { return m.changeWords(m.Result.DetectableChange.Seen.Value) }

func (m ReliabilityMeasure) seenWithLimits() string {
	e := m.Result.DetectableChange.Seen
	return m.seen() + m.limits(e)
}

func (m ReliabilityMeasure) detectableWithLimits() string {
	d := m.Result.DetectableChange
	return m.detectable() + m.limits(estimate.Estimate{Value: d.Value, Lower: d.Lower, Upper: d.Upper})
}

// limits are those of a change, upwards on the log scale; "" without any.
func (m ReliabilityMeasure) limits(e estimate.Estimate) string {
	switch {
	case !e.HasInterval() || math.IsNaN(e.Value):
		return ""
	case m.onLog():
		return " (" + percentLimits(e.Map(estimate.Percent)) + ")"
	}
	return " (" + number.Interval(e.Lower, e.Upper, m.decimals()) + ")"
}

func athletesDifferWords(c caveat.Caveat, a About) string {
	n := c.Numbers
	words := fmt.Sprintf("the athletes are not equally noisy (%s). The typical error of all, %s, is wrong for the "+
		"noisiest: %s has about %s.", number.P(n[0]), a.amount(c, n[3]), c.Names[len(c.Names)-1], a.amount(c, n[2]))
	if n[1] <= 3 {
		words += " Or all have a wild day now and then: so few sessions cannot tell."
	}
	return words
}

func tailWords(c caveat.Caveat, a About) string {
	n := c.Numbers
	return fmt.Sprintf("the errors have wild ones among them (%s). The interval of the typical error, %s, is too "+
		"narrow; without the wild ones it is about %s.", number.P(n[0]), a.amount(c, n[2]), a.amount(c, n[1]))
}
