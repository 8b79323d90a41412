package cohort

import (
	"fmt"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"noisefloor/internal/cohort/dictionary"
)

// checks are the type and the constraints that the dictionary puts on a
// column.
type checks struct {
	dictionary.Field
	dictionary.Constraints
	layout  string // of dates, as package time has it
	pattern *regexp.Regexp
	texts   map[int32]int32   // unique: row of each text
	values  map[float64]int32 // unique: row of each number
}

// newChecks prepares the checks of a column, nil when there are none.
func (b *builder) newChecks(c *column) *checks {
	if c.field == nil {
		return nil
	}
	k := &checks{Field: *c.field, Constraints: c.field.Constraints, layout: dateLayout(c.field.Format)}
	k.Required = k.Required || slices.Contains(b.dict.PrimaryKey, c.field.Name)
	if reflect.ValueOf(k.Constraints).IsZero() && slices.Contains([]string{"", "any", "string"}, k.Type) {
		return nil
	}
	var err error
	if k.pattern, err = k.Expression(); err != nil {
		b.note("the pattern of column %q is not checked: %v", c.name, err)
	}
	if k.Unique {
		k.texts, k.values = make(map[int32]int32), make(map[float64]int32)
	}
	return k
}

// text is what is wrong with the text of a cell, "" when nothing.
func (k *checks) text(s string) string {
	switch k.Type {
	case "number", "integer":
		v, sep, ok := parseNumber([]byte(s))
		if !ok || sep != 0 && (sep == ',') != (k.DecimalChar == ",") {
			return "the dictionary declares a number, and this is none"
		}
		return k.number(v, s)
	case "boolean":
		if yes, no := k.truths(); !slices.Contains(yes, s) && !slices.Contains(no, s) {
			return "the dictionary declares one of " + quoteList(append(slices.Clone(yes), no...))
		}
	case "date":
		if problem := k.date(s); problem != "" {
			return problem
		}
	}
	return k.written(s)
}

func (k *checks) truths() (yes, no []string) {
	yes, no = k.TrueValues, k.FalseValues
	if yes == nil {
		yes = []string{"true", "True", "TRUE", "1"}
	}
	if no == nil {
		no = []string{"false", "False", "FALSE", "0"}
	}
	return yes, no
}

func (k *checks) date(s string) string {
	t, err := time.Parse(k.layout, s)
	if err != nil && k.layout != time.DateOnly {
		t, err = time.Parse(unpadded.Replace(k.layout), s) // as strptime reads, with or without zeros
	}
	if err != nil {
		return "the dictionary declares a date such as " + time.Date(2026, 3, 14, 9, 30, 0, 0,
			time.UTC).Format(k.layout)
	}
	against := func(limit string) int {
		l, err := time.Parse(k.layout, limit)
		if limit == "" || err != nil {
			return 0
		}
		return t.Compare(l)
	}
	switch {
	case against(k.MinimumDate) < 0:
		return "before the minimum " + k.MinimumDate + " of the dictionary"
	case against(k.MaximumDate) > 0:
		return "after the maximum " + k.MaximumDate + " of the dictionary"
	case k.ExclusiveMinimumDate != "" && against(k.ExclusiveMinimumDate) <= 0:
		return "not after the exclusive minimum " + k.ExclusiveMinimumDate + " of the dictionary"
	case k.ExclusiveMaximumDate != "" && against(k.ExclusiveMaximumDate) >= 0:
		return "not before the exclusive maximum " + k.ExclusiveMaximumDate + " of the dictionary"
	}
	return ""
}

// written checks a cell as it is written.
func (k *checks) written(s string) string {
	n := utf8.RuneCountInString(s)
	switch {
	case k.MinLength != nil && n < *k.MinLength:
		return fmt.Sprintf("shorter than the %s that the dictionary asks for", counted(*k.MinLength, "character"))
	case k.MaxLength != nil && n > *k.MaxLength:
		return fmt.Sprintf("longer than the %s that the dictionary allows", counted(*k.MaxLength, "character"))
	case k.pattern != nil && !k.pattern.MatchString(s):
		return fmt.Sprintf("does not match the pattern %s of the dictionary", k.Pattern)
	case k.Enum != nil && !k.listed(s):
		return "not one of the texts that the dictionary lists: " + quoteList(k.Enum)
	}
	return ""
}

// listed looks a cell up in the enumeration: numbers by value, others by text.
func (k *checks) listed(s string) bool {
	if slices.Contains(k.Enum, s) {
		return true
	}
	if k.Type != "number" && k.Type != "integer" {
		return false
	}
	v, _, ok := parseNumber([]byte(s))
	return ok && slices.ContainsFunc(k.Enum, func(e string) bool {
		w, _, ok := parseNumber([]byte(e))
		return ok && v == w
	})
}

