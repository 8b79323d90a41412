package cohort

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"strconv"
	"strings"
)

// The library that reads workbooks stops in silence where the XML of a sheet is
// damaged, and takes what it does not understand for nothing. So every part that
// a table rests on is read here to its end first, strictly.

// A damage says where a part of a workbook cannot be read.
type damage struct {
	part string
	row  int // of the sheet; 0 outside rows
	what string
}

func (d *damage) Error() string {
	where := d.part
	if d.row > 0 {
		where += fmt.Sprintf(", row %d", d.row)
	}
	return fmt.Sprintf("the workbook is damaged (%s: %s): open it in a spreadsheet program, look whether all rows are there, "+
		"and save it anew, or save the table as CSV", where, d.what)
}

// A container is the archive of a workbook.
type container struct{ parts map[string]*zip.File }

func openContainer(data []byte) (*container, error) {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, fmt.Errorf("not a readable .xlsx workbook: %w", err)
	}
	c := &container{map[string]*zip.File{}}
	for _, f := range z.File {
		c.parts[strings.ToLower(strings.TrimPrefix(strings.ReplaceAll(f.Name, `\`, "/"), "/"))] = f
	}
	return c, nil
}

// sound reads the shared texts, the styles and a sheet to their ends.
func (c *container) sound(sheet string) error {
	texts, err := c.sharedTexts()
	if err != nil {
		return err
	}
	for _, part := range []string{"xl/workbook.xml", "xl/styles.xml"} {
		if err := c.walk(part, func(xml.Token) string { return "" }); err != nil {
			return err
		}
	}
	part, err := c.partOf(sheet)
	if err != nil {
		return err
	}
	s := &sheetWalk{part: part, texts: texts}
	return c.walkSheet(s)
}

// walk reads a part token by token; say returns what is wrong with one, "" if
// nothing is. A part that is not there is sound.
func (c *container) walk(part string, say func(xml.Token) string) error {
	f := c.parts[part]
	if f == nil {
		return nil
	}
	r, err := f.Open()
	if err != nil {
		return &damage{part: part, what: err.Error()}
	}
	defer r.Close()
	d, depth := strict(r), 0
	for {
		t, err := d.Token()
		switch {
		case errors.Is(err, io.EOF) && depth == 0:
			return nil
		case err != nil:
			return &damage{part: part, what: reason(err)}
		}
		switch t.(type) {
		case xml.StartElement:
			depth++
		case xml.EndElement:
			depth--
		}
		if what := say(t); what != "" {
			return &damage{part: part, what: what}
		}
	}
}

func strict(r io.Reader) *xml.Decoder {
	d := xml.NewDecoder(r)
	d.CharsetReader = func(charset string, in io.Reader) (io.Reader, error) {
		if strings.EqualFold(charset, "us-ascii") {
			return in, nil
		}
		return nil, fmt.Errorf("written in %s, not UTF-8", charset)
	}
	return d
}

// reason takes the prefix of the XML package off its errors.
func reason(err error) string {
	if s := (*xml.SyntaxError)(nil); errors.As(err, &s) {
		return fmt.Sprintf("line %d, %s", s.Line, s.Msg)
	}
	return err.Error()
}

// sharedTexts counts the texts that cells refer to by number.
func (c *container) sharedTexts() (int, error) {
	n := 0
	err := c.walk("xl/sharedstrings.xml", func(t xml.Token) string {
		if e, ok := t.(xml.StartElement); ok && e.Name.Local == "si" {
			n++
		}
		return ""
	})
	return n, err
}

// partOf finds the part that holds a sheet, by the workbook's list and its
// relations.
func (c *container) partOf(sheet string) (string, error) {
	id := ""
	err := c.walk("xl/workbook.xml", func(t xml.Token) string {
		if e, ok := t.(xml.StartElement); ok && e.Name.Local == "sheet" && attr(e, "name") == sheet {
			id = attr(e, "id")
		}
		return ""
	})
	if err != nil {
		return "", err
	}
	part := ""
	err = c.walk("xl/_rels/workbook.xml.rels", func(t xml.Token) string {
		if e, ok := t.(xml.StartElement); ok && e.Name.Local == "Relationship" && attr(e, "Id") == id {
			part = attr(e, "Target")
		}
		return ""
	})
	if err != nil {
		return "", err
	}
	if strings.HasPrefix(part, "/") {
		part = strings.TrimPrefix(part, "/")
	} else {
		part = path.Join("xl", part)
	}
	part = strings.ToLower(part)
	if c.parts[part] == nil {
		return "", &damage{part: "xl/workbook.xml", what: fmt.Sprintf("the sheet %q leads to no part of the file", shorten(sheet))}
	}
	return part, nil
}

func attr(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// A sheetWalk follows the rows and cells of a sheet.
type sheetWalk struct {
	part    string
	texts   int // shared ones
	row     int
	column  int
	kind    string // of the cell: "s" refers to a shared text
	inValue bool
	value   strings.Builder
}

// walkSheet reads a sheet; what is wrong is told with its row.
func (c *container) walkSheet(s *sheetWalk) error {
	err := c.walk(s.part, func(t xml.Token) string {
		switch e := t.(type) {
		case xml.StartElement:
			return s.start(e)
		case xml.EndElement:
			return s.end(e)
		case xml.CharData:
			if s.inValue {
				s.value.Write(e)
			}
		}
		return ""
	})
	if d := (*damage)(nil); errors.As(err, &d) {
		d.row = s.row
	}
	return err
}

func (s *sheetWalk) start(e xml.StartElement) string {
	switch e.Name.Local {
	case "row":
		return s.startRow(attr(e, "r"))
	case "c":
		s.kind = attr(e, "t")
		return s.startCell(attr(e, "r"))
	case "v":
		s.inValue = true
		s.value.Reset()
	}
	return ""
}

// startRow wants rows in order: a row that comes again or before is read in
// another place than it stands.
func (s *sheetWalk) startRow(number string) string {
	next := s.row + 1
	if number != "" {
		n, err := strconv.Atoi(number)
		if err != nil || n <= s.row {
			return fmt.Sprintf("a row numbered %q after row %d", shorten(number), s.row)
		}
		next = n
	}
	s.row, s.column = next, 0
	return ""
}

func (s *sheetWalk) startCell(place string) string {
	if place == "" {
		s.column++
		return ""
	}
	letters := strings.TrimRight(place, "0123456789")
	n := 0
	for _, r := range letters {
		if r < 'A' || r > 'Z' || n > 1<<20 {
			return fmt.Sprintf("a cell named %q", shorten(place))
		}
		n = 26*n + int(r-'A') + 1
	}
	if row, err := strconv.Atoi(place[len(letters):]); err != nil || row != s.row || n <= s.column {
		return fmt.Sprintf("a cell named %q in row %d after column %d", shorten(place), s.row, s.column)
	}
	s.column = n
	return ""
}

func (s *sheetWalk) end(e xml.EndElement) string {
	if e.Name.Local != "v" || !s.inValue {
		return ""
	}
	s.inValue = false
	if s.kind != "s" {
		return ""
	}
	if i, err := strconv.Atoi(strings.TrimSpace(s.value.String())); err != nil || i < 0 || i >= s.texts {
		return fmt.Sprintf("a cell refers to text %q of %d", shorten(s.value.String()), s.texts)
	}
	return ""
}
