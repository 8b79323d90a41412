package cohort

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/go-gota/gota/dataframe"
	"github.com/go-gota/gota/series"

	"noisefloor/internal/names"
)

// A condition is one COLUMN OP VALUE of --where.
type condition struct {
	text       string // as written
	column, op string
	value      string
}

var operators = []string{"<=", ">=", "!=", "==", "=", "<", ">"}

// parseCondition splits a condition at its first operator. A value may stand
// in quotes; an empty one means missing.
func parseCondition(s string) (condition, error) {
	at := strings.IndexAny(s, "<>=!")
	c := condition{text: strings.TrimSpace(s)}
	if at > 0 {
		for _, op := range operators {
			if strings.HasPrefix(s[at:], op) {
				c.op = op
				break
			}
		}
	}
	if c.op == "" {
		return c, optionError("where", "condition %q: want COLUMN = VALUE, with = != < <= > or >= between", s)
	}
	c.column, c.value = cleanText(s[:at]), cleanText(s[at+len(c.op):])
	if n := len(c.value); n > 1 && (c.value[0] == '"' || c.value[0] == '\'') && c.value[n-1] == c.value[0] {
		c.value = cleanText(c.value[1 : n-1])
	}
	if c.op == "==" {
		c.op = "="
	}
	switch {
	case c.column == "":
		return c, optionError("where", "condition %q: no column before %s", s, c.op)
	case c.value == "" && c.op != "=" && c.op != "!=":
		return c, optionError("where", "condition %q: no value after %s", s, c.op)
	}
	return c, nil
}

// Where returns a table of the rows that meet all conditions. A condition is
// COLUMN OP VALUE, where COLUMN is an attribute, athlete, session, trial or
// side, and OP one of = != < <= > >=. Attributes that are numbers throughout
// are compared as numbers, others as texts; but where < <= > >= stand before a
// number, a cell that is none is an error. Sessions are compared in their order
// of time. A missing cell meets only = with an empty value. What each condition takes
// away is counted in LeftOut. A condition that nothing meets is an error, and
// one that is not written as a condition an [*OptionError].
func (t *Table) Where(conditions []string) (*Table, error) {
	out := *t
	now := &out
	for _, text := range conditions {
		c, err := parseCondition(text)
		if err != nil {
			return nil, err
		}
		if now, err = now.meet(c); err != nil {
			return nil, fmt.Errorf("condition %q: %w", c.text, err)
		}
	}
	return now, nil
}

func (t *Table) meet(c condition) (*Table, error) {
	var out *Table
	var err error
	a, missing := t.Attribute(c.column)
	switch role := t.conditionRole(c.column); {
	case missing == nil && (role == "" || strings.EqualFold(a.Name, c.column)):
		out, err = t.meetAttribute(c, a)
	case role == roleAthlete:
		out, err = t.meetAthlete(c)
	case role == roleSession:
		out, err = t.meetSession(c)
	case role == roleTrial:
		out, err = t.meetTrial(c)
	case role == roleSide:
		out, err = t.meetSide(c)
	default:
		return nil, t.noCondition(c.column)
	}
	if err == nil && len(out.Measures) == 0 {
		err = fmt.Errorf("nothing is left")
	}
	return out, err
}

// noCondition says why there can be no condition on a column.
func (t *Table) noCondition(name string) error {
	known := append(t.attributeNames(), roleAthlete, roleSession, roleTrial, roleSide)
	about := "conditions are on columns about athletes and sessions: " + quoteList(known)
	if _, err := t.Measure(name); err == nil {
		return fmt.Errorf("%q is a measure, and %s; --measure chooses measures", name, about)
	}
	for role, holds := range map[string]string{roleMeasure: "the names of the measures", roleValue: "the values"} {
		if strings.EqualFold(t.roleColumns[role], name) {
			return fmt.Errorf("%q holds %s, and %s; --measure chooses measures", name, holds, about)
		}
	}
	return names.Missing("column", known, name)
}

