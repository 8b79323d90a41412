package cohort

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"strings"

	"noisefloor/internal/cohort/dictionary"
)

type measureInfo = dictionary.Measure

// Open reads a cohort table from a file, or from stdin when path is "-", and
// the dictionary beside it. Else it is [Read].
//
// Files that cannot be opened give the error of the operating system, so that
// [errors.Is] finds fs.ErrNotExist and fs.ErrPermission.
func Open(path string, stdin io.Reader, o Options) (*Table, error) {
	if path == "-" {
		if stdin == nil {
			return nil, errors.New("standard input: nothing to read")
		}
		return Read(stdin, path, o)
	}
	return readFile(disk{}, path, o)
}

// OpenFS is [Open] within a file system: the table, the dictionary beside it,
// and Options.Dictionary are slashed paths in fsys.
func OpenFS(fsys fs.FS, name string, o Options) (*Table, error) {
	return readFile(within{fsys}, name, o)
}

// Read reads a cohort table. name says in messages where it comes from, "-"
// for standard input. It has no other dictionary than Options.Dictionary.
//
// The format is found from the first bytes: delimited text in UTF-8, UTF-16 or
// (when asked for) Windows-1252, the same packed with gzip, or an .xlsx
// workbook. Roles of columns come from the options, the dictionary and the
// column names, in this order; [Table.Taken] says what was taken for what.
//
// Everything that is wrong inside the table is returned together as a
// [*Faults], an option that makes no sense as an [*OptionError].
func Read(r io.Reader, name string, o Options) (*Table, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	d := &dictionary.Dictionary{}
	if o.Dictionary != "" {
		var err error
		if d, err = dictionary.Open(o.Dictionary, ""); err != nil {
			return nil, err
		}
	}
	return readTable(r, name, o, d)
}

