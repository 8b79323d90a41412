package simulate

import "strings"

// A descriptor is a Data Package, version 2.0, with two properties of our own
// on the resource of the table: nf:roles and nf:measures.
type descriptor struct {
	Schema      string     `json:"$schema"`
	Name        string     `json:"name"`
	Title       string     `json:"title"`
	Description string     `json:"description"`
	Keywords    []string   `json:"keywords"`
	Resources   []resource `json:"resources"`
}

type resource struct {
	Name        string            `json:"name"`
	Type        string            `json:"type,omitempty"`
	Path        string            `json:"path"`
	Title       string            `json:"title"`
	Format      string            `json:"format"`
	MediaType   string            `json:"mediatype"`
	Encoding    string            `json:"encoding"`
	Bytes       int               `json:"bytes"`
	Hash        string            `json:"hash"`
	Dialect     *dialect          `json:"dialect,omitempty"`
	TableSchema *tableSchema      `json:"schema,omitempty"`
	Roles       map[string]string `json:"nf:roles,omitempty"`
	Measures    []Measure         `json:"nf:measures,omitempty"`
}

type dialect struct {
	Delimiter string `json:"delimiter"`
}

type tableSchema struct {
	Fields        []field    `json:"fields"`
	MissingValues []string   `json:"missingValues"`
	UniqueKeys    [][]string `json:"uniqueKeys"`
}

type field struct {
	Name        string      `json:"name"`
	Type        string      `json:"type"`
	Title       string      `json:"title"`
	Description string      `json:"description,omitempty"`
	Constraints constraints `json:"constraints,omitzero"`
}

type constraints struct {
	Required bool     `json:"required,omitempty"`
	Minimum  *float64 `json:"minimum,omitempty"`
	Maximum  *float64 `json:"maximum,omitempty"`
	Pattern  string   `json:"pattern,omitempty"`
	Enum     []string `json:"enum,omitempty"`
}

// fields are the columns of the table. The enumeration of measures is filled
// in by [Study.descriptor].
var fields = []field{
	{Name: "athlete", Type: "string", Title: "Athlete", Description: "Code of an invented athlete",
		Constraints: constraints{Required: true, Pattern: "C[0-9]{2,}"}},
	{Name: "level", Type: "string", Title: "Level", Constraints: constraints{Required: true, Enum: levels[:]}},
	{Name: "discipline", Type: "string", Title: "Discipline",
		Description: "Bowlers have a ball speed, batters a bat speed",
		Constraints: constraints{Required: true, Enum: []string{bowler, batter}}},
	{Name: "group", Type: "string", Title: "Group",
		Description: "Trained: did the rotational training block between sessions 2 and 3; control: did not",
		Constraints: constraints{Required: true, Enum: []string{trained, control}}},
	{Name: "dominant", Type: "string", Title: "Dominant side",
		Constraints: constraints{Required: true, Enum: []string{left, right}}},
	{Name: "age", Type: "integer", Title: "Age", Description: "Whole years at session 1",
		Constraints: constraints{Required: true, Minimum: value(10), Maximum: value(60)}},
	{Name: "body_mass", Type: "number", Title: "Body mass", Description: "kg at session 1",
		Constraints: constraints{Required: true, Minimum: value(25), Maximum: value(160)}},
	{Name: "status", Type: "string", Title: "Status",
		Description: "Returning: back in testing after a shoulder injury, cleared for it",
		Constraints: constraints{Required: true, Enum: []string{available, returning}}},
	{Name: "session", Type: "integer", Title: "Session",
		Description: "1 and 2 before the training block with no training between them; 3 and 4 after it",
		Constraints: constraints{Required: true, Minimum: value(1), Maximum: value(Sessions)}},
	{Name: "trial", Type: "integer", Title: "Trial",
		Constraints: constraints{Required: true, Minimum: value(1), Maximum: value(Trials)}},
	{Name: "measure", Type: "string", Title: "Measure", Constraints: constraints{Required: true}},
	{Name: "side", Type: "string", Title: "Side",
		Description: "The side thrown from, pressed with or jumped off; empty for tests without sides",
		Constraints: constraints{Enum: []string{left, right}}},
	{Name: "value", Type: "number", Title: "Value",
		Description: "In the unit of the measure; empty where the attempt gave no valid reading"},
}

// roles say which column is what.
var roles = []string{"athlete", "session", "trial", "measure", "side", "value", "level", "group", "dominant"}

func (s *Study) descriptor(table, truth File) descriptor {
	d := descriptor{
		Schema: "https://datapackage.org/profiles/2.0/datapackage.json",
		Name:   "coast",
		Title:  "An invented cricket academy on an imaginary coast",
		Description: "Simulated test scores of fast bowlers and batters in four sessions around a training block. " +
			"Every athlete and every number is invented; the true values are in " + TruthFile + ".",
		Keywords: []string{"simulated", "reliability", "cricket", "bowling", "batting"},
	}
	d.Resources = []resource{{
		Name: "tests", Type: "table", Path: table.Name, Title: "Attempts, one a row",
		Format: "csv", MediaType: "text/csv", Encoding: "utf-8", Bytes: len(table.Data), Hash: table.hash(),
		Dialect: &dialect{Delimiter: ","}, TableSchema: s.tableSchema(), Roles: map[string]string{},
		Measures: s.Measures,
	}, {
		Name: "truth", Path: truth.Name, Title: "The true values that the attempts were drawn from",
		Format: "json", MediaType: "application/json", Encoding: "utf-8", Bytes: len(truth.Data), Hash: truth.hash(),
	}}
	for _, r := range roles {
		d.Resources[0].Roles[r] = r // the columns are named after their roles
	}
	return d
}

func (s *Study) tableSchema() *tableSchema {
	t := &tableSchema{MissingValues: []string{""},
		UniqueKeys: [][]string{{"athlete", "session", "trial", "measure", "side"}}}
	for _, f := range fields {
		if f.Name == "measure" {
			f.Constraints.Enum = s.baseNames()
		}
		t.Fields = append(t.Fields, f)
	}
	return t
}

// baseNames lists what the measure column holds: names without sides.
func (s *Study) baseNames() []string {
	var names []string
	for _, m := range s.Measures {
		base, _, _ := strings.Cut(m.Name, ".")
		if len(names) == 0 || names[len(names)-1] != base {
			names = append(names, base)
		}
	}
	return names
}
