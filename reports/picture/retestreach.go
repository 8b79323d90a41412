package picture

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"noisefloor/reports/number"
)

// ReachInput is what [RetestReach] draws.
type ReachInput struct {
	Level float64 // of the detectable change; 0 means 0.95
	Power float64 // with which a true change is to be seen; 0 means 0.8
	Rows  []ReachRow
	Tests int // of which Rows are those that come closest; 0 means all are drawn
}

// A ReachRow is one test.
type ReachRow struct {
	Label    string
	Seen     string  // the true change that is seen with that power, as people read it: "85 W"
	Matters  string  // the smallest worthwhile change: "25 W"
	Athletes int     // in the study
	Times    float64 // worthwhile ÷ change seen; NaN when not known
}

// sees reports whether one retest can see what matters.
func (r ReachRow) sees() bool { return r.Times >= 1 }

const (
	reachWidth = vg.Length(310) // points: legible on a phone, where it is drawn a tenth smaller
	reachPitch = vg.Length(20)
	reachFar   = 3.0 // times the noise: what lies further off is drawn as an arrow
)

// RetestReach draws where what matters lies, for every test, in times the true change
// that one retest of one athlete sees with the power asked for: 1 is the edge of the
// soft band, in which true changes are missed more often. The mark is filled when it
// lies at the edge or beyond. Rows come as they are given.
//
// It fails with [ErrNothing] when no test has a worthwhile change.
func RetestReach(in ReachInput) (Picture, error) {
	if !slices.ContainsFunc(in.Rows, func(r ReachRow) bool { return finite(r.Times) }) {
		return Picture{}, fmt.Errorf("%w: none of %d tests has a worthwhile change", ErrNothing, len(in.Rows))
	}
	g := reached{in}
	p := Picture{Name: "one-retest", Title: "Can one retest see what matters?", Caption: g.caption(), Table: g.table(),
		Plot: newPlot(), Width: reachWidth, note: g.note()}
	p.Alt = "Smallest worthwhile change of each test, in times the true change that one retest sees in " + g.odds() + ". " + p.Caption
	tall := reachPitch * vg.Length(len(in.Rows))
	p.Plot.Y.Width = 0
	p.Plot.Y.Min, p.Plot.Y.Max = 0, float64(tall)
	p.xTitle("what matters, in times the change seen in " + g.odds())
	ticks := span{low: 0, high: g.far(), some: true}.set(&p.Plot.X, p.panelWidth(), true, number.Plain)
	p.Plot.Add(layer(g.band), gridX(ticks), layer(g.marks))
	return p.sized(tall), nil
}

// A reached is a [RetestReach] being drawn.
type reached struct{ in ReachInput }

// far is the right end of the axis: always past the edge of the band.
func (g reached) far() float64 {
	most := 1.3
	for _, r := range g.in.Rows {
		if finite(r.Times) {
			most = max(most, 1.05*r.Times)
		}
	}
	return min(most, reachFar)
}

func (g reached) band(p pen) {
	p.rect(band, p.x(0), p.Min.Y, p.x(1), p.Max.Y)
	p.upright(edge, 0.9, nil, p.x(1))
}

func (g reached) marks(p pen) {
	for i, r := range g.in.Rows {
		y := p.Max.Y - vg.Length(i)*reachPitch
		g.words(p, r, y-6)
		if !finite(r.Times) {
			continue
		}
		at, cut := p.place(r.Times)
		if cut {
			p.arrow(ink, vg.Point{X: at, Y: y - 14}, 1)
			continue
		}
		m := told(r.sees())
		m.radius = 3
		p.mark(m, vg.Point{X: at, Y: y - 14})
	}
}

func (g reached) odds() string { return odds(g.in.Power) }

// words name the test above its mark, with what is seen at the right.
func (g reached) words(p pen, r ReachRow, y vg.Length) {
	s := style(sizeSmall, ink)
	right := "seen from " + clean(r.Seen)
	p.write(aligned(s, draw.XRight), vg.Point{X: p.Max.X - 2, Y: y}, right)
	room := p.Max.X - p.Min.X - width(s, right) - 12
	p.write(s, vg.Point{X: p.Min.X + 3, Y: y}, fitMiddle(s, clean(r.Label), room))
}

// seen counts the tests that are judged, and lists those that see what matters.
func (g reached) seen() (judged int, seeing []string) {
	for _, r := range g.in.Rows {
		if finite(r.Times) {
			judged++
		}
		if r.sees() {
			seeing = append(seeing, clean(r.Label))
		}
	}
	return judged, seeing
}

func (g reached) caption() string {
	judged, seeing := g.seen()
	words := fmt.Sprintf("In %d of %d tests one retest of one athlete can see what matters (seen in %s, "+
		"%s)", len(seeing), judged, g.odds(), percentLevel(g.in.Level))
	if len(seeing) > 0 {
		words += ": " + listed(seeing, 3)
	}
	words += "."
	if g.in.Tests > len(g.in.Rows) {
		words += fmt.Sprintf(" Drawn are the %d of %d tests that come closest; the working page has them all.",
			len(g.in.Rows), g.in.Tests)
	}
	return words
}

func (g reached) note() string {
	least, most := math.MaxInt, 0
	for _, r := range g.in.Rows {
		least, most = min(least, r.Athletes), max(most, r.Athletes)
	}
	return fmt.Sprintf("%s. Shaded: true changes that one retest sees in fewer than %s. Filled mark: one retest "+
		"can see what matters.", athletes(least, most), g.odds())
}

func (g reached) table() Table {
	t := Table{Caption: "Smallest worthwhile change of each test in times the true change that one retest sees in " + g.odds(),
		Header: []string{"test", "athletes", "seen from", "matters from",
			"times the change seen"}, Numeric: []bool{false, true, true, true, true}}
	for _, r := range g.in.Rows {
		times := number.Missing
		if finite(r.Times) {
			times = number.Plain(r.Times, 2)
		}
		t.Rows = append(t.Rows, []string{r.Label, fmt.Sprint(r.Athletes), strings.TrimSpace(r.Seen), r.Matters,
			times})
	}
	return t
}
