package cohort

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"
)

// notesWith returns the notes that hold a text.
func notesWith(x *Table, text string) []string {
	var out []string
	for _, n := range x.Notes {
		if strings.Contains(n, text) {
			out = append(out, n)
		}
	}
	return out
}

// Sessions that are dates are put in the order of the calendar, and where that
// is not known a note says which order was taken.
func TestSessionOrderIsToldOrNoted(t *testing.T) {
	tests := []struct {
		name     string
		sessions []string
		want     []string
		note     string // the beginning of the note, "" without
	}{
		{"day first with points", []string{"02.04.2026", "14.03.2026"}, []string{"14.03.2026", "02.04.2026"}, ""},
		{"no zeros, newest first", []string{"2026-3-1", "2025-12-1"}, []string{"2025-12-1", "2026-3-1"}, ""},
		{"post before pre", []string{"Post", "Pre"}, []string{"Pre", "Post"}, ""},
		{"three words", []string{"red", "green", "blue"}, []string{"red", "green", "blue"},
			"neither numbers, nor dates, nor words for before and after order the sessions: the order of sessions is that of the file: \"red\", \"green\", \"blue\"; "},
		{"two words", []string{"red", "blue"}, []string{"red", "blue"}, "neither numbers, nor dates, "},
		{"numbers", []string{"3", "1", "2"}, []string{"1", "2", "3"}, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			text := "athlete,session,jump\n"
			for i, s := range tt.sessions {
				text += fmt.Sprintf("a,%s,%d\n", s, i)
			}
			x := read(t, text, Options{})
			if diff := cmp.Diff(tt.want, x.Sessions); diff != "" {
				t.Error(diff)
			}
			notes := notesWith(x, "order of sessions is that of the file")
			if tt.note == "" && len(notes) > 0 || tt.note != "" && (len(notes) != 1 || !strings.HasPrefix(notes[0],
				tt.note)) {
				t.Errorf("notes %q", x.Notes)
			}
			for _, n := range notes {
				for _, way := range []string{"yyyy-mm-dd", "--sessions", "--baseline", "--follow-up"} {
					if !strings.Contains(n, way) {
						t.Errorf("no %s in %q", way, n)
					}
				}
			}
			// the values went with their sessions
			for i, s := range x.Measures[0].Session {
				if got := tt.sessions[int(x.Measures[0].Value[i])]; got != x.Sessions[s] {
					t.Errorf("attempt %d: session %q, want %q", i, x.Sessions[s], got)
				}
			}
		})
	}
}

// Dates that can be read in two ways, with another order each, are a question
// that a dictionary answers.
func TestUndecidableDatesAreAsked(t *testing.T) {
	text := "athlete,day,jump\na,02/03/26,1\na,01/04/26,2\n"
	_, err := Open("-", strings.NewReader(text), Options{})
	if err == nil {
		t.Fatal("read")
	}
	for _, want := range []string{`column "day": what stands first in these dates?`,
		`with the day first the order is "02/03/26", "01/04/26"`,
		`with the month first the order is "01/04/26", "02/03/26"`, `"%d/%m/%y" if the day stands first`,
		`"%m/%d/%y" if the month`, "--dictionary FILE", "yyyy-mm-dd"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("no %s in %v", want, err)
		}
	}
	for format, want := range map[string][]string{"%d/%m/%y": {"02/03/26", "01/04/26"}, "%m/%d/%y": {"01/04/26",
		"02/03/26"}} {
		path := described(t, text,
			fmt.Sprintf(`,"schema": {"fields": [{"name": "athlete"}, {"name": "day", "type": "date", "format": %q}, {"name": "jump"}]}`, format))
		x, err := Open(path, nil, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, x.Sessions); diff != "" {
			t.Errorf("%s: %s", format, diff)
		}
	}
}

