package reports

import (
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
)

// A judged is one change with the view that knows its words.
type judged struct {
	retest.Change
	v Retest
	n noise.Model
}

func (v Retest) judged(c retest.Change) judged {
	return judged{withKnownDF(c), v, v.noise(c.Measure, c.Group)}
}

func (v Retest) allJudged(changes []retest.Change) []judged {
	out := make([]judged, len(changes))
	for i, c := range changes {
		out[i] = v.judged(c)
	}
	return out
}

// raw writes a score in the measure's unit.
func (c judged) raw(x float64) string {
	d := number.Decimals(c.SE)
	if c.n.Scale == score.Log {
		d = number.Decimals(c.SE * math.Abs(c.Baseline))
	}
	return number.Plain(x, d)
}

// onScale writes a difference in the unit, or in percent on the log scale.
func (c judged) onScale(e *estimate.Estimate) string {
	switch {
	case e == nil || math.IsNaN(e.Value):
		return number.Missing
	case c.n.Scale == score.Log:
		p := e.Map(estimate.Percent)
		return number.WithUnit(number.SignedEstimate(p, percentDecimals(p.Value)), "%")
	}
	return number.WithUnit(number.SignedEstimate(*e, number.Decimals(c.SE)), c.n.Unit)
}

// directions and betters are closed lists of the contract.
var (
	directions = []string{"rise", "fall", "none"}
	betters    = []string{"better", "worse"}
)

// changeFields name every fact of a change once.
func (v Retest) changeFields() field.Set[judged] {
	level := number.Level(v.Result.Level)
	group := field.Text("group", func(c judged) string { return c.Group })
	if !v.byGroup() {
		group = group.Column("-")
	}
	return append(field.Set[judged]{
		field.Text("athlete", func(c judged) string { return c.Athlete }).Required().Shown("athlete",
			func(c judged) string { return c.Athlete }),
		field.Text("label", func(c judged) string { return v.label(c.Measure) }).Hidden().Shown("test",
			func(c judged) string { return v.label(c.Measure) }),
		field.Text("measure", func(c judged) string { return c.Measure }).Required(),
		field.Text("unit", func(c judged) string { return c.n.Unit }).Required(),
		field.Choice("scale", []score.Scale{score.Raw, score.Log},
			func(c judged) score.Scale { return scaleName(c.n.Scale) }).Required(),
		group,
		field.Integer("occasion", func(c judged) int { return c.Occasion }).Required(),
		field.Texts("from", func(c judged) []string { return c.From }).Required().Shown("from",
			func(c judged) string { return strings.Join(c.From, "+") }),
		field.Texts("to", func(c judged) []string { return c.To }).Required().Shown("to",
			func(c judged) string { return strings.Join(c.To, "+") }),
		field.Number("baseline", func(c judged) float64 { return c.Baseline }).Shown("baseline",
			func(c judged) string { return c.raw(c.Baseline) }),
		field.Number("follow_up", func(c judged) float64 { return c.FollowUp }).Shown("follow-up",
			func(c judged) string { return number.WithUnit(c.raw(c.FollowUp), c.n.Unit) }),
		field.Number("change", func(c judged) float64 { return c.Change.Change.Value }).Shown("change ("+level+" "+
			"interval)", func(c judged) string {
			return v.changeWords(c.Change) + " (" + v.limitsWords(c.Change) + ")"
		}),
		field.Number("lower", func(c judged) float64 { return c.Change.Change.Lower }),
		field.Number("upper", func(c judged) float64 { return c.Change.Change.Upper }),
		field.Interval("narrow", func(c judged) estimate.Estimate { return c.Narrow }),
		field.MaybeInterval("selected", func(c judged) *estimate.Estimate { return c.Selected }),
		field.Number("se", func(c judged) float64 { return c.SE }),
		field.Number("df", func(c judged) float64 { return c.DF }),
		field.Number("detectable", func(c judged) float64 { return c.Detectable }).Shown("ignore under",
			func(c judged) string { return v.size(c.Change, c.Detectable) }),
		field.Number("worthwhile", func(c judged) float64 { return c.Worthwhile }).Shown("matters from",
			func(c judged) string { return v.size(c.Change, c.Worthwhile) }),
		field.MaybeInterval("percent", func(c judged) *estimate.Estimate { return c.Percent }),
	}, v.verdictFields()...)
}

