package picture

import (
	"fmt"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"

	"noisefloor/reports/number"
)

// A StandingsInput is all tests of one athlete, each in one or more groups.
type StandingsInput struct {
	Athlete, Session string
	Level            float64
	Tests            []StandingsTest
}

// A StandingsTest is the athlete's places in one test, own group first.
type StandingsTest struct {
	Label  string
	Places []StandingsPlace
}

// A StandingsPlace is a band of percentile ranks, 0 to 1. Rank is NaN where a norms file
// tells only beyond which quantile the score lies.
type StandingsPlace struct {
	Group              string
	Others             int
	Rank, Lower, Upper float64
	Beyond             string // "above the 90th"; "" when the rank is known
}

// told reports whether the band lies on one side of the middle.
func (s StandingsPlace) told() bool { return s.Lower > 0.5 || s.Upper < 0.5 }

// placeShapes tell groups apart: own, whole.
var placeShapes = []shape{circle, square, triangle}

const (
	standingRoom = vg.Length(112) // for the name of a test, left of its bands
	standingGap  = vg.Length(3.4)
	standingLine = vg.Length(6.1)
)

// Standings draws where one athlete stands in every test, on one axis of percentiles: the
// band with noise and sampling of the own group, and under it that of the whole cohort.
// The mark is filled when the band lies on one side of the group's middle.
//
// It fails with [ErrNothing] when the athlete stands nowhere.
func Standings(in StandingsInput) (Picture, error) {
	g := standings{in}
	tall := vg.Length(0)
	for _, t := range in.Tests {
		tall += standingGap + standingLine*vg.Length(len(t.Places))
	}
	if tall == 0 {
		return Picture{}, fmt.Errorf("%w: %s stands in no group", ErrNothing, in.Athlete)
	}
	p := Picture{Name: stem("standings", in.Athlete), Title: clean(in.Athlete) + ", session " + clean(in.Session),
		Plot: newPlot(), Width: reachWidth, Caption: g.caption(), Table: g.table(), note: g.note(), left: standingRoom}
	p.Alt = "Bands of percentile ranks, a row for each test and group. " + p.Caption
	p.Plot.Y.Width, p.Plot.Y.Min, p.Plot.Y.Max = 0, 0, float64(tall)
	p.xTitle("percentile of the group; better to the right")
	p.Plot.X.Min, p.Plot.X.Max = 0, 100
	var ticks []plot.Tick
	for x := 0.0; x <= 100; x += 25 {
		ticks = append(ticks, plot.Tick{Value: x, Label: number.Plain(x, 0)})
	}
	p.Plot.X.Tick.Marker = plot.ConstantTicks(ticks)
	p.Plot.Add(gridX(ticks), layer(g.rows))
	return p.sized(tall), nil
}

// A standings is a [Standings] being drawn.
type standings struct{ in StandingsInput }

func (g standings) rows(p pen) {
	p.upright(edge, 0.9, nil, p.x(50))
	y := p.Max.Y
	for i, t := range g.in.Tests {
		tall := standingGap + standingLine*vg.Length(len(t.Places))
		if i > 0 {
			p.line(grid, 1, nil, vg.Point{X: p.Min.X - standingRoom, Y: y}, vg.Point{X: p.Max.X, Y: y})
		}
		s := style(sizeSmall, ink)
		p.write(s, vg.Point{X: p.Min.X - standingRoom, Y: y - tall/2}, fitMiddle(s, clean(t.Label), standingRoom-6))
		for j, place := range t.Places {
			g.place(p, place, placeShapes[min(j, len(placeShapes)-1)],
				y-standingGap/2-standingLine*(vg.Length(j)+0.5))
		}
		y -= tall
	}
}

// place draws a band; where a norms file tells only beyond which quantile the score lies,
// an open band without a mark.
func (g standings) place(p pen, s StandingsPlace, form shape, y vg.Length) {
	m := told(s.told())
	m.shape, m.radius = form, 2.6
	p.bar(m.colour, m.line(), 100*s.Lower, 100*s.Upper, y)
	switch {
	case finite(s.Rank):
		p.mark(m, vg.Point{X: p.x(100 * s.Rank), Y: y})
	case s.Upper == 1:
		p.arrow(m.colour, vg.Point{X: p.x(100), Y: y}, 1)
	case s.Lower == 0:
		p.arrow(m.colour, vg.Point{X: p.x(0), Y: y}, -1)
	}
}

func (g standings) words(s StandingsPlace) string {
	return fmt.Sprintf("%s to %s", ordinal(100*s.Lower), ordinal(100*s.Upper))
}

// groups are those stood in, in order, with the numbers of others.
func (g standings) groups() (names []string, least, most map[string]int) {
	least, most = map[string]int{}, map[string]int{}
	for _, t := range g.in.Tests {
		for _, s := range t.Places {
			if !slices.Contains(names, s.Group) {
				names = append(names, s.Group)
				least[s.Group] = s.Others
			}
			least[s.Group], most[s.Group] = min(least[s.Group], s.Others), max(most[s.Group], s.Others)
		}
	}
	return names, least, most
}

func (g standings) caption() string {
	first := g.in.Tests[0]
	words := fmt.Sprintf("Where %s stands in %s", clean(g.in.Athlete), number.Count(len(g.in.Tests), "test", "tests"))
	names, _, _ := g.groups()
	for i, name := range names {
		above, below := 0, 0
		for _, t := range g.in.Tests {
			for _, s := range t.Places {
				if s.Group == name && s.told() {
					above += tick(s.Lower > 0.5)
					below += tick(s.Upper < 0.5)
				}
			}
		}
		words += map[bool]string{true: ": ", false: "; "}[i == 0] + fmt.Sprintf("in %s the whole band lies above the "+
			"middle in %d "+
			"and under it in %d", clean(name), above, below)
	}
	if len(g.in.Tests) == 1 && len(first.Places) > 0 {
		words += "; " + g.words(first.Places[0])
	}
	return words + "."
}

func (g standings) note() string {
	names, least, most := g.groups()
	words := ""
	for i, name := range names {
		form := []string{"Circle", "Square", "Triangle"}[min(i, 2)]
		n := fmt.Sprint(most[name])
		if least[name] < most[name] {
			n = fmt.Sprintf("%d to %d", least[name], most[name])
		}
		words += fmt.Sprintf("%s: among %s others in %s. ", form, n, clean(name))
	}
	if slices.ContainsFunc(g.in.Tests, func(t StandingsTest) bool {
		return slices.ContainsFunc(t.Places, func(s StandingsPlace) bool { return s.Beyond != "" })
	}) {
		words += "Arrow: beyond the file's last percentile. "
	}
	return words + "Bar: " + percentLevel(g.in.Level) + " band. Filled: all of it lies on one side of the middle."
}

func (g standings) table() Table {
	t := Table{Caption: "Percentile ranks of " + clean(g.in.Athlete), Header: []string{"test", "group", "others",
		"rank", "from",
		"to"}, Numeric: []bool{false, false, true, false, true, true}}
	for _, test := range g.in.Tests {
		for _, s := range test.Places {
			rank := clean(s.Beyond)
			if finite(s.Rank) {
				rank = number.Plain(100*s.Rank, 0)
			}
			t.Rows = append(t.Rows, []string{clean(test.Label), clean(s.Group), fmt.Sprint(s.Others), rank,
				number.Plain(100*s.Lower, 0), number.Plain(100*s.Upper, 0)})
		}
	}
	return t
}

func tick(yes bool) int {
	if yes {
		return 1
	}
	return 0
}
