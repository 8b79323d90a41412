package cohort

import (
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

const hostile = "../../testdata/hostile"

// hostileFiles says what must be found in each file of testdata/hostile: the
// beginnings of all its faults, without the file name.
var hostileFiles = map[string][]string{
	"archive.zip":       {"a zip archive that is not an .xlsx workbook"},
	"points.csv":        {`row 3, column "sprint": the number is ambiguous: its point may separate decimals or group thousands, as may all points in the column: "1.401" (say which: --decimal . if`},
	"open-document.ods": {"not a table but an OpenDocument spreadsheet (.ods): save the table as .xlsx or CSV"},
	"bare-quote.csv":    {"row 3: a quote stands where none may"},
	"blank-header.csv":  {"row 1, column 3: the header is blank"},
	"blank.csv":         {"the file is empty"},
	"changing-level.csv": {
		`row 3, column "level": the text differs from that of row 2, of the same athlete and session`},
	"comma-in-csv.csv": {`row 2, column "value": the decimal separator is not '.', since the comma separates the columns: "30,5"`},
	"cut.gz":           {"the gzip file is damaged or cut short"},
	"duplicate-header.csv": {
		`row 1, column "value": the name is used by column 5 already`},
	"duplicate-rows.csv": {
		`row 4: the same attempt as row 2: same athlete, session, trial and measure "cmj"`,
		`row 5: the same attempt as row 3: same athlete, session, trial and measure "cmj"`},
	"empty.csv": {"the file is empty"},
	"groups.csv": {
		`row 2, column "value": not a plain decimal number: "1.234,5" (group separators are not read`,
		`row 3, column "value": not a plain decimal number: "1,234.5" (group separators are not read`,
		`row 4, column "value": not a plain decimal number: "12.345.678" (group separators are not read`},
	"header-without-newline.csv": {"the table has a header but no rows"},
	"latin.csv":                  {`row 3, column "athlete": the text is not UTF-8 (if it was written by an older Windows program, use --encoding windows-1252)`},
	"missing-keys.csv": {
		`row 2, column "session": the session is missing`,
		`row 3, column "trial": the trial is missing`,
		`row 4, column "trial": not the number of a trial: "x"`,
		`row 5, column "trial": not the number of a trial: "0"`,
		`row 6, column "trial": not the number of a trial: "1.5"`,
		`row 7, column "test": the measure is missing`},
	"mixed-line-ends.csv": {"row 2: 9 cells where the header has 5 (the file mixes line ends"},
	"no-athlete.csv": {
		`row 3, column "athlete": the athlete is missing`,
		`row 4, column "athlete": the athlete is missing`},
	"no-role.csv":         {`no column is known to be the athlete (say which with --column athlete=NAME; columns: "name", "when", "cmj"; also --column session=NAME if there are several sessions, --column measure=NAME --column value=NAME if each row is one attempt)`},
	"no-rows.csv":         {"the table has a header but no rows"},
	"no-value-column.csv": {`column "test" looks like the names of the measures, but no column is known to hold the values`},
	"not-numbers.csv": {
		`row 2, column "value": not a number: "fast"`,
		`row 3, column "value": not a plain decimal number: "1_000" (write it without underscores)`,
		`row 4, column "value": not a plain decimal number: "0x10" (write it in ordinary digits)`,
		`row 5, column "value": not a finite number: "inf"`,
		`row 6, column "value": not a finite number: "-Infinity"`,
		`row 7, column "value": too large for a number: "1e400"`,
		`row 8, column "value": too close to zero for a number: "1e-400"`,
		`row 9, column "value": not a number: "12 W" (leave the unit out`,
		`row 10, column "value": not a number: "<5" (a limit or an approximation`,
		`row 11, column "value": not a plain decimal number: "1 234" (group separators`,
		`row 12, column "value": not a number: "12%" (leave the unit out`,
		`row 13, column "value": not a number but a spreadsheet error: "#DIV/0!"`,
		`row 14, column "value": not a number: "n/a" (if this text means that the value is missing, say so: --missing "n/a")`,
		`row 15, column "value": not a plain decimal number: "1.2.3"`,
		`row 16, column "value": not a number: "--3"`,
		`row 17, column "value": not a number: "−3" (write a minus sign as the plain hyphen -)`,
		`row 18, column "value": not a number: "1e"`,
		`row 19, column "value": not a plain decimal number: "0b1"`,
		`row 20, column "value": not a number: "'5"`,
		`row 21, column "value": not a number: "."`},
	"not-really.gz":    {"not a readable gzip file"},
	"old-workbook.xls": {"not a table but an old or a password-protected workbook: save it as .xlsx"},
	"one-column.csv":   {"no delimiter found in the first row"},
	"only-words.csv":   {"the table holds no values"},
	"open-quote.csv":   {"row 3: a quoted cell is not closed properly"},
	"ragged.csv": {
		"row 3: 4 cells where the header has 5",
		"row 4: 6 cells where the header has 5"},
	"replacement.csv": {`row 2, column "test": a character cannot be read (U+FFFD)`},
	"rubbish.csv":     {"not a table: the file holds binary data"},
	"table.parquet":   {"a Parquet file, which is not read yet: write the table as CSV"},
	"two-decimals.csv": {
		`row 4, column "value": two decimal conventions: "30,5" in row 3, column "value", and here: "31.5"`},
	"two-delimiters.csv": {`the rows can be split at ";" and at ",": say which with --delimiter`},
	"utf16-no-mark.csv":  {"every second byte is zero, as in UTF-16 without a byte-order mark: if so, use --encoding utf-16le"},
	"utf16-odd.csv":      {`row 3, column "athlete": a character cannot be read (U+FFFD)`},
	"utf32.csv":          {"the text is in UTF-32: save it as UTF-8"},
	"zero-bytes.csv":     {`row 3, column "test": the cell holds a zero byte`},
}

func TestHostileFiles(t *testing.T) {
	entries, err := os.ReadDir(hostile)
	if err != nil {
		t.Fatal(err)
	}
	if len(entries) != len(hostileFiles) {
		t.Errorf("%d files, %d expectations", len(entries), len(hostileFiles))
	}
	for name, want := range hostileFiles {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(hostile, name)
			x, err := Open(path, nil, Options{})
			if err == nil {
				t.Fatalf("read without complaint: %d measures", len(x.Measures))
			}
			checkLines(t, err, path, want)
		})
	}
}

