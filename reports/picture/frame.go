package picture

import (
	"math"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// paint lays the figure out from the top: title, the lines below it, the head
// of the panel, the panel with its axes, the note.
func (p Picture) paint(c draw.Canvas) {
	c.SetColor(paper)
	c.Fill(c.Rectangle.Path())
	x, y := c.Min.X+margin, c.Max.Y-margin
	for _, line := range p.titleLines() {
		s := bold(style(sizeTitle, ink))
		writeText(c, s, vg.Point{X: x, Y: y - lineHeight(s)/2}, line)
		y -= lineHeight(s)
	}
	for _, line := range p.subtitleLines() {
		s := style(sizeText, mute)
		writeText(c, s, vg.Point{X: x, Y: y - lineHeight(s)/2}, line)
		y -= lineHeight(s)
	}
	notes := p.noteLines()
	s := style(sizeSmall, mute)
	bottom := c.Min.Y + margin + vg.Length(len(notes))*lineHeight(s)
	for i, line := range notes {
		writeText(c, s, vg.Point{X: x, Y: bottom - (vg.Length(i)+0.5)*lineHeight(s)}, line)
	}
	p.Plot.Draw(draw.Canvas{Canvas: c.Canvas, Rectangle: vg.Rectangle{
		Min: vg.Point{X: x + p.left, Y: bottom + gap},
		Max: vg.Point{X: c.Max.X - margin - p.right, Y: y - gap - p.head},
	}})
}

func (p Picture) room() vg.Length { return p.Width - 2*margin }

func (p Picture) titleLines() []string {
	return wrap(bold(style(sizeTitle, ink)), clean(p.Title), p.room(), 2)
}

func (p Picture) subtitleLines() []string {
	var lines []string
	for _, text := range p.subtitle {
		lines = append(lines, wrap(style(sizeText, mute), clean(text), p.room(), 2)...)
	}
	return lines
}

func (p Picture) noteLines() []string {
	return wrap(style(sizeSmall, mute), clean(p.note), p.room(), 7)
}

// around returns the height of everything but the panel.
func (p Picture) around() vg.Length {
	h := 2*margin + 2*gap + p.head
	h += vg.Length(len(p.titleLines())) * lineHeight(style(sizeTitle, ink))
	h += vg.Length(len(p.subtitleLines())) * lineHeight(style(sizeText, ink))
	h += vg.Length(len(p.noteLines())) * lineHeight(style(sizeSmall, ink))
	const tall = 1000
	area := p.Plot.DataCanvas(draw.Canvas{Rectangle: vg.Rectangle{Max: vg.Point{X: p.panelWidth(), Y: tall}}})
	return h + tall - area.Size().Y
}

// panelWidth is the room for the panel and the tick labels of a vertical axis.
func (p Picture) panelWidth() vg.Length { return p.room() - p.left - p.right }

// dataWidth is the width of the panel itself, with the tick labels that the
// axes have so far.
func (p Picture) dataWidth() vg.Length {
	area := p.Plot.DataCanvas(draw.Canvas{Rectangle: vg.Rectangle{Max: vg.Point{X: p.panelWidth(), Y: 1000}}})
	return area.Size().X
}

// sized gives the picture the height that its panel needs.
func (p Picture) sized(panel vg.Length) Picture {
	p.Height = vg.Length(math.Ceil(float64(p.around() + panel)))
	return p
}

// xTitle writes the title of the horizontal axis, on as many lines as it needs.
func (p Picture) xTitle(title string) {
	p.Plot.X.Label.Text = strings.Join(wrap(p.Plot.X.Label.TextStyle, clean(title), p.panelWidth(), 3), "\n")
}

// gridX and gridY draw a faint line through the panel at every tick.
func gridX(ticks []plot.Tick) layer {
	return func(p pen) {
		for _, t := range ticks {
			p.upright(grid, 0.6, nil, p.x(t.Value))
		}
	}
}

func gridY(ticks []plot.Tick) layer {
	return func(p pen) {
		for _, t := range ticks {
			p.level(grid, 0.6, nil, p.y(t.Value))
		}
	}
}
