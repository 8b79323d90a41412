package picture

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"noisefloor/analysis/association"
	"noisefloor/analysis/estimate"
	"noisefloor/reports/number"
)

// ScatterInput is what [Scatter] draws.
type ScatterInput struct {
	Association  association.Association
	TestLabel    string // "" means the measure's name
	OutcomeLabel string
	Outcome      string // its name; a label that is the name is not capitalised
	OutcomeUnit  string
	GroupName    string  // what the levels are: "squad"; "" means level
	Level        float64 // of the intervals; 0 means 0.95

	// Line is the least-squares line from its left end to its right one, and
	// Band the outline of its confidence band, once around. The zero values
	// draw none.
	Line [2]XY
	Band []XY
}

// Scatter draws a test against the outcome, an athlete a mark, with the
// least-squares line. Levels differ by shape first and colour second, and are
// named beside their marks, or above the panel where there is no room.
//
// It fails with [ErrNothing] when no athlete has both numbers.
func Scatter(in ScatterInput) (Picture, error) {
	in.TestLabel, in.Association.Unit, in.GroupName = clean(in.TestLabel), clean(in.Association.Unit),
		clean(in.GroupName)
	in.OutcomeLabel, in.OutcomeUnit = clean(in.OutcomeLabel), clean(in.OutcomeUnit)
	s := scatter{ScatterInput: in}
	for _, point := range in.Association.Points {
		if finite(point.X, point.Y) {
			s.points = append(s.points, point)
		}
	}
	if len(s.points) == 0 {
		return Picture{}, fmt.Errorf("%w: no athlete has both %s and %s", ErrNothing, s.test(), in.OutcomeLabel)
	}
	s.levels = s.order()
	s.merge()
	return s.picture(), nil
}

// A scatter is a [Scatter] being drawn.
type scatter struct {
	ScatterInput
	points []association.Point // with the levels that are drawn
	levels []string            // empty when there are none to tell apart
	reach  span                // of the vertical axis
}

// within returns the heights of the line and its band, drawn in to at most half
// the height of the marks beyond them.
func (s scatter) within(marks span) []float64 {
	beyond := (marks.high - marks.low) / 2
	var out []float64
	for _, v := range s.heights() {
		out = append(out, min(max(v, marks.low-beyond), marks.high+beyond))
	}
	return out
}

// heights are those of the line and the band, as far as they are drawn.
func (s scatter) heights() []float64 {
	var out []float64
	if s.hasLine() {
		out = append(out, s.Line[0].Y, s.Line[1].Y)
	}
	for _, at := range s.Band {
		if !finite(at.X, at.Y) {
			return out
		}
		out = append(out, at.Y)
	}
	return out
}

// cut reports whether the axis ends before the line or its band do.
func (s scatter) cut() bool {
	return slices.ContainsFunc(s.heights(), func(v float64) bool { return v < s.reach.low || v > s.reach.high })
}

func (s scatter) test() string {
	if s.TestLabel != "" {
		return s.TestLabel
	}
	return clean(s.Association.Measure)
}

func (s scatter) levelName() string { return cmp.Or(s.GroupName, "level") }

// order lists the levels: as the analysis does, then as they appear.
func (s scatter) order() []string {
	var all []string
	if w := s.Association.Within; w != nil {
		for _, l := range w.Groups {
			all = append(all, l.Group)
		}
	}
	for _, point := range s.points {
		all = append(all, point.Group)
	}
	var levels []string
	for _, l := range all {
		has := slices.ContainsFunc(s.points, func(p association.Point) bool { return p.Group == l })
		if has && !slices.Contains(levels, l) {
			levels = append(levels, l)
		}
	}
	if len(levels) == 1 && levels[0] == "" {
		return nil
	}
	return levels
}

// merge draws what are too many levels for the shapes there are as one.
func (s *scatter) merge() {
	if len(s.levels) <= len(levelStyles) {
		return
	}
	last := len(levelStyles) - 1
	others := fmt.Sprintf("%d others", len(s.levels)-last)
	for i, point := range s.points {
		if slices.Index(s.levels, point.Group) >= last {
			s.points[i].Group = others
		}
	}
	s.levels = append(slices.Clone(s.levels[:last]), others)
}

func (s scatter) picture() Picture {
	p := Picture{
		Name:    stem("scatter", s.OutcomeLabel, s.Association.Measure),
		Title:   fmt.Sprintf("%s against %s", headed(s.OutcomeLabel, s.Outcome), s.test()),
		Caption: s.caption(), Alt: s.alt(), Table: s.table(),
		Plot: newPlot(), Width: pageWidth,
		subtitle: []string{s.correlations(), axisTitle(s.OutcomeLabel, s.OutcomeUnit)},
		head:     4,
	}
	if len(s.levels) > 0 {
		p.head = 16
	}
	p.xTitle(axisTitle(s.test(), s.Association.Unit))
	var x, y span
	for _, point := range s.points {
		x.take(point.X)
		y.take(point.Y)
	}
	y.take(s.within(y)...)
	s.reach = y.padded(0.06)
	p.note = s.note()
	const tall = 260
	ticksY := s.reach.set(&p.Plot.Y, tall, false, number.Plain)
	ticksX := x.padded(0.06).set(&p.Plot.X, p.dataWidth()-20, true, number.Plain)
	p.Plot.Add(gridX(ticksX), gridY(ticksY), layer(s.fitted), layer(s.marks), layer(s.names))
	return p.sized(tall)
}

