// Package normsfile writes and reads norms files: the reference values of groups, for
// athletes of other tables to stand in. A norms file holds nobody: what may be kept is
// decided by [norms.Keep], and a file that holds more is refused. Its format is
// norms.schema.json.
package normsfile

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/norms"
	"noisefloor/analysis/score"
	"noisefloor/internal/strictjson"
)

// Schema is the name and version of the format.
const Schema = "noisefloor/norms-file/1"

// maxBytes is far more than any norms file needs.
const maxBytes = 16 << 20

// Errors that callers test with errors.Is.
var (
	ErrInvalid = errors.New("not a valid norms file")
	ErrVersion = errors.New("not a norms file of a version this program reads")
)

//go:embed norms.schema.json
var schemaText []byte // the JSON Schema (draft 2020-12) of the format

var schema = strictjson.Compile("norms.schema.json", func() []byte { return schemaText })

// A File is what a norms file holds.
type File struct {
	CreatedFrom Origin
	Settings    map[string]any // for the record; JSON kinds only, nil when there are none
	Session     string         // whose scores they are
	By          string         // column of the groups; "" when there are none
	Cells       []Cell         // a test and a group each; the Column of all but the whole is By
}

// An Origin is the table of the groups.
type Origin struct {
	Path   string // as the user named it
	SHA256 string // lower-case hex, "" when unknown
	Rows   int    // data rows read, 0 when unknown
}

// A Cell is one group in one test.
type Cell struct {
	norms.Kept
	Summary score.Summary // how the attempts of a session became its score
}

// Kept are the cells of a test.
func (f File) Kept(measure string) (out []norms.Kept) {
	for _, c := range f.Cells {
		if c.Measure == measure {
			out = append(out, c.Kept)
		}
	}
	return out
}

// Find returns the first cell of a test, and whether there is one.
func (f File) Find(measure string) (Cell, bool) {
	for _, c := range f.Cells {
		if c.Measure == measure {
			return c, true
		}
	}
	return Cell{}, false
}

// document, origin, cell and quantile are the file as it is spelled.
type document struct {
	Schema      string         `json:"schema"`
	CreatedFrom origin         `json:"created_from"`
	Settings    map[string]any `json:"settings,omitempty"`
	Session     string         `json:"session"`
	By          string         `json:"by,omitempty"`
	Measures    []cell         `json:"measures"`
}

type origin struct {
	Path   string  `json:"path"`
	SHA256 string  `json:"sha256,omitempty"`
	Rows   float64 `json:"rows,omitempty"`
}

type cell struct {
	Measure      string        `json:"measure"`
	Group        string        `json:"group,omitempty"`
	Unit         string        `json:"unit"`
	Scale        score.Scale   `json:"scale"`
	Summary      score.Summary `json:"summary"`
	Better       string        `json:"better"`
	Athletes     float64       `json:"athletes"`
	Mean         float64       `json:"mean"`
	SD           float64       `json:"sd"`
	Rho          float64       `json:"rho"`
	TypicalError float64       `json:"typical_error"`
	DF           float64       `json:"df,omitempty"`
	Source       string        `json:"source,omitempty"`
	Step         float64       `json:"step"`
	UnitStep     float64       `json:"unit_step"`
	Quantiles    []quantile    `json:"quantiles"`
}

type quantile struct {
	P     float64 `json:"p"`
	Value float64 `json:"value"`
}

var betters = map[score.Direction]string{score.Higher: "higher", score.Lower: "lower", score.Unknown: "unknown"}

// Write writes f as indented JSON. A typical error that is taken as known exactly has no
// "df". It writes nothing and fails with [ErrInvalid] when [Read] would refuse the
// result.
func Write(w io.Writer, f File) error {
	d := document{Schema: Schema, Settings: f.Settings, Session: f.Session, By: f.By, Measures: []cell{},
		CreatedFrom: origin{f.CreatedFrom.Path, f.CreatedFrom.SHA256, float64(f.CreatedFrom.Rows)}}
	for _, c := range f.Cells {
		d.Measures = append(d.Measures, spell(c))
	}
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(d); err != nil {
		return fmt.Errorf("%w: %w", ErrInvalid, err)
	}
	if _, err := parse(b.Bytes()); err != nil {
		return err
	}
	_, err := w.Write(b.Bytes())
	return err
}

func spell(c Cell) cell {
	out := cell{Measure: c.Measure, Group: c.Value, Unit: c.Unit, Scale: c.Scale, Summary: c.Summary,
		Better: betters[c.Better], Athletes: float64(c.Athletes), Mean: c.Mean, SD: c.SD, Rho: rhoOf(c.Rho()),
		TypicalError: c.Noise.TypicalError, Source: c.Noise.Source, Step: c.Step, UnitStep: c.UnitStep,
		Quantiles: []quantile{}}
	if c.Noise.DF < noise.Exact {
		out.DF = c.Noise.DF
	}
	for _, q := range c.Quantiles {
		out.Quantiles = append(out.Quantiles, quantile{q.P, q.Value})
	}
	return out
}

// rhoOf writes ρ to two decimals: more would tell the standard deviation anew.
func rhoOf(rho float64) float64 { return math.Round(100*rho) / 100 }

// Read reads a norms file; name is what errors call it. It fails with [ErrVersion] on
// another schema, and with [ErrInvalid] on anything else that is not right, a file that
// holds more than [norms.Keep] allows among it; every wrong key is named.
func Read(r io.Reader, name string) (File, error) {
	text, err := io.ReadAll(io.LimitReader(r, maxBytes+1))
	if err != nil {
		return File{}, fmt.Errorf("%s: %w", name, err)
	}
	if len(text) > maxBytes {
		return File{}, fmt.Errorf("%s: %w: larger than %d MB", name, ErrInvalid, maxBytes>>20)
	}
	d, err := parse(text)
	if err != nil {
		return File{}, fmt.Errorf("%s: %w", name, err)
	}
	f := File{CreatedFrom: Origin{d.CreatedFrom.Path, d.CreatedFrom.SHA256, int(d.CreatedFrom.Rows)},
		Settings: d.Settings, Session: d.Session, By: d.By}
	for _, c := range d.Measures {
		f.Cells = append(f.Cells, c.read(d.By))
	}
	return f, nil
}

func (c cell) read(by string) Cell {
	out := Cell{Summary: c.Summary, Kept: norms.Kept{Measure: c.Measure, Unit: c.Unit, Scale: c.Scale,
		Athletes: int(c.Athletes), Mean: c.Mean, SD: c.SD, Step: c.Step, UnitStep: c.UnitStep,
		Noise: norms.Noise{TypicalError: c.TypicalError, DF: c.DF, Source: c.Source}}}
	if c.Group != "" {
		out.Whom = norms.Whom{Column: by, Value: c.Group}
	}
	for d, name := range betters {
		if name == c.Better {
			out.Better = d
		}
	}
	if out.Noise.DF == 0 {
		out.Noise.DF = noise.Exact
	}
	for _, q := range c.Quantiles {
		out.Quantiles = append(out.Quantiles, norms.KeptQuantile{P: q.P, Value: q.Value})
	}
	return out
}
