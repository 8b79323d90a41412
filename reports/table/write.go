package table

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"

	pretty "github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"
)

// WriteText writes the table as aligned text below its caption.
func (t Table) WriteText(w io.Writer) error { return t.writeText(w, nil, 0) }

// writeText wraps the columns of limit, by their place among those that people
// see, and the caption and notes at width; 0 wraps nothing.
func (t Table) writeText(w io.Writer, limit map[int]int, width int) error {
	p := t.pretty(Clean, limit)
	style := pretty.StyleLight
	style.Options = pretty.Options{SeparateHeader: true}
	style.Box.PaddingLeft, style.Box.PaddingRight = "", "  "
	style.Format = pretty.FormatOptions{Header: text.FormatDefault, Row: text.FormatDefault}
	p.SetStyle(style)
	notes := t.Notes
	caption := Clean(t.Caption)
	if width > 0 {
		caption, notes = Wrap(caption, "", width), nil
		for _, n := range t.Notes {
			notes = append(notes, strings.Split(Wrap(n, "", width-gap), "\n")...)
		}
	}
	_, err := fmt.Fprintf(w, "%s\n%s\n%s", caption, trimLines(p.Render()), lines(notes, "  "))
	return err
}

// WriteMarkdown writes the table as a Markdown pipe table below its caption.
func (t Table) WriteMarkdown(w io.Writer) error {
	_, err := fmt.Fprintf(w, "**%s**\n\n%s\n%s", Clean(t.Caption), t.pretty(markdown, nil).RenderMarkdown(),
		lines(t.Notes, "\n"))
	return err
}

// WriteCSV writes every column under its key, numbers with full precision. A
// text that a spreadsheet would run as a formula gets a leading apostrophe, see
// [Safe].
func (t Table) WriteCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	record := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		record[i] = c.Key
	}
	if err := out.Write(record); err != nil {
		return err
	}
	for _, row := range t.Rows {
		for i, c := range row {
			record[i] = c.machine()
		}
		if err := out.Write(record); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func (c Cell) machine() string {
	if c.isNumber() {
		return strconv.FormatFloat(c.Number, 'g', -1, 64)
	}
	if c.quiet {
		return ""
	}
	if c.machineText != nil {
		return Safe(*c.machineText)
	}
	return Safe(c.Text)
}

// Safe returns s, with an apostrophe in front when a spreadsheet would take it
// for a formula: when its first character, blanks aside, is one of = + - @,
// a tab, a carriage return or their full-width forms. Text that is a plain
// number is left alone.
func Safe(s string) string {
	trimmed := strings.TrimLeft(s, " \u00a0\ufeff\x00")
	if trimmed == "" || !strings.ContainsRune("=+-@\t\r\n\uff1d\uff0b\uff0d\uff20", []rune(trimmed)[0]) {
		return s
	}
	if _, err := strconv.ParseFloat(s, 64); err == nil && !strings.ContainsAny(s, "_xXpPiInN") {
		return s
	}
	return "'" + s
}

// pretty builds the writer of the columns that people see.
func (t Table) pretty(escape func(string) string, limit map[int]int) pretty.Writer {
	p := pretty.NewWriter()
	at := t.shown()
	head, configs := make(pretty.Row, len(at)), make([]pretty.ColumnConfig, len(at))
	for j, i := range at {
		head[j] = escape(t.Columns[i].Head)
		align := text.AlignLeft
		if t.Columns[i].Right {
			align = text.AlignRight
		}
		configs[j] = pretty.ColumnConfig{Number: j + 1, Align: align, AlignHeader: align,
			WidthMax: limit[j], WidthMaxEnforcer: text.WrapSoft}
	}
	p.AppendHeader(head)
	p.SetColumnConfigs(configs)
	for _, cells := range t.Rows {
		row := make(pretty.Row, len(at))
		for j, i := range at {
			row[j] = escape(cells[i].Text)
		}
		p.AppendRow(row)
	}
	return p
}

// Clean takes control characters out of text that goes to a terminal: codes
// in a table must not be able to drive it.
func Clean(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || (r >= 0x80 && r < 0xa0) || (r >= 0x202a && r <= 0x202e) || (r >= 0x2066 &&
			r <= 0x2069) {
			return '\ufffd'
		}
		return r
	}, s)
}

// markdown also keeps angle brackets from becoming markup; go-pretty escapes
// the pipes.
func markdown(s string) string {
	return strings.NewReplacer("<", "&lt;", ">", "&gt;", "`", "\\`", "*", "\\*", "_", "\\_").Replace(Clean(s))
}

func trimLines(s string) string {
	rows := strings.Split(s, "\n")
	for i, r := range rows {
		rows[i] = strings.TrimRight(r, " ")
	}
	return strings.Join(rows, "\n")
}

func lines(notes []string, indent string) string {
	var b strings.Builder
	for _, n := range notes {
		b.WriteString(indent + Clean(n) + "\n")
	}
	return b.String()
}
