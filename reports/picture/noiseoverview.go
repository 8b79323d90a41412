package picture

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"noisefloor/analysis/estimate"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/reports/number"
)

// NoiseInput is what [NoiseOverview] draws.
type NoiseInput struct {
	Level float64 // of the intervals and of the detectable change; 0 means 0.95
	Power float64 // with which a true change is to be seen; 0 means 0.8
	Rows  []NoiseRow
}

// A NoiseRow is one measure. Every number is in percent of the mean.
type NoiseRow struct {
	Label        string
	Athletes     int
	TypicalError estimate.Estimate
	Detectable   float64 // smallest change of one athlete that is more than noise
	Seen         float64 // true change that one retest sees with the power asked for
	Worthwhile   float64 // smallest change that matters; NaN when there is none
	Ratio        float64 // seen / worthwhile; NaN when there is none
}

// NewNoiseRow takes the row of a measure out of its reliability. On the log
// scale the changes are those upwards. A mean that is not above zero gives no
// percent: the row is then NaN, and listed without a mark.
func NewNoiseRow(label string, r reliability.Result) NoiseRow {
	row := NoiseRow{Label: label, Athletes: r.Athletes, TypicalError: r.TypicalErrorPercent, Ratio: r.SeenRatio}
	switch {
	case r.Scale == score.Log:
		row.Detectable, row.Worthwhile = r.DetectableChange.PercentUp, r.Worthwhile.PercentUp
		row.Seen = estimate.Percent(r.DetectableChange.Seen.Value)
	case r.Mean > 0:
		row.Detectable, row.Worthwhile = 100*r.DetectableChange.Value/r.Mean, 100*r.Worthwhile.Value/r.Mean
		row.Seen = 100 * r.DetectableChange.Seen.Value / r.Mean
	default:
		row.TypicalError = estimate.Bare(math.NaN(), estimate.NotPositive)
		row.Detectable, row.Seen, row.Worthwhile = math.NaN(), math.NaN(), math.NaN()
	}
	return row
}

// sees reports whether the true change that one retest sees is no larger than the
// smallest that matters.
func (r NoiseRow) sees() bool { return r.Worthwhile > 0 && r.Seen <= r.Worthwhile }

// NoiseOverview draws for every measure, in percent of its mean, the typical
// error with its interval, a soft band up to the true change that one retest sees, and an
// upright line at the smallest worthwhile change. The mark is filled when
// that line lies past the band: the test can see in one athlete what matters.
// Measures come in the order of seen over worthwhile change, best first.
//
// A measure far noisier than the others runs off the axis with an arrow; its
// numbers stand beside it.
//
// It fails with [ErrNothing] when no measure has a typical error.
func NoiseOverview(in NoiseInput) (Picture, error) {
	o := overview{in: in, rows: slices.Clone(in.Rows)}
	slices.SortStableFunc(o.rows, func(a, b NoiseRow) int {
		return cmp.Or(b.rank()-a.rank(),
			compareLast(a.ratio(), b.ratio()), compareLast(a.TypicalError.Value, b.TypicalError.Value))
	})
	if !slices.ContainsFunc(o.rows, NoiseRow.drawn) {
		return Picture{}, fmt.Errorf("%w: none of %d measures has a typical error in percent", ErrNothing, len(in.Rows))
	}
	return o.picture(), nil
}

// ratio is the order of the rows: as drawn, so that the figure agrees with
// itself.
func (r NoiseRow) ratio() float64 { return r.Seen / r.Worthwhile }

// compareLast compares with NaN last.
func compareLast(a, b float64) int {
	switch {
	case math.IsNaN(a) && math.IsNaN(b):
		return 0
	case math.IsNaN(a):
		return 1
	case math.IsNaN(b):
		return -1
	}
	return cmp.Compare(a, b)
}

// rank is 1 for a row that is drawn, 0 for one that is only listed.
func (r NoiseRow) rank() int {
	if r.drawn() {
		return 1
	}
	return 0
}

func (r NoiseRow) drawn() bool { return finite(r.TypicalError.Value) && r.TypicalError.Value >= 0 }

// An overview is a [NoiseOverview] being drawn.
type overview struct {
	in   NoiseInput
	rows []NoiseRow
}

const overviewPitch = vg.Length(18)

func (o overview) picture() Picture {
	p := Picture{
		Name: "noise", Title: "How noisy is each test, and can it see a change that matters?",
		Caption: o.caption(), Alt: o.alt(), Table: o.table(),
		Plot: newPlot(), Width: labelled(o.leftRoom()), note: o.note(), head: 34,
	}
	tall := overviewPitch * vg.Length(len(o.rows))
	p.Plot.Y.Width = 0
	p.Plot.Y.Min, p.Plot.Y.Max = 0, float64(tall)
	p.left = o.leftRoom() + 8
	p.right = o.errorRoom() + o.ratioRoom() + 24
	p.xTitle("error or change (% of the mean)")
	ticks := span{low: 0, high: o.reach(), some: true}.set(&p.Plot.X, p.panelWidth(), true, number.Plain)
	p.Plot.Add(gridX(ticks), layer(o.heads), layer(o.marks))
	return p.sized(tall)
}