// verdictFields are what was found of a change.
func (v Retest) verdictFields() field.Set[judged] {
	return append(field.Set[judged]{
		field.Choice("verdict", retest.Verdicts(),
			func(c judged) retest.Verdict { return c.Verdict }).Required().Shown("verdict",
			func(c judged) string { return string(c.Verdict) }),
		field.Flag("past_noise", func(c judged) bool { return c.Past() }),
		field.Flag("stands_out", func(c judged) bool { return c.Out() }),
		field.Choice("matters", []retest.Matters{retest.MattersYes, retest.MattersNo, retest.MattersUnclear},
			func(c judged) retest.Matters { return c.Matters }).Required(),
		field.Choice("direction", directions, func(c judged) string { return c.Direction }).Required().Shown("way",
			func(c judged) string { return way(c.Change) }),
		field.Choice("better", betters, func(c judged) string { return c.Better }),
		field.Number("p", func(c judged) float64 { return c.P }).Shown("p",
			func(c judged) string { return number.PValue(c.P) }),
		field.Number("p_bh", func(c judged) float64 { return c.PBH }).Shown("p (BH)",
			func(c judged) string { return number.PValue(c.PBH) }),
		field.Number("p_holm", func(c judged) float64 { return c.PHolm }),
	}, append(v.chanceFields(), v.askedFields()...)...)
}

// chanceFields are what is believed of the true change: the best estimate, and the
// chances that it matters. A tally of three is no headline.
func (v Retest) chanceFields() field.Set[judged] {
	part := field.Set[retest.Chance]{
		field.Number("above", func(c retest.Chance) float64 { return c.Above }).Required(),
		field.Number("within", func(c retest.Chance) float64 { return c.Within }).Required(),
		field.Number("below", func(c retest.Chance) float64 { return c.Below }).Required(),
	}
	object := func(key string, get func(judged) *retest.Chance) field.Field[judged] {
		return field.Object(key, part, func(c judged) (retest.Chance, bool) { return orNone(get(c)) })
	}
	column := func(key, head string, get func(retest.Chance) float64) field.Field[judged] {
		at := func(c judged) float64 {
			if c.Chance == nil {
				return math.NaN()
			}
			return get(*c.Chance)
		}
		return field.Number(key, at).Hidden().Shown(head, func(c judged) string {
			if c.Chance == nil {
				return number.Missing
			}
			return share(at(c))
		})
	}
	return field.Set[judged]{
		field.MaybeInterval("best_estimate", func(c judged) *estimate.Estimate { return c.Best }).
			Shown(v.has(func(c retest.Change) bool { return c.Best != nil }, "best estimate"),
				func(c judged) string { return c.onScale(c.Best) }),
		object("chance", func(c judged) *retest.Chance { return c.Chance }),
		object("chance_cohort", func(c judged) *retest.Chance { return c.ChanceCohort }),
		object("chance_flat", func(c judged) *retest.Chance { return c.ChanceFlat }),
		column("chance_above", "chance: above", func(c retest.Chance) float64 { return c.Above }),
		column("chance_within", "within", func(c retest.Chance) float64 { return c.Within }),
		column("chance_below", "below", func(c retest.Chance) float64 { return c.Below }),
	}
}

func orNone(c *retest.Chance) (retest.Chance, bool) {
	if c == nil {
		return retest.Chance{}, false
	}
	return *c, true
}

// has returns the head of a column that is shown when some change has it, else "".
func (v Retest) has(get func(retest.Change) bool, head string) string {
	if slices.ContainsFunc(v.Result.Changes, get) {
		return head
	}
	return ""
}

