package calibration

import (
	"bytes"
	_ "embed"
	"html/template"
	"io"
	"math"
	"strconv"

	"noisefloor/reports/picture"
)

//go:embed page.tmpl.html
var pageText string

var pageTemplate = template.Must(template.New("page").Parse(pageText))

type page struct {
	Title    string
	Lede     []string
	Sections []Section
	Figures  []figureView
	Notes    []string
	Rows     [][]string
}

type figureView struct {
	SVG     template.HTML // made by reports/picture, which escapes every text
	Caption string
}

// WriteHTML writes the report as one self-contained page: pictures, summary,
// and every row.
func (t Table) WriteHTML(w io.Writer) error {
	p := page{Title: Title, Lede: t.Lede(), Sections: t.Sections(), Notes: t.Notes()}
	for _, f := range t.Figures() {
		var b bytes.Buffer
		if err := f.WriteSVG(&b, picture.Options{Inline: true}); err != nil {
			return err
		}
		p.Figures = append(p.Figures, figureView{template.HTML(b.String()), f.Caption})
	}
	for _, r := range t.Rows {
		p.Rows = append(p.Rows, r.cells())
	}
	return pageTemplate.Execute(w, p)
}

// cells are the row as the page shows it.
func (r Row) cells() []string {
	k, icc, truth := "", "", ""
	if r.K > 0 {
		k = strconv.Itoa(r.K)
	}
	if !math.IsNaN(r.ICC) {
		icc = strconv.FormatFloat(r.ICC, 'g', -1, 64)
	}
	if !math.IsNaN(r.Truth) {
		truth = strconv.FormatFloat(r.Truth, 'f', 3, 64)
	}
	within := "no"
	switch {
	case r.Promise == Contrast:
		within = "–"
	case r.Within(limit):
		within = "yes"
	}
	return []string{r.Name, r.Setting, string(r.Kind), string(r.Promise), percent(r.Nominal, 1),
		strconv.Itoa(r.N), k, icc, truth, strconv.Itoa(r.Studies), strconv.Itoa(r.Undefined),
		percent(r.Rate(), 2), percent(r.Band(), 2), within}
}
