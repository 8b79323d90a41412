package cohort

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// rows yields the rows of a table, one by one.
type rows interface {
	// next returns the cells of the next row, which stay valid until the next
	// call, and its number as a spreadsheet shows it. The end is [io.EOF]; a
	// [Fault] as error ends the reading.
	next() (cells [][]byte, row int, err error)
}

var errLongLine = errors.New("the row is too long")

// lines splits a text at its line feeds. It keeps one buffer and never the
// whole text.
type lines struct {
	r          io.Reader
	buf        []byte
	start, end int  // of the text that is not yet used
	seen       int  // bytes after start that hold no line feed
	quote      bool // the buffer may hold a quote
	odd        bool // the buffer may hold a zero byte, or bytes outside ASCII
	err        error
}

func newLines(r io.Reader) *lines { return &lines{r: r, buf: make([]byte, sampleBytes)} }

// next returns a line without its line feed, valid until the next call.
func (l *lines) next() ([]byte, error) {
	for {
		text := l.buf[l.start:l.end]
		if i := bytes.IndexByte(text[l.seen:], '\n'); i >= 0 {
			n := l.seen + i
			l.start, l.seen = l.start+n+1, 0
			return text[:n], nil
		}
		l.seen = len(text)
		if l.err != nil {
			if l.err == io.EOF && len(text) > 0 {
				l.start, l.seen = l.end, 0
				return text, nil
			}
			return nil, l.err
		}
		l.fill()
	}
}

// fill moves what is left to the front of the buffer, grows it when it is
// full, and reads.
func (l *lines) fill() {
	if l.start == l.end {
		l.quote, l.odd = false, false
	}
	l.end = copy(l.buf, l.buf[l.start:l.end])
	l.start = 0
	if l.end == len(l.buf) {
		if len(l.buf) >= maxLine {
			l.err = errLongLine
			return
		}
		l.buf = append(l.buf, make([]byte, len(l.buf))...)
	}
	n, err := l.r.Read(l.buf[l.end:])
	fresh := l.buf[l.end : l.end+n]
	l.quote = l.quote || bytes.IndexByte(fresh, '"') >= 0
	l.odd = l.odd || !isASCII(fresh) || bytes.IndexByte(fresh, 0) >= 0
	l.end += n
	l.err = err
}

// rest is everything after the current line.
func (l *lines) rest() io.Reader {
	left := bytes.NewReader(l.buf[l.start:l.end])
	if l.err != nil {
		return io.MultiReader(left, failing{l.err})
	}
	return io.MultiReader(left, l.r)
}

type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }

// textRows are the rows of delimited text. Lines are split at the delimiter
// until the first quote; from there on encoding/csv reads.
type textRows struct {
	lines   *lines
	faults  *faultLog
	comma   byte
	comment byte // 0 without
	row     int
	cells   [][]byte
	quoted  *quotedRows
}

func (t *textRows) next() ([][]byte, int, error) {
	for t.quoted == nil {
		line, err := t.lines.next()
		if err != nil {
			return nil, t.row + 1, t.stop(err)
		}
		if t.lines.quote && bytes.IndexByte(line, '"') >= 0 && !t.isComment(line) {
			t.quoted = newQuotedRows(line, t)
			break
		}
		t.row++
		if n := len(line); n > 0 && line[n-1] == '\r' {
			line = line[:n-1]
		}
		if len(line) == 0 || t.isComment(line) {
			continue
		}
		t.split(line)
		if t.lines.odd || len(line) > maxCell {
			if !sound(t.cells, t.row, t.faults) {
				continue
			}
		}
		return t.cells, t.row, nil
	}
	return t.quoted.next()
}

func (t *textRows) isComment(line []byte) bool {
	return t.comment != 0 && len(line) > 0 && line[0] == t.comment
}

func (t *textRows) split(line []byte) {
	t.cells = t.cells[:0]
	for {
		i := bytes.IndexByte(line, t.comma)
		if i < 0 {
			t.cells = append(t.cells, line)
			return
		}
		t.cells = append(t.cells, line[:i])
		line = line[i+1:]
	}
}