// askedFields are the readings that have to be asked for; their columns are shown
// when some change has them.
func (v Retest) askedFields() field.Set[judged] {
	regression := func(c retest.Change) bool { return c.Expected != nil }
	practice := func(c retest.Change) bool { return c.AfterLearning != nil }
	return field.Set[judged]{
		field.Maybe("expected_by_regression", func(c judged) *float64 { return c.Expected }).
			Shown(v.has(regression, "expected by regression"),
				func(c judged) string { return c.onScale(bare(c.Expected)) }),
		field.MaybeInterval("beyond_regression", func(c judged) *estimate.Estimate { return c.Beyond }).
			Shown(v.has(regression, "beyond regression to the mean"),
				func(c judged) string { return c.onScale(c.Beyond) }),
		field.MaybeInterval("expected_by_practice",
			func(c judged) *estimate.Estimate { return c.Learning }).Column("-"),
		field.Number("practice_exposures", func(c judged) float64 {
			if c.Learning == nil {
				return math.NaN()
			}
			return c.Exposures
		}),
		field.MaybeInterval("beyond_practice", func(c judged) *estimate.Estimate { return c.AfterLearning }).
			Shown(v.has(practice, "beyond practice"), func(c judged) string { return c.onScale(c.AfterLearning) }),
		field.Optional("past_noise_beyond_practice", func(c judged) *bool {
			if c.AfterLearning == nil {
				return nil
			}
			return &c.PastAfterLearning
		}),
		field.Flag("own_noise", func(c judged) bool { return c.OwnNoise }),
		field.Flag("from_components", func(c judged) bool { return c.FromComponents }),
	}
}

func bare(x *float64) *estimate.Estimate {
	if x == nil {
		return nil
	}
	e := estimate.Bare(*x, estimate.None)
	return &e
}

func scaleName(s score.Scale) score.Scale {
	if s == score.Log {
		return score.Log
	}
	return score.Raw
}

// noiseFields name every fact of a noise model once.
func noiseFields() field.Set[noise.Model] {
	return field.Set[noise.Model]{
		field.Text("measure", func(n noise.Model) string { return n.Measure }).Required(),
		field.Text("group", func(n noise.Model) string { return n.Group }),
		field.Text("unit", func(n noise.Model) string { return n.Unit }).Required(),
		field.Text("source", func(n noise.Model) string { return n.Source }).Required(),
		field.Number("typical_error", func(n noise.Model) float64 { return n.TypicalError }),
		field.Number("df", knownDF),
		field.Choice("scale", []score.Scale{score.Raw, score.Log},
			func(n noise.Model) score.Scale { return scaleName(n.Scale) }).Required(),
		field.Count("athletes", func(n noise.Model) int { return n.Athletes }),
		field.Texts("sessions", func(n noise.Model) []string { return n.Sessions }).Required(),
		field.Maybe("trials", trialsOf),
		field.Maybe("gap_days", func(n noise.Model) *float64 { return n.GapDays }),
		field.List("studies", studyFields(), func(n noise.Model) []noise.Study { return n.Studies }),
		field.Object("studies_test", agreementFields(), agreementOf),
	}
}

// practiceFields name what the noise study showed of practice, and could have shown.
func practiceFields() field.Set[retest.Practice] {
	return field.Set[retest.Practice]{
		field.Text("measure", func(p retest.Practice) string { return p.Measure }).Required(),
		field.Text("group", func(p retest.Practice) string { return p.Group }),
		field.Text("from", func(p retest.Practice) string { return p.From }).Required(),
		field.Text("to", func(p retest.Practice) string { return p.To }).Required(),
		field.Interval("change", func(p retest.Practice) estimate.Estimate { return p.Change }),
		field.Number("seen_from", func(p retest.Practice) float64 { return p.SeenFrom }),
	}
}

func occasionFields() field.Set[retest.Occasion] {
	return field.Set[retest.Occasion]{
		field.Texts("baseline", func(o retest.Occasion) []string { return o.Baseline }).Required(),
		field.Texts("follow_up", func(o retest.Occasion) []string { return o.FollowUp }).Required(),
		field.Maybe("gap_days", func(o retest.Occasion) *float64 { return o.GapDays }),
	}
}

