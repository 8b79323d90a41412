package reports

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"io"
	"math"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"noisefloor/reports/field"
	"noisefloor/reports/table"
)

type hostileRow struct {
	who string
	x   float64
}

// hostile is a view with what a spreadsheet could take amiss.
func hostile() Simple[hostileRow] {
	fields := field.Set[hostileRow]{
		field.Text("athlete", func(r hostileRow) string { return r.who }).Required().As("athlete"),
		field.Number("score", func(r hostileRow) float64 { return r.x }).Shown("score (W)", func(r hostileRow) string {
			if math.IsNaN(r.x) {
				return "–"
			}
			return "412.5 W"
		}),
	}
	return Simple[hostileRow]{Question: "a[b]:c*d?e/f\\g this name is far too long", Heading: "Is it?", Says: []string{"=1+1."},
		Key: "rows/of:things", Facts: fields, Rows: []hostileRow{{"=HYPERLINK(\"http://x\")", 412.4567890123456}, {"+1", math.NaN()},
			{"@SUM(A1)", math.Inf(1)}, {strings.Repeat("x", 40000), 1e300}, {"a\x00\x07b", -0.0001}}, OnSheet: []string{"athlete"}}
}

func book(t *testing.T) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WriteWorkbook(&b, hostile(), About{Version: "test", Choices: []Choice{{"by", "=cmd", "flag"}}}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// What a spreadsheet program would calculate or refuse is text, numbers are numbers to the
// last digit, heads stay in sight.
func TestWorkbook(t *testing.T) {
	f, err := excelize.OpenReader(bytes.NewReader(book(t)))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	sheets := f.GetSheetList()
	if len(sheets) != 2 || sheets[0] != "about" || sheets[1] != "rows_of_things" {
		t.Fatalf("sheets %q", sheets)
	}
	for cell, want := range map[string]string{"A1": "athlete", "B1": "score (W)", "A2": `=HYPERLINK("http://x")`, "A3": "+1",
		"A4": "@SUM(A1)", "B3": "", "B4": "", "B6": "-0.0001"} {
		if got, _ := f.GetCellValue(sheets[1], cell, excelize.Options{RawCellValue: true}); got != want {
			t.Errorf("%s holds %q, want %q", cell, got, want)
		}
		if formula, _ := f.GetCellFormula(sheets[1], cell); formula != "" {
			t.Errorf("%s is the formula %q", cell, formula)
		}
	}
	if got, _ := f.GetCellValue(sheets[1], "B2"); got != "412.5" {
		t.Errorf("shown as %q, the text has one decimal", got)
	}
	if kind, _ := f.GetCellType(sheets[1], "B2"); kind != excelize.CellTypeNumber && kind != excelize.CellTypeUnset {
		t.Errorf("the number is of type %v", kind)
	}
	if got, _ := f.GetCellValue(sheets[1], "A5"); len([]rune(got)) != mostCellText {
		t.Errorf("a long text has %d characters", len([]rune(got)))
	}
	if p, _ := f.GetPanes(sheets[1]); !p.Freeze || p.YSplit != 1 {
		t.Errorf("panes %+v", p)
	}
}

// The parts of the file, read without the library that wrote it: no formula, nothing
// outside, well-formed.
func TestWorkbookPartsHoldNoFormula(t *testing.T) {
	data := book(t)
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	sheets, whole := 0, false
	for _, part := range z.File {
		r, err := part.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		if bytes.Contains(text, []byte("<v>412.45678901234")) {
			whole = true
		}
		d := xml.NewDecoder(bytes.NewReader(text))
		for {
			token, err := d.Token()
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", part.Name, err)
			}
			if e, ok := token.(xml.StartElement); ok && strings.Contains(part.Name, "worksheets/") {
				sheets++
				if e.Name.Local == "f" || e.Name.Local == "hyperlink" {
					t.Errorf("%s has a %s", part.Name, e.Name.Local)
				}
			}
		}
		r.Close()
	}
	if sheets == 0 || !whole {
		t.Fatalf("%d elements of sheets were read, the number to the 15 digits that spreadsheets keep: %v", sheets, whole)
	}
}

func TestWorkbookSameBytes(t *testing.T) {
	first := book(t)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	if second := book(t); !bytes.Equal(first, second) {
		t.Error("the same view gives other bytes")
	}
}

func TestDecimalsIn(t *testing.T) {
	for text, want := range map[string]int{"+3.72 (1.5 to 5.9) km/h": 2, "12": 0, "−0.5": 1, "412.5 W": 1, "1,204 W": 0} {
		if got, told := decimalsIn(text); !told || got != want {
			t.Errorf("%q: %d decimals (%v), want %d", text, got, told, want)
		}
	}
	for _, text := range []string{"", "–", "80 %", "<0.001", "3×10⁻⁵"} {
		if _, told := decimalsIn(text); told {
			t.Errorf("%q has no decimals to be told", text)
		}
	}
}

func FuzzWorkbookNames(f *testing.F) {
	f.Add("a/b", "a:b")
	f.Add("", "'")
	f.Add(strings.Repeat("ä", 40), strings.Repeat("Ä", 40))
	f.Fuzz(func(t *testing.T, a, b string) {
		w := workbook{taken: map[string]bool{}}
		names := []string{w.name(a), w.name(b), w.name(a)}
		for i, n := range names {
			if n == "" || len([]rune(n)) > mostSheetName || strings.ContainsAny(n, `[]:*?/\'`) {
				t.Errorf("name %q", n)
			}
			if slices.ContainsFunc(names[:i], func(m string) bool { return strings.EqualFold(m, n) }) {
				t.Errorf("%q twice", n)
			}
		}
		_ = table.Clean(a)
	})
}
