// Package field names each fact of a result once. From one table of fields
// come the table for people, the CSV, the JSON, its schema, and the list of
// what explain must cover.
package field

import (
	"math"

	"noisefloor/analysis/estimate"
	"noisefloor/reports/table"
)

// A Set holds the fields of a T, in order.
type Set[T any] []Field[T]

// A Field is one fact of a T. Make it with [Number], [Integer], [Text],
// [Flag], [Texts], [Interval], [Object], [List] or [Any], and refine it with
// its methods.
type Field[T any] struct {
	Key  string // JSON member, and CSV column unless Column says another
	Head string // head of its column for people; "" when it is in no table for them
	Term string // the term of explain that covers it; "" means the one that owns Key

	column   string         // CSV column; "-" none
	shape    shape          // JSON type
	required bool           // JSON: always there
	hidden   bool           // not in the JSON
	get      func(T) any    // nil when absent
	text     func(T) string // for people
	cells    func(T) []table.Cell
	columns  []string // suffixes of the CSV columns
	names    []string // of the CSV columns, when they are not key and suffix
	left     bool     // column for people is text
}

// Number is a float64, absent when NaN or infinite.
func Number[T any](key string, get func(T) float64) Field[T] {
	return Field[T]{Key: key, shape: shape{kind: "number"}, get: func(v T) any { return finite(get(v)) },
		columns: []string{""}, cells: func(v T) []table.Cell { return []table.Cell{table.Num(get(v), "")} }}
}

// Maybe is a number that is absent when nil.
func Maybe[T any](key string, get func(T) *float64) Field[T] {
	return Number(key, func(v T) float64 {
		if x := get(v); x != nil {
			return *x
		}
		return math.NaN()
	})
}

// Integer is a whole number from 0.
func Integer[T any](key string, get func(T) int) Field[T] {
	return Field[T]{Key: key, shape: shape{kind: "integer"}, get: func(v T) any { return get(v) },
		columns: []string{""},
		cells:   func(v T) []table.Cell { return []table.Cell{table.Num(float64(get(v)), "")} }}
}

// Count is a whole number from 1, absent when 0.
func Count[T any](key string, get func(T) int) Field[T] {
	f := Integer(key, get)
	f.get = func(v T) any {
		if n := get(v); n > 0 {
			return n
		}
		return nil
	}
	return f
}

// Text is a text, absent when empty unless required.
func Text[T any](key string, get func(T) string) Field[T] {
	return Field[T]{Key: key, shape: shape{kind: "string"}, left: true, columns: []string{""},
		get: func(v T) any { return get(v) }, text: get,
		cells: func(v T) []table.Cell { return []table.Cell{table.Text(get(v))} }}
}

// Choice is a text from a closed list.
func Choice[T any, S ~string](key string, all []S, get func(T) S) Field[T] {
	f := Text(key, func(v T) string { return string(get(v)) })
	for _, s := range all {
		f.shape.enum = append(f.shape.enum, string(s))
	}
	return f
}

// Flag is true or false, always there.
func Flag[T any](key string, get func(T) bool) Field[T] {
	return Field[T]{Key: key, shape: shape{kind: "boolean"}, required: true, left: true, columns: []string{""},
		get: func(v T) any { return get(v) },
		cells: func(v T) []table.Cell {
			if get(v) {
				return []table.Cell{table.Text("true")}
			}
			return []table.Cell{table.Text("false")}
		}}
}

// Optional is true or false, absent when nil.
func Optional[T any](key string, get func(T) *bool) Field[T] {
	f := Flag(key, func(v T) bool { b := get(v); return b != nil && *b })
	f.required = false
	f.get = func(v T) any {
		if b := get(v); b != nil {
			return *b
		}
		return nil
	}
	f.cells = func(v T) []table.Cell {
		switch b := get(v); {
		case b == nil:
			return []table.Cell{table.Text("")}
		case *b:
			return []table.Cell{table.Text("true")}
		}
		return []table.Cell{table.Text("false")}
	}
	return f
}

// Texts is a list of texts; in CSV they are joined by plus signs.
func Texts[T any](key string, get func(T) []string) Field[T] {
	return Field[T]{Key: key, shape: shape{kind: "array", items: &shape{kind: "string"}}, left: true,
		columns: []string{""},
		get:     func(v T) any { return texts(get(v)) },
		cells:   func(v T) []table.Cell { return []table.Cell{table.Text(join(get(v)))} }}
}