func familyFields() field.Set[retest.Family] {
	return field.Set[retest.Family]{
		field.Integer("changes", func(f retest.Family) int { return f.Changes }).Required(),
		field.Integer("past_noise", func(f retest.Family) int { return f.PastNoise }).Required(),
		field.Integer("stand_out", func(f retest.Family) int { return f.StandOut }).Required(),
		field.Number("expected_false_alarms",
			func(f retest.Family) float64 { return f.ExpectedFalseAlarms }).Required(),
		field.Integer("up_to", func(f retest.Family) int { return f.UpTo }).Required(),
		field.Maybe("season_readings", func(f retest.Family) *float64 { return countOrNone(f.Seasons, f.Seasons) }),
		field.Maybe("season_stand_out", func(f retest.Family) *float64 { return countOrNone(f.SeasonsOut, f.Seasons) }),
	}
}

// countOrNone is absent where there was nothing to count.
func countOrNone(n, of int) *float64 {
	if of == 0 {
		return nil
	}
	x := float64(n)
	return &x
}

// reasonWords say why athletes could not be judged.
func reasonWords(l retest.LeftOut) string {
	at := sessionWords(l.Sessions)
	switch l.Reason {
	case retest.NeverSeen:
		return "no score in any session"
	case retest.NoBaseline:
		return "no score before (" + at + ")"
	case retest.NoFollowUp:
		return "no score after (" + at + ")"
	case retest.NotPositive:
		return "a score of zero or below (" + at + "), which the log scale cannot take"
	case retest.Infinite:
		return "a score that is no finite number (" + at + ")"
	case retest.TooLarge:
		return "a change too large to compute (" + at + ")"
	}
	return string(l.Reason)
}

func (v Retest) leftOutFields() field.Set[retest.LeftOut] {
	return field.Set[retest.LeftOut]{
		field.Text("measure", func(l retest.LeftOut) string { return l.Measure }).Required().Shown("test",
			func(l retest.LeftOut) string { return v.label(l.Measure) }),
		field.Text("reason", reasonWords).Required().Shown("reason", reasonWords),
		field.Integer("n", func(l retest.LeftOut) int { return len(l.Athletes) }).Hidden().Shown("athletes",
			func(l retest.LeftOut) string { return number.Count(len(l.Athletes), "athlete", "athletes") }),
		field.Texts("athletes", func(l retest.LeftOut) []string { return l.Athletes }).Required().Shown("who",
			func(l retest.LeftOut) string { return listed(l.Athletes, 12) }),
	}
}

// documentFields are the whole document.
func (v Retest) documentFields() field.Set[Retest] {
	head := headOf("noisefloor/retest/2", func(About) []caveat.Caveat { return v.doubts() })
	return append(field.Inline(head, func(v Retest) About { return v.About }),
		field.Text("answer", func(v Retest) string { return v.Answer()[0] }).Required(),
		field.List("noise", noiseFields(), func(v Retest) []noise.Model { return v.Result.Noise }).Required(),
		field.List("occasions", occasionFields(),
			func(v Retest) []retest.Occasion { return v.Result.Occasions }).Required(),
		field.List("changes", v.changeFields(),
			func(v Retest) []judged { return v.allJudged(v.Result.Changes) }).Required(),
		field.Object("family", familyFields(), func(v Retest) (retest.Family, bool) {
			return v.Result.Family,
				true
		}).Required(),
		field.List("practice", practiceFields(), func(v Retest) []retest.Practice { return v.Result.Practice }),
		field.List("seasons", v.seasonFields(),
			func(v Retest) []seasonal { return v.seasonals(v.Result.Seasons) }),
		field.List("season_tests", v.seasonTestFields(),
			func(v Retest) []retest.SeasonTest { return v.Result.SeasonTests }),
		field.List("not_judged", v.leftOutFields(), func(v Retest) []retest.LeftOut { return v.Result.LeftOut }),
	)
}

// Document implements [View].
func (v Retest) Document() any { return v.documentFields().JSON(v) }

// RetestSchema is the JSON Schema of the documents of retest.
func RetestSchema() *field.Document {
	return Retest{}.documentFields().Schema(schemaID("retest"),
		"Which changes of single athletes stand out? On the log scale changes are in natural-log units, with "+
			"percent beside.")
}
