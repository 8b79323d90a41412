package cohort

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"noisefloor/internal/names"
)

// workbook is the sheet of a workbook that holds the table. Cells are read as
// they are stored, not as they are displayed: 12.34567 stays 12.34567.
type workbook struct {
	file     *excelize.File
	parts    parts
	sheet    string
	chosen   string // why this sheet
	free     bool   // neither the options nor the dictionary name the sheet
	rows     *excelize.Rows
	date1904 bool
	row      int
	stored   int // cells so far
	cells    [][]byte
	bytes    []byte
	dates    map[int]bool // columns (from 0) that hold dates
}

// openWorkbook opens a workbook that is held in memory, within bounds.
func openWorkbook(data []byte, sheet string, number int) (*workbook, error) {
	z, err := weigh(data)
	if err != nil {
		return nil, err
	}
	f, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{
		RawCellValue: true, UnzipSizeLimit: maxBookOut, UnzipXMLSizeLimit: bookSpill})
	if err != nil {
		return nil, fmt.Errorf("not a readable .xlsx workbook: %w", err)
	}
	w := &workbook{file: f, parts: parts{archive: z, charset: f.CharsetReader}}
	if err := w.choose(sheet, number); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	if err := w.start(); err != nil {
		return nil, errors.Join(w.explain(err), f.Close())
	}
	return w, nil
}

// start begins to read the sheet.
func (w *workbook) start() error {
	if err := w.parts.check(w.sheet); err != nil {
		return err
	}
	props, err := w.file.GetWorkbookProps()
	if err == nil {
		w.date1904 = props.Date1904 != nil && *props.Date1904
		w.rows, err = w.file.Rows(w.sheet)
	}
	if err != nil {
		return fmt.Errorf("sheet %q: %w", w.sheet, err)
	}
	return nil
}

// weigh refuses archives that would unpack to an unreasonable size, by the
// sizes they declare, and archives that are no workbook.
func weigh(data []byte) (*zip.Reader, error) {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, fmt.Errorf("not a readable .xlsx workbook: %w", err)
	}
	var total uint64
	book := false
	for _, f := range z.File {
		total += f.UncompressedSize64
		if total > maxBookOut || f.UncompressedSize64 > maxBookOut {
			return nil, fmt.Errorf("the workbook unpacks to more than %d MB: refused; write the table as CSV",
				maxBookOut>>20)
		}
		book = book || strings.EqualFold(f.Name, "[Content_Types].xml")
	}
	if what := zipStranger(z); what != "" {
		return nil, errors.New("not a table but " + what + ": save the table as .xlsx or CSV")
	}
	if !book {
		return nil, errors.New("a zip archive that is not an .xlsx workbook: " + inside(z))
	}
	return z, nil
}

// choose finds the sheet: by name, by number, or the first that is visible.
func (w *workbook) choose(name string, number int) error {
	sheets := w.file.GetSheetList()
	switch {
	case len(sheets) == 0:
		return errors.New("the workbook has no sheet")
	case name != "":
		i, err := names.One("sheet", sheets, name)
		if err != nil {
			return err
		}
		w.sheet, w.chosen = sheets[i], "as asked"
		return nil
	case number > len(sheets):
		return fmt.Errorf("the dictionary names sheet number %d, but the workbook has %d", number, len(sheets))
	case number > 0:
		w.sheet, w.chosen = sheets[number-1], "as the dictionary says"
		return nil
	}
	w.sheet, w.chosen, w.free = sheets[0], "the first", true
	for _, s := range sheets {
		if w.visible(s) {
			w.sheet = s
			break
		}
	}
	if len(sheets) == 1 {
		w.chosen = "the only one"
	}
	return nil
}

func (w *workbook) close() error {
	return errors.Join(w.rows.Close(), w.file.Close())
}

// next implements [rows].
func (w *workbook) next() ([][]byte, int, error) {
	for w.rows.Next() {
		w.row++
		texts, err := w.rows.Columns(excelize.Options{RawCellValue: true})
		if err != nil {
			return nil, w.row, Fault{Row: w.row, Problem: "the sheet is damaged: " + err.Error()}
		}
		if w.stored += len(texts) + 1; w.row > maxBookRows || w.stored > maxBookCells {
			return nil, w.row, Fault{Row: w.row, Problem: "the sheet is larger than a sheet may be",
				Hint: "write the table as CSV"}
		}
		if len(texts) > 0 {
			return w.copy(texts), w.row, nil
		}
	}
	if err := w.rows.Error(); err != nil {
		return nil, w.row + 1, Fault{Row: w.row + 1, Problem: "the sheet is damaged: " + err.Error()}
	}
	return nil, w.row + 1, io.EOF
}

