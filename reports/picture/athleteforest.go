package picture

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"noisefloor/analysis/estimate"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/reports/number"
)

// AthleteForestInput is what [AthleteForest] draws: the changes of one athlete
// in any number of tests between the same sessions, or those of them that the
// athlete has.
type AthleteForestInput struct {
	Athlete  string
	Labels   map[string]string // of the measures; a measure without one keeps its name
	Units    map[string]string // of the measures
	Better   Directions
	Level    float64         // of the intervals and of the noise; 0 means 0.95
	Occasion retest.Occasion // the sessions meant; empty means the most that a change has
	Changes  []retest.Change
	Narrow   bool // without bars and the numbers at the right: for a sheet, whose table has them
}

// AthleteForest draws every test of one athlete for one follow-up, most change
// for the better on top. The axis is the change divided by the detectable one, in
// times the noise, so that tests of any unit stand on one band, -1 to 1; the
// worthwhile change is a pair of dotted ticks in each row, and beside it stands
// the change in the test's own unit, in percent on the log scale.
//
// Tests where lower is better are turned, so that right is better. Tests whose
// better way is not known are not: they stand below the others with a dagger,
// and right is a rise. Tests whose change or detectable change is no finite number
// above zero are left out and counted.
//
// It fails with [ErrNothing] when no test can be drawn, and with [ErrMixed] when
// the changes are of different athletes or sessions.
func AthleteForest(in AthleteForestInput) (Picture, error) {
	for _, c := range in.Changes {
		if c.Athlete != in.Athlete {
			return Picture{}, fmt.Errorf("%w: athlete %s among the changes of %s", ErrMixed, c.Athlete, in.Athlete)
		}
	}
	between, err := occasionOf(in.Changes, in.Occasion)
	if err != nil {
		return Picture{}, err
	}
	f := athlete{in: in, between: between}
	for _, c := range in.Changes {
		if row := f.row(c); finite(row.at.Value, row.noise) && c.Detectable > 0 {
			f.rows = append(f.rows, row)
		}
	}
	if len(f.rows) == 0 {
		return Picture{}, fmt.Errorf("%w: none of %d changes of athlete %s is a number", ErrNothing, len(in.Changes),
			in.Athlete)
	}
	slices.SortStableFunc(f.rows, func(a, b athleteRow) int { return in.Better.order(a.from, b.from) })
	return f.picture(), nil
}

// Directions says of measures which way is better; nobody said it of one that is
// absent.
type Directions map[string]score.Direction

// Sort puts the changes of one athlete in the order of [AthleteForest]: most
// times the noise for the better first, those whose better way is not known last.
func (d Directions) Sort(changes []retest.Change) { slices.SortStableFunc(changes, d.order) }

func (d Directions) order(a, b retest.Change) int {
	return cmp.Or(cmp.Compare(boolRank(d[a.Measure] == score.Unknown), boolRank(d[b.Measure] == score.Unknown)),
		cmp.Compare(d.times(b), d.times(a)), cmp.Compare(a.Measure, b.Measure))
}

// times is the change in times the noise, turned where lower is better.
func (d Directions) times(c retest.Change) float64 {
	if d[c.Measure] == score.Lower {
		return -c.Change.Value / c.Detectable
	}
	return c.Change.Value / c.Detectable
}

func boolRank(b bool) int {
	if b {
		return 1
	}
	return 0
}

// An athleteRow is one test. Numbers are in times the noise, turned so that right is better.
type athleteRow struct {
	from             retest.Change
	at               estimate.Estimate
	noise            float64
	worth            float64 // 0 when there is no worthwhile change
	turned, unknown  bool
	label, own, unit string
	change           estimate.Estimate // in the unit, or percent
	decimals         int
}

// An athlete is an [AthleteForest] being drawn.
type athlete struct {
	in      AthleteForestInput
	between occasion
	rows    []athleteRow
}

// pitch is how far apart the rows stand.
func (f athlete) pitch() vg.Length {
	if f.in.Narrow {
		return 12
	}
	return 17
}

