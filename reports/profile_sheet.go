package reports

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"noisefloor/analysis/profile"
	"noisefloor/reports/field"
	"noisefloor/reports/number"
	"noisefloor/reports/picture"
	"noisefloor/reports/table"
)

// Rows and tests that one page has room for.
const (
	profileRows  = 24 // athletes of the overview's sheet
	profileIndex = 12 // indices of an athlete's sheet
	profileTests = 20 // tests of an athlete's picture
	profileWatch = 3  // doubts of an athlete's sheet
)

// Sheet implements [View]: of one athlete their own, of several the overview.
func (v Profile) Sheet() (Sheet, error) {
	if a := v.one(); a != nil {
		return v.athleteSheet(*a), nil
	}
	s := Sheet{Title: v.Title(), Answer: firstFew(v.Answer()), Source: v.source(), Draw: v.overviewPicture}
	s.watchOut(texts(v.briefly(v.doubts())))
	var err error
	s.Table, err = narrowed(v.overviewTable(), profileRows, "athlete", "group", "needs", "rests_on", "again")
	for _, n := range v.sheetNames() {
		s.Links = append(s.Links, Link{n.athlete, "profile/" + n.file})
	}
	return s, err
}

// athleteSheet is the one page of an athlete.
func (v Profile) athleteSheet(a profile.Athlete) Sheet {
	s := Sheet{Title: v.ofOne(a).Title(), Answer: firstFew(v.athleteAnswer(a)), Source: v.source()}
	s.watchOutFor(v.athleteDoubts(a), profileWatch)
	s.Table = v.athleteTable(a)
	s.Draw = func() (*picture.Picture, error) {
		p, err := v.standingsPicture(a, profileTests)
		if errors.Is(err, picture.ErrNothing) {
			return nil, nil
		}
		return &p, err
	}
	return s
}

// ofOne is the view of one of its athletes alone.
func (v Profile) ofOne(a profile.Athlete) Profile {
	v.Result.Athletes, v.Result.Order = []profile.Athlete{a}, []int{0}
	return v
}

// athleteDoubts are those that a reader of one athlete needs.
func (v Profile) athleteDoubts(a profile.Athlete) []string {
	var out []string
	for _, n := range a.Emphases {
		if w := v.because(n); w != "" {
			out = append(out, capitalised(emphasisWords(n))+": "+w)
		}
	}
	for _, b := range a.Refer {
		out = append(out, v.Label(b.Test)+": "+whyAgain(b.Why)+".")
	}
	return append(out, texts(v.briefly(v.doubts()))...)
}

// athleteTable has the indices of an athlete, those told apart first.
func (v Profile) athleteTable(a profile.Athlete) table.Table {
	rows := slices.DeleteFunc(v.gradedRows([]profile.Athlete{a}), func(g graded) bool { return g.Kind == profile.LoadVelocity })
	slices.SortStableFunc(rows, func(a, b graded) int { return slices.Index(grades, b.Grade) - slices.Index(grades, a.Grade) })
	more := len(rows) - profileIndex
	fields := v.indexFields().Pick("index", "estimate", "grade", "words")
	t := fields.Table("indices", "What is compared within the athlete: sides (plus: the dominant side ahead), gain from the "+
		"countermovement, power against quickness.", rows[:min(len(rows), profileIndex)])
	if more > 0 {
		t.Notes = append(t.Notes, fmt.Sprintf("%d more rows in the working page.", more))
	}
	return t
}

// A namedSheet is the file of one athlete's sheet.
type namedSheet struct {
	athlete, file string
	at            int // in Result.Athletes
}

// sheetNames are the files of the athletes' sheets, by code: what a file system might take
// amiss is replaced, and a name that comes twice is numbered.
func (v Profile) sheetNames() []namedSheet {
	var out []namedSheet
	taken := map[string]int{}
	for i, a := range v.Result.Athletes {
		name := safeName(a.Name)
		key := strings.ToLower(name)
		if taken[key]++; taken[key] > 1 {
			name = fmt.Sprintf("%s-%d", name, taken[key])
			taken[strings.ToLower(name)]++
		}
		out = append(out, namedSheet{a.Name, name + ".html", i})
	}
	return out
}

// mostName are the letters of a file's name that are kept.
const mostName = 60

// safeName keeps the letters and figures of ASCII of a code.
func safeName(code string) string {
	var b strings.Builder
	for _, r := range code {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '-':
			b.WriteRune(r)
		default:
			b.WriteByte('_')
		}
		if b.Len() >= mostName {
			break
		}
	}
	return "athlete-" + b.String()
}

