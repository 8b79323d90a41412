package field

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"

	"noisefloor/analysis/estimate"
)

// A Document is a JSON object whose members keep their order.
type Document struct {
	keys   []string
	values []any
}

// Add adds a member; nil is left out.
func (d *Document) Add(key string, value any) {
	if value != nil {
		d.keys, d.values = append(d.keys, key), append(d.values, value)
	}
}

// MarshalJSON implements [json.Marshaler].
func (d *Document) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	b.WriteByte('{')
	for i, k := range d.keys {
		if i > 0 {
			b.WriteByte(',')
		}
		if err := e.Encode(k); err != nil {
			return nil, err
		}
		b.WriteByte(':')
		if err := e.Encode(d.values[i]); err != nil {
			return nil, err
		}
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// JSON returns v as a document: absent facts are left out.
func (s Set[T]) JSON(v T) *Document {
	d := &Document{}
	for _, f := range s {
		if f.hidden {
			continue
		}
		x := f.get(v)
		if !f.required {
			x = present(x)
		}
		d.Add(f.Key, x)
	}
	return d
}

// present leaves out empty texts and lists.
func present(x any) any {
	switch y := x.(type) {
	case string:
		if y == "" {
			return nil
		}
	case []string:
		if len(y) == 0 {
			return nil
		}
	case []any:
		if len(y) == 0 {
			return nil
		}
	}
	return x
}

// An interval is the JSON form of an estimate.
type interval struct {
	Estimate *float64 `json:"estimate,omitempty"`
	Lower    *float64 `json:"lower,omitempty"`
	Upper    *float64 `json:"upper,omitempty"`
	SE       *float64 `json:"se,omitempty"`
	DF       *float64 `json:"df,omitempty"`
	Method   string   `json:"method,omitempty"`
}

// Of returns the JSON form of an estimate.
func Of(e estimate.Estimate) any {
	return interval{number(e.Value), number(e.Lower), number(e.Upper), above(e.SE), above(e.DF), string(e.Kind)}
}

func number(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

func above(x float64) *float64 {
	if !(x > 0) {
		return nil
	}
	return number(x)
}

// finite returns x, or nil for what JSON has no word for.
func finite(x float64) any {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return x
}

func texts(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

func join(s []string) string { return strings.Join(s, "+") }
