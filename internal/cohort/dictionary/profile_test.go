package dictionary

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// Source outside the project: the examples inside the published profiles of
// version 1.0. Our own statement of version 2.0 must not refuse them, since
// what it reads of the standard did not change.
func TestOwnStatementTakesPublishedExamples(t *testing.T) {
	pack, table := package1(), table1()
	tests := []struct {
		name    string
		schema  any // its properties carry examples
		wrap    string
		against profile
	}{
		{"package", pack.doc, `{"resources":[{"name":"a","path":"a.csv"}],%}`, package2()},
		{"resource", walk(pack.doc, "properties", "resources", "items"), `{"name":"a",%}`, resource2()},
		{"table", table.doc, `{"name":"a",%}`, resource2()},
		{"schema", walk(table.doc, "properties", "schema"),
			`{"name":"a","path":"a.csv","schema":{"fields":[{"name":"a"}],%}}`, resource2()},
	}
	n := 0
	for _, tt := range tests {
		properties := walk(tt.schema, "properties").(map[string]any)
		for name, p := range properties {
			examples, _ := walk(p, "examples").([]any)
			for _, e := range examples {
				value, ok := example(e, name)
				if !ok || name == "data" {
					continue
				}
				n++
				doc := without(t, strings.Replace(tt.wrap, "%", `"`+name+`":`+value, 1), name, tt.name)
				if err := tt.against.schema.Validate(doc); err != nil {
					t.Errorf("%s.%s: %s: %v", tt.name, name, value, err)
				}
			}
		}
	}
	if n < 30 {
		t.Errorf("only %d examples were found", n)
	}
	t.Logf("%d published examples", n)
}

// example returns the value of a property in an example, which is JSON text.
func example(e any, name string) (string, bool) {
	text, _ := e.(string)
	var object map[string]json.RawMessage
	if err := json.Unmarshal([]byte(text), &object); err != nil {
		return "", false
	}
	value, ok := object[name]
	return string(value), ok
}

// without parses a document; the later of two equal keys, the example, wins.
func without(t *testing.T, text, name, where string) any {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	if where == "resource" || where == "table" {
		if object := doc.(map[string]any); name != "path" {
			object["path"] = "a.csv"
		}
	}
	return doc
}

// The profiles compile without a network, and nothing else can be loaded.
func TestProfilesAreSound(t *testing.T) {
	for _, p := range []profile{package1(), table1(), package2(), resource2(), ours()} {
		if p.schema == nil || len(p.known()) == 0 && p.file != schemaPackage2 {
			t.Errorf("%s: no properties", p.file)
		}
	}
	if _, err := (offline{}).Load("https://example.org/x.json"); err == nil {
		t.Error("a schema was loaded from elsewhere")
	}
	notice, err := profiles.ReadFile("profile/v1/NOTICE.md")
	if err != nil || !strings.Contains(string(notice), "The MIT License") {
		t.Errorf("the licence of the published profiles is not embedded: %v", err)
	}
}

// Two slips of the published 1.0 profile are mended; the specification allows
// both of these.
func TestMendedProfile1(t *testing.T) {
	for _, text := range []string{
		`{"resources":[{"name":"a","path":"a.csv"},{"name":"b","path":"b.csv.pdf","schema":"schema.json"}]}`,
		`{"resources":[{"name":"a","path":"a.csv","profile":"tabular-data-resource","schema":{"fields":[{"name":"x"}]},"dialect":{"delimiter":";"}}]}`,
	} {
		if _, err := Open(write(t, text), "a.csv"); err != nil {
			t.Error(err)
		}
	}
}
