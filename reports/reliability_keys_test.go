package reports_test

import (
	"reflect"
	"testing"

	"noisefloor/reports"
)

var forms = []string{"1", "k", "A,1", "A,k", "C,1", "C,k"}

// filledReliability has a number of its own in every field.
func filledReliability() reports.Reliability {
	var v reports.Reliability
	fill(reflect.ValueOf(&v).Elem(), map[string]string{"Scale": "log", "Score": "mean", "SHA256": "", "TooFew": ""})
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
			r.ICC[j].Value.Value, r.ICC[j].Value.Lower, r.ICC[j].Value.Upper = 0.801+x, 0.802+x, 0.803+x
		}
	}
	v.Measures[0].Group = ""
	return v
}

// Every key of the document and of the tables holds the field it is named for.
func TestReliabilityKeys(t *testing.T) {
	v := filledReliability()
	checkJSON(t, v, `
		input.path Input.Path
		input.rows Input.Rows
		input.left_out.1.reason Input.LeftOut[1].Reason
		input.left_out.1.rows Input.LeftOut[1].Rows
		@ settings Settings
		version Version
		confidence Confidence
		narrow Narrow
		score Score
		scale Scale
		worthwhile Worthwhile
		sessions.1 Sessions[1]
		baseline Baseline
		follow_up.1 FollowUp[1]
		noise Noise
		measures.1 Measures[1]
		where.1 Where[1]
		by By
		covariates.1 Covariates[1]
		planes.1 Planes[1]
		replicates Replicates
		missing_sessions Missing
		@
		not_analysed.1.measure Failed[1].Measure
		not_analysed.1.group Failed[1].Group
		not_analysed.1.reason Failed[1].Reason
		warnings.1 Caveats[1]
		measures.0.measure Measures[0].Measure
		measures.0.label Measures[0].Label
		measures.0.unit Measures[0].Unit
		measures.1.group Measures[1].Group
		measures.1.typical_error:i Measures[1].Result.TypicalError
		@ measures.0 Measures[0].Result
		scale Scale
		athletes Athletes
		complete Complete
		left_out.1.reason LeftOut[1].Reason
		left_out.1.athletes.0 LeftOut[1].Athletes[0]
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
		icc.0:i ICC[0].Value
		icc.3.form ICC[3].Form
		icc.3.model ICC[3].Model
		icc.3:i ICC[3].Value
		icc.5:i ICC[5].Value
		typical_error:i TypicalError
		typical_error.df DF
		typical_error_percent:i TypicalErrorPercent
		agreement_error AgreementError
		true_sd TrueSD
		observed_sd ObservedSD
		detectable_change.level DetectableChange.Level
		detectable_change.estimate DetectableChange.Value
		detectable_change.large_sample DetectableChange.LargeSample
		detectable_change.percent_up DetectableChange.PercentUp
		detectable_change.percent_down DetectableChange.PercentDown
		worthwhile_change:i Worthwhile.Estimate
		worthwhile_change.basis Worthwhile.Words
		worthwhile_change.percent_up Worthwhile.PercentUp
		worthwhile_change.percent_down Worthwhile.PercentDown
		detectable_to_worthwhile Ratio
		mean_changes.1.from MeanChanges[1].From
		mean_changes.1.to MeanChanges[1].To
		mean_changes.1.n MeanChanges[1].N
		mean_changes.1:i MeanChanges[1].Change
		mean_changes.1.p MeanChanges[1].P
		mean_changes.1.typical_error:i MeanChanges[1].TypicalError
		mean_changes.1.percent:i MeanChanges[1].Percent
		session_test.f SessionTest.F
		session_test.df1 SessionTest.DF1
		session_test.df2 SessionTest.DF2
		session_test.p SessionTest.P
		settled_from SettledFrom
		groups.1.group Groups[1].Name
		groups.1.athletes Groups[1].Athletes
		groups.1.mean Groups[1].Mean
		groups.1.typical_error:i Groups[1].TypicalError
		groups.1.typical_error_percent:i Groups[1].TypicalErrorPercent
		groups.1.df Groups[1].DF
		groups.1.icc:i Groups[1].ICC
		group_test.method GroupTest.Method
		group_test.statistic GroupTest.Statistic
		group_test.p GroupTest.P
		group_test.pooled_icc GroupTest.PooledICC
		group_test.within_icc GroupTest.WithinICC
		group_test.words GroupTest.Words
		influence.typical_error_athlete Influence.TypicalErrorAthlete
		influence.typical_error_without Influence.TypicalErrorWithout
		influence.icc_athlete Influence.ICCAthlete
		influence.icc_without Influence.ICCWithout
		warnings.1 Warnings[1]
		@ measures.0.limits_of_agreement Measures[0].Result.Agreement
		from From
		to To
		n N
		coverage Coverage
		bias Bias.Value
		bias_interval:i Bias
		sd SD
		lower Lower.Value
		upper Upper.Value
		lower_interval:i Lower
		upper_interval:i Upper
		lower_approximate:i LowerApprox
		upper_approximate:i UpperApprox
		prediction_lower PredictionLower
		prediction_upper PredictionUpper
		slope_on_mean:i Slope
		slope_p SlopeP
		spread_on_mean:i Spread
		spread_p SpreadP
		log_advised LogAdvised
		spread_on_log:i SpreadOnLog
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
		ratio Ratio
		basis Worthwhile.Words
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
		model Model
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
		advice Advice
		@ groups Measures[0].Result
		of_group Groups[0].Name
		athletes Groups[0].Athletes
		typical_error:c Groups[0].TypicalError
		icc_c1:c Groups[0].ICC
		test GroupTest.Words
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
		@
		left-out.reason Measures[0].Result.LeftOut[0].Reason
	`)
}
