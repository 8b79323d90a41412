package cohort

import (
	"fmt"
	"slices"

	"noisefloor/internal/names"
)

// describeLayout says how the table is laid out and what its columns are.
func (l *loader) describeLayout(b *builder) {
	s := &l.table.Source
	if l.long {
		s.Layout = "long"
		l.taken("layout: long, one attempt in each row")
	} else {
		s.Layout = "wide"
		l.taken("layout: wide, a column for each measure (no columns for measure and value)")
	}
	l.sayRoles()
}

// describeDictionary says which dictionary was used, and what it leaves open.
func (l *loader) describeDictionary() {
	d := l.dict
	if d.Path == "" {
		return
	}
	how := "beside the table"
	if l.o.Dictionary != "" {
		how = "as asked"
	}
	l.taken("dictionary: %s (%s)", d.Path, how)
	l.table.Notes = append(l.table.Notes, d.Warnings...)
	if len(d.Fields) == 0 || d.FieldsMatch == "subset" || d.FieldsMatch == "partial" {
		return
	}
	var extra []*column
	for _, c := range l.columns {
		if c.field == nil {
			extra = append(extra, c)
		}
	}
	if len(extra) > 0 {
		l.note("the dictionary does not describe the columns %s", listNames(extra))
	}
}

// describeNumbers says what only the whole table shows: the columns of a wide
// table, the decimal separator.
func (b *builder) describeNumbers() {
	if len(b.wide) > 0 {
		b.taken("measures: columns %s", listNames(b.wide))
	}
	var others []*column
	for _, a := range b.kept {
		if a.column.role == "" && !a.dropped && a.conflicts == 0 {
			others = append(others, a.column)
		}
	}
	if len(others) > 0 {
		b.taken("attributes of the athletes: columns %s", listNames(others))
	}
	if d := b.decimals; d.sep != 0 {
		b.table.Source.Decimal = string(d.sep)
		switch {
		case d.declared != "" && d.sep == ',':
			b.taken("decimal separator: comma (%s)", d.declared)
		case d.sep == ',':
			b.taken("decimal separator: comma (%q in row %d, column %q)", d.text, d.row, d.column)
		}
	}
	b.noteCommas()
}

// noteRest notes missing values, blank rows, and what looks odd about the
// sessions.
func (b *builder) noteRest() {
	t := b.table
	if b.noValue > 0 {
		t.LeftOut = append(t.LeftOut, LeftOut{Reason: "no value", Rows: b.noValue})
	}
	if b.summaries > 0 {
		t.LeftOut = append(t.LeftOut, LeftOut{Reason: SummaryRows, Rows: b.summaries})
		b.note("%s left out: where the athlete stands they say mean, SD, total or the like",
			counted(b.summaries, "row"))
	}
	if b.blank > 0 {
		b.note("%s skipped", counted(b.blank, "blank row"))
	}
	if n := foldTwins(t.Athletes); n > 0 {
		b.note("athlete codes that differ from another in upper and lower case, accents, blanks or dashes only: "+
			"%d; they are kept apart", n)
	}
	b.noteMeasures()
	b.noteSessions()
}

// noteMeasures notes names of measures that are nearly another's: each is a test
// of its own.
func (b *builder) noteMeasures() {
	seen := map[string]string{}
	for _, m := range b.table.Measures {
		k := string(names.Key(m.Name))
		if before, ok := seen[k]; ok {
			b.note("measures %q and %q differ in upper and lower case, accents, blanks or dashes only, and are kept "+
				"apart: write both alike if they are one test", before, m.Name)
		}
		seen[k] = m.Name
	}
}

// SummaryRows is why rows that sum others up are left out.
const SummaryRows = "a mean, SD or total in place of an athlete"

// summaryWords stand where an athlete should, in rows that sum others up.
var summaryWords = []string{"mean", "average", "avg", "median", "sd", "std", "stdev", "stddev",
	"standarddeviation", "total", "sum", "cv", "meansd", "minimum", "maximum", "groupmean", "groupaverage",
	"teammean", "teamaverage"}

// isSummary reports whether a row sums others up: it is no athlete.
func (b *builder) isSummary(cells [][]byte) bool {
	c := trim(cells[b.athlete.index])
	if n := len(c); n < 2 || n > 24 || c[n-1] >= '0' && c[n-1] <= '9' { // most codes end in a digit
		return false
	}
	return slices.Contains(summaryWords, nameKey(string(c)))
}

func foldTwins(codes []string) int {
	seen := make(map[string]bool, len(codes))
	twins := 0
	for _, n := range codes {
		k := string(names.Key(n))
		if seen[k] {
			twins++
		}
		seen[k] = true
	}
	return twins
}

// noteNoSession says how to name the column of the session, unless the table
// was said to have none.
func (b *builder) noteNoSession() {
	if _, flagged := b.o.Columns[roleSession]; flagged {
		return
	}
	var left []string
	for _, c := range b.columns {
		if c.role == "" {
			left = append(left, c.name)
		}
	}
	hint := "no column is left that could be"
	if len(left) > 0 {
		hint = "if one is, name it with --column session=NAME; columns left: " + quoteList(left)
	}
	b.note(`no column is known to be the session, so all rows count as one session, "1": %s`, hint)
}

// noteSessions notes sessions that few athletes share, as when every athlete
// has dates of their own.
func (b *builder) noteSessions() {
	t := b.table
	if b.session == nil || len(t.Athletes) == 0 {
		return
	}
	per := make([]int, len(t.Athletes))
	most := 0
	for _, a := range b.cells.athlete {
		per[a]++
		most = max(most, per[a])
	}
	if len(t.Sessions) > 2*most && len(t.Sessions) > 2 {
		b.note("%d sessions, but no athlete has more than %d: sessions are matched by their text, so if athletes "+
			"came on different dates, number the sessions of each athlete",
			len(t.Sessions), most)
	}
	if n := len(t.Sessions); n > 1 {
		seen := make(map[string]string, n)
		for _, s := range t.Sessions {
			v, _, ok := parseNumber([]byte(s))
			if !ok {
				continue
			}
			k := fmt.Sprint(v)
			if twin, both := seen[k]; both {
				b.note("sessions %q and %q are the same number but different texts, and are kept apart", twin, s)
			}
			seen[k] = s
		}
	}
}
