package cohort

import (
	"bufio"
	"fmt"
	"slices"
)

// loadBook reads a table from a workbook. When nobody named the sheet, the
// first is read; when that is no table and exactly one of the others is, that
// one is.
func (l *loader) loadBook(stored *bufio.Reader, src *source) error {
	ended, err := l.head(l.book)
	if l.book.free && (err != nil || !l.hasNumbers()) {
		if other, otherEnded := l.onlyTable(); other != nil {
			*l, ended, err = *other, otherEnded, nil
		}
	}
	if err != nil {
		return err
	}
	l.describeBook()
	return l.body(l.book, ended, stored, src)
}

// hasNumbers reports whether the columns that are decided leave one for
// values: in a wide table one without a role that holds numbers.
func (l *loader) hasNumbers() bool {
	return l.long || slices.ContainsFunc(l.columns, func(c *column) bool {
		return c.role == "" && !l.wanted[c] && numbers(c.present(l.preview)) > 0
	})
}

// onlyTable tries the other sheets that are visible, and returns a loader that
// has read the head of the only one that is a table; nil when none is, or more
// than one. The sheet that l reads is then closed.
func (l *loader) onlyTable() (found *loader, ended bool) {
	for _, sheet := range l.book.others() {
		if !l.book.visible(sheet) {
			continue
		}
		try, end, err := l.try(sheet)
		switch {
		case err != nil: // a damaged sheet may be the table: then nobody knows which is
			if found != nil {
				found.book.rows.Close()
			}
			return nil, false
		case try == nil:
		case found != nil:
			try.book.rows.Close()
			found.book.rows.Close()
			return nil, false
		default:
			found, ended = try, end
		}
	}
	if found != nil {
		found.book.chosen = fmt.Sprintf("the only one that holds a table; the first, %q, does not", l.book.sheet)
		l.book.rows.Close()
	}
	return found, ended
}

// try reads the head of another sheet; nil when it is no table, and an error
// when the sheet is damaged.
func (l *loader) try(sheet string) (t *loader, ended bool, err error) {
	t = newLoader(l.table.Source.Path, l.faults.file, l.o, l.dict)
	t.book = &workbook{file: l.book.file, parts: l.book.parts, sheet: sheet, free: true}
	if err := t.book.start(); err != nil {
		return nil, false, err
	}
	t.declareDecimal()
	if ended, err := t.head(t.book); err == nil && t.faults.total == 0 && t.hasNumbers() {
		return t, ended, nil
	}
	t.book.rows.Close()
	return nil, false, nil
}

func (l *loader) describeBook() {
	l.table.Source.Format = "Excel workbook"
	more := ""
	if others := l.book.others(); l.book.free && len(others) > 0 {
		more = fmt.Sprintf("; others: %s, read with --sheet NAME", quoteList(others))
	}
	l.taken("file: Excel workbook, sheet %q (%s%s)", l.book.sheet, l.book.chosen, more)
}

// others are the sheets that are not read.
func (w *workbook) others() []string {
	return slices.DeleteFunc(w.file.GetSheetList(), func(s string) bool { return s == w.sheet })
}

func (w *workbook) visible(sheet string) bool {
	visible, err := w.file.GetSheetVisible(sheet)
	return err == nil && visible
}

// explain adds to an error which sheet was read, when it may be the wrong one.
func (w *workbook) explain(err error) error {
	if err == nil || !w.free {
		return err
	}
	if others := w.others(); len(others) > 0 {
		return fmt.Errorf("%w\n(this is sheet %q, %s; the others are %s: --sheet NAME reads one of them)", err,
			w.sheet, w.chosen, quoteList(others))
	}
	return err
}
