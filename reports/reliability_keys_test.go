package reports_test

import (
	"bytes"
	"reflect"
	"testing"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/reliability"
	"noisefloor/reports"
)

var forms = []string{"1", "k", "A,1", "A,k", "C,1", "C,k"}

// filledReliability has a number of its own in every field.
func filledReliability() reports.Reliability {
	var v reports.Reliability
	fill(reflect.ValueOf(&v).Elem(), map[string]string{"Scale": "log", "Score": "mean", "SHA256": "", "Why": "",
		"Route": "reml-every-score", "Basis": "fixed",
		"Sees": "no", "Tells": "not-shown", "Settling": "settled", "Design": "found", "Verdict": "no-sign",
		"Advice": "error-grows", "ScaleAdvice": "error-grows", "By": "complete-cases"})
	for i := range v.Measures {
		r := &v.Measures[i].Result
		for len(r.ICC) < len(forms) {
			c := r.ICC[0]
			fill(reflect.ValueOf(&c).Elem(), nil)
			r.ICC = append(r.ICC, c)
		}
		for j, form := range forms {
			r.ICC[j].Form = form
			x := float64(10*i+j) / 100 // the copies of the loop above are alike
			r.ICC[j].Value.SE, r.ICC[j].Value.DF = 0.804+x, 0.805+x
			r.ICC[j].Value.Value, r.ICC[j].Value.Lower, r.ICC[j].Value.Upper = 0.801+x, 0.802+x, 0.803+x
		}
	}
	for i := range v.Measures { // what is chosen from a list, and what names measures
		r := &v.Measures[i].Result
		r.SettledFrom = 1
		r.GroupTest.Method = "bartlett"
		r.Caveats = []caveat.Caveat{caveat.New(reliability.NoGroup, 2), caveat.New(reliability.OutOfRange)}
	}
	v.About.Caveats = nil
	v.Measures[0].Group = ""
	return v
}