// The file's own order is told when it is not that of time.
func TestOrderOfTheFileIsTold(t *testing.T) {
	told := func(text string) string {
		for _, s := range read(t, text, Options{}).Taken {
			if strings.HasPrefix(s, "order of the sessions") {
				return s
			}
		}
		return ""
	}
	const want = `order of the sessions: by the words for before and after ("pre", "post"), where the file has another order: "post", "pre"`
	if got := told("athlete,session,jump\na,post,3\na,pre,2\n"); got != want {
		t.Errorf("got %s", got)
	}
	if got := told("athlete,session,jump\na,pre,3\na,post,2\n"); strings.Contains(got, "another") {
		t.Errorf("got %s", got)
	}
}

// A point before exactly three digits is decimal, or groups thousands: unless
// something in the file shows which, the reader must be told.
func TestAmbiguousPoints(t *testing.T) {
	const fault = `row 2, column "j": the number is ambiguous: its point may separate decimals or group thousands, as may all points in the column: "1.401" (say which: --decimal . if it separates decimals; --decimal , if it groups thousands, and then write the numbers without it)`
	tests := []struct {
		name, text string
		o          Options
		want       []string // faults; nil when the table is read
		value      float64  // of the first attempt of j
	}{
		{"semicolon", "id;j\na;1.401\nb;1.398\n", Options{}, []string{fault}, 0},
		{"tab", "id\tj\na\t1.401\nb\t12\n", Options{}, []string{fault}, 0},
		{"bar", "id|j\na|1.401\nb|998\n", Options{}, []string{fault}, 0},
		{"long", "id;test;value\na;j;1.401\n", Options{}, []string{strings.Replace(fault, `"j"`, `"value"`, 1)}, 0},
		{"blanks and sign", "id;j;k\na; 1.401 ;-12.500\n", Options{}, []string{fault,
			`row 2, column "k": the number is ambiguous`}, 0},
		{"the first such row", "id;j\na;3\nb;999.001\n", Options{},
			[]string{`row 3, column "j": the number is ambiguous: its point may separate decimals or group thousands, as may all points in the column: "999.001"`}, 0},
		{"declared", "id;j\na;1.401\n", Options{Decimal: "."}, nil, 1.401},
		{"declared otherwise", "id;j\na;1.401\n", Options{Decimal: ","},
			[]string{`row 2, column "j": the decimal separator is not ',', as --decimal says: "1.401" (if it is '.' throughout, say so: --decimal .; if it groups thousands, take it out: group separators are not read)`}, 0},
		{"comma between the columns", "id,j\na,1.401\n", Options{}, nil, 1.401},
		{"settled by two digits", "id;j\na;1.401\nb;1.40\n", Options{}, nil, 1.401},
		{"settled by one digit", "id;j\na;1.401\nb;12.5\n", Options{}, nil, 1.401},
		{"settled by a leading zero", "id;j\na;1.401\nb;0.123\n", Options{}, nil, 1.401},
		{"settled by four digits before", "id;j\na;1.401\nb;1401.123\n", Options{}, nil, 1.401},
		{"settled by a power of ten", "id;j\na;1.401\nb;1.401e0\n", Options{}, nil, 1.401},
		{"settled by a power of ten of that length", "id;j\na;1.401\nb;1.5e3\n", Options{}, nil, 1.401},
		{"settled by another column", "id;j;k\na;1.401;2.5\n", Options{}, nil, 1.401},
		{"settled by an attribute", "id;age;j\na;16.5;1.401\n", Options{}, nil, 1.401},
		{"not settled by words", "id;comment;j\na;v 2.5;1.401\n", Options{}, []string{fault}, 0},
		{"not settled by numbers among words", "id;level;j\na;1.401;1.401\nb;2.5;3\nc;A;3\n", Options{},
			[]string{fault}, 0},
		{"not settled by commas of an attribute", "id;age;j\na;16,5;1.401\n", Options{}, []string{fault}, 0},
		{"not settled by a whole number", "id;j;k\na;1.401;25\n", Options{}, []string{fault}, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			x, err := Open("-", strings.NewReader(tt.text), tt.o)
			switch {
			case tt.want == nil && err != nil:
				t.Fatal(err)
			case tt.want == nil:
				if got := x.Measures[0].Value[0]; got != tt.value || x.Source.Decimal != "." {
					t.Errorf("got %v with %q", got, x.Source.Decimal)
				}
			case err == nil:
				t.Fatalf("read: %q", flat(x))
			default:
				checkLines(t, err, "standard input", tt.want)
			}
		})
	}
}

