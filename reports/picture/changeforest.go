package picture

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"noisefloor/analysis/estimate"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/reports/number"
)

// ForestInput is what [ChangeForest] draws: the changes of one measure between
// the same sessions, or those of them that an athlete has.
type ForestInput struct {
	Label    string // of the measure
	Unit     string
	Better   score.Direction
	Level    float64         // of the intervals and of the noise; 0 means 0.95
	Occasion retest.Occasion // the sessions meant; empty means the most that a change has
	Changes  []retest.Change
	// Narrow is for a sheet: the rows that lie furthest out, at most 20, without
	// the numbers at the right, which the sheet's table has, and without bars.
	Narrow bool
}

// narrowRows are as many as a printed sheet has room for beside its table.
const narrowRows = 20

// A forestRow is one athlete. Numbers are in the unit of the axis: the
// measure's, or percent when the noise is on the log scale.
type forestRow struct {
	from      retest.Change
	change    estimate.Estimate
	low, high float64 // the noise around no change
	small     span    // inside: not worthwhile; empty when there is no worthwhile change
}

// ChangeForest draws the change of every athlete with its interval, largest on
// top, on the band of noise (no change -+ the detectable change) with the
// worthwhile change as dotted lines. Marks are filled, half filled or hollow by
// the state of the change. On the log scale the changes are in percent. Athletes whose change is no finite
// number are left out and counted in the caption. Those who have only some of
// the sessions stand on the noise of what they have, and a note names them.
//
// With more than 80 athletes only those past the noise are named, as far as
// there is room.
//
// It fails with [ErrNothing] when no athlete has a change, and with [ErrMixed]
// when the changes are of different measures, follow-ups or scales.
func ChangeForest(in ForestInput) (Picture, error) {
	rows, missing, err := forestRows(in.Changes)
	if err != nil {
		return Picture{}, err
	}
	between, err := occasionOf(in.Changes, in.Occasion)
	if err != nil {
		return Picture{}, err
	}
	in.Label, in.Unit = clean(in.Label), clean(in.Unit)
	f := forest{in: in, between: between, all: rows, rows: rows, missing: missing, unit: in.Unit}
	if in.Narrow {
		f.rows = furthest(rows, narrowRows)
	}
	if rows[0].from.Percent != nil {
		f.unit = "%"
	}
	f.decimals = forestDecimals(rows)
	return f.picture(), nil
}

func forestRows(changes []retest.Change) ([]forestRow, int, error) {
	var rows []forestRow
	for _, c := range changes {
		first := changes[0]
		if c.Measure != first.Measure || (c.Percent == nil) != (first.Percent == nil) {
			return nil, 0, fmt.Errorf("%w: %s, and %s or another scale", ErrMixed, first.Measure, c.Measure)
		}
		if row := newForestRow(c); finite(row.change.Value, row.low, row.high) {
			rows = append(rows, row)
		}
	}
	if len(rows) == 0 {
		return nil, 0, fmt.Errorf("%w: none of %d changes is a number", ErrNothing, len(changes))
	}
	slices.SortStableFunc(rows, func(a, b forestRow) int {
		return cmp.Or(cmp.Compare(b.change.Value, a.change.Value), cmp.Compare(a.from.Athlete, b.from.Athlete))
	})
	return rows, len(changes) - len(rows), nil
}

// furthest keeps the most rows that lie furthest out, those that stand out before
// all others, in the order of rows.
func furthest(rows []forestRow, most int) []forestRow {
	if len(rows) <= most {
		return rows
	}
	at := make([]int, len(rows))
	for i := range at {
		at[i] = i
	}
	slices.SortStableFunc(at, func(a, b int) int {
		x, y := rows[a].from, rows[b].from
		return cmp.Or(boolRank(y.Out())-boolRank(x.Out()), boolRank(y.Past())-boolRank(x.Past()),
			cmp.Compare(math.Abs(y.Change.Value/y.Detectable), math.Abs(x.Change.Value/x.Detectable)))
	})
	at = at[:most]
	slices.Sort(at)
	out := make([]forestRow, most)
	for i, j := range at {
		out[i] = rows[j]
	}
	return out
}

