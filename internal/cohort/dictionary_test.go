package cohort

import (
	"crypto/md5"
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// described writes a table and, beside it, a dictionary with one resource.
func described(tb testing.TB, table, resource string) string {
	tb.Helper()
	path := put(tb, "tests.csv", table)
	text := `{"$schema":"https://datapackage.org/profiles/2.0/datapackage.json","resources":[{"name":"tests","type":"table","path":"tests.csv"` + resource + `}]}`
	if err := os.WriteFile(filepath.Join(filepath.Dir(path), "datapackage.json"), []byte(text), 0o600); err != nil {
		tb.Fatal(err)
	}
	return path
}

const describedText = `who,when,n,what,which,got,born
P01,14/03/2026,1,jump,left,30.5,2001-05-01
P02,02/04/2026,1,jump,right,31.5,2002-05-01
P02,14/03/2026,1,sprint,both,-9,2002-05-01
`

const describedAs = `,"schema":{"fields":[
 {"name":"who","type":"string","constraints":{"required":true,"pattern":"P[0-9]{2}"}},
 {"name":"when","type":"date","format":"%d/%m/%Y"},
 {"name":"n","type":"integer","constraints":{"minimum":1,"maximum":3}},
 {"name":"what","type":"string","constraints":{"enum":["jump","sprint"]}},
 {"name":"which","type":"string","constraints":{"maxLength":5}},
 {"name":"got","type":"number","missingValues":["","-9"],"constraints":{"exclusiveMaximum":50}},
 {"name":"born","type":"date","constraints":{"minimum":"1990-01-01"}}],
 "missingValues":["-"],"primaryKey":["who","when","n","what","which"]},
 "nf:roles":{"athlete":"who","session":"when","trial":"n","measure":"what","side":"which","value":"got"},
 "nf:measures":[{"name":"jump","unit":"cm","minimum":31,"maximum":60},{"name":"sprnt","unit":"s","better":"lower"}]`

func TestOpenDescribed(t *testing.T) {
	path := described(t, describedText, describedAs)
	x, err := Open(path, nil, Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"jump.left | P01 | 14/03/2026 | 1 | 30.5",
		"jump.right | P02 | 02/04/2026 | 1 | 31.5",
		"born () | P01 | 14/03/2026 | 2001-05-01",
		"born () | P02 | 02/04/2026 | 2002-05-01",
		"born () | P02 | 14/03/2026 | 2002-05-01",
	}
	if diff := cmp.Diff(want, flat(x)); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	if diff := cmp.Diff([]string{"14/03/2026", "02/04/2026"}, x.Sessions); diff != "" {
		t.Errorf("dates are ordered as the dictionary writes them: %s", diff)
	}
	if m := x.Measures[0]; m.Unit != "cm" || m.Side != "left" || m.Name != "jump.left" {
		t.Errorf("%+v", m.Measure)
	}
	for _, note := range []string{
		`measure "sprint.both" is not in the dictionary: did you mean "sprnt"? Measures there: "jump", "sprnt"`,
		`measure "jump.left": 1 value outside the plausible range 31 to 60 cm of the dictionary: row 2`,
		`measure "sprint.both" is left out: it has no value`,
	} {
		if !slices.Contains(x.Notes, note) {
			t.Errorf("no note %q in %q", note, x.Notes)
		}
	}
	if len(x.Notes) != 3 {
		t.Errorf("further notes: %q", x.Notes)
	}
	if !slices.Contains(x.Taken,
		"dictionary: "+path[:len(path)-len("tests.csv")]+"datapackage.json (beside the table)") {
		t.Errorf("taken = %q", x.Taken)
	}
	if x, err = Open(path, nil, Options{NoDictionary: true, Columns: map[string]string{"athlete": "who",
		"measure": "what", "value": "got"}}); err != nil || len(x.Measures) != 2 {
		t.Errorf("without dictionary: %v", err)
	}
	text, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer text.Close()
	if x, err = Open("-", text, Options{Dictionary: filepath.Join(filepath.Dir(path),
		"datapackage.json")}); err != nil || len(x.Measures) != 2 {
		t.Errorf("standard input with dictionary: %v", err)
	}
}

func TestConstraints(t *testing.T) {
	table := `who,when,n,what,which,got,born
X1,14/03/2026,1,jump,left,30,2001-05-01
P01,2026-03-14,1,jump,left,31,2001-05-01
P01,14/03/2026,4,jump,left,32,2001-05-01
P01,14/03/2026,1,jmp,left,33,2001-05-01
P01,14/03/2026,1,jump,leftmost,34,2001-05-01
P01,14/03/2026,2,jump,left,50,2001-05-01
P01,14/03/2026,3,jump,left,36,1989-05-01
P01,14/03/2026,3,jump,left,37,2001-05-01
P02,14/03/2026,-,jump,left,37,2001-05-01
P02,15/03/2026,1,jump,-,37,2001-05-01
`
	path := described(t, table, describedAs)
	_, err := Open(path, nil, Options{})
	if err == nil {
		t.Fatal("no faults")
	}
	checkLines(t, err, path, []string{
		`row 2, column "who": does not match the pattern P[0-9]{2} of the dictionary`,
		`row 3, column "when": the dictionary declares a date such as 14/03/2026: "2026-03-14"`,
		`row 4, column "n": above the maximum 3 of the dictionary: "4"`,
		`row 5, column "what": not one of the texts that the dictionary lists: "jump", "sprint": "jmp"`,
		`row 6, column "which": longer than the 5 characters that the dictionary allows: "leftmost"`,
		`row 7, column "got": not below the exclusive maximum 50 of the dictionary: "50"`,
		`row 8, column "born": before the minimum 1990-01-01 of the dictionary: "1989-05-01"`,
		`row 9: the same attempt as row 8`,
		`row 10, column "n": the trial is missing`,
		`row 11, column "which": the cell is missing, and the dictionary requires it`,
	})
	if strings.Contains(err.Error(), "X1") {
		t.Errorf("a message gives an athlete's code away: %v", err)
	}
}

// Each constraint on its own, in a wide table; text is the cell that breaks it.
func TestEachConstraint(t *testing.T) {
	tests := []struct{ field, good, bad, want string }{
		{`"type":"integer"`, "3", "3.5", "the dictionary declares an integer"},
		{`"type":"number","constraints":{"minimum":2}`, "2", "1.9", "below the minimum 2"},
		{`"type":"number","constraints":{"maximum":2}`, "2", "2.1", "above the maximum 2"},
		{`"type":"number","constraints":{"exclusiveMinimum":2}`, "2.1", "2", "not above the exclusive minimum 2"},
		{`"type":"number","constraints":{"enum":[1,2.50]}`, "2.5", "2", "not one of the texts"},
		{`"type":"number","constraints":{"unique":true}`, "3", "1",
			"the dictionary declares the column unique, and row 2 has the same"},
		{`"type":"number","constraints":{"required":true}`, "3", "", "the cell is missing"},
		{`"type":"string","constraints":{"unique":true}`, "x", "1",
			"the dictionary declares the column unique, and row 2 has the same"},
		{`"type":"string","constraints":{"minLength":1,"required":true}`, "x", "", "the cell is missing"},
		{`"type":"string","constraints":{"minLength":1,"maxLength":2}`, "xy", "xyz", "longer than the 2"},
		{`"type":"string","constraints":{"pattern":"[0-9a]"}`, "a", "ab", "does not match the pattern"},
		{`"type":"boolean"`, "true", "yes", "the dictionary declares one of"},
		{`"type":"boolean","trueValues":["1","yes"],"falseValues":["no"]`, "yes", "true",
			"the dictionary declares one of"},
		{`"type":"date","format":"%Y","constraints":{"maximum":"2000"}`, "1999", "2001", "after the maximum 2000"},
		{`"type":"number","bareNumber":false`, "€ 3.5 %", "x", "not a number"},
		{`"type":"number","groupChar":" "`, "1 234.5", "1_234", "not a plain decimal number"},
	}
	for _, tt := range tests {
		t.Run(tt.field+" "+tt.bad, func(t *testing.T) {
			resource := `,"schema":{"fields":[{"name":"id","type":"string"},{"name":"j","type":"number"},{"name":"x",` + tt.field + `}]}`
			first := "1"
			if strings.Contains(tt.field, `"date"`) {
				first = "1998"
			}
			if strings.Contains(tt.field, "exclusiveMinimum") || strings.Contains(tt.field, `"minimum"`) {
				first = "4"
			}
			text := "id,j,x\na,1," + first + "\nb,2,"
			if _, err := Open(described(t, text+tt.good+"\n", resource), nil, Options{}); err != nil {
				t.Errorf("good cell: %v", err)
			}
			path := described(t, text+tt.bad+"\n", resource)
			_, err := Open(path, nil, Options{})
			if err == nil {
				t.Fatal("bad cell was taken")
			}
			checkLines(t, err, path, []string{`row 3, column "x": ` + tt.want})
		})
	}
}

func TestDecimalOfTheDictionary(t *testing.T) {
	path := described(t, "id,j\na,\"2,5\"\n",
		`,"schema":{"fields":[{"name":"id"},{"name":"j","type":"number","decimalChar":","}]}`)
	x, err := Open(path, nil, Options{})
	if err != nil || x.Measures[0].Value[0] != 2.5 {
		t.Errorf("%v", err)
	}
	path = described(t, "id;j;k\na;2,5;3.5\nb;2.5;3\n",
		`,"schema":{"fields":[{"name":"id"},{"name":"j","type":"number","decimalChar":","},{"name":"k","type":"number","decimalChar":"."}]}`)
	_, err = Open(path, nil, Options{})
	if err == nil {
		t.Fatal("read")
	}
	checkLines(t, err, path,
		[]string{`row 3, column "j": the decimal separator is not the ',' that the dictionary declares: "2.5"`})
}

// A side may be missing where the dictionary does not require it.
func TestMissingSide(t *testing.T) {
	schema := `,"schema":{"fields":[{"name":"id"},{"name":"test","type":"string"},{"name":"side","type":"string","constraints":{"enum":["left","right"]%s}},{"name":"value","type":"number"}]}`
	text := "id,test,side,value\na,j,,3\na,j,left,4\n"
	x, err := Open(described(t, text, fmt.Sprintf(schema, "")), nil, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"j", "j.left"}, x.measureNames()); diff != "" {
		t.Error(diff)
	}
	path := described(t, text, fmt.Sprintf(schema, `,"required":true`))
	if _, err = Open(path, nil, Options{}); err == nil {
		t.Fatal("read")
	}
	checkLines(t, err, path, []string{`row 2, column "side": the cell is missing, and the dictionary requires it`})
}

