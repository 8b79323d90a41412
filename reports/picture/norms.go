package picture

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"noisefloor/analysis/score"
	"noisefloor/reports/number"
)

// A NormsInput is one test in its groups, the athlete's own first and the whole last.
type NormsInput struct {
	Label, Name, Unit string
	Session           string
	Better            score.Direction
	Athlete           string // who is drawn; "" for nobody
	Decimals          int    // with which scores are written
	Groups            []NormsGroup
}

// A NormsGroup is a row: the scores of the group, or the quantiles that a norms file keeps
// of it, and the athlete among them.
type NormsGroup struct {
	Name      string
	Athletes  int
	Scores    []float64 // nil out of a norms file
	Quantiles []XY      // percentile (0 to 100) and score
	// Score of the athlete, and the limits of its noise; NaN when the athlete is not of the
	// group, or the noise is not known.
	Score, Lower, Upper float64
	Place               string // in words: "40th to 88th"
}

const (
	normsPitch = vg.Length(46)
	dotRadius  = vg.Length(1.9)
	dotStep    = vg.Length(4)
	dotsHigh   = 4 // marks that are set upon each other before they share their place
)

// Norms draws each group's own scores as small marks on one axis, the middle half of them
// as a soft band with the median, and the athlete's score as a mark as wide as its noise:
// the same score stands elsewhere in another group. Of a group out of a norms file its
// quantiles are drawn, since nobody's score is known.
//
// It fails with [ErrNothing] when no group has a score or a quantile.
func Norms(in NormsInput) (Picture, error) {
	g := normed{in}
	s := g.span()
	if !s.some {
		return Picture{}, fmt.Errorf("%w: no scores of %s", ErrNothing, in.Label)
	}
	p := Picture{Name: stem("norms", in.Name), Title: clean(in.Label) + ", session " + clean(in.Session), Plot: newPlot(),
		Width: reachWidth, Caption: g.caption(), Table: g.table(), note: g.note()}
	p.Alt = "The scores of each group on one axis. " + p.Caption
	tall := normsPitch * vg.Length(len(in.Groups))
	p.Plot.Y.Width, p.Plot.Y.Min, p.Plot.Y.Max = 0, 0, float64(tall)
	p.xTitle(axisTitle("score"+better("; ", in.Better), in.Unit))
	ticks := s.padded(0.04).set(&p.Plot.X, p.panelWidth(), true, number.Plain)
	p.Plot.Add(gridX(ticks), layer(g.rows))
	return p.sized(tall), nil
}

// A normed is a [Norms] being drawn.
type normed struct{ in NormsInput }

func (g normed) span() (s span) {
	for _, r := range g.in.Groups {
		s.take(r.Scores...)
		s.take(r.Score, r.Lower, r.Upper)
		for _, q := range r.Quantiles {
			s.take(q.Y)
		}
	}
	return s
}

// at is the score at a percentile; NaN when the group has none.
func (r NormsGroup) at(percentile float64) float64 {
	for _, q := range r.Quantiles {
		if math.Abs(q.X-percentile) < 1e-9 {
			return q.Y
		}
	}
	return math.NaN()
}

func (g normed) rows(p pen) {
	for i, r := range g.in.Groups {
		top := p.Max.Y - vg.Length(i)*normsPitch
		base := top - normsPitch + 8
		if i > 0 {
			p.level(grid, 1, nil, top)
		}
		g.words(p, r, top-7)
		if low, high := r.at(25), r.at(75); finite(low, high) {
			p.rect(band, p.x(low), base-5, p.x(high), top-14)
		}
		if middle := r.at(50); finite(middle) {
			p.line(edge, 1.2, nil, vg.Point{X: p.x(middle), Y: base - 5}, vg.Point{X: p.x(middle), Y: top - 14})
		}
		g.dots(p, r, base+4)
		g.kept(p, r, base)
		g.athlete(p, r, base-2)
	}
}

func (g normed) words(p pen, r NormsGroup, y vg.Length) {
	s := style(sizeSmall, ink)
	right := clean(r.Place)
	p.write(aligned(bold(s), draw.XRight), vg.Point{X: p.Max.X - 2, Y: y}, right)
	room := p.Max.X - p.Min.X - width(bold(s), right) - 12
	p.write(s, vg.Point{X: p.Min.X + 3, Y: y}, fit(s, fmt.Sprintf("%s, n %d", clean(r.Name), r.Athletes), room))
}

// dots sets the scores upon each other where they would touch.
func (g normed) dots(p pen, r NormsGroup, base vg.Length) {
	var columns []vg.Length // the place of the last mark at each height
	for _, x := range slices.Sorted(slices.Values(r.Scores)) {
		if !finite(x) {
			continue
		}
		at := p.x(x)
		i := slices.IndexFunc(columns, func(last vg.Length) bool { return at-last >= 2*dotRadius+0.4 })
		switch {
		case i < 0 && len(columns) < dotsHigh:
			i, columns = len(columns), append(columns, at)
		case i < 0:
			i = dotsHigh - 1
		}
		columns[i] = at
		p.mark(markStyle{colour: mute, radius: dotRadius}, vg.Point{X: at, Y: base + vg.Length(i)*dotStep})
	}
}