func newForestRow(c retest.Change) forestRow {
	row := forestRow{from: c, change: c.Change, low: -c.Detectable, high: c.Detectable}
	worth := [2]float64{-c.Worthwhile, c.Worthwhile}
	if c.Percent != nil {
		row.change = *c.Percent
		row.low, row.high = estimate.Percent(row.low), estimate.Percent(row.high)
		worth = [2]float64{estimate.Percent(worth[0]), estimate.Percent(worth[1])}
	}
	if c.Worthwhile > 0 && finite(worth[:]...) {
		row.small.take(worth[:]...)
	}
	return row
}

// forestDecimals goes by the largest standard error, in the unit of the axis.
func forestDecimals(rows []forestRow) int {
	se := 0.0
	for _, r := range rows {
		s := r.from.SE
		if r.from.Percent != nil {
			s *= 100
		}
		if finite(s) {
			se = max(se, s)
		}
	}
	if se == 0 {
		return about(rows[0].high)
	}
	return number.Decimals(se)
}

// A forest is a [ChangeForest] being drawn.
type forest struct {
	in       ForestInput
	between  occasion
	all      []forestRow // every athlete: what caption, counts and table are of
	rows     []forestRow // those drawn
	missing  int
	unit     string
	decimals int
	tops     []vg.Length // of the rows, from the top of the panel down; one more for the end
	radius   vg.Length
	size     float64 // of the type in the rows
}

func (f forest) picture() Picture {
	f.scaleRows()
	first := f.rows[0].from
	p := Picture{
		Name:    stem("changes", first.Measure, averaged(f.between.to)),
		Title:   fmt.Sprintf("Changes in %s, %s", f.label(), f.between.words()),
		Caption: f.caption(), Alt: f.alt(), Table: f.table(),
		Plot: newPlot(), Width: pageWidth, head: 30,
		note: f.note(),
	}
	p.Plot.Y.Width = 0
	p.left, p.right = f.margins()
	if f.in.Narrow {
		p.right, p.Width = 12, sheetWidth
	}
	p.xTitle(axisTitle("change in "+f.label(), f.unit) + better(", ", f.in.Better))
	tall := f.tops[len(f.rows)]
	p.Plot.Y.Min, p.Plot.Y.Max = 0, float64(tall)
	ticks := f.span().set(&p.Plot.X, p.panelWidth(), true, number.Signed)
	p.Plot.Add(layer(f.bands), gridX(ticks), layer(f.worth), layer(f.zero), layer(f.heads), layer(f.marks))
	return p.sized(tall)
}

func (f forest) label() string {
	if f.in.Label != "" {
		return f.in.Label
	}
	return clean(f.rows[0].from.Measure)
}

// many is the number of athletes beyond which only those past the noise are
// named.
const many = 80

// scaleRows chooses how far apart the rows stand: roomy when they are few, on
// one page up to about 60. Of many, those inside the noise stand closer.
func (f *forest) scaleRows() {
	n, past := len(f.rows), f.count().past() // of more than many, all are drawn
	f.size, f.radius = sizeSmall, 3
	pitch, inner := vg.Length(10.4), vg.Length(10.4)
	switch {
	case n <= 12:
		pitch, inner, f.size, f.radius = 17, 17, sizeText, 3.4
	case f.in.Narrow:
		pitch, inner = 11, 11
	case n <= 30:
		pitch, inner = 14, 14
	case n > many:
		pitch = max(2.4, min(pitch, 700/vg.Length(max(past, 1))))
		inner = max(1, min(6, 400/vg.Length(max(n-past, 1)), pitch))
		f.radius = 2.4
	}
	f.tops = make([]vg.Length, n+1)
	for i, r := range f.rows {
		step := inner
		if r.from.Past() {
			step = pitch
		}
		f.tops[i+1] = f.tops[i] + step
	}
}

// radiusOf makes the marks of close rows small enough to be told apart.
func (f forest) radiusOf(i int) vg.Length {
	return min(f.radius, max(0.9, (f.tops[i+1]-f.tops[i])*0.5))
}

// labelled reports which rows carry their name and numbers: all up to 80, of
// more the ones past the noise that have room.
func (f forest) labelled() []bool {
	out := make([]bool, len(f.rows))
	last := vg.Length(math.Inf(-1))
	for i, r := range f.rows {
		if len(f.rows) <= many || (r.from.Past() && f.tops[i]-last >= vg.Length(f.size)*1.15) {
			out[i], last = true, f.tops[i]
		}
	}
	return out
}