// conditionRole is the role that a condition's column names, by role or by
// the name of its column in the file.
func (t *Table) conditionRole(name string) string {
	for _, role := range []string{roleAthlete, roleSession, roleTrial, roleSide} {
		if strings.EqualFold(role, name) || t.roleColumns[role] != "" && strings.EqualFold(t.roleColumns[role], name) {
			return role
		}
	}
	return ""
}

// frame is a data frame with one typed column, and the cell of each row.
const (
	frameCell  = "cell"
	frameValue = "value"
)

// filter lets the data frame compare a column with a value; rows with a
// missing cell never meet the comparison.
func filter(column series.Series, op series.Comparator, value any) ([]bool, error) {
	cells := make([]int, column.Len())
	for i := range cells {
		cells[i] = i
	}
	column.Name = frameValue
	df := dataframe.New(series.New(cells, series.Int, frameCell), column)
	if df = df.Filter(dataframe.F{Colname: frameValue, Comparator: op, Comparando: value}); df.Err != nil {
		return nil, df.Err
	}
	met := make([]bool, len(cells))
	kept, err := df.Col(frameCell).Int()
	if err != nil {
		return nil, err
	}
	for _, i := range kept {
		met[i] = true
	}
	return met, nil
}

func comparator(op string) series.Comparator {
	return map[string]series.Comparator{"=": series.Eq, "!=": series.Neq, "<": series.Less, "<=": series.LessEq,
		">": series.Greater, ">=": series.GreaterEq}[op]
}

func (c condition) reason() string { return "not " + c.text }

func (t *Table) meetAttribute(c condition, a *Attribute) (*Table, error) {
	if c.value == "" {
		return t.keepCells(c.reason(), func(cell int) bool { return (a.ids[cell] == absent) == (c.op == "=") }), nil
	}
	column, value, err := t.typed(c, a)
	if err != nil {
		return nil, err
	}
	met, err := filter(column, comparator(c.op), value)
	if err != nil {
		return nil, err
	}
	return t.keepCells(c.reason(), func(cell int) bool { return met[cell] }), nil
}

// typed makes an attribute a column of numbers when all its texts are, else a
// column of texts.
func (t *Table) typed(c condition, a *Attribute) (series.Series, any, error) {
	numeric := make([]float64, len(a.ids))
	texts := make([]any, len(a.ids)) // nil is missing
	used, isNumber := make([]bool, len(a.texts)), true
	for cell, id := range a.ids {
		numeric[cell] = math.NaN()
		if id == absent {
			continue
		}
		texts[cell] = a.texts[id]
		numeric[cell] = t.attributeNumber(a.texts[id])
		isNumber = isNumber && !math.IsNaN(numeric[cell])
		used[id] = true
	}
	known := chosen(a.texts, used)
	if isNumber && len(known) > 0 {
		if text := t.ambiguous(a); text != "" {
			return series.Series{}, nil, ambiguousError(a, text)
		}
		v, ok := t.conditionNumber(c)
		if !ok {
			return series.Series{}, nil, fmt.Errorf("%q holds numbers, and %q is none", a.Name, c.value)
		}
		return series.New(numeric, series.Float, frameValue), v, nil
	}
	if _, ok := t.conditionNumber(c); ok && c.orders() {
		return series.Series{}, nil, t.notANumber(c, a)
	}
	if (c.op == "=" || c.op == "!=") && !slices.Contains(known, c.value) {
		if len(known) == 0 {
			return series.Series{}, nil, fmt.Errorf("%q holds nothing", a.Name)
		}
		return series.Series{}, nil, fmt.Errorf("%q never is %q; %s", a.Name, c.value, suggest(c.value, "it is", known))
	}
	return series.New(texts, series.String, frameValue), c.value, nil
}

// orders reports whether a condition asks for more or less.
func (c condition) orders() bool { return c.op != "=" && c.op != "!=" }

// conditionNumber reads the value of a condition as a number.
func (t *Table) conditionNumber(c condition) (v float64, ok bool) {
	v, sep, ok := parseNumber([]byte(c.value))
	return v, ok && (sep != ',' || t.Source.Decimal != ".")
}

