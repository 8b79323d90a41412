package cli

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const schemaFolder = "../../reports/schema"

// The published schemas are those that the tables of fields and the requests make.
func TestSchemasAreMade(t *testing.T) {
	for name, value := range Schemas() {
		var b bytes.Buffer
		e := json.NewEncoder(&b)
		e.SetEscapeHTML(false)
		e.SetIndent("", " ")
		if err := e.Encode(value); err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(schemaFolder, name)
		if flag.Lookup("update").Value.String() == "true" {
			if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if have, err := os.ReadFile(path); err != nil || !bytes.Equal(have, b.Bytes()) {
			t.Errorf("%s is not what the fields make now (%v): go test ./internal/cli -run TestSchemasAreMade -update", name, err)
		}
	}
}

// Every command that asks a question has a view, a schema and a sample.
func TestRegistryIsComplete(t *testing.T) {
	for _, e := range registry() {
		cmd := e.make(streams{})
		switch {
		case cmd.Name() != e.name:
			t.Errorf("%s is registered as %s", cmd.Name(), e.name)
		case cmd.Short == "" || cmd.Example == "" || e.answers == "":
			t.Errorf("%s has no question, example or short help", e.name)
		case e.view == nil && (e.schema != nil || e.sample != nil):
			t.Errorf("%s has a schema or a sample and no view", e.name)
		case e.view != nil && e.schema == nil:
			t.Errorf("%s has no schema: its fields make one", e.name)
		case e.view != nil && len(e.sample) == 0:
			t.Errorf("%s has no sample command line for the tests", e.name)
		}
		if !strings.Contains(newRoot(streams{}).Long, e.answers) {
			t.Errorf("the program's help does not say what %s answers", e.name)
		}
	}
}
