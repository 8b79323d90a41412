package dictionary

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// write stores text as datapackage.json in a new folder and returns its path.
func write(t testing.TB, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "datapackage.json")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// version2 wraps the properties of one resource in a package of version 2.0.
func version2(properties string) string {
	return `{"$schema":"https://datapackage.org/profiles/2.0/datapackage.json",
		"resources":[{"name":"tests","path":"tests.csv"` + properties + `}]}`
}

// messages returns the lines of an error or a list of warnings, without the
// path of the file.
func messages(path string, lines ...string) []string {
	var all []string
	for _, line := range lines {
		for s := range strings.Lines(line) {
			s = strings.TrimSuffix(s, "\n")
			s = strings.TrimPrefix(s, path+": ")
			all = append(all, strings.TrimPrefix(s, filepath.Dir(path)+string(filepath.Separator)))
		}
	}
	return all
}

func lines(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}

func ptr[T any](v T) *T { return &v }

// The descriptor is the example of our notes on the standard, written from
// the text of Data Package 2.0 and checked there against its published
// profile; what is wanted is read off it by hand.
func TestReadVersion2(t *testing.T) {
	path := write(t, `{"$schema":"https://datapackage.org/profiles/2.0/datapackage.json","name":"cohort-demo",
 "resources":[{"name":"tests","type":"table","path":"data/tests.csv","format":"csv",
  "mediatype":"text/csv","encoding":"utf-8","bytes":77,"hash":"sha256:`+strings.Repeat("0123456789abcdef", 4)+`",
  "dialect":{"delimiter":","},
  "schema":{"fields":[
    {"name":"athlete","type":"string","constraints":{"required":true,"pattern":"P[0-9]{2,}"}},
    {"name":"session","type":"integer","constraints":{"required":true,"minimum":1}},
    {"name":"trial","type":"integer","constraints":{"required":true,"minimum":1}},
    {"name":"test","type":"string","constraints":{"required":true},"categories":["sprint10","cmj"]},
    {"name":"value","type":"number","missingValues":["","NA"],"nf:unit":"s","nf:betterIs":"lower"}],
   "missingValues":[""],"primaryKey":["athlete","session","trial","test"]}}]}`)
	got, err := Open(path, "")
	if err != nil {
		t.Fatal(err)
	}
	one := Constraints{Required: true, Minimum: ptr(1.0)}
	want := &Dictionary{
		Path: path, Resource: "tests", Bytes: 77, Encoding: "utf-8",
		Hash:    "sha256:" + strings.Repeat("0123456789abcdef", 4),
		Dialect: Dialect{Delimiter: ","},
		Fields: []Field{
			{Name: "athlete", Type: "string", Constraints: Constraints{Required: true, Pattern: "P[0-9]{2,}"}},
			{Name: "session", Type: "integer", Constraints: one},
			{Name: "trial", Type: "integer", Constraints: one},
			{Name: "test", Type: "string", Constraints: Constraints{Required: true}},
			{Name: "value", Type: "number", MissingValues: []string{"", "NA"}},
		},
		MissingValues: []string{""},
		PrimaryKey:    []string{"athlete", "session", "trial", "test"},
		Warnings: []string{
			path + `: resources[0].schema.fields[4].nf:unit: not used; describe measures in nf:measures of the resource`,
			path + `: resources[0].schema.fields[4].nf:betterIs: not used; describe measures in nf:measures of the resource`,
		},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("Read (-want +got):\n%s", diff)
	}
}

func TestReadMinimal(t *testing.T) {
	path := write(t, "\xef\xbb\xbf"+`{"resources":[{"name":"tests","path":"tests.csv"}]}`)
	got, err := Open(path, "")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(&Dictionary{Path: path, Resource: "tests"}, got); diff != "" {
		t.Errorf("Read (-want +got):\n%s", diff)
	}
}

