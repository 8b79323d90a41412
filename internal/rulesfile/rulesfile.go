// Package rulesfile reads the rules by which profiles are read, so that a user can put
// other thresholds and words in the place of the program's. Its format is
// rules.schema.json.
package rulesfile

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"noisefloor/analysis/profile"
	"noisefloor/internal/names"
	"noisefloor/internal/strictjson"
)

// ErrInvalid: not a file of rules that can be used. Callers test with errors.Is.
var ErrInvalid = errors.New("not a valid file of rules")

const maxBytes = 1 << 20

//go:embed rules.schema.json
var schemaText []byte // the JSON Schema (draft 2020-12) of the format

var schema = strictjson.Compile("rules.schema.json", func() []byte { return schemaText })

// Read reads a file of rules; name is what errors call it. Every wrong key is named, an
// unknown one with the nearest that there is.
func Read(r io.Reader, name string) (profile.Rules, error) {
	text, err := io.ReadAll(io.LimitReader(r, maxBytes+1))
	if err != nil {
		return profile.Rules{}, fmt.Errorf("%s: %w", name, err)
	}
	if len(text) > maxBytes {
		return profile.Rules{}, fmt.Errorf("%s: %w: larger than %d MB", name, ErrInvalid, maxBytes>>20)
	}
	rules, err := parse(bytes.TrimPrefix(text, []byte("\uFEFF")))
	if err != nil {
		return profile.Rules{}, fmt.Errorf("%s: %w: %w", name, ErrInvalid, err)
	}
	return rules, nil
}

func parse(text []byte) (out profile.Rules, err error) {
	value, err := strictjson.Decode(text)
	if err != nil {
		return out, err
	}
	object, _ := value.(map[string]any)
	if have, _ := object["schema"].(string); have != profile.RulesSchema {
		return out, fmt.Errorf("its schema is %q, want %q; 'noisefloor profile --write-rules FILE' writes those of the "+
			"program", have, profile.RulesSchema)
	}
	if err := schema.Check(value); err != nil {
		return out, errors.Join(append([]error{err}, nearest(object)...)...)
	}
	if err := json.Unmarshal(text, &out); err != nil {
		return out, err
	}
	return out, out.Check()
}

// nearest says which key was probably meant by one that there is not.
func nearest(object map[string]any) (out []error) {
	out = append(out, nearestOf(object, "schema", "grades", "rules")...)
	rules, _ := object["rules"].([]any)
	for _, r := range rules {
		rule, _ := r.(map[string]any)
		out = append(out, nearestOf(rule, "key", "index", "direction", "threshold", "centre", "quantity", "region", "quality",
			"needs", "emphases", "words", "source")...)
	}
	return out
}

func nearestOf(object map[string]any, known ...string) (out []error) {
	for key := range object {
		if _, err := names.All("key", known, []string{key}); err != nil {
			out = append(out, err)
		}
	}
	return out
}
