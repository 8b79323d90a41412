package cohort

import (
	"encoding/xml"
	"errors"
	"fmt"
	"slices"
	"strconv"
)

// A sheetCheck follows the tokens of a sheet and finds what the reader of rows
// would pass by: elements that are not closed, rows and cells out of order,
// strings that are not there (ECMA-376 part 1, 18.3.1).
type sheetCheck struct {
	nest
	strings int  // shared strings of the workbook
	row     int  // number of the row that was begun last
	column  int  // of the cell that was begun last in it
	shared  bool // the cell holds the index of a shared string
	values  int  // elements v and is of the cell
	text    []byte
	data    int // elements sheetData
}

// mayHold are the elements that may lie in those of the table.
var mayHold = map[string][]string{"sheetData": {"row", "extLst"}, "row": {"c", "extLst"},
	"c": {"v", "f", "is", "extLst"}, "v": nil}

// cellTypes are the types of cells (18.18.11).
var cellTypes = []string{"", "b", "d", "e", "inlineStr", "n", "s", "str"}

func (s *sheetCheck) token(_ *xml.Decoder, t xml.Token) error {
	err := s.step(t)
	if err == nil {
		switch t := t.(type) {
		case xml.StartElement:
			err = s.start(t)
		case xml.EndElement:
			err = s.finish(t.Name.Local)
		case xml.CharData:
			err = s.chars(t)
		}
	}
	if err != nil {
		return &damage{row: s.row, err: err}
	}
	return nil
}

// parent is the element around the one that was opened last.
func (s *sheetCheck) parent() string {
	if len(s.open) < 2 {
		return ""
	}
	return s.at(len(s.open) - 2)
}

// table says whether the innermost element lies in the rows of the sheet, at
// the depth where the table's own elements lie.
func (s *sheetCheck) table() bool {
	return len(s.open) >= 2 && len(s.open) <= 5 && s.at(1) == "sheetData"
}

func (s *sheetCheck) start(t xml.StartElement) error {
	name := t.Name.Local
	if len(s.open) == 1 && name != "worksheet" {
		return fmt.Errorf("the root element is %q, not a worksheet", name)
	}
	if !s.table() {
		return nil
	}
	if allowed, known := mayHold[s.parent()]; known && !slices.Contains(allowed, name) {
		return fmt.Errorf("unknown element %q in %q", name, s.parent())
	}
	switch {
	case len(s.open) == 2:
		s.data++
		if s.data > 1 {
			return errors.New("the sheet has its rows twice")
		}
	case len(s.open) == 3 && name == "row":
		return s.startRow(attribute(t, "r"))
	case len(s.open) == 4 && name == "c":
		return s.startCell(t)
	case len(s.open) == 5 && (name == "v" || name == "is"):
		s.text = s.text[:0]
		if s.values++; s.values > 1 {
			return errors.New("a cell with two values")
		}
	}
	return nil
}

func (s *sheetCheck) startRow(r string) error {
	next := s.row + 1
	if r != "" {
		n, err := strconv.Atoi(r)
		if err != nil || n < next || n > maxBookRows {
			return fmt.Errorf("row number %q after row %d", shorten(r), s.row)
		}
		next = n
	}
	s.row, s.column = next, 0
	return nil
}

func (s *sheetCheck) startCell(t xml.StartElement) error {
	s.column++
	s.shared, s.values = false, 0
	for _, a := range t.Attr {
		switch a.Name.Local {
		case "r":
			column, row, ok := cellReference(a.Value)
			if !ok || row != s.row || column < s.column {
				return fmt.Errorf("cell %q in row %d, where column %d is the next", shorten(a.Value), s.row, s.column)
			}
			s.column = column
		case "s":
			if n, err := strconv.Atoi(a.Value); err != nil || n < 0 {
				return fmt.Errorf("a cell with the style %q", shorten(a.Value))
			}
		case "t":
			if !slices.Contains(cellTypes, a.Value) {
				return fmt.Errorf("a cell of the unknown type %q", shorten(a.Value))
			}
			s.shared = a.Value == "s"
		}
	}
	return nil
}

// cellReference reads a reference such as "AB12".
func cellReference(text string) (column, row int, ok bool) {
	i := 0
	for ; i < len(text) && 'A' <= text[i]&^0x20 && text[i]&^0x20 <= 'Z' && i < 4; i++ {
		column = 26*column + int(text[i]&^0x20-'A') + 1
	}
	digits := text[i:]
	if i == 0 || !allDigits([]byte(digits)) {
		return 0, 0, false
	}
	row, err := strconv.Atoi(digits)
	return column, row, err == nil && column <= 16384
}

func (s *sheetCheck) chars(t xml.CharData) error {
	if len(s.open) == 5 && s.at(4) == "v" && s.at(1) == "sheetData" {
		if s.shared {
			s.text = append(s.text, t...)
		}
		return nil
	}
	if len(s.open) <= 4 && s.table() && len(trim(t)) > 0 && s.at(len(s.open)-1) != "extLst" {
		return fmt.Errorf("text between the elements of %q: %q", s.at(len(s.open)-1), shorten(string(t)))
	}
	return nil
}

// finish looks a shared string up when its cell's value ends.
func (s *sheetCheck) finish(name string) error {
	if name != "v" || len(s.open) != 4 || s.at(1) != "sheetData" || !s.shared {
		return nil
	}
	if n, err := strconv.Atoi(string(trim(s.text))); err != nil || n < 0 || n >= s.strings {
		return fmt.Errorf("shared string %q, where the workbook has %d", shorten(string(s.text)), s.strings)
	}
	return nil
}

func (s *sheetCheck) end() error {
	if err := s.nest.end(); err != nil {
		return err
	}
	if s.data == 0 {
		return errors.New("the sheet has no place for rows")
	}
	return nil
}