func (w *workbook) copy(texts []string) [][]byte {
	w.bytes, w.cells = w.bytes[:0], w.cells[:0]
	size := 0
	for i := range texts {
		if w.dates[i] {
			texts[i] = w.date(texts[i])
		}
		size += len(texts[i])
	}
	if cap(w.bytes) < size {
		w.bytes = make([]byte, 0, 2*size)
	}
	for _, s := range texts {
		from := len(w.bytes)
		w.bytes = append(w.bytes, s...)
		w.cells = append(w.cells, w.bytes[from:len(w.bytes):len(w.bytes)])
	}
	return w.cells
}

// date writes a stored date serial as an ISO date, with the time of day when
// it has one. Other texts stay.
func (w *workbook) date(text string) string {
	serial, _, ok := parseNumber([]byte(text))
	if !ok {
		return text
	}
	t, err := excelize.ExcelDateToTime(serial, w.date1904)
	if err != nil {
		return text
	}
	t = t.Round(time.Second)
	if t.Hour() == 0 && t.Minute() == 0 && t.Second() == 0 {
		return t.Format(time.DateOnly)
	}
	return t.Format("2006-01-02T15:04:05")
}

// findDates marks the columns that hold dates: in the preview every number
// lies where date serials of our time lie, and the first is shown as a date.
func (w *workbook) findDates(preview []storedRow, columns int) error {
	w.dates = make(map[int]bool)
	for i := range columns {
		row := serialRow(preview, i)
		if row == 0 {
			continue
		}
		cell, err := excelize.CoordinatesToCellName(i+1, row)
		if err != nil {
			return err
		}
		style, err := w.file.GetCellStyle(w.sheet, cell)
		if err != nil {
			return err
		}
		if format, err := w.file.GetStyle(style); err == nil && isDateFormat(format) {
			w.dates[i] = true
			for _, r := range preview {
				if i < len(r.cells) {
					r.cells[i] = []byte(w.date(string(r.cells[i])))
				}
			}
		}
	}
	return nil
}

// serialRow is the first row with a number in column i when all numbers there
// may be date serials, else 0.
func serialRow(preview []storedRow, i int) int {
	first := 0
	for _, r := range preview {
		if i >= len(r.cells) {
			continue
		}
		v, _, ok := parseNumber(r.cells[i])
		switch {
		case !ok:
			continue
		case v < 20_000 || v > 80_000: // the years 1954 to 2119
			return 0
		case first == 0:
			first = r.row
		}
	}
	return first
}

var (
	literals   = regexp.MustCompile(`"[^"]*"|\\.|\[[^\]]*\]|_.|\*.`)
	dateLetter = regexp.MustCompile(`(?i)[yd]`)
)

// isDateFormat reports whether a cell format shows a date (ECMA-376 part 1,
// 18.8.30, has the numbers of the built-in formats).
func isDateFormat(s *excelize.Style) bool {
	if s.CustomNumFmt != nil {
		return dateLetter.MatchString(literals.ReplaceAllString(*s.CustomNumFmt, ""))
	}
	n := s.NumFmt
	return 14 <= n && n <= 17 || n == 22 || 27 <= n && n <= 31 || n == 36 || 50 <= n && n <= 58
}

// emptyCell is where a value was looked for and not found.
type emptyCell struct {
	column *column
	row    int
}

// lookLater keeps an empty cell for checkFormulas.
func (b *builder) lookLater(c *column, row int) {
	if len(b.empty) == maxFormulas {
		b.unseen++
		return
	}
	b.empty = append(b.empty, emptyCell{c, row})
}

// checkFormulas looks whether empty cells hold formulas: a program that writes
// formulas without their values leaves cells that only look empty here.
func (b *builder) checkFormulas() {
	if b.book != nil {
		for _, c := range b.undecided {
			b.empty = append(b.empty, emptyCell{c, b.preview[0].row})
		}
	}
	if b.unseen > 0 {
		b.note("of the empty cells only the first %d were looked at for formulas without a value, and %s not: if "+
			"the workbook was written by a program, open it in a spreadsheet program and save it there",
			maxFormulas, counted(b.unseen, "more cell"))
	}
	for _, e := range b.empty {
		name, err := excelize.CoordinatesToCellName(e.column.index+1, e.row)
		if err != nil {
			continue
		}
		if formula, err := b.book.file.GetCellFormula(b.book.sheet, name); err == nil && formula != "" {
			b.fault(e.column, e.row, "="+formula, "a formula without its value",
				"open the workbook in a spreadsheet program, save it there, and read it again")
		}
	}
}
