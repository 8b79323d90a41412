package cohort

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"unicode/utf8"

	"noisefloor/internal/names"
)

// A builder turns rows into the columns of a table.
type builder struct {
	*loader
	athlete, session, trial, side, name, value *column
	wide                                       []*column   // number columns that are measures
	undecided                                  []*column   // wide: columns without a cell so far
	kept                                       []*gathered // text columns that become attributes
	cells                                      *cellIndex
	turns                                      turns // wide, without a trial column
	attempts                                   []*attempts
	// long: by measure id and side id + 1; wide: by column index and side id + 1
	byName [][]*attempts
	keys   []*keyCheck
	rows   int
	blank  int
	// rows that sum others up, and are no athlete
	summaries int
	noValue   int
	empty     []emptyCell // of a workbook, where a value was looked for
	unseen    int         // more of them than are looked at
}

// attempts gathers the attempts of one measure, with their row numbers.
type attempts struct {
	*Measure
	rows    []int32
	outside int     // values outside the plausible range
	first   []int32 // rows of the first of them
}

// key says whose attempt a row holds. trial is 0 without a trial column.
type key struct {
	athlete, session, cell, trial int32
}

func (l *loader) newBuilder() *builder {
	b := &builder{loader: l, cells: newCellIndex(),
		athlete: l.byRole[roleAthlete], session: l.byRole[roleSession], trial: l.byRole[roleTrial],
		side: l.byRole[roleSide], name: l.byRole[roleMeasure], value: l.byRole[roleValue]}
	for _, c := range l.columns {
		b.prepare(c)
	}
	b.makeKeys()
	l.describeLayout(b)
	return b
}

// prepare decides how a column is read.
func (b *builder) prepare(c *column) {
	c.checks = b.newChecks(c)
	switch c.role {
	case roleAthlete, roleSession, roleMeasure, roleSide:
		b.readText(c)
		c.texts.lower = c.role == roleSide
	case roleTrial:
		c.use = asTrial
	case roleValue:
		b.readNumbers(c)
	case roleLevel, roleGroup, roleDominant:
		b.readAttribute(c)
	default:
		if b.long {
			b.readAttribute(c)
		} else {
			b.prepareWide(c)
		}
	}
}

func (b *builder) readText(c *column) {
	c.use, c.texts = asText, newTexts(c.missing)
	if c.checks != nil {
		c.texts.check = c.checks.text
	}
}

func (b *builder) readAttribute(c *column) {
	b.readText(c)
	b.kept = append(b.kept, &gathered{column: c})
}

func (b *builder) readNumbers(c *column) {
	c.use = asNumber
	c.rule = &numberRule{table: b.decimals}
	if f := c.field; f != nil {
		if (f.DecimalChar == "." || f.DecimalChar == ",") && f.DecimalChar != b.dict.Dialect.DecimalChar {
			c.rule.fixed = f.DecimalChar[0]
		}
		c.rule.group, c.rule.dressed = []byte(f.GroupChar), f.Dressed
	}
	c.rule.special = c.rule.fixed != 0 || len(c.rule.group) > 0 || c.rule.dressed || c.missing.numeric
}

// addAll reads the rows after the preview.
func (b *builder) addAll(r rows) error {
	for {
		cells, row, err := r.next()
		if err != nil {
			return b.ended(err)
		}
		if row > maxRows {
			b.faults.add(Fault{Row: row, Problem: "more rows than a table may have"})
			return nil
		}
		b.add(cells, row)
	}
}

// add takes in one row.
func (b *builder) add(cells [][]byte, row int) {
	if len(cells) != len(b.columns) {
		if cells = b.fit(cells, row); cells == nil {
			return
		}
	}
	if first := cells[0]; (len(first) == 0 || first[0] <= ' ' || first[0] >= utf8.RuneSelf) && allBlank(cells) {
		b.blank++
		return
	}
	if b.isSummary(cells) {
		b.summaries++
		return
	}
	b.rows++
	if len(b.undecided) > 0 {
		b.decide(cells)
	}
	k, ok := b.key(cells, row)
	for _, a := range b.kept {
		b.addAttribute(a, k, cells[a.column.index], row, ok)
	}
	for _, c := range b.keys {
		c.add(b, cells, row)
	}
	if b.long {
		b.addLong(k, cells, row, ok)
	} else {
		b.addWide(k, cells, row, ok)
	}
}

// fit pads or cuts the rows of a workbook, which end at their last filled
// cell. In text a row has as many cells as the header.
func (b *builder) fit(cells [][]byte, row int) [][]byte {
	n := len(b.columns)
	if allBlank(cells) {
		b.blank++
		return nil
	}
	if b.book != nil && (len(cells) < n || allBlank(cells[n:])) {
		fitted := make([][]byte, n)
		copy(fitted, cells)
		return fitted
	}
	f := Fault{Row: row, Problem: fmt.Sprintf("%s where the header has %d", counted(len(cells), "cell"), n)}
	switch {
	case b.book != nil:
	case slices.ContainsFunc(cells, func(c []byte) bool { return bytes.IndexByte(c, '\r') >= 0 }):
		f.Hint = "the file mixes line ends: save it with one kind"
	default:
		f.Hint = fmt.Sprintf("cells are separated by %q; a cell that holds one is written in quotes",
			delimiterName(b.delimiter))
	}
	b.faults.add(f)
	return nil
}

func counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

func allBlank(cells [][]byte) bool {
	return !slices.ContainsFunc(cells, func(c []byte) bool { return len(trim(c)) > 0 })
}

