package reports

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"noisefloor/analysis/retest"
	"noisefloor/reports/field"
	"noisefloor/reports/picture"
)

const (
	sheetRows  = 12 // rows of the table of a squad's sheet: a page has room for a picture too
	sheetWatch = 5  // things to watch out for on a sheet
	drawnRuns  = 6  // athletes whose runs are drawn when none was asked for
)

// Sheet implements [View]: of one athlete every test, of a squad the changes that
// stand out, then those past the noise on their own.
func (v Retest) Sheet() (Sheet, error) {
	var changes []retest.Change
	found := 0
	if len(v.Asked) == 1 {
		changes = v.lastFollowUp()
	} else {
		changes = v.surest()
		found = len(changes)
		changes = changes[:min(found, sheetRows)]
	}
	fields := v.sheetFields().Pick("athlete", "test", "change", "verdict", "detectable")
	if len(v.Asked) == 1 {
		fields = v.sheetFields().Pick("test", "change", "verdict", "detectable", "worthwhile")
	}
	s := Sheet{Title: v.Title(), Answer: v.Answer(), Source: v.source()}
	most := sheetWatch
	if len(v.Asked) == 1 { // whose table has a row a test
		most--
	}
	s.watchOutFor(texts(v.briefly(v.doubts())), most)
	s.Table = fields.Table("changes", v.sheetCaption(found)+v.baselineWords(), v.allJudged(changes))
	s.Draw = v.sheetPicture
	return s, nil
}

// lastFollowUp are an athlete's changes to the last follow-up, the one that a coach
// asks about, in the order of the picture.
func (v Retest) lastFollowUp() []retest.Change {
	out := slices.DeleteFunc(slices.Clone(v.Result.Changes), func(c retest.Change) bool {
		return c.Occasion != len(v.Result.Occasions)-1
	})
	picture.Directions(v.Better).Sort(out)
	return out
}

// sheetFields are those of a change; a squad's test says which of several
// follow-ups it is of, an athlete's sheet has one.
func (v Retest) sheetFields() field.Set[judged] {
	name := func(c judged) string { return v.label(c.Measure) }
	if len(v.Result.Occasions) > 1 && len(v.Asked) != 1 {
		name = func(c judged) string { return v.label(c.Measure) + " (to " + strings.Join(c.To, "+") + ")" }
	}
	verdict := func(c judged) string {
		if c.Better == "" || !c.Past() {
			return string(c.Verdict)
		}
		return string(c.Verdict) + " (" + c.Better + ")"
	}
	// Pick takes the first of a key, so these stand before those of every table.
	return append(field.Set[judged]{field.Text("test", name).Hidden().Shown("test", name),
		field.Text("verdict", verdict).Hidden().Shown("verdict", verdict)}, v.changeFields()...)
}

func (v Retest) sheetCaption(n int) string {
	switch {
	case len(v.Asked) == 1 && len(v.Result.Occasions) > 1:
		return "Every test, at the last follow-up; the working page has the others." + ignoreWords
	case len(v.Asked) == 1:
		return "Every test." + ignoreWords
	case n > sheetRows:
		return fmt.Sprintf("The surest %d of %d changes past the noise; those that stand out first. The working "+
			"page has the others.", sheetRows, n)
	case n == 0:
		return "No change is past the noise."
	}
	return "The changes past the noise; those that stand out first."
}

const ignoreWords = " Ignore changes under the noise; “matters from” is where a change starts to matter."

// baselineWords say what the noise is of, and why less can count than between two
// single sessions: the baseline is the mean of several.
func (v Retest) baselineWords() string {
	own := ""
	if slices.ContainsFunc(v.Result.Changes, func(c retest.Change) bool { return c.OwnNoise }) {
		own = " Noise: each athlete's own."
	} else if v.byGroup() {
		own = " Noise: that of the athlete's own " + v.By + "."
	}
	for _, o := range v.Result.Occasions {
		if n := len(o.Baseline); n > 1 {
			return fmt.Sprintf(" Baseline: the mean of %d sessions, so less is enough than between two.", n) + own
		}
	}
	return own
}

// watchOut keeps the weightiest doubts, which come first, and counts the others.
func (s *Sheet) watchOut(all []string) { s.watchOutFor(all, sheetWatch) }

func (s *Sheet) watchOutFor(all []string, most int) {
	s.Watch = all
	if len(all) > most {
		s.Watch, s.More = all[:most-1], len(all)-most+1
	}
}

// source is one line on where the numbers come from.
func (v Retest) source() string {
	var from []string
	for _, n := range v.Result.Noise {
		if !slices.Contains(from, n.Source) {
			from = append(from, n.Source)
		}
	}
	return fmt.Sprintf("%s, %d rows; noise of %s; noisefloor %s", v.Input.Path, v.Input.Rows, listed(from, 2),
		v.Version)
}

