package cohort

import (
	"archive/zip"
	"bytes"
	"fmt"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"
)

// book writes a workbook with one sheet of the given rows.
func book(tb testing.TB, rows [][]any, change func(f *excelize.File)) []byte {
	tb.Helper()
	f := excelize.NewFile()
	for i, r := range rows {
		if err := f.SetSheetRow("Sheet1", fmt.Sprintf("A%d", i+1), &r); err != nil {
			tb.Fatal(err)
		}
	}
	if change != nil {
		change(f)
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes()
}

func readBook(tb testing.TB, data []byte, o Options) *Table {
	tb.Helper()
	x, err := Open("-", bytes.NewReader(data), o)
	if err != nil {
		tb.Fatalf("Open: %v", err)
	}
	return x
}

func must(tb testing.TB, err error) {
	tb.Helper()
	if err != nil {
		tb.Fatal(err)
	}
}

// Numbers come as stored, not as displayed; dates as ISO dates.
func TestOpenBook(t *testing.T) {
	data := book(t, [][]any{
		{"athlete", "date", "jump", "note"},
		{"007", 46085, 12.34567, "x"}, // 46085 is 2026-03-04 (1900 system)
		{},
		{"007", 46092.75, 13.5}, // a week later, at 18:00
		{"b", 46085, "NA", nil, nil},
	}, func(f *excelize.File) {
		short := 14
		style, err := f.NewStyle(&excelize.Style{NumFmt: short})
		must(t, err)
		must(t, f.SetColStyle("Sheet1", "B", style))
		must(t, f.SetCellStyle("Sheet1", "B2", "B5", style))
		one := "0.00"
		style, err = f.NewStyle(&excelize.Style{CustomNumFmt: &one})
		must(t, err)
		must(t, f.SetCellStyle("Sheet1", "C2", "C5", style))
	})
	x := readBook(t, data, Options{})
	want := []string{
		"jump | 007 | 2026-03-04 | 1 | 12.34567",
		"jump | 007 | 2026-03-11T18:00:00 | 1 | 13.5",
		"note () | 007 | 2026-03-04 | x",
	}
	if diff := cmp.Diff(want, flat(x)); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	if x.Source.Format != "Excel workbook" || x.Taken[0] != `file: Excel workbook, sheet "Sheet1" (the only one)` {
		t.Errorf("source %+v, taken %q", x.Source, x.Taken[0])
	}
}

// The 1904 system counts from 1462 days later.
func TestDates1904(t *testing.T) {
	yes, custom := true, `dd\.mm\.yyyy;@`
	data := book(t, [][]any{{"athlete", "date", "jump"}, {"a", 46085 - 1462, 3}}, func(f *excelize.File) {
		must(t, f.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &yes}))
		style, err := f.NewStyle(&excelize.Style{CustomNumFmt: &custom})
		must(t, err)
		must(t, f.SetCellStyle("Sheet1", "B2", "B2", style))
	})
	if diff := cmp.Diff([]string{"2026-03-04"}, readBook(t, data, Options{}).Sessions); diff != "" {
		t.Error(diff)
	}
}

// Numbers of the size of dates stay numbers when they are not shown as dates.
func TestNumbersThatAreNoDates(t *testing.T) {
	data := book(t, [][]any{{"athlete", "session", "force"}, {"a", 1, 46085}, {"a", 2, 46092}}, nil)
	if diff := cmp.Diff([]string{"force | a | 1 | 1 | 46085", "force | a | 2 | 1 | 46092"}, flat(readBook(t, data,
		Options{}))); diff != "" {
		t.Error(diff)
	}
}

func TestDateFormats(t *testing.T) {
	for format, want := range map[string]bool{"yyyy-mm-dd": true, `d\.m\.yy`: true, "[$-409]d-mmm-yy;@": true,
		"0.00":       false,
		`0.0" days"`: false, "General": false, "[Red]0": false, "hh:mm:ss": false, "0_d": false} {
		if got := isDateFormat(&excelize.Style{CustomNumFmt: &format}); got != want {
			t.Errorf("%q: %v", format, got)
		}
	}
	for format, want := range map[int]bool{0: false, 1: false, 13: false, 14: true, 17: true, 18: false, 22: true,
		46: false} {
		if got := isDateFormat(&excelize.Style{NumFmt: format}); got != want {
			t.Errorf("%d: %v", format, got)
		}
	}
}

