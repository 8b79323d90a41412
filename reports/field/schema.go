package field

import "slices"

// A shape is what a schema says of a value.
type shape struct {
	kind     string // "number", "integer", "string", "boolean", "array", "object"
	ref      string // a definition of the shared file
	enum     []string
	constant string
	items    *shape
	members  []member
}

type member struct {
	key      string
	shape    shape
	required bool
}

// Common is the name of the file of shared definitions.
const Common = "common.schema.json"

func (s Set[T]) shape() shape {
	out := shape{kind: "object"}
	for _, f := range s {
		if !f.hidden {
			out.members = append(out.members, member{f.Key, f.shape, f.required})
		}
	}
	return out
}

// Schema returns the JSON Schema (draft 2020-12) of the documents of s.
func (s Set[T]) Schema(id, title string) *Document {
	d := &Document{}
	d.Add("$schema", "https://json-schema.org/draft/2020-12/schema")
	d.Add("$id", id)
	d.Add("title", title)
	s.shape().write(d)
	return d
}

func (s shape) document() *Document {
	d := &Document{}
	s.write(d)
	return d
}

func (s shape) write(d *Document) {
	switch {
	case s.ref != "":
		d.Add("$ref", Common+"#/$defs/"+s.ref)
		return
	case s.constant != "":
		d.Add("const", s.constant)
		return
	case s.enum != nil:
		d.Add("enum", s.enum)
		return
	}
	d.Add("type", s.kind)
	switch s.kind {
	case "integer":
		d.Add("minimum", 0)
	case "array":
		d.Add("items", s.items.document())
	case "object":
		s.object(d)
	}
}

func (s shape) object(d *Document) {
	properties, required := &Document{}, []string{}
	for _, m := range s.members {
		properties.Add(m.key, m.shape.document())
		if m.required {
			required = append(required, m.key)
		}
	}
	d.Add("properties", properties)
	if len(required) > 0 {
		d.Add("required", required)
	}
	d.Add("additionalProperties", false)
}

// Paths returns the path of every member in the documents of s, such as
// "measures.typical_error.lower", and the term its field names, if any.
func (s Set[T]) Paths() []Path {
	var out []Path
	for _, f := range s {
		if !f.hidden {
			out = append(out, f.shape.paths(f.Key, f.Term)...)
		}
	}
	return out
}

// A Path is a place in a document with the term that covers it, "" when it is
// found by the key.
type Path struct{ Key, Term string }

func (s shape) paths(key, term string) []Path {
	out := []Path{{key, term}}
	at := s
	if s.kind == "array" && s.items != nil {
		at = *s.items
	}
	for _, m := range at.members {
		out = append(out, m.shape.paths(key+"."+m.key, "")...)
	}
	return out
}

// Columns returns the names of the CSV columns of s and of the columns for
// people.
func (s Set[T]) Columns() (machine, people []string) {
	for _, f := range s {
		machine = append(machine, f.machineColumns()...)
		if f.Head != "" && !slices.Contains(people, f.Head) {
			people = append(people, f.Head)
		}
	}
	return machine, people
}
