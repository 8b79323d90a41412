package noisefile

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"noisefloor/internal/strictjson"
)

//go:embed noise.schema.json
var schemaText []byte // the JSON Schema (draft 2020-12) of the format

var schema = strictjson.Compile("noise.schema.json", func() []byte { return schemaText })

// parse checks text from the outside in: JSON, version, schema, sense.
func parse(text []byte) (document, error) {
	text = bytes.TrimPrefix(text, []byte("\uFEFF"))
	value, err := strictjson.Decode(text)
	if err != nil {
		return document{}, fmt.Errorf("%w: %w", ErrInvalid, err)
	}
	if err := checkVersion(value); err != nil {
		return document{}, err
	}
	if err := schema.Check(value); err != nil {
		return document{}, fmt.Errorf("%w: %w", ErrInvalid, err)
	}
	var d document
	if err := json.Unmarshal(text, &d); err != nil {
		return document{}, fmt.Errorf("%w: %w", ErrInvalid, err)
	}
	return d, checkSense(d)
}

// checkVersion looks at the schema key alone, so that a file of another kind or
// version is called that, not full of errors.
func checkVersion(value any) error {
	object, _ := value.(map[string]any)
	have, _ := object["schema"].(string)
	switch {
	case have == Schema:
		return nil
	case have == "":
		return fmt.Errorf("%w: it has no key \"schema\" saying %q; reliability --save-noise makes a noise file",
			ErrVersion, Schema)
	case strings.HasPrefix(have, "noisefloor/noise/"):
		return fmt.Errorf("%w: its schema is %q, this program reads %q; use the version that made it, or make it "+
			"again", ErrVersion, have, Schema)
	}
	return fmt.Errorf("%w: its schema is %q, a noise file has %q; reliability --save-noise makes one", ErrVersion,
		have, Schema)
}

// checkSense looks for what a schema cannot say.
func checkSense(d document) error {
	var wrong []error
	seen := map[[2]string]bool{}
	wrong = append(wrong, d.checkGroups())
	for i, m := range d.Measures {
		where := fmt.Sprintf("%s, measures[%d]", m.Measure, i)
		if seen[[2]string{m.Measure, m.Group}] {
			wrong = append(wrong, fmt.Errorf("%w: %s: key \"measure\": the measure stands twice", ErrInvalid, where))
		}
		seen[[2]string{m.Measure, m.Group}] = true
		if m.Prints != nil && len(m.Sessions) != len(m.Prints) {
			wrong = append(wrong, fmt.Errorf("%w: %s: keys \"sessions\" and \"prints\" must be equally long, "+
				"found %d and %d",
				ErrInvalid, where, len(m.Sessions), len(m.Prints)))
		}
		if l, u := m.WorthwhileLower, m.WorthwhileUpper; m.Worthwhile > 0 && (l == nil && u != nil ||
			l != nil && *l > m.Worthwhile || u != nil && *u < m.Worthwhile) {
			wrong = append(wrong, fmt.Errorf("%w: %s: keys \"worthwhile_lower\" and \"worthwhile_upper\" must hold "+
				"\"worthwhile\" between them, the upper one not without the lower", ErrInvalid, where))
		}
		for _, why := range m.Components.check() {
			wrong = append(wrong, fmt.Errorf("%w: %s, key \"components\", key \"covariance\": %s", ErrInvalid, where,
				why))
		}
	}
	return errors.Join(wrong...)
}

// checkGroups refuses groups that the file does not say the column of, and covariances
// of measures that it does not hold.
func (d document) checkGroups() error {
	var wrong []error
	has := map[[2]string]bool{}
	for i, m := range d.Measures {
		has[[2]string{m.Measure, m.Group}] = true
		if m.Group != "" && d.By == "" {
			wrong = append(wrong, fmt.Errorf("%w: %s, measures[%d]: key \"group\": the file has no key \"by\", the column "+
				"of the groups", ErrInvalid, m.Measure, i))
		}
	}
	for i, t := range d.Together {
		if err := t.check(); err != nil {
			wrong = append(wrong, fmt.Errorf("%w: together[%d]: %w", ErrInvalid, i, err))
		}
		for _, name := range t.Of {
			if !has[[2]string{name, t.Group}] {
				wrong = append(wrong, fmt.Errorf("%w: together[%d]: no measure %q in group %q", ErrInvalid, i, name, t.Group))
			}
		}
	}
	return errors.Join(wrong...)
}
