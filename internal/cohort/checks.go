package cohort

import (
	"fmt"
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
	dictionary.Constraints
	kind    string // type of the field
	layout  string // of dates, as package time has it
	comma   bool   // decimal comma
	pattern *regexp.Regexp
	texts   map[int32]int32   // unique: row of each text
	values  map[float64]int32 // unique: row of each number
}

// newChecks prepares the checks of a column, nil when there are none.
func (b *builder) newChecks(c *column) *checks {
	if c.field == nil {
		return nil
	}
	k := &checks{Constraints: c.field.Constraints, kind: c.field.Type, layout: dateLayout(c.field.Format), comma: c.field.DecimalChar == ","}
	for _, names := range [][]string{b.dict.PrimaryKey} {
		k.Required = k.Required || slices.Contains(names, c.field.Name)
	}
	if k.Pattern != "" {
		var err error
		if k.pattern, err = regexp.Compile(`^(?:` + k.Pattern + `)$`); err != nil {
			b.note("the pattern of column %q is not checked: %v", c.name, err)
		}
	}
	if k.Unique {
		k.texts, k.values = make(map[int32]int32), make(map[float64]int32)
	}
	plain := k.kind == "" || k.kind == "any" || k.kind == "string" || k.kind == "number"
	if plain && isZero(c.field.Constraints) && !k.Required {
		if k.kind != "number" {
			return nil
		}
	}
	return k
}

func isZero(c dictionary.Constraints) bool {
	return !c.Required && !c.Unique && c.MinLength == nil && c.MaxLength == nil && c.Minimum == nil && c.Maximum == nil &&
		c.ExclusiveMinimum == nil && c.ExclusiveMaximum == nil && c.Pattern == "" && c.Enum == nil
}

// text is what is wrong with the text of a cell, "" when nothing.
func (k *checks) text(s string) string {
	switch k.kind {
	case "number", "integer":
		v, sep, ok := parseNumber([]byte(s))
		if !ok || sep != 0 && (sep == ',') != k.comma {
			return "the dictionary declares a " + k.kind + ", and this is none"
		}
		return k.number(v, s)
	case "boolean":
		if !slices.Contains([]string{"true", "True", "TRUE", "1", "false", "False", "FALSE", "0"}, s) {
			return "the dictionary declares true or false"
		}
	case "date":
		if _, err := time.Parse(k.layout, s); err != nil {
			return fmt.Sprintf("the dictionary declares a date such as %s", time.Date(2026, 3, 14, 9, 30, 0, 0, time.UTC).Format(k.layout))
		}
	}
	return k.written(s)
}

// written checks a cell as it is written.
func (k *checks) written(s string) string {
	n := utf8.RuneCountInString(s)
	switch {
	case k.MinLength != nil && n < *k.MinLength:
		return fmt.Sprintf("shorter than the %d characters that the dictionary asks for", *k.MinLength)
	case k.MaxLength != nil && n > *k.MaxLength:
		return fmt.Sprintf("longer than the %d characters that the dictionary allows", *k.MaxLength)
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
	if k.kind != "number" && k.kind != "integer" {
		return false
	}
	v, _, ok := parseNumber([]byte(s))
	return ok && slices.ContainsFunc(k.Enum, func(e string) bool {
		w, err := strconv.ParseFloat(e, 64)
		return err == nil && v == w
	})
}

// number is what is wrong with a number, "" when nothing.
func (k *checks) number(v float64, text string) string {
	plain := func(p *float64) string { return strconv.FormatFloat(*p, 'g', -1, 64) }
	switch {
	case k.kind == "integer" && v != float64(int64(v)):
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
		b.fault(c, row, c.texts.list[id], fmt.Sprintf("the dictionary declares the column unique, and row %d has the same", first), "")
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
	return strings.NewReplacer("%Y", "2006", "%y", "06", "%m", "01", "%d", "02", "%H", "15", "%I", "03", "%M", "04", "%S", "05",
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
			b.faults.add(Fault{Problem: fmt.Sprintf("the %s of the dictionary names a column %q that the table does not have", what, n), Hint: b.didYouMean(n)})
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
