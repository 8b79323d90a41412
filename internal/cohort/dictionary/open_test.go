package dictionary

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

const md5 = "00112233445566778899aabbccddeeff"

func TestOpenChooses(t *testing.T) {
	two := `{"resources":[
		{"name":"notes","path":"notes.pdf"},
		{"name":"a","path":"data/tests.csv","bytes":10,"hash":"` + md5 + `"},
		{"name":"b","path":"old/tests.csv"},
		{"name":"c","path":["c1.csv","c2.csv"],"bytes":30}]}`
	single := version2(`,"bytes":10,"hash":"` + md5 + `"`)
	tests := []struct {
		name, text, table string // table as seen from the descriptor
		resource          string
		bytes             int64
		want              []string // warnings, or errors where no resource is chosen
	}{
		{"by path", two, "data/tests.csv", "a", 10, nil},
		{"by another path", two, "old/../old/tests.csv", "b", 0, nil},
		{"by name, ambiguous", two, "tests.csv", "", 0,
			[]string{`resources: which of them describes "tests.csv"? "a" (data/tests.csv), "b" (old/tests.csv); give the table as a file with one of these paths, or leave one in the descriptor`}},
		{"by name in a list", two, "elsewhere/c2.csv", "c", 0,
			[]string{`resources[3].path: lists 2 files; only the table that is named is read, and bytes and hash are not compared`}},
		{"unknown of several", two, "x.csv", "", 0,
			[]string{`resources: which of them describes "x.csv"? "a" (data/tests.csv), "b" (old/tests.csv), "c" (c1.csv, c2.csv); give the table as a file with one of these paths, or leave one in the descriptor`}},
		{"the only one", single, "tests.csv", "tests", 10, nil},
		{"the only one, another file", single, "new.csv", "tests", 0,
			[]string{`resources[0]: describes "tests.csv", taken for "new.csv"; bytes and hash are not compared`}},
		{"standard input", single, "-", "tests", 0, nil},
		{"no table", single, "", "tests", 10, nil},
		{"no path", `{"$schema":"https://datapackage.org/profiles/2.0/datapackage.json","resources":[{"name":"a","type":"table"}]}`, "x.csv", "", 0, []string{`resources[0]: one of "data", "path" is missing`}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			path := write(t, tt.text)
			table := tt.table
			if table != "" && table != "-" {
				table = filepath.Join(filepath.Dir(path), filepath.FromSlash(table))
			}
			d, err := Open(path, table)
			if d == nil {
				d = &Dictionary{Warnings: []string{lines(err)}}
			}
			got := messages(path, d.Warnings...)
			for i := range got {
				got[i] = strings.ReplaceAll(got[i], filepath.Dir(path)+string(filepath.Separator), "")
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
			if d.Resource != tt.resource || d.Bytes != tt.bytes || (d.Hash != "") != (tt.bytes > 0) {
				t.Errorf("resource %q, bytes %d, hash %q; want %q, %d", d.Resource, d.Bytes, d.Hash, tt.resource,
					tt.bytes)
			}
		})
	}
}

func TestManyResourcesAreListedInPart(t *testing.T) {
	path := write(t, `{"resources":[`+strings.Repeat(`{"name":"n","path":"a.pdf"},`, 29)+`{"path":"b.pdf"}]}`)
	_, err := Open(path, "")
	if got := lines(err); !strings.Contains(got, "none is a table: ") || !strings.Contains(got, `, and 10 more`) {
		t.Errorf("error:\n%s", got)
	}
}

func TestTabular(t *testing.T) {
	yes := []string{`"path":"a.CSV"`, `"path":"a.csv.gz"`, `"path":"a.xlsx"`, `"path":"a","type":"table"`,
		`"path":"a","format":"csv"`, `"path":"a","schema":{"fields":[{"name":"x"}]}`}
	for _, p := range yes {
		if _, err := Open(write(t, `{"resources":[{"name":"a",`+p+`}]}`), ""); err != nil {
			t.Errorf("%s: %v", p, err)
		}
	}
	if _, err := Open(write(t, `{"profile":"tabular-data-package","resources":[{"name":"a","path":"a"}]}`),
		""); err != nil {
		t.Error(err)
	}
}