// A column with a separator of its own keeps to it, whatever the table's is.
func TestOwnDecimal(t *testing.T) {
	path := described(t, "id;i;j;k\na;1.5;2,5;3.5\nb;1.5;2.5;3.5\n",
		`,"schema":{"fields":[{"name":"id"},{"name":"i"},{"name":"j","type":"number","decimalChar":","},{"name":"k","type":"number","decimalChar":"."}]}`)
	_, err := Open(path, nil, Options{})
	if err == nil {
		t.Fatal("read")
	}
	checkLines(t, err, path,
		[]string{`row 3, column "j": the decimal separator is not the ',' that the dictionary declares: "2.5"`})
}

func TestHash(t *testing.T) {
	text := "id,j\na,3\n"
	sha, old := fmt.Sprintf("%x", sha256.Sum256([]byte(text))), fmt.Sprintf("%x", md5.Sum([]byte(text)))
	for _, good := range []string{`,"hash":"sha256:` + sha + `"`, `,"hash":"` + old + `"`,
		`,"bytes":9,"hash":"sha256:` + strings.ToUpper(sha) + `"`} {
		if _, err := Open(described(t, text, good), nil, Options{}); err != nil {
			t.Errorf("%s: %v", good, err)
		}
	}
	for bad, want := range map[string]string{
		`,"bytes":10`:                        "states 10 bytes, the file has 9",
		`,"hash":"sha256:` + old + old + `"`: "its hash is not the one",
		`,"hash":"` + sha[:32] + `"`:         "its hash is not the one",
	} {
		if _, err := Open(described(t, text, bad), nil, Options{}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: got %v", bad, err)
		}
	}
}

