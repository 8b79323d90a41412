package table

import (
	"fmt"
	"io"
	"strings"

	"github.com/jedib0t/go-pretty/v6/text"
)

// Wrap breaks s at blanks so that lines fit into width columns; lines after the
// first begin with indent. A word that is longer stands on a line of its own.
func Wrap(s, indent string, width int) string {
	var lines []string
	line := ""
	for _, word := range strings.Split(s, " ") {
		switch {
		case line == "":
			line = word
		case text.StringWidth(line)+1+text.StringWidth(word) <= width:
			line += " " + word
		default:
			lines, line = append(lines, line), indent+word
		}
	}
	return strings.Join(append(lines, line), "\n")
}

// gap is the space between columns.
const gap = 2

// narrowest is what a column of text is cut to before columns are left out.
const narrowest = 12

// WriteTextWithin writes the table as aligned text that fits into width columns:
// long texts are shortened first, then columns at the end are left out, and a
// note says which. 0 leaves the table as wide as it is.
func (t Table) WriteTextWithin(w io.Writer, width int) error {
	if width <= 0 {
		return t.WriteText(w)
	}
	fitted, left := t.fitted(width)
	fitted.Caption = Wrap(fitted.Caption, "", width)
	if len(left) > 0 {
		fitted.Notes = append(fitted.Notes, fmt.Sprintf("Left out for want of width: %s (--details, or --format csv).", strings.Join(left, ", ")))
	}
	for i, n := range fitted.Notes {
		fitted.Notes[i] = Wrap(n, "", width-gap)
	}
	return fitted.WriteText(w)
}

// fitted returns the table with the columns for people that fit, and the heads of
// those that do not.
func (t Table) fitted(width int) (Table, []string) {
	at := t.shown()
	widths := make([]int, len(at))
	for j, i := range at {
		widths[j] = t.widthOf(i)
	}
	limit := shorten(t, at, widths, width)
	var left []string
	total := 0
	keep := map[int]bool{}
	for j, i := range at {
		total += widths[j] + gap
		if j == 0 || total-gap <= width {
			keep[i] = true
			continue
		}
		left = append(left, t.Columns[i].Head)
	}
	return t.cut(keep, limit), left
}

// shorten cuts the widest columns of text until the table fits or none is wide;
// it returns the most letters of each column.
func shorten(t Table, at, widths []int, width int) map[int]int {
	limit := map[int]int{}
	for sum(widths)+gap*(len(widths)-1) > width {
		widest := -1
		for j, i := range at {
			if !t.Columns[i].Right && widths[j] > narrowest && (widest < 0 || widths[j] > widths[widest]) {
				widest = j
			}
		}
		if widest < 0 {
			break
		}
		widths[widest]--
		limit[at[widest]] = widths[widest]
	}
	return limit
}

func sum(x []int) (n int) {
	for _, v := range x {
		n += v
	}
	return n
}

func (t Table) widthOf(column int) int {
	w := text.StringWidth(t.Columns[column].Head)
	for _, row := range t.Rows {
		w = max(w, text.StringWidth(Clean(row[column].Text)))
	}
	return w
}

// cut keeps columns and shortens texts in the middle, where names differ least.
func (t Table) cut(keep map[int]bool, limit map[int]int) Table {
	out := Table{Name: t.Name, Caption: t.Caption, Notes: append([]string{}, t.Notes...), Detail: t.Detail}
	for i, c := range t.Columns {
		if keep[i] {
			c.Head = middle(c.Head, limit[i])
			out.Columns = append(out.Columns, c)
		}
	}
	for _, row := range t.Rows {
		var cells []Cell
		for i, c := range row {
			if keep[i] {
				c.Text = middle(c.Text, limit[i])
				cells = append(cells, c)
			}
		}
		out.Rows = append(out.Rows, cells)
	}
	return out
}

// middle shortens s to n columns; 0 leaves it.
func middle(s string, n int) string {
	r := []rune(s)
	if n == 0 || len(r) <= n {
		return s
	}
	head := (n - 1) * 2 / 3
	return string(r[:head]) + "…" + string(r[len(r)-(n-1-head):])
}
