package reports

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/norms"
	"noisefloor/analysis/score"
	"noisefloor/reports/number"
	"noisefloor/reports/picture"
	"noisefloor/reports/table"
)

// Norms shows the reference values of groups, and where athletes stand in them.
type Norms struct {
	About
	Session string
	Tests   []NormsTest
	Asked   []string // athletes asked for; nil: all
	File    string   // the norms file that was stood in; "" for the table's own groups
	Failed  []Failed
}

// A NormsTest is one test with its label.
type NormsTest struct {
	Measure, Label, Unit string
	norms.Result
}

// Name implements [View].
func (v Norms) Name() string { return "norms" }

// Stem implements [View].
func (v Norms) Stem() string { return v.Name() }

// Title implements [View].
func (v Norms) Title() string {
	if len(v.Asked) == 1 {
		return "Where does " + v.Asked[0] + " stand?"
	}
	return "What do these groups reach?"
}

// groupName is that of a group in a sentence.
func (v Norms) groupName(w norms.Whom) string {
	switch {
	case !w.Whole():
		return w.Value
	case v.File != "":
		return "all of the norms file"
	}
	return "the whole cohort"
}

// Answer implements [View].
func (v Norms) Answer() []string {
	if len(v.Asked) == 1 {
		return v.placeAnswer()
	}
	return v.groupAnswer()
}

// groupsTold are how many groups of the first test the first sentence tells.
const groupsTold = 4

// groupAnswer tells the middle half of each group in the first test.
func (v Norms) groupAnswer() []string {
	if len(v.Tests) == 0 {
		return []string{"No test has norms."}
	}
	t := v.Tests[0]
	var parts []string
	for _, r := range t.References {
		if words := v.halfWords(t, r); words != "" && (len(parts) < groupsTold || r.Whole()) {
			parts = append(parts, words)
		}
	}
	first := fmt.Sprintf("%s, session %s: no group has enough athletes for its middle half.", t.Label, v.Session)
	if len(parts) > 0 {
		first = fmt.Sprintf("%s, session %s: %s.", t.Label, v.Session, strings.Join(parts, "; "))
	}
	out := []string{first}
	if n := len(v.Tests) - 1; n > 0 {
		out = append(out, fmt.Sprintf("The table has %s more.", number.Count(n, "test", "tests")))
	}
	return append(out, "A single athlete is read against the own group first, as a place between two percentiles.")
}

// halfWords says where half of a group lies: "half of the 19 in academy lie between 46.9
// and 50.1 km/h".
func (v Norms) halfWords(t NormsTest, r norms.Reference) string {
	low, high := quantileOf(r, 0.25), quantileOf(r, 0.75)
	if low == nil || high == nil || r.Athletes <= norms.MinAthletes {
		return ""
	}
	return fmt.Sprintf("half of the %d in %s lie between %s and %s", r.Athletes, v.groupName(r.Whom),
		number.Plain(min(low.Value, high.Value), t.decimals()),
		number.WithUnit(number.Plain(max(low.Value, high.Value), t.decimals()), r.Unit))
}

// quantileOf is a quantile of a reference, nil when it has none.
func quantileOf(r norms.Reference, p float64) *norms.QuantileAt {
	i := slices.IndexFunc(r.Quantiles, func(q norms.QuantileAt) bool { return q.P == p })
	if i < 0 {
		return nil
	}
	return &r.Quantiles[i]
}

// decimals are those with which the scores of a test are written in every group: a quarter
// of the smallest noise, or an eighth of the spread where none is known, is still seen.
func (t NormsTest) decimals() (most int) {
	for _, r := range t.References {
		te := r.Noise.TypicalError
		if r.Scale == score.Log {
			te *= math.Abs(r.Mean)
		}
		if !(te > 0) {
			te = r.SD / 2
		}
		if te > 0 {
			most = max(most, int(math.Ceil(-math.Log10(te/4))))
		}
	}
	return most
}

