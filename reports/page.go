package reports

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"io"

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
}).Parse(styleText + pageText))

// A Page is one self-contained HTML file: no network, no script, readable from
// a file, by keyboard and on paper.
type Page struct {
	Title   string
	Lede    []string // sentences above the sections, when there are several
	Version string
	Seed    uint64
	Input   Input
	Views   []View
}

type pageData struct {
	Page
	Sections []section
	Cautions []string
}

type section struct {
	ID, Title                string
	Answer, Warnings, Method []string
	Tables                   []table.View
	Figures                  []figure
}

type figure struct {
	SVG     template.HTML // made by reports/picture, which escapes every text
	Caption string
	Table   picture.Table
}

// Write renders the page.
func (p Page) Write(w io.Writer) error {
	data := pageData{Page: p, Cautions: Cautions()}
	for i, v := range p.Views {
		s, err := newSection(v, fmt.Sprintf("s%d", i+1))
		if err != nil {
			return err
		}
		data.Sections = append(data.Sections, s)
	}
	return pageTemplate.Execute(w, data)
}

func newSection(v View, id string) (section, error) {
	s := section{ID: id + "-" + v.Name(), Title: v.Title(), Answer: v.Answer(), Warnings: v.Warnings(), Method: v.Method()}
	for _, t := range v.Tables() {
		s.Tables = append(s.Tables, t.View())
	}
	pictures, err := v.Pictures()
	if err != nil {
		return section{}, fmt.Errorf("pictures of %s: %w", v.Name(), err)
	}
	for j, p := range pictures {
		var b bytes.Buffer
		if err := p.WriteSVG(&b, picture.Options{Inline: true, ID: fmt.Sprintf("%s-p%d", id, j+1)}); err != nil {
			return section{}, fmt.Errorf("picture %s: %w", p.Name, err)
		}
		s.Figures = append(s.Figures, figure{template.HTML(b.String()), p.Caption, p.Table})
	}
	return s, nil
}
