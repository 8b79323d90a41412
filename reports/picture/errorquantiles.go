package picture

import (
	"fmt"

	"gonum.org/v1/plot/vg"

	"noisefloor/analysis/estimate"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/reports/number"
)

// QuantileInput is what [ErrorQuantiles] draws: the errors of one measure.
type QuantileInput struct {
	Tails    reliability.Tails
	Label    string // of the measure
	Name     string
	Unit     string
	Scale    score.Scale // of the errors; Log is drawn in percent
	Athletes int
	Level    float64 // below 1 less which P shows wild errors; 0 means 0.95
}

// ErrorQuantiles draws each error of a session score against what is expected of one
// in its place were all normal with the typical error: normal errors lie along the
// slanted line, inside the soft band. Those outside are filled, the outermost of them
// named.
//
// It fails with [ErrNothing] when there are fewer than three errors.
func ErrorQuantiles(in QuantileInput) (Picture, error) {
	q := quantiles{QuantileInput: in, unit: clean(in.Unit)}
	q.Label = clean(in.Label)
	if in.Scale == score.Log {
		q.unit = "%"
	}
	for _, e := range in.Tails.Errors {
		e.Athlete, e.Session = clean(e.Athlete), session(e.Session)
		if in.Scale == score.Log {
			for _, x := range []*float64{&e.Error, &e.Expected, &e.Lower, &e.Upper} {
				*x = estimate.Percent(*x)
			}
		}
		if finite(e.Error, e.Expected, e.Lower, e.Upper) {
			q.errors = append(q.errors, e)
		}
	}
	if len(q.errors) < 3 {
		return Picture{}, fmt.Errorf("%w: %d errors of %s", ErrNothing, len(q.errors), q.Label)
	}
	return q.picture(), nil
}

type quantiles struct {
	QuantileInput
	errors []reliability.ErrorQuantile // in order
	unit   string
}

func out(e reliability.ErrorQuantile) bool { return e.Error < e.Lower || e.Error > e.Upper }

func (q quantiles) picture() Picture {
	p := Picture{
		Name: stem("errors", q.Name), Title: "Are the errors normal? " + headed(q.Label, q.Name),
		Caption: q.caption(), Table: q.table(), Plot: newPlot(), Width: pageWidth,
		subtitle: []string{axisTitle("error of a session score", q.unit)},
		note: fmt.Sprintf("n = %d errors of %d athletes. Shaded band: where 95 in 100 normal errors of that place lie, each "+
			"judged on its own. Filled mark: outside it.", len(q.errors), q.Athletes),
		head: 6,
	}
	p.Alt = "Errors in order against the errors expected if they were normal. " + p.Caption
	p.xTitle(axisTitle("expected, were all errors normal", q.unit))
	var x, y span
	for _, e := range q.errors {
		x.take(e.Expected)
		y.take(e.Error, e.Lower, e.Upper)
	}
	const tall = 230
	ticksY := y.padded(0.05).set(&p.Plot.Y, tall, false, number.Signed)
	ticksX := x.padded(0.06).set(&p.Plot.X, p.dataWidth()-20, true, number.Signed)
	p.Plot.Add(gridX(ticksX), gridY(ticksY), layer(q.band), layer(q.marks))
	return p.sized(tall)
}

func (q quantiles) band(p pen) {
	var edgeOf []vg.Point
	for _, e := range q.errors {
		edgeOf = append(edgeOf, vg.Point{X: p.x(e.Expected), Y: p.inY(p.y(e.Upper))})
	}
	for i := range q.errors {
		e := q.errors[len(q.errors)-1-i]
		edgeOf = append(edgeOf, vg.Point{X: p.x(e.Expected), Y: p.inY(p.y(e.Lower))})
	}
	p.FillPolygon(band, edgeOf)
	first, last := q.errors[0].Expected, q.errors[len(q.errors)-1].Expected
	p.line(edge, 0.9, nil, vg.Point{X: p.x(first), Y: p.inY(p.y(first))}, vg.Point{X: p.x(last), Y: p.inY(p.y(last))})
}

func (q quantiles) marks(p pen) {
	s := style(sizeSmall, ink)
	for i, e := range q.errors {
		m := told(out(e))
		m.radius = 2.5
		at := vg.Point{X: p.x(e.Expected), Y: p.y(e.Error)}
		p.mark(m, at)
		switch {
		case !out(e):
		case i == 0:
			p.write(s, vg.Point{X: at.X + 6, Y: at.Y - 3}, fit(s, e.Athlete, 120))
		case i == len(q.errors)-1:
			name := fit(s, e.Athlete, 120)
			p.write(s, vg.Point{X: at.X - 6 - width(s, name), Y: at.Y - 3}, name)
		}
	}
}

func (q quantiles) caption() string {
	wild := 0
	for _, e := range q.errors {
		if out(e) {
			wild++
		}
	}
	level := q.Level
	if level == 0 {
		level = 0.95
	}
	words := fmt.Sprintf("In %s %d of %d errors lie outside the band", q.Label, wild, len(q.errors))
	if q.Tails.P < 1-level {
		return words + fmt.Sprintf(": the tails are heavier than normal ones (%s), so the interval of the typical error is too "+
			"narrow.", number.P(q.Tails.P))
	}
	return words + fmt.Sprintf("; the tails are not shown to be heavier than normal ones (%s).", number.P(q.Tails.P))
}

func (q quantiles) table() Table {
	t := Table{Caption: "Errors of the session scores in " + axisTitle(q.Label, q.unit) + ", in order",
		Header:  []string{"athlete", "session", "error", "expected", "band, lower", "band, upper", "outside"},
		Numeric: []bool{false, false, true, true, true, true, false}}
	d := number.Decimals(q.errors[len(q.errors)-1].Expected / 2)
	for _, e := range q.errors {
		t.Rows = append(t.Rows, []string{e.Athlete, e.Session, number.Signed(e.Error, d), number.Signed(e.Expected, d),
			number.Signed(e.Lower, d), number.Signed(e.Upper, d), yes(out(e))})
	}
	return t
}