// Everything that version 1.0 wrote differently.
func TestReadVersion1(t *testing.T) {
	path := write(t, `{"profile":"tabular-data-package","name":"cohort","resources":[{
		"name":"tests","profile":"tabular-data-resource","path":"tests.csv","encoding":"windows-1252",
		"hash":"MD5:0123456789ABCDEF0123456789ABCDEF",
		"dialect":{"delimiter":";","caseSensitiveHeader":false,"csvddfVersion":1.2},
		"schema":{"fields":[{"name":"athlete"},{"name":"value","type":"number","decimalChar":","},
			{"name":"on","type":"date","constraints":{"minimum":"2020-01-01","maximum":"2024-12-31"}},
			{"name":"tired","type":"boolean","trueValues":["ja"],"falseValues":["nein"]}],
		"missingValues":["","-"],"primaryKey":"athlete",
		"foreignKeys":[{"fields":"athlete","reference":{"resource":"","fields":"athlete"}}]}}]}`)
	got, err := Open(path, "")
	if err != nil {
		t.Fatal(err)
	}
	want := &Dictionary{
		Path: path, Resource: "tests", Encoding: "windows-1252", Hash: "0123456789abcdef0123456789abcdef",
		Dialect: Dialect{Delimiter: ";", DecimalChar: ","},
		Fields: []Field{
			{Name: "athlete", Type: "any"},
			{Name: "value", Type: "number", DecimalChar: ","},
			{Name: "on", Type: "date", Constraints: Constraints{MinimumDate: "2020-01-01", MaximumDate: "2024-12-31"}},
			{Name: "tired", Type: "boolean", TrueValues: []string{"ja"}, FalseValues: []string{"nein"}},
		},
		MissingValues: []string{"", "-"}, PrimaryKey: []string{"athlete"},
		Warnings: []string{
			path + ": resources[0].dialect.caseSensitiveHeader: column names are compared with their capitals all the same",
			path + ": resources[0].schema.foreignKeys: references to other tables are not checked",
		},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("Read (-want +got):\n%s", diff)
	}
}

func TestReadRest(t *testing.T) {
	path := write(t, version2(`,"path":"tests.xlsx"`))
	text := strings.Replace(version2(`,
		"dialect":{"header":true,"headerRows":[1],"quoteChar":"\"","doubleQuote":true,"lineTerminator":"\r\n","commentChar":"#",
			"skipInitialSpace":true,"sheetName":"Jumps","sheetNumber":2},
		"schema":{"fieldsMatch":["subset"],"uniqueKeys":[["a","b"],["c"]],"missingValues":[{"value":"-9","label":"not done"},"NA"],
		"fields":[{"name":"a","title":"A","format":"default","type":"string","missingValues":[],
				"constraints":{"minLength":2,"maxLength":3.0,"unique":true,"enum":["ab","abc"]}},
			{"name":"b","type":"number","decimalChar":",","groupChar":".","bareNumber":false,
				"constraints":{"exclusiveMinimum":0,"exclusiveMaximum":"1.5e2","enum":[1,2.50],"minimum":"-.5"}},
			{"name":"c","type":"integer","groupChar":" ","constraints":{"maximum":9,"enum":["1"]}},
			{"name":"d","type":"date","format":"%d.%m.%y","constraints":{"exclusiveMinimum":"31.12.99","exclusiveMaximum":"1.1.30"}},
			{"name":"e","type":"any","constraints":{"enum":[true,"x"]}},
			{"name":"f","type":"number"}]},
		"nf:roles":{"athlete":"a","session":"c"},
		"nf:measures":{"throw":{"unit":"m","role":"outcome"},"jump":{"name":"jump","worthwhile":0.02}}`), "tests.csv", "tests.xlsx", 1)
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	got, err := Open(path, "")
	if err != nil {
		t.Fatal(err)
	}
	want := &Dictionary{
		Path: path, Resource: "tests", FieldsMatch: "subset",
		Dialect: Dialect{CommentChar: "#", SkipInitialSpace: true, SheetName: "Jumps", SheetNumber: 2},
		Fields: []Field{
			{Name: "a", Title: "A", Format: "default", Type: "string", MissingValues: []string{},
				Constraints: Constraints{MinLength: ptr(2), MaxLength: ptr(3), Unique: true, Enum: []string{"ab",
					"abc"}}},
			{Name: "b", Type: "number", DecimalChar: ",", GroupChar: ".", Dressed: true,
				Constraints: Constraints{ExclusiveMinimum: ptr(0.0), ExclusiveMaximum: ptr(150.0), Minimum: ptr(-0.5),
					Enum: []string{"1", "2.50"}}},
			{Name: "c", Type: "integer", GroupChar: " ", Constraints: Constraints{Maximum: ptr(9.0),
				Enum: []string{"1"}}},
			{Name: "d", Type: "date", Format: "%d.%m.%y", Constraints: Constraints{ExclusiveMinimumDate: "31.12.99",
				ExclusiveMaximumDate: "1.1.30"}},
			{Name: "e", Type: "any", Constraints: Constraints{Enum: []string{"true", "x"}}},
			{Name: "f", Type: "number"},
		},
		MissingValues: []string{"-9", "NA"}, UniqueKeys: [][]string{{"a", "b"}, {"c"}},
		Roles:    map[string]string{"athlete": "a", "session": "c"},
		Measures: []Measure{{Name: "throw", Unit: "m", Role: "outcome"}, {Name: "jump", Worthwhile: ptr(0.02)}},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("Read (-want +got):\n%s", diff)
	}
	for column, want := range map[string][]string{"a": {}, "b": {"-9", "NA"}, "absent": {"-9", "NA"}} {
		if diff := cmp.Diff(want, got.Missing(column)); diff != "" {
			t.Errorf("Missing(%q) (-want +got):\n%s", column, diff)
		}
	}
	if diff := cmp.Diff([]string{""}, (&Dictionary{}).Missing("a")); diff != "" {
		t.Errorf("default of the standard (-want +got):\n%s", diff)
	}
}

