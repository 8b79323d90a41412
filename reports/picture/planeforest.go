package picture

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"

	"noisefloor/analysis/association"
	"noisefloor/analysis/estimate"
	"noisefloor/reports/number"
)

// PlaneInput is what [PlaneForest] draws.
type PlaneInput struct {
	Result       association.Result
	OutcomeLabel string            // "" means the outcome's name
	Labels       map[string]string // of the measures; a measure without one keeps its name
	GroupName    string            // what the levels are; "" means level
	Within       bool              // go by the correlations within level, where there are any

	// Narrow is for a sheet: the closest tests, at most 24, without the numbers at
	// the right and the correlations over all athletes, which its table has.
	Narrow bool
}

// narrowTests are as many as a printed sheet has room for beside its table.
const narrowTests = 24

// PlaneForest draws the correlation of every test with the outcome, grouped by
// plane, largest on top. The mark is filled when the test is shown to go with the
// outcome, see [association.State].
//
// With Within, and correlations within level in the result, those are the main
// mark, the closest (largest |r|) on top, and a small pale diamond below each
// shows the correlation over all athletes, levels mixed.
//
// It fails with [ErrNothing] when no test has a correlation.
func PlaneForest(in PlaneInput) (Picture, error) {
	f := planes{PlaneInput: in}
	f.leveled = in.Within && slices.ContainsFunc(in.Result.Associations, func(a association.Association) bool {
		return a.Within != nil && finite(a.Within.Value) && finite(a.Pearson.Value)
	})
	drawn := f.drawn()
	for _, plane := range f.order() {
		var rows []planeRow
		for _, a := range drawn {
			if a.Plane == plane {
				rows = append(rows, planeRow{test: a})
			}
		}
		slices.SortStableFunc(rows, func(a, b planeRow) int { return cmp.Compare(f.rank(b.test), f.rank(a.test)) })
		if len(rows) > 0 {
			f.rows = append(append(f.rows, planeRow{heading: planeWords(plane)}), rows...)
			f.tests += len(rows)
		}
	}
	if f.tests == 0 {
		return Picture{}, fmt.Errorf("%w: no test has a correlation with %s", ErrNothing, f.outcome())
	}
	f.place()
	return f.picture(), nil
}

// drawn are the tests with a correlation, of a narrow picture the closest.
func (f *planes) drawn() []association.Association {
	out := slices.DeleteFunc(slices.Clone(f.Result.Associations), func(a association.Association) bool {
		return !finite(a.Pearson.Value)
	})
	if !f.Narrow || len(out) <= narrowTests {
		return out
	}
	slices.SortStableFunc(out, func(a, b association.Association) int {
		return cmp.Compare(math.Abs(f.rank(b)), math.Abs(f.rank(a)))
	})
	f.more = len(out) - narrowTests
	return out[:narrowTests]
}

// A planeRow is a heading or a test.
type planeRow struct {
	heading string
	test    association.Association
	middle  vg.Length // below the top of the panel
}

// planes is a [PlaneForest] being drawn.
type planes struct {
	PlaneInput
	leveled bool // the main marks are within level
	rows    []planeRow
	tests   int
	more    int // tests that a narrow picture does not draw
	tall    vg.Length
}

// main is the correlation of the main mark; there is none for a test without r
// within level where others have one.
func (f planes) main(a association.Association) (association.Correlation, bool) {
	switch {
	case !f.leveled:
		return a.Pearson, true
	case a.Within != nil && finite(a.Within.Value):
		return a.Within.Correlation, true
	}
	return association.Correlation{Estimate: estimate.Bare(math.NaN(), estimate.TooFew)}, false
}

// rank orders the tests of a plane: by r, within level by its size.
func (f planes) rank(a association.Association) float64 {
	r, ok := f.main(a)
	switch {
	case !ok:
		return -2
	case f.leveled:
		return math.Abs(r.Value)
	}
	return r.Value
}

// order lists the planes as the result does, then as they appear.
func (f planes) order() []string {
	var all []string
	for _, p := range f.Result.Planes {
		all = append(all, p.Plane)
	}
	for _, a := range f.Result.Associations {
		all = append(all, a.Plane)
	}
	var out []string
	for _, p := range all {
		if !slices.Contains(out, p) {
			out = append(out, p)
		}
	}
	return out
}