// A workbook stores numbers, whose decimal separator is known.
func TestPointsOfWorkbooks(t *testing.T) {
	x := readBook(t, book(t, [][]any{{"id", "session", "j"}, {"a", 1, 1.401}, {"b", 1, "1.398"}}, nil), Options{})
	if diff := cmp.Diff([]float64{1.401, 1.398}, x.Measures[0].Value); diff != "" {
		t.Error(diff)
	}
}

// The dictionary settles it too: for the table or for a column.
func TestAmbiguousPointsDescribed(t *testing.T) {
	for schema, want := range map[string]string{
		`{"name":"j","type":"number","decimalChar":"."}`:                                                "",
		`{"name":"j","type":"number","groupChar":".","decimalChar":","}`:                                "",
		`{"name":"j","type":"number"}`:                                                                  "the number is ambiguous",
		`{"name":"j","type":"number","decimalChar":"."},{"name":"k","type":"number","decimalChar":","}`: "",
	} {
		header, row := "id;j", "a;1.401"
		if strings.Contains(schema, `"k"`) {
			header, row = header+";k", row+";2,5"
		}
		_, err := Open(described(t, header+"\n"+row+"\n", `,"schema":{"fields":[{"name":"id"},`+schema+`]}`), nil,
			Options{})
		if want == "" && err != nil || want != "" && (err == nil || !strings.Contains(err.Error(), want)) {
			t.Errorf("%s: got %v", schema, err)
		}
	}
}

// Attributes are read as numbers only when somebody asks, and are as
// ambiguous then.
func TestAmbiguousAttributes(t *testing.T) {
	const text = "id;height;mass;jump\na;1.801;%s;30\nb;1.702;80;31\n"
	x := read(t, fmt.Sprintf(text, "81"), Options{})
	for name, get := range map[string]func() error{
		"numbers":   func() error { _, err := x.AthleteNumbers("height"); return err },
		"condition": func() error { _, err := x.Where([]string{"height>1.75"}); return err },
	} {
		if err := get(); err == nil || !strings.Contains(err.Error(), `column "height": the number is ambiguous`) ||
			!strings.Contains(err.Error(), `"1.801"`) || !strings.Contains(err.Error(), "--decimal .") {
			t.Errorf("%s: got %v", name, err)
		}
	}
	if got, err := x.AthleteNumbers("mass"); err != nil || got[0] != 81 {
		t.Errorf("whole numbers: %v, %v", got, err)
	}
	for name, settled := range map[string]*Table{
		"declared": read(t, fmt.Sprintf(text, "81"), Options{Decimal: "."}), "by another": read(t, fmt.Sprintf(text,
			"81.5"), Options{}),
		"comma between columns": read(t, strings.ReplaceAll(fmt.Sprintf(text, "81"), ";", ","), Options{})} {
		if got, err := settled.AthleteNumbers("height"); err != nil || got[0] != 1.801 {
			t.Errorf("%s: %v, %v", name, got, err)
		}
	}
}

// sheetsOf writes a workbook of sheets in the given order, each with rows.
func sheetsOf(tb testing.TB, sheets ...any) []byte {
	f := excelize.NewFile()
	for i := 0; i < len(sheets); i += 2 {
		name := sheets[i].(string)
		_, err := f.NewSheet(name)
		must(tb, err)
		for r, row := range sheets[i+1].([][]any) {
			must(tb, f.SetSheetRow(name, fmt.Sprintf("A%d", r+1), &row))
		}
	}
	must(tb, f.DeleteSheet("Sheet1"))
	var b bytes.Buffer
	must(tb, f.Write(&b))
	return b.Bytes()
}

