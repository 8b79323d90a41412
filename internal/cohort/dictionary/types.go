// Package dictionary reads the data dictionary of a cohort table: a Data
// Package descriptor, datapackage.json, in version 2.0 or 1.0 of that open
// standard. It reads the part of the standard that a cohort needs:
//
//   - fields of type string, number, integer, boolean, date and any (also when
//     no type is stated); another type is an error;
//   - every constraint but jsonSchema, missing values, primary and unique keys;
//   - the dialect, encoding, size and checksum of the file.
//
// What it does not read and what would change the data is an error; what is
// only not checked (foreign keys, formats of text, jsonSchema) is a warning.
// categories, titles and other descriptive properties are passed over.
//
// Two properties of a resource are this project's own. nf:roles is an object
// from role to column name. nf:measures describes the measures, in a list or
// as an object from name to description:
//
//	"nf:roles": {"athlete": "code", "session": "visit", "value": "result"},
//	"nf:measures": [
//	  {"name": "throw", "unit": "m", "plane": "transverse", "better": "higher"},
//	  {"name": "sprint", "unit": "s", "plane": "sagittal", "better": "lower",
//	   "worthwhile": 0.03, "minimum": 1, "maximum": 4}
//	]
//
// Descriptors are checked against embedded JSON Schemas, without a network.
package dictionary

// A Dictionary describes a cohort table: where its columns stand, how its
// cells are written, and what each measure is. The zero value describes
// nothing and is valid.
type Dictionary struct {
	Path          string // the descriptor file, as named by the user
	Resource      string // name of the resource that describes the table
	Bytes         int64  // stored size in bytes, 0 when not stated
	Hash          string // "sha256:…" or an MD5 hex string, "" when not stated
	Encoding      string // "" when not stated
	Dialect       Dialect
	Fields        []Field
	FieldsMatch   string   // exact, equal, subset, superset, partial; "" when not stated, which means exact
	MissingValues []string // nil when not stated (then the field default applies)
	PrimaryKey    []string
	UniqueKeys    [][]string
	Roles         map[string]string // nf:roles: role name -> column name
	Measures      []Measure         // nf:measures
	Warnings      []string          // such as a constraint that is not supported
}

// A Dialect says how the delimited text is written.
type Dialect struct {
	Delimiter   string // "" when not stated
	DecimalChar string // from the fields, when they agree; "" when not stated
	CommentChar string
	NoHeader    bool
	// SkipInitialSpace says that white space behind a delimiter is not data.
	SkipInitialSpace bool
	SheetName        string
	SheetNumber      int // from 1; 0 when not stated
}

// A Field is one column of the table.
type Field struct {
	Name          string
	Type          string // string, number, integer, boolean, date, any
	Format        string
	Title         string
	DecimalChar   string
	GroupChar     string
	Dressed       bool     // numbers may stand among other signs: "95 %", "€ 12" (bareNumber is false)
	TrueValues    []string // of a boolean; nil when not stated
	FalseValues   []string // of a boolean; nil when not stated
	MissingValues []string // nil when not stated; replaces the schema's list
	Constraints   Constraints
}

// Constraints are the checks a field's values must pass.
type Constraints struct {
	Required, Unique                   bool
	MinLength, MaxLength               *int
	Minimum, Maximum                   *float64
	ExclusiveMinimum, ExclusiveMaximum *float64
	Pattern                            string   // matches the whole value
	Enum                               []string // as written; compare numbers as numbers

	// Limits of a date field, in the form of the field's cells.
	MinimumDate, MaximumDate                   string
	ExclusiveMinimumDate, ExclusiveMaximumDate string
}

// A Measure is one test, or one outcome, of the cohort: what nf:measures says.
// In a table with a side column the measure "throw" stands for each of its
// sides ("throw.left", "throw.right") unless those are described themselves.
type Measure struct {
	Name             string   // column name (wide) or value of the measure column (long)
	Label            string   // for people; "" means Name
	Unit             string   // "W", "m", "km/h"
	Plane            string   // sagittal, frontal, transverse
	Region           string   // upper, trunk, lower, whole
	Quality          string   // absolute strength, strength-speed, speed-strength, absolute speed
	Quantity         string   // power, acceleration, distance, speed, time, ...
	Side             string   // left, right, dominant, other, both
	Pair             string   // the measure of the other side
	Countermovement  string   // with, without
	Counterpart      string   // the same test with, or without, a countermovement
	Quickness        string   // the test that says how fast this one's peak is reached
	Load             *float64 // moved in the test, kg; nil when not stated
	Better           string   // higher (default), lower
	Scale            string   // raw (default), log
	Role             string   // test (default), outcome, covariate
	Worthwhile       *float64 // smallest worthwhile change, in Unit
	Minimum, Maximum *float64 // plausible range, in Unit
}