// reach is the right end of the axis: the largest number, but not much more
// than twice what the middle row needs.
func (o overview) reach() float64 {
	var all []float64
	for _, r := range o.rows {
		if r.drawn() {
			var s span
			s.take(0, r.TypicalError.Value, r.TypicalError.Upper, r.Seen, r.Worthwhile)
			all = append(all, s.high)
		}
	}
	slices.Sort(all)
	most := all[len(all)-1]
	if middle := all[len(all)/2]; middle > 0 && most > 2.5*middle {
		most = 2.5 * middle
	}
	return span{low: 0, high: most, some: true}.padded(0.05).high
}

func (o overview) label(r NoiseRow) string {
	return fitMiddle(style(sizeText, ink), clean(r.Label), labelRoom)
}

func (o overview) leftRoom() vg.Length {
	w := vg.Length(0)
	for _, r := range o.rows {
		w = max(w, width(style(sizeText, ink), o.label(r)))
	}
	return w
}

func (o overview) decimals(r NoiseRow) int {
	return min(2, number.Decimals(r.TypicalError.Value))
}

func (o overview) errorWords(r NoiseRow) string {
	if !r.drawn() {
		return fit(style(sizeSmall, mute), withoutError(r.TypicalError.Kind), 110)
	}
	return number.Estimate(r.TypicalError, o.decimals(r))
}

// withoutError says why a row has no typical error in percent.
func withoutError(why estimate.Kind) string {
	if why == estimate.NotPositive {
		return "mean not above zero"
	}
	return "no typical error"
}

func (o overview) ratioWords(r NoiseRow) string {
	if !finite(r.Ratio) {
		return number.Missing
	}
	return number.Plain(r.Ratio, 1)
}

func (o overview) errorHeads() [2]string {
	return [2]string{"typical error, %", "(" + percentLevel(o.in.Level) + " interval)"}
}

func (o overview) ratioHeads() [2]string { return [2]string{"seen ÷", "worthwhile"} }

func (o overview) errorRoom() vg.Length {
	w := vg.Length(0)
	for _, h := range o.errorHeads() {
		w = max(w, width(style(sizeSmall, mute), h))
	}
	for _, r := range o.rows {
		w = max(w, width(style(sizeSmall, mute), o.errorWords(r)))
	}
	return w
}

func (o overview) ratioRoom() vg.Length {
	w := vg.Length(0)
	for _, h := range o.ratioHeads() {
		w = max(w, width(style(sizeSmall, mute), h))
	}
	return w
}

// heads names the columns, and above the first row its marks.
func (o overview) heads(p pen) {
	s := style(sizeSmall, mute)
	for i, y := range []vg.Length{p.Max.Y + 21, p.Max.Y + 10} {
		p.write(s, vg.Point{X: p.Max.X + 10, Y: y}, o.errorHeads()[i])
		p.write(aligned(s, draw.XRight), vg.Point{X: p.Max.X + 24 + o.errorRoom() + o.ratioRoom(), Y: y},
			o.ratioHeads()[i])
	}
	o.nameMarks(p)
}

// nameMarks says above the first row what its three marks are, with a fine
// line from the word to the mark.
func (o overview) nameMarks(p pen) {
	r := o.rows[0]
	var words []string
	var at []vg.Length
	for _, m := range []struct {
		name string
		v    float64
	}{{"typical error", r.TypicalError.Value}, {"seen", r.Seen}, {"worthwhile", r.Worthwhile}} {
		if finite(m.v) && p.ContainsX(p.x(m.v)) {
			words, at = append(words, m.name), append(at, p.x(m.v))
		}
	}
	s := aligned(style(sizeSmall, mute), draw.XCenter)
	for i, x := range spread(at, 58, p.Min.X+20, p.Max.X-24) {
		p.line(edge, 0.5, nil, vg.Point{X: x, Y: p.Max.Y + 17}, vg.Point{X: at[i], Y: p.Max.Y + 1})
		p.write(s, vg.Point{X: x, Y: p.Max.Y + 22}, words[i])
	}
}

func (o overview) marks(p pen) {
	for i, r := range o.rows {
		o.row(p, r, p.Max.Y-(vg.Length(i)+0.5)*overviewPitch)
	}
}

