// Package picture turns results into figures: the changes of a group on the
// noise of the test, one athlete's run of sessions, agreement of two
// occasions, a test against an outcome, correlations by plane, the noise of all
// tests together, and what more sessions and trials would bring.
//
// One visual language holds for every figure, and it works without colour:
// a filled mark is past the noise (or shown), a hollow one is not; a bar is an
// interval; a soft band is noise; dotted lines are the smallest change that is
// worthwhile. What is drawn is also in the figure's table, and the text of a
// caption and of the alternative says what these data show.
//
// Figures are values until they are written; nothing here computes a statistic
// beyond the places of marks on the page.
package picture

import (
	"errors"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
)

// Errors that callers test with errors.Is.
var (
	ErrNothing = errors.New("nothing to draw")           // no row or point with a number
	ErrMixed   = errors.New("more than one comparison")  // changes of different measures or sessions
	ErrNumber  = errors.New("number that has no place")  // too large, or a fault of a figure
	ErrOptions = errors.New("picture cannot be written") // scale or identifier out of range
)

// A Picture is one figure, ready to be written.
type Picture struct {
	Name    string // file stem: lower-case letters, digits and hyphens
	Title   string // also drawn at the head of the figure
	Caption string // one sentence that says what these data show, with n
	Alt     string // alternative text with the main finding

	Plot          *plot.Plot // the panel with its axes
	Width, Height vg.Length

	Table Table // the numbers drawn

	subtitle    []string // lines below the title: the vertical axis, or r
	note        string   // how to read the marks, with n
	head        vg.Length
	left, right vg.Length // margins beside the panel that its layers write into
}

// A Table holds the numbers of a figure as text.
type Table struct {
	Caption string
	Header  []string
	Numeric []bool // columns to be set flush right
	Rows    [][]string
}

// Options say how a picture is written. The zero value is a stand-alone file
// in colour.
type Options struct {
	Grey   bool    // every colour becomes the grey of the same luminance
	Scale  float64 // size: SVG, of the stated width and height, 0 means 1; PNG, 96 dpi times Scale, 0 means 2
	ID     string  // prefix of the identifiers in an SVG, unique on its page; "" means the Name
	Inline bool    // SVG without the XML declaration, to stand inside HTML
}

// XY is a place in data coordinates.
type XY struct{ X, Y float64 }