// checkLines compares an error, line by line, with beginnings.
func checkLines(t *testing.T, err error, path string, want []string) {
	t.Helper()
	lines := strings.Split(err.Error(), "\n")
	if len(lines) != len(want) {
		t.Fatalf("%d lines, want %d:\n%v", len(lines), len(want), err)
	}
	for i, line := range lines {
		if line = strings.TrimPrefix(line, path+": "); !strings.HasPrefix(line, want[i]) {
			t.Errorf("got  %s\nwant %s", line, want[i])
		}
	}
}

// No message may give an athlete's code away.
func TestFaultsKeepCodesToThemselves(t *testing.T) {
	for _, text := range []string{
		"athlete,session,trial,test,value\nSECRET,1,1,j,x\nSECRET,1,1,j,3\nSECRET,1,1,j,4\nSECRET,,1,j,4\n",
		"athlete,session,level,j\nSECRET,1,a,3\nSECRET,1,b,4\n",
	} {
		_, err := Open("-", strings.NewReader(text), Options{})
		if err == nil || strings.Contains(err.Error(), "SECRET") {
			t.Errorf("got %v", err)
		}
	}
}

func TestFaultsAreCountedPastTwenty(t *testing.T) {
	var b strings.Builder
	b.WriteString("id,test,value\n")
	for i := range 2133 {
		fmt.Fprintf(&b, "a,j,bad%d\n", i)
	}
	_, err := Open("-", strings.NewReader(b.String()), Options{})
	f := (*Faults)(nil)
	if !errors.As(err, &f) || f.Total != 2133 || len(f.List) != maxFaults {
		t.Fatalf("got %v", err)
	}
	lines := strings.Split(err.Error(), "\n")
	if len(lines) != 21 || lines[20] != "and 2113 more" {
		t.Errorf("got %d lines, the last %q", len(lines), lines[len(lines)-1])
	}
	want := Fault{File: "standard input", Row: 3, Field: 3, Column: "value", Text: "bad1", Problem: "not a number",
		Hint: "leave the cell empty when there is no value"}
	if diff := cmp.Diff(want, f.List[1]); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}

func TestLongTextsAreCut(t *testing.T) {
	_, err := Open("-", strings.NewReader("id,test,value\na,j,"+strings.Repeat("ä", 200)+"\n"), Options{})
	if want := strings.Repeat("ä", 40) + `…"`; err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("got %v", err)
	}
}

func TestNoSuchFile(t *testing.T) {
	_, err := Open(filepath.Join(t.TempDir(), "none.csv"), nil, Options{})
	if !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("got %v", err)
	}
	dir := t.TempDir()
	if _, err = Open(dir, nil, Options{}); err == nil || !strings.HasSuffix(err.Error(),
		"is a directory; name the table file in it") {
		t.Errorf("got %v", err)
	}
	if _, err = Open("-", nil, Options{}); err == nil {
		t.Error("standard input that is not there was read")
	}
}

// A cell of 5 MB is a fault of its row, with and without quotes; a row beyond
// all reason ends the reading.
func TestLargeCells(t *testing.T) {
	cell := strings.Repeat("x", 5<<20)
	for _, quote := range []string{"", `"`} {
		_, err := Open("-", strings.NewReader("id,test,value\na,j,3\na,"+quote+cell+quote+",4\na,j,5\n"), Options{})
		checkLines(t, err, "standard input",
			[]string{`row 3, column "test": the cell holds 5242880 bytes, more than a cell may`})
		_, err = Open("-", strings.NewReader("id,test,value\na,j,3\na,"+quote+strings.Repeat(cell, 5)), Options{})
		checkLines(t, err, "standard input", []string{"row 3: the row is longer than 16 MB"})
	}
}