func (f forest) span() span {
	var s span
	s.take(0)
	for _, r := range f.rows {
		s.take(r.change.Value, r.low, r.high, r.small.low, r.small.high)
		if !f.in.Narrow {
			s.take(r.change.Lower, r.change.Upper)
		}
	}
	return s.padded(0.03)
}

func (f forest) margins() (left, right vg.Length) {
	s := style(f.size, ink)
	left = width(s, f.nameHead())
	right = width(style(sizeSmall, mute), f.numberHead())
	for i, yes := range f.labelled() {
		if yes {
			left = max(left, width(s, f.name(i)))
			right = max(right, width(s, f.numbers(i)))
		}
	}
	return left + 8, right + 10
}

func (f forest) name(i int) string {
	return fit(style(f.size, ink), named(f.rows[i].from.Athlete), 100)
}

func (f forest) numbers(i int) string { return number.SignedEstimate(f.rows[i].change, f.decimals) }

func (f forest) nameHead() string   { return "athlete" }
func (f forest) numberHead() string { return "change (" + percentLevel(f.in.Level) + " interval)" }

// middle returns the height of row i, counted from the top.
func (f forest) middle(p pen, i int) vg.Length {
	return p.Max.Y - (f.tops[i]+f.tops[i+1])/2
}

// bands draws the noise, in one piece as long as it stays the same.
func (f forest) bands(p pen) {
	for i := 0; i < len(f.rows); {
		j := i
		for j < len(f.rows) && f.rows[j].low == f.rows[i].low && f.rows[j].high == f.rows[i].high {
			j++
		}
		top, bottom := p.Max.Y-f.tops[i], p.Max.Y-f.tops[j]
		for _, x := range []vg.Length{p.x(f.rows[i].low), p.x(f.rows[i].high)} {
			p.rect(band, p.x(0), bottom, x, top)
			p.line(edge, 0.6, nil, vg.Point{X: x, Y: bottom}, vg.Point{X: x, Y: top})
		}
		i = j
	}
}

func (f forest) worth(p pen) {
	if s, ok := f.oneSmall(); ok {
		p.upright(mute, 0.9, dotted(), p.x(s.low))
		p.upright(mute, 0.9, dotted(), p.x(s.high))
	}
}

func (f forest) zero(p pen) { p.upright(ink, 0.7, nil, p.x(0)) }

// oneSmall returns the worthwhile change if it is the same for all.
func (f forest) oneSmall() (span, bool) {
	s := f.all[0].small
	for _, r := range f.all {
		if r.small != s {
			return span{}, false
		}
	}
	return s, s.some
}

// heads names the band and the dotted lines where they begin, and the columns.
func (f forest) heads(p pen) {
	s := style(sizeSmall, mute)
	low := p.Max.Y + 8
	p.write(s, vg.Point{X: p.Min.X - 8 - f.leftRoom(), Y: low}, f.nameHead())
	if !f.in.Narrow {
		p.write(s, vg.Point{X: p.Max.X + 10, Y: low}, f.numberHead())
	}
	f.bracket(p, low+12, f.rows[0].low, f.rows[0].high, "noise "+f.noiseWords())
	if small, ok := f.oneSmall(); ok {
		f.bracket(p, low, small.low, small.high, "worthwhile beyond "+f.spanWords(small.low, small.high))
	}
}

func (f forest) leftRoom() vg.Length {
	left, _ := f.margins()
	return left - 8
}

// bracket writes words above the panel, over the middle of what they name, and
// marks its two ends.
func (f forest) bracket(p pen, y vg.Length, low, high float64, words string) {
	s := aligned(style(sizeSmall, mute), draw.XCenter)
	from, to, half := p.x(low), p.x(high), width(s, words)/2
	at := min(max((from+to)/2, p.Min.X+half), p.Max.X-half)
	p.write(s, vg.Point{X: at, Y: y}, words)
	for _, end := range []struct{ x, to vg.Length }{{from, at - half - 3}, {to, at + half + 3}} {
		if (end.x-at)*(end.to-at) > 0 && math.Abs(float64(end.x-at)) > math.Abs(float64(end.to-at)) {
			p.line(edge, 0.6, nil, vg.Point{X: end.to, Y: y}, vg.Point{X: end.x, Y: y}, vg.Point{X: end.x, Y: y - 4})
		}
	}
}