func TestReadNoDescriptor(t *testing.T) {
	dir := t.TempDir()
	large := filepath.Join(dir, "large.json")
	if err := os.WriteFile(large, []byte(strings.Repeat(" ", 16<<20)+"{}"), 0o600); err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		name, path, want string
		not              bool // ErrNotDescriptor
	}{
		{"folder", dir, "it is a folder; name the datapackage.json in it", true},
		{"too large", large, "larger than 16 MB", true},
		{"absent", filepath.Join(dir, "absent.json"), "no such file or directory", false},
		{"empty", write(t, " \n"), "is empty; want a JSON object, { ... }", true},
		{"UTF-16", write(t, "\xff\xfe{\x00}\x00"), "is UTF-16 text; save it as UTF-8", true},
		{"not UTF-8", write(t, "{\n \"ä\": \"\xe4\"}"), "line 2, column 8: not UTF-8 text; save it as UTF-8", true},
		{"list", write(t, "[]"), "want a JSON object, { ... }, found a list, [ ... ]", true},
		{"csv", write(t, "athlete,value\n"),
			"line 1, column 1: not valid JSON: invalid character 'a' looking for beginning of value", true},
		{"comma", write(t, "{\n  \"é\": 1,\n}"),
			"line 3, column 1: not valid JSON: invalid character '}' looking for beginning of object key string", true},
		{"cut off", write(t, `{"resources": [`), "line 1, column 15: not valid JSON: unexpected end of JSON input",
			true},
		{"deep", write(t, `{"a":`+strings.Repeat("[", 80)+strings.Repeat("]", 80)+"}"),
			"is nested more than 64 levels deep", true},
		{"many", write(t, `{"a":[`+strings.Repeat("0,", 60000)+"0]}"),
			"has more than 50000 values; that is not a data dictionary", true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Open(tt.path, "")
			want := tt.path + ": " + tt.want
			if tt.not {
				want = tt.path + ": " + ErrNotDescriptor.Error() + ": " + tt.want
			}
			if diff := cmp.Diff(want, lines(err)); diff != "" || errors.Is(err, ErrNotDescriptor) != tt.not {
				t.Errorf("Read: %v\n(-want +got):\n%s", err, diff)
			}
		})
	}
	if _, err := Open(filepath.Join(dir, "absent.json"), ""); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("absent file: %v is not os.ErrNotExist", err)
	}
}

// At the edge of what is allowed.
func TestReadLimits(t *testing.T) {
	for name, text := range map[string]string{
		"depth": version2(`,"x":` + strings.Repeat("[", 62) + strings.Repeat("]", 62)),
		// below the package, its list and the resource
		"lengths": fields(`{"name":"a","type":"string","constraints":{"minLength":2,"maxLength":2}}`),
		"limits":  fields(`{"name":"a","type":"number","constraints":{"minimum":2,"maximum":2}}`),
	} {
		if _, err := Open(write(t, text), ""); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	text := version2(`,"x":` + strings.Repeat("[", 63) + strings.Repeat("]", 63))
	if _, err := Open(write(t, text), ""); !errors.Is(err, ErrNotDescriptor) {
		t.Errorf("one level too many: %v", err)
	}
}

func TestFaultsAreAllReportedInOrder(t *testing.T) {
	path := write(t, version2(`,"nf:measures":[`+strings.Repeat(`{"nam":1},`, 15)+`{"name":"x"}]`))
	_, err := Open(path, "")
	got := messages(path, lines(err))
	if len(got) != maxFaults+1 || got[maxFaults] != "faults not shown: 10" {
		t.Fatalf("%d lines, the last %q", len(got), got[len(got)-1])
	}
	if !strings.HasPrefix(got[0], "resources[0].nf:measures[0]") || !strings.HasPrefix(got[19],
		"resources[0].nf:measures[9]") {
		t.Errorf("not in the order of the file:\n%s", strings.Join(got, "\n"))
	}
	var key *KeyError
	if !errors.As(err, &key) || key.File != path || key.Key == "" {
		t.Errorf("no KeyError in %v", err)
	}
}
