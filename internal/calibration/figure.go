package calibration

import (
	"fmt"
	"image/color"
	"math"
	"strings"

	"gonum.org/v1/plot"
	plotfont "gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"noisefloor/reports/picture"
)

var (
	ink    = color.NRGBA{R: 0x22, G: 0x22, B: 0x22, A: 0xff}
	mute   = color.NRGBA{R: 0x59, G: 0x59, B: 0x59, A: 0xff}
	grid   = color.NRGBA{R: 0xe9, G: 0xe9, B: 0xe9, A: 0xff}
	band   = color.NRGBA{R: 0xcb, G: 0xd5, B: 0xde, A: 0xff}
	strong = color.NRGBA{R: 0x00, G: 0x72, B: 0xb2, A: 0xff}
)

// A lane is one line of a figure: the rates of one method with one number of
// athletes, or the name of the method above them.
type lane struct {
	name      string // of the method; "" for a line of rates
	n         int
	rates     []float64 // in percent
	nominal   float64   // in percent
	low, high float64   // the Monte Carlo band, in percent
	hollow    bool      // not what the toolkit uses
}

// Figures are the rates as pictures: coverage of the exact and of the
// approximate intervals, and false alarms of retest. A picture without rows is
// left out.
func (t Table) Figures() []picture.Picture {
	covers := func(p Promise) func(Line) bool {
		return func(l Line) bool { return l.Kind == Coverage && l.Promise == p && l.Nominal == 0.95 }
	}
	var out []picture.Picture
	for _, f := range []struct {
		name, title, axis, caption string
		take                       func(Line) bool
	}{
		{"exact", "Coverage of the exact intervals", "coverage, %",
			"Each mark is one design (sessions, true ICC or true r). Band: 95 % and three Monte Carlo standard " +
				"errors either way.", covers(Exact)},
		{"approximate", "Coverage of the approximate intervals", "coverage, %",
			"Each mark is one design (sessions, true ICC or true r). Band: 95 % and three Monte Carlo standard " +
				"errors either way; wider where fewer studies were drawn.", covers(Approximate)},
		{"alarms", "False alarms of retest: t beside 1.96", "athletes without a change called real, %",
			"Filled: Student's t, which the toolkit uses; hollow: 1.96. Each mark is one design (2 or 3 sessions). " +
				"Band: 5 % and three Monte Carlo standard errors either way.",
			func(l Line) bool { return strings.HasPrefix(l.Name, calledReal) }},
	} {
		lanes := t.lanes(f.take)
		if len(lanes) == 0 {
			continue
		}
		found := found(lanes)
		out = append(out, picture.Picture{Name: "calibration-" + f.name, Title: f.title,
			Caption: found + " " + f.caption, Alt: f.title + ": " + found,
			Plot: chart(lanes, f.axis), Width: 500, Height: 75 + 10*vg.Length(len(lanes))})
	}
	return out
}

// lanes are the rows of the lines that take chooses, top down.
func (t Table) lanes(take func(Line) bool) (lanes []lane) {
	for _, l := range t.Lines() {
		if !take(l) {
			continue
		}
		name := l.Name
		if l.Setting != "" {
			name += " – " + l.Setting
		}
		lanes = append(lanes, lane{name: name})
		for _, s := range l.Spans {
			lanes = append(lanes, t.lane(l, s.N))
		}
	}
	return lanes
}

func (t Table) lane(l Line, n int) lane {
	out := lane{n: n, hollow: l.Promise == Contrast}
	for _, r := range t.Rows {
		if r.Method != l.Method || r.Setting != l.Setting || r.N != n || math.IsNaN(r.Rate()) {
			continue
		}
		half := limit * r.Band()
		out.low, out.high = 100*max(0, r.Nominal-half), 100*min(1, r.Nominal+half)
		out.nominal = 100 * r.Nominal
		out.rates = append(out.rates, 100*r.Rate())
	}
	return out
}

// found says what the figure shows.
func found(lanes []lane) string {
	low, high, inside, all := math.Inf(1), math.Inf(-1), 0, 0
	for _, l := range lanes {
		for _, r := range l.rates {
			low, high = min(low, r), max(high, r)
			all++
			if l.low <= r && r <= l.high {
				inside++
			}
		}
	}
	return fmt.Sprintf("%d rates from %.1f to %.1f %%, %d of them inside the Monte Carlo band.", all, low, high, inside)
}

