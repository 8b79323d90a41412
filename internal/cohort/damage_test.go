package cohort

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// soundBook is a workbook of 40 rows with texts and numbers.
func soundBook(tb testing.TB) []byte {
	rows := [][]any{{"athlete", "session", "trial", "measure", "value"}}
	for i := range 40 {
		rows = append(rows, []any{fmt.Sprint("A", i/4), i/2%2 + 1, i%2 + 1, "jump", 30 + float64(i)/8})
	}
	return book(tb, rows, nil)
}

// withPart returns a sound archive of which one part is replaced.
func withPart(tb testing.TB, data []byte, name string, change func(old []byte) []byte) []byte {
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
		if f.Name == name {
			content = change(bytes.Clone(content))
		}
		w, err := z.Create(f.Name)
		must(tb, err)
		_, err = w.Write(content)
		must(tb, err)
	}
	must(tb, z.Close())
	return b.Bytes()
}

const firstSheet = "xl/worksheets/sheet1.xml"

// Whatever is cut, put in or turned into nonsense anywhere in the sheet or its
// strings: the table is refused, or every row is there.
func TestDamagedSheetsLoseNothing(t *testing.T) {
	sound := soundBook(t)
	want := flat(readBook(t, sound, Options{}))
	insert := func(old []byte, at int, text string) []byte {
		return append(append(bytes.Clone(old[:at]), text...), old[at:]...)
	}
	kinds := map[string]func(old []byte, at int) []byte{
		"cut":              func(old []byte, at int) []byte { return old[:at] },
		"bad byte":         func(old []byte, at int) []byte { return insert(old, at, "\x01") },
		"not UTF-8":        func(old []byte, at int) []byte { return insert(old, at, "\xff") },
		"undefined entity": func(old []byte, at int) []byte { return insert(old, at, "&nothing;") },
		"stray end":        func(old []byte, at int) []byte { return insert(old, at, "</row>") },
	}
	const places = 72
	for _, part := range []string{firstSheet, sharedStrings} {
		for name, damage := range kinds {
			refused := 0
			for place := range places {
				data := withPart(t, sound, part, func(old []byte) []byte {
					// Past the declaration and before the last end: no place is outside of the root.
					from, to := bytes.Index(old, []byte("?>"))+3, len(old)-1
					return damage(old, from+place*(to-from)/places)
				})
				x, err := Open("-", bytes.NewReader(data), Options{})
				if err != nil {
					refused++
					if !strings.Contains(err.Error(), "write it as CSV") || !strings.HasPrefix(err.Error(),
						"standard input: ") {
						t.Fatalf("%s in %s at %d: no word on what to do: %v", name, part, place, err)
					}
					continue
				}
				if diff := cmp.Diff(want, flat(x)); diff != "" {
					t.Fatalf("%s in %s at place %d was read (-sound +damaged)\n%s", name, part, place, diff)
				}
			}
			if refused != places {
				t.Errorf("%s in %s: refused %d of %d", name, part, refused, places)
			}
		}
	}
}

// Damage that is well-formed XML.
func TestDamagedCells(t *testing.T) {
	tests := []struct{ name, old, new, want string }{
		{"string out of range", `t="s"><v>0</v>`, `t="s"><v>99</v>`, `shared string "99"`},
		{"string below zero", `t="s"><v>0</v>`, `t="s"><v>-1</v>`, `shared string "-1"`},
		{"string without number", `t="s"><v>0</v>`, `t="s"><v>x</v>`, `shared string "x"`},
		{"row twice", `<row r="7"`, `<row r="6"`, `row number "6" after row 6`},
		{"row is no number", `<row r="7"`, `<row r="x"`, `row number "x" after row 6`},
		{"cell of another row", `r="B7"`, `r="B8"`, `cell "B8" in row 7`},
		{"cells out of order", `r="B7"`, `r="A7"`, `cell "A7" in row 7`},
		{"unknown type", `t="s"><v>0</v>`, `t="q"><v>0</v>`, `unknown type "q"`},
		{"style is no number", `<c r="B7"`, `<c r="B7" s="x"`, `the style "x"`},
		{"two values", `</v></c><c r="B7"`, `</v><v>1</v></c><c r="B7"`, "a cell with two values"},
		{"unknown element", `<row r="7"`, `<rows></rows><row r="7"`, `unknown element "rows"`},
		{"text between cells", `<c r="B7"`, `lost<c r="B7"`, `text between the elements`},
		{"attribute twice", `<c r="B7"`, `<c r="C7" r="B7"`, `attribute "r" twice`},
		{"rows twice", `</sheetData>`, `</sheetData><sheetData></sheetData>`, "its rows twice"},
		{"other root", "worksheet", "chartsheet", `the root element is "chartsheet"`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			data := withPart(t, soundBook(t), firstSheet, func(old []byte) []byte {
				n := 1
				if tt.old == "worksheet" {
					n = -1
				}
				changed := strings.Replace(string(old), tt.old, tt.new, n)
				if changed == string(old) {
					t.Fatalf("%q is not in the sheet", tt.old)
				}
				return []byte(changed)
			})
			x, err := Open("-", bytes.NewReader(data), Options{})
			if err == nil {
				t.Fatalf("read: %d attempts", len(flat(x)))
			}
			d := (*damage)(nil)
			if !errors.As(err, &d) || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got %v, want %q", err, tt.want)
			}
		})
	}
}

