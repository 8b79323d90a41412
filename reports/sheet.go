package reports

import (
	"bytes"
	_ "embed"
	"html/template"
	"io"

	"noisefloor/reports/picture"
	"noisefloor/reports/table"
)

// A Sheet is the answer on one page: at most three sentences, one picture, one
// table of at most five columns, at most five lines to watch out for. What
// stands behind it is on the working page.
type Sheet struct {
	Title  string
	Answer []string    // one to three sentences, the first answers the question
	Table  table.Table // at most five columns for people
	Watch  []string    // at most five lines
	Source string      // one line: table, sessions, noise, version

	// Draw makes the picture; nil when there is nothing to draw.
	Draw func() (*picture.Picture, error)
}

// picture is what the sheet shows, nil when there is nothing to draw.
func (s Sheet) picture() (*picture.Picture, error) {
	if s.Draw == nil {
		return nil, nil
	}
	return s.Draw()
}

//go:embed sheet.tmpl.html
var sheetText string

var sheetTemplate = template.Must(template.New("sheet").Funcs(template.FuncMap{"parts": parts}).Parse(styleText + sheetText))

type sheetData struct {
	Sheet
	Version, Working string
	Caption          string
	SVG              template.HTML // made by reports/picture, which escapes every text
	Shown            table.View
	Cautions         []string
}

// Write renders the sheet as one self-contained HTML file; working is the file
// name of the page behind it, "" for none.
func (s Sheet) Write(w io.Writer, version, working string, o picture.Options) error {
	d := sheetData{Sheet: s, Version: version, Working: working, Shown: s.Table.View(), Cautions: Cautions()}
	p, err := s.picture()
	if err != nil {
		return err
	}
	if p != nil {
		var b bytes.Buffer
		o.Inline, o.ID = true, "picture"
		if err := p.WriteSVG(&b, o); err != nil {
			return err
		}
		d.SVG, d.Caption = template.HTML(b.String()), p.Caption
	}
	return sheetTemplate.Execute(w, d)
}
