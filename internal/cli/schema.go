package cli

import (
	"noisefloor/internal/study"
	"noisefloor/reports/field"
)

// Schemas are the JSON Schemas of every document, by the name of their file, and
// the definitions that they share. They are made from the tables of fields and
// from the requests; reports/schema holds them as files, and a test holds the
// two together.
func Schemas() map[string]any {
	out := map[string]any{field.Common: sharedDefinitions()}
	for _, e := range registry() {
		if e.schema != nil {
			out[e.name+".schema.json"] = e.schema()
		}
	}
	return out
}

// sharedDefinitions are what several documents hold.
func sharedDefinitions() map[string]any {
	defs := map[string]any{"interval": intervalSchema(), "input": inputSchema(), "settings": settingsSchema()}
	for _, e := range questions() {
		q := e.ask()
		defs[q.Question()] = study.Schema(q)
	}
	return map[string]any{
		"$schema": "https://json-schema.org/draft/2020-12/schema",
		"$id":     "https://noisefloor.invalid/schema/" + field.Common,
		"title":   "What the documents of noisefloor share.",
		"$defs":   defs,
	}
}

func intervalSchema() map[string]any {
	return object(map[string]any{"estimate": number(), "lower": number(), "upper": number(), "se": number(),
		"df": number(), "method": text()})
}

func inputSchema() map[string]any {
	leftOut := object(map[string]any{"reason": text(), "rows": whole()}, "reason", "rows")
	return object(map[string]any{
		"path": text(), "sha256": map[string]any{"type": "string", "pattern": "^([0-9a-f]{64})?$"}, "rows": whole(),
		"left_out": map[string]any{"type": "array", "items": leftOut},
	}, "path", "sha256", "rows", "left_out")
}

// settingsSchema is any of the requests.
func settingsSchema() map[string]any {
	var kinds []any
	for _, e := range questions() {
		kinds = append(kinds, map[string]string{"$ref": "#/$defs/" + e.ask().Question()})
	}
	return map[string]any{"anyOf": kinds}
}

func object(properties map[string]any, required ...string) map[string]any {
	out := map[string]any{"type": "object", "properties": properties, "additionalProperties": false}
	if len(required) > 0 {
		out["required"] = required
	}
	return out
}

func number() map[string]any { return map[string]any{"type": "number"} }
func text() map[string]any   { return map[string]any{"type": "string"} }
func whole() map[string]any  { return map[string]any{"type": "integer", "minimum": 0} }
