package reports

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/norms"
	"noisefloor/analysis/score"
	"noisefloor/reports/field"
	"noisefloor/reports/number"
	"noisefloor/reports/table"
)

// A referenced is a reference with the words of its test.
type referenced struct {
	norms.Reference
	label    string
	decimals int
}

func (v Norms) referenceRows() (out []referenced) {
	for _, t := range v.Tests {
		for _, r := range t.References {
			out = append(out, referenced{r, t.Label, t.decimals()})
		}
	}
	return out
}

// whomFields are {"column", "value"}, or {"whole": true}.
func whomFields() field.Set[norms.Whom] {
	return field.Set[norms.Whom]{
		field.Text("column", func(w norms.Whom) string { return w.Column }),
		field.Text("value", func(w norms.Whom) string { return w.Value }),
		field.Optional("whole", func(w norms.Whom) *bool {
			if yes := w.Whole(); yes {
				return &yes
			}
			return nil
		}),
	}
}

func quantileFields() field.Set[norms.QuantileAt] {
	return field.Set[norms.QuantileAt]{
		field.Number("p", func(q norms.QuantileAt) float64 { return q.P }).Required(),
		field.Number("estimate", func(q norms.QuantileAt) float64 { return q.Value }).Required(),
		field.Number("lower", func(q norms.QuantileAt) float64 { return q.Lower }),
		field.Number("upper", func(q norms.QuantileAt) float64 { return q.Upper }),
		field.Number("level", func(q norms.QuantileAt) float64 {
			if !q.HasInterval() {
				return math.NaN()
			}
			return q.Level
		}),
	}
}

func centileFields() field.Set[norms.Centiles] {
	return field.Set[norms.Centiles]{
		field.Number("lambda", func(c norms.Centiles) float64 { return c.Lambda }).Required(),
		field.Number("mu", func(c norms.Centiles) float64 { return c.Mu }).Required(),
		field.Number("sigma", func(c norms.Centiles) float64 { return c.Sigma }).Required(),
	}
}

// referenceFields name every fact of a reference once.
func (v Norms) referenceFields() field.Set[referenced] {
	type R = referenced
	group := func(r R) string { return v.groupName(r.Whom) }
	known := func(r R, x float64) float64 {
		if !r.Noise.Known() {
			return math.NaN()
		}
		return x
	}
	out := field.Set[R]{
		field.Text("label", func(r R) string { return r.label }).Hidden().As("test"),
		field.Text("group", group).Hidden().As("group"),
		field.Object("group", whomFields(), func(r R) (norms.Whom, bool) { return r.Whom, true }).Required(),
		field.Text("measure", func(r R) string { return r.Measure }).Required(),
		field.Text("unit", func(r R) string { return r.Unit }).Required(),
		field.Choice("scale", []score.Scale{score.Raw, score.Log},
			func(r R) score.Scale { return scaleName(r.Scale) }).Required(),
		athletesField("athletes", func(r R) int { return r.Athletes }).Required(),
		field.Number("mean", func(r R) float64 { return r.Mean }).Shown("mean", func(r R) string {
			return number.WithUnit(number.Plain(r.Mean, r.decimals), r.Unit)
		}),
		field.Number("sd", func(r R) float64 { return r.SD }).Shown("SD", func(r R) string {
			return number.Plain(r.SD, r.decimals)
		}),
		field.Text("middle", v.medianWords).Hidden().Shown("median ("+number.Level(v.Confidence)+" interval)",
			v.medianWords),
		field.Text("limits_at", attainedWords).Hidden().Shown("limits at", attainedWords),
		field.Text("half", halfRange).Hidden().Shown("half of them", halfRange),
		field.List("quantiles", quantileFields(), func(r R) []norms.QuantileAt { return r.Quantiles }).Required(),
		field.Flag("coarse", func(r R) bool { return r.Coarse }),
		field.Object("centiles", centileFields(), func(r R) (norms.Centiles, bool) { return existing(r.Centiles) }),
		field.Number("typical_error", func(r R) float64 { return known(r, r.Noise.TypicalError) }),
		field.Number("df", func(r R) float64 {
			if r.Noise.DF >= dfUnknown {
				return math.NaN()
			}
			return known(r, r.Noise.DF)
		}),
		field.Number("rho", func(r R) float64 { return r.Rho }),
	}
	return out
}

