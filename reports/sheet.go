package reports

import (
	"bytes"
	_ "embed"
	"html/template"
	"io"
	"math"

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
	Watch  []string    // at most five lines, with that of More
	More   int         // doubts beyond those, which the working page has
	Source string      // one line: table, sessions, noise, version
	Links  []Link      // to sheets beside it

	// Draw makes the picture; nil when there is nothing to draw.
	Draw func() (*picture.Picture, error)
}

// A Link leads to another page.
type Link struct{ Text, To string }

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
	Tall             int           // mm that a printed page of A4 leaves for the picture
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
		d.fit(*p)
		d.Tall = d.tall(*p)
	}
	return sheetTemplate.Execute(w, d)
}

// Sizes of a picture on a printed sheet. The width is that of the style sheet,
// 30 rem of 12 pt.
const (
	printedWidth = 360.0 // points
	printedLeast = 6.0   // points, of the smallest type
	pointsPerMM  = 72 / 25.4
)

// PrintedType returns the size in points of the smallest type of a picture on a
// printed sheet that leaves tall mm for it.
func PrintedType(p picture.Picture, tall int) float64 {
	return picture.SmallestType * min(printedWidth/p.Width.Points(), float64(tall)*pointsPerMM/p.Height.Points())
}

// tall is what a printed page has left for the picture beside everything else,
// at the sizes of the template: lines of text hold some 110 characters, rows of
// the table one line. It is never less than keeps the picture's type legible; a
// sheet that needs more goes to a second page.
func (d sheetData) tall(p picture.Picture) int {
	return int(max(min(d.left(), 130), legible(p)))
}

// legible is the height that a picture needs for its type, in mm.
func legible(p picture.Picture) float64 {
	return math.Ceil(printedLeast / picture.SmallestType * p.Height.Points() / pointsPerMM)
}

// fewestWatch are the things to watch out for that a sheet always has.
const fewestWatch = 2

// fit leaves the lightest doubts to the working page where the page has no room for them
// beside the picture.
func (d *sheetData) fit(p picture.Picture) {
	for d.left() < legible(p) && len(d.Watch) > fewestWatch {
		d.Watch = d.Watch[:len(d.Watch)-1]
		d.More++
	}
}

// left are the mm that everything else leaves.
func (d sheetData) left() float64 {
	lines := func(texts []string) float64 {
		n := 0.0
		for _, t := range texts {
			n += float64(1 + len([]rune(t))/110)
		}
		return n
	}
	return 232 - 3.7*float64(len(d.Shown.Body)) - 4.6*lines(d.Answer) - 3.2*(lines(d.Watch)+float64(min(d.More,
		1))+lines(d.Cautions)) -
		3.6*lines(append([]string{d.Caption}, d.Shown.Notes...))
}