// Every key of the document and of the tables holds the field it is named for.
func TestReliabilityKeys(t *testing.T) {
	v := filledReliability()
	v.About.Settings = map[string]any{"confidence": v.About.Confidence}
	var text bytes.Buffer
	if err := reports.WriteJSON(&text, v); err != nil {
		t.Fatal(err)
	}
	checkLeaves(t, v, text.Bytes(), `
		version About.Version
		input.path About.Input.Path
		input.rows About.Input.Rows
		input.left_out.1.reason About.Input.LeftOut[1].Reason
		input.left_out.1.rows About.Input.LeftOut[1].Rows
		settings.confidence About.Confidence
		@
		not_analysed.1.measure Failed[1].Measure
		not_analysed.1.group Failed[1].Group
		not_analysed.1.reason Failed[1].Reason
		measures.0.measure Measures[0].Measure
		measures.0.label Measures[0].Label
		measures.0.unit Measures[0].Unit
		measures.1.group Measures[1].Group
		@ measures.0 Measures[0].Result
		scale Scale
		athletes Athletes
		complete Complete
		left_out.1.athletes.0 LeftOut[1].Athletes[0]
		verdict.one_retest_enough Sees
		verdict.tells_athletes_apart Tells
		verdict.settled Settling
		verdict.design Design
		verdict.group_errors GroupTest.Verdict
		verdict.icc_lifted_by_groups GroupTest.LiftedByGroups
		verdict.scale_advice ScaleAdvice
		error_growth.slope:k Growth.Slope
		error_growth.p Growth.P
		error_growth.power Growth.Power
		error_growth.athletes Growth.Athletes
		equal_noise.p Equal.P
		equal_noise.prior_df Equal.PriorDF
		equal_noise.prior_typical_error Equal.PriorSD
		own_noise.1.athlete OwnNoise[1].Athlete
		own_noise.1.typical_error OwnNoise[1].TypicalError
		own_noise.1.df OwnNoise[1].DF
		own_noise.1.alone OwnNoise[1].Own
		own_noise.1.alone_df OwnNoise[1].OwnDF
		errors.robust_typical_error:k Tails.Robust
		errors.kurtosis Tails.Kurtosis
		errors.p Tails.P
		components.attempts Components.N
		components.athlete:k Components.Athlete.Estimate
		components.athlete_session:k Components.AthleteSession.Estimate
		components.trial:k Components.Trial.Estimate
		components.reml_criterion Components.Criterion
		decision_study.1.sessions Decision[1].Sessions
		decision_study.1.trials Decision[1].Trials
		decision_study.1.typical_error:k Decision[1].TypicalError
		decision_study.1.df Decision[1].DF
		decision_study.1.reliability:k Decision[1].Reliability
		decision_study.1.detectable_change Decision[1].Detectable
		decision_study.1.seen Decision[1].Seen
		cheapest_design.found Cheapest.Found
		cheapest_design.never Cheapest.Never
		cheapest_design.sessions Cheapest.Row.Sessions
		cheapest_design.trials Cheapest.Row.Trials
		cheapest_design.limit Cheapest.Limit
		trials Trials
		mean Mean
		session_means.1.session SessionMeans[1].Session
		session_means.1.n SessionMeans[1].N
		session_means.1.mean SessionMeans[1].Mean
		session_means.1.sd SessionMeans[1].SD
		mean_squares.athletes ANOVA.MSR
		mean_squares.sessions ANOVA.MSC
		mean_squares.error ANOVA.MSE
		mean_squares.within ANOVA.MSW
		icc.0:k ICC[0].Value
		icc.3.form ICC[3].Form
		icc.3:k ICC[3].Value
		icc.5:k ICC[5].Value
		typical_error.estimate TypicalError.Value
		typical_error.lower TypicalError.Lower
		typical_error.upper TypicalError.Upper
		typical_error.se TypicalError.SE
		typical_error.df DF
		typical_error_percent:k TypicalErrorPercent
		agreement_error:k AgreementError
		true_sd TrueSD
		observed_sd ObservedSD
		detectable_change.level DetectableChange.Level
		detectable_change.estimate DetectableChange.Value
		detectable_change.lower DetectableChange.Lower
		detectable_change.upper DetectableChange.Upper
		detectable_change.large_sample DetectableChange.LargeSample
		detectable_change.power DetectableChange.Power
		detectable_change.power_80 DetectableChange.Power80
		detectable_change.seen:k DetectableChange.Seen
		detectable_change.percent_up DetectableChange.PercentUp
		detectable_change.percent_down DetectableChange.PercentDown
		worthwhile_change:k Worthwhile.Estimate
		worthwhile_change.basis Worthwhile.Source
		worthwhile_change.percent_up Worthwhile.PercentUp
		worthwhile_change.percent_down Worthwhile.PercentDown
		detectable_to_worthwhile Ratio
		seen_to_worthwhile SeenRatio
		mean_changes.1.from MeanChanges[1].From
		mean_changes.1.to MeanChanges[1].To
		mean_changes.1.n MeanChanges[1].N
		mean_changes.1:k MeanChanges[1].Change
		mean_changes.1.p MeanChanges[1].P
		mean_changes.1.typical_error:k MeanChanges[1].TypicalError
		mean_changes.1.percent:k MeanChanges[1].Percent
		session_test.f SessionTest.F
		session_test.df1 SessionTest.DF1
		session_test.df2 SessionTest.DF2
		session_test.p SessionTest.P
		settled_from Sessions[1]
		groups.1.group Groups[1].Name
		groups.1.athletes Groups[1].Athletes
		groups.1.mean Groups[1].Mean
		groups.1.typical_error:k Groups[1].TypicalError
		groups.1.typical_error_percent:k Groups[1].TypicalErrorPercent
		groups.1.df Groups[1].DF
		groups.1.icc:k Groups[1].ICC
		group_test.statistic GroupTest.Statistic
		group_test.p GroupTest.P
		group_test.df1 GroupTest.DF1
		group_test.df2 GroupTest.DF2
		group_test.normal_statistic GroupTest.Normal.Statistic
		group_test.normal_p GroupTest.Normal.P
		group_test.pooled_icc GroupTest.PooledICC
		group_test.within_icc GroupTest.WithinICC
		influence.typical_error_athlete Influence.TypicalErrorAthlete
		influence.typical_error_without Influence.TypicalErrorWithout
		influence.icc_athlete Influence.ICCAthlete
		influence.icc_without Influence.ICCWithout
		@ measures.0.limits_of_agreement Measures[0].Result.Agreement
		from From
		to To
		n N
		coverage Coverage
		bias Bias.Value
		bias_interval:k Bias
		sd SD
		lower Lower.Value
		upper Upper.Value
		lower_interval:k Lower
		upper_interval:k Upper
		lower_approximate:k LowerApprox
		upper_approximate:k UpperApprox
		prediction_lower PredictionLower
		prediction_upper PredictionUpper
		slope_on_mean:k Slope
		slope_p SlopeP
		spread_on_mean:k Spread
		spread_p SpreadP
		log_advised LogAdvised
		spread_on_log:k SpreadOnLog
		cured_on_log Cured
	`)
	checkTables(t, v, `
		reliability.measure Measures[0].Measure
		reliability.unit Measures[0].Unit
		@ reliability Measures[0].Result
		scale Scale
		athletes Athletes
		mean Mean
		typical_error:c TypicalError
		typical_error_df DF
		typical_error_percent:c TypicalErrorPercent
		detectable_change DetectableChange.Value
		detectable_change_large_sample DetectableChange.LargeSample
		worthwhile_change Worthwhile.Value
		worthwhile_lower Worthwhile.Lower
		worthwhile_upper Worthwhile.Upper
		icc_a1:c ICC[2].Value
		icc_c1:c ICC[4].Value
		@ detectable Measures[0].Result
		detectable_change DetectableChange.Value
		large_sample DetectableChange.LargeSample
		worthwhile_change Worthwhile.Value
		seen:c DetectableChange.Seen
		power DetectableChange.Power
		ratio Ratio
		seen_ratio SeenRatio
		basis Worthwhile.Source
		@ mean-changes Measures[0].Result.MeanChanges[0]
		from From
		to To
		n N
		change Change.Value
		lower Change.Lower
		upper Change.Upper
		p P
		typical_error:c TypicalError
		@ icc Measures[0].Result.ICC[0]
		shrout_fleiss ShroutFleiss
		estimate Value.Value
		lower Value.Lower
		upper Value.Upper
		f F
		df1 DF1
		df2 DF2
		@ agreement Measures[0].Result.Agreement
		from From
		to To
		n N
		bias:c Bias
		sd SD
		lower:c Lower
		upper:c Upper
		slope:c Slope
		spread:c Spread
		@ groups Measures[0].Result
		of_group Groups[0].Name
		athletes Groups[0].Athletes
		typical_error:c Groups[0].TypicalError
		icc_c1:c Groups[0].ICC
		@ session-means Measures[0].Result.SessionMeans[0]
		session Session
		n N
		mean Mean
		sd SD
		@ influence Measures[0].Result.Influence
		te_athlete TypicalErrorAthlete
		te_without TypicalErrorWithout
		icc_athlete ICCAthlete
		icc_without ICCWithout
		@ components Measures[0].Result.Components
		attempts N
		athlete_sd:c Athlete.SD
		athlete_session_sd:c AthleteSession.SD
		trial_sd:c Trial.SD
		@ decision-study Measures[0].Result.Decision[0]
		sessions Sessions
		trials Trials
		typical_error:c TypicalError
		reliability:c Reliability
		detectable_change Detectable
		seen Seen
	`)
}