// Interval is an estimate: the object {"estimate", "lower"?, "upper"?, "se"?,
// "df"?} in JSON; the columns KEY, KEY_lower and KEY_upper in CSV.
func Interval[T any](key string, get func(T) estimate.Estimate) Field[T] {
	return Field[T]{Key: key, shape: shape{ref: "interval"}, columns: []string{"", "_lower", "_upper"},
		get: func(v T) any {
			e := get(v)
			if finite(e.Value) == nil {
				return nil
			}
			return Of(e)
		},
		cells: func(v T) []table.Cell {
			e := get(v)
			return []table.Cell{table.Num(e.Value, ""), table.Num(e.Lower, ""), table.Num(e.Upper, "")}
		}}
}

// MaybeInterval is an estimate that is absent when nil.
func MaybeInterval[T any](key string, get func(T) *estimate.Estimate) Field[T] {
	return Interval(key, func(v T) estimate.Estimate {
		if e := get(v); e != nil {
			return *e
		}
		return estimate.Bare(math.NaN(), estimate.None)
	})
}

// Object is a part of T with fields of its own; get reports false when it is
// absent. It has no column.
func Object[T, U any](key string, fields Set[U], get func(T) (U, bool)) Field[T] {
	return Field[T]{Key: key, column: "-", shape: fields.shape(), get: func(v T) any {
		if u, ok := get(v); ok {
			return fields.JSON(u)
		}
		return nil
	}}
}

// Inline puts the fields of a part into T's own object.
func Inline[T, U any](fields Set[U], get func(T) U) Set[T] {
	var out Set[T]
	for _, f := range fields {
		f := f
		g := Field[T]{Key: f.Key, Head: f.Head, Term: f.Term, column: f.column, shape: f.shape, required: f.required,
			hidden: f.hidden, columns: f.columns, names: f.names, left: f.left,
			get: func(v T) any { return f.get(get(v)) }}
		if f.text != nil {
			g.text = func(v T) string { return f.text(get(v)) }
		}
		if f.cells != nil {
			g.cells = func(v T) []table.Cell { return f.cells(get(v)) }
		}
		out = append(out, g)
	}
	return out
}

// List is a list of parts, each with fields of its own. It has no column.
func List[T, U any](key string, fields Set[U], get func(T) []U) Field[T] {
	item := fields.shape()
	return Field[T]{Key: key, column: "-", shape: shape{kind: "array", items: &item}, get: func(v T) any {
		parts := get(v)
		out := make([]any, len(parts))
		for i, u := range parts {
			out[i] = fields.JSON(u)
		}
		return out
	}}
}

// Any is a value that marshals itself, such as the resolved request; its
// schema is a definition of the shared file.
func Any[T any](key, definition string, get func(T) any) Field[T] {
	return Field[T]{Key: key, column: "-", shape: shape{ref: definition}, get: get}
}

// Const is a text that is always the same.
func Const[T any](key, text string) Field[T] {
	f := Text(key, func(T) string { return text }).Required()
	f.shape.constant = text
	f.column = "-"
	return f
}

// Required says that the field is always there: lists as [], texts as "".
func (f Field[T]) Required() Field[T] { f.required = true; return f }

// Shown gives the field a column for people.
func (f Field[T]) Shown(head string, text func(T) string) Field[T] {
	f.Head, f.text = head, text
	return f
}

// Column names the CSV column, when it is not the key; "-" leaves it out.
func (f Field[T]) Column(name string) Field[T] { f.column = name; return f }

// Columns names all CSV columns of an interval, when they are not its key with
// and without suffixes.
func (f Field[T]) Columns(names ...string) Field[T] { f.names = names; return f }

// Hidden leaves the field out of the JSON: it is for tables alone.
func (f Field[T]) Hidden() Field[T] { f.hidden = true; return f }

// Explained names the term of explain that covers the field.
func (f Field[T]) Explained(term string) Field[T] { f.Term = term; return f }

// Left sets the column for people flush left: it holds text.
func (f Field[T]) Left() Field[T] { f.left = true; return f }

// As gives a text a column for people that says what it is.
func (f Field[T]) As(head string) Field[T] { return f.Shown(head, f.text) }
