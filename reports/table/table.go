// Package table holds result tables: the same rows as aligned text, Markdown,
// CSV and HTML. People get rounded text, machines get every digit.
package table

import "math"

// A Table is a result table.
type Table struct {
	Name    string // file stem, such as "changes"
	Caption string // one sentence
	Columns []Column
	Rows    [][]Cell // each as long as Columns
	Notes   []string // printed below, one a line
	Detail  bool     // left out of the text output unless asked for
}

// A Column has a heading for people and a key for machines.
type Column struct {
	Head  string // "typical error (W)"
	Key   string // "typical_error"
	Right bool   // numbers are set flush right
}

// A Cell is one entry. A number keeps its full precision beside its text.
type Cell struct {
	Text   string
	Number float64 // NaN when the cell is not a number
	quiet  bool    // for machines only

	machineText *string // what machines see of a text, when people see another
}

// Text returns a cell of text.
func Text(s string) Cell { return Cell{Text: s, Number: math.NaN()} }

// Num returns a cell of a number with the text that people see.
func Num(x float64, text string) Cell {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return Cell{Text: text, Number: math.NaN(), quiet: true}
	}
	return Cell{Text: text, Number: x}
}

// isNumber reports whether machines should see the number in place of the text.
func (c Cell) isNumber() bool { return !math.IsNaN(c.Number) }

// Machine is what machines see of a text.
func (c Cell) Machine() string {
	if c.machineText != nil {
		return *c.machineText
	}
	if c.quiet {
		return ""
	}
	return c.Text
}

// L and R return a left- or right-aligned column.
func L(head, key string) Column { return Column{Head: head, Key: key} }

// R returns a column of numbers.
func R(head, key string) Column { return Column{Head: head, Key: key, Right: true} }

// Machine returns a column that only machines see (CSV): its Head is empty.
func Machine(key string) Column { return Column{Key: key, Right: true} }

// shown returns the indices of the columns that people see.
func (t Table) shown() []int {
	var at []int
	for i, c := range t.Columns {
		if c.Head != "" {
			at = append(at, i)
		}
	}
	return at
}

// A View is what people see of a table, for templates.
type View struct {
	Name, Caption string
	Heads         []Column
	Body          [][]ViewCell
	Notes         []string
	Detail        bool
}

// A ViewCell is a cell with its column's alignment.
type ViewCell struct {
	Text  string
	Right bool
}

// View returns the columns that people see.
func (t Table) View() View {
	v := View{Name: t.Name, Caption: t.Caption, Notes: t.Notes, Detail: t.Detail}
	at := t.shown()
	for _, i := range at {
		v.Heads = append(v.Heads, t.Columns[i])
	}
	for _, row := range t.Rows {
		cells := make([]ViewCell, len(at))
		for j, i := range at {
			cells[j] = ViewCell{row[i].Text, t.Columns[i].Right}
		}
		v.Body = append(v.Body, cells)
	}
	return v
}

// Say returns c with the text that people see; machines see what they saw.
func (c Cell) Say(text string) Cell {
	if c.isNumber() || c.quiet {
		c.Text = text
		return c
	}
	if text != c.Text {
		machine := c.Text
		c.machineText, c.Text = &machine, text
	}
	return c
}
