package reports

import (
	"strings"
	"testing"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/season"
)

// squad are three seasons, one with an alarm that stands out, one with an alarm of its
// own, one without.
func squad() Retest {
	reading := func(s retest.State, p float64) retest.SeasonReading {
		return retest.SeasonReading{P: p, PBH: 3 * p, State: s, Direction: "rise", Better: "better"}
	}
	one := func(athlete string, alarm bool, r retest.SeasonReading) retest.Season {
		return retest.Season{Athlete: athlete, Measure: "jump", Sessions: []string{"3", "4", "5", "6"},
			Watch: retest.SeasonWatch{SeasonReading: r, Alarm: alarm, From: "5", At: "6", W: 2, Limit: 2.5, Factor: 2.5,
				Change: estimate.Around(3.6, 2.5, 1, 19, 0.95, estimate.StudentT)}}
	}
	v := Retest{About: About{Labels: map[string]string{"jump": "Jump"}}, Result: retest.Result{Level: 0.95,
		Noise: []noise.Model{{Measure: "jump", Unit: "cm", TypicalError: 1, DF: 19}},
		Seasons: []retest.Season{one("A", false, reading(retest.InsideNoise, 0.4)),
			one("B", true, reading(retest.PastNoise, 0.03)), one("C", true, reading(retest.StandsOut, 0.001))},
		SeasonTests: []retest.SeasonTest{{Measure: "jump", Athletes: 3, Planned: 12, Alarms: 2, ByChance: 0.15, Power: 0.317,
			Waves: &season.Lag{R: 0.2, Expected: -0.5, Lines: 3}}}}}
	v.Result.Seasons[2].Line = &retest.SeasonLine{SeasonReading: reading(retest.StandsOut, 0.002), Scatters: true,
		Slope: estimate.Around(1.32, 0.9, 0.45, 19, 0.95, estimate.StudentT)}
	return v
}

func TestSeasonSentences(t *testing.T) {
	v := squad()
	want := "Seasons: 2 alarms in 3, where with no change at all about 0.15 would come; 1 of them stands out (1 for the " +
		"better, 0 for the worse); 1 of 1 slope stands out."
	if got := v.seasonAnswer(); len(got) != 1 || got[0] != want {
		t.Errorf("%q\nwant %q", got, want)
	}
	v.Result.Seasons = v.Result.Seasons[2:]
	want = "Season of Jump: alarm at session 6: the last 2 sessions (5 to 6) lie +3.6 (+1.1 to +6.1) cm from the " +
		"baseline; stands out (better); slope +1.32 (+0.42 to +2.22) cm per session, stands out (better) (the sessions " +
		"scatter more than the noise study)."
	if got := v.seasonAnswer(); got[0] != want {
		t.Errorf("%q\nwant %q", got[0], want)
	}
	v = squad()
	v.Result.Seasons = v.Result.Seasons[:1]
	if got := v.seasonAnswer(); got[0] != "Season of Jump: no alarm in 4 sessions." {
		t.Errorf("%q", got)
	}
	if got := (Retest{}).seasonAnswer(); got != nil {
		t.Errorf("%q of no season", got)
	}
	if m := strings.Join(squad().seasonMethod(), " "); !strings.Contains(m, "12 sessions planned") ||
		!strings.Contains(m, "seen in 32 % of seasons") || !strings.Contains(m, "5 % of unchanged") {
		t.Error(m)
	}
}

// The tables: what stands out first, the power and the waves beside the test; the shown
// part of a squad has its part of the alarms by chance.
func TestSeasonTables(t *testing.T) {
	v := squad()
	all := v.seasonTables()
	if len(all) != 2 || len(all[0].Rows) != 3 {
		t.Fatalf("%d tables", len(all))
	}
	text := ""
	for _, table := range all {
		for _, row := range table.View().Body {
			for _, cell := range row {
				text += cell.Text + "|"
			}
			text += "\n"
		}
	}
	for _, want := range []string{"C|Jump|session 6|the last 2 sessions (5 to 6)|+3.6 (+1.1 to +6.1) cm|0.001|0.003|",
		"|no alarm|", "|0.15|", "|32 %|", "scatters more than the noise study|stands out (better)|"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	if !strings.HasPrefix(text, "C|") {
		t.Errorf("what stands out is not first:\n%s", text)
	}
	v.Result.Seasons = v.Result.Seasons[:1]
	if got := v.alarmsByChance(); got < 0.0499 || got > 0.0501 {
		t.Errorf("%g by chance", got)
	}
}

func TestSeasonDoubts(t *testing.T) {
	words := seasonWords()
	for want, c := range map[string]caveat.Caveat{
		"form comes in slow waves":                  caveat.New(retest.SlowWaves, 0.2, -0.25, 30),
		"4 of 30 athletes have fewer than 4":        caveat.New(retest.SeasonTooShort, 4, 30, 4),
		"planned for 12 sessions, 14 are there":     caveat.New(retest.SeasonRestarts, 12, 14, 1),
		"so more alarms come by chance than stated": caveat.New(retest.SeasonOtherAttempts, 3, 1),
		"so changes can be missed":                  caveat.New(retest.SeasonOtherAttempts, 3, 6),
	} {
		if got := words[c.Kind](c, About{}); !strings.Contains(got, want) {
			t.Errorf("%q has no %q", got, want)
		}
	}
}
