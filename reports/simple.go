package reports

import (
	"slices"

	"noisefloor/analysis/caveat"
	"noisefloor/reports/field"
	"noisefloor/reports/picture"
	"noisefloor/reports/table"
)

// A Simple is the view of a question whose answer is one table of facts: it needs
// its sentences, its fields and its pictures, and has the rest from here.
type Simple[T any] struct {
	About
	Question string   // the command; its documents are noisefloor/QUESTION/1
	Heading  string   // the question in words
	Says     []string // the answer: one to three sentences
	How      []string // the method, with sources

	Key     string       // of the list of facts in the JSON
	Caption string       // of their table
	Facts   field.Set[T] // every fact of a row, once
	Rows    []T
	OnSheet []string // keys of the sheet's columns, at most five

	Doubts []caveat.Caveat // of the analysis, beside those of the request
	Failed []Failed
	Draw   func() ([]picture.Picture, error) // the first is the sheet's
}

// sheetFacts are the rows of a simple sheet.
const sheetFacts = 24

// Name implements [View].
func (v Simple[T]) Name() string { return v.Question }

// Stem implements [View].
func (v Simple[T]) Stem() string { return v.Question }

// Title implements [View].
func (v Simple[T]) Title() string { return v.Heading }

// Answer implements [View].
func (v Simple[T]) Answer() []string { return v.Says }

// Method implements [View].
func (v Simple[T]) Method() []string { return v.How }

// Data implements [View].
func (v Simple[T]) Data() table.Table { return v.Facts.Table(v.Key, v.Caption, v.Rows) }

// Tables implements [View].
func (v Simple[T]) Tables() []table.Table { return []table.Table{v.Data()} }

// Pictures implements [View].
func (v Simple[T]) Pictures() ([]picture.Picture, error) {
	if v.Draw == nil {
		return nil, nil
	}
	return v.Draw()
}

// Sheet implements [View].
func (v Simple[T]) Sheet() (Sheet, error) {
	s := Sheet{Title: v.Heading, Answer: firstFew(v.Says), Source: v.sourceLine()}
	s.watchOut(v.Warnings())
	s.Draw = func() (*picture.Picture, error) {
		all, err := v.Pictures()
		if err != nil || len(all) == 0 {
			return nil, err
		}
		return &all[0], nil
	}
	t, err := narrowed(v.Data(), sheetFacts, v.OnSheet...)
	s.Table = t
	return s, err
}

func (v Simple[T]) doubts() []caveat.Caveat { return slices.Concat(v.Caveats, v.Doubts) }

// Warnings implements [View].
func (v Simple[T]) Warnings() []string {
	out := v.sentences(v.doubts())
	for _, f := range v.Failed {
		out = append(out, v.Label(f.Measure)+": not analysed: "+f.Reason)
	}
	return out
}

func (v Simple[T]) fields() field.Set[Simple[T]] {
	head := headOf("noisefloor/"+v.Question+"/1", func(About) []caveat.Caveat { return v.doubts() })
	return append(field.Inline(head, func(v Simple[T]) About { return v.About }),
		field.Text("answer", func(v Simple[T]) string { return v.Says[0] }).Required(),
		field.List(v.Key, v.Facts, func(v Simple[T]) []T { return v.Rows }).Required())
}

// Document implements [View].
func (v Simple[T]) Document() any { return v.fields().JSON(v) }

// Schema is the JSON Schema of the view's documents.
func (v Simple[T]) Schema() *field.Document {
	return v.fields().Schema(schemaID(v.Question), v.Heading)
}