// Where the first sheet is not the table, the only one that is takes its
// place; else the error says which was read and which others there are.
func TestWhichSheet(t *testing.T) {
	readme := [][]any{{"About these tests"}, {"written in spring"}}
	words := [][]any{{"id", "remark"}, {"a", "fine"}}
	data := [][]any{{"athlete", "session", "jump"}, {"a", 1, 3.5}, {"a", 2, 4}}
	other := [][]any{{"athlete", "jump"}, {"b", 3}}
	bad := [][]any{{"athlete", "jump"}, {"b", 3}, {"c", "12 W"}}
	tests := []struct {
		name   string
		sheets []any
		o      Options
		want   string // Taken[0], or the error's end
	}{
		{"first", []any{"Data", data, "Notes", readme}, Options{},
			`file: Excel workbook, sheet "Data" (the first; others: "Notes", read with --sheet NAME)`},
		{"first of two tables", []any{"Data", data, "Other", other}, Options{},
			`file: Excel workbook, sheet "Data" (the first; others: "Other", read with --sheet NAME)`},
		{"text first", []any{"Read me", readme, "Data", data}, Options{},
			`file: Excel workbook, sheet "Data" (the only one that holds a table; the first, "Read me", does not; others: "Read me", read with --sheet NAME)`},
		{"empty first", []any{"Blank", [][]any{}, "Data", data, "Words", words}, Options{},
			`file: Excel workbook, sheet "Data" (the only one that holds a table; the first, "Blank", does not; others: "Blank", "Words", read with --sheet NAME)`},
		{"words first", []any{"Words", words, "Data", data}, Options{},
			`file: Excel workbook, sheet "Data" (the only one that holds a table; the first, "Words", does not; others: "Words", read with --sheet NAME)`},
		{"column of another sheet", []any{"Data", data, "Other", [][]any{{"who", "jump"}, {"b", 3}}},
			Options{Columns: map[string]string{"athlete": "who"}},
			`file: Excel workbook, sheet "Other" (the only one that holds a table; the first, "Data", does not; others: "Data", read with --sheet NAME)`},
		{"as asked", []any{"Data", data, "Other", other}, Options{Sheet: "other"},
			`file: Excel workbook, sheet "Other" (as asked)`},
		{"two to choose from", []any{"Read me", readme, "Data", data, "Other", other}, Options{},
			`(this is sheet "Read me", the first; the others are "Data", "Other": --sheet NAME reads one of them)`},
		{"none to choose from", []any{"Read me", readme, "Words", words}, Options{},
			`(this is sheet "Read me", the first; the others are "Words": --sheet NAME reads one of them)`},
		{"empty, none to choose from", []any{"Blank", [][]any{}, "Words", words}, Options{},
			`(this is sheet "Blank", the first; the others are "Words": --sheet NAME reads one of them)`},
		{"bad cell", []any{"Data", bad, "Other", other}, Options{},
			`(this is sheet "Data", the first; the others are "Other": --sheet NAME reads one of them)`},
		{"bad cell of the only table", []any{"Read me", readme, "Data", bad}, Options{},
			`(this is sheet "Data", the only one that holds a table; the first, "Read me", does not; the others are "Read me": --sheet NAME reads one of them)`},
		{"asked for the wrong one", []any{"Read me", readme, "Data", data}, Options{Sheet: "Read me"},
			`columns: "About these tests"; also --column session=NAME if there are several sessions, --column measure=NAME --column value=NAME if each row is one attempt)`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			x, err := Open("-", bytes.NewReader(sheetsOf(t, tt.sheets...)), tt.o)
			if err != nil {
				if !strings.HasSuffix(err.Error(), tt.want) {
					t.Errorf("got  %v\nwant %s", err, tt.want)
				}
				return
			}
			if x.Taken[0] != tt.want {
				t.Errorf("got  %s\nwant %s", x.Taken[0], tt.want)
			}
			if len(x.Measures) != 1 || x.Measures[0].Name != "jump" {
				t.Errorf("read %q", flat(x))
			}
		})
	}
	_, err := Open("-", bytes.NewReader(sheetsOf(t, "Data", bad, "Other", other)), Options{})
	if f := (*Faults)(nil); !errors.As(err, &f) || f.Total != 1 || f.List[0].Row != 3 {
		t.Errorf("the faults are lost: %v", err)
	}
}

