package picture

import (
	"fmt"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"noisefloor/reports/number"
)

// A CurveInput is how a wish is met as a study grows.
type CurveInput struct {
	Name, Title, Caption string
	X, Y, Unit           string // axes; the unit is that of Y
	Points               []XY
	Target               float64 // of Y; NaN for none
	TargetWords          string
	At                   XY // the answer; NaN for none
	AtWords              string
	Decimals             int // of Y in the table
}

const curveTall = vg.Length(170)

// Curve draws a line through points, the target as a dashed line, and the answer as a
// filled mark with its words. It fails with [ErrNothing] without two points.
func Curve(in CurveInput) (Picture, error) {
	if len(in.Points) < 2 {
		return Picture{}, fmt.Errorf("%w: no curve of %s", ErrNothing, in.Title)
	}
	var x, y span
	t := Table{Caption: clean(in.Caption), Header: []string{clean(in.X), clean(axisTitle(in.Y, in.Unit))}, Numeric: []bool{true, true}}
	for _, p := range in.Points {
		x.take(p.X)
		y.take(p.Y)
		t.Rows = append(t.Rows, []string{number.Plain(p.X, 0), number.Plain(p.Y, in.Decimals)})
	}
	y.take(in.Target)
	p := Picture{Name: stem("curve", in.Name), Title: clean(in.Title), Plot: newPlot(), Width: reachWidth,
		Caption: clean(in.Caption), Table: t}
	p.Alt = "A curve of " + clean(in.Y) + " by " + clean(in.X) + ". " + p.Caption
	p.xTitle(clean(in.X))
	p.Plot.Y.Label.Text = axisTitle(in.Y, in.Unit)
	x.padded(0.05).set(&p.Plot.X, p.panelWidth(), true, number.Plain)
	y.padded(0.1).set(&p.Plot.Y, curveTall, false, number.Plain)
	p.Plot.Add(layer(func(pen pen) { drawCurve(pen, in) }))
	return p.sized(curveTall), nil
}

func drawCurve(p pen, in CurveInput) {
	var line []vg.Point
	for _, q := range in.Points {
		line = append(line, vg.Point{X: p.x(q.X), Y: p.y(q.Y)})
	}
	if finite(in.Target) {
		y := p.y(in.Target)
		p.level(mute, 1, dotted(), y)
		p.write(aligned(style(sizeSmall, mute), draw.XLeft), vg.Point{X: p.Min.X + 3, Y: y + 6}, clean(in.TargetWords))
	}
	p.line(strong, 1.6, nil, line...)
	for _, at := range line {
		p.mark(told(false), at)
	}
	if finite(in.At.X, in.At.Y) {
		at := vg.Point{X: p.x(in.At.X), Y: p.y(in.At.Y)}
		m := told(true)
		m.radius = 4.5
		p.mark(m, at)
		p.write(bold(style(sizeSmall, ink)), vg.Point{X: at.X + 7, Y: at.Y + 8}, clean(in.AtWords))
	}
}
