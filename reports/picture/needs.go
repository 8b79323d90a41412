package picture

import (
	"fmt"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// A NeedMark says how surely something is named.
type NeedMark int

// The marks.
const (
	NotNamed NeedMark = iota
	NamedPossible
	NamedClear
)

// A NeedsInput is who needs what: a row for each athlete of whom something is named.
type NeedsInput struct {
	Session  string
	Athletes int      // that were looked at
	Needs    []string // heads of the columns
	Rows     []NeedsRow
}

// A NeedsRow is one athlete; Marks are in the order of the needs.
type NeedsRow struct {
	Athlete, Group string
	Marks          []NeedMark
}

const (
	needsPitch = vg.Length(12)
	needsHead  = vg.Length(46)
	mostNeeds  = 24 // rows that are drawn
)

// Needs draws who needs what: filled marks are clear, half filled ones possible. Of many
// athletes the surest are drawn, and the caption says how many there are.
//
// It fails with [ErrNothing] when nothing is named of anybody.
func Needs(in NeedsInput) (Picture, error) {
	if len(in.Rows) == 0 {
		return Picture{}, fmt.Errorf("%w: nothing is named of anybody", ErrNothing)
	}
	g := needs{in, in.Rows[:min(len(in.Rows), mostNeeds)]}
	p := Picture{Name: "needs", Title: "Who needs what, session " + clean(in.Session), Plot: newPlot(), Width: reachWidth,
		Caption: g.caption(), Table: g.table(), note: "Filled: clear. Half filled: possible. Empty: not told apart from ordinary."}
	p.Alt = "A row for each athlete, a column for each need. " + p.Caption
	tall := needsHead + needsPitch*vg.Length(len(g.rows))
	p.Plot.Y.Width, p.Plot.Y.Min, p.Plot.Y.Max = 0, 0, float64(tall)
	p.Plot.X.Width, p.Plot.X.Min, p.Plot.X.Max = 0, 0, 1
	p.Plot.X.Tick.Marker = plot.ConstantTicks(nil)
	p.Plot.Add(layer(g.draw))
	return p.sized(tall), nil
}

// A needs is a [Needs] being drawn.
type needs struct {
	in   NeedsInput
	rows []NeedsRow
}

// used are the columns with a mark.
func (g needs) used() []int {
	var out []int
	for k := range g.in.Needs {
		for _, r := range g.rows {
			if r.Marks[k] != NotNamed {
				out = append(out, k)
				break
			}
		}
	}
	return out
}

const needsNames = vg.Length(72) // room for code and level

func (g needs) draw(p pen) {
	columns := g.used()
	pitch := (p.Max.X - p.Min.X - needsNames) / vg.Length(len(columns))
	s := style(sizeSmall, ink)
	for c, k := range columns {
		x := p.Min.X + needsNames + pitch*(vg.Length(c)+0.5)
		top := p.Max.Y - 6 - 20*vg.Length(c%2) // heads are wider than their columns: every other one stands lower
		for l, line := range halves(g.in.Needs[k]) {
			p.write(aligned(s, draw.XCenter), vg.Point{X: x, Y: top - 9*vg.Length(l)}, line)
		}
		p.line(grid, 0.6, nil, vg.Point{X: x, Y: top - 16}, vg.Point{X: x, Y: p.Max.Y - needsHead})
	}
	for i, r := range g.rows {
		y := p.Max.Y - needsHead - needsPitch*(vg.Length(i)+0.5)
		if i%2 == 0 {
			p.rect(band, p.Min.X, y-needsPitch/2, p.Max.X, y+needsPitch/2)
		}
		name := clean(r.Athlete)
		if r.Group != "" {
			name += ", " + clean(r.Group)
		}
		p.write(s, vg.Point{X: p.Min.X + 3, Y: y}, fit(s, name, needsNames-6))
		for c, k := range columns {
			if r.Marks[k] == NotNamed {
				continue
			}
			m := told(true)
			m.half = r.Marks[k] == NamedPossible
			p.mark(m, vg.Point{X: p.Min.X + needsNames + pitch*(vg.Length(c)+0.5), Y: y})
		}
	}
}

// halves breaks a head into two lines of about the same length.
func halves(head string) []string {
	words := strings.Fields(head)
	best, at := len(head), 0
	for k := 1; k < len(words); k++ {
		if w := max(len(strings.Join(words[:k], " ")), len(strings.Join(words[k:], " "))); w < best {
			best, at = w, k
		}
	}
	if at == 0 {
		return []string{head}
	}
	return []string{strings.Join(words[:at], " "), strings.Join(words[at:], " ")}
}

func (g needs) caption() string {
	clear := 0
	for _, r := range g.in.Rows {
		for _, m := range r.Marks {
			if m == NamedClear {
				clear++
				break
			}
		}
	}
	words := fmt.Sprintf("Something is named of %d of %d athletes, clearly of %d", len(g.in.Rows), g.in.Athletes, clear)
	if more := len(g.in.Rows) - len(g.rows); more > 0 {
		words += fmt.Sprintf("; the surest %d are drawn", len(g.rows))
	}
	return words + "."
}

func (g needs) table() Table {
	t := Table{Caption: "Who needs what", Header: []string{"athlete", "level"}, Numeric: []bool{false, false}}
	for _, n := range g.in.Needs {
		t.Header, t.Numeric = append(t.Header, n), append(t.Numeric, false)
	}
	for _, r := range g.in.Rows {
		row := []string{clean(r.Athlete), clean(r.Group)}
		for _, m := range r.Marks {
			row = append(row, [...]string{"", "possible", "clear"}[m])
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}