// A hidden sheet is named but never taken by itself.
func TestHiddenSheet(t *testing.T) {
	data := book(t, [][]any{{"About these tests"}, {"written in spring"}}, func(f *excelize.File) {
		_, err := f.NewSheet("Old")
		must(t, err)
		must(t, f.SetSheetRow("Old", "A1", &[]any{"athlete", "jump"}))
		must(t, f.SetSheetRow("Old", "A2", &[]any{"a", 3}))
		must(t, f.SetSheetVisible("Old", false))
	})
	if _, err := Open("-", bytes.NewReader(data), Options{}); err == nil || !strings.Contains(err.Error(),
		`the others are "Old"`) {
		t.Errorf("got %v", err)
	}
}

func TestNoSessionColumn(t *testing.T) {
	const head = `no column is known to be the session, so all rows count as one session, "1": `
	tests := []struct {
		name, text string
		o          Options
		want       string // the note, "" without
		missing    bool
	}{
		{"wide", "id,Testtag,age,jump\na,x,20,3\na,y,20,4\n", Options{},
			head + `if one is, name it with --column session=NAME; columns left: "Testtag", "age", "jump"`, true},
		{"long", "id,Testtag,test,value\na,x,j,3\na,y,j,4\n", Options{},
			head + `if one is, name it with --column session=NAME; columns left: "Testtag"`, true},
		{"none left", "id,test,value\na,j,3\n", Options{}, head + "no column is left that could be", true},
		{"named", "id,Testtag,jump\na,x,3\na,y,4\n", Options{Columns: map[string]string{"session": "Testtag"}}, "",
			false},
		{"known", "id,visit,jump\na,1,3\n", Options{}, "", false},
		{"taken away", "id,visit,jump\na,1,3\n", Options{Columns: map[string]string{"session": ""}}, "", true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			x := read(t, tt.text, tt.o)
			got := strings.Join(notesWith(x, "known to be the session"), "\n")
			if got != tt.want || x.NoSessionColumn != tt.missing {
				t.Errorf("got %v, %s", x.NoSessionColumn, got)
			}
			if y, err := x.Where([]string{"athlete=a"}); err != nil || y.NoSessionColumn != tt.missing {
				t.Errorf("narrowed: %v, %v", y, err)
			}
		})
	}
}