// placeAnswer says where one athlete stands in the first test, and in how many tests the
// whole band lies on one side of the middle.
func (v Norms) placeAnswer() []string {
	rows := v.placeRows()
	if len(rows) == 0 {
		return []string{v.Asked[0] + " has no score in session " + v.Session + "."}
	}
	first := rows[0]
	words := fmt.Sprintf("%s, session %s, stands %s in %s", first.athlete, v.Session, v.among(first.places[0]),
		first.test.Label)
	for _, p := range first.places[1:] {
		words += fmt.Sprintf("; in %s %s", v.groupName(p.Whom), strings.TrimSuffix(v.among(p), " in "+v.groupName(p.Whom)))
	}
	out := []string{words + "."}
	if len(rows) == 1 {
		return out
	}
	return append(out, v.sidesAnswer(rows)...)
}

// among says where a place is: "between the 40th and the 88th of the 19 others in academy".
func (v Norms) among(p norms.Place) string {
	who := fmt.Sprintf("the %d others in %s", p.Others, v.groupName(p.Whom))
	if v.File != "" {
		who = fmt.Sprintf("the %d in %s of the norms file", p.Others, v.groupName(p.Whom))
		if p.Whole() {
			who = fmt.Sprintf("the %d in %s", p.Others, v.groupName(p.Whom))
		}
	}
	if p.Standing == nil {
		return fmt.Sprintf("nowhere in %s yet (%s too few)", v.groupName(p.Whom), number.Count(p.Others, "other is", "others are"))
	}
	lower, upper := percentiles(*p.Standing)
	if lower == 0 && upper == 100 {
		return "anywhere among " + who
	}
	return placeWords(*p.Standing) + " of " + who
}

// percentiles are the limits of a band, in whole percent.
func percentiles(s norms.Standing) (lower, upper int) {
	return int(math.Round(100 * s.Band.Lower)), int(math.Round(100 * s.Band.Upper))
}

// placeWords writes a band: "between the 40th and the 88th", "above the 57th".
func placeWords(s norms.Standing) string {
	lower, upper := percentiles(s)
	switch {
	case lower == 0 && upper == 100:
		return "anywhere"
	case lower == 0:
		return "under the " + ordinal(upper)
	case upper == 100:
		return "above the " + ordinal(lower)
	}
	return "between the " + ordinal(lower) + " and the " + ordinal(upper)
}

// ordinal writes "1st", "22nd", "40th".
func ordinal(n int) string {
	suffix := "th"
	if n%100 < 11 || n%100 > 13 {
		switch n % 10 {
		case 1:
			suffix = "st"
		case 2:
			suffix = "nd"
		case 3:
			suffix = "rd"
		}
	}
	return fmt.Sprint(n) + suffix
}

// sidesAnswer counts the tests in which the band lies on one side of the middle.
func (v Norms) sidesAnswer(rows []placeRow) []string {
	var above, under []string
	for _, r := range rows {
		if s := r.places[0].Standing; s != nil {
			if s.Band.Lower > 0.5 {
				above = append(above, r.test.Label)
			}
			if s.Band.Upper < 0.5 {
				under = append(under, r.test.Label)
			}
		}
	}
	group := v.groupName(rows[0].places[0].Whom)
	words := fmt.Sprintf("Of %d tests the whole band lies above the middle of %s in %d", len(rows), group, len(above))
	if len(above) > 0 {
		words += " (" + listed(above, 3) + ")"
	}
	words += fmt.Sprintf(" and under it in %d", len(under))
	if len(under) > 0 {
		words += " (" + listed(under, 3) + ")"
	}
	return []string{words + "; in the others it cannot be told on which side they stand."}
}

// A placeRow is one athlete in one test, own group first.
type placeRow struct {
	athlete string
	test    NormsTest
	places  []norms.Place
}

