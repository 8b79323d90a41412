package picture

import (
	"cmp"
	"fmt"
	"image/color"
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"noisefloor/analysis/decision"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
	"noisefloor/reports/number"
)

// DecisionInput is what [DecisionStudy] draws: what one measure would be worth
// with other numbers of sessions and trials.
type DecisionInput struct {
	Label, Name, Unit string // of the measure; the unit is not used on the log scale
	Scale             score.Scale
	Level             float64        // of the rows; 0 means 0.95
	Power             float64        // of the rows; 0 means 0.8
	Rows              []decision.Row // on the scale
	Worthwhile        float64        // smallest change that matters, on the scale; NaN when there is none

	// Answer is the cheapest design whose change seen is the worthwhile
	// one, looked for with the options of the rows; nil when nobody asked.
	Answer *decision.Answer

	Studied decision.Design // what the study itself used
}

// DecisionStudy draws the true change of one athlete that is seen with the power of
// the rows against
// the number of trials in each session, a line for each number of sessions.
// The design of the study is filled, the others are hollow. A dotted line is
// the worthwhile change. Where no number of trials reaches it, a soft band goes
// up to what the day-to-day part alone gives. Designs of one trial only are
// drawn against the number of sessions. On the log scale changes are in percent
// upwards.
//
// A design without a finite one is left out and counted in the
// note. Of more than 8 numbers of sessions the first are drawn, the last, that
// of the study and that of the answer; the table has all.
//
// It fails with [ErrNothing] when no row has one, and with
// [ErrNumber] when a design has no session or no trial.
func DecisionStudy(in DecisionInput) (Picture, error) {
	in.Label, in.Name, in.Unit = clean(in.Label), clean(in.Name), clean(in.Unit)
	in.Rows = slices.Clone(in.Rows)
	slices.SortStableFunc(in.Rows, func(a, b decision.Row) int {
		return cmp.Or(cmp.Compare(a.Sessions, b.Sessions), cmp.Compare(a.Trials, b.Trials))
	})
	s := study{DecisionInput: in}
	if s.Scale == score.Log {
		s.Unit = "%"
	}
	for i, r := range s.Rows {
		if r.Sessions < 1 || r.Trials < 1 {
			return Picture{}, fmt.Errorf("%w: a design of %d sessions by %d trials", ErrNumber, r.Sessions, r.Trials)
		}
		s.Rows[i] = s.shown(r)
		s.oneScore = (i == 0 || s.oneScore) && r.Trials == 1
	}
	if !slices.ContainsFunc(s.Rows, drawnRow) {
		return Picture{}, fmt.Errorf("%w: none of %d designs has a change that is seen", ErrNothing, len(in.Rows))
	}
	s.worth, s.decimals = s.change(in.Worthwhile), s.rowDecimals()
	s.lines = s.makeLines()
	return s.picture(), nil
}

// A study is a [DecisionStudy] being drawn. Its rows are in the unit of the
// axis.
type study struct {
	DecisionInput
	lines    []designLine
	worth    float64 // worthwhile change in the unit of the axis
	decimals int
	oneScore bool // one trial in every design: sessions stand on the axis
}

// A designLine joins the designs of one number of sessions.
type designLine struct {
	rows []decision.Row
	look markStyle
	dash []vg.Length
}

// change turns a change on the scale into the unit of the axis.
func (s study) change(v float64) float64 {
	if s.Scale == score.Log {
		return estimate.Percent(v)
	}
	return v
}

func (s study) shown(r decision.Row) decision.Row {
	r.TypicalError, r.Seen = r.TypicalError.Map(s.change), s.change(r.Seen)
	return r
}

func drawnRow(r decision.Row) bool { return finite(r.Seen) && r.Seen >= 0 }

// rowDecimals goes by the design in the middle of those ordered by how well
// their change seen is known, which is as well as the typical error; the
// interval of that is about four standard errors long.
func (s study) rowDecimals() int {
	var errs []float64
	least := math.Inf(1)
	for _, r := range s.Rows {
		te := r.TypicalError
		if own := (te.Upper - te.Lower) / 4 * (r.Seen / te.Value); finite(own) && own > 0 {
			errs = append(errs, own)
		}
		if drawnRow(r) && r.Seen > 0 {
			least = min(least, r.Seen)
		}
	}
	slices.Sort(errs)
	if n := len(errs); n > 0 && errs[n/2] < least { // otherwise nothing would be left of the smallest
		return number.Decimals(errs[n/2])
	}
	return about(least)
}

// mostLines is the largest number of lines that are told apart.
const mostLines = 8

// lineDashes go with the shapes; the dotted line is the worthwhile change's.
var lineDashes = [][]vg.Length{nil, {6, 2.5}, {3, 2}, {7, 2, 1.5, 2}}

