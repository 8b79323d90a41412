package cohort

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"noisefloor/internal/cohort/dictionary"
)

// readHeader reads the names of the columns. A header that cannot be used as
// it stands ends the reading, since everything below would be blamed wrongly.
func (l *loader) readHeader(r rows) ([]string, error) {
	if l.dict.Dialect.NoHeader {
		return l.describedHeader()
	}
	cells, row, err := r.next()
	if f := (Fault{}); errors.As(err, &f) {
		l.faults.add(f)
		return nil, l.faults.err()
	}
	if l.faults.total > 0 {
		return nil, l.faults.err()
	}
	if err == io.EOF {
		return nil, errEmpty
	}
	if err != nil {
		return nil, err
	}
	if len(cells) > maxColumns {
		return nil, fmt.Errorf("row %d: %d columns, more than a table may have", row, len(cells))
	}
	names := make([]string, len(cells))
	for i, c := range cells {
		names[i] = cleanText(string(c))
		l.markedHeads = append(l.markedHeads, hasMark(string(c)))
	}
	l.checkHeader(names, row)
	l.faults.columns = names
	return names, l.faults.err()
}

// describedHeader takes the names from the dictionary.
func (l *loader) describedHeader() ([]string, error) {
	var names []string
	for _, f := range l.dict.Fields {
		names = append(names, cleanText(f.Name))
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("the dictionary %s says that there is no header, and names no fields", l.dict.Path)
	}
	l.faults.columns = names
	return names, nil
}

func (l *loader) checkHeader(names []string, row int) {
	for i, n := range names {
		f := Fault{Row: row, Field: i + 1, Column: n}
		switch first := slices.Index(names, n); {
		case n == "":
			f.Problem, f.Hint = "the header is blank", "name every column; the header is the first row, with "+
				"nothing above it"
		case first < i:
			f.Problem, f.Hint = fmt.Sprintf("the name is used by column %d already",
				first+1), "give every column its own name"
		default:
			continue
		}
		l.faults.add(f)
	}
	if m := l.dict.FieldsMatch; m == "superset" || m == "partial" {
		return // the table may lack some
	}
	for _, field := range l.dict.Fields {
		if name := cleanText(field.Name); !slices.Contains(names, name) {
			l.faults.add(Fault{Row: row, Problem: fmt.Sprintf("the dictionary describes a column %q that the table "+
				"does not have", name),
				Hint: suggest(name, "columns", names) + "; --no-dictionary reads the table without its dictionary"})
		}
	}
}

// readPreview keeps the first rows, by which the columns are decided. ended
// says that there are no more.
func (l *loader) readPreview(r rows, width int) (ended bool, err error) {
	for len(l.preview) < previewRows {
		cells, row, err := r.next()
		if err != nil {
			if err = l.ended(err); err != nil {
				return false, err
			}
			ended = true
			break
		}
		l.preview = append(l.preview, storeRow(cells, row))
	}
	if len(l.preview) == 0 {
		if l.faults.total == 0 {
			l.faults.add(Fault{Problem: "the table has a header but no rows"})
		}
		return true, l.faults.err()
	}
	if l.book != nil {
		return ended, l.book.findDates(l.preview, width)
	}
	return ended, nil
}

// ended sorts out what ended the rows: nil for the end of the file and for a
// fault, which goes to the log.
func (l *loader) ended(err error) error {
	if err == io.EOF {
		return nil
	}
	if f := (Fault{}); errors.As(err, &f) {
		l.faults.add(f)
		return nil
	}
	return err
}

// makeColumns pairs the columns with their fields in the dictionary.
func (l *loader) makeColumns(names []string) {
	for i, name := range names {
		c := &column{name: name, index: i, marked: i < len(l.markedHeads) && l.markedHeads[i]}
		if k := slices.IndexFunc(l.dict.Fields,
			func(f dictionary.Field) bool { return cleanText(f.Name) == name }); k >= 0 {
			c.field = &l.dict.Fields[k]
		}
		declared := l.dict.MissingValues
		if c.field != nil && c.field.MissingValues != nil {
			declared = c.field.MissingValues
		}
		c.missing = newMissing(declared, l.o.Missing)
		l.columns = append(l.columns, c)
	}
}

// findWanted finds the columns that were asked for as attributes.
func (l *loader) findWanted() {
	for _, name := range l.o.Attributes {
		if c := l.find(name); c != nil {
			l.wanted[c] = true
		} else {
			l.faults.add(Fault{Problem: fmt.Sprintf("--attribute: the table has no column %q", name),
				Hint: l.didYouMean(name)})
		}
	}
}

// checkWanted logs columns that were asked for as attributes and are
// something else by flag or dictionary.
func (l *loader) checkWanted() {
	for _, c := range l.columns {
		if l.wanted[c] && c.role != "" && !slices.Contains([]string{roleLevel, roleGroup, roleDominant}, c.role) {
			l.faults.add(Fault{Problem: fmt.Sprintf("--attribute: column %q is the %s (%s)", c.name, c.role, c.reason)})
		}
	}
}

// listNames writes column names for a sentence.
func listNames(columns []*column) string {
	var names []string
	for _, c := range columns {
		names = append(names, fmt.Sprintf("%q", c.name))
	}
	return strings.Join(names, ", ")
}