func TestManyColumns(t *testing.T) {
	_, err := Open("-", strings.NewReader("id"+strings.Repeat(",x", maxColumns)+"\n"), Options{})
	if err == nil || !strings.Contains(err.Error(), "10001 columns") {
		t.Errorf("got %v", err)
	}
}

func gzipped(tb testing.TB, write func(z *gzip.Writer)) []byte {
	tb.Helper()
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	write(z)
	if err := z.Close(); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes()
}

// 320 MB of one row, packed into 400 kB, must be refused before it is read.
func TestGzipBomb(t *testing.T) {
	bomb := gzipped(t, func(z *gzip.Writer) { fmt.Fprintln(z, "id,test,value") })
	member := gzipped(t, func(z *gzip.Writer) { z.Write(bytes.Repeat([]byte("a,j,3\n"), 16<<20/6)) })
	bomb = append(bomb, bytes.Repeat(member, 20)...)
	_, err := Open("-", bytes.NewReader(bomb), Options{})
	if err == nil || !strings.Contains(err.Error(), "times its size: refused") {
		t.Errorf("got %v", err)
	}
}

func TestGzipTwice(t *testing.T) {
	once := gzipped(t, func(z *gzip.Writer) { fmt.Fprint(z, longText) })
	twice := gzipped(t, func(z *gzip.Writer) { z.Write(once) })
	if _, err := Open("-", bytes.NewReader(twice), Options{}); err == nil || !strings.Contains(err.Error(),
		"packed with gzip twice") {
		t.Errorf("got %v", err)
	}
}

// Hostile tables must not take long either: each of these is quadratic for a
// careless reader.
func TestManyDuplicates(t *testing.T) {
	var b strings.Builder
	b.WriteString("id,session,trial,test,value\n")
	for i := range 50_000 {
		fmt.Fprintf(&b, "a,%d,1,j,3\n", i%2)
	}
	start := time.Now()
	_, err := Open("-", strings.NewReader(b.String()), Options{})
	f := (*Faults)(nil)
	if !errors.As(err, &f) || f.Total != 49_998 {
		t.Errorf("got %v", err)
	}
	t.Log(time.Since(start))
}

func TestStrangers(t *testing.T) {
	for _, s := range strangers {
		_, err := Open("-", strings.NewReader(s.magic+strings.Repeat("\x00", 40)), Options{})
		if err == nil || !strings.Contains(err.Error(), s.what) {
			t.Errorf("%q: got %v", s.magic, err)
		}
	}
}

func TestWrongOptions(t *testing.T) {
	tests := []struct {
		name, text string
		o          Options
		want       string
	}{
		{"delimiter", "id,j\na,3\n", Options{Delimiter: ":"}, `unknown delimiter ":"`},
		{"decimal", "id,j\na,3\n", Options{Decimal: "'"}, `unknown decimal separator "'"`},
		{"encoding", "id,j\na,3\n", Options{Encoding: "ebcdic"}, `unknown encoding "ebcdic"`},
		{"role", "id,j\na,3\n", Options{Columns: map[string]string{"person": "id"}},
			`--column: there is no role "person"`},
		{"column", "id,j\na,3\n", Options{Columns: map[string]string{"athlete": "idd"}},
			`--column athlete: the table has no column "idd" (did you mean "id"?`},
		{"two roles", "id,j\na,3\n", Options{Columns: map[string]string{"athlete": "id", "session": "id"}},
			`--column session: column "id" is the athlete already`},
		{"attribute", "id,j\na,3\n", Options{Attributes: []string{"agee"}},
			`--attribute: the table has no column "agee"`},
		{"attribute with a role", "id,j\na,3\n", Options{Attributes: []string{"j"},
			Columns: map[string]string{"trial": "j"}}, `--attribute: column "j" is the trial (as --column says)`},
		{"value alone", "id,x,y\na,b,3\n", Options{Columns: map[string]string{"value": "y"}},
			"no column is known to be the measure"},
		{"utf-16 that is not", "id,j\na,3\n", Options{Encoding: "utf-16"}, "no byte-order mark"},
		{"mark against option", "\ufeffid,j\na,3\n", Options{Encoding: "utf-16le"},
			"begins with the byte-order mark of utf-8"},
		{"wrong decimal", "id;j\na;3,5\n", Options{Decimal: "."},
			`the decimal separator is not '.', as --decimal says: "3,5"`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Open("-", strings.NewReader(tt.text), tt.o)
			if err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got %v, want %q", err, tt.want)
			}
		})
	}
}
