package cohort

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// A Fault is one thing that is wrong with a table, and where.
type Fault struct {
	File    string // as the user named it
	Row     int    // as a spreadsheet shows it: the header is row 1; 0 when it concerns no row
	Field   int    // column number from 1; 0 when it concerns no column
	Column  string // column name, "" when it has none
	Text    string // what was found, shortened; "" in columns that identify athletes
	Problem string // what is wrong with it
	Hint    string // what to do, "" when that is plain
}

// Error is the fault on one line.
func (f Fault) Error() string {
	var b strings.Builder
	if f.File != "" {
		b.WriteString(f.File + ": ")
	}
	if where := f.where(); where != "" {
		b.WriteString(where + ": ")
	}
	b.WriteString(f.Problem)
	if f.Text != "" {
		fmt.Fprintf(&b, ": %q", f.Text)
	}
	if f.Hint != "" {
		b.WriteString(" (" + f.Hint + ")")
	}
	return b.String()
}

func (f Fault) where() string {
	var parts []string
	if f.Row > 0 {
		parts = append(parts, fmt.Sprintf("row %d", f.Row))
	}
	switch {
	case f.Column != "":
		parts = append(parts, fmt.Sprintf("column %q", shorten(f.Column)))
	case f.Field > 0:
		parts = append(parts, fmt.Sprintf("column %d", f.Field))
	}
	return strings.Join(parts, ", ")
}

// Faults are all faults of a table, in the order of its rows. List holds at
// most 1000 of them; Total counts them all.
type Faults struct {
	List  []Fault
	Total int
}

// Error lists the first 20 faults, one to a line, and counts the rest.
func (f *Faults) Error() string {
	shown := min(len(f.List), shownFaults)
	lines := make([]string, 0, shown+1)
	for _, one := range f.List[:shown] {
		lines = append(lines, one.Error())
	}
	if more := f.Total - shown; more > 0 {
		lines = append(lines, fmt.Sprintf("and %d more", more))
	}
	return strings.Join(lines, "\n")
}

// faultLog collects faults while a table is read.
type faultLog struct {
	file    string
	columns []string // names, once the header is read
	list    []Fault
	total   int
}

func (l *faultLog) add(f Fault) {
	l.total++
	if len(l.list) >= maxFaults {
		return
	}
	f.File = l.file
	f.Text = shorten(f.Text)
	if f.Column == "" && 0 < f.Field && f.Field <= len(l.columns) {
		f.Column = l.columns[f.Field-1]
	}
	l.list = append(l.list, f)
}

// err is nil without faults, else all of them as a [*Faults].
func (l *faultLog) err() error {
	if l.total == 0 {
		return nil
	}
	list := slices.Clone(l.list)
	slices.SortStableFunc(list, func(a, b Fault) int {
		return cmp.Or(cmp.Compare(a.Row, b.Row), cmp.Compare(a.Field, b.Field))
	})
	return &Faults{List: list, Total: l.total}
}

// shorten cuts a text for a message.
func shorten(s string) string {
	if len(s) <= shownRunes || utf8.RuneCountInString(s) <= shownRunes {
		return s
	}
	n := 0
	for i := range s {
		if n == shownRunes {
			return s[:i] + "…"
		}
		n++
	}
	return s
}
