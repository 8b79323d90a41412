package dictionary

import (
	"os"
	"path/filepath"
	"testing"
)

// Any text may be refused; none may panic, and what is accepted is sound.
func FuzzRead(f *testing.F) {
	for _, seed := range []string{
		`{}`, `[`, `{"resources":[{"name":"tests","path":"tests.csv"}]}`,
		version2(`,"schema":{"fields":[{"name":"a","type":"string","constraints":{"pattern":"a+","enum":["a"]}}],"primaryKey":"a"},"nf:roles":{"athlete":"a"}`),
		version2(`,"dialect":{"delimiter":";","headerRows":[]},"schema":"datapackage.json","bytes":1e5`),
		measures(`{"name":"a","plane":"sagittal","pair":"b.left","worthwhile":1e-3},{"name":"b","minimum":1,"maximum":2}`),
		`{"resources":[{"name":"a","path":"a.csv","profile":"tabular-data-resource","schema":{"fields":[{"name":"a","type":"number","constraints":{"minimum":"1"}}]}}]}`,
		version2(`,"nf:measures":{"a.b":{"side":"left"},"a":{"counterpart":"a.left"}}`),
		`{"a":1,"a":{"b":1,"b":2}}`,
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		path := filepath.Join(t.TempDir(), "datapackage.json")
		if err := os.WriteFile(path, text, 0o600); err != nil {
			t.Fatal(err)
		}
		d, err := Open(path, "tests.csv")
		if (d == nil) == (err == nil) {
			t.Fatalf("dictionary %v, error %v", d, err)
		}
		if err != nil {
			return
		}
		for _, field := range d.Fields {
			if _, err := field.Constraints.Expression(); err != nil || field.Name == "" {
				t.Errorf("field %+v: %v", field, err)
			}
		}
		for _, m := range d.Measures {
			if got, ok := d.Measure(m.Name); !ok || got.Name == "" || got.Name != m.Name {
				t.Errorf("measure %+v is not found", m)
			}
		}
	})
}
