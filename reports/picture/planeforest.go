package picture

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"noisefloor/analysis/association"
	"noisefloor/reports/number"
)

// PlaneInput is what [PlaneForest] draws.
type PlaneInput struct {
	Result       association.Result
	OutcomeLabel string            // "" means the outcome's name
	Labels       map[string]string // of the measures; a measure without one keeps its name
	LevelName    string            // what the levels are; "" means level
	Within       bool              // add the correlations within level, where there are any
}

// PlaneForest draws the correlation of every test with the outcome, grouped by
// plane, largest on top. The mark is filled when the interval excludes zero.
// With Within, a small diamond below it shows the correlation within level.
//
// It fails with [ErrNothing] when no test has a correlation.
func PlaneForest(in PlaneInput) (Picture, error) {
	f := planes{PlaneInput: in}
	for _, plane := range f.order() {
		var rows []planeRow
		for _, a := range in.Result.Associations {
			if a.Plane == plane && finite(a.Pearson.Value) {
				rows = append(rows, planeRow{test: a})
			}
		}
		slices.SortStableFunc(rows, func(a, b planeRow) int {
			return cmp.Compare(b.test.Pearson.Value, a.test.Pearson.Value)
		})
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

// A planeRow is a heading or a test.
type planeRow struct {
	heading string
	test    association.Association
	middle  vg.Length // below the top of the panel
}

// planes is a [PlaneForest] being drawn.
type planes struct {
	PlaneInput
	rows  []planeRow
	tests int
	tall  vg.Length
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
	if f.anyWithin() {
		row = 23
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

func (f planes) levelName() string { return cmp.Or(clean(f.LevelName), "level") }

func (f planes) label(a association.Association) string {
	return fitMiddle(style(sizeText, ink), clean(cmp.Or(f.Labels[a.Measure], a.Measure)), labelRoom)
}

// within returns the correlation within level that is drawn, if there is one.
func (f planes) within(a association.Association) (association.Correlation, bool) {
	if !f.Within || a.Within == nil || !finite(a.Within.Value) {
		return association.Correlation{}, false
	}
	return a.Within.Correlation, true
}

func (f planes) anyWithin() bool {
	return slices.ContainsFunc(f.Result.Associations, func(a association.Association) bool {
		_, ok := f.within(a)
		return ok
	})
}

func (f planes) picture() Picture {
	p := Picture{
		Name:    stem("planes", f.Result.Outcome),
		Title:   fmt.Sprintf("Which tests go with %s, by plane", f.outcome()),
		Caption: f.caption(), Alt: f.alt(), Table: f.table(),
		Plot: newPlot(), Width: labelled(f.leftRoom()), note: f.note(), head: 18,
	}
	p.Plot.Y.Width = 0
	p.Plot.Y.Min, p.Plot.Y.Max = 0, float64(f.tall)
	p.left = f.leftRoom() + 8
	p.right = width(style(sizeSmall, mute), f.columnHead())
	var s span
	s.take(0)
	for _, r := range f.rows {
		if r.heading != "" {
			continue
		}
		p.right = max(p.right, width(style(sizeText, ink), correlation(r.test.Pearson)))
		s.take(r.test.Pearson.Value, r.test.Pearson.Lower, r.test.Pearson.Upper)
		if w, ok := f.within(r.test); ok {
			p.right = max(p.right, width(style(sizeSmall, ink), f.withinWords(w)))
			s.take(w.Value, w.Lower, w.Upper)
		}
	}
	p.right += 10
	p.xTitle("correlation with " + f.outcome() + " (Pearson's r)")
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

func (f planes) columnHead() string { return "r (" + percentLevel(f.Result.Level) + " interval)" }

func (f planes) withinWords(c association.Correlation) string { return "within " + correlation(c) }

func (f planes) zero(p pen) { p.upright(ink, 0.7, nil, p.x(0)) }

func (f planes) marks(p pen) {
	p.write(style(sizeSmall, mute), vg.Point{X: p.Max.X + 10, Y: p.Max.Y + 8}, f.columnHead())
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

func (f planes) row(p pen, a association.Association, left, y vg.Length) {
	w, both := f.within(a)
	if both {
		y += 4.5
		low := y - 10.5
		m := told(w.Excludes(0))
		m.shape, m.colour, m.radius = diamond, weak, 2.2
		p.bar(weak, 0.7, w.Lower, w.Upper, low)
		p.mark(m, vg.Point{X: p.x(w.Value), Y: low})
		p.write(style(sizeSmall, mute), vg.Point{X: p.Max.X + 10, Y: low}, f.withinWords(w))
	}
	m, s := told(a.Pearson.Excludes(0)), style(sizeText, mute)
	if !m.hollow {
		s = style(sizeText, ink)
	}
	p.bar(m.colour, m.line(), a.Pearson.Lower, a.Pearson.Upper, y)
	p.mark(m, vg.Point{X: p.x(a.Pearson.Value), Y: y})
	p.write(aligned(s, draw.XLeft), vg.Point{X: left + 8, Y: y}, f.label(a))
	p.write(s, vg.Point{X: p.Max.X + 10, Y: y}, correlation(a.Pearson))
}

// count returns how many tests have an interval clear of zero, how many of
// them stay after Holm, and the range of n.
func (f planes) count() (clear, holm, least, most int) {
	for _, r := range f.rows {
		if r.heading != "" {
			continue
		}
		if r.test.Pearson.Excludes(0) {
			clear++
		}
		if r.test.Pearson.PHolm <= 1-level(f.Result.Level) {
			holm++
		}
		if least == 0 || r.test.N < least {
			least = r.test.N
		}
		most = max(most, r.test.N)
	}
	return clear, holm, least, most
}

func (f planes) note() string {
	_, _, least, most := f.count()
	s := fmt.Sprintf("%s. Filled mark: the %s interval (bar) excludes zero; hollow: it does not.", athletes(least, most), percentLevel(f.Result.Level))
	if f.anyWithin() {
		s += fmt.Sprintf(" Diamond: the correlation within %s (the mean of each %[1]s removed), filled in the same way.", f.levelName())
	}
	return s
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
	s := fmt.Sprintf("%d of %s with %s with a %s interval that excludes zero (%s), %d after Holm's correction for the number of tests",
		clear, number.Count(f.tests, "test goes", "tests go"), f.outcome(), percentLevel(f.Result.Level), athletes(least, most), holm)
	if best, ok := f.strongest(); ok {
		s += fmt.Sprintf("; the largest r is that of %s, %s", f.words(best), correlation(best.Pearson))
	}
	return s + "."
}

func (f planes) words(a association.Association) string {
	return clean(cmp.Or(f.Labels[a.Measure], a.Measure))
}

func (f planes) strongest() (association.Association, bool) {
	var best association.Association
	found := false
	for _, r := range f.rows {
		if r.heading == "" && (!found || math.Abs(r.test.Pearson.Value) > math.Abs(best.Pearson.Value)) {
			best, found = r.test, true
		}
	}
	return best, found
}

func (f planes) alt() string {
	s := "Forest plot of correlations. " + f.caption()
	for _, p := range f.Result.Planes {
		if finite(p.MeanR) {
			s += fmt.Sprintf(" %s: mean r %s over %s.", capital(planeWords(p.Plane)), number.Correlation(p.MeanR), number.Count(p.Tests, "test", "tests"))
		}
	}
	return s
}

func (f planes) table() Table {
	t := Table{
		Caption: fmt.Sprintf("Correlation of each test with %s, %s intervals", f.outcome(), percentLevel(f.Result.Level)),
		Header:  []string{"test", "plane", "n", "r", "lower", "upper", "p after Holm", "excludes zero"},
		Numeric: []bool{false, false, true, true, true, true, true, false},
	}
	if f.anyWithin() {
		t.Header = append(t.Header, "r within "+f.levelName(), "lower", "upper")
		t.Numeric = append(t.Numeric, true, true, true)
	}
	for _, r := range f.rows {
		if r.heading != "" {
			continue
		}
		c := r.test.Pearson
		row := []string{f.words(r.test), r.test.Plane, fmt.Sprint(r.test.N), number.Correlation(c.Value),
			number.Correlation(c.Lower), number.Correlation(c.Upper), number.PValue(c.PHolm), yes(c.Excludes(0))}
		if f.anyWithin() {
			w, ok := f.within(r.test)
			cells := []string{number.Missing, number.Missing, number.Missing}
			if ok {
				cells = []string{number.Correlation(w.Value), number.Correlation(w.Lower), number.Correlation(w.Upper)}
			}
			row = append(row, cells...)
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}