func planeWords(plane string) string {
	switch plane {
	case "transverse":
		return "transverse (rotational)"
	case "sagittal":
		return "sagittal (straight-line)"
	case "frontal":
		return "frontal (side to side)"
	case "":
		return "no plane given"
	}
	return clean(plane)
}

func (f *planes) place() {
	heading, row := vg.Length(17), vg.Length(14.5)
	switch {
	case f.Narrow:
		heading, row = 13, 11
	case f.leveled:
		row = 24
	}
	for i := range f.rows {
		step := row
		if f.rows[i].heading != "" {
			step = heading
		}
		f.rows[i].middle = f.tall + step/2
		f.tall += step
	}
	f.tall += 4
}

func (f planes) outcome() string { return clean(cmp.Or(f.OutcomeLabel, f.Result.Outcome)) }

func (f planes) levelName() string { return cmp.Or(clean(f.GroupName), "level") }

func (f planes) label(a association.Association) string {
	return fitMiddle(style(sizeText, ink), clean(cmp.Or(f.Labels[a.Measure], a.Measure)), labelRoom)
}

// where says of which athletes the main correlations are: " within level".
func (f planes) where() string {
	if f.leveled {
		return " within " + f.levelName()
	}
	return ""
}

func (f planes) picture() Picture {
	p := Picture{
		Name:    stem("planes", f.Result.Outcome),
		Title:   fmt.Sprintf("Which tests go with %s%s, by plane", f.outcome(), f.where()),
		Caption: f.caption(), Alt: f.alt(), Table: f.table(),
		Plot: newPlot(), Width: labelled(f.leftRoom()), note: f.note(), head: 18,
	}
	p.Plot.Y.Width = 0
	p.Plot.Y.Min, p.Plot.Y.Max = 0, float64(f.tall)
	p.left = f.leftRoom() + 8
	p.right = width(style(sizeSmall, mute), f.columnHead())
	if f.Narrow {
		p.Width, p.head = sheetWidth+max(0, f.leftRoom()-100), 4
	}
	var s span
	s.take(0)
	for _, r := range f.rows {
		if r.heading != "" {
			continue
		}
		p.right = max(p.right, width(f.mainStyle(r.test), f.mainWords(r.test)))
		c, _ := f.main(r.test)
		s.take(c.Value, c.Lower, c.Upper)
		if f.leveled && !f.Narrow {
			p.right = max(p.right, width(style(sizeSmall, ink), f.overAllWords(r.test)))
			s.take(r.test.Pearson.Value, r.test.Pearson.Lower, r.test.Pearson.Upper)
		}
	}
	p.right += 10
	if f.Narrow {
		p.right = 12
	}
	p.xTitle("correlation with " + f.outcome() + f.where() + " (Pearson's r)")
	s = s.padded(0.04)
	s.low, s.high = max(s.low, -1), min(s.high, 1)
	ticks := s.set(&p.Plot.X, p.panelWidth(), true, number.Plain)
	p.Plot.Add(gridX(ticks), layer(f.zero), layer(f.marks))
	return p.sized(f.tall)
}

func (f planes) leftRoom() vg.Length {
	w := vg.Length(0)
	for _, r := range f.rows {
		if r.heading != "" {
			w = max(w, width(bold(style(sizeText, ink)), fit(bold(style(sizeText, ink)), r.heading, labelRoom)))
		} else {
			w = max(w, width(style(sizeText, ink), f.label(r.test))+8)
		}
	}
	return w
}

func (f planes) columnHead() string {
	return "r" + f.where() + " (" + percentLevel(f.Result.Level) + " interval)"
}

// mainStyle is the type of the main numbers: bold where paler ones stand below.
func (f planes) mainStyle(a association.Association) text.Style {
	r, ok := f.main(a)
	s := style(sizeText, mute)
	if ok && r.Excludes(0) {
		s = style(sizeText, ink)
	}
	if ok && f.leveled {
		s = bold(s)
	}
	return s
}

func (f planes) mainWords(a association.Association) string {
	if r, ok := f.main(a); ok {
		return correlation(r)
	}
	return "no r within " + f.levelName()
}

func (f planes) overAllWords(a association.Association) string {
	return "over all " + correlation(a.Pearson)
}

func (f planes) zero(p pen) { p.upright(ink, 0.7, nil, p.x(0)) }