// chart draws the lanes from the top.
func chart(lanes []lane, axis string) *plot.Plot {
	p := plot.New()
	p.BackgroundColor = nil
	low, high := math.Inf(1), math.Inf(-1)
	var names []plot.Tick
	for i, l := range lanes {
		if l.name != "" {
			continue
		}
		names = append(names, plot.Tick{Value: -float64(i), Label: fmt.Sprintf("n = %d", l.n)})
		low, high = min(low, l.low), max(high, l.high)
		for _, r := range l.rates {
			low, high = min(low, r), max(high, r)
		}
	}
	p.X.Min, p.X.Max = math.Floor(low), math.Ceil(high)
	p.Y.Min, p.Y.Max = -float64(len(lanes))+0.5, 0.5
	ticks := percentTicks(p.X.Min, p.X.Max)
	p.X.Tick.Marker, p.Y.Tick.Marker = plot.ConstantTicks(ticks), plot.ConstantTicks(names)
	p.X.Label.Text = axis
	p.X.Label.TextStyle, p.X.Tick.Label = style(9, ink, draw.XCenter), style(8, mute, draw.XCenter)
	p.X.Tick.Label.YAlign = draw.YTop
	p.X.Label.TextStyle.YAlign = draw.YBottom
	p.Y.Tick.Label = style(7, mute, draw.XRight)
	p.Y.Tick.Length, p.Y.LineStyle.Width, p.Y.Padding, p.X.Padding = 0, 0, 4, 2
	p.Add(drawing{lanes, ticks})
	return p
}

// percentTicks are whole percents, at most ten of them.
func percentTicks(low, high float64) (ticks []plot.Tick) {
	step := 1.0
	for _, s := range []float64{1, 2, 5, 10, 20} {
		if step = s; (high-low)/s <= 10 {
			break
		}
	}
	for v := math.Ceil(low/step) * step; v <= high; v += step {
		ticks = append(ticks, plot.Tick{Value: v, Label: fmt.Sprintf("%g", v)})
	}
	return ticks
}

func style(size vg.Length, c color.Color, x text.XAlignment) text.Style {
	return text.Style{Color: c, XAlign: x, YAlign: draw.YCenter,
		Font:    plotfont.Font{Typeface: "Liberation", Variant: "Sans", Size: size},
		Handler: text.Plain{Fonts: plotfont.DefaultCache}}
}

// A drawing puts the lanes on the panel.
type drawing struct {
	lanes []lane
	ticks []plot.Tick
}

// Plot draws bands, grid, names and marks, in this order.
func (d drawing) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	for i, l := range d.lanes {
		if l.name == "" {
			rectangle(c, x(l.low), y(-float64(i)-0.5), x(l.high), y(-float64(i)+0.5))
		}
	}
	for _, t := range d.ticks {
		c.StrokeLine2(draw.LineStyle{Color: grid, Width: 0.6}, x(t.Value), c.Min.Y, x(t.Value), c.Max.Y)
	}
	for i, l := range d.lanes {
		at := y(-float64(i))
		if l.name == "" {
			c.StrokeLine2(draw.LineStyle{Color: mute, Width: 0.6}, x(l.nominal), y(-float64(i)-0.5), x(l.nominal),
				y(-float64(i)+0.5))
		}
		if l.name != "" {
			c.FillText(style(8, ink, draw.XLeft), vg.Point{X: c.Min.X, Y: at + 0.5}, l.name)
		}
		for _, r := range l.rates {
			mark(c, vg.Point{X: x(r), Y: at}, l.hollow)
		}
	}
}

func rectangle(c draw.Canvas, left, bottom, right, top vg.Length) {
	var path vg.Path
	path.Move(vg.Point{X: left, Y: bottom})
	path.Line(vg.Point{X: right, Y: bottom})
	path.Line(vg.Point{X: right, Y: top})
	path.Line(vg.Point{X: left, Y: top})
	path.Close()
	c.SetColor(band)
	c.Fill(path)
}

func mark(c draw.Canvas, at vg.Point, hollow bool) {
	glyph := draw.GlyphStyle{Color: strong, Radius: 2, Shape: draw.CircleGlyph{}}
	if hollow {
		glyph.Color, glyph.Shape = mute, draw.RingGlyph{}
	}
	c.DrawGlyph(glyph, at)
}
