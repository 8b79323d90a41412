package calibration

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
)

// ErrTable says that a file is not a table of this package.
var ErrTable = errors.New("not a calibration table")

var header = []string{"method", "kind", "promise", "nominal", "n", "k", "icc", "setting", "truth",
	"studies", "undefined", "rate", "monte_carlo_se", "distance_in_se", "within_3_se",
	"sum", "sum_of_squares", "first_studies", "first_undefined", "first_sum", "first_sum_of_squares", "look", "seed"}

// WriteCSV writes every row, numbers with full precision; those of the second
// look come last.
func (t Table) WriteCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	if err := out.Write(header); err != nil {
		return err
	}
	for i, r := range slices.Concat(t.Rows, t.Again) {
		look := "1"
		if i >= len(t.Rows) {
			look = "2"
		}
		within := "no"
		if r.Within(limit) {
			within = "yes"
		}
		if r.Promise == Contrast {
			within = ""
		}
		k := ""
		if r.K > 0 {
			k = strconv.Itoa(r.K)
		}
		if err := out.Write([]string{r.Name, string(r.Kind), string(r.Promise), digits(r.Nominal),
			strconv.Itoa(r.N), k, digits(r.ICC), r.Setting, digits(r.Truth),
			strconv.Itoa(r.Studies), strconv.Itoa(r.Undefined), digits(r.Rate()), digits(r.Band()), digits(r.Z()),
			within,
			digits(r.Sum), digits(r.Squares), strconv.Itoa(r.First.Studies), strconv.Itoa(r.First.Undefined),
			digits(r.First.Sum), digits(r.First.Squares), look, strconv.FormatUint(t.Seed, 10)}); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// digits writes a number with full precision, NaN as nothing.
func digits(v float64) string {
	if math.IsNaN(v) {
		return ""
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}

// ReadCSV reads what [Table.WriteCSV] wrote. Columns that follow from others
// are not looked at. It fails with [ErrTable], naming the line.
func ReadCSV(r io.Reader) (Table, error) {
	records, err := csv.NewReader(r).ReadAll()
	if err != nil {
		return Table{}, fmt.Errorf("%w: %w", ErrTable, err)
	}
	if len(records) < 2 || fmt.Sprint(records[0]) != fmt.Sprint(header) {
		return Table{}, fmt.Errorf("%w: header or rows are missing", ErrTable)
	}
	var t Table
	for i, record := range records[1:] {
		f := fields{record: record}
		row := f.row()
		t.Seed = f.seed()
		if f.err != nil {
			return Table{}, fmt.Errorf("%w: line %d: %w", ErrTable, i+2, f.err)
		}
		if f.whole("look") == 2 {
			t.Again = append(t.Again, row)
			continue
		}
		t.Rows = append(t.Rows, row)
	}
	return t, nil
}

// fields reads the columns of one record and keeps the first error.
type fields struct {
	record []string
	err    error
}

func (f *fields) row() Row {
	return Row{
		Method: Method{f.text("method"), Kind(f.text("kind")), Promise(f.text("promise")), f.number("nominal")},
		Design: Design{N: f.whole("n"), K: f.whole("k"), ICC: f.number("icc"), Setting: f.text("setting"),
			Truth: f.number("truth")},
		Tally: Tally{f.whole("studies"), f.whole("undefined"), f.number("sum"), f.number("sum_of_squares")},
		First: Tally{f.whole("first_studies"), f.whole("first_undefined"), f.number("first_sum"),
			f.number("first_sum_of_squares")},
	}
}

func (f *fields) text(column string) string {
	for i, name := range header {
		if name == column {
			return f.record[i]
		}
	}
	panic("calibration: no column " + column)
}

func (f *fields) number(column string) float64 {
	s := f.text(column)
	if s == "" {
		return math.NaN()
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil && f.err == nil {
		f.err = fmt.Errorf("column %s: %q is not a number", column, s)
	}
	return v
}

func (f *fields) whole(column string) int {
	s := f.text(column)
	if s == "" {
		return 0
	}
	v, err := strconv.Atoi(s)
	if err != nil && f.err == nil {
		f.err = fmt.Errorf("column %s: %q is not a whole number", column, s)
	}
	return v
}

func (f *fields) seed() uint64 {
	s := f.text("seed")
	v, err := strconv.ParseUint(s, 10, 64)
	if err != nil && f.err == nil {
		f.err = fmt.Errorf("column seed: %q is not a whole number, 0 or above", s)
	}
	return v
}
