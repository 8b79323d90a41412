package reports_test

import (
	"reflect"
	"testing"

	"noisefloor/reports"
)

func filledRetest() reports.Retest {
	var v reports.Retest
	fill(reflect.ValueOf(&v).Elem(), map[string]string{"Scale": "log", "Score": "mean", "SHA256": "",
		"Verdict": "real and worthwhile", "Direction": "fall", "Better": "worse"})
	for i := range v.Result.Changes {
		v.Result.Changes[i].Measure = v.Result.Noise[i].Measure
	}
	return v
}

func TestRetestKeys(t *testing.T) {
	v := filledRetest()
	checkJSON(t, v, `
		settings.narrow Settings.Narrow
		settings.where.0 Settings.Where[0]
		settings.follow_up.1 Settings.FollowUp[1]
		warnings.1 Caveats[1]
		warnings.3 Result.Warnings[1]
		@ family Result.Family
		changes Changes
		expected_false_alarms ExpectedFalseAlarms
		real Real
		real_after_bh RealAfterBH
		@ noise.1 Result.Noise[1]
		measure Measure
		unit Unit
		source Source
		typical_error TypicalError
		df DF
		scale Scale
		athletes Athletes
		sessions.1 Sessions[1]
		trials Trials
		@ not_judged.1 Result.LeftOut[1]
		measure Measure
		reason Reason
		athletes.1 Athletes[1]
		@
		changes.1.unit Result.Noise[1].Unit
		@ changes.1 Result.Changes[1]
		athlete Athlete
		measure Measure
		from.1 From[1]
		to.1 To[1]
		baseline Baseline
		follow_up FollowUp
		change Change.Value
		lower Change.Lower
		upper Change.Upper
		narrow:i Narrow
		se SE
		df DF
		detectable Detectable
		worthwhile Worthwhile
		percent:i Percent
		p P
		p_holm PHolm
		p_bh PBH
		chance.rise Chance.Rise
		chance.trivial Chance.Trivial
		chance.fall Chance.Fall
		real Real
		real_after_bh RealAfterBH
		verdict Verdict
		direction Direction
		better Better
		reliable_change_index RCI
		expected_by_regression Expected
		beyond_regression:i Beyond
	`)
	v.Result.Changes[0].From, v.Result.Changes[0].To = []string{"1"}, []string{"3"}
	checkTables(t, v, `
		@ changes Result.Noise[0]
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
		lower_narrow Narrow.Lower
		upper_narrow Narrow.Upper
		se SE
		df DF
		detectable Detectable
		worthwhile Worthwhile
		verdict Verdict
		direction Direction
		better Better
		chance_rise Chance.Rise
		chance_trivial Chance.Trivial
		chance_fall Chance.Fall
		p P
		p_bh PBH
		p_holm PHolm
		reliable_change_index RCI
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
		@ not-judged Result.LeftOut[0]
		reason Reason
	`)
}