func (f planes) marks(p pen) {
	if !f.Narrow {
		p.write(style(sizeSmall, mute), vg.Point{X: p.Max.X + 10, Y: p.Max.Y + 8}, f.columnHead())
	}
	left := p.Min.X - 8 - f.leftRoom()
	for _, r := range f.rows {
		y := p.Max.Y - r.middle
		if r.heading != "" {
			s := bold(style(sizeText, ink))
			p.write(s, vg.Point{X: left, Y: y}, fit(s, r.heading, labelRoom))
			continue
		}
		f.row(p, r.test, left, y)
	}
}

// markOf fills the mark by the rule of the first sentence: filled when shown after
// Holm, half filled when clear of 0 on its own, hollow else.
func (f planes) markOf(r association.Correlation) markStyle {
	switch r.State(level(f.Result.Level)) {
	case association.Shown:
		return told(true)
	case association.OnItsOwn:
		return markStyle{colour: strong, half: true}
	}
	return told(false)
}

func (f planes) row(p pen, a association.Association, left, y vg.Length) {
	r, ok := f.main(a)
	m := f.markOf(r)
	if f.leveled && !f.Narrow {
		y += 5
		f.overAll(p, a, y-10.5)
		m.radius = 3.6
	}
	if ok {
		p.bar(m.colour, m.line(), r.Lower, r.Upper, y)
		p.mark(m, vg.Point{X: p.x(r.Value), Y: y})
	}
	s := style(sizeText, mute)
	if !m.hollow {
		s = style(sizeText, ink)
	}
	p.write(s, vg.Point{X: left + 8, Y: y}, f.label(a))
	if !f.Narrow {
		p.write(f.mainStyle(a), vg.Point{X: p.Max.X + 10, Y: y}, f.mainWords(a))
	}
}

// overAll draws the correlation over all athletes, small and pale.
func (f planes) overAll(p pen, a association.Association, y vg.Length) {
	p.bar(edge, 0.6, a.Pearson.Lower, a.Pearson.Upper, y)
	p.mark(markStyle{shape: diamond, colour: edge, radius: 1.9}, vg.Point{X: p.x(a.Pearson.Value), Y: y})
	p.write(style(sizeSmall, mute), vg.Point{X: p.Max.X + 10, Y: y}, f.overAllWords(a))
}

// count returns how many tests have a main interval clear of zero, how many of
// them stay after Holm, and the range of n.
func (f planes) count() (clear, holm, least, most int) {
	for _, r := range f.rows {
		if r.heading != "" {
			continue
		}
		c, ok := f.main(r.test)
		if !ok {
			continue
		}
		if c.Excludes(0) {
			clear++
		}
		if c.PHolm <= 1-level(f.Result.Level) {
			holm++
		}
		n := f.athletes(r.test)
		if least == 0 || n < least {
			least = n
		}
		most = max(most, n)
	}
	return clear, holm, least, most
}

func (f planes) note() string {
	_, _, least, most := f.count()
	s := fmt.Sprintf("%s. Filled mark: shown, allowing for all tests looked at (Holm); half filled: its %s "+
		"interval (bar) excludes zero on its own; hollow: it does not.", athletes(least,
		most), percentLevel(f.Result.Level))
	switch {
	case f.leveled && f.Narrow:
		s += fmt.Sprintf(" The mean of each %s is removed.", f.levelName())
	case f.leveled:
		s += fmt.Sprintf(" The mean of each %s is removed. Small pale diamond: r over all athletes,"+
			" which also holds the differences from %[1]s to %[1]s.", f.levelName())
	}
	if f.more > 0 {
		s += fmt.Sprintf(" Drawn: the %d closest; the working page draws %d more.", f.tests, f.more)
	}
	return s
}

// athletes is the n of the main mark.
func (f planes) athletes(a association.Association) int {
	if c, ok := f.main(a); f.leveled && ok && c.N > 0 {
		return c.N
	}
	return a.N
}

// athletes writes the n of rows that may differ.
func athletes(least, most int) string {
	if least == most {
		return "n = " + number.Count(most, "athlete", "athletes")
	}
	return fmt.Sprintf("n = %d to %d athletes", least, most)
}

