package reports_test

import (
	"reflect"
	"testing"

	"noisefloor/reports"
)

func filledCorrelate() reports.Correlate {
	var v reports.Correlate
	fill(reflect.ValueOf(&v).Elem(), map[string]string{"Scale": "log", "Score": "mean", "SHA256": "", "TooFew": ""})
	for i := range v.Models.Added {
		v.Models.Added[i].From, v.Models.Added[i].To = 0, 1
	}
	v.Settings, v.Caveats = map[string]any{"table": map[string]any{"path": "t.csv"}, "confidence": 0.95, "seed": 1}, nil
	return v
}

func TestCorrelateKeys(t *testing.T) {
	v := filledCorrelate()
	const comparison = `
		a A
		b B
		plane_a PlaneA
		plane_b PlaneB
		n N
		turned_a FlippedA
		turned_b FlippedB
		r_a RA
		r_b RB
		r_ab RAB
		difference Difference.Value
		lower Difference.Lower
		upper Difference.Upper
		t T
		df DF
		p_williams PWilliams
		p_williams_holm PWilliamsHolm
		z Z
		p_meng PMeng
	`
	checkJSON(t, v, `
		outcome Result.Outcome
		outcome_unit Result.OutcomeUnit
		athletes Result.Athletes
		family Result.Family
		warnings.1 Result.Caveats[1].Kind
		@ planes.1 Result.Planes[1]
		plane Plane
		tests Tests
		mean_r MeanR
		lowest Lowest
		highest Highest
		best Best
		@ associations.1 Result.Associations[1]
		measure Measure
		unit Unit
		plane Plane
		n N
		pearson:r Pearson
		spearman:r Spearman
		partial:r Partial
		within_level:r Within.Correlation
		within_level.levels.1.level Within.Groups[1].Group
		within_level.levels.1:r Within.Groups[1].Correlation
		within_level.homogeneity.chi_square Within.Homogeneity.Statistic
		within_level.homogeneity.df Within.Homogeneity.DF
		within_level.homogeneity.p Within.Homogeneity.P
		within_level.parted Within.Parted
		corrected:i Corrected.Estimate
		corrected.reliability_test Corrected.ReliabilityTest
		corrected.reliability_outcome Corrected.ReliabilityOutcome
		corrected.above_one Corrected.AboveOne
		slope:i Slope
		warnings.1 Caveats[1].Kind
		@ comparisons.1 Result.Comparisons[1]`+comparison+`
		@ comparisons_within_level.0 Result.WithinComparisons[0]`+comparison)
	v.Result.Comparisons[0].FlippedA, v.Result.Comparisons[0].FlippedB = false, false
	v.Result.WithinComparisons[0].FlippedA, v.Result.WithinComparisons[0].FlippedB = false, false
	const row = `
		a A
		plane_a PlaneA
		b B
		plane_b PlaneB
		n N
		r_a RA
		r_b RB
		r_ab RAB
		difference Difference.Value
		lower Difference.Lower
		upper Difference.Upper
		t T
		df DF
		p_williams PWilliams
		p_williams_holm PWilliamsHolm
		z Z
		p_meng PMeng
	`
	checkTables(t, v, `
		@ correlate Result.Associations[0]
		measure Measure
		unit Unit
		plane Plane
		n N
		within_level:p Within.Correlation
		pearson:p Pearson
		spearman:p Spearman
		partial:p Partial
		corrected:c Corrected.Estimate
		slope:c Slope
		@ planes Result.Planes[0]
		plane Plane
		tests Tests
		mean_r MeanR
		lowest Lowest
		highest Highest
		best Best
		@ levels Result.Associations[0]
		measure Measure
		level Within.Groups[0].Group
		n Within.Groups[0].N
		r Within.Groups[0].Value
		lower Within.Groups[0].Lower
		upper Within.Groups[0].Upper
		@ comparisons Result.Comparisons[0]`+row+`
		@ comparisons-within-level Result.WithinComparisons[0]`+row)
}