// dfUnknown are the degrees of freedom of a typical error of which nobody said how well it
// is known.
const dfUnknown = 1e6

func (v Norms) medianWords(r referenced) string {
	q := quantileOf(r.Reference, 0.5)
	if q == nil {
		return number.Missing
	}
	return number.WithUnit(number.Estimate(q.Estimate, r.decimals), r.Unit)
}

// attainedWords are the level that the limits of the median attain.
func attainedWords(r referenced) string {
	if q := quantileOf(r.Reference, 0.5); q != nil && q.HasInterval() {
		return number.Percent(q.Level, 1)
	}
	return number.Missing
}

func halfRange(r referenced) string {
	low, high := quantileOf(r.Reference, 0.25), quantileOf(r.Reference, 0.75)
	if low == nil || high == nil {
		return number.Missing
	}
	return number.Interval(min(low.Value, high.Value), max(low.Value, high.Value), r.decimals)
}

// quantileColumns are the percentiles as columns of the table of groups.
func quantileColumns() (out field.Set[referenced]) {
	for _, p := range norms.Percentiles() {
		get := func(r referenced) norms.QuantileAt {
			if q := quantileOf(r.Reference, p); q != nil {
				return *q
			}
			return norms.QuantileAt{P: p, Estimate: noCorrelation().Estimate}
		}
		name := fmt.Sprintf("p%02.0f", 100*p)
		out = append(out, field.Interval(name, func(r referenced) estimate.Estimate { return get(r).Estimate }).Hidden().
			Explained("quantile").Shown(ordinal(int(math.Round(100*p))), func(r referenced) string {
			return number.Estimate(get(r).Estimate, r.decimals)
		}))
	}
	return out
}

func (v Norms) groupTable() table.Table {
	t := append(v.referenceFields(), quantileColumns()...).Table("norms", "Reference values of each group; percentiles "+
		"count towards better.", v.referenceRows())
	t.Notes = []string{"Limits are scores of the group; where there are none the group is too small for them."}
	if v.File != "" {
		t.Notes = []string{"As the norms file keeps them: rounded, so that they tell nobody's score."}
	}
	return t
}

// A stood is one place with its test and the standing, which may be nil.
type stood struct {
	norms.Place
	test NormsTest
}

func (v Norms) standingRows() (out []stood) {
	for _, t := range v.Tests {
		for _, p := range t.Places {
			out = append(out, stood{p, t})
		}
	}
	return out
}

func limits() field.Set[[2]float64] {
	return field.Set[[2]float64]{
		field.Number("lower", func(l [2]float64) float64 { return l[0] }).Required(),
		field.Number("upper", func(l [2]float64) float64 { return l[1] }).Required(),
	}
}

