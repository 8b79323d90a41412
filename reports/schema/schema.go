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
	if len(parts) != 3 || parts[0] != "noisefloor" {
		return fmt.Errorf("no schema for %q", head.Schema)
	}
	s, err := compile(parts[1] + ".schema.json")
	if err != nil {
		return err
	}
	return s.Validate(value)
}

// common holds what several schemas share.
const common = "common.schema.json"

func compile(name string) (*jsonschema.Schema, error) {
	c := jsonschema.NewCompiler()
	for _, file := range []string{common, name} {
		text, err := files.ReadFile(file)
		if err != nil {
			return nil, fmt.Errorf("no schema %s", file)
		}
		value, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
		if err != nil {
			return nil, err
		}
		if err := c.AddResource(base+file, value); err != nil {
			return nil, err
		}
	}
	return c.Compile(base + name)
}

// base is the address that the schemas have in common: a name, no place on a
// network.
const base = "https://noisefloor.invalid/schema/"
