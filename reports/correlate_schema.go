package reports

import (
	"reflect"
	"strings"

	"noisefloor/reports/field"
)

// CorrelateSchema is the JSON Schema of the documents of correlate, made from the
// document's own form.
func CorrelateSchema() *field.Document {
	d := &field.Document{}
	d.Add("$schema", "https://json-schema.org/draft/2020-12/schema")
	d.Add("$id", schemaID("correlate"))
	d.Add("title", "Which tests go with throwing or bat speed?")
	formOf(reflect.TypeFor[correlateDocument](), d)
	return d
}

// formOf writes what a schema says of a type.
func formOf(t reflect.Type, d *field.Document) {
	switch t.Kind() {
	case reflect.Pointer:
		formOf(t.Elem(), d)
	case reflect.Float64:
		d.Add("type", "number")
	case reflect.Int:
		d.Add("type", "integer")
		d.Add("minimum", 0)
	case reflect.Bool:
		d.Add("type", "boolean")
	case reflect.String:
		d.Add("type", "string")
	case reflect.Slice:
		items := &field.Document{}
		formOf(t.Elem(), items)
		d.Add("type", "array")
		d.Add("items", items)
	case reflect.Struct:
		objectOf(t, d)
	}
}

func objectOf(t reflect.Type, d *field.Document) {
	properties, required := &field.Document{}, []string{}
	membersOf(t, properties, &required)
	d.Add("type", "object")
	d.Add("properties", properties)
	if len(required) > 0 {
		d.Add("required", required)
	}
	d.Add("additionalProperties", false)
}

// shared are the members whose definitions several documents share.
var shared = map[string]string{"input": "input", "settings": "settings"}

func membersOf(t reflect.Type, properties *field.Document, required *[]string) {
	for i := range t.NumField() {
		f := t.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if f.Anonymous {
			membersOf(f.Type, properties, required)
			continue
		}
		form := &field.Document{}
		if def, ok := shared[name]; ok {
			form.Add("$ref", field.Common+"#/$defs/"+def)
		} else {
			formOf(f.Type, form)
		}
		properties.Add(name, form)
		if options != "omitempty" {
			*required = append(*required, name)
		}
	}
}
