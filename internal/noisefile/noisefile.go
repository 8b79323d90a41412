// Package noisefile writes and reads noise files: the typical errors that a
// reliability study leaves behind, so that later changes can be judged by them.
// A noise file holds no athlete and no score. Its format is noise.schema.json.
package noisefile

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/score"
)

// Schema is the name and version of the format.
const Schema = "noisefloor/noise/4"

// maxBytes is far more than any noise file needs.
const maxBytes = 16 << 20

// Errors that callers test with errors.Is.
var (
	ErrInvalid = errors.New("not a valid noise file")
	ErrVersion = errors.New("not a noise file of a version this program reads")
	ErrAbsent  = errors.New("not in the noise file")
)

// A UnitError says that a noise file and a table have a measure in different
// units: 40 W of noise is not 40 kW.
type UnitError struct{ Measure, File, Table string }

func (e *UnitError) Error() string {
	return fmt.Sprintf("%s: the noise file is in %s, the table in %s; bring the table to %s, or make the noise "+
		"file again from a table in %s",
		e.Measure, e.File, e.Table, e.File, e.Table)
}

// Fits reports whether the noise of a measure can judge scores in unit: nil
// when it can, [ErrAbsent] when the file does not have the measure, a
// [*UnitError] when its unit is another. Units are compared as they are
// written, outer blanks aside; where the file or the table states none, nothing
// can be told and it fits. Of a measure on the log scale the unit does not
// matter.
func (f File) Fits(measure, unit string) error {
	i := slices.IndexFunc(f.Measures, func(m noise.Model) bool { return m.Measure == measure })
	if i < 0 {
		return fmt.Errorf("%s: %w", measure, ErrAbsent)
	}
	m := f.Measures[i]
	have, want := strings.TrimSpace(m.Unit), strings.TrimSpace(unit)
	if m.Scale == score.Log || have == "" || want == "" || have == want {
		return nil
	}
	return &UnitError{Measure: measure, File: have, Table: want}
}

// A File is what a noise file holds.
type File struct {
	CreatedFrom Origin
	Settings    map[string]any   // for the record; JSON kinds only, nil when there are none
	By          string           // column of the groups; "" when there are none
	Measures    []noise.Model    // each measure once for all athletes, "", and once for each group
	Together    []noise.Together // covariances of errors
}

// An Origin is the table of the study.
type Origin struct {
	Path   string // as the user named it
	SHA256 string // lower-case hex, "" when unknown
	Rows   int    // data rows read, 0 when unknown
}

// Find returns the noise of a measure in a group, "" for all athletes, and whether
// there is one.
func (f File) Find(measure, group string) (noise.Model, bool) {
	i := slices.IndexFunc(f.Measures, func(m noise.Model) bool { return m.Measure == measure && m.Group == group })
	if i < 0 {
		return noise.Model{}, false
	}
	return f.Measures[i].Clone(), true
}

// document, origin and measure are the file as it is spelled.
type document struct {
	Schema      string         `json:"schema"`
	CreatedFrom origin         `json:"created_from"`
	Settings    map[string]any `json:"settings,omitempty"`
	By          string         `json:"by,omitempty"`
	Measures    []measure      `json:"measures"`
	Together    []together     `json:"together,omitempty"`
}

type origin struct {
	Path   string `json:"path"`
	SHA256 string `json:"sha256,omitempty"`
	Rows   count  `json:"rows,omitempty"`
}

// A count is a whole number, which JSON may also spell 8.0 or 8e0.
type count int

func (c *count) UnmarshalJSON(text []byte) error {
	var x float64
	err := json.Unmarshal(text, &x)
	*c = count(x)
	return err
}

type measure struct {
	Measure         string        `json:"measure"`
	Group           string        `json:"group,omitempty"`
	Unit            string        `json:"unit"`
	Scale           score.Scale   `json:"scale"`
	TypicalError    float64       `json:"typical_error"`
	DF              float64       `json:"df,omitempty"`
	Athletes        count         `json:"athletes,omitempty"`
	Sessions        []string      `json:"sessions,omitempty"`
	Summary         score.Summary `json:"summary,omitempty"`
	Trials          float64       `json:"trials,omitempty"`
	Mean            *float64      `json:"mean,omitempty"`
	TrueSD          *float64      `json:"true_sd,omitempty"`
	ICC             *float64      `json:"icc,omitempty"`
	ICCK            *float64      `json:"icc_k,omitempty"`
	Worthwhile      float64       `json:"worthwhile,omitempty"`
	WorthwhileLower *float64      `json:"worthwhile_lower,omitempty"`
	WorthwhileUpper *float64      `json:"worthwhile_upper,omitempty"`
	WorthwhileBasis string        `json:"worthwhile_basis,omitempty"`
	TrialSD         float64       `json:"trial_sd,omitempty"`
	EqualP          float64       `json:"equal_noise_p,omitempty"`
	ScaleAdvice     string        `json:"scale_advice,omitempty"`
	Source          string        `json:"source,omitempty"`
	Components      *components   `json:"components,omitempty"`
	MeanChanges     []shift       `json:"mean_changes,omitempty"`
	GapDays         *float64      `json:"gap_days,omitempty"`
	Prints          [][]byte      `json:"prints,omitempty"`
}

type shift struct {
	From   string   `json:"from"`
	To     string   `json:"to"`
	Change float64  `json:"estimate"`
	SE     *float64 `json:"se,omitempty"`
	DF     float64  `json:"df,omitempty"`
}