// sheetPicture is the athlete's tests together at the last follow-up, the one test's
// changes, or the test in which most stands out; its caption says which, and why.
func (v Retest) sheetPicture() (*picture.Picture, error) {
	if len(v.Asked) == 1 {
		all, err := v.athletes(true)
		if err != nil || len(all) == 0 {
			return nil, err
		}
		return &all[len(all)-1], nil
	}
	all := v.grouped()
	if len(all) == 0 {
		return nil, nil
	}
	best, most := 0, -1
	for i, g := range all {
		n := 0
		for _, c := range g.changes {
			n += tick(c.Past()) + len(v.Result.Changes)*tick(c.Out())
		}
		if n > most {
			best, most = i, n
		}
	}
	p, err := v.forest(all[best], true)
	if errors.Is(err, picture.ErrNothing) {
		return nil, nil
	}
	if len(all) > 1 {
		p.Caption += " " + v.whyThisTest(most)
	}
	return &p, err
}

// whyThisTest says why a squad's sheet draws this of several tests and follow-ups;
// most is what made it the first.
func (v Retest) whyThisTest(most int) string {
	switch {
	case most >= len(v.Result.Changes):
		return "It is the one in which most changes stand out; the working page draws the others."
	case most > 0:
		return "No change stands out anywhere; it is the one with most changes past the noise on their own," +
			" and chance alone makes one of them the first."
	}
	return "No change is past the noise anywhere; it is the first of the tests."
}

// A group is the changes of one measure on one occasion.
type group struct {
	measure  string
	occasion retest.Occasion
	changes  []retest.Change
}

// grouped splits the changes by measure and occasion, in their order.
func (v Retest) grouped() []group {
	type key struct {
		measure  string
		occasion int
	}
	at := map[key]int{}
	var out []group
	for _, c := range v.Result.Changes {
		k := key{c.Measure, c.Occasion}
		i, ok := at[k]
		if !ok {
			i, at[k] = len(out), len(out)
			out = append(out, group{measure: c.Measure, occasion: v.Result.Occasions[c.Occasion]})
		}
		out[i].changes = append(out[i].changes, c)
	}
	return out
}

func (v Retest) forest(g group, narrow bool) (picture.Picture, error) {
	return picture.ChangeForest(picture.ForestInput{Narrow: narrow, Label: v.label(g.measure),
		Unit: v.unit(g.measure), Better: v.Better[g.measure],
		Level: v.Result.Level, Occasion: g.occasion, Changes: g.changes})
}

// Pictures implements [View]: the tests of each athlete asked for, together; then
// for every test and occasion all athletes' changes on the noise; then runs of
// single athletes.
func (v Retest) Pictures() ([]picture.Picture, error) {
	out, err := v.athletes(false)
	if err != nil {
		return nil, err
	}
	for _, g := range v.grouped() {
		if n := len(distinct(v.Asked)); n > 0 && n < enoughForAll {
			break
		}
		p, err := v.forest(g, false)
		if out, err = add(out, p, err); err != nil {
			return nil, err
		}
	}
	for _, r := range v.runs() {
		p, err := picture.AthleteRun(picture.RunInput{Run: r, Label: v.label(r.Measure), Unit: v.unit(r.Measure),
			Better: v.Better[r.Measure], Level: v.Result.Level, Season: v.seasonOf(r)})
		if out, err = add(out, p, err); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// athletes draws all tests of each athlete asked for, a picture for each occasion.
func (v Retest) athletes(narrow bool) ([]picture.Picture, error) {
	var out []picture.Picture
	asked := distinct(v.Asked)
	for _, athlete := range asked[:min(len(asked), drawnAthletes)] {
		for i, o := range v.Result.Occasions {
			changes := slices.DeleteFunc(slices.Clone(v.Result.Changes), func(c retest.Change) bool {
				return c.Athlete != athlete || c.Occasion != i
			})
			if len(changes) == 0 {
				continue
			}
			p, err := picture.AthleteForest(picture.AthleteForestInput{Narrow: narrow, Athlete: athlete,
				Labels: v.Labels, Units: v.units(), Better: v.Better,
				Level: v.Result.Level, Occasion: o, Changes: changes})
			if out, err = add(out, p, err); err != nil {
				return nil, err
			}
		}
	}
	if n := len(asked); n > drawnAthletes && len(out) > 0 {
		out[len(out)-1].Caption += fmt.Sprintf(" The first %d of the %d athletes asked for are drawn like this.",
			drawnAthletes, n)
	}
	return out, nil
}

func (v Retest) units() map[string]string {
	out := map[string]string{}
	for _, n := range v.Result.Noise {
		out[n.Measure] = n.Unit
	}
	return out
}

// runs are those of the athletes asked for, else of the surest changes, one an
// athlete.
func (v Retest) runs() []retest.Run {
	if len(v.Asked) > 0 {
		return slices.DeleteFunc(slices.Clone(v.Result.Runs),
			func(r retest.Run) bool { return !slices.Contains(v.Asked, r.Athlete) })
	}
	out, seen := v.alarmRuns()
	for _, c := range v.surest() {
		if seen[c.Athlete] || len(out) == drawnRuns || !c.Out() {
			continue
		}
		seen[c.Athlete] = true
		i := slices.IndexFunc(v.Result.Runs,
			func(r retest.Run) bool { return r.Athlete == c.Athlete && r.Measure == c.Measure })
		if i >= 0 {
			out = append(out, v.Result.Runs[i])
		}
	}
	return out
}

func distinct(names []string) []string {
	var out []string
	for _, n := range names {
		if !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}
