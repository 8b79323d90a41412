package study

import (
	"reflect"
	"strings"
)

// Schema returns the JSON Schema of the requests of one question: what a study
// file may hold, and what the settings of a result are. No other member is
// allowed.
func Schema(r Request) map[string]any {
	return schemaOf(reflect.TypeOf(r).Elem())
}

func schemaOf(t reflect.Type) map[string]any {
	switch t.Kind() {
	case reflect.String:
		return map[string]any{"type": "string"}
	case reflect.Bool:
		return map[string]any{"type": "boolean"}
	case reflect.Float64:
		return map[string]any{"type": "number"}
	case reflect.Int, reflect.Uint64:
		return map[string]any{"type": "integer"}
	case reflect.Slice:
		return map[string]any{"type": "array", "items": schemaOf(t.Elem())}
	case reflect.Map:
		return map[string]any{"type": "object", "additionalProperties": schemaOf(t.Elem())}
	}
	properties := map[string]any{}
	members(t, properties)
	return map[string]any{"type": "object", "properties": properties, "additionalProperties": false}
}

// members gathers the members of a struct, those of embedded structs among them.
func members(t reflect.Type, into map[string]any) {
	for i := range t.NumField() {
		f := t.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case f.Anonymous:
			members(f.Type, into)
		case name != "" && f.IsExported():
			into[name] = schemaOf(f.Type)
		}
	}
}