// note says how to read the figure.
func (s scatter) note() string {
	n := fmt.Sprintf("n = %d; a mark is an athlete", len(s.points))
	if len(s.levels) > 0 {
		n += ", its shape the " + s.levelName()
	}
	n += "."
	if s.hasLine() {
		n += " Line: least squares over all."
		if len(s.Band) > 2 {
			n += fmt.Sprintf(" Shaded band: its %s confidence band.", percentLevel(s.Level))
		}
		if s.cut() {
			n += " It goes on beyond the axis."
		}
	}
	return n
}

func (s scatter) hasLine() bool {
	l := s.Line
	return l[0] != l[1] && finite(l[0].X, l[0].Y, l[1].X, l[1].Y)
}

func (s scatter) place(p pen, at XY) vg.Point { return vg.Point{X: p.x(at.X), Y: p.y(at.Y)} }

func (s scatter) fitted(p pen) {
	var outline []vg.Point
	for _, at := range s.Band {
		if !finite(at.X, at.Y) {
			outline = nil
			break
		}
		outline = append(outline, s.place(p, at))
	}
	if len(outline) > 2 {
		p.FillPolygon(band, p.ClipPolygonXY(outline))
	}
	if s.hasLine() {
		line := p.ClipLinesXY([]vg.Point{s.place(p, s.Line[0]), s.place(p, s.Line[1])})
		p.StrokeLines(draw.LineStyle{Color: ink, Width: 1}, line...)
	}
}

func (s scatter) markOf(level string) markStyle {
	if i := slices.Index(s.levels, level); i >= 0 {
		return levelStyles[i%len(levelStyles)]
	}
	return markStyle{colour: strong}
}

func (s scatter) marks(p pen) {
	for _, point := range s.points {
		p.mark(s.markOf(point.Group), s.place(p, XY{point.X, point.Y}))
	}
}

// names writes each level beside one of its marks, smallest level first; what
// finds no room goes above the panel.
func (s scatter) names(p pen) {
	if len(s.levels) == 0 {
		return
	}
	room := s.crowd(p)
	above := p.Min.X
	for _, level := range s.bySize() {
		t := bold(style(sizeSmall, ink))
		words := fit(t, s.levelWords(level), (p.Max.X-p.Min.X)/2)
		t.Color = dark(s.markOf(level).colour)
		if b, ok := s.quietest(p, room, level, width(t, words), t.Font.Size+2); ok {
			room.add(b)
			p.write(t, vg.Point{X: b.Min.X, Y: (b.Min.Y + b.Max.Y) / 2}, words)
			continue
		}
		words = fit(t, words, p.Max.X-above-12)
		p.mark(s.markOf(level), vg.Point{X: above + 4, Y: p.Max.Y + 9})
		p.write(t, vg.Point{X: above + 12, Y: p.Max.Y + 9}, words)
		above += width(t, words) + 24
	}
}

// levelWords is a level with its r and n.
func (s scatter) levelWords(level string) string {
	words := clean(level)
	if words == "" {
		words = "no " + s.levelName()
	}
	n := s.size(level)
	if w := s.Association.Within; w != nil {
		for _, l := range w.Groups {
			if l.Group == level && finite(l.Value) {
				return fmt.Sprintf("%s, r = %s (n = %d)", words, number.Correlation(l.Value), n)
			}
		}
	}
	return fmt.Sprintf("%s (n = %d)", words, n)
}

func (s scatter) size(level string) int {
	n := 0
	for _, point := range s.points {
		if point.Group == level {
			n++
		}
	}
	return n
}

func (s scatter) bySize() []string {
	levels := slices.Clone(s.levels)
	slices.SortStableFunc(levels, func(a, b string) int { return cmp.Compare(s.size(a), s.size(b)) })
	return levels
}

// crowd holds every mark, and the line.
func (s scatter) crowd(p pen) *crowd {
	room := &crowd{bounds: box{Min: p.Min.Add(vg.Point{X: 3, Y: 3}), Max: p.Max.Sub(vg.Point{X: 3, Y: 3})}}
	for _, point := range s.points {
		room.add(boxAround(s.place(p, XY{point.X, point.Y}), 5))
	}
	if s.hasLine() {
		for _, line := range p.ClipLinesXY([]vg.Point{s.place(p, s.Line[0]), s.place(p, s.Line[1])}) {
			room.line(line[0], line[len(line)-1])
		}
	}
	return room
}

