package picture

import (
	"image/color"
	"math"

	"gonum.org/v1/plot"
	plotfont "gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"noisefloor/analysis/retest"
)

// A layer draws on the panel of a plot, and beside it.
type layer func(pen)

// Plot lets a layer be added to a [plot.Plot].
func (l layer) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	l(pen{Canvas: c, x: x, y: y})
}

// A pen draws in the places of a panel; x and y turn data into places.
type pen struct {
	draw.Canvas
	x, y func(float64) vg.Length
}

// A shape is the form of a mark.
type shape uint8

const (
	circle shape = iota
	square
	triangle
	diamond
	cross
)

// A markStyle is the look of a mark.
type markStyle struct {
	shape  shape
	colour color.Color
	hollow bool
	half   bool      // the lower half filled
	radius vg.Length // 0 means 3
}

// told is the mark of the whole package: filled, strong and with a heavy bar
// when the finding stands, hollow, grey and light when it does not.
func told(stands bool) markStyle {
	if stands {
		return markStyle{colour: strong}
	}
	return markStyle{colour: weak, hollow: true}
}

// stateMark is the mark of a change: filled when it stands out, half filled when it
// is past the noise on its own, hollow inside it.
func stateMark(s retest.State) markStyle {
	if s == retest.PastNoise {
		return markStyle{colour: strong, half: true}
	}
	return told(s == retest.StandsOut)
}

// marksNote says how to read the three marks.
const marksNote = "Filled mark: stands out; half filled: past the noise on its own, as some are by chance; hollow: " +
	"inside the noise."

// line is the width of the interval that goes with the mark.
func (s markStyle) line() vg.Length {
	if s.hollow {
		return 1
	}
	return 1.6
}

// mark draws a mark; a hollow one covers what lies under it.
func (p pen) mark(s markStyle, at vg.Point) {
	if s.radius == 0 {
		s.radius = 3
	}
	outline := outlineOf(s.shape, at, s.radius)
	line := draw.LineStyle{Color: s.colour, Width: min(1.1, s.radius*0.45)}
	switch {
	case s.half:
		p.SetColor(paper)
		p.Fill(outline)
		p.SetColor(s.colour)
		p.Fill(lowerHalf(s.shape, at, s.radius))
	case s.shape == cross:
		line.Width += 0.3
	case s.hollow:
		p.SetColor(paper)
		p.Fill(outline)
	default:
		p.SetColor(s.colour)
		p.Fill(outline)
		line = draw.LineStyle{Color: paper, Width: 0.4}
	}
	p.SetLineStyle(line)
	p.Stroke(outline)
}

// lowerHalf returns the lower half of a shape.
func lowerHalf(s shape, at vg.Point, r vg.Length) vg.Path {
	switch s {
	case square:
		a := r * 0.89
		return closed(at, -a, -a, a, -a, a, 0, -a, 0)
	case triangle:
		a := r * 1.35
		return closed(at, -a*0.87, -a*0.5, a*0.87, -a*0.5, a*0.435, a*0.25, -a*0.435, a*0.25)
	case diamond:
		a := r * 1.25
		return closed(at, -a, 0, 0, -a, a, 0)
	}
	var path vg.Path
	path.Move(vg.Point{X: at.X - r, Y: at.Y})
	path.Arc(at, r, math.Pi, math.Pi)
	path.Close()
	return path
}

// outlineOf returns the path of a shape; the shapes have about the same area.
func outlineOf(s shape, at vg.Point, r vg.Length) vg.Path {
	var path vg.Path
	switch s {
	case square:
		a := r * 0.89
		return closed(at, -a, -a, a, -a, a, a, -a, a)
	case triangle:
		a := r * 1.35
		return closed(at, 0, a, -a*0.87, -a*0.5, a*0.87, -a*0.5)
	case diamond:
		a := r * 1.25
		return closed(at, 0, a, a, 0, 0, -a, -a, 0)
	case cross:
		a := r * 0.8
		path.Move(vg.Point{X: at.X - a, Y: at.Y - a})
		path.Line(vg.Point{X: at.X + a, Y: at.Y + a})
		path.Move(vg.Point{X: at.X - a, Y: at.Y + a})
		path.Line(vg.Point{X: at.X + a, Y: at.Y - a})
		return path
	}
	path.Move(vg.Point{X: at.X + r, Y: at.Y})
	path.Arc(at, r, 0, 2*math.Pi)
	path.Close()
	return path
}