func TestDictionaryAgainstTable(t *testing.T) {
	fields := `,"schema":{"fields":[{"name":"id"},{"name":"j","type":"number"},{"name":"kk","type":"number"}]%s}`
	path := described(t, "id,j,k\na,3,4\n", fmt.Sprintf(fields, ""))
	_, err := Open(path, nil, Options{})
	if err == nil {
		t.Fatal("read")
	}
	checkLines(t, err, path,
		[]string{`row 1: the dictionary describes a column "kk" that the table does not have (did you mean "k"?`})

	path = described(t, "id,j,k\na,3,4\n", fmt.Sprintf(fields, `,"fieldsMatch":["partial"]`))
	if _, err = Open(path, nil, Options{}); err != nil {
		t.Errorf("partial: %v", err)
	}

	path = described(t, "id,j,k,l\na,3,4,x\n", `,"schema":{"fields":[{"name":"id"},{"name":"j","type":"number"}]}`)
	x, err := Open(path, nil, Options{})
	if err != nil || !slices.Contains(x.Notes, `the dictionary does not describe the columns "k", "l"`) {
		t.Errorf("%v, %v", x, err)
	}

	path = described(t, "id,j\na,3\n", `,"nf:roles":{"athlete":"idd"}`)
	if _, err = Open(path, nil, Options{}); err == nil || !strings.Contains(err.Error(), `did you mean "id"?`) {
		t.Errorf("got %v", err)
	}
	path = described(t, "id,j\na,3\n", `,"nf:role":{}`)
	if _, err = Open(path, nil, Options{}); err == nil || !strings.Contains(err.Error(),
		"--no-dictionary reads the table without it") {
		t.Errorf("got %v", err)
	}
}

