package reports

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"noisefloor/reports/number"
	"noisefloor/reports/table"
)

// TextOptions say how much to write.
type TextOptions struct {
	Details bool // also the tables that are detail
	Quiet   bool // only the answer and the main table
	Bold    bool // the terminal shows bold type
	Width   int  // columns that lines fit into; 0 means 80
}

// WriteText writes the view for a terminal: the answer first, then tables,
// then what to mind.
func WriteText(w io.Writer, v View, o TextOptions) error {
	if o.Width == 0 {
		o.Width = 80
	}
	var b strings.Builder
	for i, s := range v.Answer() {
		s = table.Wrap(table.Clean(s), "", o.Width)
		if i == 0 && o.Bold {
			s = "\x1b[1m" + s + "\x1b[0m"
		}
		b.WriteString(s + "\n")
	}
	sheet, err := v.Sheet()
	if err != nil {
		return err
	}
	tables, held := textTables(v, sheet, o)
	for _, t := range tables {
		b.WriteString("\n")
		width := o.Width
		if o.Details {
			width = 0 // every column, however wide
		}
		if err := t.WriteTextWithin(&b, width); err != nil {
			return err
		}
	}
	if !o.Quiet {
		writeAside(&b, v, sheet, held, o)
	}
	_, err = io.WriteString(w, b.String())
	return err
}

// textTables are the sheet's table, or all with Details; held counts the others.
func textTables(v View, s Sheet, o TextOptions) (shown []table.Table, held int) {
	if o.Details {
		return v.Tables(), 0
	}
	if len(s.Table.Rows) > 0 {
		shown = append(shown, s.Table)
	}
	return shown, len(v.Tables())
}

func writeAside(b *strings.Builder, v View, s Sheet, held int, o TextOptions) {
	warnings := s.Watch
	if o.Details {
		warnings = v.Warnings()
	} else if s.More > 0 {
		warnings = append(slices.Clone(warnings), fmt.Sprintf("%d more: --details, or the working page of --out DIR",
			s.More))
	}
	if len(warnings) > 0 {
		b.WriteString("\nWatch out for:\n")
		for _, s := range warnings {
			b.WriteString(table.Wrap("- "+table.Clean(s), "  ", o.Width) + "\n")
		}
	}
	if held > 0 {
		fmt.Fprintf(b, "\n%s: --details, or --out DIR for a sheet and pages.\n", number.Count(held, "more table",
			"more tables"))
	}
}

// WriteMarkdown writes the view for a document: answer, all tables, method.
func WriteMarkdown(w io.Writer, v View) error {
	var b strings.Builder
	fmt.Fprintf(&b, "# %s\n\n%s\n", table.Clean(v.Title()), table.Clean(strings.Join(v.Answer(), " ")))
	for _, t := range v.Tables() {
		b.WriteString("\n")
		if err := t.WriteMarkdown(&b); err != nil {
			return err
		}
	}
	for _, part := range []struct {
		head string
		list []string
	}{{"What to watch out for", v.Warnings()}, {"Method", v.Method()}, {"Cautions", Cautions()}} {
		if len(part.list) > 0 {
			fmt.Fprintf(&b, "\n## %s\n\n", part.head)
			for _, s := range part.list {
				b.WriteString("- " + table.Clean(s) + "\n")
			}
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// Cautions stand on every page.
func Cautions() []string {
	return []string{
		"These numbers describe tests; they are not a diagnosis and not a prescription. A low, painful or " +
			"one-sided shoulder, back or hip result goes to a licensed clinician before anyone trains on it.",
		"Supervision, consent (of minors and their guardians above all) and local rules come first. Health and " +
			"performance data belong to the athlete: share coded tables only.",
		"A change that stands out is a change of the score; why it changed is not in the table.",
	}
}
