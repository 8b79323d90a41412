package calibration

import (
	"fmt"
	"io"
	"strings"
)

// WriteMarkdown writes the summary.
func (t Table) WriteMarkdown(w io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "# %s\n\n%s\n", Title, strings.Join(t.Lede(), "\n\n"))
	for _, s := range t.Sections() {
		fmt.Fprintf(&b, "\n## %s\n\n%s\n\n", s.Title, s.Words)
		pipes(&b, s.Header)
		b.WriteString("|---|---|" + strings.Repeat("---:|", len(s.Header)-4) + "---|---|\n")
		for _, c := range s.Cells {
			pipes(&b, c)
		}
	}
	b.WriteString("\n## Notes\n\n")
	for _, n := range t.Notes() {
		fmt.Fprintf(&b, "- %s\n", n)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// pipes writes a row of a Markdown table; a bar in a name would end its cell.
func pipes(b *strings.Builder, cells []string) {
	b.WriteString("|")
	for _, c := range cells {
		b.WriteString(" " + strings.ReplaceAll(c, "|", "\\|") + " |")
	}
	b.WriteString("\n")
}
