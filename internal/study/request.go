// Package study holds a question about a cohort table as data: a Request says
// what is asked, Resolve closes every matter that the request leaves open, once,
// and says where each choice came from, and Run gives the Outcome. A command
// line, a study file and a page all write the same Requests.
package study

import (
	"encoding/json"
	"reflect"
)

// A Request is one question about one table. Its zero fields are open matters;
// after [Resolve] none is left. It marshals to JSON, and whoever has the resolved
// request and the inputs can run it again.
type Request interface {
	// Question is the command that asks it: "reliability", "retest" or "correlate".
	Question() string
	common() *Common
	paths() []*string // the names of its files, the table aside; none by Common
	// settle decides what is particular to the question.
	settle(*desk) error
	run(*desk) (Outcome, error)
}

// A Table says which table is read, how, and which part of it is used.
type Table struct {
	Path         string            `json:"path"`
	Columns      map[string]string `json:"columns,omitempty"`    // role -> column
	Attributes   []string          `json:"attributes,omitempty"` // further columns that describe athletes
	Dictionary   string            `json:"dictionary,omitempty"` // descriptor; "" is the one beside the table
	NoDictionary bool              `json:"no_dictionary,omitempty"`
	Encoding     string            `json:"encoding,omitempty"`
	Delimiter    string            `json:"delimiter,omitempty"`
	Decimal      string            `json:"decimal,omitempty"`
	Sheet        string            `json:"sheet,omitempty"`
	Missing      []string          `json:"missing,omitempty"` // further texts for a missing value
	Where        []string          `json:"where,omitempty"`   // conditions that rows must meet
}

// Common holds what every question says. The zero value of a field leaves it
// open: Resolve fills it.
type Common struct {
	Version    string   `json:"version,omitempty"` // of the program that resolved the request
	Table      Table    `json:"table"`
	Sessions   []string `json:"sessions,omitempty"` // used for the noise or the correlations; empty: all
	Measures   []string `json:"measures,omitempty"` // names or globs; empty: all tests
	Lower      []string `json:"lower,omitempty"`    // tests where less is better; then more is better in all others
	Score      string   `json:"score,omitempty"`    // mean, best, median or first; "": mean, or the noise file's
	Scale      string   `json:"scale,omitempty"`    // raw, log or auto
	Worthwhile string   `json:"worthwhile,omitempty"`
	Missing    string   `json:"missing_sessions,omitempty"` // all or complete
	By         string   `json:"by,omitempty"`               // column of groups; none: no groups
	Confidence float64  `json:"confidence"`
	Seed       uint64   `json:"seed"`
	Replicates int      `json:"replicates,omitempty"`

	// Tests holds, once resolved, what was decided for each measure.
	Tests map[string]Test `json:"tests,omitempty"`
	// Origins says, once resolved, where each choice came from.
	Origins map[string]Origin `json:"origins,omitempty"`
	// Inputs are, once resolved, the files that were read.
	Inputs []Input `json:"inputs,omitempty"`

	before map[string]Origin // of a request that was resolved before
}

// A checker is a request that fills and refuses what needs no table.
type checker interface{ check() error }

// A tableless request asks about a study that is not done yet.
type tableless interface{ withoutTable() }

func (c *Common) common() *Common  { return c }
func (c *Common) paths() []*string { return nil }

// A Test is what was decided for one measure.
type Test struct {
	Better     string `json:"better"` // higher, lower or unknown
	Scale      string `json:"scale,omitempty"`
	Worthwhile string `json:"worthwhile,omitempty"` // as [ParseWorthwhile] reads it
}

// An Origin says where a choice came from.
type Origin string

// The origins.
const (
	FromRequest    Origin = "request"    // a flag, a study file or a page said so
	FromDictionary Origin = "dictionary" // the data dictionary says so
	FromNoise      Origin = "noise file"
	FromGiven      Origin = "typical error given"
	FromTable      Origin = "table"   // the table leaves no other choice
	ByDefault      Origin = "default" // nobody said anything
)

// An Input is a file that was read.
type Input struct {
	Role   string `json:"role"` // table, dictionary, noise, study
	Path   string `json:"path"` // as named; the file's name alone when it starts at the root of the machine
	SHA256 string `json:"sha256"`
}

// Reliability asks how noisy each test is.
type Reliability struct {
	Common
	Agreement []string `json:"agreement,omitempty"` // the two sessions whose agreement is shown
	Bootstrap bool     `json:"bootstrap,omitempty"`
	Power     float64  `json:"power,omitempty"` // with which a true change is to be seen; 0 means 0.8
}

// Question implements [Request].
func (*Reliability) Question() string { return "reliability" }

// Retest asks which changes of single athletes stand out from the noise.
type Retest struct {
	Common
	Noise      Files    `json:"noise,omitempty"`      // noise files; several are pooled
	NoiseFrom  []string `json:"noise_from,omitempty"` // sessions of the table with no training between them
	Baseline   string   `json:"baseline,omitempty"`   // sessions joined by plus signs are averaged
	FollowUp   []string `json:"follow_up,omitempty"`  // each judged on its own
	Athletes   []string `json:"athletes,omitempty"`   // names or globs; empty: all
	Narrow     float64  `json:"narrow"`               // level of the second interval
	Learning   bool     `json:"learning,omitempty"`
	OwnNoise   bool     `json:"own_noise,omitempty"` // judge each athlete by their own
	Regression bool     `json:"regression,omitempty"`
	Season     bool     `json:"season,omitempty"`  // watch the sessions after the baseline, and their slope
	Planned    int      `json:"planned,omitempty"` // sessions of a season; 0: 12

	TypicalErrors []TypicalError `json:"typical_errors,omitempty"` // from elsewhere; instead of a study's
}

// Files are the names of files. One file may also be written as a text of its own.
type Files []string

// UnmarshalJSON takes a list of names, or one name.
func (f *Files) UnmarshalJSON(text []byte) error {
	var one string
	if json.Unmarshal(text, &one) == nil {
		*f = Files{one}
		return nil
	}
	return json.Unmarshal(text, (*[]string)(f))
}

// Question implements [Request].
func (*Retest) Question() string { return "retest" }

// Correlate asks which tests go with an outcome.
type Correlate struct {
	Common
	Outcome    string   `json:"outcome,omitempty"`
	Covariates []string `json:"covariates,omitempty"`
	Planes     []string `json:"planes,omitempty"`
	Noise      string   `json:"noise,omitempty"`  // a noise file with the reliabilities
	Study      string   `json:"study,omitempty"`  // a table of other athletes that shows them
	Change     []string `json:"change,omitempty"` // two sessions
	Repeated   bool     `json:"repeated,omitempty"`
	Bootstrap  bool     `json:"bootstrap,omitempty"`
}

// Question implements [Request].
func (*Correlate) Question() string { return "correlate" }

// copied is a copy of a request that shares nothing with it.
func copied(r Request) Request {
	text, err := json.Marshal(r)
	if err != nil {
		panic("study: a request that does not marshal: " + err.Error()) // strings and numbers always do
	}
	out := reflect.New(reflect.TypeOf(r).Elem()).Interface().(Request)
	if err := json.Unmarshal(text, out); err != nil {
		panic("study: a request that does not come back: " + err.Error())
	}
	return out
}