func (o overview) row(p pen, r NoiseRow, y vg.Length) {
	m, s := told(r.sees()), style(sizeText, mute)
	if r.sees() {
		s = style(sizeText, ink)
	}
	p.write(s, vg.Point{X: p.Min.X - 8 - o.leftRoom(), Y: y}, o.label(r))
	s.Font.Size = sizeSmall
	p.write(s, vg.Point{X: p.Max.X + 10, Y: y}, o.errorWords(r))
	p.write(aligned(s, draw.XRight), vg.Point{X: p.Max.X + 24 + o.errorRoom() + o.ratioRoom(), Y: y}, o.ratioWords(r))
	if !r.drawn() {
		return
	}
	const half = 5.5
	if finite(r.Seen) {
		end, cut := p.place(r.Seen)
		p.rect(band, p.x(0), y-half, end, y+half)
		if cut {
			p.arrow(edge, vg.Point{X: end, Y: y}, 1)
		} else {
			p.line(edge, 0.9, nil, vg.Point{X: end, Y: y - half}, vg.Point{X: end, Y: y + half})
		}
	}
	if at, cut := p.place(r.Worthwhile); finite(r.Worthwhile) && !cut {
		p.line(ink, 1.8, nil, vg.Point{X: at, Y: y - half - 1.5}, vg.Point{X: at, Y: y + half + 1.5})
	}
	m.radius = 2.5
	p.bar(m.colour, m.line(), r.TypicalError.Lower, r.TypicalError.Upper, y)
	if at, cut := p.place(r.TypicalError.Value); !cut {
		p.mark(m, vg.Point{X: at, Y: y})
	}
}

// count returns how many rows can be judged, which of them see what matters,
// and the range of n of those drawn.
func (o overview) count() (judged int, seeing []string, least, most int) {
	for _, r := range o.rows {
		if !r.drawn() {
			continue
		}
		if finite(r.Seen, r.Worthwhile) {
			judged++
		}
		if r.sees() {
			seeing = append(seeing, clean(r.Label))
		}
		if least == 0 || r.Athletes < least {
			least = r.Athletes
		}
		most = max(most, r.Athletes)
	}
	return judged, seeing, least, most
}

func (o overview) note() string {
	_, _, least, most := o.count()
	s := fmt.Sprintf("%s. Mark and bar: typical error and its %s interval. Shaded band: true changes of one athlete "+
		"that one retest sees (%[2]s) in fewer than %s. Upright line: smallest worthwhile change. Filled mark: the line "+
		"lies past the band.", athletes(least, most), percentLevel(o.in.Level), odds(o.in.Power))
	reach := o.reach()
	if slices.ContainsFunc(o.rows, func(r NoiseRow) bool {
		return r.drawn() && max(r.Seen,
			r.Worthwhile) > reach
	}) {
		s += " Arrow: goes on beyond the axis."
	}
	return s
}

func (o overview) caption() string {
	judged, seeing, least, most := o.count()
	who := fmt.Sprintf("%d of %d tests can", len(seeing), judged)
	switch {
	case judged == 1 && len(seeing) == 0:
		who = "The one test cannot"
	case judged == 1:
		who = "The one test can"
	}
	s := fmt.Sprintf("%s tell the smallest worthwhile change of one athlete from noise in %s retests (%s, %s)", who,
		odds(o.in.Power), percentLevel(o.in.Level), athletes(least, most))
	if len(seeing) > 0 {
		s += ": " + listed(seeing, 4)
	}
	if missing := len(o.rows) - judged; missing > 0 {
		s += fmt.Sprintf("; %s no such comparison in percent", counted(missing, "test allows", "tests allow"))
	}
	return s + "."
}

func (o overview) alt() string {
	least, most := o.rows[0], o.rows[0]
	for _, r := range o.rows {
		if !r.drawn() {
			continue
		}
		if r.TypicalError.Value < least.TypicalError.Value {
			least = r
		}
		if r.TypicalError.Value > most.TypicalError.Value {
			most = r
		}
	}
	s := "Typical error of each test against its smallest worthwhile change, in percent of the mean. " + o.caption()
	if least.Label == most.Label {
		return s + fmt.Sprintf(" Typical error of %s: %s %%.", clean(least.Label), o.errorWords(least))
	}
	return s + fmt.Sprintf(" Typical errors run from %s %% (%s) to %s %% (%s).",
		o.errorWords(least), clean(least.Label), o.errorWords(most), clean(most.Label))
}

func (o overview) table() Table {
	t := Table{
		Caption: fmt.Sprintf("Typical error, detectable and worthwhile change of each test in percent of its mean, "+
			"%s level", percentLevel(o.in.Level)),
		Header: []string{"test", "athletes", "typical error", "lower", "upper", "detectable", "seen", "worthwhile",
			"seen ÷ worthwhile", "sees what matters"},
		Numeric: []bool{false, true, true, true, true, true, true, true, true, false},
	}
	for _, r := range o.rows {
		d := o.decimals(r)
		row := []string{r.Label, fmt.Sprint(r.Athletes)}
		for _, v := range []float64{r.TypicalError.Value, r.TypicalError.Lower, r.TypicalError.Upper, r.Detectable, r.Seen,
			r.Worthwhile} {
			row = append(row, number.Plain(v, d))
		}
		sees := yes(r.sees())
		if !r.drawn() || !finite(r.Seen, r.Worthwhile) {
			sees = number.Missing
		}
		t.Rows = append(t.Rows, append(row, o.ratioWords(r), sees))
	}
	return t
}