// Write writes f as indented JSON, numbers in the shortest form that reads
// back to the same bits. Mean, TrueSD, ICC, ICCK and single components are left
// out when they are NaN, the other optional values when they are zero, and the
// covariance matrix of the components when any of it is no number. So is a DF of
// [noise.Exact], of which nothing is known. The salt of the prints is the SHA-256 of
// the table. It writes
// nothing and fails with [ErrInvalid] when [Read] would refuse the result, as
// for a typical error of 0.
func Write(w io.Writer, f File) error {
	d := document{Schema: Schema, Settings: f.Settings, By: f.By, Measures: []measure{},
		CreatedFrom: origin{f.CreatedFrom.Path, f.CreatedFrom.SHA256, count(f.CreatedFrom.Rows)}}
	for _, m := range f.Measures {
		if !finite(m.TypicalError) || !finite(m.DF) {
			return fmt.Errorf("%w: %s: typical error %g with df %g cannot be kept", ErrInvalid, m.Measure,
				m.TypicalError, m.DF)
		}
		d.Measures = append(d.Measures, spell(m))
	}
	for _, t := range f.Together {
		d.Together = append(d.Together, spellTogether(t))
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

func spell(m noise.Model) measure {
	out := measure{
		Measure: m.Measure, Group: m.Group, Unit: m.Unit, Scale: m.Scale,
		TypicalError: m.TypicalError, DF: knownDF(m),
		Athletes: count(m.Athletes), Sessions: m.Sessions, Summary: m.Summary, Trials: orZero(m.Trials),
		Mean: present(m.Mean), TrueSD: present(m.TrueSD), ICC: present(m.ICC), ICCK: present(m.ICCK),
		Worthwhile: orZero(m.Worthwhile), WorthwhileBasis: m.WorthwhileBasis,
		Components: spellComponents(m.Components), TrialSD: orZero(m.TrialSD), EqualP: orZero(m.EqualP),
		ScaleAdvice: m.ScaleAdvice,
		Source:      m.Source, MeanChanges: spellShifts(m.Shifts), GapDays: m.GapDays, Prints: bitsOf(m.Prints),
	}
	if m.WorthwhileUpper > 0 {
		out.WorthwhileLower, out.WorthwhileUpper = present(m.WorthwhileLower), present(m.WorthwhileUpper)
	}
	return out
}

func knownDF(m noise.Model) float64 {
	if !m.DFKnown() {
		return 0
	}
	return m.DF
}

func bitsOf(p *noise.Prints) [][]byte {
	if p == nil {
		return nil
	}
	return p.Bits
}

// spellShifts leaves out changes that are no number.
func spellShifts(all []noise.Shift) []shift {
	var out []shift
	for _, s := range all {
		if finite(s.Value) {
			out = append(out, shift{From: s.From, To: s.To, Change: s.Value, SE: present(s.SE), DF: orZero(s.DF)})
		}
	}
	return out
}

func readShifts(all []shift) []noise.Shift {
	var out []noise.Shift
	for _, s := range all {
		out = append(out, noise.Shift{From: s.From, To: s.To, Value: s.Change, SE: orNaN(s.SE), DF: s.DF})
	}
	return out
}

// Read reads a noise file; name is what errors call it. Mean, TrueSD, ICC, ICCK
// and what the components lack are NaN where the file has none; without the key
// "components" Components is nil; without "df" DF is [noise.Exact].
//
// It fails with [ErrVersion] on another schema, and with [ErrInvalid] on anything
// else that is not right; every wrong key is named.
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
		Settings: d.Settings, By: d.By}
	for _, m := range d.Measures {
		f.Measures = append(f.Measures, m.model(d.CreatedFrom.SHA256))
	}
	for _, t := range d.Together {
		f.Together = append(f.Together, t.read())
	}
	return f, nil
}

func (m measure) model(salt string) noise.Model {
	out := noise.Model{
		Measure: m.Measure, Group: m.Group, Unit: m.Unit, Scale: m.Scale,
		TypicalError: m.TypicalError, DF: m.DF,
		Athletes: int(m.Athletes), Sessions: m.Sessions, Summary: m.Summary, Trials: m.Trials,
		Mean: orNaN(m.Mean), TrueSD: orNaN(m.TrueSD), ICC: orNaN(m.ICC), ICCK: orNaN(m.ICCK),
		Worthwhile: m.Worthwhile, WorthwhileBasis: m.WorthwhileBasis,
		Components: m.Components.model(), TrialSD: m.TrialSD, EqualP: m.EqualP, ScaleAdvice: m.ScaleAdvice,
		Source: m.Source, Shifts: readShifts(m.MeanChanges), GapDays: m.GapDays,
	}
	if m.WorthwhileLower != nil && m.Worthwhile > 0 {
		out.WorthwhileLower, out.WorthwhileUpper = *m.WorthwhileLower, math.Inf(1)
		if m.WorthwhileUpper != nil {
			out.WorthwhileUpper = *m.WorthwhileUpper
		}
	}
	if out.DF == 0 {
		out.DF = noise.Exact
	}
	if len(m.Prints) > 0 {
		out.Prints = &noise.Prints{Salt: salt, Bits: m.Prints}
	}
	return out
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func present(x float64) *float64 {
	if !finite(x) {
		return nil
	}
	return &x
}

func orZero(x float64) float64 {
	if !finite(x) {
		return 0
	}
	return x
}

func orNaN(x *float64) float64 {
	if x == nil {
		return math.NaN()
	}
	return *x
}