// Options that no table can meet are told from data that is wrong, before any
// file is opened.
func TestOptionErrors(t *testing.T) {
	tests := []struct {
		o            Options
		option, want string
	}{
		{Options{Delimiter: ";;"}, "delimiter", `--delimiter: unknown delimiter ";;": have "," ";" "|" and tab`},
		{Options{Delimiter: ":"}, "delimiter", `--delimiter: unknown delimiter ":"`},
		{Options{Decimal: ".,"}, "decimal", `--decimal: unknown decimal separator ".,"`},
		{Options{Encoding: "latin9"}, "encoding", `--encoding: unknown encoding "latin9"`},
		{Options{Columns: map[string]string{"sesion": "x"}}, "column",
			`--column: there is no role "sesion"; did you mean "session"? Roles: "athlete"`},
	}
	for _, tt := range tests {
		_, err := Open("no such file", nil, tt.o)
		o := (*OptionError)(nil)
		if !errors.As(err, &o) || o.Option != tt.option || !strings.HasPrefix(err.Error(), tt.want) {
			t.Errorf("%+v: got %v", tt.o, err)
		}
	}
	x := read(t, cohortText, Options{})
	for condition, wrong := range map[string]bool{"level": true, "=school": true, "age>": true, "foo=1": false,
		"level=x": false, "session=S7": false} {
		_, err := x.Where([]string{condition})
		if o := (*OptionError)(nil); err == nil || errors.As(err, &o) != wrong || wrong && o.Option != "where" {
			t.Errorf("%q: got %v", condition, err)
		}
	}
	for name, o := range map[string]Options{"column": {Columns: map[string]string{"athlete": "idd"}},
		"attribute": {Attributes: []string{"x"}}} {
		_, err := Open("-", strings.NewReader("id,j\na,3\n"), o)
		if e := (*OptionError)(nil); err == nil || errors.As(err, &e) {
			t.Errorf("%s: of the table, not of the command line: %v", name, err)
		}
	}
	if _, err := Open(described(t, "id,j\na,3\n", `,"encoding":"ebcdic"`), nil, Options{}); err == nil {
		t.Error("read")
	} else if e := (*OptionError)(nil); errors.As(err, &e) {
		t.Errorf("of the dictionary, not of the command line: %v", err)
	}
}

// One mistake is one fault, and all roles that are missing are in one.
func TestRoleFaults(t *testing.T) {
	tests := []struct {
		name, header string
		columns      map[string]string
		want         []string
	}{
		{"named wrongly", "code nr,visit,jump", map[string]string{"athlete": "code number"},
			[]string{`--column athlete: the table has no column "code number" (did you mean "code nr"? Columns: "code nr", "visit", "jump")`}},
		{"named wildly", "name,visit,jump", map[string]string{"athlete": "foo"},
			[]string{`--column athlete: the table has no column "foo" (columns: "name", "visit", "jump")`}},
		{"measure named wrongly", "id,test,value", map[string]string{"measure": "foo"},
			[]string{`--column measure: the table has no column "foo" (columns:`}},
		{"value named wrongly", "id,test,got", map[string]string{"value": "foo"},
			[]string{`--column value: the table has no column "foo" (columns:`}},
		{"two roles of one column", "id,test,value", map[string]string{"athlete": "id", "measure": "id",
			"value": "value"},
			[]string{`--column measure: column "id" is the athlete already (a column has one role)`}},
		{"all missing", "name,what,got", map[string]string{"value": "got"},
			[]string{`no columns are known to be the athlete and the measure (say which with --column athlete=NAME --column measure=NAME; columns: "name", "what", "got"; also --column session=NAME if there are several sessions)`}},
		{"athlete missing", "name,visit,jump", nil,
			[]string{`no column is known to be the athlete (say which with --column athlete=NAME; columns: "name", "visit", "jump"; also --column measure=NAME --column value=NAME if each row is one attempt)`}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Open("-", strings.NewReader(tt.header+"\na,j,3\n"), Options{Columns: tt.columns})
			if err == nil {
				t.Fatal("read")
			}
			checkLines(t, err, "standard input", tt.want)
		})
	}
}