// Where the first sheet is no table and one of the others is damaged, the sound
// one is not taken for the only table; asked for, it is read.
func TestDamagedOtherSheet(t *testing.T) {
	table := [][]any{{"athlete", "jump"}, {"a", 3}}
	data := sheetsOf(t, "About", [][]any{{"read me"}}, "One", table, "Two", table)
	data = withPart(t, data, "xl/worksheets/sheet3.xml", func(old []byte) []byte { return old[:len(old)/2] })
	if x, err := Open("-", bytes.NewReader(data), Options{}); err == nil {
		t.Errorf("read %q", x.Taken[0])
	}
	if x, err := Open("-", bytes.NewReader(data), Options{Sheet: "two"}); err != nil || len(x.Measures) != 1 {
		t.Errorf("the sound sheet: %v", err)
	}
	if _, err := Open("-", bytes.NewReader(data), Options{Sheet: "one"}); err == nil || !strings.Contains(err.Error(),
		"xl/worksheets/sheet3.xml") {
		t.Errorf("the damaged sheet: %v", err)
	}
}

// strictSheet is a sheet as encoding/xml reads it.
type strictSheet struct {
	Rows []struct {
		Number int `xml:"r,attr"`
		Cells  []struct {
			Reference string `xml:"r,attr"`
			Type      string `xml:"t,attr"`
			Value     string `xml:"v"`
		} `xml:"c"`
	} `xml:"sheetData>row"`
}

// numbersOf lists the cells with plain numbers that a strict parser sees.
func (s strictSheet) numbersOf() []string {
	var out []string
	row := 0
	for _, r := range s.Rows {
		if row++; r.Number != 0 {
			row = r.Number
		}
		column := 0
		for _, c := range r.Cells {
			column++
			if c.Reference != "" {
				column, _, _ = cellReference(c.Reference)
			}
			if _, _, ok := parseNumber([]byte(c.Value)); ok && (c.Type == "" || c.Type == "n") {
				out = append(out, fmt.Sprint(row, ":", column, "=", c.Value))
			}
		}
	}
	return out
}

// FuzzSheet changes the XML of a sheet inside a sound archive: it is refused,
// or every number that a strict parser sees comes out of it.
func FuzzSheet(f *testing.F) {
	sound := soundBook(f)
	withPart(f, sound, firstSheet, func(old []byte) []byte { f.Add(old); return old })
	f.Add([]byte(`<worksheet><sheetData><row><c><v>1</v></c><c r="D1" t="s"><v>0</v></c></row><row r="3"><c><v>2</v></c></row></sheetData></worksheet>`))
	f.Fuzz(func(t *testing.T, sheet []byte) {
		data := withPart(t, sound, firstSheet, func([]byte) []byte { return sheet })
		w, err := openWorkbook(data, "Sheet1", 0)
		if err != nil {
			return
		}
		defer w.close()
		var strict strictSheet
		if err := xml.Unmarshal(sheet, &strict); err != nil {
			t.Skip() // an encoding that only the workbook's reader knows, or a number that is none here
		}
		got := make(map[string]bool)
		for {
			cells, row, err := w.next()
			if err == io.EOF {
				break
			}
			if err != nil {
				return
			}
			for i, c := range cells {
				got[fmt.Sprint(row, ":", i+1, "=", string(c))] = true
			}
		}
		for _, n := range strict.numbersOf() {
			if !got[n] {
				t.Fatalf("%s is lost; have %v", n, got)
			}
		}
	})
}
