package cohort

import "fmt"

// mayGroup reports whether the point or comma of a number may group thousands
// instead of separating decimals: one to three digits before it, the first not
// zero, and exactly three after it. 1.401 may; 0.401, 1.40 and 1401.5 may not.
func mayGroup(number []byte) bool {
	if len(number) > 0 && (number[0] == '-' || number[0] == '+') {
		number = number[1:]
	}
	before := len(number) - 4
	if before < 1 || before > 3 || number[0] == '0' || number[before] != '.' && number[before] != ',' {
		return false
	}
	return allDigits(number[:before], number[before+1:])
}

// checkPoints logs the columns of numbers with points that may group
// thousands, when nothing in the table shows that they do not. Where commas
// separate the columns, and in a workbook, the point is known to be the
// decimal separator.
func (b *builder) checkPoints() {
	if b.decimals.declared != "" || b.decimals.sep != '.' || b.book != nil || b.pointsSettled() {
		return
	}
	for _, c := range b.columns {
		if r := c.rule; r != nil && r.threes > 0 && r.open() {
			b.fault(c, r.row, r.text, ambiguousPoint, sayPoint)
		}
	}
}

// open reports whether the dictionary leaves the separators of a column open.
func (r *numberRule) open() bool { return r.fixed == 0 && len(r.group) == 0 }

// pointsSettled reports whether some number of the table, as 1.4 or 0.401,
// shows that points separate decimals. Mixed conventions are faults already.
func (b *builder) pointsSettled() bool {
	for _, c := range b.columns {
		if r := c.rule; r != nil && (r.mixed || r.open() && r.uses > r.threes) {
			return true
		}
	}
	for _, a := range b.kept {
		if c := a.column; c.texts != nil && pointsShown(c.texts.list) {
			return true
		}
	}
	return false
}

// pointsShown reports whether texts are numbers throughout and one of them can
// only have a decimal point.
func pointsShown(texts []string) bool {
	shown := false
	for _, s := range texts {
		_, sep, ok := parseNumber([]byte(s))
		if !ok || sep == ',' {
			return false
		}
		shown = shown || sep == '.' && !mayGroup([]byte(s))
	}
	return shown
}

const (
	ambiguousPoint = "the number is ambiguous: its point may separate decimals or group thousands, as may all " +
		"points in the column"
	sayPoint = "say which: --decimal . if it separates decimals; --decimal , if it groups thousands, and " +
		"then write the numbers without it"
)

func ambiguousError(a *Attribute, text string) error {
	return fmt.Errorf("column %q: %s: %q (%s)", a.Name, ambiguousPoint, shorten(text), sayPoint)
}

// ambiguous is an attribute's first text that may be a number with decimals or
// one with grouped thousands, "" when the table shows which.
func (t *Table) ambiguous(a *Attribute) string {
	if t.Source.Decimal != "" || t.Source.Delimiter == "" || t.Source.Delimiter == "," {
		return ""
	}
	for _, other := range t.Attributes {
		if pointsShown(other.texts) {
			return ""
		}
	}
	for _, s := range a.texts {
		if _, sep, ok := parseNumber([]byte(s)); ok && sep == '.' && mayGroup([]byte(s)) {
			return s
		}
	}
	return ""
}

// noteCommas warns where every decimal comma stands before exactly three
// digits, so that it may group thousands.
func (b *builder) noteCommas() {
	if b.decimals.declared != "" || b.decimals.sep != ',' {
		return
	}
	for _, c := range b.columns {
		if r := c.rule; r != nil && r.uses > 1 && r.uses == r.threes {
			b.note("column %q: every %q stands before exactly three digits and was read as a decimal separator; if "+
				"it groups thousands, take it out",
				c.name, b.decimals.sep)
		}
	}
}
