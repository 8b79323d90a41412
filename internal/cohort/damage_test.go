package cohort

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// rebuilt is a workbook with one part changed.
func rebuilt(tb testing.TB, data []byte, part string, change func([]byte) []byte) []byte {
	tb.Helper()
	r, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	must(tb, err)
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range r.File {
		in, err := f.Open()
		must(tb, err)
		content, err := io.ReadAll(in)
		must(tb, err)
		if f.Name == part {
			content = change(content)
		}
		w, err := z.Create(f.Name)
		must(tb, err)
		_, err = w.Write(content)
		must(tb, err)
	}
	must(tb, z.Close())
	return b.Bytes()
}

func partOf(tb testing.TB, data []byte, part string) []byte {
	tb.Helper()
	var out []byte
	rebuilt(tb, data, part, func(b []byte) []byte { out = b; return b })
	return out
}

const sheetPart = "xl/worksheets/sheet1.xml"

// soundBook has texts shared by number, and forty athletes.
func soundBook(tb testing.TB) []byte {
	rows := [][]any{{"athlete", "session", "jump"}}
	for i := range 40 {
		rows = append(rows, []any{fmt.Sprintf("P%02d", i), "pre", 30.5 + float64(i)}, []any{fmt.Sprintf("P%02d", i), "post", 31.25 + float64(i)})
	}
	return book(tb, rows, nil)
}

// A sheet that is cut, has a bad byte, an undefined entity or a text out of range
// is refused wherever the damage is: a table must never lose rows in silence.
// Damage that leaves the XML sound leaves the values as a strict parser has them.
func TestDamagedSheet(t *testing.T) {
	plain := soundBook(t)
	whole := flat(readBook(t, plain, Options{}))
	sheet := partOf(t, plain, sheetPart)
	if len(whole) != 80 {
		t.Fatalf("%d attempts in the sound workbook", len(whole))
	}
	refused, total := 0, 0
	for i := range 72 {
		at := len(sheet) * (i + 1) / 73
		for kind, damaged := range map[string][]byte{
			"cut":    sheet[:at],
			"byte":   splice(sheet, at, "\x01"),
			"entity": splice(sheet, nextText(sheet, at), "&nothing;"),
			"text":   textOutOfRange(sheet, at),
		} {
			total++
			x, err := Open("-", bytes.NewReader(rebuilt(t, plain, sheetPart, func([]byte) []byte { return damaged })), Options{})
			switch {
			case err != nil:
				refused++
			case cmp.Diff(whole, flat(x)) != "":
				t.Errorf("%s at byte %d: read with %d of 80 attempts", kind, at, len(flat(x)))
			}
		}
	}
	if total != 288 || refused < 280 {
		t.Errorf("%d of %d damaged sheets were refused", refused, total)
	}
}

func splice(b []byte, at int, text string) []byte {
	return append(append(append([]byte{}, b[:at]...), text...), b[at:]...)
}

// nextText is the place behind the next > at or after at, where text may stand.
func nextText(b []byte, at int) int {
	i := bytes.Index(b[at:], []byte("<v>"))
	if i < 0 {
		i = bytes.Index(b, []byte("<v>"))
		return i + 3
	}
	return at + i + 3
}

// textOutOfRange makes the next shared text one that is not there.
func textOutOfRange(b []byte, at int) []byte {
	mark := []byte(`t="s"><v>`)
	i := bytes.Index(b[at:], mark)
	if i < 0 {
		i, at = bytes.Index(b, mark), 0
	}
	return splice(b, at+i+len(mark), "9999")
}

// Each kind of damage says where it is and what to do.
func TestDamageIsTold(t *testing.T) {
	plain := soundBook(t)
	for name, tt := range map[string]struct {
		part, old, new, want string
	}{
		"row again":     {sheetPart, `<row r="3"`, `<row r="2"`, `a row numbered "2" after row 2`},
		"cell again":    {sheetPart, `r="B3"`, `r="A3"`, `a cell named "A3" in row 3 after column 1`},
		"cell of a row": {sheetPart, `r="B3"`, `r="B4"`, `a cell named "B4" in row 3`},
		"shared text":   {"xl/sharedStrings.xml", "<si>", "<si", "xl/sharedstrings.xml: line"},
	} {
		data := rebuilt(t, plain, tt.part, func(b []byte) []byte {
			return []byte(strings.Replace(string(b), tt.old, tt.new, 1))
		})
		_, err := Open("-", bytes.NewReader(data), Options{})
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: %v", name, err)
		} else if tt.want != "" && !strings.Contains(err.Error(), "save it anew, or save the table as CSV") {
			t.Errorf("%s: no word on what to do: %v", name, err)
		}
	}
}

// FuzzSheetXML puts any XML into a sound archive: it is refused, or gives as many
// rows with cells as a strict parser sees.
func FuzzSheetXML(f *testing.F) {
	plain := soundBook(f)
	sheet := string(partOf(f, plain, sheetPart))
	f.Add(sheet)
	f.Add(sheet[:len(sheet)/2])
	f.Add(strings.Replace(sheet, "<v>", "<v>&amp;", 3))
	f.Add(`<worksheet><sheetData><row><c t="inlineStr"><is><t>athlete</t></is></c><c t="str"><v>j</v></c></row><row><c t="str"><v>a</v></c><c><v>3</v></c></row></sheetData></worksheet>`)
	f.Fuzz(func(t *testing.T, text string) {
		data := rebuilt(t, plain, sheetPart, func([]byte) []byte { return []byte(text) })
		x, err := Open("-", bytes.NewReader(data), Options{})
		if err != nil {
			return
		}
		if rows, ok := strictRows(text); !ok || x.Source.Rows > rows {
			t.Errorf("read %d rows, a strict parser %d (well formed: %t)", x.Source.Rows, rows, ok)
		}
	})
}

// strictRows counts the rows of a sheet; false when it is not well formed.
func strictRows(text string) (int, bool) {
	d, rows := xml.NewDecoder(strings.NewReader(text)), 0
	d.CharsetReader = func(_ string, in io.Reader) (io.Reader, error) { return in, nil }
	for {
		t, err := d.Token()
		if err == io.EOF {
			return rows, true
		}
		if err != nil {
			return rows, false
		}
		if e, ok := t.(xml.StartElement); ok && e.Name.Local == "row" {
			rows++
		}
	}
}
