package reports

import (
	"math"
	"slices"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/norms"
	"noisefloor/analysis/profile"
	"noisefloor/reports/field"
	"noisefloor/reports/number"
	"noisefloor/reports/table"
)

// grades are all there are.
var grades = []profile.Grade{profile.None, profile.Possible, profile.Clear}

// A graded is an index of an athlete.
type graded struct {
	profile.Index
	athlete, group string
}

// gradedRows are the indices of athletes, and their means.
func (v Profile) gradedRows(athletes []profile.Athlete) (out []graded) {
	for _, a := range athletes {
		for _, i := range slices.Concat(a.Indices, a.Means) {
			out = append(out, graded{i, a.Name, a.Group})
		}
	}
	return out
}

// indexFields name every fact of an index once.
func (v Profile) indexFields() field.Set[graded] {
	kinds := []profile.IndexKind{profile.SideDifference, profile.Gain, profile.Gap, profile.LoadVelocity}
	e := func(get func(graded) float64) func(graded) float64 { return get }
	return field.Set[graded]{
		field.Choice("index", kinds, func(g graded) profile.IndexKind { return g.Kind }).Required().Shown("index",
			func(g graded) string { return v.indexName(g.Index) }),
		field.Text("measure", func(g graded) string { return g.Measure }).Required(),
		field.Text("with", func(g graded) string { return g.With }),
		field.Texts("of", func(g graded) []string { return g.Of }),
		field.Number("estimate", e(func(g graded) float64 { return g.Estimate.Value })).Shown(
			"value ("+number.Level(v.Confidence)+" interval)", func(g graded) string { return v.indexValue(g.Index) }),
		field.Number("lower", e(func(g graded) float64 { return g.Estimate.Lower })),
		field.Number("upper", e(func(g graded) float64 { return g.Estimate.Upper })),
		field.Text("unit", func(g graded) string { return g.Unit }).Required(),
		field.Choice("grade", grades, func(g graded) profile.Grade { return g.Grade }).Required().Shown("told apart",
			func(g graded) string { return gradeWords(g.Index) }),
		field.Text("rests_on", func(g graded) string { return g.RestsOn }),
		field.Text("rule", func(g graded) string { return g.Rule }),
		field.Number("past", func(g graded) float64 { return g.Past }),
		field.Number("share", func(g graded) float64 { return g.Share }),
		field.Text("ungraded", func(g graded) string { return string(g.Ungraded) }),
		field.Text("words", func(g graded) string { return v.ruleWordsOrNone(g.Index) }).Shown("what it means",
			func(g graded) string { return v.ruleWords(g.Index) }),
	}
}

func (v Profile) ruleWordsOrNone(i profile.Index) string {
	if i.Grade == profile.None {
		return ""
	}
	return v.ruleWords(i)
}

// standingParts are those of a standing in the JSON.
func (v Profile) standingParts() field.Set[profile.Standing] {
	type S = profile.Standing
	limits := field.Set[[2]float64]{
		field.Number("lower", func(l [2]float64) float64 { return l[0] }).Required(),
		field.Number("upper", func(l [2]float64) float64 { return l[1] }).Required(),
	}
	return field.Set[S]{
		field.Object("group", whomFields(), func(s S) (norms.Whom, bool) {
			if s.Group == "" {
				return norms.Whom{}, true
			}
			return norms.Whom{Column: v.By, Value: s.Group}, true
		}).Required(),
		field.Integer("athletes", func(s S) int { return s.Athletes }).Required(),
		field.Number("percentile_rank", func(s S) float64 { return s.Rank }),
		field.Number("lower", func(s S) float64 { return s.Band.Lower }),
		field.Number("upper", func(s S) float64 { return s.Band.Upper }),
		field.Object("sampling", limits, func(s S) ([2]float64, bool) {
			return [2]float64{s.Sampling.Lower, s.Sampling.Upper}, true
		}),
		field.Object("noise", limits, func(s S) ([2]float64, bool) {
			return [2]float64{s.Standing.Noise.Lower, s.Standing.Noise.Upper}, s.Standing.Noise.HasInterval()
		}),
		field.Number("above_median", func(s S) float64 { return s.AboveMedian }),
	}
}

// scoreParts are those of a test of an athlete in the JSON.
func (v Profile) scoreParts() field.Set[profile.Score] {
	type S = profile.Score
	return field.Set[S]{
		field.Text("measure", func(s S) string { return v.Tests[s.Test].Name }).Required(),
		field.Number("score", func(s S) float64 { return s.Value }),
		field.Number("lower", func(s S) float64 { return s.Lower }),
		field.Number("upper", func(s S) float64 { return s.Upper }),
		field.Text("unit", func(s S) string { return v.Tests[s.Test].Unit }).Required(),
		field.Integer("exposures", func(s S) int { return s.Exposures }).Required(),
		field.List("standings", v.standingParts(), func(s S) []profile.Standing { return s.Standings }).Required(),
		field.Text("set_aside", func(s S) string { return s.SetAside }),
	}
}

