// Package reports turns results into what people and programs read: text,
// Markdown, CSV, JSON and pages with pictures. It computes no statistic.
package reports

import (
	"encoding/json"
	"io"
	"strings"

	"noisefloor/reports/picture"
	"noisefloor/reports/table"
)

// A View is one analysis ready to be shown.
type View interface {
	// Name is the command's name and the stem of its files.
	Name() string
	// Stem is the name, made unique among the views of one page.
	Stem() string
	// Title is the question, for headings.
	Title() string
	// Answer holds the sentences that answer the question, the first one first.
	Answer() []string
	// Data is the table for machines, one row for each result.
	Data() table.Table
	// Tables holds the result tables for people, the main one first.
	Tables() []table.Table
	// Pictures draws the results.
	Pictures() ([]picture.Picture, error)
	// Sheet is the answer on one page.
	Sheet() (Sheet, error)
	// Method says in sentences how the numbers were made, with sources.
	Method() []string
	// Warnings holds what to mind when reading the numbers.
	Warnings() []string
	// Document is the value that is written as JSON.
	Document() any
}

// An Input says which table the numbers come from.
type Input struct {
	Path    string    `json:"path"`
	SHA256  string    `json:"sha256"`
	Rows    int       `json:"rows"`
	LeftOut []LeftOut `json:"left_out"`

	Taken []string `json:"-"` // what was taken for what
	Notes []string `json:"-"`
}

// LeftOut counts rows that were not used.
type LeftOut struct {
	Reason string `json:"reason"`
	Rows   int    `json:"rows"`
}

// WriteJSON writes the view's document, indented, with a closing line feed.
func WriteJSON(w io.Writer, v View) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v.Document())
}

// document makes sure that lists are written as lists.
func (i Input) document() Input {
	if i.LeftOut == nil {
		i.LeftOut = []LeftOut{}
	}
	return i
}

func list(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

func joined(s []string) string { return strings.Join(s, ", ") }
