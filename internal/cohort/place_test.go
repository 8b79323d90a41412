package cohort

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
)

// A table is the same from the disk, from a file system and from a reader.
func TestPlacesAgree(t *testing.T) {
	disk := described(t, describedText, describedAs)
	dictionary, err := os.ReadFile(filepath.Join(filepath.Dir(disk), "datapackage.json"))
	must(t, err)
	files := fstest.MapFS{"data/tests.csv": {Data: []byte(describedText)}, "data/datapackage.json": {Data: dictionary}}
	opened, err := Open(disk, nil, Options{})
	must(t, err)
	embedded, err := OpenFS(files, "data/tests.csv", Options{})
	must(t, err)
	read, err := Read(strings.NewReader(describedText), "a host",
		Options{Dictionary: filepath.Join(filepath.Dir(disk), "datapackage.json")})
	must(t, err)
	for name, x := range map[string]*Table{"file system": embedded, "reader": read} {
		if diff := cmp.Diff(flat(opened), flat(x)); diff != "" {
			t.Errorf("%s (-disk +%s)\n%s", name, name, diff)
		}
		if x.Source.SHA256 != opened.Source.SHA256 || x.Measures[0].Unit != "cm" {
			t.Errorf("%s: %+v, unit %q", name, x.Source, x.Measures[0].Unit)
		}
	}
	if embedded.Source.Path != "data/tests.csv" || embedded.Dictionary.Path != "data/datapackage.json" ||
		read.Source.Path != "a host" {
		t.Errorf("paths %q, %q, %q", embedded.Source.Path, embedded.Dictionary.Path, read.Source.Path)
	}
	if x, err := OpenFS(files, "data/tests.csv", Options{NoDictionary: true,
		Columns: map[string]string{"athlete": "who", "session": "when",
			"measure": "what", "value": "got", "trial": "n", "side": "which"}}); err != nil || x.Dictionary.Path != "" {
		t.Errorf("without the dictionary: %v", err)
	}
}

// What a dictionary keeps in files of its own is found beside it.
func TestSchemaInAFileSystem(t *testing.T) {
	files := fstest.MapFS{
		"t/tests.csv":        {Data: []byte("athlete,session,jump\na,1,3\n")},
		"t/datapackage.json": {Data: []byte(`{"resources":[{"name":"tests","path":"tests.csv","schema":"s/fields.json"}]}`)},
		"t/s/fields.json":    {Data: []byte(`{"fields":[{"name":"athlete"},{"name":"session"},{"name":"jump","type":"number","constraints":{"maximum":2}}]}`)},
	}
	_, err := OpenFS(files, "t/tests.csv", Options{})
	if err == nil || !strings.Contains(err.Error(), `t/tests.csv: row 2, column "jump": above the maximum 2`) {
		t.Errorf("got %v", err)
	}
	delete(files, "t/s/fields.json")
	if _, err = OpenFS(files, "t/tests.csv", Options{}); err == nil || !strings.Contains(err.Error(),
		"t/datapackage.json: resources[0].schema") {
		t.Errorf("got %v", err)
	}
}

func TestPlacesRefuse(t *testing.T) {
	files := fstest.MapFS{"d/x.csv": {Data: []byte("athlete,jump\na,x\n")}}
	if _, err := OpenFS(files, "nothing.csv", Options{}); !errors.Is(err, fs.ErrNotExist) ||
		!strings.HasPrefix(err.Error(), "nothing.csv: ") {
		t.Errorf("got %v", err)
	}
	if _, err := OpenFS(files, "d", Options{}); err == nil || !strings.Contains(err.Error(), "is a directory") {
		t.Errorf("got %v", err)
	}
	if _, err := Read(bytes.NewReader(files["d/x.csv"].Data), "page", Options{}); err == nil ||
		!strings.HasPrefix(err.Error(), "page: ") {
		t.Errorf("got %v", err)
	}
	if _, err := Read(strings.NewReader(""), "page", Options{Decimal: ";"}); !errors.As(err, new(*OptionError)) {
		t.Errorf("got %v", err)
	}
}