// lineLook is the shape, dash and colour of line i below mostLines: the pair of
// shape and dash is never used twice.
func lineLook(i int) (markStyle, []vg.Length) {
	look := levelStyles[(i+i/4)%4]
	return look, lineDashes[i%4]
}

func (s study) makeLines() []designLine {
	var lines []designLine
	for _, r := range s.Rows {
		if n := len(lines); n > 0 && (s.oneScore || lines[n-1].rows[0].Sessions == r.Sessions) {
			lines[n-1].rows = append(lines[n-1].rows, r)
			continue
		}
		lines = append(lines, designLine{rows: []decision.Row{r}})
	}
	lines = slices.DeleteFunc(lines, func(l designLine) bool { return !slices.ContainsFunc(l.rows, drawnRow) })
	for i := len(lines) - 2; i >= 0 && len(lines) > mostLines; i-- {
		if sessions := lines[i].rows[0].Sessions; sessions != s.Studied.Sessions && sessions != s.found().Sessions {
			lines = slices.Delete(lines, i, i+1)
		}
	}
	for i := range lines {
		lines[i].look, lines[i].dash = lineLook(i)
	}
	return lines
}

// found is the design of the answer; the zero design when there is none.
func (s study) found() decision.Design {
	if s.Answer == nil || !s.Answer.Found {
		return decision.Design{}
	}
	return s.Answer.Row.Design
}

// floor returns what the day-to-day part alone gives, where that is the reason
// for there being no design.
func (s study) floor() (float64, bool) {
	if s.Answer == nil || !s.Answer.Never {
		return math.NaN(), false
	}
	v := s.change(s.Answer.Limit)
	return v, finite(v) && v > 0
}

func (s study) picture() Picture {
	p := Picture{
		Name: stem("design", s.Name), Title: "Change seen in " + s.label() + " by sessions and trials",
		Caption: s.caption(), Alt: s.alt(), Table: s.table(), note: s.note(),
		Plot: newPlot(), Width: pageWidth, head: 6,
		subtitle: []string{axisTitle("true change seen in "+s.odds(), s.Unit)},
	}
	for _, t := range s.tags(pen{x: noPlace, y: noPlace}) {
		p.right = max(p.right, width(t.style, t.words)+11)
	}
	p.xTitle(s.across())
	const tall = 210
	ticks := span{high: s.reach(), some: true}.set(&p.Plot.Y, tall, false, number.Plain)
	s.wholeTicks(p)
	p.Plot.Add(layer(s.band), gridY(ticks), layer(s.worthwhile), layer(s.courses), layer(s.marks), layer(s.names))
	return p.sized(tall)
}

func noPlace(float64) vg.Length { return 0 }

func (s study) across() string {
	if s.oneScore {
		return "sessions, one score in each"
	}
	return "trials in each session"
}

func (s study) label() string { return cmp.Or(s.Label, s.Name, "the test") }

// reach is the upper end of the axis.
func (s study) reach() float64 {
	high := s.highest()
	if s.worthDrawn() {
		high = max(high, s.worth)
	}
	if v, ok := s.floor(); ok {
		high = max(high, v)
	}
	if high < 1e-99 {
		return 1
	}
	return high * 1.06
}

func (s study) highest() float64 {
	high := 0.0
	for _, l := range s.lines {
		for _, r := range l.rows {
			if drawnRow(r) {
				high = max(high, r.Seen)
			}
		}
	}
	return high
}

func (s study) hasWorth() bool { return finite(s.worth) && s.worth > 0 }

// worthDrawn reports whether the worthwhile change stands on the axis: not if
// it would press all lines to the ground.
func (s study) worthDrawn() bool {
	return s.hasWorth() && (s.highest() == 0 || s.worth <= 2.5*s.highest())
}

// place returns where on the horizontal axis a row stands.
func (s study) place(r decision.Row) float64 {
	if s.oneScore {
		return float64(r.Sessions)
	}
	return float64(r.Trials)
}

// wholeTicks sets the horizontal axis, with as many whole numbers as have room.
func (s study) wholeTicks(p Picture) {
	var at span
	for _, l := range s.lines {
		for _, r := range l.rows {
			at.take(s.place(r))
		}
	}
	beside := max(0.4, 0.04*(at.high-at.low), 1e-6*at.high)
	p.Plot.X.Min, p.Plot.X.Max = at.low-beside, at.high+beside
	room := p.dataWidth()
	for step := 1.0; ; step *= 2 {
		widest := width(p.Plot.X.Tick.Label, strconv.FormatFloat(at.high, 'f', 0, 64)) + 10
		if room*vg.Length(step/(p.Plot.X.Max-p.Plot.X.Min)) < widest {
			continue
		}
		var ticks []plot.Tick
		for v := at.low; v <= at.high; v += step {
			ticks = append(ticks, plot.Tick{Value: v, Label: strconv.FormatFloat(v, 'f', 0, 64)})
		}
		p.Plot.X.Tick.Marker = plot.ConstantTicks(ticks)
		return
	}
}

