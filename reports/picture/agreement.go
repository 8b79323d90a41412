package picture

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"noisefloor/analysis/agreement"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
	"noisefloor/reports/number"
)

// AgreementInput is what [Agreement] draws.
type AgreementInput struct {
	Result agreement.Result
	Label  string // of the measure
	Name   string // of the measure; a label that is the name is not capitalised
	Unit   string
	Scale  score.Scale // of the numbers in Result; Log is drawn in units and percent
}

// Agreement draws the difference of two occasions against their mean, with the
// mean difference and the limits of agreement as lines in bands, which are
// their intervals. Athletes outside the limits are filled and named where
// there is room. Numbers of the log scale are drawn as geometric means in the
// measure's unit and as percent differences.
//
// It fails with [ErrNothing] when no athlete has a pair of numbers or there is
// no mean difference.
func Agreement(in AgreementInput) (Picture, error) {
	in.Label, in.Unit = clean(in.Label), clean(in.Unit)
	in.Result.From, in.Result.To = session(in.Result.From), session(in.Result.To)
	a := pairs{AgreementInput: in, unit: in.Unit}
	r := in.Result
	a.lines = []pairLine{
		{"upper limit", "upper limit of agreement", r.Upper},
		{"mean difference", "mean difference", r.Bias},
		{"lower limit", "lower limit of agreement", r.Lower},
	}
	for _, point := range r.Points {
		if a.Scale == score.Log {
			point.Mean, point.Difference = math.Exp(point.Mean), estimate.Percent(point.Difference)
		}
		if finite(point.Mean, point.Difference) {
			a.points = append(a.points, point)
		}
	}
	a.decimals = number.Decimals(r.SD / math.Sqrt(float64(max(r.N, 1))))
	if a.Scale == score.Log {
		a.unit, a.decimals = "%", number.Decimals(100*r.SD/math.Sqrt(float64(max(r.N, 1))))
		for i := range a.lines {
			a.lines[i].at = a.lines[i].at.Map(estimate.Percent)
		}
	}
	a.lines = slices.DeleteFunc(a.lines, func(l pairLine) bool { return !finite(l.at.Value) })
	if len(a.points) == 0 || !finite(r.Bias.Value) {
		return Picture{}, fmt.Errorf("%w: no pair of numbers in %s and %s", ErrNothing, r.From, r.To)
	}
	return a.picture(), nil
}

// pairs is an [Agreement] being drawn, in the units of its axes.
type pairs struct {
	AgreementInput
	lines    []pairLine // from the top
	points   []agreement.Point
	unit     string // of the differences
	decimals int
}

// A pairLine is the mean difference or one of the limits.
type pairLine struct {
	short, name string
	at          estimate.Estimate
}

func (a pairs) picture() Picture {
	r := a.Result
	p := Picture{
		Name:    stem("agreement", a.Label, r.From, r.To),
		Title:   fmt.Sprintf("%s: agreement of %s", headed(a.Label, a.AgreementInput.Name), twoSessions(r.From, r.To)),
		Caption: a.caption(), Alt: a.alt(), Table: a.table(),
		Plot: newPlot(), Width: pageWidth,
		subtitle: []string{axisTitle(fmt.Sprintf("difference, %s minus %s", sessions(r.To), sessions(r.From)), a.unit)},
		note: fmt.Sprintf("n = %d. Filled mark: outside the limits of agreement, which hold %s of differences; "+
			"hollow: inside. Shaded bands: %s intervals of the mean difference and of the limits.",
			len(a.points), percentLevel(r.Coverage), percentLevel(r.Level)),
		head: 6,
	}
	s := style(sizeSmall, mute)
	for _, l := range a.lines {
		p.right = max(p.right, width(s, l.short)+10, width(s, a.signed(l.at))+10)
	}
	p.xTitle(axisTitle(fmt.Sprintf("%s, mean of %s", a.Label, twoSessions(r.From, r.To)), a.Unit))
	var x, y span
	for _, point := range a.points {
		x.take(point.Mean)
		y.take(point.Difference)
	}
	y.take(0)
	for _, l := range a.lines {
		y.take(l.at.Value, l.at.Lower, l.at.Upper)
	}
	const tall = 230
	ticksY := y.padded(0.05).set(&p.Plot.Y, tall, false, number.Signed)
	ticksX := x.padded(0.06).set(&p.Plot.X, p.dataWidth()-20, true, number.Plain)
	p.Plot.Add(gridX(ticksX), gridY(ticksY), layer(a.bands), layer(a.rules), layer(a.marks))
	return p.sized(tall)
}

func (a pairs) signed(e estimate.Estimate) string { return number.SignedEstimate(e, a.decimals) }

// bands draws the intervals; where two overlap the shade is deeper.
func (a pairs) bands(p pen) {
	for i, l := range a.lines {
		if !l.at.HasInterval() {
			continue
		}
		p.rect(band, p.Min.X, a.height(p, l.at.Lower), p.Max.X, a.height(p, l.at.Upper))
		p.level(deep, 0.8, nil, a.height(p, l.at.Lower))
		p.level(deep, 0.8, nil, a.height(p, l.at.Upper))
		for _, other := range a.lines[:i] {
			low, high := max(l.at.Lower, other.at.Lower), min(l.at.Upper, other.at.Upper)
			if low < high {
				p.rect(deep, p.Min.X, a.height(p, low), p.Max.X, a.height(p, high))
			}
		}
	}
}

// height is the place of a value that may be infinite.
func (a pairs) height(p pen, v float64) vg.Length {
	switch {
	case math.IsInf(v, -1):
		return p.Min.Y
	case math.IsInf(v, 1):
		return p.Max.Y
	}
	return p.y(v)
}