// readFile reads a table and its dictionary from a place with files.
func readFile(where place, path string, o Options) (*Table, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	d, err := openDictionary(where, path, o)
	if err != nil {
		return nil, err
	}
	f, err := openFile(where, path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return readTable(f, path, o, d)
}

func readTable(r io.Reader, path string, o Options, d *dictionary.Dictionary) (*Table, error) {
	name := displayName(path)
	l := newLoader(path, name, o, d)
	if err := l.load(newSource(r, path, d)); err != nil {
		if f := (*Faults)(nil); errors.As(err, &f) {
			return nil, err
		}
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return l.table, nil
}

// displayName is how messages call the table at path.
func displayName(path string) string {
	if path == "-" {
		return "standard input"
	}
	return path
}

func openDictionary(where place, path string, o Options) (*dictionary.Dictionary, error) {
	if o.Dictionary != "" {
		return where.dictionary(o.Dictionary, path)
	}
	beside, ok := where.beside(path)
	if o.NoDictionary || !ok {
		return &dictionary.Dictionary{}, nil
	}
	d, err := where.dictionary(beside, path)
	if err != nil {
		return nil, fmt.Errorf("%w\n(this dictionary was found beside the table; --no-dictionary reads the table "+
			"without it)", err)
	}
	return d, nil
}

// A loader reads one table.
type loader struct {
	o           Options
	dict        *dictionary.Dictionary
	faults      *faultLog
	table       *Table
	decimals    *decimals
	columns     []*column
	preview     []storedRow
	markedHeads []bool // columns whose head held invisible characters
	byRole      map[string]*column
	wanted      map[*column]bool // named in Options.Attributes
	refused     map[string]bool  // roles that a flag or the dictionary gave to a column that cannot have them
	long        bool
	book        *workbook // nil for text
	delimiter   byte      // 0 for workbooks
}

// newLoader makes a loader of the table at path, which messages call name.
func newLoader(path, name string, o Options, d *dictionary.Dictionary) *loader {
	return &loader{o: o, dict: d, faults: &faultLog{file: name}, table: &Table{Dictionary: d,
		Source: Source{Path: path}}, decimals: &decimals{},
		byRole: make(map[string]*column), wanted: make(map[*column]bool), refused: make(map[string]bool)}
}

func (l *loader) taken(format string, a ...any) {
	l.table.Taken = append(l.table.Taken, fmt.Sprintf(format, a...))
}

func (l *loader) note(format string, a ...any) {
	l.table.Notes = append(l.table.Notes, fmt.Sprintf(format, a...))
}

// load reads the whole table.
func (l *loader) load(src *source) error {
	stored := bufio.NewReaderSize(src, packedBytes)
	r, err := l.openRows(stored, src)
	if err != nil {
		return err
	}
	if l.book != nil {
		defer func() { l.book.close() }() // of the sheet that was read in the end
		err := l.loadBook(stored, src)
		return l.book.explain(err)
	}
	ended, err := l.head(r)
	if err != nil {
		return err
	}
	return l.body(r, ended, stored, src)
}

// head reads the header and the first rows, and decides what the columns are.
// ended says that there are no more rows.
func (l *loader) head(r rows) (ended bool, err error) {
	header, err := l.readHeader(r)
	if err != nil {
		return false, err
	}
	if ended, err = l.readPreview(r, len(header)); err != nil {
		return false, err
	}
	l.makeColumns(header)
	before := l.faults.total
	l.findWanted()
	l.assignRoles()
	l.checkWanted()
	if l.faults.total > before {
		return false, l.faults.err()
	}
	return ended, nil
}

// body reads all rows into the table.
func (l *loader) body(r rows, ended bool, stored *bufio.Reader, src *source) error {
	l.describeDictionary()
	b := l.newBuilder()
	for _, row := range l.preview {
		b.add(row.cells, row.row)
	}
	if !ended {
		if err := b.addAll(r); err != nil {
			return err
		}
	}
	if err := l.finishSource(stored, src, b); err != nil {
		return err
	}
	return b.finish()
}

// finishSource reads what is left of the stored bytes, so that size and hash
// are those of the whole file, and compares them with the dictionary.
func (l *loader) finishSource(stored *bufio.Reader, src *source, b *builder) error {
	if _, err := io.Copy(io.Discard, stored); err != nil {
		return err
	}
	s := &l.table.Source
	s.SHA256, s.Bytes, s.Rows = src.sha256(), src.n, b.rows
	if l.faults.total > 0 {
		return nil
	}
	return src.verify(l.dict)
}

// openRows finds the format and returns the rows.
func (l *loader) openRows(stored *bufio.Reader, src *source) (rows, error) {
	k, err := sniffKind(stored)
	if err != nil {
		return nil, err
	}
	packed := k == kindGzip
	if packed {
		z, err := newGunzip(stored, src)
		if err != nil {
			return nil, fmt.Errorf("not a readable gzip file: %w", err)
		}
		stored = bufio.NewReaderSize(z, packedBytes)
		if k, err = sniffKind(stored); err != nil {
			return nil, err
		}
	}
	switch k {
	case kindParquet:
		return nil, errors.New("a Parquet file, which is not read yet: write the table as CSV")
	case kindGzip:
		return nil, errors.New("packed with gzip twice: unpack it once")
	case kindZip:
		return l.openBook(stored)
	}
	return l.openText(stored, packed)
}

func (l *loader) openBook(stored io.Reader) (rows, error) {
	data, err := io.ReadAll(io.LimitReader(stored, maxBook+1))
	if err != nil {
		return nil, err
	}
	if len(data) > maxBook {
		return nil, fmt.Errorf("the workbook is larger than %d MB: refused; write the table as CSV", maxBook>>20)
	}
	sheet, number := l.o.Sheet, 0
	if sheet == "" {
		sheet, number = l.dict.Dialect.SheetName, l.dict.Dialect.SheetNumber
	}
	l.book, err = openWorkbook(data, sheet, number)
	if err != nil {
		return nil, err
	}
	l.declareDecimal()
	return l.book, nil
}

func (l *loader) openText(stored *bufio.Reader, packed bool) (rows, error) {
	want := l.o.Encoding
	if want == "" {
		want = l.dict.Encoding
	}
	decoded, encoding, err := decode(stored, want)
	if err != nil {
		return nil, err
	}
	text := bufio.NewReaderSize(decoded, sampleBytes)
	sample, err := text.Peek(sampleBytes)
	if err != nil && err != io.EOF {
		return nil, err
	}
	whole := err == io.EOF
	var r io.Reader = text
	switch hasCR, hasLF := slices.Contains(sample, '\r'), slices.Contains(sample, '\n'); {
	case len(strings.TrimSpace(string(sample))) == 0 && whole:
		return nil, errEmpty
	case looksBinary(sample):
		return nil, errors.New("not a table: the file holds binary data")
	case hasCR && !hasLF:
		r = &newlines{r: text}
		sample = []byte(strings.ReplaceAll(string(sample), "\r", "\n"))
	}
	if err := l.chooseDelimiter(sample, whole); err != nil {
		return nil, err
	}
	t := &textRows{lines: newLines(r), faults: l.faults, comma: l.delimiter, comment: l.comment()}
	if _, ok := separatorLine(sample); ok {
		if _, err := t.lines.next(); err != nil {
			return nil, err
		}
	}
	l.describeText(encoding, packed)
	l.declareDecimal()
	return t, nil
}

// comment is the dictionary's comment character, 0 without a usable one.
func (l *loader) comment() byte {
	if c := l.dict.Dialect.CommentChar; len(c) == 1 && c[0] != '"' && c[0] < 0x80 {
		return c[0]
	}
	return 0
}

func (l *loader) chooseDelimiter(sample []byte, whole bool) (err error) {
	stated := l.o.Delimiter
	if stated == "" {
		if d, ok := separatorLine(sample); ok {
			stated = string(d)
			_, after, _ := strings.Cut(string(sample), "\n")
			sample = []byte(after)
		} else {
			stated = l.dict.Dialect.Delimiter
		}
	}
	if stated != "" {
		l.delimiter, err = parseDelimiter(stated)
		return err
	}
	l.delimiter, err = sniffDelimiter(sample, whole, l.comment())
	return err
}

func (l *loader) describeText(encoding string, packed bool) {
	s := &l.table.Source
	s.Format = "CSV"
	if l.delimiter == '\t' {
		s.Format = "TSV"
	}
	if packed {
		s.Format += ", gzip"
	}
	s.Encoding, s.Delimiter = encoding, delimiterName(l.delimiter)
	l.taken("file: %s in %s, columns split at %q", s.Format, s.Encoding, s.Delimiter)
}

// declareDecimal takes the decimal separator from the options or the
// dictionary. With a comma between columns it is a point unless stated.
func (l *loader) declareDecimal() {
	d := l.decimals
	switch {
	case l.o.Decimal != "":
		d.declared, d.sep = "as --decimal says", l.o.Decimal[0]
	case l.dict.Dialect.DecimalChar == "." || l.dict.Dialect.DecimalChar == ",":
		d.declared, d.sep = "as the dictionary says", l.dict.Dialect.DecimalChar[0]
	case l.delimiter == ',':
		d.declared, d.sep = "since the comma separates the columns", '.'
	}
}