func (f forest) marks(p pen) {
	labelled, names := f.labelled(), p.Min.X-8-f.leftRoom()
	for i, r := range f.rows {
		y := f.middle(p, i)
		m, text := stateMark(r.from.State), style(f.size, mute)
		m.radius = f.radiusOf(i)
		if r.from.Past() {
			text = style(f.size, ink)
		}
		if !f.in.Narrow {
			p.bar(m.colour, min(m.line(), m.radius*0.5), r.change.Lower, r.change.Upper, y)
		}
		p.mark(m, vg.Point{X: p.x(r.change.Value), Y: y})
		if labelled[i] {
			p.write(text, vg.Point{X: names, Y: y}, f.name(i))
			if !f.in.Narrow {
				p.write(text, vg.Point{X: p.Max.X + 10, Y: y}, f.numbers(i))
			}
		}
	}
}

// noiseWords writes the noise, or its range when it differs between athletes.
func (f forest) noiseWords() string {
	least := slices.MinFunc(f.all, func(a, b forestRow) int { return cmp.Compare(a.high, b.high) })
	most := slices.MaxFunc(f.all, func(a, b forestRow) int { return cmp.Compare(a.high, b.high) })
	if least.high == most.high {
		return f.spanWords(least.low, least.high)
	}
	return f.spanWords(least.low, least.high) + " up to " + f.spanWords(most.low, most.high)
}

// spanWords writes "±78 W", or both limits where they differ: "−12 to +14 %".
func (f forest) spanWords(low, high float64) string {
	if low == -high {
		return number.WithUnit(number.PlusMinus(high, f.decimals), f.unit)
	}
	return number.WithUnit(number.SignedInterval(low, high, f.decimals), f.unit)
}

func (f forest) note() string {
	s := fmt.Sprintf("n = %d. %s", len(f.all), marksNote)
	if !f.in.Narrow {
		s += fmt.Sprintf(" Bar: %s interval of the change.", percentLevel(f.in.Level))
	}
	s += fmt.Sprintf(" Shaded band: where %s of changes lie that are noise alone.", percentLevel(f.in.Level))
	if _, ok := f.oneSmall(); ok {
		s += " Dotted lines: the smallest worthwhile change."
	}
	if f.missing > 0 {
		s += fmt.Sprintf(" Left out for want of a change: %d.", f.missing)
	}
	if more := len(f.all) - len(f.rows); more > 0 {
		s += fmt.Sprintf(" Drawn: the %d that lie furthest out; the working page draws all.", len(f.rows))
	}
	return s + f.between.shortened(f.changes(), func(c retest.Change) string { return named(c.Athlete) }, "athletes")
}

// changes are those that are drawn.
func (f forest) changes() []retest.Change {
	var out []retest.Change
	for _, r := range f.rows {
		out = append(out, r.from)
	}
	return out
}

// A forestCount counts what is drawn.
type forestCount struct {
	out, up, down, matter int // that stand out: all, rises, falls, and those that matter
	alone                 int // past the noise on their own
	names                 []string
}

func (c forestCount) past() int { return c.out + c.alone }

func (f forest) count() forestCount {
	var c forestCount
	for _, r := range f.all {
		switch {
		case r.from.State == retest.PastNoise:
			c.alone++
		case r.from.Out():
			c.take(r)
			c.names = append(c.names, fmt.Sprintf("%s (%s)", named(r.from.Athlete), number.Signed(r.change.Value,
				f.decimals)))
		}
	}
	return c
}

// take counts a change that stands out.
func (c *forestCount) take(r forestRow) {
	c.out++
	if r.change.Value > 0 {
		c.up++
	} else {
		c.down++
	}
	if r.from.Matters == retest.MattersYes {
		c.matter++
	}
}