func closed(at vg.Point, offsets ...vg.Length) vg.Path {
	var path vg.Path
	for i := 0; i < len(offsets); i += 2 {
		to := vg.Point{X: at.X + offsets[i], Y: at.Y + offsets[i+1]}
		if i == 0 {
			path.Move(to)
		} else {
			path.Line(to)
		}
	}
	path.Close()
	return path
}

// rect fills a rectangle given by two corners, cut to the panel.
func (p pen) rect(c color.Color, x0, y0, x1, y1 vg.Length) {
	x0, x1 = p.inX(min(x0, x1)), p.inX(max(x0, x1))
	y0, y1 = p.inY(min(y0, y1)), p.inY(max(y0, y1))
	if x0 >= x1 || y0 >= y1 {
		return
	}
	p.FillPolygon(c, []vg.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}})
}

func (p pen) inX(x vg.Length) vg.Length { return min(max(x, p.Min.X), p.Max.X) }
func (p pen) inY(y vg.Length) vg.Length { return min(max(y, p.Min.Y), p.Max.Y) }

// line draws straight lines from point to point.
func (p pen) line(c color.Color, width vg.Length, dash []vg.Length, points ...vg.Point) {
	p.StrokeLines(draw.LineStyle{Color: c, Width: width, Dashes: dash}, points)
}

// upright draws a vertical line through the panel, if x lies on it.
func (p pen) upright(c color.Color, width vg.Length, dash []vg.Length, x vg.Length) {
	if p.ContainsX(x) {
		p.line(c, width, dash, vg.Point{X: x, Y: p.Min.Y}, vg.Point{X: x, Y: p.Max.Y})
	}
}

// level draws a horizontal line through the panel, if y lies on it.
func (p pen) level(c color.Color, width vg.Length, dash []vg.Length, y vg.Length) {
	if p.ContainsY(y) {
		p.line(c, width, dash, vg.Point{X: p.Min.X, Y: y}, vg.Point{X: p.Max.X, Y: y})
	}
}

// dotted is the dash of worthwhile changes.
func dotted() []vg.Length { return []vg.Length{1, 2} }

// bar draws a horizontal interval, with an arrow where it leaves the panel.
// Limits may be infinite; a NaN draws nothing.
func (p pen) bar(c color.Color, width vg.Length, lower, upper float64, y vg.Length) {
	if math.IsNaN(lower) || math.IsNaN(upper) {
		return
	}
	from, cutLeft := p.place(lower)
	to, cutRight := p.place(upper)
	if from == to && (cutLeft || cutRight) {
		return // wholly beside the panel
	}
	p.line(c, width, nil, vg.Point{X: from, Y: y}, vg.Point{X: to, Y: y})
	if cutLeft {
		p.arrow(c, vg.Point{X: from, Y: y}, -1)
	}
	if cutRight {
		p.arrow(c, vg.Point{X: to, Y: y}, 1)
	}
}

// place returns where x is drawn, and whether that is the panel's edge instead.
func (p pen) place(x float64) (vg.Length, bool) {
	switch {
	case math.IsInf(x, -1):
		return p.Min.X, true
	case math.IsInf(x, 1):
		return p.Max.X, true
	}
	at := p.x(x)
	return p.inX(at), !p.ContainsX(at)
}

// arrow draws the head of an arrow whose tip is at the place given.
func (p pen) arrow(c color.Color, tip vg.Point, way vg.Length) {
	p.SetColor(c)
	p.Fill(closed(tip, 0, 0, -4*way, 2.2, -4*way, -2.2))
}

// write draws one line of text.
func (p pen) write(s text.Style, at vg.Point, line string) {
	writeText(p.Canvas, s, at, line)
}

// writeText puts one line so that at lies at the height of the middle of its
// lower-case letters (YCenter), or on its base line (YBottom).
func writeText(c draw.Canvas, s text.Style, at vg.Point, line string) {
	if line == "" {
		return
	}
	if s.YAlign == draw.YCenter {
		at.Y -= s.Font.Size * 0.35
	}
	at.X += width(s, line) * vg.Length(s.XAlign)
	c.SetColor(s.Color)
	c.FillString(plotfont.DefaultCache.Lookup(s.Font, s.Font.Size), at, line)
}
