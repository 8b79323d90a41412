package cohort

import (
	"bytes"
	"fmt"
	"strings"

	"noisefloor/internal/cohort/dictionary"
)

// A column is one column of the file and what it is used for.
type column struct {
	name    string
	index   int               // from 0
	field   *dictionary.Field // nil when the dictionary does not describe it
	missing *missingTexts
	marked  bool   // its head held invisible characters
	role    string // "" for measures and attributes
	reason  string // why it has the role
	use     use
	texts   *texts
	rule    *numberRule
	checks  *checks // nil without constraints
}

// A use says how the cells of a column are read.
type use int

const (
	unused use = iota
	asText
	asTrial
	asNumber
	undecided // the first cell that is not missing decides between text and number
)

// storedRow is a copied row.
type storedRow struct {
	row   int
	cells [][]byte
}

func storeRow(cells [][]byte, row int) storedRow {
	s := storedRow{row: row, cells: make([][]byte, len(cells))}
	for i, c := range cells {
		s.cells[i] = bytes.Clone(c)
	}
	return s
}

// present returns the preview's cells of a column that are not missing.
func (c *column) present(preview []storedRow) [][]byte {
	var out [][]byte
	for _, r := range preview {
		if c.index < len(r.cells) {
			if cell := trim(r.cells[c.index]); !c.missing.has(cell) {
				out = append(out, cell)
			}
		}
	}
	return out
}

// numbers counts the cells that are plain numbers.
func numbers(cells [][]byte) int {
	n := 0
	for _, c := range cells {
		if _, _, ok := parseNumber(c); ok {
			n++
		}
	}
	return n
}

// decimals is what is known of the decimal separator of a table.
type decimals struct {
	sep      byte   // '.' or ',', 0 while no number has shown it
	declared string // who stated it, "" when it was seen
	row      int    // where it was seen first
	column   string
	text     string
}

// numberRule reads the numbers of one column.
type numberRule struct {
	table   *decimals
	fixed   byte   // the dictionary's separator for this column, 0 without
	group   []byte // the dictionary's group separator, empty without
	dressed bool   // the dictionary lets numbers stand among other signs: "95 %"
	special bool   // one of these, or missing texts that look like numbers
	mixed   bool   // two conventions were reported
	uses    int    // numbers with a decimal separator
	threes  int    // of these, numbers whose separator may as well group thousands
	row     int    // the first of these
	text    string
}

// A cellState is what reading a number came to.
type cellState int

const (
	present cellState = iota
	missing
	faulty
)

// readValue reads the number in a cell; faults go to the log.
func (b *builder) readValue(c *column, raw []byte, row int) (float64, cellState) {
	r := c.rule
	if !r.special {
		if v, sep, ok := parseNumber(raw); ok && (sep == 0 || sep == r.table.sep) {
			r.note(raw, sep, row)
			return v, b.checkNumber(c, v, raw, row)
		}
	}
	raw = trim(raw)
	if c.missing.has(raw) {
		if b.book != nil && len(raw) == 0 {
			b.lookLater(c, row)
		}
		return 0, b.checkMissing(c, row)
	}
	bare := r.bare(raw)
	v, sep, ok := parseNumber(bare)
	if !ok {
		problem, hint := explainNumber(string(raw))
		b.fault(c, row, string(raw), problem, hint)
		return 0, faulty
	}
	if sep != 0 && !b.convention(c, sep, raw, row) {
		return 0, faulty
	}
	r.note(bare, sep, row)
	return v, b.checkNumber(c, v, raw, row)
}

// note counts the numbers with a decimal separator, and of these the ones
// whose separator may as well group thousands.
func (r *numberRule) note(number []byte, sep byte, row int) {
	if sep == 0 {
		return
	}
	r.uses++
	if mayGroup(number) {
		if r.threes++; r.threes == 1 {
			r.row, r.text = row, string(number)
		}
	}
}

// bare takes away what the dictionary allows around and within a number.
func (r *numberRule) bare(raw []byte) []byte {
	if len(r.group) > 0 {
		raw = bytes.ReplaceAll(raw, r.group, nil)
	}
	if r.dressed {
		raw = bytes.TrimLeftFunc(raw, func(c rune) bool { return !strings.ContainsRune("0123456789+-.,", c) })
		raw = bytes.TrimRightFunc(raw, func(c rune) bool { return c < '0' || c > '9' })
	}
	return raw
}

// convention checks a decimal separator against the table's. Once a column is
// known to mix two, it is reported once and no more.
func (b *builder) convention(c *column, sep byte, raw []byte, row int) bool {
	r, d := c.rule, c.rule.table
	want := d.sep
	if r.fixed != 0 {
		want = r.fixed
	}
	switch {
	case want == sep:
		return true
	case want == 0:
		d.sep, d.row, d.column, d.text = sep, row, c.name, string(raw)
		return true
	case r.mixed:
		return false
	case r.fixed != 0:
		b.fault(c, row, string(raw), fmt.Sprintf("the decimal separator is not the %q that the dictionary declares",
			r.fixed), "")
		return false
	case d.declared != "":
		hint := fmt.Sprintf("if it is %q throughout, say so: --decimal %c", sep, sep)
		if mayGroup(raw) {
			hint += "; if it groups thousands, take it out: group separators are not read"
		}
		b.fault(c, row, string(raw), fmt.Sprintf("the decimal separator is not %q, %s", d.sep, d.declared), hint)
		return false
	}
	r.mixed = true
	b.fault(c, row, string(raw), fmt.Sprintf("two decimal conventions: %q in row %d, column %q, and here",
		shorten(d.text), d.row, d.column),
		"use one throughout, or declare the table's with --decimal")
	return false
}

// fault logs a fault in a cell. Texts of the athlete column are not shown.
func (b *builder) fault(c *column, row int, text, problem, hint string) {
	if c.role == roleAthlete {
		text = ""
	}
	b.faults.add(Fault{Row: row, Field: c.index + 1, Column: c.name, Text: text, Problem: problem, Hint: hint})
}