// standingFields name every fact of a place once.
func (v Norms) standingFields() field.Set[stood] {
	part := func(get func(norms.Standing) [2]float64) func(stood) ([2]float64, bool) {
		return func(s stood) (out [2]float64, ok bool) {
			if s.Standing == nil {
				return out, false
			}
			out = get(*s.Standing)
			return out, !math.IsNaN(out[0])
		}
	}
	of := func(get func(norms.Standing) float64) func(stood) float64 {
		return func(s stood) float64 {
			if s.Standing == nil {
				return math.NaN()
			}
			return get(*s.Standing)
		}
	}
	group := func(s stood) string { return v.groupName(s.Whom) }
	place := func(s stood) string { return v.placeCell(s.Place) }
	return field.Set[stood]{
		field.Text("athlete", func(s stood) string { return s.Athlete }).Required().As("athlete"),
		field.Text("label", func(s stood) string { return s.test.Label }).Hidden().As("test"),
		field.Text("measure", func(s stood) string { return s.Measure }).Required(),
		field.Number("score", func(s stood) float64 { return s.Score }).Required().Shown("score", func(s stood) string {
			return v.scoreWords(s.Place, s.test)
		}),
		field.Text("group", group).Hidden().As("group"),
		field.Object("group", whomFields(), func(s stood) (norms.Whom, bool) { return s.Whom, true }).Required(),
		field.Integer("athletes", func(s stood) int { return s.Others }).Required().Shown("others",
			func(s stood) string { return fmt.Sprint(s.Others) }),
		field.Count("rank", func(s stood) int { return s.Rank }).Shown("rank",
			func(s stood) string { return rankWords(s.Place) }),
		field.Text("place", place).Hidden().As("place"),
		field.Number("percentile_rank", of(func(s norms.Standing) float64 { return s.Rank })),
		field.Number("lower", of(func(s norms.Standing) float64 { return s.Band.Lower })),
		field.Number("upper", of(func(s norms.Standing) float64 { return s.Band.Upper })),
		field.Object("sampling", limits(), part(func(s norms.Standing) [2]float64 {
			return [2]float64{s.Sampling.Lower, s.Sampling.Upper}
		})),
		field.Object("noise", limits(), part(func(s norms.Standing) [2]float64 {
			return [2]float64{s.Noise.Lower,
				s.Noise.Upper}
		})),
		field.Number("above", of(func(s norms.Standing) float64 { return positive(s.Above) })),
		field.Number("under", of(func(s norms.Standing) float64 { return positive(s.Under) })),
	}
}

func positive(x float64) float64 {
	if x > 0 {
		return x
	}
	return math.NaN()
}

func (v Norms) standingTable() table.Table {
	t := v.standingFields().Table("standings", "Where each athlete stands, own group first; percentiles count towards "+
		"better.",
		v.standingRows())
	t.Notes = []string{fmt.Sprintf("Place: %s band with the noise of the score and the group being a sample. Rank: "+
		"of the "+
		"score as measured, 1 is best.", number.Level(v.Confidence))}
	return t
}

// scoreWords write a score with its unit.
func (v Norms) scoreWords(p norms.Place, t NormsTest) string {
	return number.WithUnit(number.Plain(p.Score, t.decimals()), t.Unit)
}

// placeCell is a place in a cell of a table.
func (v Norms) placeCell(p norms.Place) string {
	if p.Standing == nil {
		return number.Missing
	}
	words := strings.Replace(strings.Replace(strings.Replace(placeWords(*p.Standing), "between the ", "", 1),
		" and the ", " to ",
		1), " the ", " ", 1)
	if beyond := beyondWords(*p.Standing); beyond != "" && beyond != strings.Replace(placeWords(*p.Standing), "the the",
		"the", 1) {
		words += " (measured " + beyond + ")"
	}
	return words
}

func rankWords(p norms.Place) string {
	if p.Rank == 0 {
		return number.Missing
	}
	return fmt.Sprintf("%d of %d", p.Rank, p.Others+1)
}