func TestArchives(t *testing.T) {
	tests := []struct {
		files map[string]string
		want  string
	}{
		{map[string]string{"mimetype": "application/vnd.oasis.opendocument.spreadsheet", "content.xml": "<a/>"},
			"not a table but an OpenDocument spreadsheet (.ods): save the table as .xlsx or CSV"},
		{map[string]string{"mimetype": "application/vnd.oasis.opendocument.spreadsheet-template\n"},
			"not a table but an OpenDocument spreadsheet (.ods): "},
		{map[string]string{"mimetype": "application/vnd.oasis.opendocument.text"},
			"not a table but an OpenDocument text (.odt): "},
		{map[string]string{"mimetype": "application/vnd.oasis.opendocument.chart"},
			"not a table but an OpenDocument file: "},
		{map[string]string{"[Content_Types].xml": "<Types/>", "word/document.xml": "<a/>"},
			"not a table but a text document (.docx): "},
		{map[string]string{"[Content_Types].xml": "<Types/>", "ppt/presentation.xml": "<a/>"},
			"not a table but a presentation (.pptx): "},
		{map[string]string{"[Content_Types].xml": "<Types/>", "xl/workbook.bin": "x"},
			"not a table but a binary workbook (.xlsb): "},
		{map[string]string{"a/tests.CSV": "x"},
			`a zip archive that is not an .xlsx workbook: unpack it and name the table in it: "a/tests.CSV"`},
		{map[string]string{"mimetype": "application/epub+zip"},
			"a zip archive that is not an .xlsx workbook: unpack it, or save the table as .xlsx or CSV"},
		{nil, "a zip archive that is not an .xlsx workbook: unpack it, or save the table as .xlsx or CSV"},
	}
	for _, tt := range tests {
		_, err := Open("-", bytes.NewReader(zipped(t, tt.files)), Options{})
		if err == nil {
			t.Fatalf("%v was read", tt.files)
		}
		checkLines(t, err, "standard input", []string{tt.want})
	}
}

// The search for formulas ends at some point, and says so.
func TestFormulasBeyondTheSearch(t *testing.T) {
	for _, empty := range []int{maxFormulas, maxFormulas + 1, maxFormulas + 20} {
		rows := [][]any{{"id", "session", "j"}, {"a", 1, 3}}
		for range empty {
			rows = append(rows, []any{"a", 1, nil})
		}
		x := readBook(t, book(t, rows, nil), Options{})
		want := ""
		if over := empty - maxFormulas; over > 0 {
			want = fmt.Sprintf("of the empty cells only the first 200 were looked at for formulas without a value, and %s not: if", counted(over, "more cell"))
		}
		notes := notesWith(x, "formulas")
		if want == "" && len(notes) > 0 || want != "" && (len(notes) != 1 || !strings.HasPrefix(notes[0], want)) {
			t.Errorf("%d empty cells: %q", empty, x.Notes)
		}
	}
}

// One of a thing is not called by its plural.
func TestSingular(t *testing.T) {
	for _, tt := range []struct{ constraint, cell, want string }{
		{`"maxLength":1`, "xy", "longer than the 1 character that"}, {`"minLength":2`, "x",
			"shorter than the 2 characters that"}} {
		path := described(t, "id,j,x\na,1,"+tt.cell+"\n",
			`,"schema":{"fields":[{"name":"id"},{"name":"j","type":"number"},{"name":"x","type":"string","constraints":{`+tt.constraint+`}}]}`)
		if _, err := Open(path, nil, Options{}); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("got %v", err)
		}
	}
	if _, err := Open(described(t, "id,j\na,3\n", `,"bytes":1`), nil, Options{}); err == nil ||
		!strings.Contains(err.Error(), "states 1 byte, the file has 9") {
		t.Errorf("got %v", err)
	}
}

// Characters that nobody sees make no other athlete, session or column, and one
// note says where they were.
func TestInvisibleCharacters(t *testing.T) {
	for _, mark := range []string{"\u200b", "\u200c", "\u200d", "\u200e", "\u200f", "\u2060", "\ufeff"} {
		text := "athlete,sess" + mark + "ion,jump" + mark + "\na1,S1,3\na" + mark + "1,S2" + mark + ",4\n" + mark + "a1, S" + mark + "3," + mark + "5\n"
		x := read(t, text, Options{})
		want := []string{"jump | a1 | S1 | 1 | 3", "jump | a1 | S2 | 1 | 4", "jump | a1 | S3 | 1 | 5"}
		if diff := cmp.Diff(want, flat(x)); diff != "" {
			t.Errorf("%+q (-want +got)\n%s", mark, diff)
		}
		const note = `invisible characters, such as zero width spaces, were taken out of the head of "session", "jump" and cells of "athlete", "session": `
		if notes := notesWith(x, "invisible"); len(notes) != 1 || !strings.HasPrefix(notes[0], note) {
			t.Errorf("%+q: notes %q", mark, x.Notes)
		}
	}
	if notes := notesWith(read(t, "athlete,jump\nZoë,3\n", Options{}), "invisible"); len(notes) > 0 {
		t.Errorf("notes %q", notes)
	}
}