func (f athlete) row(c retest.Change) athleteRow {
	d := f.in.Better[c.Measure]
	r := athleteRow{from: c, turned: d == score.Lower, unknown: d == score.Unknown,
		label: clean(cmp.Or(f.in.Labels[c.Measure], c.Measure)), unit: clean(f.in.Units[c.Measure]),
		noise: 1, change: c.Change, decimals: number.Decimals(c.SE)}
	r.at = estimate.Estimate{Value: c.Change.Value / c.Detectable, Lower: c.Change.Lower / c.Detectable,
		Upper: c.Change.Upper / c.Detectable}
	if r.turned {
		r.at = estimate.Estimate{Value: -r.at.Value, Lower: -r.at.Upper, Upper: -r.at.Lower}
	}
	if w := c.Worthwhile / c.Detectable; w > 0 && finite(w) {
		r.worth = w
	}
	if c.Percent != nil {
		r.change, r.unit, r.decimals = *c.Percent, "%", number.Decimals(100*c.SE)
	}
	r.own = r.words()
	return r
}

// words writes the change in its own unit: "+126 W (+74 to +177)".
func (r athleteRow) words() string {
	s := number.WithUnit(number.Signed(r.change.Value, r.decimals), r.unit)
	if r.change.HasInterval() {
		s += " (" + number.SignedInterval(r.change.Lower, r.change.Upper, r.decimals) + ")"
	}
	return s
}

// name is the label with the dagger of a test whose better way is not known.
func (r athleteRow) name() string {
	s, mark := style(sizeText, ink), ""
	if r.unknown {
		mark = " " + dagger
	}
	return fitMiddle(s, r.label, labelRoom-width(s, mark)) + mark
}

const dagger = "†"

// way says what a change is: better or worse, a rise or a fall.
func (r athleteRow) way() string {
	words := [2]string{"worse", "better"}
	if r.unknown {
		words = [2]string{"fall", "rise"}
	}
	switch {
	case r.at.Value > 0:
		return words[1]
	case r.at.Value < 0:
		return words[0]
	}
	return "none"
}

func (f athlete) picture() Picture {
	p := Picture{
		Name: stem("athlete", f.in.Athlete, averaged(f.between.to)),
		Title: fmt.Sprintf("Athlete %s: change in %s, %s", named(f.in.Athlete), number.Count(len(f.rows), "test",
			"tests"), f.between.words()),
		Caption: f.caption(), Alt: f.alt(), Table: f.table(),
		Plot: newPlot(), head: 18, note: f.note(),
	}
	left, right := f.rooms()
	p.left, p.right = left+8, right+10
	p.Width = pageWidth + max(0, left-140) + max(0, right-110)
	if f.in.Narrow {
		p.right, p.Width = 12, sheetWidth+max(0, left-100)
	}
	p.Plot.Y.Width = 0
	p.xTitle(f.axis())
	tall := f.pitch() * vg.Length(len(f.rows))
	p.Plot.Y.Min, p.Plot.Y.Max = 0, float64(tall)
	var s span
	s.take(0)
	for _, r := range f.rows {
		s.take(r.at.Value, r.noise, -r.noise, r.worth, -r.worth)
		if !f.in.Narrow {
			s.take(r.at.Lower, r.at.Upper)
		}
	}
	ticks := s.padded(0.03).set(&p.Plot.X, p.panelWidth(), true, number.Signed)
	p.Plot.Add(layer(f.bands), gridX(ticks), layer(f.zero), layer(f.heads), layer(f.marks))
	return p.sized(tall)
}

// axis says what the axis shows, and which way is the better.
func (f athlete) axis() string {
	what := "change, times the noise"
	if f.in.Narrow {
		what = "times the noise"
	}
	if f.unknown() == len(f.rows) {
		return "fall ← " + what + " → rise"
	}
	return "worse ← " + what + " → better"
}

func (f athlete) unknown() int {
	n := 0
	for _, r := range f.rows {
		n += boolRank(r.unknown)
	}
	return n
}

func (f athlete) rooms() (left, right vg.Length) {
	left = width(style(sizeSmall, mute), "test")
	right = width(style(sizeSmall, mute), f.numberHead())
	for _, r := range f.rows {
		left = max(left, width(style(sizeText, ink), r.name()))
		right = max(right, width(style(sizeSmall, ink), r.own))
	}
	return left, right
}

