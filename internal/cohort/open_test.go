package cohort

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// put writes a file into a fresh folder.
func put(tb testing.TB, name, content string) string {
	tb.Helper()
	path := filepath.Join(tb.TempDir(), name)
	if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
		tb.Fatal(err)
	}
	return path
}

// read opens a table from text, as standard input.
func read(tb testing.TB, text string, o Options) *Table {
	tb.Helper()
	t, err := Open("-", strings.NewReader(text), o)
	if err != nil {
		tb.Fatalf("Open: %v\n%s", err, text)
	}
	return t
}

// flat writes out all attempts and attributes of a table, one to a line, by
// code and name, so that tables compare by what they hold.
func flat(t *Table) []string {
	var out []string
	for _, m := range t.Measures {
		for i, v := range m.Value {
			out = append(out, fmt.Sprintf("%s | %s | %s | %d | %v", m.Name, t.Athletes[m.Athlete[i]],
				t.Sessions[m.Session[i]], m.Trial[i], v))
		}
	}
	for _, a := range t.Attributes {
		for cell, id := range a.ids {
			if id != absent {
				out = append(out, fmt.Sprintf("%s (%s) | %s | %s | %s", a.Name, a.Role,
					t.Athletes[t.cellAthlete[cell]], t.Sessions[t.cellSession[cell]], a.texts[id]))
			}
		}
	}
	return out
}

const longText = `Code,Visit,Attempt,Test,Side,Result,Squad,Age,throws
007,S1,1,jump,,35.2,senior,20,R
007,S1,2,jump,,36.1,senior,20,R
007,S10,1,jump,,NA,senior,21,R
 007 ,S2,1,throw,Left,10.5,senior,20,R
P2,S2,1,throw,right,12.5,school,,L
P2,S2,1,jump,,-1e1,school,,L
`

func TestOpenLong(t *testing.T) {
	x := read(t, longText, Options{})
	want := []string{ // by hand
		"jump | 007 | S1 | 1 | 35.2",
		"jump | 007 | S1 | 2 | 36.1",
		"jump | P2 | S2 | 1 | -10",
		"throw.left | 007 | S2 | 1 | 10.5",
		"throw.right | P2 | S2 | 1 | 12.5",
		"Squad (level) | 007 | S1 | senior",
		"Squad (level) | 007 | S10 | senior",
		"Squad (level) | 007 | S2 | senior",
		"Squad (level) | P2 | S2 | school",
		"Age () | 007 | S1 | 20",
		"Age () | 007 | S10 | 21",
		"Age () | 007 | S2 | 20",
		"throws (dominant) | 007 | S1 | R",
		"throws (dominant) | 007 | S10 | R",
		"throws (dominant) | 007 | S2 | R",
		"throws (dominant) | P2 | S2 | L",
	}
	if diff := cmp.Diff(want, flat(x)); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	if diff := cmp.Diff([]string{"S1", "S2", "S10"}, x.Sessions); diff != "" {
		t.Errorf("sessions (-want +got)\n%s", diff)
	}
	if diff := cmp.Diff([]LeftOut{{"no value", 1}}, x.LeftOut); diff != "" {
		t.Errorf("left out (-want +got)\n%s", diff)
	}
	taken := []string{
		`file: CSV in UTF-8, columns split at ","`,
		"layout: long, one attempt in each row",
		`athlete: column "Code" (by its name)`,
		`session: column "Visit" (by its name)`,
		`trial: column "Attempt" (by its name)`,
		`measure: column "Test" (by its name)`,
		`value: column "Result" (by its name)`,
		`side: column "Side" (by its name)`,
		`level: column "Squad" (by its name)`,
		`dominant: column "throws" (by its name)`,
		`order of the sessions: by the number in the name ("S1", "S2", "S10"), where the file has another order: "S1", "S10", "S2"`,
		`attributes of the athletes: columns "Age"`,
	}
	if diff := cmp.Diff(taken, x.Taken); diff != "" {
		t.Errorf("taken (-want +got)\n%s", diff)
	}
	sum := sha256.Sum256([]byte(longText))
	source := Source{Path: "-", SHA256: hex.EncodeToString(sum[:]), Bytes: int64(len(longText)), Rows: 6,
		Format: "CSV", Layout: "long", Encoding: "UTF-8", Delimiter: ",", Decimal: "."}
	if diff := cmp.Diff(source, x.Source); diff != "" {
		t.Errorf("source (-want +got)\n%s", diff)
	}
}