// Sheets implements [Many]: one for each athlete, in a folder of their own.
func (v Profile) Sheets() []NamedSheet {
	if v.one() != nil {
		return nil
	}
	names := v.sheetNames()
	var out []NamedSheet
	for k, n := range names {
		s := v.athleteSheet(v.Result.Athletes[n.at])
		s.Links = append(s.Links, Link{"All athletes", "../profile.html"})
		if k > 0 {
			s.Links = append(s.Links, Link{"Before: " + names[k-1].athlete, names[k-1].file})
		}
		if k+1 < len(names) {
			s.Links = append(s.Links, Link{"Next: " + names[k+1].athlete, names[k+1].file})
		}
		out = append(out, NamedSheet{"profile/" + n.file, s})
	}
	return out
}

// overviewFields are the facts of the overview.
func (v Profile) overviewFields() field.Set[profile.Athlete] {
	type A = profile.Athlete
	return field.Set[A]{
		field.Text("athlete", func(a A) string { return a.Name }).As("athlete"),
		field.Text("group", func(a A) string { return a.Group }).As("level"),
		field.Text("needs", v.needs).As("needs"),
		field.Text("rests_on", v.restsOn).As("rests on"),
		field.Text("again", func(a A) string {
			if names := v.testNames(a.Again); len(names) > 0 {
				return listed(names, 2)
			}
			return number.Missing
		}).As("test again"),
		field.Text("refer", func(a A) string {
			if names := v.testNames(a.Refer); len(names) > 0 {
				return listed(names, 3)
			}
			return number.Missing
		}).As("for a clinician"),
	}
}

// restsOn says in a few words what an athlete's needs rest on.
func (v Profile) restsOn(a profile.Athlete) string {
	var out []string
	for _, g := range slices.Concat(a.Indices, a.Means) {
		if g.Grade != profile.None {
			out = append(out, v.indexName(g)+" "+number.WithUnit(number.Signed(g.Estimate.Value, decimalsOf(g.Unit)), g.Unit))
		}
	}
	for _, n := range a.Emphases {
		if n.Chance > 0 && n.Index == profile.None {
			out = append(out, "what stands lowest")
			break
		}
	}
	if len(out) == 0 {
		return number.Missing
	}
	return listed(out, 2)
}

func decimalsOf(unit string) int {
	if unit == "%" {
		return 0
	}
	return 1
}

// overviewTable has the athletes as they are ordered; those of whom nothing is told apart
// are one row.
func (v Profile) overviewTable() table.Table {
	var rows []profile.Athlete
	var plain []string
	for _, a := range v.ordered() {
		if a.Graded() == profile.None && len(a.Refer) == 0 && !a.Lowest() {
			plain = append(plain, a.Name)
			continue
		}
		rows = append(rows, a)
	}
	t := v.overviewFields().Table("overview", "Surest first: by grade, then by how far the nearer limit lies past its threshold.",
		rows)
	if len(plain) > 0 {
		t.Notes = append(t.Notes, fmt.Sprintf("Nothing told apart from ordinary in %s: %s.",
			number.Count(len(plain), "athlete", "athletes"), strings.Join(plain, ", ")))
	}
	return t
}

// Tables implements [View].
func (v Profile) Tables() []table.Table {
	if a := v.one(); a != nil {
		return v.athleteTables(*a)
	}
	all := v.Data()
	all.Detail = true
	return []table.Table{v.overviewTable(), all, v.rulesTable()}
}

func (v Profile) rulesTable() table.Table {
	t := ruleParts().Table("rules", "The rules by which indices are read, each with its source.", v.Result.Rules.Rules)
	t.Detail = true
	return t
}

// athleteTables are everything behind one athlete's sheet.
func (v Profile) athleteTables(a profile.Athlete) []table.Table {
	out := []table.Table{v.Data(), v.scoresTable(a)}
	if len(a.Spectrum) > 0 {
		out = append(out, v.qualityParts().Table("spectrum", "The range from strength to speed, in the athlete's own level.",
			a.Spectrum))
	}
	for _, part := range []struct {
		key, caption string
		all          []profile.Composite
	}{
		{"region", "Regions: the mean of the tests, never without its lowest one.", a.Regions},
		{"plane", "Planes of movement.", a.Planes},
		{"legs", "One leg against two.", a.Legs},
	} {
		if len(part.all) > 0 {
			out = append(out, v.compositeParts(part.key).Table(part.key, part.caption, part.all))
		}
	}
	if len(a.Lines) > 0 {
		out = append(out, v.lineParts().Table("lines", "Velocity against load.", a.Lines))
	}
	if again := slices.Concat(a.Refer, a.Again); len(again) > 0 {
		out = append(out, field.Set[profile.Because]{
			field.Text("test", func(b profile.Because) string { return v.Label(b.Test) }).As("test"),
			field.Text("why", func(b profile.Because) string { return whyAgain(b.Why) }).As("why"),
		}.Table("again", "What goes to a clinician, and what to test again.", again))
	}
	if v.History != nil {
		past := v.past()
		out = append(out, past.sheetFields().Pick("test", "change", "verdict", "detectable", "worthwhile").Table("history",
			"How the scores moved up to this session, in the unit of the score, judged by the same noise.",
			past.allJudged(past.lastFollowUp())))
	}
	return append(out, v.rulesTable())
}