// names are those of tests by their numbers.
func (v Profile) names(tests []int) []string {
	var out []string
	for _, t := range tests {
		out = append(out, v.Tests[t].Name)
	}
	return out
}

func (v Profile) qualityParts() field.Set[profile.Quality] {
	type Q = profile.Quality
	return field.Set[Q]{
		field.Text("quality", func(q Q) string { return q.Quality }).Required().As("quality"),
		field.Texts("tests", func(q Q) []string { return v.names(q.Tests) }),
		field.Number("standing", func(q Q) float64 { return q.Standing.Value }).Required().Shown("true standing, SD of the level",
			func(q Q) string { return number.SignedEstimate(q.Standing, 1) }),
		field.Number("lower", func(q Q) float64 { return q.Standing.Lower }),
		field.Number("upper", func(q Q) float64 { return q.Standing.Upper }),
		field.Number("observed", func(q Q) float64 { return q.Observed }).Shown("as measured", func(q Q) string {
			return number.Signed(q.Observed, 1)
		}),
		field.Number("chance_lowest", func(q Q) float64 { return q.ChanceLowest }).Shown("chance of being the lowest",
			func(q Q) string { return number.Percent(q.ChanceLowest, 0) }),
	}
}

func (v Profile) compositeParts(key string) field.Set[profile.Composite] {
	type C = profile.Composite
	return field.Set[C]{
		field.Text(key, func(c C) string { return c.Name }).Required().As(key),
		field.Texts("tests", func(c C) []string { return v.names(c.Tests) }),
		field.Number("estimate", func(c C) float64 { return c.Value.Value }).Required().Shown("mean, SD of the level",
			func(c C) string { return number.SignedEstimate(c.Value, 1) }),
		field.Number("lower", func(c C) float64 { return c.Value.Lower }),
		field.Number("upper", func(c C) float64 { return c.Value.Upper }),
		field.Text("place", func(c C) string { return capitalised(placeWords(c.Standing.Standing)) }).Hidden().As("place"),
		field.Object("standing", v.standingParts(), func(c C) (profile.Standing, bool) { return c.Standing, true }),
		field.Text("lowest", func(c C) string { return v.lowestName(c) }).Shown("its lowest test", func(c C) string {
			if c.Lowest < 0 {
				return number.Missing
			}
			return v.Label(v.Tests[c.Lowest].Name) + " (" + number.Signed(c.LowestZ, 1) + ")"
		}),
		field.Number("lowest_below", func(c C) float64 { return c.LowestZ }),
		field.Flag("one_part_low", func(c C) bool { return c.OneHidden }),
	}
}

func (v Profile) lowestName(c profile.Composite) string {
	if c.Lowest < 0 {
		return ""
	}
	return v.Tests[c.Lowest].Name
}

func (v Profile) emphasisParts() field.Set[profile.Named] {
	type N = profile.Named
	return field.Set[N]{
		field.Choice("emphasis", profile.Emphases(), func(n N) profile.Emphasis { return n.Emphasis }).Required(),
		field.Choice("grade", []profile.Grade{profile.Possible, profile.Clear}, func(n N) profile.Grade { return n.Grade }).Required(),
		field.Texts("because", func(n N) []string { return n.Because }).Required(),
		field.Text("plane", func(n N) string { return n.Plane }),
		field.Number("chance_lowest", func(n N) float64 { return positive(n.Chance) }),
		field.Text("words", v.because),
	}
}

func becauseParts() field.Set[profile.Because] {
	return field.Set[profile.Because]{
		field.Text("measure", func(b profile.Because) string { return b.Test }).Required(),
		field.Text("why", func(b profile.Because) string { return b.Why }).Required(),
	}
}

func (v Profile) athleteParts() field.Set[profile.Athlete] {
	type A = profile.Athlete
	return field.Set[A]{
		field.Text("athlete", func(a A) string { return a.Name }).Required(),
		field.Text("group", func(a A) string { return a.Group }),
		field.List("tests", v.scoreParts(), func(a A) []profile.Score { return a.Tests }).Required(),
		field.List("indices", v.indexFields(), func(a A) []graded { return v.gradedRows([]profile.Athlete{a}) }).Required(),
		field.List("spectrum", v.qualityParts(), func(a A) []profile.Quality { return a.Spectrum }).Required(),
		field.List("regions", v.compositeParts("region"), func(a A) []profile.Composite { return a.Regions }).Required(),
		field.List("planes", v.compositeParts("plane"), func(a A) []profile.Composite { return a.Planes }).Required(),
		field.List("legs", v.compositeParts("legs"), func(a A) []profile.Composite { return a.Legs }).Required(),
		field.List("lines", v.lineParts(), func(a A) []profile.Line { return a.Lines }).Required(),
		field.List("emphases", v.emphasisParts(), func(a A) []profile.Named { return a.Emphases }).Required(),
		field.List("test_again", becauseParts(), func(a A) []profile.Because { return a.Again }).Required(),
		field.List("refer", becauseParts(), func(a A) []profile.Because { return a.Refer }).Required(),
		field.Texts("cautions", func(A) []string { return Cautions() }).Required(),
	}
}

