package calibration

import (
	"math"
	"slices"
)

// limit is how many Monte Carlo standard errors a rate may lie from its promise.
const limit = 3

// A Line is one method over all its designs.
type Line struct {
	Method
	Setting  string
	Spans    []Span // by number of athletes
	Rows     int
	Outside  int // rows further than 3 standard errors from the promise
	Farthest Row // the row with the rate farthest from the nominal one
}

// A Span is the lowest and the highest rate among the designs with N athletes.
type Span struct {
	N         int
	Low, High float64
}

// Lines puts the rows of one method and setting together, in the order of the
// table.
func (t Table) Lines() []Line {
	type key struct {
		Method
		setting string
	}
	at := map[key]int{}
	var lines []Line
	for _, r := range t.Rows {
		k := key{r.Method, r.Setting}
		i, seen := at[k]
		if !seen {
			i = len(lines)
			at[k] = i
			lines = append(lines, Line{Method: r.Method, Setting: r.Setting, Farthest: r})
		}
		lines[i].add(r)
	}
	return lines
}

func (l *Line) add(r Row) {
	l.Rows++
	if !r.Within(limit) {
		l.Outside++
	}
	if math.Abs(r.Rate()-r.Nominal) > math.Abs(l.Farthest.Rate()-r.Nominal) {
		l.Farthest = r
	}
	i := slices.IndexFunc(l.Spans, func(s Span) bool { return s.N == r.N })
	if i < 0 {
		l.Spans = append(l.Spans, Span{r.N, r.Rate(), r.Rate()})
		return
	}
	s := &l.Spans[i]
	s.Low, s.High = min(s.Low, r.Rate()), max(s.High, r.Rate())
}

// kept counts the rows that promise something exactly, those of them outside
// their band, and the largest distance in standard errors.
func (t Table) kept() (rows, outside int, farthest Row) {
	for _, r := range t.Rows {
		if r.Promise != Exact {
			continue
		}
		if rows == 0 || math.Abs(r.Z()) > math.Abs(farthest.Z()) {
			farthest = r
		}
		rows++
		if !r.Within(limit) {
			outside++
		}
	}
	return rows, outside, farthest
}

// studies is the largest number of studies behind a row.
func (t Table) studies() (most int) {
	for _, r := range t.Rows {
		if r.Kind != Claims { // counts claims, not studies
			most = max(most, r.Tally.Studies+r.Undefined)
		}
	}
	return most
}