func (f planes) caption() string {
	clear, holm, least, most := f.count()
	interval := percentLevel(f.Result.Level) + " interval"
	var s string
	switch {
	case f.tests == 1 && clear == 1:
		s = fmt.Sprintf("The one test goes with %s%s with a %s that excludes zero (%s)", f.outcome(), f.where(),
			interval, athletes(least, most))
	case f.tests == 1:
		s = fmt.Sprintf("The one test has an r with %s%s whose %s does not exclude zero (%s)", f.outcome(), f.where(),
			interval, athletes(least, most))
	default:
		s = fmt.Sprintf("%d of %d tests %s with %s%s with a %s that excludes zero (%s), %d after Holm's correction "+
			"for the number of tests",
			clear, f.tests, goes(clear), f.outcome(), f.where(), interval, athletes(least, most), holm)
	}
	best, ok := f.strongest(func(association.Association) bool { return true })
	c, _ := f.main(best)
	if f.tests == 1 {
		s += ": r = " + correlation(c)
		if f.leveled {
			s += "; over all athletes, levels mixed, r = " + correlation(best.Pearson)
		}
		return s + "."
	}
	if ok {
		s += fmt.Sprintf("; the largest r%s is that of %s, %s", f.where(), f.words(best), correlation(c))
	}
	if f.leveled {
		s += fmt.Sprintf("; over all athletes, levels mixed, %d of %d would seem to", f.seeming(), f.tests)
	}
	return s + "."
}

// associationWords say how far a correlation is shown.
func associationWords(s association.State) string {
	switch s {
	case association.Shown:
		return "yes"
	case association.OnItsOwn:
		return "on its own"
	}
	return "no"
}

func goes(n int) string {
	if n == 1 {
		return "goes"
	}
	return "go"
}

// seeming counts the tests whose r over all athletes is clear of zero.
func (f planes) seeming() int {
	n := 0
	for _, r := range f.rows {
		if r.heading == "" && r.test.Pearson.Excludes(0) {
			n++
		}
	}
	return n
}

func (f planes) words(a association.Association) string {
	return clean(cmp.Or(f.Labels[a.Measure], a.Measure))
}

// strongest is the test with the largest |r| among those that count.
func (f planes) strongest(counts func(association.Association) bool) (association.Association, bool) {
	var best association.Association
	most := -1.0
	for _, r := range f.rows {
		if r.heading != "" || !counts(r.test) {
			continue
		}
		if c, ok := f.main(r.test); ok && math.Abs(c.Value) > most {
			best, most = r.test, math.Abs(c.Value)
		}
	}
	return best, most >= 0
}

func (f planes) alt() string {
	s := "Forest plot of correlations" + f.where() + ". " + f.caption()
	if f.leveled {
		for _, plane := range f.order() {
			if best, ok := f.strongest(func(a association.Association) bool { return a.Plane == plane }); ok {
				c, _ := f.main(best)
				s += fmt.Sprintf(" %s: closest%s is %s, r %s.", capital(planeWords(plane)), f.where(), f.words(best),
					correlation(c))
			}
		}
		return s
	}
	for _, p := range f.Result.Planes {
		if finite(p.MeanR) {
			s += fmt.Sprintf(" %s: mean r %s over %s.", capital(planeWords(p.Plane)), number.Correlation(p.MeanR),
				number.Count(p.Tests, "test", "tests"))
		}
	}
	return s
}

func (f planes) table() Table {
	t := Table{
		Caption: fmt.Sprintf("Correlation of each test with %s%s, %s intervals", f.outcome(), f.where(),
			percentLevel(f.Result.Level)),
		Header:  []string{"test", "plane", "n", "r" + f.where(), "lower", "upper", "p after Holm", "shown"},
		Numeric: []bool{false, false, true, true, true, true, true, false},
	}
	if f.leveled {
		t.Header = append(t.Header, "r over all", "lower", "upper", "n over all")
		t.Numeric = append(t.Numeric, true, true, true, true)
	}
	for _, r := range f.rows {
		if r.heading != "" {
			continue
		}
		row := []string{f.words(r.test), r.test.Plane, number.Missing, number.Missing, number.Missing, number.Missing,
			number.Missing, number.Missing}
		if c, ok := f.main(r.test); ok {
			row = []string{f.words(r.test), r.test.Plane, fmt.Sprint(f.athletes(r.test)), number.Correlation(c.Value),
				number.Correlation(c.Lower), number.Correlation(c.Upper), number.PValue(c.PHolm),
				associationWords(c.State(level(f.Result.Level)))}
		}
		if f.leveled {
			p := r.test.Pearson
			row = append(row, number.Correlation(p.Value), number.Correlation(p.Lower), number.Correlation(p.Upper),
				fmt.Sprint(r.test.N))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}