func (v Profile) lineParts() field.Set[profile.Line] {
	type L = profile.Line
	return field.Set[L]{
		field.Text("movement", func(l L) string { return v.Label(v.Tests[l.Tests[0]].Name) }).Hidden().As("movement"),
		field.Texts("tests", func(l L) []string { return v.names(l.Tests) }).Required(),
		field.Interval("velocity_without_load", func(l L) estimate.Estimate { return l.V0 }).Shown("velocity without load",
			func(l L) string { return number.WithUnit(number.Estimate(l.V0, 2), v.Tests[l.Tests[0]].Unit) }),
		field.Interval("load_without_velocity", func(l L) estimate.Estimate { return l.F0 }).Shown("load at no velocity",
			func(l L) string {
				if math.IsNaN(l.F0.Value) || !l.F0.HasInterval() {
					return "loads too close together"
				}
				words := number.WithUnit(number.Estimate(l.F0, 1), "kg")
				if l.Extrapolated {
					words += ", extrapolated"
				}
				return words
			}),
		field.Number("lack_of_fit_p", func(l L) float64 { return l.LackOfFit }).Shown("p that it is a line", func(l L) string {
			return number.P(l.LackOfFit)
		}),
		field.Flag("extrapolated", func(l L) bool { return l.Extrapolated }),
	}
}

// overviewParts are the counts over all athletes.
func overviewParts() field.Set[profile.Overview] {
	type O = profile.Overview
	return field.Set[O]{
		field.Integer("athletes", func(o O) int { return o.Athletes }).Required(),
		field.Integer("clear", func(o O) int { return o.Clear }).Required(),
		field.Integer("possible", func(o O) int { return o.Possible }).Required(),
		field.Integer("lowest_only", func(o O) int { return o.Lowest }).Required(),
		field.Integer("indices", func(o O) int { return o.Indices }).Required(),
		field.Number("expected_clear", func(o O) float64 { return o.ExpectedClear }).Required(),
		field.Number("expected_possible", func(o O) float64 { return o.ExpectedPossible }).Required(),
		field.Number("worst_clear", func(o O) float64 { return o.WorstClear }).Required(),
	}
}

func ruleParts() field.Set[profile.Rule] {
	type R = profile.Rule
	return field.Set[R]{
		field.Text("key", func(r R) string { return r.Key }).Required().As("rule"),
		field.Text("index", func(r R) string { return string(r.Index) }).Required().As("index"),
		field.Text("direction", func(r R) string { return r.Direction }).Required(),
		field.Number("threshold", func(r R) float64 { return r.Threshold }).Required().Shown("threshold", func(r R) string {
			return r.Direction + " " + number.Plain(r.Threshold, 1)
		}),
		field.Text("words", func(r R) string { return r.Words }).Required().As("in words"),
		field.Text("source", func(r R) string { return r.Source }).Required().As("source"),
	}
}

func (v Profile) documentFields() field.Set[Profile] {
	head := headOf("noisefloor/profile/1", func(About) []caveat.Caveat { return v.doubts() })
	return append(field.Inline(head, func(v Profile) About { return v.About }),
		field.Text("answer", func(v Profile) string { return v.Answer()[0] }).Required(),
		field.Text("session", func(v Profile) string { return v.Session }).Required(),
		field.Object("overview", overviewParts(), func(v Profile) (profile.Overview, bool) { return v.Result.Overview, true }).Required(),
		field.List("athletes", v.athleteParts(), func(v Profile) []profile.Athlete { return v.ordered() }).Required(),
		field.List("rules", ruleParts(), func(v Profile) []profile.Rule { return v.Result.Rules.Rules }).Required(),
		field.List("history", v.past().sheetFields(), func(v Profile) []judged { return v.past().allJudged(v.past().Result.Changes) }).Required())
}

// past is the history as retest shows it.
func (v Profile) past() Retest {
	r := Retest{About: v.About}
	if v.History != nil {
		r.Result = *v.History
	}
	if a := v.one(); a != nil {
		r.Asked = []string{a.Name}
	}
	return r
}

// Document implements [View].
func (v Profile) Document() any { return v.documentFields().JSON(v) }

// ProfileSchema is the JSON Schema of the documents of profiles.
func ProfileSchema() *field.Document {
	return Profile{}.documentFields().Schema(schemaID("profile"), "Where athletes stand, and what they need")
}

// Data implements [View]: every index of every athlete.
func (v Profile) Data() table.Table {
	who := field.Set[graded]{
		field.Text("athlete", func(g graded) string { return g.athlete }).As("athlete"),
		field.Text("group", func(g graded) string { return g.group }),
	}
	return append(who, v.indexFields()...).Table("indices", "Every index with its interval.", v.gradedRows(v.ordered()))
}
