// Package strictjson reads JSON files that must be right: what is not in their schema is
// refused, and every wrong key is told in words.
package strictjson

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"sync"
	"unicode/utf8"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// A Schema is a JSON Schema, compiled when it is first needed; nothing is ever fetched.
type Schema struct {
	compiled func() (*jsonschema.Schema, error)
}

// Compile returns the schema of a text; name is what it is called.
func Compile(name string, text func() []byte) Schema {
	return Schema{sync.OnceValues(func() (*jsonschema.Schema, error) {
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text()))
		if err != nil {
			return nil, err
		}
		c := jsonschema.NewCompiler()
		c.UseLoader(jsonschema.SchemeURLLoader{}) // no scheme at all
		if err := c.AddResource("mem:///"+name, doc); err != nil {
			return nil, err
		}
		return c.Compile("mem:///" + name)
	})}
}

// Check returns an error with a line for every wrong key of a value made by [Decode].
func (s Schema) Check(value any) error {
	schema, err := s.compiled()
	if err != nil {
		return fmt.Errorf("embedded schema: %w", err)
	}
	if err := schema.Validate(value); err != nil {
		return inWords(err, value)
	}
	return nil
}

// Decode turns text into the plain values of JSON. It refuses what is empty, not UTF-8 or
// not JSON, and an object that has a key twice.
func Decode(text []byte) (any, error) {
	if len(bytes.TrimSpace(text)) == 0 {
		return nil, errors.New("it is empty")
	}
	if !utf8.Valid(text) {
		return nil, errors.New("it is not UTF-8 text")
	}
	var value any
	err := json.Unmarshal(text, &value)
	var syntax *json.SyntaxError
	var number *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		return nil, fmt.Errorf("%s: not JSON: %w", place(text, syntax.Offset), err)
	case errors.As(err, &number):
		return nil, fmt.Errorf("%s: %s is too large", place(text, number.Offset), number.Value)
	case err != nil:
		return nil, err
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
			return err
		}
		top := len(open) - 1
		if key, is := token.(string); is && top >= 0 && open[top].keys != nil && !open[top].value {
			if open[top].keys[key] {
				start := d.InputOffset() - int64(len(strconv.Quote(key))) + 1
				return fmt.Errorf("%s: the key %q stands twice", place(text, start), key)
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
