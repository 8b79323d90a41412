// Package schema holds the JSON Schemas of every document that noisefloor
// writes: the contract that others build on.
package schema

import (
	"bytes"
	"embed"
	"encoding/json"
	"fmt"
	"io/fs"
	"strings"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

//go:embed *.schema.json
var files embed.FS

// Files returns the schema files.
func Files() fs.FS { return files }

// Validate checks a document against the schema that its "schema" member
// names, such as "noisefloor/retest/1".
func Validate(document []byte) error {
	value, err := jsonschema.UnmarshalJSON(bytes.NewReader(document))
	if err != nil {
		return err
	}
	var head struct{ Schema string }
	if err := json.Unmarshal(document, &head); err != nil {
		return err
	}
	parts := strings.Split(head.Schema, "/")
	if len(parts) != 3 || parts[0] != "noisefloor" || parts[2] != "1" {
		return fmt.Errorf("no schema for %q", head.Schema)
	}
	s, err := compile(parts[1] + ".schema.json")
	if err != nil {
		return err
	}
	return s.Validate(value)
}

func compile(name string) (*jsonschema.Schema, error) {
	text, err := files.ReadFile(name)
	if err != nil {
		return nil, fmt.Errorf("no schema %s", name)
	}
	value, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		return nil, err
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource(name, value); err != nil {
		return nil, err
	}
	return c.Compile(name)
}