// key reads athlete, session and trial of a row.
func (b *builder) key(cells [][]byte, row int) (k key, ok bool) {
	k.athlete, ok = b.text(b.athlete, cells, row)
	if b.session != nil {
		var found bool
		k.session, found = b.text(b.session, cells, row)
		ok = ok && found
	}
	if b.trial != nil {
		var found bool
		k.trial, found = b.trialNumber(cells[b.trial.index], row)
		ok = ok && found
	}
	if ok {
		k.cell = b.cells.find(k.athlete, k.session)
	}
	return k, ok
}

// text reads a cell that must not be missing.
func (b *builder) text(c *column, cells [][]byte, row int) (int32, bool) {
	id := c.texts.id(cells[c.index])
	if id == absent {
		b.fault(c, row, string(trim(cells[c.index])), "the "+c.role+" is missing", "")
		return id, false
	}
	return id, b.textProblem(c, id, row)
}

// textProblem logs what the dictionary has against a text.
func (b *builder) textProblem(c *column, id int32, row int) bool {
	if problem := c.texts.problem(id); problem != "" {
		b.fault(c, row, c.texts.list[id], problem, "")
		return false
	}
	return c.checks == nil || c.checks.uniqueText(b, c, id, row)
}

// trialNumber reads the number of a trial: 2, 2.0 and T2 are trial 2.
func (b *builder) trialNumber(raw []byte, row int) (int32, bool) {
	if len(raw) == 1 && '1' <= raw[0] && raw[0] <= '9' && b.trial.checks == nil {
		return int32(raw[0] - '0'), true
	}
	raw = trim(raw)
	if b.trial.missing.has(raw) {
		b.fault(b.trial, row, string(raw), "the trial is missing", "")
		return 0, false
	}
	digits := raw
	for len(digits) > 0 && (digits[0]|0x20 >= 'a' && digits[0]|0x20 <= 'z' || digits[0] == ' ') {
		digits = digits[1:]
	}
	v, _, ok := parseNumber(digits)
	if !ok || v != math.Trunc(v) || v < 1 || v > maxTrial {
		b.fault(b.trial, row, string(raw), "not the number of a trial", "trials are numbered from 1")
		return 0, false
	}
	return int32(v), b.checkNumber(b.trial, v, raw, row) == present
}

// newAttempts makes a measure of the given column or cell text, and side.
func (b *builder) newAttempts(name string, side int32) *attempts {
	full, text := name, ""
	if side != absent {
		text = b.side.texts.list[side]
		full += "." + text
	}
	info, ok := b.dict.Measure(full)
	if !ok && text != "" {
		info, ok = b.dict.Measure(name + "." + sideName(text))
	}
	info.Name = full
	if info.Side == "" && text != "" {
		info.Side = sideName(text)
	}
	if !ok && len(b.dict.Measures) > 0 {
		b.note("measure %q is not in the dictionary: %s", full, suggest(full, "measures there", b.dictNames()))
	}
	m := &attempts{Measure: &Measure{Measure: info}}
	b.attempts = append(b.attempts, m)
	return m
}

func (b *builder) dictNames() []string {
	var names []string
	for _, m := range b.dict.Measures {
		names = append(names, m.Name)
	}
	return names
}

func sideName(text string) string {
	switch text {
	case "l":
		return "left"
	case "r":
		return "right"
	case "d":
		return "dominant"
	}
	return text
}

// at finds or makes the attempts of measure i, on a side.
func (b *builder) at(i int32, name string, side int32) *attempts {
	for int(i) >= len(b.byName) {
		b.byName = append(b.byName, nil)
	}
	for int(side)+1 >= len(b.byName[i]) {
		b.byName[i] = append(b.byName[i], nil)
	}
	a := b.byName[i][side+1]
	if a == nil {
		a = b.newAttempts(name, side)
		b.byName[i][side+1] = a
	}
	return a
}

// sideOf reads the side of a row; without a column, or an empty cell, there is
// none.
func (b *builder) sideOf(cells [][]byte, row int) (int32, bool) {
	if b.side == nil {
		return absent, true
	}
	id := b.side.texts.id(cells[b.side.index])
	if id == absent {
		return id, b.side.checks == nil || b.checkMissing(b.side, row) == missing
	}
	if text := b.side.texts.list[id]; b.side.reason == byName && !isSide(text) {
		hint := "write left, right, both, dominant or nondominant"
		if near := names.Nearest(text, sideWords); near != "" {
			hint = fmt.Sprintf("did you mean %q?", near)
		}
		b.fault(b.side, row, text, "not a side", hint+"; --column side="+b.side.name+" takes every text as a side")
		return id, false
	}
	return id, b.textProblem(b.side, id, row)
}

// store appends an attempt. In a long table without a trial column a missing
// value keeps its place, as NaN, until the trials are numbered.
func (b *builder) store(a *attempts, k key, v float64, s cellState, row int) {
	switch {
	case s == faulty:
		return
	case s == missing:
		b.noValue++
		if k.trial > 0 {
			return
		}
		v = math.NaN()
	case a.Minimum != nil && v < *a.Minimum || a.Maximum != nil && v > *a.Maximum:
		a.outside++
		if len(a.first) < 5 {
			a.first = append(a.first, int32(row))
		}
	}
	a.Athlete = append(a.Athlete, k.athlete)
	a.Session = append(a.Session, k.session)
	a.Trial = append(a.Trial, k.trial)
	a.Value = append(a.Value, v)
	a.rows = append(a.rows, int32(row))
}

// addLong takes in the measure and the value of a row.
func (b *builder) addLong(k key, cells [][]byte, row int, ok bool) {
	name, named := b.text(b.name, cells, row)
	side, sided := b.sideOf(cells, row)
	v, state := b.readValue(b.value, cells[b.value.index], row)
	if ok && named && sided {
		b.store(b.at(name, b.name.texts.list[name], side), k, v, state, row)
	}
}
