package reports

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/reports/field"
	"noisefloor/reports/number"
	"noisefloor/reports/table"
)

// A seasonal is one season with the view that knows its words.
type seasonal struct {
	retest.Season
	v Retest
	n noise.Model
}

func (v Retest) seasonals(all []retest.Season) []seasonal {
	out := make([]seasonal, len(all))
	for i, s := range all {
		out[i] = seasonal{s, v, v.noise(s.Measure, s.Group)}
	}
	return out
}

// seasonUnits say what a slope is per.
var seasonUnits = []string{"session", "week"}

func (v Retest) seasonUnit() string {
	if v.Weekly {
		return seasonUnits[1]
	}
	return seasonUnits[0]
}

// on writes an estimate on the scale of the noise, or in percent on the log scale.
func (s seasonal) on(e estimate.Estimate, percents *estimate.Estimate) string {
	if percents != nil {
		return number.WithUnit(number.SignedEstimate(*percents, percentDecimals(percents.Value)), "%")
	}
	return number.WithUnit(number.SignedEstimate(e, number.Decimals(e.SE)), s.n.Unit)
}

func (s seasonal) slope() string {
	if s.Line == nil {
		return number.Missing
	}
	words := s.on(s.Line.Slope, s.Line.Percent)
	if s.Line.Scatters {
		words += ", scatters more than the noise study"
	}
	return words
}

// windowWords name the sessions that the watch averaged.
func (s seasonal) windowWords() string {
	w := s.Watch
	if w.W == 1 {
		return "session " + w.At
	}
	return fmt.Sprintf("the last %d sessions (%s to %s)", w.W, w.From, w.At)
}

func seasonState(r retest.SeasonReading) string {
	words := map[retest.State]string{retest.StandsOut: "stands out", retest.PastNoise: "past the noise on its own",
		retest.InsideNoise: "inside the noise"}[r.State]
	if r.State != retest.InsideNoise && r.Better != "" {
		words += " (" + r.Better + ")"
	}
	return words
}

var seasonStates = []retest.State{retest.StandsOut, retest.PastNoise, retest.InsideNoise}

// seasonFields name every fact of a season once.
func (v Retest) seasonFields() field.Set[seasonal] {
	group := field.Text("group", func(s seasonal) string { return s.Group })
	if !v.byGroup() {
		group = group.Column("-")
	}
	return append(append(field.Set[seasonal]{
		field.Text("athlete", func(s seasonal) string { return s.Athlete }).Required().As("athlete"),
		field.Text("label", func(s seasonal) string { return v.label(s.Measure) }).Hidden().As("test"),
		field.Text("measure", func(s seasonal) string { return s.Measure }).Required(),
		field.Text("unit", func(s seasonal) string { return s.n.Unit }).Required(),
		field.Choice("scale", []score.Scale{score.Raw, score.Log},
			func(s seasonal) score.Scale { return scaleName(s.n.Scale) }).Required(),
		group,
		field.Texts("baseline_sessions", func(s seasonal) []string { return s.Baseline }).Required(),
		field.Texts("sessions", func(s seasonal) []string { return s.Sessions }).Required(),
	}, v.watchFields()...), v.slopeFields()...)
}