func (f forest) caption() string {
	c, n := f.count(), len(f.all)
	s := fmt.Sprintf("In %s the changes of %d of %d athletes stand out from the noise of %s", f.label(), c.out, n,
		f.noiseWords())
	if c.out == 0 {
		s = fmt.Sprintf("In %s the change of none of %d athletes stands out from the noise of %s", f.label(), n,
			f.noiseWords())
	}
	if n == 1 {
		s = fmt.Sprintf("The change of %s in %s %s, of %s", named(f.rows[0].from.Athlete), f.label(),
			aloneWords[f.rows[0].from.State], f.noiseWords())
	}
	switch {
	case n == 1:
	case c.up > 0 && c.down > 0:
		s += fmt.Sprintf(", %d upwards and %d downwards", c.up, c.down)
	case c.up > 0:
		s += ", upwards"
	case c.down > 0:
		s += ", downwards"
	}
	if c.alone > 0 && n > 1 {
		s += fmt.Sprintf("; %d more are past it on their own (in all %d past it; with no change at all about %s "+
			"would be)", c.alone, c.alone+c.out, number.Plain(float64(n)*f.alpha(), 1))
	}
	if small, ok := f.oneSmall(); ok && c.out > 0 {
		s += fmt.Sprintf("; %s clearly large enough to matter (beyond %s)", counted(c.matter, "change is",
			"changes are"), f.spanWords(small.low, small.high))
	}
	if f.missing > 0 {
		s += fmt.Sprintf("; %s left out for want of a change", counted(f.missing, "athlete is", "athletes are"))
	}
	return s + "."
}

// aloneWords say the state of a single change.
var aloneWords = map[retest.State]string{
	retest.StandsOut: "stands out from the noise", retest.PastNoise: "is past the noise on its " +
		"own", retest.InsideNoise: "lies inside the noise",
}

func (f forest) alpha() float64 {
	if f.in.Level == 0 {
		return 0.05
	}
	return 1 - f.in.Level
}

func (f forest) alt() string {
	c, n := f.count(), len(f.all)
	s := fmt.Sprintf("Changes of %s in %s with %s intervals, sorted, on a noise band of %s.",
		number.Count(n, "athlete", "athletes"), f.label(), percentLevel(f.in.Level), f.noiseWords())
	if c.out == 0 {
		s += " No change stands out."
	} else {
		s += fmt.Sprintf(" Standing out (%d): %s.", c.out, listed(c.names, 12))
	}
	if c.alone > 0 {
		s += fmt.Sprintf(" Past the noise on their own: %d.", c.alone)
	}
	if inside := n - c.past(); inside > 0 {
		s += fmt.Sprintf(" Inside it: %d.", inside)
	}
	return s
}

// stateWords say a state in a table.
func stateWords(s retest.State) string {
	switch s {
	case retest.StandsOut:
		return "stands out"
	case retest.PastNoise:
		return "past on its own"
	case retest.InsideNoise:
		return "inside"
	}
	return number.Missing
}

func (f forest) table() Table {
	t := Table{
		Caption: fmt.Sprintf("Change in %s of each athlete with its %s interval, n = %d", axisTitle(f.label(),
			f.unit), percentLevel(f.in.Level), len(f.all)),
		Header: []string{"athlete", "baseline", "follow-up", "change", "lower", "upper", "noise from", "noise to",
			"worthwhile from", "worthwhile to", "state", "verdict"},
		Numeric: []bool{false, true, true, true, true, true, true, true, true, true, false, false},
	}
	for _, r := range f.all {
		raw := f.decimals
		if r.from.Percent != nil {
			raw = about(r.from.Baseline)
		}
		worth := [2]string{number.Missing, number.Missing}
		if r.small.some {
			worth = [2]string{number.Signed(r.small.low, f.decimals), number.Signed(r.small.high, f.decimals)}
		}
		t.Rows = append(t.Rows, []string{
			r.from.Athlete, number.Plain(r.from.Baseline, raw), number.Plain(r.from.FollowUp, raw),
			number.Signed(r.change.Value, f.decimals), number.Signed(r.change.Lower,
				f.decimals), number.Signed(r.change.Upper, f.decimals),
			number.Signed(r.low, f.decimals), number.Signed(r.high, f.decimals), worth[0], worth[1],
			stateWords(r.from.State), string(r.from.Verdict),
		})
	}
	return t
}