const wideText = `player	date	age	height_cm	comment	position	jump	throw	late
b	2026-02-01	20	180	fine	wing	30,5	12	
a	2026-01-05	22	190	sore	back	31	13,25	
b	2026-01-05	20	181			30	-	
b	2026-01-05	20	181			29	11	
`

func TestOpenWide(t *testing.T) {
	x := read(t, wideText+"a\t2026-02-01\t22\t190\t\t\t33\t\t7\n", Options{Missing: []string{"-"}})
	want := []string{ // by hand; sessions in order of the dates
		"jump | b | 2026-02-01 | 1 | 30.5",
		"jump | a | 2026-01-05 | 1 | 31",
		"jump | b | 2026-01-05 | 1 | 30",
		"jump | b | 2026-01-05 | 2 | 29",
		"jump | a | 2026-02-01 | 1 | 33",
		"throw | b | 2026-02-01 | 1 | 12",
		"throw | a | 2026-01-05 | 1 | 13.25",
		"throw | b | 2026-01-05 | 2 | 11",
		"late | a | 2026-02-01 | 1 | 7",
	}
	if diff := cmp.Diff(want, flat(x)[:len(want)]); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	if diff := cmp.Diff([]string{"2026-01-05", "2026-02-01"}, x.Sessions); diff != "" {
		t.Errorf("sessions (-want +got)\n%s", diff)
	}
	if diff := cmp.Diff([]string{"age", "height_cm", "comment", "position"}, x.attributeNames()); diff != "" {
		t.Errorf("attributes (-want +got)\n%s", diff)
	}
	s := x.Source
	if s.Layout != "wide" || s.Format != "TSV" || s.Decimal != "," || s.Delimiter != "TAB" {
		t.Errorf("source = %+v", s)
	}
	if !slices.Contains(x.Taken, `decimal separator: comma ("30,5" in row 2, column "jump")`) {
		t.Errorf("taken = %q", x.Taken)
	}
}

// Many columns are decided by rules rather than by looking; each row is one
// rule.
func TestRoles(t *testing.T) {
	rows := "\na,1,L,5,1,x\na,1,R,6,2,y\nb,1,L,7,3,z\nb,1,R,8,4,x\n"
	tests := []struct {
		name, header, rows string
		o                  Options
		want               string // the sentence that must be there
	}{
		{"arm with both sides is the side", "id,visit,arm,jump,sprint,note", rows, Options{},
			`side: column "arm" (by its name: athletes have more than one)`},
		{"arm with one side each is the dominant side", "id,visit,arm,jump", "\na,1,L,5\nb,1,R,6\n", Options{},
			`dominant: column "arm" (by its name: each athlete has one)`},
		{"arm with other words is the group", "id,visit,arm,jump", "\na,1,control,5\nb,1,treated,6\n", Options{},
			`group: column "arm" (by its name: its cells are not sides)`},
		{"flag over name", "id,athlete,visit,jump", "\na,x,1,5\n",
			Options{Columns: map[string]string{"athlete": "ID"}}, `athlete: column "id" (as --column says)`},
		{"athlete before id", "id,athlete,visit,jump", "\na,x,1,5\n", Options{},
			`athlete: column "athlete" (by its name)`},
		{"session before date", "id,date,session,jump", "\na,2026-01-01,1,5\n", Options{},
			`session: column "session" (by its name)`},
		{"no session", "id,jump", "\na,5\n", Options{}, `session: no column; every row belongs to one session, "1"`},
		{"no trial", "id,jump", "\na,5\n", Options{},
			`trial: no column; repeated rows are trials, in the order of the file`},
		{"empty flag takes a role away", "id,session,jump", "\na,1,5\n",
			Options{Columns: map[string]string{"session": ""}},
			`session: no column; every row belongs to one session, "1"`},
		{"attribute is no role", "id,test,jump", "\na,first,5\n", Options{Attributes: []string{"test"}},
			`attributes of the athletes: columns "test"`},
		{"numeric throws is a measure", "id,throws", "\na,12\n", Options{}, `measures: columns "throws"`},
		{"score without measure is wide", "id,score", "\na,12\n", Options{}, `measures: columns "score"`},
		{"covariate with a unit", "id,Body mass (kg),jump", "\na,80,5\n", Options{},
			`attributes of the athletes: columns "Body mass (kg)"`},
		{"spaces and case", "Participant ID,Test Date,jump", "\na,2026-01-01,5\n", Options{},
			`session: column "Test Date" (by its name)`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if x := read(t, tt.header+tt.rows, tt.o); !slices.Contains(x.Taken, tt.want) {
				t.Errorf("want %q in\n%s", tt.want, strings.Join(x.Taken, "\n"))
			}
		})
	}
}

