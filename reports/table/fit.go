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

// WriteTextWithin writes the table as aligned text that fits into width columns:
// long texts are wrapped first, then columns at the end are left out, and a note
// says which. 0 leaves the table as wide as it is.
func (t Table) WriteTextWithin(w io.Writer, width int) error {
	if width <= 0 {
		return t.WriteText(w)
	}
	at := t.shown()
	widths := make([]int, len(at))
	for j, i := range at {
		widths[j] = t.widthOf(i)
	}
	limit := wrapped(t, at, widths, width)
	keep, left := map[int]bool{}, []string{}
	total := 0
	for j, i := range at {
		if total += widths[j] + gap; j == 0 || total <= width {
			keep[i] = true
			continue
		}
		left = append(left, t.Columns[i].Head)
	}
	out := t.only(keep)
	if len(left) > 0 {
		out.Notes = append(out.Notes, fmt.Sprintf("Left out for want of width: %s (--details, or --format csv).",
			strings.Join(left, ", ")))
	}
	return out.writeText(w, limit, width)
}

// leastName is the width that the first column keeps, if it needs it.
const leastName = 16

// wrapped makes the widest columns narrower until the table fits or none is wide:
// columns of text, and the heads of numbers. It returns the new widths by place.
func wrapped(t Table, at, widths []int, width int) map[int]int {
	limit, least := map[int]int{}, make([]int, len(at))
	for j, i := range at {
		least[j] = t.leastOf(i)
	}
	// The first column says what a row is about: it is not squeezed for the others.
	least[0] = max(least[0], min(widths[0], leastName))
	for sum(widths)+gap*len(widths) > width {
		widest := -1
		for j := range at {
			if widths[j] > least[j] && (widest < 0 || widths[j] > widths[widest]) {
				widest = j
			}
		}
		if widest < 0 {
			break
		}
		widths[widest]--
		limit[widest] = widths[widest]
	}
	return limit
}

// leastOf is the width below which a column must not go: its longest word, and
// for numbers their longest text.
func (t Table) leastOf(column int) int {
	least := longestWord(t.Columns[column].Head)
	for _, row := range t.Rows {
		cell := Clean(row[column].Text)
		if t.Columns[column].Right {
			least = max(least, text.StringWidth(cell))
		} else {
			least = max(least, longestWord(cell))
		}
	}
	return least
}

func longestWord(s string) int {
	n := 0
	for _, w := range strings.Fields(s) {
		n = max(n, text.StringWidth(w))
	}
	return n
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

// only keeps columns.
func (t Table) only(keep map[int]bool) Table {
	out := Table{Name: t.Name, Caption: t.Caption, Notes: append([]string{}, t.Notes...), Detail: t.Detail}
	for i, c := range t.Columns {
		if keep[i] {
			out.Columns = append(out.Columns, c)
		}
	}
	for _, row := range t.Rows {
		var cells []Cell
		for i, c := range row {
			if keep[i] {
				cells = append(cells, c)
			}
		}
		out.Rows = append(out.Rows, cells)
	}
	return out
}