// kept draws the quantiles of a norms file.
func (g normed) kept(p pen, r NormsGroup, base vg.Length) {
	if r.Scores != nil {
		return
	}
	s := aligned(style(sizeSmall, mute), draw.XCenter)
	last := p.Min.X - 100
	for _, q := range r.Quantiles {
		at := p.x(q.Y)
		p.line(mute, 1, nil, vg.Point{X: at, Y: base}, vg.Point{X: at, Y: base + 10})
		words := ordinal(q.X)
		if at-width(s, words)/2 > last+2 {
			p.write(s, vg.Point{X: at, Y: base + 16}, words)
			last = at + width(s, words)/2
		}
	}
}

// athlete is a mark as wide as the noise of the score.
func (g normed) athlete(p pen, r NormsGroup, y vg.Length) {
	if !finite(r.Score) {
		return
	}
	if finite(r.Lower, r.Upper) {
		p.rect(deep, p.x(r.Lower), y-2.5, p.x(r.Upper), y+2.5)
		p.line(strong, 1, nil, vg.Point{X: p.x(r.Lower), Y: y}, vg.Point{X: p.x(r.Upper), Y: y})
		for _, x := range []float64{r.Lower, r.Upper} {
			p.line(strong, 1.4, nil, vg.Point{X: p.x(x), Y: y - 3}, vg.Point{X: p.x(x), Y: y + 3})
		}
	}
	p.mark(markStyle{shape: diamond, colour: strong, radius: 3.6}, vg.Point{X: p.x(r.Score), Y: y})
}

// ordinal writes a percentile: "50th", "91st".
func ordinal(percentile float64) string {
	n := int(math.Round(percentile))
	suffix := "th"
	if n%100 < 11 || n%100 > 13 {
		suffix = map[int]string{1: "st", 2: "nd", 3: "rd"}[n%10]
		if suffix == "" {
			suffix = "th"
		}
	}
	return fmt.Sprintf("%d%s", n, suffix)
}

func (g normed) write(x float64) string { return number.Plain(x, g.in.Decimals) }

func (g normed) caption() string {
	words := ""
	for i, r := range g.in.Groups {
		if i > 0 {
			words += "; "
		}
		words += fmt.Sprintf("%s: %s", clean(r.Name), number.Count(r.Athletes, "athlete", "athletes"))
		if low, high := r.at(25), r.at(75); finite(low, high) {
			words += ", half of them from " + g.write(min(low, high)) + " to " + number.WithUnit(g.write(max(low, high)),
				g.in.Unit)
		}
		if r.Place != "" {
			words += ", " + clean(g.in.Athlete) + " " + clean(r.Place)
		}
	}
	return words + "."
}

func (g normed) note() string {
	words := "Shaded: the middle half of the group, with its median."
	if slices.ContainsFunc(g.in.Groups, func(r NormsGroup) bool { return r.Scores != nil }) {
		words = "Dots: the group's own scores. " + words
	} else {
		words = "Upright lines: percentiles that the norms file keeps. " + words
	}
	if slices.ContainsFunc(g.in.Groups, func(r NormsGroup) bool { return finite(r.Score) }) {
		words += " Diamond: " + clean(g.in.Athlete)
		if slices.ContainsFunc(g.in.Groups, func(r NormsGroup) bool { return finite(r.Lower) }) {
			words += ", as wide as the noise of the score"
		}
		words += "; at the right the place, with noise and sampling."
	}
	return words
}

// table holds the quantiles, the athlete and the scores of each group: what is drawn.
func (g normed) table() Table {
	t := Table{Caption: "Scores of each group" + better("; ", g.in.Better), Header: []string{"group", "mark", "score"},
		Numeric: []bool{false, false, true}}
	add := func(r NormsGroup, mark string, x float64) {
		if finite(x) {
			t.Rows = append(t.Rows, []string{clean(r.Name), mark, number.WithUnit(g.write(x), g.in.Unit)})
		}
	}
	for _, r := range g.in.Groups {
		for _, q := range r.Quantiles {
			if r.Scores == nil || q.X == 25 || q.X == 50 || q.X == 75 {
				add(r, ordinal(q.X), q.Y)
			}
		}
		add(r, clean(g.in.Athlete), r.Score)
		add(r, clean(g.in.Athlete)+", noise from", r.Lower)
		add(r, clean(g.in.Athlete)+", noise to", r.Upper)
		for _, x := range r.Scores {
			add(r, "an athlete", x)
		}
	}
	return t
}