// placeTable has a row for each athlete and test, with the own group and the whole side by
// side.
func (v Norms) placeTable() table.Table {
	own := func(r placeRow) string { return v.placeCell(r.places[0]) }
	whole := func(r placeRow) string {
		if last := r.places[len(r.places)-1]; last.Whole() && len(r.places) > 1 {
			return v.placeCell(last)
		}
		return number.Missing
	}
	head := "the own " + v.By
	if rows := v.placeRows(); len(rows) > 0 && len(v.Asked) == 1 {
		head = v.groupName(rows[0].places[0].Whom)
	}
	fields := field.Set[placeRow]{
		field.Text("athlete", func(r placeRow) string { return r.athlete }).As("athlete"),
		field.Text("label", func(r placeRow) string { return r.test.Label }).As("test"),
		field.Number("score", func(r placeRow) float64 { return r.places[0].Score }).Shown("score", func(r placeRow) string {
			return v.scoreWords(r.places[0], r.test)
		}),
		field.Text("place_own", own).Shown("place (in "+head+")", own),
		field.Text("place_whole", whole).Shown("place (in "+v.groupName(norms.Whom{})+")", whole),
		field.Text("place_rank", func(r placeRow) string { return rankWords(r.places[0]) }).As("rank"),
	}
	t := fields.Table("places", "Own group first, the whole beside it: percentiles between which the athlete stands, "+
		"towards "+
		"better.", v.placeRows())
	return t
}

// groupsBeside are how many groups stand beside each other on a sheet.
const groupsBeside = 4

// names are the groups that there are in any test, in order, the whole last.
func (v Norms) names() (out []string) {
	for _, whole := range []bool{false, true} {
		for _, t := range v.Tests {
			for _, r := range t.References {
				if name := v.groupName(r.Whom); r.Whole() == whole && !slices.Contains(out, name) {
					out = append(out, name)
				}
			}
		}
	}
	return out
}

// besideTable has a row for each test, its groups beside each other: median and middle half.
func (v Norms) besideTable(most int) (table.Table, error) {
	keys := []string{"test"}
	fields := field.Set[NormsTest]{field.Text("test", func(t NormsTest) string {
		if t.Unit == "" {
			return t.Label
		}
		return t.Label + " (" + t.Unit + ")"
	}).As("test")}
	for i, name := range v.names() {
		key := fmt.Sprintf("median_%d", i+1)
		cell := func(t NormsTest) string { return v.besideCell(t, name) }
		keys, fields = append(keys, key), append(fields, field.Text(key, cell).Shown("median ("+name+")", cell))
	}
	return narrowed(fields.Table("norms", "The median of each group and, in brackets, the range of its middle half; n "+
		"behind it.",
		v.Tests), most, keys...)
}

func (v Norms) besideCell(t NormsTest, name string) string {
	i := slices.IndexFunc(t.References, func(r norms.Reference) bool { return v.groupName(r.Whom) == name })
	if i < 0 {
		return number.Missing
	}
	r := t.References[i]
	middle := quantileOf(r, 0.5)
	if middle == nil {
		return fmt.Sprintf("n %d", r.Athletes)
	}
	e := middle.Estimate
	e.Lower, e.Upper = math.NaN(), math.NaN()
	if low, high := quantileOf(r, 0.25), quantileOf(r, 0.75); low != nil && high != nil {
		e.Lower, e.Upper = min(low.Value, high.Value), max(low.Value, high.Value)
	}
	return fmt.Sprintf("%s, %d", number.Estimate(e, t.decimals()), r.Athletes)
}

func (v Norms) fields() field.Set[Norms] {
	head := headOf("noisefloor/norms/1", func(About) []caveat.Caveat { return v.doubts() })
	return append(field.Inline(head, func(v Norms) About { return v.About }),
		field.Text("answer", func(v Norms) string { return v.Answer()[0] }).Required(),
		field.Text("session", func(v Norms) string { return v.Session }).Required(),
		field.Text("against", func(v Norms) string { return v.File }),
		field.List("groups", v.referenceFields(), func(v Norms) []referenced { return v.referenceRows() }).Required(),
		field.List("standings", v.standingFields(), func(v Norms) []stood { return v.standingRows() }).Required())
}

// Document implements [View].
func (v Norms) Document() any { return v.fields().JSON(v) }

// NormsSchema is the JSON Schema of the documents.
func NormsSchema() *field.Document {
	return Norms{}.fields().Schema(schemaID("norms"), "Reference values of groups, and where athletes stand in them.")
}
