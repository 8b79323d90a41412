package reports

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"

	"noisefloor/reports/picture"
	"noisefloor/reports/table"
)

//go:embed page.tmpl.html
var pageText string

// styleText is the look that all pages share.
//
//go:embed style.tmpl.html
var styleText string

var pageTemplate = template.Must(template.New("page").Funcs(template.FuncMap{
	"numeric": func(columns []bool, i int) bool { return i < len(columns) && columns[i] },
	"wide":    func(columns int) bool { return columns > wideFrom },
	"parts":   parts,
	"labels":  labels,
}).Parse(styleText + pageText))

const (
	wideFrom  = 8 // columns beyond which a table gets smaller type, and paper on its side
	listsFrom = 4 // pictures of a section beyond which they are listed above the first
)

// A Page is the working page: everything that stands behind a sheet, as one
// self-contained HTML file: no network, no script, readable from a file, by
// keyboard and on paper.
type Page struct {
	About
	Title string
	Lede  []string // sentences above the sections, when there are several
	Views []View
	Sheet string // file name of the sheet, "" for none
	Grey  bool   // pictures without colour
}

type pageData struct {
	Page
	Sections []section
	Cautions []string
}

type section struct {
	ID, Title                string
	Answer, Warnings, Method []string
	Tables                   []pageTable
	Figures                  []figure

	Headed bool // the page's own heading says the same
	Listed bool // many pictures: a list of them stands before the first
}

type figure struct {
	ID, Title string
	SVG       template.HTML // made by reports/picture, which escapes every text
	Caption   string
	Table     picture.Table
}

// A pageTable is a table with an identifier of its own on the page.
type pageTable struct {
	table.View
	ID string
}

// Names are the heads of the columns.
func (t pageTable) Names() []string {
	out := make([]string, len(t.Heads))
	for i, h := range t.Heads {
		out[i] = h.Head
	}
	return out
}

var inCSS = strings.NewReplacer(`\`, `\\`, `"`, `\"`, "<", `\3c `, "\n", " ")

// labels are the rules by which, on a narrow screen, each cell says its column:
// once for a table, since rows are many.
func labels(id string, heads []string) template.HTML {
	var b strings.Builder
	b.WriteString("<style>@media (max-width:34rem){")
	for i, h := range heads {
		if i > 0 && h != "" {
			fmt.Fprintf(&b, `#%s td:nth-child(%d)::before{content:"%s"}`, id, i+1, inCSS.Replace(h))
		}
	}
	b.WriteString("}</style>")
	return template.HTML(b.String())
}

// parts splits a number from its interval: a narrow column may break there,
// and only there.
func parts(cell string) []string {
	all := strings.Split(cell, " (")
	for i := 1; i < len(all); i++ {
		all[i] = "(" + all[i]
	}
	return all
}

// Write renders the page.
func (p Page) Write(w io.Writer) error {
	data := pageData{Page: p, Cautions: Cautions()}
	for i, v := range p.Views {
		s, err := newSection(v, fmt.Sprintf("s%d", i+1), p.Grey)
		if err != nil {
			return err
		}
		s.Headed = len(p.Views) == 1 && s.Title == p.Title
		data.Sections = append(data.Sections, s)
	}
	return pageTemplate.Execute(w, data)
}

func newSection(v View, id string, grey bool) (section, error) {
	s := section{ID: id + "-" + v.Name(), Title: v.Title(), Answer: v.Answer(), Warnings: v.Warnings(),
		Method: v.Method()}
	for j, t := range v.Tables() {
		s.Tables = append(s.Tables, pageTable{t.View(), fmt.Sprintf("%s-t%d", id, j+1)})
	}
	pictures, err := v.Pictures()
	if err != nil {
		return section{}, fmt.Errorf("pictures of %s: %w", v.Name(), err)
	}
	for j, p := range pictures {
		var b bytes.Buffer
		if err := p.WriteSVG(&b, picture.Options{Inline: true, Grey: grey, ID: fmt.Sprintf("%s-p%d", id,
			j+1)}); err != nil {
			return section{}, fmt.Errorf("picture %s: %w", p.Name, err)
		}
		s.Figures = append(s.Figures, figure{fmt.Sprintf("%s-p%d-figure", id, j+1), p.Title,
			template.HTML(b.String()), p.Caption, p.Table})
	}
	s.Listed = len(s.Figures) > listsFrom
	return s, nil
}