// number is what is wrong with a number, "" when nothing.
func (k *checks) number(v float64, text string) string {
	plain := func(p *float64) string { return strconv.FormatFloat(*p, 'g', -1, 64) }
	switch {
	case k.Type == "integer" && v != math.Trunc(v):
		return "the dictionary declares an integer"
	case k.Minimum != nil && v < *k.Minimum:
		return "below the minimum " + plain(k.Minimum) + " of the dictionary"
	case k.Maximum != nil && v > *k.Maximum:
		return "above the maximum " + plain(k.Maximum) + " of the dictionary"
	case k.ExclusiveMinimum != nil && v <= *k.ExclusiveMinimum:
		return "not above the exclusive minimum " + plain(k.ExclusiveMinimum) + " of the dictionary"
	case k.ExclusiveMaximum != nil && v >= *k.ExclusiveMaximum:
		return "not below the exclusive maximum " + plain(k.ExclusiveMaximum) + " of the dictionary"
	}
	return k.written(text)
}

// checkNumber checks a number that was read against the dictionary.
func (b *builder) checkNumber(c *column, v float64, raw []byte, row int) cellState {
	k := c.checks
	if k == nil {
		return present
	}
	problem := k.number(v, string(raw))
	if problem == "" && k.Unique {
		if first, ok := k.values[v]; ok {
			problem = fmt.Sprintf("the dictionary declares the column unique, and row %d has the same", first)
		} else {
			k.values[v] = int32(row)
		}
	}
	if problem == "" {
		return present
	}
	b.fault(c, row, string(raw), problem, "")
	return faulty
}

// checkMissing checks that a missing cell may be missing.
func (b *builder) checkMissing(c *column, row int) cellState {
	if c.checks == nil || !c.checks.Required {
		return missing
	}
	b.fault(c, row, "", "the cell is missing, and the dictionary requires it", "")
	return faulty
}

func (k *checks) uniqueText(b *builder, c *column, id int32, row int) bool {
	if !k.Unique {
		return true
	}
	if first, ok := k.texts[id]; ok {
		b.fault(c, row, c.texts.list[id], fmt.Sprintf("the dictionary declares the column unique, and row %d has "+
			"the same", first), "")
		return false
	}
	k.texts[id] = int32(row)
	return true
}

// dateLayout turns a strptime pattern into a layout of package time; without
// one dates are written 2026-03-14.
func dateLayout(format string) string {
	if format == "" || format == "default" || format == "any" {
		return time.DateOnly
	}
	return strings.NewReplacer("%Y", "2006", "%y", "06", "%m", "01", "%d", "02", "%H", "15", "%I", "03", "%M", "04",
		"%S", "05",
		"%p", "PM", "%b", "Jan", "%B", "January", "%a", "Mon", "%A", "Monday", "%j", "002", "%%", "%").Replace(format)
}

// keyCheck looks for rows that share a key that the dictionary declares.
type keyCheck struct {
	name    string // primary key or unique key
	columns []*column
	primary bool
	seen    map[string]int32
	buf     []byte
}

// makeKeys prepares the declared keys. A primary key that holds the roles that
// name an attempt is checked with the attempts.
func (b *builder) makeKeys() {
	if len(b.dict.PrimaryKey) > 0 {
		b.makeKey("primary key", b.dict.PrimaryKey)
	}
	for _, names := range b.dict.UniqueKeys {
		b.makeKey("unique key", names)
	}
}

func (b *builder) makeKey(what string, names []string) {
	k := &keyCheck{name: what + " " + quoteList(names), primary: what == "primary key", seen: make(map[string]int32)}
	covered := 0
	for _, n := range names {
		c := b.find(n)
		if c == nil {
			b.faults.add(Fault{Problem: fmt.Sprintf("the %s of the dictionary names a column %q that the table "+
				"does not have", what, n), Hint: b.didYouMean(n)})
			return
		}
		if slices.Contains([]string{roleAthlete, roleSession, roleTrial, roleMeasure, roleSide}, c.role) {
			covered++
		}
		k.columns = append(k.columns, c)
	}
	if k.primary && b.trial != nil && covered == b.identifying() {
		return // found by the search for repeated attempts
	}
	b.keys = append(b.keys, k)
}

// identifying counts the columns that together name an attempt.
func (b *builder) identifying() int {
	n := 0
	for _, role := range []string{roleAthlete, roleSession, roleTrial, roleMeasure, roleSide} {
		if b.byRole[role] != nil {
			n++
		}
	}
	return n
}

func (k *keyCheck) add(b *builder, cells [][]byte, row int) {
	k.buf = k.buf[:0]
	for _, c := range k.columns {
		cell := trim(cells[c.index])
		if c.missing.has(cell) {
			return
		}
		k.buf = append(strconv.AppendInt(k.buf, int64(len(cell)), 10), ':')
		k.buf = append(k.buf, cell...)
	}
	if first, ok := k.seen[string(k.buf)]; ok {
		b.faults.add(Fault{Row: row, Problem: fmt.Sprintf("the row has the same %s as row %d", k.name, first)})
		return
	}
	k.seen[string(k.buf)] = int32(row)
}