// notANumber names the first cell that cannot be compared with a number. As
// texts, "9" would come after "16".
func (t *Table) notANumber(c condition, a *Attribute) error {
	for cell, id := range a.ids {
		if id == absent || !math.IsNaN(t.attributeNumber(a.texts[id])) {
			continue
		}
		row := ""
		if cell < len(a.rows) && a.rows[cell] > 0 {
			row = fmt.Sprintf("row %d, ", a.rows[cell])
		}
		athlete, session := t.Athletes[t.cellAthlete[cell]], t.Sessions[t.cellSession[cell]]
		return fmt.Errorf("%s: %sathlete %q, session %q: column %q holds %q, which is not a number and cannot be "+
			"compared with %s: "+
			"mend it, leave it empty, or say that it means missing with --missing %q",
			displayName(t.Source.Path), row, shorten(athlete), shorten(session), a.Name, shorten(a.texts[id]),
			c.value, a.texts[id])
	}
	return fmt.Errorf("%q holds nothing", a.Name)
}

func (t *Table) meetAthlete(c condition) (*Table, error) {
	if c.op != "=" && c.op != "!=" {
		return nil, fmt.Errorf("athletes are compared with = and != only; %s", athleteHint)
	}
	who, err := names.One("athlete", t.Athletes, c.value)
	if e := (*names.Error)(nil); errors.As(err, &e) {
		e.Hint = athleteHint
		return nil, e
	}
	codes := make([]string, len(t.cellAthlete))
	for i, a := range t.cellAthlete {
		codes[i] = t.Athletes[a]
	}
	met, err := filter(series.New(codes, series.String, frameValue), comparator(c.op), t.Athletes[who])
	if err != nil {
		return nil, err
	}
	return t.keepCells(c.reason(), func(cell int) bool { return met[cell] }), nil
}

// athleteHint points to the flag that chooses athletes whose results are shown.
const athleteHint = "to see some athletes only, use --athlete"

// meetSession compares sessions by their place in the order of time.
func (t *Table) meetSession(c condition) (*Table, error) {
	at, err := t.Session(c.value)
	if err != nil {
		return nil, err
	}
	places := make([]int, len(t.cellSession))
	for i, s := range t.cellSession {
		places[i] = int(s)
	}
	met, err := filter(series.New(places, series.Int, frameValue), comparator(c.op), at)
	if err != nil {
		return nil, err
	}
	return t.keepCells(c.reason(), func(cell int) bool { return met[cell] }), nil
}

// meetTrial and meetSide concern attempts, not athletes and sessions, so they
// pass the data frame by.
func (t *Table) meetTrial(c condition) (*Table, error) {
	v, _, ok := parseNumber([]byte(c.value))
	if !ok {
		return nil, fmt.Errorf("trials are numbers, and %q is none", c.value)
	}
	return t.keepAttempts(c.reason(), func(m *Measure, i int) bool {
		return compare(float64(m.Trial[i]), c.op,
			v)
	}), nil
}

func compare(x float64, op string, y float64) bool {
	switch op {
	case "=":
		return x == y
	case "!=":
		return x != y
	case "<":
		return x < y
	case "<=":
		return x <= y
	case ">":
		return x > y
	}
	return x >= y
}

func (t *Table) meetSide(c condition) (*Table, error) {
	if c.op != "=" && c.op != "!=" {
		return nil, fmt.Errorf("sides are compared with = and != only")
	}
	want := sideName(strings.ToLower(c.value))
	var known []string
	for _, m := range t.Measures {
		if m.Side != "" && !slices.Contains(known, m.Side) {
			known = append(known, m.Side)
		}
	}
	if want != "" && !slices.Contains(known, want) {
		if len(known) == 0 {
			return nil, fmt.Errorf("no measure has a side")
		}
		return nil, names.Missing("side", known, c.value)
	}
	return t.keepAttempts(c.reason(), func(m *Measure, _ int) bool {
		if m.Side == "" && want != "" {
			return false
		}
		return (m.Side == want) == (c.op == "=")
	}), nil
}
