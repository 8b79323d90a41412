package reports

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"noisefloor/reports/table"
)

// Limits of a workbook.
const (
	mostCellText  = 32767 // characters of a cell
	mostSheetName = 31
	mostWidth     = 60 // of a column, in characters
)

// WriteWorkbook writes the tables of a view as an .xlsx workbook: first the answer and
// where it comes from, then a sheet for each table. Numbers are numbers, with the 15 digits that spreadsheets keep, shown with
// the decimals of the text; texts are texts, whatever they begin with; there is no formula.
// The same view gives the same bytes.
func WriteWorkbook(w io.Writer, v View, a About) error {
	f := excelize.NewFile()
	defer f.Close()
	b := workbook{f: f, taken: map[string]bool{}, formats: map[int]int{}}
	if err := b.about(v, a); err != nil {
		return err
	}
	written := map[string]bool{}
	for _, t := range append(v.Tables(), v.Data()) {
		if written[t.Name] {
			continue
		}
		written[t.Name] = true
		if err := b.table(t); err != nil {
			return fmt.Errorf("sheet %s: %w", t.Name, err)
		}
	}
	var whole bytes.Buffer
	if err := f.Write(&whole); err != nil {
		return err
	}
	return inOrder(w, whole.Bytes())
}

// inOrder writes the parts of a zip in the order of their names: the library writes them in
// an order that changes.
func inOrder(w io.Writer, data []byte) error {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return err
	}
	slices.SortFunc(z.File, func(a, b *zip.File) int { return strings.Compare(a.Name, b.Name) })
	out := zip.NewWriter(w)
	for _, part := range z.File {
		to, err := out.Create(part.Name)
		if err != nil {
			return err
		}
		from, err := part.Open()
		if err != nil {
			return err
		}
		if _, err := io.Copy(to, from); err != nil {
			return err
		}
		if err := from.Close(); err != nil {
			return err
		}
	}
	return out.Close()
}

// A workbook is one being written.
type workbook struct {
	f       *excelize.File
	taken   map[string]bool // names of sheets, in lower case
	formats map[int]int     // style by decimals
	head    int             // style of heads
}

// about is the first sheet: the answer, what to watch out for, cautions, and the choices.
func (b *workbook) about(v View, a About) error {
	name := b.name("about")
	if err := b.f.SetSheetName("Sheet1", name); err != nil {
		return err
	}
	var rows [][2]string
	add := func(head string, texts ...string) {
		for _, t := range texts {
			rows, head = append(rows, [2]string{head, t}), ""
		}
	}
	add("question", v.Title())
	add("answer", v.Answer()...)
	add("watch out for", v.Warnings()...)
	add("cautions", Cautions()...)
	if a.Input.Path != "" {
		add("table", fmt.Sprintf("%s, %d rows, SHA-256 %s", a.Input.Path, a.Input.Rows, a.Input.SHA256))
	}
	for _, c := range a.Choices {
		add(c.Name, c.Value+" ("+c.Origin+")")
	}
	add("how it was made", v.Method()...)
	add("program", "noisefloor "+a.Version)
	s, err := b.f.NewStreamWriter(name)
	if err != nil {
		return err
	}
	if err := s.SetColWidth(1, 1, 18); err != nil {
		return err
	}
	if err := s.SetColWidth(2, 2, 110); err != nil {
		return err
	}
	for i, r := range rows {
		if err := s.SetRow(fmt.Sprintf("A%d", i+1), []any{cellText(r[0]), cellText(r[1])}); err != nil {
			return err
		}
	}
	return s.Flush()
}