func (f athlete) numberHead() string { return "change (" + percentLevel(f.in.Level) + " interval)" }

func (f athlete) top(p pen, i int) vg.Length { return p.Max.Y - vg.Length(i)*f.pitch() }

// bands draws the noise, in one piece as long as it stays the same.
func (f athlete) bands(p pen) {
	for i := 0; i < len(f.rows); {
		j, noise := i, f.rows[i].noise
		for j < len(f.rows) && f.rows[j].noise == noise {
			j++
		}
		p.rect(band, p.x(-noise), f.top(p, j), p.x(noise), f.top(p, i))
		for _, x := range []vg.Length{p.x(-noise), p.x(noise)} {
			p.line(edge, 0.6, nil, vg.Point{X: x, Y: f.top(p, j)}, vg.Point{X: x, Y: f.top(p, i)})
		}
		i = j
	}
}

func (f athlete) zero(p pen) { p.upright(ink, 0.7, nil, p.x(0)) }

func (f athlete) heads(p pen) {
	left, _ := f.rooms()
	s := style(sizeSmall, mute)
	p.write(s, vg.Point{X: p.Min.X - 8 - left, Y: p.Max.Y + 8}, "test")
	if !f.in.Narrow {
		p.write(s, vg.Point{X: p.Max.X + 10, Y: p.Max.Y + 8}, f.numberHead())
	}
	words := "noise"
	half := width(s, words) / 2
	at := min(max(p.x(0), p.Min.X+half), p.Max.X-half)
	p.write(aligned(s, draw.XCenter), vg.Point{X: at, Y: p.Max.Y + 8}, words)
	for _, end := range []struct{ x, from vg.Length }{{p.x(-f.rows[0].noise), at - half - 3}, {p.x(f.rows[0].noise),
		at + half + 3}} {
		if (end.x-at)*(end.from-at) > 0 && (end.x-end.from)*(end.from-at) > 0 {
			p.line(edge, 0.6, nil, vg.Point{X: end.from, Y: p.Max.Y + 8}, vg.Point{X: end.x, Y: p.Max.Y + 8},
				vg.Point{X: end.x, Y: p.Max.Y + 2})
		}
	}
}

func (f athlete) marks(p pen) {
	left, _ := f.rooms()
	for i, r := range f.rows {
		y := f.top(p, i) - f.pitch()/2
		if r.worth > 0 {
			for _, x := range []float64{-r.worth, r.worth} {
				p.line(ink, 1.1, dotted(), vg.Point{X: p.x(x), Y: y - f.pitch()/3}, vg.Point{X: p.x(x),
					Y: y + f.pitch()/3})
			}
		}
		m, name, own := stateMark(r.from.State), style(sizeText, mute), style(sizeSmall, mute)
		if r.from.Past() {
			name, own = style(sizeText, ink), style(sizeSmall, ink)
		}
		m.radius = 3.4
		if !f.in.Narrow {
			p.bar(m.colour, m.line(), r.at.Lower, r.at.Upper, y)
		}
		p.mark(m, vg.Point{X: p.x(r.at.Value), Y: y})
		p.write(name, vg.Point{X: p.Min.X - 8 - left, Y: y}, r.name())
		if !f.in.Narrow {
			p.write(own, vg.Point{X: p.Max.X + 10, Y: y}, r.own)
		}
	}
}

func (f athlete) note() string {
	s := fmt.Sprintf("n = 1 athlete, %s. %s", number.Count(len(f.rows), "test", "tests"), marksNote)
	if !f.in.Narrow {
		s += fmt.Sprintf(" Bar: %s interval of the change.", percentLevel(f.in.Level))
	}
	s += fmt.Sprintf(" Shaded band: where %s of changes lie that are noise alone.", percentLevel(f.in.Level))
	var turned []string
	worth := false
	for _, r := range f.rows {
		worth = worth || r.worth > 0
		if r.turned {
			turned = append(turned, r.label)
		}
	}
	if worth {
		s += " Dotted ticks: the smallest worthwhile change."
	}
	if len(turned) > 0 {
		s += fmt.Sprintf(" Turned, since lower is better: %s.", listed(turned, 3))
	}
	if f.unknown() > 0 {
		s += " " + dagger + ": which way is better is not known; right is a rise."
	}
	if n := len(f.in.Changes) - len(f.rows); n > 0 {
		s += fmt.Sprintf(" Left out for want of a change or of its error: %s.", number.Count(n, "test", "tests"))
	}
	return s + f.between.shortened(f.changes(), func(c retest.Change) string { return f.row(c).label }, "tests")
}

