package dictionary

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"unicode/utf8"
)

// Limits of a descriptor. A dictionary of a hundred measures has some 30 kB,
// 2,000 values and 5 levels; more would only take time.
const (
	maxBytes  = 16 << 20
	maxValues = 50_000
	maxDepth  = 64
)

// A node is one JSON value, with its members in the order of the file.
type node struct {
	at    int    // byte offset just behind the value, or behind its opening brace
	kind  string // object, array, string, number, boolean, null
	text  string // a string, or a number as written
	truth bool
	names []string // member names of an object
	items []*node  // members of an object, or elements of an array
}

// member returns the member called name, or nil.
func (n *node) member(name string) *node {
	for i, s := range n.names {
		if s == name {
			return n.items[i]
		}
	}
	return nil
}

// plain returns n as the types that encoding/json decodes into.
func (n *node) plain() any {
	switch n.kind {
	case "object":
		m := make(map[string]any, len(n.names))
		for i, name := range n.names {
			m[name] = n.items[i].plain()
		}
		return m
	case "array":
		list := make([]any, len(n.items))
		for i, item := range n.items {
			list[i] = item.plain()
		}
		return list
	case "string":
		return n.text
	case "number":
		return json.Number(n.text)
	case "boolean":
		return n.truth
	}
	return nil
}

// A decoder turns JSON text into nodes and reports repeated member names.
type decoder struct {
	dec    *json.Decoder
	text   []byte
	values int
	report func(key string, at int, text string)

	counted, newlines int // newlines are in text[:counted]
}

// line returns the line of the byte before offset at, which grows from call
// to call.
func (d *decoder) line(at int) int {
	d.newlines += bytes.Count(d.text[d.counted:at], []byte{'\n'})
	d.counted = at
	return d.newlines + 1
}

var errTooMany = fmt.Errorf("has more than %d values; that is not a data dictionary", maxValues)

// decode parses text, one JSON object. Syntax errors come with line and
// column; report receives repeated member names and numbers out of range.
func decode(text []byte, report func(key string, at int, text string)) (*node, error) {
	text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))
	if err := checkText(text); err != nil {
		return nil, err
	}
	d := &decoder{dec: json.NewDecoder(bytes.NewReader(text)), text: text, report: report}
	d.dec.UseNumber()
	n, err := d.value("", 0)
	if err != nil {
		return nil, err
	}
	if n.kind != "object" {
		return nil, fmt.Errorf("want a JSON object, { ... }, found %s", article(n.kind))
	}
	return n, nil
}

// checkText reports what keeps text from being read as JSON.
func checkText(text []byte) error {
	if len(bytes.TrimSpace(text)) == 0 {
		return errors.New("is empty; want a JSON object, { ... }")
	}
	if bytes.HasPrefix(text, []byte{0xff, 0xfe}) || bytes.HasPrefix(text, []byte{0xfe, 0xff}) {
		return errors.New("is UTF-16 text; save it as UTF-8")
	}
	if at := invalidUTF8(text); at >= 0 {
		line, column := position(text, at)
		return fmt.Errorf("line %d, column %d: not UTF-8 text; save it as UTF-8", line, column)
	}
	var raw json.RawMessage
	var syntax *json.SyntaxError
	err := json.Unmarshal(text, &raw)
	if errors.As(err, &syntax) {
		line, column := position(text, int(syntax.Offset)-1)
		return fmt.Errorf("line %d, column %d: not valid JSON: %w", line, column, err)
	}
	return err
}

// invalidUTF8 returns the offset of the first byte that is not UTF-8, or -1.
func invalidUTF8(text []byte) int {
	for at := 0; at < len(text); {
		r, size := utf8.DecodeRune(text[at:])
		if r == utf8.RuneError && size == 1 {
			return at
		}
		at += size
	}
	return -1
}

// position returns the line and the column, in characters, of the byte at
// offset at; both count from 1.
func position(text []byte, at int) (line, column int) {
	at = min(max(at, 0), len(text))
	before := text[:at]
	start := bytes.LastIndexByte(before, '\n') + 1
	return bytes.Count(before, []byte{'\n'}) + 1, utf8.RuneCount(before[start:]) + 1
}

func (d *decoder) value(key string, depth int) (*node, error) {
	if d.values++; d.values > maxValues {
		return nil, errTooMany
	}
	if depth > maxDepth {
		return nil, fmt.Errorf("is nested more than %d levels deep", maxDepth)
	}
	token, err := d.dec.Token()
	if err != nil {
		return nil, syntaxEnd(err)
	}
	n := &node{at: int(d.dec.InputOffset())}
	switch v := token.(type) {
	case json.Delim:
		if v == '{' {
			return n, d.object(n, key, depth)
		}
		return n, d.array(n, key, depth)
	case string:
		n.kind, n.text = "string", v
	case json.Number:
		n.kind, n.text = "number", d.number(key, n.at, v.String())
	case bool:
		n.kind, n.truth = "boolean", v
	default:
		n.kind = "null"
	}
	return n, nil
}

// number returns the literal of a number, 0 (and a report) when it has no
// place in a float64: the schema validator cannot take such a number.
func (d *decoder) number(key string, at int, literal string) string {
	v, err := strconv.ParseFloat(literal, 64)
	tiny := v == 0 && bytes.ContainsAny([]byte(mantissa(literal)), "123456789")
	if err != nil || math.IsInf(v, 0) || tiny || len(literal) > 400 {
		d.report(key, at, fmt.Sprintf("the number %s is out of range", clip(literal)))
		return "0"
	}
	if v == 0 {
		return "0" // 0e999999999 is zero, and costs nothing this way
	}
	return literal
}

func mantissa(literal string) string {
	if i := bytes.IndexAny([]byte(literal), "eE"); i >= 0 {
		return literal[:i]
	}
	return literal
}

func (d *decoder) object(n *node, key string, depth int) error {
	n.kind = "object"
	seen := make(map[string]bool)
	for d.dec.More() {
		token, err := d.dec.Token()
		if err != nil {
			return syntaxEnd(err)
		}
		name, at := token.(string), int(d.dec.InputOffset())
		// The line is taken before the value is read: inside the value there may
		// be other keys written twice, and line wants offsets that grow.
		again := 0
		if seen[name] {
			again = d.line(at)
		}
		item, err := d.value(join(key, name), depth+1)
		if err != nil {
			return err
		}
		if again > 0 {
			d.report(join(key, name), at, fmt.Sprintf("this key is written twice (again in line %d); keep one", again))
			continue
		}
		seen[name] = true
		n.names, n.items = append(n.names, name), append(n.items, item)
	}
	_, err := d.dec.Token()
	return err
}

func (d *decoder) array(n *node, key string, depth int) error {
	n.kind = "array"
	for d.dec.More() {
		item, err := d.value(index(key, len(n.items)), depth+1)
		if err != nil {
			return err
		}
		n.items = append(n.items, item)
	}
	_, err := d.dec.Token()
	return err
}

func syntaxEnd(err error) error {
	if errors.Is(err, io.EOF) {
		return io.ErrUnexpectedEOF
	}
	return err
}
