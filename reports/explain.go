package reports

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"html/template"
	"io"
	"strings"
	"unicode/utf8"

	"noisefloor/reports/glossary"
	"noisefloor/reports/table"
)

// An Explanation shows terms of the glossary: those asked for, or all.
type Explanation struct {
	Version string
	Terms   []glossary.Term // nil means all
}

// asked returns the terms to show and how they are grouped.
func (e Explanation) asked() []glossary.Group {
	if e.Terms == nil {
		return glossary.Groups()
	}
	return []glossary.Group{{Terms: e.Terms}}
}

// WriteText writes what the terms mean, or, when none was asked for, the list
// of all by group. Quiet leaves what a term means in plain words, or the names.
func (e Explanation) WriteText(w io.Writer, quiet bool) error {
	var b strings.Builder
	if e.Terms == nil {
		listTerms(&b, quiet)
	}
	for i, t := range e.Terms {
		if i > 0 && !quiet {
			b.WriteString("\n")
		}
		b.WriteString(wrapped(t.Name+": "+t.Plain, "", ""))
		if !quiet {
			writeTerm(&b, t)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func listTerms(b *strings.Builder, quiet bool) {
	all := glossary.All()
	if quiet {
		for _, t := range all {
			b.WriteString(t.Name + "\n")
		}
		return
	}
	b.WriteString(wrapped(fmt.Sprintf("%d terms: 'noisefloor explain TERM' says what one means, its formula, its "+
		"source, and when it misleads; --out DIR makes a page of all.", len(all)), "", ""))
	for _, g := range glossary.Groups() {
		var names []string
		for _, t := range g.Terms {
			names = append(names, t.Name)
		}
		b.WriteString("\n" + g.Title + "\n" + wrapped(strings.Join(names, "; "), "  ", "  "))
	}
}

// A termLine is one line of an explanation.
type termLine struct{ Head, Text string }

// linesOf returns what is said of a term beside its plain words and what to see.
func linesOf(t glossary.Term) []termLine {
	var out []termLine
	for _, p := range []termLine{
		{"formula", t.Formula}, {"misleads", t.Misleads}, {"where", t.Where}, {"source", t.Source},
		{"also", strings.Join(t.Aliases, "; ")}, {"JSON, CSV", strings.Join(t.Keys, ", ")},
	} {
		if p.Text != "" {
			out = append(out, p)
		}
	}
	return out
}

func writeTerm(b *strings.Builder, t glossary.Term) {
	b.WriteString("\n")
	for _, p := range append(linesOf(t), termLine{"see", strings.Join(t.See, "; ")}) {
		b.WriteString(wrapped(p.Text, fmt.Sprintf("  %-9s  ", p.Head), strings.Repeat(" ", 13)))
	}
}

const textWidth = 88 // of sentences that are broken into lines

// wrapped breaks s into lines behind first and, from the second on, rest.
func wrapped(s, first, rest string) string {
	var b strings.Builder
	b.WriteString(first)
	at := utf8.RuneCountInString(first)
	for i, word := range strings.Fields(s) {
		n := utf8.RuneCountInString(word)
		switch {
		case i == 0:
		case at+1+n > textWidth:
			b.WriteString("\n" + rest)
			at = utf8.RuneCountInString(rest)
		default:
			b.WriteString(" ")
			at++
		}
		b.WriteString(word)
		at += n
	}
	return b.String() + "\n"
}

// WriteMarkdown writes the terms in full.
func (e Explanation) WriteMarkdown(w io.Writer) error {
	var b strings.Builder
	if e.Terms == nil {
		fmt.Fprintf(&b, "# %s\n\n%s\n\n", pageOfTerms, ledeOfTerms())
	}
	for _, g := range e.asked() {
		if g.Title != "" {
			fmt.Fprintf(&b, "## %s\n\n", g.Title)
		}
		for _, t := range g.Terms {
			fmt.Fprintf(&b, "### %s\n\n%s\n\n", escaped(t.Name), escaped(t.Plain))
			for _, p := range append(linesOf(t), termLine{"see", strings.Join(t.See, "; ")}) {
				fmt.Fprintf(&b, "- *%s:* %s\n", p.Head, escaped(p.Text))
			}
			b.WriteString("\n")
		}
	}
	b.WriteString("## Cautions\n\n")
	for _, s := range Cautions() {
		b.WriteString("- " + escaped(s) + "\n")
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// escaped keeps Markdown from reading signs of a formula as its own.
func escaped(s string) string {
	return strings.NewReplacer(`\`, `\\`, "|", `\|`, "*", `\*`, "_", `\_`, "<", `\<`, "[", `\[`).Replace(s)
}

type explainDocument struct {
	Schema  string        `json:"schema"`
	Version string        `json:"version"`
	Terms   []explainTerm `json:"terms"`
}

type explainTerm struct {
	Name     string   `json:"name"`
	Group    string   `json:"group"`
	Aliases  []string `json:"aliases"`
	Keys     []string `json:"keys"`
	Plain    string   `json:"plain"`
	Formula  string   `json:"formula"`
	Where    string   `json:"where"`
	Source   string   `json:"source"`
	Misleads string   `json:"misleads"`
	See      []string `json:"see"`
}

// WriteJSON writes the terms as one document, noisefloor/explain/1.
func (e Explanation) WriteJSON(w io.Writer) error {
	d := explainDocument{Schema: "noisefloor/explain/1", Version: e.Version, Terms: []explainTerm{}}
	titles := groupTitles()
	for _, g := range e.asked() {
		for _, t := range g.Terms {
			d.Terms = append(d.Terms, explainTerm{t.Name, titles[t.Name], list(t.Aliases), list(t.Keys), t.Plain,
				t.Formula, t.Where, t.Source, t.Misleads, list(t.See)})
		}
	}
	out := json.NewEncoder(w)
	out.SetEscapeHTML(false)
	out.SetIndent("", "  ")
	return out.Encode(d)
}

// groupTitles returns the group of each term, by name.
func groupTitles() map[string]string {
	titles := map[string]string{}
	for _, g := range glossary.Groups() {
		for _, t := range g.Terms {
			titles[t.Name] = g.Title
		}
	}
	return titles
}

// WriteCSV writes a row for each term.
func (e Explanation) WriteCSV(w io.Writer) error {
	t := table.Table{Name: "explain"}
	for _, key := range []string{"name", "group", "aliases", "keys", "plain", "formula", "where", "source",
		"misleads", "see"} {
		t.Columns = append(t.Columns, table.L(key, key))
	}
	titles := groupTitles()
	for _, g := range e.asked() {
		for _, x := range g.Terms {
			var row []table.Cell
			for _, s := range []string{x.Name, titles[x.Name], strings.Join(x.Aliases, "; "), strings.Join(x.Keys,
				", "), x.Plain, x.Formula, x.Where, x.Source, x.Misleads, strings.Join(x.See, "; ")} {
				row = append(row, table.Text(s))
			}
			t.Rows = append(t.Rows, row)
		}
	}
	return t.WriteCSV(w)
}

//go:embed explain.tmpl.html
var explainText string

var explainTemplate = template.Must(template.New("explain").Funcs(template.FuncMap{"lines": linesOf,
	"anchor": anchor}).Parse(styleText + explainText))

const pageOfTerms = "What the words mean"

func ledeOfTerms() string {
	return fmt.Sprintf("%d terms: what each means in plain words, its formula, when it misleads, where it stands, "+
		"and its source.", len(glossary.All()))
}

// WritePage writes one self-contained HTML page of every term from A to Z.
func (e Explanation) WritePage(w io.Writer) error {
	return explainTemplate.Execute(w, struct {
		Title, Lede, Version string
		Groups               []glossary.Group
		Terms                []glossary.Term
		Cautions             []string
	}{pageOfTerms, ledeOfTerms(), e.Version, glossary.Groups(), glossary.All(), Cautions()})
}

// anchor is the place of a term, given by its name, in the page.
func anchor(name string) string { return glossary.Term{Name: name}.Anchor() }