// placeRows are the athletes' places, test by test in the order of the tests.
func (v Norms) placeRows() (out []placeRow) {
	for _, t := range v.Tests {
		for _, p := range t.Places {
			if n := len(out) - 1; n >= 0 && out[n].athlete == p.Athlete && out[n].test.Measure == t.Measure {
				out[n].places = append(out[n].places, p)
				continue
			}
			out = append(out, placeRow{p.Athlete, t, []norms.Place{p}})
		}
	}
	return out
}

// doubts are the caveats of the request and of every test, the weightiest first.
func (v Norms) doubts() []caveat.Caveat {
	out := slices.Clone(v.Caveats)
	for _, t := range v.Tests {
		out = append(out, t.Caveats...)
	}
	weight := func(c caveat.Caveat) int {
		switch c.Kind {
		case norms.NoiseNotKnown:
			return 0
		case norms.WithoutScore:
			return 2
		}
		return 1
	}
	slices.SortStableFunc(out, func(a, b caveat.Caveat) int { return weight(a) - weight(b) })
	return out
}

// Warnings implements [View].
func (v Norms) Warnings() []string {
	out := v.sentences(v.doubts())
	for _, f := range v.Failed {
		out = append(out, v.Label(f.Measure)+": no norms: "+f.Reason)
	}
	return out
}

// Sheet implements [View]: of one athlete every test, else every group of the tests.
func (v Norms) Sheet() (Sheet, error) {
	s := Sheet{Title: v.Title(), Answer: firstFew(v.Answer()), Source: v.source()}
	most := sheetWatch
	if len(v.Asked) == 1 { // whose table has a row a test
		most = fewestWatch + 1
	}
	watch := texts(v.briefly(v.doubts()))
	for _, f := range v.Failed {
		watch = append(watch, v.Label(f.Measure)+": no norms: "+f.Reason)
	}
	s.watchOutFor(watch, most)
	var err error
	switch {
	case len(v.Asked) > 0:
		s.Table, err = narrowed(v.placeTable(), sheetFacts, v.placeColumns()...)
	case len(v.names()) <= groupsBeside:
		s.Table, err = v.besideTable(sheetFacts)
	default:
		s.Table, err = narrowed(v.groupTable(), sheetFacts, "label", "group", "athletes", "middle", "half")
	}
	s.Draw = v.sheetPicture
	return s, err
}

// placeColumns are those of the sheet's table of places: the whole where athletes stand in
// it beside their own group, the rank where the others are known.
func (v Norms) placeColumns() []string {
	out := []string{"label", "score", "place_own"}
	if len(v.Asked) > 1 {
		out = append([]string{"athlete"}, out...)
	}
	if slices.ContainsFunc(v.placeRows(), func(r placeRow) bool { return len(r.places) > 1 }) {
		out = append(out, "place_whole")
	}
	if v.File == "" && len(v.Asked) == 1 {
		out = append(out, "place_rank")
	}
	return out
}

// source is one line on where the numbers come from.
func (v Norms) source() string {
	var from []string
	for _, t := range v.Tests {
		for _, r := range t.References {
			if r.Noise.Known() && !slices.Contains(from, r.Noise.Source) {
				from = append(from, r.Noise.Source)
			}
		}
	}
	words := fmt.Sprintf("%s, %d rows, session %s", v.Input.Path, v.Input.Rows, v.Session)
	if v.File != "" {
		words += "; norms of " + v.File
	}
	if len(from) > 0 {
		words += "; noise of " + listed(from, 2)
	}
	return words + "; noisefloor " + v.Version
}

// Data implements [View]: the places of the athletes asked for, else the groups.
func (v Norms) Data() table.Table {
	if len(v.Asked) > 0 {
		return v.standingTable()
	}
	return v.groupTable()
}

// Tables implements [View].
func (v Norms) Tables() []table.Table {
	groups, standings := v.groupTable(), v.standingTable()
	if len(v.Asked) > 0 {
		return []table.Table{standings, groups}
	}
	standings.Detail = true
	return []table.Table{groups, standings}
}