// Rows without a value repeat nothing, and hide no repeat between them.
func TestRowsWithoutValuesAreNoRepeats(t *testing.T) {
	tests := []struct {
		name, text string
		want       string // the beginning of the note, "" without
	}{
		{"long", "athlete,measure,value\na,jump,\na,jump,3\na,jump,NA\na,jump,\n", ""},
		{"wide", "athlete,jump,throw\na,,NA\na,3,4\na,NA,\na,,\n", ""},
		{"long, around a gap", "athlete,measure,value\na,jump,3\na,jump,\na,jump,3\n",
			"1 row with the value of an earlier row of the same athlete, session and measure (such as rows 2 and 4)"},
		{"wide, with a gap", "athlete,jump,throw\na,3,\na,,\na,3,\n",
			"1 row with exactly the measures of an earlier row of the same athlete and session (such as rows 2 and 4)"},
		{"wide, a gap is no value", "athlete,jump,throw\na,3,\na,3,0\n", ""},
	}
	for _, tt := range tests {
		notes := notesWith(read(t, tt.text, Options{}), "of an earlier row")
		if tt.want == "" && len(notes) > 0 || tt.want != "" && (len(notes) != 1 || !strings.HasPrefix(notes[0],
			tt.want)) {
			t.Errorf("%s: notes %q", tt.name, notes)
		}
	}
}

// Both ends of the plausible range of a measure are noted, and both limits of
// a field are faults; the limits themselves are inside.
func TestBothLimits(t *testing.T) {
	const text = "athlete,session,jump\na,1,30\nb,1,60\nc,1,60.5\nd,1,29.5\ne,1,61\n"
	for limits, rows := range map[string]string{
		`"minimum":30,"maximum":60`: "3 values outside the plausible range 30 to 60 of the dictionary: row 4, 5, 6",
		`"maximum":60`:              "2 values outside the plausible range … to 60 of the dictionary: row 4, 6",
		`"minimum":30`:              "1 value outside the plausible range 30 to … of the dictionary: row 5",
	} {
		path := described(t, text, `,"nf:measures":[{"name":"jump",`+limits+`}]`)
		x, err := Open(path, nil, Options{})
		must(t, err)
		if notes := notesWith(x, "plausible"); len(notes) != 1 || !strings.Contains(notes[0], rows) {
			t.Errorf("%s: notes %q", limits, x.Notes)
		}
	}
	for limits, want := range map[string][]string{
		`"minimum":30`: {`row 5, column "jump": below the minimum 30`},
		`"maximum":60`: {`row 4, column "jump": above the maximum 60`,
			`row 6, column "jump": above the maximum 60`},
		`"exclusiveMinimum":30`: {`row 2, column "jump": not above the exclusive minimum 30`,
			`row 5, column "jump": not above`},
		`"exclusiveMaximum":61`: {`row 6, column "jump": not below the exclusive maximum 61`},
	} {
		path := described(t, text,
			`,"schema":{"fields":[{"name":"athlete"},{"name":"session"},{"name":"jump","type":"number","constraints":{`+limits+`}}]}`)
		_, err := Open(path, nil, Options{})
		if err == nil {
			t.Errorf("%s: read", limits)
			continue
		}
		checkLines(t, err, path, want)
	}
}
