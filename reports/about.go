package reports

import (
	"noisefloor/analysis/caveat"
	"noisefloor/analysis/score"
	"noisefloor/reports/field"
)

// An About says where a result comes from. Every view carries one: it stands
// at the head of the JSON and at the foot of sheets and pages.
type About struct {
	Version  string
	Input    Input
	Settings any               // the resolved request; it marshals itself
	Choices  []Choice          // the same for people: what was decided, and why
	Command  string            // the whole command line
	Labels   map[string]string // measure -> label; the measure itself when absent
	Units    map[string]string // measure -> unit
	Lower    []string          // measures that count less as better

	Better map[string]score.Direction // measure -> which way it improves

	Caveats []caveat.Caveat // of the request and the table, beside those of the analysis

	// What sentences need of the settings.
	Confidence float64
	Score      string // how attempts became scores: "mean"
	Missing    string // "all" or "complete"
	By         string // column of the levels, "" for none
	Worthwhile string // its basis in words
	Seed       uint64
	Replicates int
}

// A Choice is one resolved matter with its origin.
type Choice struct {
	Name   string // "sessions"
	Value  string // "1, 2"
	Origin string // "flag", "dictionary", "default", "noise file", "table"
}

// Label is the measure's label, or its name when it has none.
func (a About) Label(measure string) string {
	if l := a.Labels[measure]; l != "" {
		return l
	}
	return measure
}

// headOf are the members that every document begins with.
func headOf(schema string, caveats func(About) []caveat.Caveat) field.Set[About] {
	return field.Set[About]{
		field.Const[About]("schema", schema),
		field.Text("version", func(a About) string { return a.Version }).Required(),
		field.Any("input", "input", func(a About) any { return a.Input.document() }).Required(),
		field.Any("settings", "settings", func(a About) any { return a.Settings }).Required(),
		field.List("caveats", caveatFields(), func(a About) []said { return a.said(caveats(a)) }).Required(),
	}
}

// A said is a caveat with its sentence.
type said struct {
	caveat.Caveat
	Text string
}

func caveatFields() field.Set[said] {
	return field.Set[said]{
		field.Text("kind", func(c said) string { return string(c.Kind) }).Required(),
		field.Texts("measures", func(c said) []string { return c.Measures }),
		field.Text("text", func(c said) string { return c.Text }).Required(),
	}
}

// schemaID is the address of a schema, beside that of the shared definitions: a
// name, no place on a network.
func schemaID(command string) string {
	return "https://noisefloor.invalid/schema/" + command + ".schema.json"
}