// sheetPicture is all tests of the one athlete asked for, else the groups of the first
// test.
func (v Norms) sheetPicture() (*picture.Picture, error) {
	draw := func() (picture.Picture, error) {
		if len(v.Asked) == 1 && len(v.Tests) > 1 {
			return v.standingsPicture(v.Asked[0])
		}
		if len(v.Tests) == 0 {
			return picture.Picture{}, picture.ErrNothing
		}
		return v.groupPicture(v.Tests[0])
	}
	p, err := draw()
	if errors.Is(err, picture.ErrNothing) {
		return nil, nil
	}
	return &p, err
}

// Pictures implements [View]: all tests of each athlete asked for, then every test with
// its groups.
func (v Norms) Pictures() ([]picture.Picture, error) {
	var out []picture.Picture
	var err error
	if len(v.Tests) > 1 {
		for _, a := range v.Asked[:min(len(v.Asked), drawnAthletes)] {
			var p picture.Picture
			p, err = v.standingsPicture(a)
			if out, err = add(out, p, err); err != nil {
				return nil, err
			}
		}
	}
	for _, t := range v.Tests {
		p, err := v.groupPicture(t)
		if out, err = add(out, p, err); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func (v Norms) standingsPicture(athlete string) (picture.Picture, error) {
	in := picture.StandingsInput{Athlete: athlete, Session: v.Session, Level: v.Confidence}
	for _, r := range v.placeRows() {
		if r.athlete != athlete {
			continue
		}
		test := picture.StandingsTest{Label: r.test.Label}
		for _, p := range r.places {
			if s := p.Standing; s != nil {
				test.Places = append(test.Places, picture.StandingsPlace{Group: v.groupName(p.Whom), Others: p.Others,
					Rank: s.Rank, Lower: s.Band.Lower, Upper: s.Band.Upper, Beyond: beyondWords(*s)})
			}
		}
		if len(test.Places) > 0 {
			in.Tests = append(in.Tests, test)
		}
	}
	return picture.Standings(in)
}

// beyondWords say which outermost quantile of a norms file a score lies past.
func beyondWords(s norms.Standing) string {
	switch {
	case s.Above > 0:
		return "above the " + ordinal(int(math.Round(100*s.Above)))
	case s.Under > 0:
		return "under the " + ordinal(int(math.Round(100*s.Under)))
	}
	return ""
}

// groupPicture draws a test in its groups; of one athlete asked for, the own group and the
// whole.
func (v Norms) groupPicture(t NormsTest) (picture.Picture, error) {
	in := picture.NormsInput{Label: t.Label, Name: t.Measure, Unit: t.Unit, Session: v.Session,
		Better: v.Better[t.Measure]}
	athlete := ""
	if len(v.Asked) == 1 {
		athlete = v.Asked[0]
	}
	in.Athlete, in.Decimals = athlete, t.decimals()
	here := slices.ContainsFunc(t.Places, func(p norms.Place) bool { return p.Athlete == athlete })
	for _, r := range t.References {
		i := slices.IndexFunc(t.Places, func(p norms.Place) bool { return p.Athlete == athlete && p.Whom == r.Whom })
		if here && i < 0 {
			continue // of one athlete the own group and the whole are enough
		}
		g := picture.NormsGroup{Name: v.groupName(r.Whom), Athletes: r.Athletes, Scores: r.Scores, Score: math.NaN(),
			Lower: math.NaN(), Upper: math.NaN()}
		for _, q := range r.Quantiles {
			g.Quantiles = append(g.Quantiles, picture.XY{X: 100 * q.P, Y: q.Value})
		}
		if i >= 0 {
			p := t.Places[i]
			g.Score, g.Lower, g.Upper = p.Score, p.ScoreLower, p.ScoreUpper
			if p.Standing != nil {
				g.Place = placeWords(*p.Standing)
			}
		}
		in.Groups = append(in.Groups, g)
	}
	return picture.Norms(in)
}
