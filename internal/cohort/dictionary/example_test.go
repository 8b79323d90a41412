package dictionary_test

import (
	"fmt"
	"log"
	"os"
	"path/filepath"

	"noisefloor/internal/cohort/dictionary"
)

func ExampleOpen() {
	dir, err := os.MkdirTemp("", "cohort")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "datapackage.json")
	err = os.WriteFile(path, []byte(`{
	  "$schema": "https://datapackage.org/profiles/2.0/datapackage.json",
	  "resources": [{"name": "tests", "path": "tests.csv",
	    "nf:roles": {"athlete": "code"},
	    "nf:measures": [{"name": "throw", "unit": "m", "plane": "transverse"}]}]}`), 0o600)
	if err != nil {
		log.Fatal(err)
	}
	d, err := dictionary.Open(path, filepath.Join(dir, "tests.csv"))
	if err != nil {
		log.Fatal(err)
	}
	m, _ := d.Measure("throw.left")
	fmt.Printf("athlete is column %q; %s is in %s, side %s\n", d.Roles["athlete"], m.Name, m.Unit, m.Side)
	// Output: athlete is column "code"; throw.left is in m, side left
}