// watchFields are those of the watch.
func (v Retest) watchFields() field.Set[seasonal] {
	w := func(s seasonal) retest.SeasonWatch { return s.Watch }
	facts := field.Set[retest.SeasonWatch]{
		field.Text("alarm_at", func(w retest.SeasonWatch) string {
			if w.Alarm {
				return w.At
			}
			return ""
		}).Shown("alarm", func(w retest.SeasonWatch) string {
			if w.Alarm {
				return "session " + w.At
			}
			return "no alarm"
		}),
		field.Text("window_from", func(w retest.SeasonWatch) string { return w.From }).Required(),
		field.Text("window_to", func(w retest.SeasonWatch) string { return w.At }).Required(),
		field.Integer("w", func(w retest.SeasonWatch) int { return w.W }).Required(),
		field.Interval("mean_change", func(w retest.SeasonWatch) estimate.Estimate { return w.Change }),
		field.MaybeInterval("mean_change_percent", func(w retest.SeasonWatch) *estimate.Estimate { return w.Percent }),
		field.Number("limit", func(w retest.SeasonWatch) float64 { return w.Limit }),
		field.Number("c", func(w retest.SeasonWatch) float64 { return w.Factor }),
		field.Choice("direction", directions, func(w retest.SeasonWatch) string { return w.Direction }).Required(),
		field.Choice("better", betters, func(w retest.SeasonWatch) string { return w.Better }),
		field.Choice("matters", []retest.Matters{retest.MattersYes, retest.MattersNo, retest.MattersUnclear},
			func(w retest.SeasonWatch) retest.Matters { return w.Matters }).Required(),
	}
	out := field.Set[seasonal]{field.Object("watch", facts, func(s seasonal) (retest.SeasonWatch, bool) {
		return s.Watch, true
	}).Required()}
	for _, f := range field.Inline(facts, w) {
		switch f.Key {
		case "window_to":
			f = f.Shown("mean of", seasonal.windowWords)
		case "mean_change":
			f = f.Shown("change from baseline (limits of the whole season)",
				func(s seasonal) string { return s.on(s.Watch.Change, s.Watch.Percent) })
		}
		out = append(out, f.Hidden())
	}
	return append(out,
		field.Number("p", func(s seasonal) float64 { return s.Watch.P }).Shown("p",
			func(s seasonal) string { return number.PValue(s.Watch.P) }),
		field.Number("p_bh", func(s seasonal) float64 { return s.Watch.PBH }).Shown("p (BH)",
			func(s seasonal) string { return number.PValue(s.Watch.PBH) }),
		field.Choice("state", seasonStates, func(s seasonal) retest.State { return s.Watch.State }).Required().
			Shown("watch", func(s seasonal) string { return seasonState(s.Watch.SeasonReading) }))
}

// slopeFields are those of the line; absent with fewer than four sessions.
func (v Retest) slopeFields() field.Set[seasonal] {
	of := func(get func(retest.SeasonLine) float64) func(seasonal) float64 {
		return func(s seasonal) float64 {
			if s.Line == nil {
				return math.NaN()
			}
			return get(*s.Line)
		}
	}
	estimated := func(get func(retest.SeasonLine) *estimate.Estimate) func(seasonal) *estimate.Estimate {
		return func(s seasonal) *estimate.Estimate {
			if s.Line == nil {
				return nil
			}
			return get(*s.Line)
		}
	}
	state := func(s seasonal) retest.State {
		if s.Line == nil {
			return ""
		}
		return s.Line.State
	}
	return field.Set[seasonal]{
		field.MaybeInterval("slope", estimated(func(l retest.SeasonLine) *estimate.Estimate { return &l.Slope })).
			Shown("slope per "+v.seasonUnit(), seasonal.slope),
		field.MaybeInterval("slope_percent", estimated(func(l retest.SeasonLine) *estimate.Estimate { return l.Percent })),
		field.Choice("slope_unit", seasonUnits, func(seasonal) string { return v.seasonUnit() }).Required(),
		field.Optional("scatters_more", func(s seasonal) *bool {
			if s.Line == nil {
				return nil
			}
			return &s.Line.Scatters
		}),
		field.Number("slope_p", of(func(l retest.SeasonLine) float64 { return l.P })),
		field.Number("slope_p_bh", of(func(l retest.SeasonLine) float64 { return l.PBH })),
		field.Choice("slope_state", seasonStates, state).Shown("slope", func(s seasonal) string {
			if s.Line == nil {
				return number.Missing
			}
			return seasonState(s.Line.SeasonReading)
		}),
	}
}

