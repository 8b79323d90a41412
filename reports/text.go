package reports

import (
	"fmt"
	"io"
	"strings"

	"noisefloor/reports/number"
	"noisefloor/reports/table"
)

// TextOptions say how much to write.
type TextOptions struct {
	Details bool // also the tables that are detail
	Quiet   bool // only the answer and the main table
	Bold    bool // the terminal shows bold type
}

// WriteText writes the view for a terminal: the answer first, then tables,
// then what to mind.
func WriteText(w io.Writer, v View, o TextOptions) error {
	var b strings.Builder
	for i, s := range v.Answer() {
		if i == 0 && o.Bold {
			s = "\x1b[1m" + table.Clean(s) + "\x1b[0m\n"
		} else {
			s = table.Clean(s) + "\n"
		}
		b.WriteString(s)
	}
	tables, held := v.Tables(), 0
	if o.Quiet {
		tables = tables[:1]
	}
	for _, t := range tables {
		if t.Detail && !o.Details {
			held++
			continue
		}
		b.WriteString("\n")
		if err := t.WriteText(&b); err != nil {
			return err
		}
	}
	if !o.Quiet {
		writeAside(&b, v, held)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func writeAside(b *strings.Builder, v View, held int) {
	if warnings := v.Warnings(); len(warnings) > 0 {
		b.WriteString("\nMind:\n")
		for _, s := range warnings {
			b.WriteString("- " + table.Clean(s) + "\n")
		}
	}
	if held > 0 {
		fmt.Fprintf(b, "\n%s: --details, or --out DIR for pages and pictures.\n", number.Count(held, "more table", "more tables"))
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
	}{{"Mind", v.Warnings()}, {"Method", v.Method()}, {"Cautions", Cautions()}} {
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
		"These numbers describe tests; they are not a diagnosis and not a prescription. A low, painful or one-sided shoulder, back or hip result goes to a licensed clinician before anyone trains on it.",
		"Supervision, consent (of minors and their guardians above all) and local rules come first. Health and performance data belong to the athlete: share coded tables only.",
		"A change past the noise is a real change of the score; why it changed is not in the table.",
	}
}