func (s study) band(p pen) {
	if v, ok := s.floor(); ok {
		p.rect(band, p.Min.X, p.y(0), p.Max.X, p.y(v))
		p.level(edge, 0.8, nil, p.y(v))
	}
}

func (s study) worthwhile(p pen) {
	if s.worthDrawn() {
		p.level(mute, 1.1, dotted(), p.y(s.worth))
	}
}

func (s study) at(p pen, r decision.Row) vg.Point {
	return vg.Point{X: p.x(s.place(r)), Y: p.y(r.Seen)}
}

// courses joins the designs of a line; one without a number breaks it.
func (s study) courses(p pen) {
	for _, l := range s.lines {
		var run []vg.Point
		for _, r := range l.rows {
			if drawnRow(r) {
				run = append(run, s.at(p, r))
				continue
			}
			p.line(l.look.colour, 1, l.dash, run...)
			run = nil
		}
		p.line(l.look.colour, 1, l.dash, run...)
	}
}

func (s study) marks(p pen) {
	room, apart := s.crowd(p), p.x(1)-p.x(0)
	for _, l := range s.lines {
		for _, r := range l.rows {
			if !drawnRow(r) {
				continue
			}
			m := l.look
			m.hollow, m.radius = r.Design != s.Studied, max(0.9, min(3.2, apart*0.35))
			if !m.hollow {
				m.radius += 0.8
			}
			p.mark(m, s.at(p, r))
		}
	}
	for _, l := range s.lines {
		for _, r := range l.rows {
			s.value(p, room, r)
		}
	}
}

// value writes what the design of the study and that of the answer are worth
// beside their marks; where lines leave no room for the number, it writes the
// name alone.
func (s study) value(p pen, room *crowd, r decision.Row) {
	name := s.role(r)
	if name == "" || !drawnRow(r) {
		return
	}
	text := style(sizeSmall, ink)
	for _, words := range []string{fit(text, name+": "+s.withUnit(r.Seen), 140), name} {
		look := *room
		b, ok := look.beside(s.at(p, r), 7, width(text, words), text.Font.Size)
		if !ok || (!room.clear(b) && words != name) {
			continue
		}
		room.add(b)
		if y := p.y(s.worth); s.worthDrawn() && b.Min.Y-2 < y && y < b.Max.Y+1 {
			p.rect(s.ground(), b.Min.X-1, b.Min.Y-2, b.Max.X+1, b.Max.Y+1)
		}
		p.write(text, vg.Point{X: b.Min.X, Y: (b.Min.Y + b.Max.Y) / 2}, words)
		return
	}
}

// role names the design of the study and that of the answer.
func (s study) role(r decision.Row) string {
	switch cheapest, studied := r.Design == s.found(), r.Design == s.Studied; {
	case cheapest && studied:
		return "cheapest, as studied"
	case cheapest:
		return "cheapest"
	case studied:
		return "as studied"
	}
	return ""
}

// ground is the colour under the dotted line, which gives way to words.
func (s study) ground() color.Color {
	if v, ok := s.floor(); ok && s.worth < v {
		return band
	}
	return paper
}

// crowd holds the marks, the lines between them and the edge of the band.
func (s study) crowd(p pen) *crowd {
	room := &crowd{bounds: box{Min: p.Min, Max: p.Max.Add(vg.Point{Y: 6})}}
	for _, l := range s.lines {
		for i, r := range l.rows {
			if !drawnRow(r) {
				continue
			}
			room.add(boxAround(s.at(p, r), 4.5))
			if i > 0 && drawnRow(l.rows[i-1]) {
				room.line(s.at(p, l.rows[i-1]), s.at(p, r))
			}
		}
	}
	if v, ok := s.floor(); ok {
		room.line(vg.Point{X: p.Min.X, Y: p.y(v)}, vg.Point{X: p.Max.X, Y: p.y(v)})
	}
	return room
}

// names writes what each line is at its right end.
func (s study) names(p pen) {
	tags := s.tags(p)
	var heights []vg.Length
	for _, t := range tags {
		heights = append(heights, t.from.Y)
	}
	for i, y := range spread(heights, lineHeight(style(sizeSmall, ink)), p.Min.Y, p.Max.Y) {
		p.line(edge, 0.5, nil, tags[i].from, vg.Point{X: p.Max.X + 7, Y: y})
		p.write(aligned(tags[i].style, draw.XLeft), vg.Point{X: p.Max.X + 9, Y: y}, tags[i].words)
	}
}
