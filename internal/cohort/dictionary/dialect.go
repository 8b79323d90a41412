package dictionary

import (
	"slices"
	"unicode/utf8"
)

// dialect reads how delimited text, or a workbook, is laid out. A property
// that would change what is read, and that is not supported, is a fault.
func (r *reader) dialect(i item) {
	lint(i, resource2(), "$defs", "dialect")
	r.Dialect.Delimiter = character(i.get("delimiter"), "\"\r\n")
	r.Dialect.CommentChar = character(i.get("commentChar"), "\"\r\n"+r.Dialect.Delimiter)
	r.Dialect.SkipInitialSpace = i.get("skipInitialSpace").truth(false)
	r.Dialect.SheetName = i.get("sheetName").text()
	if n := i.get("sheetNumber").whole(); n != nil {
		r.Dialect.SheetNumber = *n
	}
	r.quoting(i)
	r.header(i)
	r.unused(i)
}

// character returns a text of one character that is none of those without.
func character(i item, without string) string {
	s := i.text()
	if !i.is("string") {
		return ""
	}
	if utf8.RuneCountInString(s) != 1 {
		i.fault("want one character, found %q", clip(s))
		return ""
	}
	if c, _ := utf8.DecodeRuneInString(s); slices.Contains([]rune(without), c) {
		i.fault("%q cannot be used here", s)
		return ""
	}
	return s
}

// quoting accepts the one way of quoting that is read.
func (r *reader) quoting(i item) {
	if q := i.get("quoteChar"); q.is("string") && q.text() != `"` {
		q.fault("%q is not supported; quote cells with \"", clip(q.text()))
	}
	if q := i.get("doubleQuote"); !q.truth(true) {
		q.fault("false is not supported; double a quote inside quotes")
	}
	if e := i.get("escapeChar"); e.text() != "" {
		e.fault("is not supported; quote cells with \" and double a quote inside")
	}
	switch t := i.get("lineTerminator"); t.text() {
	case "", "\n", "\r\n":
	default:
		t.fault("%q is not supported; end lines with \\n or \\r\\n", clip(t.text()))
	}
}

// header reads whether the first row names the columns.
func (r *reader) header(i item) {
	r.Dialect.NoHeader = !i.get("header").truth(true)
	rows := i.get("headerRows")
	if list := rows.list(); len(list) > 1 || len(list) == 1 && !one(list[0]) {
		rows.fault("only [1] is supported: one header, in the first row")
	} else if rows.is("array") && len(list) == 0 {
		r.Dialect.NoHeader = true
	}
	if c := i.get("caseSensitiveHeader"); c.is("boolean") && !c.truth(true) {
		c.warn("column names are compared with their capitals all the same")
	}
}

func one(i item) bool {
	n := i.whole()
	return n != nil && *n == 1
}

// unused refuses properties of other kinds of files.
func (r *reader) unused(i item) {
	for _, name := range []string{"property", "itemType", "itemKeys"} {
		if p := i.get(name); p.node != nil {
			p.fault("JSON tables are not read; store the table as CSV or as a workbook")
		}
	}
	if p := i.get("table"); p.node != nil {
		p.fault("database tables are not read; store the table as CSV or as a workbook")
	}
	if p := i.get("commentRows"); len(p.list()) > 0 {
		p.fault("is not supported; mark comments with commentChar, or remove the rows")
	}
	if p := i.get("nullSequence"); p.text() != "" {
		p.fault("is not supported; list %q in schema.missingValues", clip(p.text()))
	}
}