// changes are those that are drawn, in the order of the rows.
func (f athlete) changes() []retest.Change {
	var out []retest.Change
	for _, r := range f.rows {
		out = append(out, r.from)
	}
	return out
}

// outs lists the changes that stand out and go one way.
func (f athlete) outs(way string) []string {
	var out []string
	for _, r := range f.rows {
		if r.from.Out() && r.way() == way {
			out = append(out, fmt.Sprintf("%s %s", r.label, number.WithUnit(number.Signed(r.change.Value, r.decimals),
				r.unit)))
		}
	}
	return out
}

// ways counts the changes that stand out by their way: "9 for the better".
func (f athlete) ways(between string, write func(string, []string) string) string {
	var out []string
	for _, w := range []struct{ way, words string }{{"better", "for the better"}, {"worse", "for the worse"}, {"rise",
		"upwards"}, {"fall", "downwards"}} {
		if names := f.outs(w.way); len(names) > 0 {
			out = append(out, write(w.words, names))
		}
	}
	return strings.Join(out, between)
}

func (f athlete) caption() string {
	out, alone, n := 0, 0, len(f.rows)
	for _, r := range f.rows {
		out += boolRank(r.from.Out())
		alone += boolRank(r.from.State == retest.PastNoise)
	}
	if n == 1 {
		return fmt.Sprintf("The change of athlete %s in %s, %s, %s.", named(f.in.Athlete), f.rows[0].label,
			f.between.words(), aloneWords[f.rows[0].from.State])
	}
	s := fmt.Sprintf("Athlete %s, %s: %d of %d tests stand out from the noise", named(f.in.Athlete),
		f.between.words(), out, n)
	if out > 0 {
		s += " (" + f.ways(", ", func(words string, names []string) string {
			return fmt.Sprintf("%d %s", len(names),
				words)
		}) + ")"
	}
	if alone > 0 {
		s += fmt.Sprintf("; %d more %s past it on %s own", alone, are(alone), their(alone))
	}
	return s + "."
}

func their(n int) string {
	if n == 1 {
		return "its"
	}
	return "their"
}

func (f athlete) alt() string {
	s := "The changes of one athlete, in times the noise, on the band of noise. " + f.caption()
	if all := f.ways("; ", func(words string, names []string) string {
		return capital(words) + ": " + listed(names,
			12)
	}); all != "" {
		s += " " + all + "."
	}
	return s
}

func (f athlete) table() Table {
	t := Table{
		Caption: fmt.Sprintf("Change of athlete %s in each test, %s, with its %s interval", named(f.in.Athlete),
			f.between.words(), percentLevel(f.in.Level)),
		Header: []string{"test", "unit", "change", "lower", "upper", "way", "times the noise, right is better",
			"lower", "upper",
			"noise ±", "worthwhile ±", "state", "verdict"},
		Numeric: []bool{false, false, true, true, true, false, true, true, true, true, true, false, false},
	}
	for _, r := range f.rows {
		worth := number.Missing
		if r.worth > 0 {
			worth = number.Plain(r.worth, 2)
		}
		t.Rows = append(t.Rows, []string{r.label, r.unit, number.Signed(r.change.Value, r.decimals),
			number.Signed(r.change.Lower, r.decimals), number.Signed(r.change.Upper, r.decimals), r.way(),
			number.Signed(r.at.Value, 2), number.Signed(r.at.Lower, 2), number.Signed(r.at.Upper, 2),
			number.Plain(r.noise, 2), worth, stateWords(r.from.State), string(r.from.Verdict)})
	}
	return t
}