// rules draws the lines, and says beside the panel what they are.
func (a pairs) rules(p pen) {
	p.level(ink, 0.6, nil, p.y(0))
	s := style(sizeSmall, mute)
	var places []vg.Length
	for _, l := range a.lines {
		dash := []vg.Length{5, 3}
		if l.short == "mean difference" {
			dash = nil
		}
		p.level(strong, 1.2, dash, p.y(l.at.Value))
		places = append(places, p.y(l.at.Value))
	}
	line := lineHeight(s)
	for i, y := range spread(places, 2.3*line, p.Min.Y+line, p.Max.Y-line) {
		p.line(edge, 0.5, nil, vg.Point{X: p.Max.X, Y: places[i]}, vg.Point{X: p.Max.X + 7, Y: y})
		p.write(style(sizeSmall, ink), vg.Point{X: p.Max.X + 9, Y: y + line/2}, a.lines[i].short)
		p.write(s, vg.Point{X: p.Max.X + 9, Y: y - line/2}, a.signed(a.lines[i].at))
	}
}

// outside reports whether a point lies past a limit.
func (a pairs) outside(point agreement.Point) bool {
	for _, l := range a.lines {
		if (l.short == "upper limit" && point.Difference > l.at.Value) || (l.short == "lower "+
			"limit" && point.Difference < l.at.Value) {
			return true
		}
	}
	return false
}

func (a pairs) marks(p pen) {
	room := crowd{bounds: p.Rectangle}
	place := func(point agreement.Point) vg.Point {
		return vg.Point{X: p.x(point.Mean), Y: p.y(point.Difference)}
	}
	for _, point := range a.points {
		m := told(a.outside(point))
		p.mark(m, place(point))
		room.add(boxAround(place(point), 3))
	}
	for _, l := range a.lines {
		room.line(vg.Point{X: p.Min.X, Y: p.y(l.at.Value)}, vg.Point{X: p.Max.X, Y: p.y(l.at.Value)})
	}
	s := style(sizeSmall, ink)
	for _, point := range a.sortedOutside() {
		words := fit(s, named(point.Athlete), 90)
		if b, ok := room.beside(place(point), 6, width(s, words), s.Font.Size); ok {
			p.write(aligned(s, draw.XLeft), vg.Point{X: b.Min.X, Y: (b.Min.Y + b.Max.Y) / 2}, words)
		}
	}
}

// sortedOutside returns the athletes outside the limits, the furthest first.
func (a pairs) sortedOutside() []agreement.Point {
	var out []agreement.Point
	for _, point := range a.points {
		if a.outside(point) {
			out = append(out, point)
		}
	}
	slices.SortStableFunc(out, func(l, m agreement.Point) int {
		return cmp.Compare(math.Abs(m.Difference-a.bias().Value), math.Abs(l.Difference-a.bias().Value))
	})
	return out
}

func (a pairs) bias() estimate.Estimate { return a.find("mean difference") }

func (a pairs) find(short string) estimate.Estimate {
	for _, l := range a.lines {
		if l.short == short {
			return l.at
		}
	}
	return estimate.Bare(math.NaN(), estimate.None)
}

func (a pairs) caption() string {
	lower, upper := a.find("lower limit").Value, a.find("upper limit").Value
	s := fmt.Sprintf("In %s of %s, %s differs from %s by %s on average", a.Label,
		number.Count(len(a.points), "athlete", "athletes"), sessions(a.Result.To), sessions(a.Result.From),
		number.WithUnit(a.signed(a.bias()), a.unit))
	if finite(lower, upper) {
		s += fmt.Sprintf(", with limits of agreement (%s of differences) from %s and %s outside them",
			percentLevel(a.Result.Coverage),
			number.WithUnit(number.SignedInterval(lower, upper, a.decimals), a.unit), counted(len(a.sortedOutside()),
				"athlete", "athletes"))
	}
	return s + "."
}

func (a pairs) alt() string {
	var names []string
	for _, point := range a.sortedOutside() {
		names = append(names, named(point.Athlete))
	}
	s := "Difference of two occasions against their mean. " + a.caption()
	if len(names) > 0 {
		s += " Outside the limits: " + listed(names, 10) + "."
	}
	switch {
	case a.Result.Slope.Excludes(0):
		s += " The difference changes with the value."
	case a.Result.Spread.Excludes(0):
		s += " The spread changes with the value."
	}
	return s
}

func (a pairs) table() Table {
	t := Table{
		Caption: fmt.Sprintf("%s: %s and %s of %s for each athlete, and the lines drawn, n = %d",
			headed(a.Label, a.AgreementInput.Name), axisTitle("mean", a.Unit), axisTitle("difference",
				a.unit), twoSessions(a.Result.From, a.Result.To), len(a.points)),
		Header:  []string{"athlete", "mean", "difference", "lower", "upper", "outside the limits"},
		Numeric: []bool{false, true, true, true, true, false},
	}
	for _, l := range a.lines {
		t.Rows = append(t.Rows, []string{"(" + l.name + ")", number.Missing, number.Signed(l.at.Value, a.decimals),
			number.Signed(l.at.Lower, a.decimals), number.Signed(l.at.Upper, a.decimals), number.Missing})
	}
	for _, point := range a.points {
		t.Rows = append(t.Rows, []string{point.Athlete, number.Plain(point.Mean, max(a.decimals, about(point.Mean))),
			number.Signed(point.Difference, a.decimals), number.Missing, number.Missing, yes(a.outside(point))})
	}
	return t
}