func TestSheets(t *testing.T) {
	data := book(t, [][]any{{"read me"}}, func(f *excelize.File) {
		for _, name := range []string{"Data 2026", "Other"} {
			_, err := f.NewSheet(name)
			must(t, err)
			must(t, f.SetSheetRow(name, "A1", &[]any{"athlete", "jump"}))
			must(t, f.SetSheetRow(name, "A2", &[]any{name, 3}))
		}
		f.SetActiveSheet(1)
		must(t, f.SetSheetVisible("Sheet1", false))
	})
	if x := readBook(t, data, Options{}); x.Athletes[0] != "Data 2026" || !strings.Contains(x.Taken[0], "the first") {
		t.Errorf("hidden sheets are passed by: %q %q", x.Athletes, x.Taken[0])
	}
	if x := readBook(t, data, Options{Sheet: "OTHER"}); x.Athletes[0] != "Other" {
		t.Errorf("got %q", x.Athletes)
	}
	_, err := Open("-", bytes.NewReader(data), Options{Sheet: "Othr"})
	if err == nil || !strings.Contains(err.Error(), `no sheet "Othr"; did you mean "Other"?`) {
		t.Errorf("got %v", err)
	}
}

func TestBookFaults(t *testing.T) {
	tests := []struct {
		name string
		data []byte
		want []string
	}{
		{"text and stored number", book(t, [][]any{{"id", "j"}, {"a", 3.5}, {"b", "2,5"}}, nil),
			[]string{`row 3, column "j": two decimal conventions: "3.5" in row 2, column "j", and here: "2,5"`}},
		{"spreadsheet error", book(t, [][]any{{"id", "j"}, {"a", 3.5}, {"b", "#N/A"}}, nil),
			[]string{`row 3, column "j": not a number but a spreadsheet error: "#N/A"`}},
		{"too many cells", book(t, [][]any{{"id", "j"}, {"a", 3.5}, {"b", 4, "x"}}, nil),
			[]string{"row 3: 3 cells where the header has 2"}},
		{"formula", book(t, [][]any{{"id", "j"}, {"a", 3.5}, {"b", nil}}, func(f *excelize.File) {
			must(t, f.SetCellFormula("Sheet1", "B3", "B2+1"))
		}), []string{`row 3, column "j": a formula without its value: "=B2+1"`}},
		{"column of formulas", book(t, [][]any{{"id", "j", "k"}, {"a", 3.5}}, func(f *excelize.File) {
			must(t, f.SetCellFormula("Sheet1", "C2", "B2+1"))
		}), []string{`row 2, column "k": a formula without its value: "=B2+1"`}},
		{"empty sheet", book(t, nil, nil), []string{"the file is empty"}},
		{"not a workbook", []byte("PK\x03\x04 and then nothing"), []string{"not a readable .xlsx workbook"}},
		{"other zip", zipped(t, map[string]string{"tests.csv": longText}),
			[]string{"a zip archive that is not an .xlsx workbook"}},
		{"broken xml", zipped(t, map[string]string{"[Content_Types].xml": "<"}), []string{""}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			x, err := Open("-", bytes.NewReader(tt.data), Options{})
			if err == nil {
				t.Fatalf("read: %q", flat(x))
			}
			checkLines(t, err, "standard input", tt.want)
		})
	}
}

func zipped(tb testing.TB, files map[string]string) []byte {
	tb.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for name, content := range files {
		w, err := z.Create(name)
		must(tb, err)
		_, err = w.Write([]byte(content))
		must(tb, err)
	}
	must(tb, z.Close())
	return b.Bytes()
}

// A workbook of some 300 kB that unpacks to 300 MB is refused by the size it
// declares, before anything is unpacked: refusing allocates next to nothing.
func TestBookBomb(t *testing.T) {
	plain := book(t, [][]any{{"id", "j"}, {"a", 3}}, nil)
	r, err := zip.NewReader(bytes.NewReader(plain), int64(len(plain)))
	must(t, err)
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range r.File {
		must(t, z.Copy(f))
	}
	w, err := z.Create("xl/worksheets/sheet2.xml")
	must(t, err)
	zeros := make([]byte, 1<<20)
	for range 300 {
		_, err := w.Write(zeros)
		must(t, err)
	}
	must(t, z.Close())
	_, err = Open("-", bytes.NewReader(b.Bytes()), Options{})
	if err == nil || !strings.Contains(err.Error(), "the workbook unpacks to more than 256 MB: refused") {
		t.Fatalf("got %v", err)
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	if _, err := weigh(b.Bytes()); err == nil {
		t.Error("weighed and not refused")
	}
	runtime.ReadMemStats(&after)
	if took := after.TotalAlloc - before.TotalAlloc; took > 1<<20 {
		t.Errorf("refusing took %d bytes", took)
	}
}

// The same table as text and as a workbook.
func TestBookAgreesWithText(t *testing.T) {
	var rows [][]any
	for line := range strings.Lines(strings.ReplaceAll(longText, "-1e1", "-10")) {
		var r []any
		for cell := range strings.SplitSeq(strings.TrimRight(line, "\n"), ",") {
			if v, _, ok := parseNumber([]byte(cell)); ok && cell[0] != '0' {
				r = append(r, v)
				continue
			}
			r = append(r, cell)
		}
		rows = append(rows, r)
	}
	if diff := cmp.Diff(flat(read(t, longText, Options{})), flat(readBook(t, book(t, rows, nil),
		Options{}))); diff != "" {
		t.Errorf("(-text +workbook)\n%s", diff)
	}
}