// scoresTable has every test of an athlete with its places.
func (v Profile) scoresTable(a profile.Athlete) table.Table {
	type S = profile.Score
	place := func(k int) func(S) string {
		return func(s S) string {
			if k >= len(s.Standings) {
				return number.Missing
			}
			return placeWords(s.Standings[k].Standing)
		}
	}
	fields := field.Set[S]{
		field.Text("test", func(s S) string { return v.Label(v.Tests[s.Test].Name) }).As("test"),
		field.Number("score", func(s S) float64 { return s.Value }).Shown("score", v.scoreWords),
	}
	if a.Group != "" {
		fields = append(fields, field.Text("own", place(0)).As("place in "+a.Group),
			field.Text("whole", place(1)).As("place in the whole cohort"))
	} else {
		fields = append(fields, field.Text("whole", place(0)).As("place in the whole cohort"))
	}
	fields = append(fields, field.Integer("exposures", func(s S) int { return s.Exposures }).Shown("sessions so far",
		func(s S) string { return fmt.Sprint(s.Exposures) }),
		field.Text("set_aside", func(s S) string { return s.SetAside }).As("set aside"))
	return fields.Table("tests", "Every test: own level first, the whole cohort beside it; percentiles towards better.", a.Tests)
}

// scoreWords write a score with digits by its noise.
func (v Profile) scoreWords(s profile.Score) string {
	if s.Value != s.Value {
		return number.Missing
	}
	decimals := 1
	if half := (s.Upper - s.Lower) / 2; half > 0 {
		decimals = number.Decimals(half / 2)
	}
	return number.WithUnit(number.Plain(s.Value, decimals), v.Tests[s.Test].Unit)
}

// Pictures implements [View].
func (v Profile) Pictures() ([]picture.Picture, error) {
	a := v.one()
	if a == nil {
		p, err := v.overviewPicture()
		if err != nil || p == nil {
			return nil, err
		}
		return []picture.Picture{*p}, nil
	}
	p, err := v.standingsPicture(*a, len(v.Tests))
	out, err := add(nil, p, err)
	if err != nil || v.History == nil {
		return out, err
	}
	past, err := v.past().athletes(false)
	return append(out, past...), err
}

// standingsPicture draws where an athlete stands in the tests that count, at most so many:
// those whose band lies on one side of the middle first.
func (v Profile) standingsPicture(a profile.Athlete, most int) (picture.Picture, error) {
	in := picture.StandingsInput{Athlete: a.Name, Session: v.Session, Level: v.Confidence}
	var told, rest []picture.StandingsTest
	for _, s := range a.Tests {
		t := picture.StandingsTest{Label: v.Label(v.Tests[s.Test].Name)}
		if s.SetAside != "" || len(s.Standings) == 0 {
			continue
		}
		for _, p := range s.Standings {
			t.Places = append(t.Places, picture.StandingsPlace{Group: groupOrWhole(p.Group), Others: p.Athletes, Rank: p.Rank,
				Lower: p.Band.Lower, Upper: p.Band.Upper})
		}
		if p := s.Standings[0]; p.Band.Lower > 0.5 || p.Band.Upper < 0.5 {
			told = append(told, t)
		} else {
			rest = append(rest, t)
		}
	}
	in.Tests = append(told, rest...)
	if more := len(in.Tests) - most; more > 0 {
		in.Tests = in.Tests[:most]
	}
	return picture.Standings(in)
}

// overviewPicture shows who needs what.
func (v Profile) overviewPicture() (*picture.Picture, error) {
	in := picture.NeedsInput{Athletes: v.Result.Overview.Athletes, Session: v.Session}
	for _, e := range profile.Emphases() {
		in.Needs = append(in.Needs, string(e))
	}
	for _, a := range v.ordered() {
		if a.Graded() == profile.None {
			continue
		}
		row := picture.NeedsRow{Athlete: a.Name, Group: a.Group}
		for _, e := range profile.Emphases() {
			mark := picture.NotNamed
			if n := named(a, e); n != nil {
				mark = map[profile.Grade]picture.NeedMark{profile.Clear: picture.NamedClear, profile.Possible: picture.NamedPossible}[n.Grade]
			}
			row.Marks = append(row.Marks, mark)
		}
		in.Rows = append(in.Rows, row)
	}
	p, err := picture.Needs(in)
	if errors.Is(err, picture.ErrNothing) {
		return nil, nil
	}
	return &p, err
}