// seasonTestFields name every fact that the seasons of a test have in common once.
func (v Retest) seasonTestFields() field.Set[retest.SeasonTest] {
	plain := func(get func(retest.SeasonTest) int) func(retest.SeasonTest) string {
		return func(t retest.SeasonTest) string { return fmt.Sprint(get(t)) }
	}
	waves := func(get func(t retest.SeasonTest) float64) func(retest.SeasonTest) float64 {
		return func(t retest.SeasonTest) float64 {
			if t.Waves == nil {
				return math.NaN()
			}
			return get(t)
		}
	}
	group := field.Text("group", func(t retest.SeasonTest) string { return t.Group }).Column("-")
	if v.byGroup() {
		group = group.Column("group").As("group")
	}
	athletes, alarms := func(t retest.SeasonTest) int { return t.Athletes }, func(t retest.SeasonTest) int { return t.Alarms }
	planned, scatter := func(t retest.SeasonTest) int { return t.Planned }, func(t retest.SeasonTest) int { return t.Scatter }
	r := waves(func(t retest.SeasonTest) float64 { return t.Waves.R })
	null := waves(func(t retest.SeasonTest) float64 { return t.Waves.Expected })
	return field.Set[retest.SeasonTest]{
		field.Text("label", func(t retest.SeasonTest) string { return v.label(t.Measure) }).Hidden().As("test"),
		field.Text("measure", func(t retest.SeasonTest) string { return t.Measure }).Required(),
		group,
		field.Integer("athletes", athletes).Required().Shown("athletes", plain(athletes)),
		field.Integer("season_sessions", func(t retest.SeasonTest) int { return t.Sessions }).Required(),
		field.Integer("planned", planned).Required().Shown("planned sessions", plain(planned)),
		field.Integer("b", func(t retest.SeasonTest) int { return t.Baseline }).Required(),
		field.Number("c", func(t retest.SeasonTest) float64 { return t.Factor }).Shown("factor c",
			func(t retest.SeasonTest) string { return number.Plain(t.Factor, 2) }),
		field.Integer("alarms", alarms).Required().Shown("alarms", plain(alarms)),
		field.Number("alarms_by_chance", func(t retest.SeasonTest) float64 { return t.ByChance }).Shown("by chance",
			func(t retest.SeasonTest) string { return number.Plain(t.ByChance, chanceDecimals(t.ByChance)) }),
		field.Number("step", func(t retest.SeasonTest) float64 { return t.Step }).Shown("a step of 1.5 typical errors",
			func(t retest.SeasonTest) string { return v.scaled(v.noise(t.Measure, t.Group), t.Step) }),
		field.Number("step_power", func(t retest.SeasonTest) float64 { return t.Power }).Shown("is seen in",
			func(t retest.SeasonTest) string {
				if math.IsNaN(t.Power) {
					return number.Missing
				}
				return number.Percent(t.Power, 0)
			}),
		field.Integer("scatter", scatter).Required().Shown("scatter more", plain(scatter)),
		field.Integer("lines", func(t retest.SeasonTest) int { return t.Lines }).Required(),
		field.Number("lag_1", r).Shown("neighbouring sessions, r", func(t retest.SeasonTest) string {
			return correlationOrNone(r(t))
		}),
		field.Number("lag_1_by_chance", null).Shown("r of noise alone", func(t retest.SeasonTest) string {
			return correlationOrNone(null(t))
		}),
	}
}

func correlationOrNone(r float64) string {
	if math.IsNaN(r) {
		return number.Missing
	}
	return number.Correlation(r)
}

// seasonTables are those of the seasons; none where none was asked for.
func (v Retest) seasonTables() []table.Table {
	if len(v.Result.Seasons) == 0 {
		return nil
	}
	tests := v.seasonTestFields().Table("season-tests", "The watch over the season of each test, and what it can see.",
		v.Result.SeasonTests)
	tests.Notes = []string{"By chance: alarms of a season in which nobody changes. Scatter more: lines whose sessions " +
		"scatter more than the noise study; about one in ten by chance. Neighbouring sessions: where r is above that of " +
		"noise alone, form comes in slow waves, which look like a trend."}
	all := v.seasonFields().Table("seasons", "Every season: the watch against the baseline, and the slope.",
		v.seasonals(v.surestSeasons()))
	if len(v.Result.Seasons) <= fewChanges {
		return []table.Table{all, tests}
	}
	all.Detail = true
	sure := slices.DeleteFunc(v.surestSeasons(), func(s retest.Season) bool { return !s.Watch.Alarm })
	some := v.seasonFields().Pick("athlete", "label", "alarm_at", "window_to", "mean_change", "p_bh", "state", "slope").
		Table("season-alarms", "The seasons with an alarm, those that stand out first.",
			v.seasonals(sure[:min(surest, len(sure))]))
	return []table.Table{some, tests, all}
}