func TestOpenIncludes(t *testing.T) {
	path := write(t, version2(`,"schema":"meta/schema.json","dialect":"dialect.json","nf:roles":{"athlete":"b"}`))
	dir := filepath.Dir(path)
	if err := os.Mkdir(filepath.Join(dir, "meta"), 0o700); err != nil {
		t.Fatal(err)
	}
	store := func(name, text string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(dir, filepath.FromSlash(name)), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	store("meta/schema.json", `{"fields":[{"name":"a","type":"string"},{"name":"b"}]}`)
	store("dialect.json", `{"delimiter":"\t"}`)
	d, err := Open(path, "")
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Fields) != 2 || d.Dialect.Delimiter != "\t" || d.Roles["athlete"] != "b" {
		t.Errorf("included files are not used: %+v", d)
	}

	store("meta/schema.json", `{"fields":[{"name":"a","type":"geojson"},{"name":3},{"name":"c","name":"d"}]}`)
	store("dialect.json", `{"delimiter":`)
	_, err = Open(path, "")
	want := []string{
		`resources[0].dialect: "dialect.json": line 1, column 13: not valid JSON: unexpected end of JSON input`,
		`resources[0].nf:roles.athlete: schema.fields has no column "b" (columns: "a", "", "c")`,
		`meta/schema.json: fields[0].type: "geojson" is not supported (supported: string, number, integer, boolean, date, any)`,
		`meta/schema.json: fields[1].name: want a text, found a number`,
		`meta/schema.json: fields[2].name: this key is written twice (again in line 1); keep one`,
	}
	if diff := cmp.Diff(want, messages(path, lines(err))); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// A link, a URL or a path that leads out of the package is not followed.
func TestOpenStaysInside(t *testing.T) {
	outside := write(t, `{"fields":[{"name":"secret"}]}`)
	path := write(t, version2(`,"schema":"link.json","dialect":"../dialect.json"`))
	if err := os.Symlink(outside, filepath.Join(filepath.Dir(path), "link.json")); err != nil {
		t.Skip("no symbolic links here: ", err)
	}
	_, err := Open(path, "")
	want := []string{
		`resources[0].schema: "link.json": path escapes from parent`,
		`resources[0].dialect: leaves the folder of the descriptor by ".."; move the file inside`,
	}
	if diff := cmp.Diff(want, messages(path, lines(err))); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	path = write(t, version2(`,"schema":"absent.json","dialect":"folder"`))
	if err := os.Mkdir(filepath.Join(filepath.Dir(path), "folder"), 0o700); err != nil {
		t.Fatal(err)
	}
	_, err = Open(path, "")
	want = []string{
		`resources[0].schema: "absent.json": no such file or directory`,
		`resources[0].dialect: "folder": not a Data Package descriptor: it is a folder; name the datapackage.json in it`,
	}
	if diff := cmp.Diff(want, messages(path, lines(err))); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestBeside(t *testing.T) {
	path := write(t, `{}`)
	if got, ok := Beside(filepath.Join(filepath.Dir(path), "tests.csv")); !ok || got != path {
		t.Errorf("Beside = %q, %v; want %q", got, ok, path)
	}
	empty := t.TempDir()
	if _, ok := Beside(filepath.Join(empty, "tests.csv")); ok {
		t.Error("Beside finds a file that is not there")
	}
	if err := os.Mkdir(filepath.Join(empty, "datapackage.json"), 0o700); err != nil {
		t.Fatal(err)
	}
	if _, ok := Beside(filepath.Join(empty, "tests.csv")); ok {
		t.Error("Beside takes a folder")
	}
	for _, table := range []string{"", "-"} {
		if got, ok := Beside(table); ok || got != "" {
			t.Errorf("Beside(%q) = %q, %v", table, got, ok)
		}
	}
}