// The dictionary decides what columns of a wide table are.
func TestDescribedWide(t *testing.T) {
	path := described(t, "id,age,code2,load,jump\na,20,7,80,3\nb,21,8,81,4\n", `,"schema":{"fields":[{"name":"id"},{"name":"age","type":"number"},
		{"name":"code2","type":"string"},{"name":"load","type":"number"},{"name":"jump","type":"number"}]},
		"nf:measures":[{"name":"jump"},{"name":"load","role":"covariate"},{"name":"age"}]`)
	x, err := Open(path, nil, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"age", "jump"}, x.measureNames()); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]string{"code2", "load"}, x.attributeNames()); diff != "" {
		t.Error(diff)
	}
}

func TestDeclaredKeys(t *testing.T) {
	schema := `,"schema":{"fields":[{"name":"id","type":"string"},{"name":"card","type":"string"},{"name":"j","type":"number"}],%s}`
	path := described(t, "id,card,j\na,1,3\nb,1,4\nc,2,5\nd,,5\ne,,5\n", fmt.Sprintf(schema, `"uniqueKeys":[["card"]]`))
	_, err := Open(path, nil, Options{})
	if err == nil {
		t.Fatal("read")
	}
	checkLines(t, err, path,
		[]string{`row 3: the row has the same unique key "card" as row 2`}) // rows without the key are passed by
	path = described(t, "id,card,j\na,1,3\na,2,4\na,1,5\n", fmt.Sprintf(schema, `"primaryKey":["id","card"]`))
	if _, err = Open(path, nil, Options{}); err == nil {
		t.Fatal("read")
	}
	checkLines(t, err, path, []string{`row 4: the row has the same primary key "id", "card" as row 2`})
}

func TestNoHeader(t *testing.T) {
	path := described(t, "a,3\nb,x\n",
		`,"dialect":{"header":false},"schema":{"fields":[{"name":"id"},{"name":"j","type":"number"}]}`)
	_, err := Open(path, nil, Options{})
	if err == nil {
		t.Fatal("read")
	}
	checkLines(t, err, path, []string{`row 2, column "j": not a number: "x"`})
	path = described(t, "a,3\n", `,"dialect":{"header":false}`)
	if _, err = Open(path, nil, Options{}); err == nil || !strings.Contains(err.Error(), "names no columns") {
		t.Errorf("got %v", err)
	}
}

func TestComments(t *testing.T) {
	path := described(t, "# made up; nobody, \"really\n# more\nid,j\n#x\na,3\n#\n\"b\",4\n#y\nc,5\n",
		`,"dialect":{"commentChar":"#"}`)
	x, err := Open(path, nil, Options{})
	if err != nil || len(x.Measures[0].Value) != 3 {
		t.Errorf("%v", err)
	}
	path = described(t, "#no quotes\nid,j\n#x\na,3\n#y,z,z\nb,bad\n", `,"dialect":{"commentChar":"#"}`)
	if _, err = Open(path, nil, Options{}); err == nil {
		t.Fatal("read")
	}
	checkLines(t, err, path, []string{`row 6, column "j": not a number: "bad"`})
}