// table is one sheet: heads that stay in sight, a row for each result.
func (b *workbook) table(t table.Table) error {
	name := b.name(t.Name)
	if _, err := b.f.NewSheet(name); err != nil {
		return err
	}
	s, err := b.f.NewStreamWriter(name)
	if err != nil {
		return err
	}
	if err := b.prepare(s, t); err != nil {
		return err
	}
	for i, row := range t.Rows {
		cells := make([]any, len(row))
		for j, c := range row {
			if cells[j], err = b.cell(c); err != nil {
				return err
			}
		}
		if err := s.SetRow(fmt.Sprintf("A%d", i+2), cells); err != nil {
			return err
		}
	}
	return s.Flush()
}

// prepare sets widths, the frozen row and the heads.
func (b *workbook) prepare(s *excelize.StreamWriter, t table.Table) error {
	heads := make([]any, len(t.Columns))
	if b.head == 0 {
		style, err := b.f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true},
			Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}})
		if err != nil {
			return err
		}
		b.head = style
	}
	for j, c := range t.Columns {
		head := c.Head
		if head == "" {
			head = c.Key
		}
		heads[j] = excelize.Cell{StyleID: b.head, Value: cellText(head)}
		if err := s.SetColWidth(j+1, j+1, columnWidth(head, t.Rows, j)); err != nil {
			return err
		}
	}
	if err := s.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	return s.SetRow("A1", heads)
}

// columnWidth is that of the widest of the first texts of a column.
func columnWidth(head string, rows [][]table.Cell, j int) float64 {
	most := 0
	for _, word := range strings.Fields(head) {
		most = max(most, utf8.RuneCountInString(word))
	}
	for _, r := range rows[:min(len(rows), 200)] {
		if math.IsNaN(r[j].Number) {
			most = max(most, utf8.RuneCountInString(r[j].Text))
		} else {
			most = max(most, 9)
		}
	}
	return float64(min(most, mostWidth) + 2)
}

// cell is a number with its format, or a text.
func (b *workbook) cell(c table.Cell) (any, error) {
	if math.IsNaN(c.Number) {
		return cellText(c.Machine()), nil
	}
	decimals, told := decimalsIn(c.Text)
	if !told {
		return c.Number, nil
	}
	style, known := b.formats[decimals]
	if !known {
		format := "0"
		if decimals > 0 {
			format += "." + strings.Repeat("0", decimals)
		}
		var err error
		if style, err = b.f.NewStyle(&excelize.Style{CustomNumFmt: &format}); err != nil {
			return nil, err
		}
		b.formats[decimals] = style
	}
	return excelize.Cell{StyleID: style, Value: c.Number}, nil
}

// decimalsIn are those of the first number of a text; told is false where there is none, or
// where the text writes the number in another way, as a percentage or a power.
func decimalsIn(text string) (decimals int, told bool) {
	if strings.ContainsAny(text, "%<×") {
		return 0, false
	}
	digits, point := 0, false
	for _, r := range text {
		switch {
		case r >= '0' && r <= '9':
			digits++
			if point {
				decimals++
			}
		case r == '.' && digits > 0 && !point:
			point = true
		case digits > 0:
			return decimals, true
		}
	}
	return decimals, digits > 0
}

// cellText is a text that a cell can hold.
func cellText(s string) string {
	s = table.Clean(s)
	if utf8.RuneCountInString(s) > mostCellText {
		s = string([]rune(s)[:mostCellText-1]) + "…"
	}
	return s
}

// name is a sheet's name: what spreadsheets refuse is left out, and each is its own.
func (b *workbook) name(want string) string {
	clean := strings.Map(func(r rune) rune {
		if strings.ContainsRune(`[]:*?/\'`, r) || r < ' ' {
			return '_'
		}
		return r
	}, want)
	if clean == "" {
		clean = "table"
	}
	cut := func(s string, n int) string { return string([]rune(s)[:min(n, utf8.RuneCountInString(s))]) }
	out := cut(clean, mostSheetName)
	for k := 2; b.taken[strings.ToLower(out)]; k++ {
		end := fmt.Sprintf(" %d", k)
		out = cut(clean, mostSheetName-len(end)) + end
	}
	b.taken[strings.ToLower(out)] = true
	return out
}