// Wrong numbers make a column of a wide table a measure, with faults; words
// make it an attribute.
func TestLooksNumeric(t *testing.T) {
	for cell, want := range map[string]bool{"1_000": true, "1.234,5": true, "0x1f": true, "1e400": true, "<5": true,
		">12": true, "-1_000": true, "+1 234": true,
		"12/03/2026": false, "2026-03-12": false, "18-21": false, "2nd": false, "U18": false, "-": false,
		"<none>": false, "9a": false, "–": false} {
		if got := looksNumeric([]byte(cell)); got != want {
			t.Errorf("%q: %v", cell, got)
		}
	}
}

func TestOpenSeparatorLine(t *testing.T) {
	x := read(t, "sep=;\nid;jump\na;30,5\n", Options{})
	if got := flat(x); !slices.Equal(got, []string{"jump | a | 1 | 1 | 30.5"}) {
		t.Errorf("got %q", got)
	}
	_, err := Open("-", strings.NewReader("sep=;\nid;jump\na;x\nb;3\n"), Options{})
	if err == nil || !strings.Contains(err.Error(), "row 2") {
		t.Errorf("the sep= line is no row of the spreadsheet: %v", err)
	}
}

func TestIdentifiersStayText(t *testing.T) {
	x := read(t, "athlete,session,jump\n007,01,3\n7,1,4\n", Options{})
	if diff := cmp.Diff([]string{"007", "7"}, x.Athletes); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]string{"01", "1"}, x.Sessions); diff != "" {
		t.Error(diff)
	}
	if !slices.Contains(x.Notes, `sessions "01" and "1" are the same number but different texts, and are kept apart`) {
		t.Errorf("notes = %q", x.Notes)
	}
}

// The same name, composed and decomposed, is one athlete (Unicode NFC).
func TestIdentifiersAreNormalised(t *testing.T) {
	x := read(t, "athlete,session,jump\nZoe\u0308,1,3\nZo\u00eb,2,4\n", Options{})
	if diff := cmp.Diff([]string{"Zo\u00eb"}, x.Athletes); diff != "" {
		t.Error(diff)
	}
}

