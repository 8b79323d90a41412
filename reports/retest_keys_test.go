package reports_test

import (
	"reflect"
	"testing"

	"noisefloor/reports"
)

func filledRetest() reports.Retest {
	var v reports.Retest
	fill(reflect.ValueOf(&v).Elem(), map[string]string{"Scale": "log", "Score": "mean", "SHA256": "",
		"Verdict": "stands out and matters", "State": "stands-out", "Matters": "yes", "Reason": "never-seen",
		"Direction": "fall", "Better": "worse", "Method": "Bartlett"})
	v.Caveats, v.Result.Caveats, v.Settings = nil, nil, map[string]string{}
	for i := range v.Result.Changes {
		v.Result.Changes[i].Occasion = i
	}
	for i := range v.Result.Changes {
		v.Result.Changes[i].Measure, v.Result.Changes[i].Group = v.Result.Noise[i].Measure, v.Result.Noise[i].Group
	}
	return v
}

func TestRetestKeys(t *testing.T) {
	v := filledRetest()
	checkJSON(t, v, `
		@ family Result.Family
		changes Changes
		expected_false_alarms ExpectedFalseAlarms
		past_noise PastNoise
		stand_out StandOut
		@ occasions.1 Result.Occasions[1]
		baseline.1 Baseline[1]
		follow_up.1 FollowUp[1]
		gap_days GapDays
		@ noise.1 Result.Noise[1]
		measure Measure
		group Group
		unit Unit
		source Source
		typical_error TypicalError
		df DF
		scale Scale
		athletes Athletes
		sessions.1 Sessions[1]
		trials Trials
		gap_days GapDays
		studies.1.source Studies[1].Source
		studies.1.typical_error Studies[1].TypicalError
		studies.1.df Studies[1].DF
		studies_test.method Agree.Method
		studies_test.statistic Agree.Statistic
		studies_test.p Agree.P
		@ seasons.1 Result.Seasons[1]
		athlete Athlete
		baseline_sessions.1 Baseline[1]
		sessions.1 Sessions[1]
		watch.alarm_at Watch.At
		watch.window_from Watch.From
		watch.w Watch.W
		watch.mean_change:k Watch.Change
		watch.mean_change_percent:k Watch.Percent
		watch.limit Watch.Limit
		watch.c Watch.Factor
		watch.direction Watch.Direction
		p Watch.P
		p_bh Watch.PBH
		state Watch.State
		slope:k Line.Slope
		slope_percent:k Line.Percent
		scatters_more Line.Scatters
		slope_p Line.P
		slope_p_bh Line.PBH
		slope_state Line.State
		@ season_tests.1 Result.SeasonTests[1]
		measure Measure
		athletes Athletes
		season_sessions Sessions
		planned Planned
		b Baseline
		c Factor
		alarms Alarms
		alarms_by_chance ByChance
		step Step
		step_power Power
		scatter Scatter
		lines Lines
		lag_1 Waves.R
		lag_1_by_chance Waves.Expected
		@ not_judged.1 Result.LeftOut[1]
		measure Measure
		athletes.1 Athletes[1]
		@
		changes.1.unit Result.Noise[1].Unit
		@ changes.1 Result.Changes[1]
		athlete Athlete
		measure Measure
		group Group
		from.1 From[1]
		to.1 To[1]
		baseline Baseline
		follow_up FollowUp
		change Change.Value
		lower Change.Lower
		upper Change.Upper
		narrow:k Narrow
		se SE
		df DF
		detectable Detectable
		worthwhile Worthwhile
		percent:k Percent
		p P
		p_holm PHolm
		p_bh PBH
		chance.above Chance.Above
		chance.within Chance.Within
		chance.below Chance.Below
		chance_cohort.above ChanceCohort.Above
		chance_cohort.within ChanceCohort.Within
		chance_cohort.below ChanceCohort.Below
		chance_flat.above ChanceFlat.Above
		chance_flat.within ChanceFlat.Within
		chance_flat.below ChanceFlat.Below
		best_estimate:k Best
		matters Matters
		verdict Verdict
		direction Direction
		better Better
		expected_by_regression Expected
		beyond_regression:k Beyond
	`)
	v.Result.Changes[0].From, v.Result.Changes[0].To = []string{"1"}, []string{"3"}
	checkTables(t, v, `
		@ changes Result.Noise[0]
		group Group
		unit Unit
		scale Scale
		measure Measure
		@ changes Result.Changes[0]
		athlete Athlete
		from From[0]
		to To[0]
		baseline Baseline
		follow_up FollowUp
		change Change.Value
		lower Change.Lower
		upper Change.Upper
		narrow_lower Narrow.Lower
		narrow_upper Narrow.Upper
		se SE
		df DF
		detectable Detectable
		worthwhile Worthwhile
		verdict Verdict
		direction Direction
		better Better
		best_estimate Best.Value
		best_estimate_lower Best.Lower
		best_estimate_upper Best.Upper
		chance_above Chance.Above
		chance_within Chance.Within
		chance_below Chance.Below
		p P
		p_bh PBH
		p_holm PHolm
		expected_by_regression Expected
		beyond_regression Beyond.Value
		@ tests Result.Changes[0]
		measure Measure
		detectable Detectable
		worthwhile Worthwhile
		@ tests Result.Noise[0]
		typical_error TypicalError
		df DF
		source Source
	`)
}