func (t *textRows) stop(err error) error {
	if errors.Is(err, errLongLine) {
		return Fault{Row: t.row + 1, Problem: fmt.Sprintf("the row is longer than %d MB", maxLine>>20),
			Hint: "a quote that is never closed does this, and so does a file that is not a table"}
	}
	return err
}

// sound checks the characters of a row: no zero bytes, valid UTF-8, no
// replacement characters, and no cell of unreasonable size.
func sound(cells [][]byte, row int, faults *faultLog) bool {
	before := faults.total
	for i, c := range cells {
		f := Fault{Row: row, Field: i + 1}
		switch {
		case len(c) > maxCell:
			f.Problem = fmt.Sprintf("the cell holds %d bytes, more than a cell may", len(c))
		case isASCII(c) && bytes.IndexByte(c, 0) < 0:
			continue
		case bytes.IndexByte(c, 0) >= 0:
			f.Problem, f.Hint = "the cell holds a zero byte", "the file is damaged, or it is not text"
		case !utf8.Valid(c):
			f.Problem, f.Hint = "the text is not UTF-8", "if it was written by an older Windows program, use "+
				"--encoding windows-1252"
		case bytes.Contains(c, []byte("\uFFFD")):
			f.Problem, f.Hint = "a character cannot be read (U+FFFD)", "the encoding is not the one that was "+
				"taken, or the text was damaged before; see --encoding"
		default:
			continue
		}
		faults.add(f)
	}
	return faults.total == before
}

// quotedRows are rows read by encoding/csv.
type quotedRows struct {
	csv   *csv.Reader
	limit *limitPerRow
	t     *textRows
	line  int // line of the rest where the next row would start, from 1
	bytes []byte
	ends  []int
}

func newQuotedRows(line []byte, t *textRows) *quotedRows {
	head := append(bytes.Clone(line), '\n')
	limit := &limitPerRow{r: io.MultiReader(bytes.NewReader(head), t.lines.rest())}
	r := csv.NewReader(limit)
	r.Comma = rune(t.comma)
	r.Comment = rune(t.comment)
	r.FieldsPerRecord = -1
	r.ReuseRecord = true
	r.TrimLeadingSpace = t.comma != '\t'
	return &quotedRows{csv: r, limit: limit, t: t, line: 1}
}

func (q *quotedRows) next() ([][]byte, int, error) {
	for {
		q.limit.left = maxLine
		record, err := q.csv.Read()
		if err != nil {
			return nil, q.t.row + 1, q.stop(err)
		}
		start, _ := q.csv.FieldPos(0)
		q.t.row += 1 + start - q.line // blank lines and comments are rows too
		q.line = start + 1
		for _, s := range record {
			q.line += strings.Count(s, "\n")
		}
		if cells := q.copy(record); sound(cells, q.t.row, q.t.faults) {
			return cells, q.t.row, nil
		}
	}
}

func (q *quotedRows) copy(record []string) [][]byte {
	b, ends := q.bytes[:0], q.ends[:0]
	for _, s := range record {
		b = append(b, s...)
		ends = append(ends, len(b))
	}
	q.bytes, q.ends = b, ends
	cells, from := q.t.cells[:0], 0
	for _, to := range ends {
		cells = append(cells, b[from:to])
		from = to
	}
	q.t.cells = cells
	return cells
}

func (q *quotedRows) stop(err error) error {
	if e := (*csv.ParseError)(nil); errors.As(err, &e) && !errors.Is(err, errLongLine) {
		f := Fault{Row: q.t.row + 1 + e.StartLine - q.line, Problem: "a quote stands where none may"}
		f.Hint = `a cell that holds a quote is written in quotes, with the inner quote doubled: "12"" ball"`
		if errors.Is(e.Err, csv.ErrQuote) {
			f.Problem = "a quoted cell is not closed properly"
		}
		return f
	}
	return q.t.stop(err)
}

// limitPerRow ends a row of unreasonable length.
type limitPerRow struct {
	r    io.Reader
	left int
}

func (l *limitPerRow) Read(p []byte) (int, error) {
	if l.left <= 0 {
		return 0, errLongLine
	}
	n, err := l.r.Read(p)
	l.left -= n
	return n, err
}