func TestNotes(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"repeated rows, long", "id,test,value\na,j,3\na,j,4\na,j,3\n",
			"1 row with the value of an earlier row of the same athlete, session and measure (such as rows 2 and 4)"},
		{"repeated rows, two", "id,test,value\nb,j,3\na,j,3\na,j,3\nb,j,5\n", "(such as rows 3 and 4)"},
		{"repeated rows, wide", "id,j,k\na,3,1\na,4,1\na,3,1\na,3,2\n",
			"1 row with exactly the measures of an earlier row of the same athlete and session (such as rows 2 and 4)"},
		{"blank rows", "id,j\n\na,3\n,\n , \n", "2 blank rows skipped"},
		{"twins", "id,j\nab,3\nAB,4\n",
			"athlete codes that differ from another in upper and lower case, accents, blanks or dashes only: 1"},
		{"varying attribute", "id,j,pain\na,3,no\na,4,yes\n",
			`column "pain" is left out: it differs within an athlete and session (rows 2 and 3)`},
		{"empty column", "id,j,k\na,3,\na,4,\n", `column "k" is left out: it is empty`},
		{"measure without values", "id,test,value\na,j,3\na,k,\n", `measure "k" is left out: it has no value`},
		{"own dates", "id,date,j\na,2026-01-01,3\nb,2026-01-02,3\nc,2026-01-03,3\n",
			"3 sessions, but no athlete has more than 1"},
		{"thousands?", "id;j\na;1,234\nb;2,345\n", `every ',' stands before exactly three digits`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			x := read(t, tt.text, Options{})
			if all := strings.Join(x.Notes, "\n"); !strings.Contains(all, tt.want) {
				t.Errorf("want %q in %q", tt.want, all)
			}
		})
	}
	for _, text := range []string{"id;day;j\na;1;1,234\nb;1;2,34\n", "id,day,j\na,1,1.234\nb,1,2.345\n",
		"id;day;j\na;1;1,234\nb;1;2\n", "id;day;j\na;1;0,234\nb;1;0,345\n",
		"id,day,test,value\na,1,j,3\na,1,j,4\nb,1,j,3\n"} {
		if x := read(t, text, Options{}); len(x.Notes) != 0 {
			t.Errorf("needless notes: %q", x.Notes)
		}
	}
}

// Missing values keep their place when trials are counted.
func TestTrialsAreCountedWithGaps(t *testing.T) {
	want := []string{"j | a | 1 | 1 | 3", "j | a | 1 | 3 | 5"}
	for _, text := range []string{"id,test,value\na,j,3\na,j,\na,j,5\n", "id,j,k\na,3,1\na,,2\na,5,3\n"} {
		if diff := cmp.Diff(want, flat(read(t, text, Options{}))[:2]); diff != "" {
			t.Errorf("%s(-want +got)\n%s", text, diff)
		}
	}
}

// Columns that are empty in all rows of the preview are decided by their first
// cell, and trials are still counted by row.
func TestLateColumns(t *testing.T) {
	var b strings.Builder
	b.WriteString("id,jump,late,words\n")
	for i := range previewRows + 10 {
		fmt.Fprintf(&b, "a%d,1,,\n", i)
	}
	b.WriteString("x,1,,\nx,2,7,fine\nx,2,8,\n")
	x := read(t, b.String(), Options{})
	if diff := cmp.Diff([]string{"jump", "late"}, x.measureNames()); diff != "" {
		t.Error(diff)
	}
	got := flat(x)
	if diff := cmp.Diff([]string{"late | x | 1 | 2 | 7", "late | x | 1 | 3 | 8", "words () | x | 1 | fine"},
		got[len(got)-3:]); diff != "" {
		t.Error(diff)
	}
	b.WriteString("x,3,bad,fine\n")
	_, err := Open("-", strings.NewReader(b.String()), Options{})
	checkLines(t, err, "standard input", []string{`row 65, column "late": not a number: "bad"`})
}

func TestTooManyTexts(t *testing.T) {
	var b strings.Builder
	b.WriteString("id,test,value,comment\n")
	for i := range maxTexts + 10 {
		fmt.Fprintf(&b, "a%d,j,%d,text %d\n", i, i, i)
	}
	x := read(t, b.String(), Options{})
	if len(x.Attributes) != 0 || !strings.Contains(strings.Join(x.Notes, ""), `column "comment" is left out`) {
		t.Errorf("attributes %v, notes %q", x.attributeNames(), x.Notes)
	}
	if x = read(t, b.String(), Options{Attributes: []string{"comment"}}); len(x.Attributes) != 1 {
		t.Errorf("asked for, but left out: %q", x.Notes)
	}
}

// One athlete, one session, a constant measure and a single row are sound
// tables; what cannot be computed of them is for the analyses to say.
func TestSmallTables(t *testing.T) {
	for _, text := range []string{"id,j\na,3\n", "id,session,j\na,1,3\na,2,3\n", "id,session,j\na,1,3\nb,1,3\n"} {
		read(t, text, Options{})
	}
}