// quietest looks beside every mark of a level for the place where the label
// stands among its own.
func (s scatter) quietest(p pen, room *crowd, level string, w, h vg.Length) (box, bool) {
	best, found, most := box{}, false, math.Inf(-1)
	for _, point := range s.points {
		if point.Group != level {
			continue
		}
		trial := &crowd{bounds: room.bounds, taken: slices.Clip(room.taken), lines: room.lines}
		b, ok := trial.beside(s.place(p, XY{point.X, point.Y}), 7.2, w, h)
		if !ok {
			continue
		}
		own := s.belonging(p, b, level)
		if !room.clear(b) {
			own-- // it crosses the line
		}
		if own > most {
			best, found, most = b, true, own
		}
	}
	return best, found
}

// belonging compares how near a box is to the marks of its own level and to
// the others: each mark counts by the inverse square of its distance.
func (s scatter) belonging(p pen, b box, level string) float64 {
	sum := 0.0
	for _, point := range s.points {
		at := s.place(p, XY{point.X, point.Y})
		dx := max(b.Min.X-at.X, at.X-b.Max.X, 0)
		dy := max(b.Min.Y-at.Y, at.Y-b.Max.Y, 0)
		weight := 1 / (25 + float64(dx*dx+dy*dy))
		if point.Group != level {
			weight *= -2
		}
		sum += weight
	}
	return sum
}

// withoutCorrelation says why there is no r.
func withoutCorrelation(why estimate.Kind) string {
	switch why {
	case estimate.TooFew:
		return "too few athletes"
	case estimate.NoVariation:
		return "test or outcome is the same for every athlete"
	}
	return "too few athletes, or a constant"
}

// correlations is the line below the title.
func (s scatter) correlations() string {
	if !finite(s.Association.Pearson.Value) {
		return "no correlation: " + withoutCorrelation(s.Association.Pearson.Kind)
	}
	words := "r = " + correlation(s.Association.Pearson) + " over all"
	if s.Association.Pearson.HasInterval() {
		words = fmt.Sprintf("r (%s interval) = %s over all", percentLevel(s.Level), correlation(s.Association.Pearson))
	}
	if w := s.Association.Within; w != nil && finite(w.Value) {
		words += fmt.Sprintf(", %s within %s", correlation(w.Correlation), s.levelName())
	}
	return words
}

// correlation writes r with its interval.
func correlation(c association.Correlation) string {
	if !c.HasInterval() {
		return number.Correlation(c.Value)
	}
	return fmt.Sprintf("%s (%s to %s)", number.Correlation(c.Value), number.Correlation(c.Lower),
		number.Correlation(c.Upper))
}

func (s scatter) caption() string {
	r := s.Association.Pearson
	words := fmt.Sprintf("In %s, %s and %s go together with r = %s", number.Count(len(s.points), "athlete", "athletes"),
		s.test(), s.OutcomeLabel, correlation(r))
	switch {
	case !finite(r.Value):
		words = fmt.Sprintf("%s and %s of %s, which give no correlation", headed(s.test(), s.Association.Measure),
			s.OutcomeLabel,
			number.Count(len(s.points), "athlete", "athletes"))
	case r.HasInterval() && !r.Excludes(0):
		words += fmt.Sprintf(", whose %s interval holds zero", percentLevel(s.Level))
	}
	if w := s.Association.Within; w != nil && finite(w.Value) {
		words += fmt.Sprintf("; within %s r = %s", s.levelName(), correlation(w.Correlation))
	}
	return words + "."
}

func (s scatter) alt() string {
	words := fmt.Sprintf("Scatter of %s against %s. %s", axisTitle(s.OutcomeLabel, s.OutcomeUnit), axisTitle(s.test(),
		s.Association.Unit), s.caption())
	var levels []string
	for _, l := range s.levels {
		levels = append(levels, s.levelWords(l))
	}
	if len(levels) > 0 {
		words += fmt.Sprintf(" Marks tell the %s apart: %s.", s.levelName(), listed(levels, 8))
	}
	return words
}

func (s scatter) table() Table {
	t := Table{
		Caption: fmt.Sprintf("%s and %s of each athlete, and the ends of the line drawn, n = %d",
			axisTitle(headed(s.test(), s.Association.Measure), s.Association.Unit),
			axisTitle(s.OutcomeLabel, s.OutcomeUnit), len(s.points)),
		Header:  []string{"athlete", s.levelName(), s.test(), s.OutcomeLabel},
		Numeric: []bool{false, false, true, true},
	}
	var x, y float64
	for _, point := range s.points {
		x, y = max(x, math.Abs(point.X)), max(y, math.Abs(point.Y))
	}
	dx, dy := about(x), about(y)
	for _, point := range s.Association.Points {
		if !finite(point.X, point.Y) {
			continue
		}
		t.Rows = append(t.Rows, []string{point.Athlete, point.Group, number.Plain(point.X, dx), number.Plain(point.Y,
			dy)})
	}
	if s.hasLine() {
		for i, end := range []string{"(line, left end)", "(line, right end)"} {
			t.Rows = append(t.Rows, []string{end, number.Missing, number.Plain(s.Line[i].X, dx),
				number.Plain(s.Line[i].Y, dy)})
		}
	}
	return t
}