// surestSeasons are those whose watch stands out first, then by p.
func (v Retest) surestSeasons() []retest.Season {
	all := slices.Clone(v.Result.Seasons)
	slices.SortStableFunc(all, func(a, b retest.Season) int {
		return cmp.Or(tick(b.Watch.State == retest.StandsOut)-tick(a.Watch.State == retest.StandsOut),
			tick(b.Watch.Alarm)-tick(a.Watch.Alarm), cmp.Compare(a.Watch.P, b.Watch.P))
	})
	return all
}

// seasonOf is the season of a run, nil where there is none.
func (v Retest) seasonOf(r retest.Run) *retest.Season {
	for i, s := range v.Result.Seasons {
		if s.Athlete == r.Athlete && s.Measure == r.Measure {
			return &v.Result.Seasons[i]
		}
	}
	return nil
}

// alarmRuns are the runs whose alarm stands out, one an athlete, the surest first.
func (v Retest) alarmRuns() (out []retest.Run, seen map[string]bool) {
	seen = map[string]bool{}
	for _, s := range v.surestSeasons() {
		if seen[s.Athlete] || len(out) == drawnRuns || s.Watch.State != retest.StandsOut {
			continue
		}
		i := slices.IndexFunc(v.Result.Runs,
			func(r retest.Run) bool { return r.Athlete == s.Athlete && r.Measure == s.Measure })
		if i >= 0 {
			seen[s.Athlete], out = true, append(out, v.Result.Runs[i])
		}
	}
	return out, seen
}

// seasonAnswer is one line on the seasons; none where none was asked for.
func (v Retest) seasonAnswer() []string {
	switch all := v.seasonals(v.Result.Seasons); len(all) {
	case 0:
		return nil
	case 1:
		return []string{all[0].sentence()}
	default:
		return []string{v.seasonCount(all) + v.alarmsNamed(all)}
	}
}

// alarmsNamed says which tests of one athlete sounded, and when.
func (v Retest) alarmsNamed(all []seasonal) string {
	var out []string
	for _, s := range all {
		if s.Watch.Alarm {
			out = append(out, fmt.Sprintf("%s at session %s", v.label(s.Measure), s.Watch.At))
		}
	}
	if len(v.Asked) != 1 || len(out) == 0 {
		return ""
	}
	return " Alarm: " + listed(out, 3) + "."
}

func (s seasonal) sentence() string {
	w := s.Watch
	out := fmt.Sprintf("Season of %s: no alarm in %s", s.v.label(s.Measure),
		number.Count(len(s.Sessions), "session", "sessions"))
	if w.Alarm {
		out = fmt.Sprintf("Season of %s: alarm at session %s: %s %s %s from the baseline; %s", s.v.label(s.Measure),
			w.At, s.windowWords(), plural(w.W, "lies", "lie"), s.on(w.Change, w.Percent), seasonState(w.SeasonReading))
	}
	if s.Line == nil {
		return out + "."
	}
	out += fmt.Sprintf("; slope %s per %s, %s", s.on(s.Line.Slope, s.Line.Percent), s.v.seasonUnit(),
		seasonState(s.Line.SeasonReading))
	if s.Line.Scatters {
		out += " (the sessions scatter more than the noise study)"
	}
	return out + "."
}

