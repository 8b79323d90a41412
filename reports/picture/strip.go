package picture

import (
	"fmt"

	"gonum.org/v1/plot/vg"

	"noisefloor/reports/number"
)

// A StripInput is rows of marks on one axis: the scores of groups, say.
type StripInput struct {
	Name, Title, Caption string
	Axis, Unit           string // what the axis shows
	RowsAre, MarksAre    string // heads of the table: "level", "athlete"
	Rows                 []StripRow
}

// A StripRow is the marks of one row, named so that the table can tell them.
type StripRow struct {
	Label string
	Names []string // of the marks
	Marks []float64
}

// Strip draws a row of marks for each group. It fails with [ErrNothing] when there
// is no mark.
func Strip(in StripInput) (Picture, error) {
	var s span
	t := Table{Caption: clean(in.Caption), Header: []string{clean(in.RowsAre), clean(in.MarksAre), clean(in.Axis)}, Numeric: []bool{false, false,
		true}}
	for _, r := range in.Rows {
		for i, x := range r.Marks {
			s.take(x)
			t.Rows = append(t.Rows, []string{clean(r.Label), clean(r.Names[i]), number.Plain(x, 2)})
		}
	}
	if !s.some {
		return Picture{}, fmt.Errorf("%w: no marks for %s", ErrNothing, in.Title)
	}
	p := Picture{Name: stem("strip", in.Name), Title: clean(in.Title), Table: t, Plot: newPlot(), Width: reachWidth,
		Caption: clean(in.Caption), Alt: clean(in.Caption)}
	tall := 2 * reachPitch * vg.Length(len(in.Rows))
	p.Plot.Y.Width, p.Plot.Y.Min, p.Plot.Y.Max = 0, 0, float64(tall)
	p.xTitle(axisTitle(in.Axis, in.Unit))
	ticks := s.padded(0.05).set(&p.Plot.X, p.panelWidth(), true, number.Plain)
	p.Plot.Add(gridX(ticks), layer(func(pen pen) {
		for i, r := range in.Rows {
			y := pen.Max.Y - vg.Length(i)*2*reachPitch
			pen.write(style(sizeSmall, ink), vg.Point{X: pen.Min.X + 3, Y: y - 10}, clean(r.Label))
			for _, x := range r.Marks {
				pen.mark(told(true), vg.Point{X: pen.x(x), Y: y - 28})
			}
		}
	}))
	return p.sized(tall), nil
}
