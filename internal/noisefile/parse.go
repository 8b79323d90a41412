package noisefile

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"sync"
	"unicode/utf8"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

//go:embed noise.schema.json
var schemaText []byte // the JSON Schema (draft 2020-12) of the format

// compiled is the schema, compiled once; nothing is ever fetched.
var compiled = sync.OnceValues(func() (*jsonschema.Schema, error) {
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(schemaText))
	if err != nil {
		return nil, err
	}
	const url = "mem:///noise.schema.json"
	c := jsonschema.NewCompiler()
	c.UseLoader(jsonschema.SchemeURLLoader{}) // no scheme at all
	if err := c.AddResource(url, doc); err != nil {
		return nil, err
	}
	return c.Compile(url)
})

// parse checks text from the outside in: JSON, version, schema, sense.
func parse(text []byte) (document, error) {
	text = bytes.TrimPrefix(text, []byte("\uFEFF"))
	value, err := decode(text)
	if err != nil {
		return document{}, err
	}
	if err := checkVersion(value); err != nil {
		return document{}, err
	}
	schema, err := compiled()
	if err != nil {
		return document{}, fmt.Errorf("embedded schema: %w", err)
	}
	if err := schema.Validate(value); err != nil {
		return document{}, inWords(err, value)
	}
	var d document
	if err := json.Unmarshal(text, &d); err != nil {
		return document{}, fmt.Errorf("%w: %w", ErrInvalid, err)
	}
	return d, checkSense(d)
}

// decode turns text into the plain values of JSON.
func decode(text []byte) (any, error) {
	if len(bytes.TrimSpace(text)) == 0 {
		return nil, fmt.Errorf("%w: it is empty", ErrInvalid)
	}
	if !utf8.Valid(text) {
		return nil, fmt.Errorf("%w: it is not UTF-8 text", ErrInvalid)
	}
	var value any
	err := json.Unmarshal(text, &value)
	var syntax *json.SyntaxError
	var number *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		return nil, fmt.Errorf("%w: %s: not JSON: %w", ErrInvalid, place(text, syntax.Offset), err)
	case errors.As(err, &number):
		return nil, fmt.Errorf("%w: %s: %s is too large", ErrInvalid, place(text, number.Offset), number.Value)
	case err != nil:
		return nil, fmt.Errorf("%w: %w", ErrInvalid, err)
	}
	return value, checkTwice(text)
}

// place turns an offset into a line and a column, both from 1.
func place(text []byte, offset int64) string {
	before := text[:min(max(offset-1, 0), int64(len(text)))]
	line := bytes.Count(before, []byte("\n")) + 1
	column := utf8.RuneCount(before[bytes.LastIndexByte(before, '\n')+1:]) + 1
	return fmt.Sprintf("line %d, column %d", line, column)
}

// checkTwice refuses an object that has a key twice: which one counts would be
// a guess. The text is known to be JSON.
func checkTwice(text []byte) error {
	d := json.NewDecoder(bytes.NewReader(text))
	d.UseNumber()
	type level struct {
		keys  map[string]bool // nil in an array
		value bool            // the next token is a value
	}
	var open []level
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("%w: %w", ErrInvalid, err)
		}
		top := len(open) - 1
		if key, is := token.(string); is && top >= 0 && open[top].keys != nil && !open[top].value {
			if open[top].keys[key] {
				start := d.InputOffset() - int64(len(strconv.Quote(key))) + 1
				return fmt.Errorf("%w: %s: the key %q stands twice", ErrInvalid, place(text, start), key)
			}
			open[top].keys[key], open[top].value = true, true
			continue
		}
		if top >= 0 {
			open[top].value = false
		}
		switch token {
		case json.Delim('{'):
			open = append(open, level{keys: map[string]bool{}})
		case json.Delim('['):
			open = append(open, level{})
		case json.Delim('}'), json.Delim(']'):
			open = open[:top]
		}
	}
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

// checkGroups refuses groups that the file does not say the column of, and pairs of
// measures that it does not hold.
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
	for i, p := range d.Pairs {
		for _, name := range []string{p.A, p.B} {
			if !has[[2]string{name, p.Group}] {
				wrong = append(wrong, fmt.Errorf("%w: pairs[%d]: no measure %q in group %q", ErrInvalid, i, name, p.Group))
			}
		}
	}
	return errors.Join(wrong...)
}