// seasonCount counts alarms and slopes of many seasons.
func (v Retest) seasonCount(all []seasonal) string {
	alarms, out, better, worse, slopes, lines := 0, 0, 0, 0, 0, 0
	for _, s := range all {
		alarms += tick(s.Watch.Alarm)
		stands := s.Watch.State == retest.StandsOut
		out += tick(stands)
		better += tick(stands && s.Watch.Better == "better")
		worse += tick(stands && s.Watch.Better == "worse")
		lines += tick(s.Line != nil)
		slopes += tick(s.Line != nil && s.Line.State == retest.StandsOut)
	}
	ways := ""
	if out > 0 && better+worse == out {
		ways = fmt.Sprintf(" (%d for the better, %d for the worse)", better, worse)
	}
	words := fmt.Sprintf("Seasons: %s in %d, where with no change at all about %s would come; %d of them %s out%s",
		number.Count(alarms, "alarm", "alarms"), len(all), number.Plain(v.alarmsByChance(), chanceDecimals(v.alarmsByChance())),
		out, plural(out, "stands", "stand"), ways)
	if lines > 0 {
		words += fmt.Sprintf("; %d of %s %s out", slopes, number.Count(lines, "slope", "slopes"),
			plural(slopes, "stands", "stand"))
	}
	return words + "."
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// alarmsByChance are those of the seasons shown, which may be some of those watched.
func (v Retest) alarmsByChance() (sum float64) {
	for _, s := range v.Result.Seasons {
		for _, t := range v.Result.SeasonTests {
			if t.Measure == s.Measure && t.Group == s.Group {
				sum += t.ByChance / float64(t.Athletes)
			}
		}
	}
	return sum
}

// seasonMethod says how seasons are watched.
func (v Retest) seasonMethod() []string {
	if len(v.Result.SeasonTests) == 0 {
		return nil
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, t := range v.Result.SeasonTests {
		if !math.IsNaN(t.Power) {
			low, high = min(low, t.Power), max(high, t.Power)
		}
	}
	power := ""
	if low <= high {
		span := number.Percent(low, 0)
		if number.Percent(high, 0) != span {
			span += " to " + number.Percent(high, 0)
		}
		power = " A step of 1.5 typical errors that comes before the season and stays is seen in " + span + " of seasons."
	}
	return []string{
		fmt.Sprintf("Watch: the mean of the last w sessions, any w, against the baseline of b; alarm past c·TE·√(1/w + "+
			"1/b), where c (simulated with a fixed seed for b, the degrees of freedom and the %d sessions planned) gives %s "+
			"of unchanged athletes an alarm in a whole season; after these the watch begins anew.",
			v.Result.SeasonTests[0].Planned, number.Level(1-v.Result.Level)) + power,
		"Slope of four or more sessions after the baseline: SE = TE/√Sxx, t on the noise study's degrees of freedom; " +
			"where the sessions scatter more than the noise study (F, 90 %), by their own scatter. Alarms and slopes " +
			"are members of the one family beside the changes.",
	}
}

// seasonWords are the words of the doubts that seasons raise.
func seasonWords() map[caveat.Kind]sayer {
	return map[caveat.Kind]sayer{
		retest.NoSeason: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("no season: no session after the baseline (%s) is outside the noise study", sessionWords(c.Names))
		},
		retest.SeasonTooShort: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("%.0f of %.0f athletes have fewer than %.0f sessions after the baseline, so no slope",
				c.Numbers[0], c.Numbers[1], c.Numbers[2])
		},
		retest.SeasonRestarts: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("the season was planned for %s, %.0f are there: after the planned ones the watch began "+
				"anew, with the chance of a false alarm of a season each time; say more with --planned next time, "+
				"beforehand", number.Count(int(c.Numbers[0]), "session", "sessions"), c.Numbers[1])
		},
		retest.SlowWaves: func(c caveat.Caveat, _ About) string {
			return fmt.Sprintf("neighbouring sessions of an athlete lie on the same side of the line more than noise alone "+
				"makes them (r %s, noise alone %s, %.0f athletes): form comes in slow waves, and some slopes and alarms "+
				"are such waves, not trends", number.Correlation(c.Numbers[0]), number.Correlation(c.Numbers[1]), c.Numbers[2])
		},
		retest.SeasonOtherAttempts: func(c caveat.Caveat, _ About) string {
			effect := "more alarms come by chance than stated"
			if c.Numbers[1] > c.Numbers[0] {
				effect = "changes can be missed"
			}
			return fmt.Sprintf("the noise study has %s attempts behind a score, the sessions of the season %s: the limits "+
				"of the season hold for as many attempts as in the study, so %s", attempts(c.Numbers[0]),
				attempts(c.Numbers[1]), effect)
		},
	}
}

// seasonGatherers put what many tests raise into one line.
func seasonShort(all []caveat.Caveat) string {
	whole := func(x float64) string { return fmt.Sprintf("%.0f", x) }
	return strings.TrimSpace(fmt.Sprintf("%s athletes a test have fewer than %s sessions after the baseline, so no slope",
		between(all, 0, whole), between(all, 2, whole)))
}

func seasonWaves(all []caveat.Caveat) string {
	return fmt.Sprintf("neighbouring sessions of an athlete lie on the same side of the line more than noise alone makes "+
		"them (r %s): form comes in slow waves, and some slopes and alarms are such waves, not trends",
		between(all, 0, number.Correlation))
}
