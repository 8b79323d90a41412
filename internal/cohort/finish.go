package cohort

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

func itoa(n int32) string { return strconv.Itoa(int(n)) }

// finish turns what was gathered into the table, or returns the faults.
func (b *builder) finish() error {
	t := b.table
	t.Athletes = b.athlete.texts.list
	b.checkFormulas()
	b.checkPoints()
	b.finishSessions()
	b.finishAttributes()
	var repeated repeats
	for _, a := range b.attempts {
		b.finishTrials(a, &repeated)
	}
	if b.turns.repeats.n > 0 {
		repeated = b.turns.repeats
	}
	b.noteRepeats(repeated)
	b.finishMeasures()
	if err := b.faults.err(); err != nil {
		return err
	}
	t.cellAthlete, t.cellSession = b.cells.athlete, b.cells.session
	t.roleColumns = make(map[string]string)
	for role, c := range b.byRole {
		t.roleColumns[role] = c.name
	}
	b.describeNumbers()
	b.noteMarks()
	b.noteRest()
	return nil
}

// finishSessions puts the sessions in order of time.
func (b *builder) finishSessions() {
	t := b.table
	if b.session == nil {
		t.Sessions, t.NoSessionColumn = []string{"1"}, true
		b.noteNoSession()
		return
	}
	names := b.session.texts.list
	layout := ""
	if c := b.session.checks; c != nil && c.Type == "date" {
		layout = c.layout
	}
	o := orderSessions(names, layout)
	place := make([]int32, len(names))
	for i, old := range o.order {
		place[old] = int32(i)
		t.Sessions = append(t.Sessions, names[old])
	}
	b.tellOrder(o, names)
	if slices.IsSorted(place) {
		return
	}
	for _, a := range b.attempts {
		replace(a.Session, place)
	}
	replace(b.cells.session, place)
}

// tellOrder says how the sessions are ordered. When dates can be read in two
// ways that give other orders, only the user knows.
func (b *builder) tellOrder(o sessionOrder, names []string) {
	if len(o.either) > 0 {
		b.askOrder(o, names)
		return
	}
	if o.how != "" {
		file := ""
		if !slices.IsSorted(o.order) {
			file = ", where the file has another order: " + quoteList(names)
		}
		b.taken("order of the sessions: %s (%s)%s", o.how, quoteList(b.table.Sessions), file)
	}
	if b.table.OrderDoubt = o.doubt; o.doubt != "" {
		b.note("%s: the order of sessions is that of the file: %s; if that is not their order in time, "+
			"write their dates as yyyy-mm-dd, or name sessions with --sessions, --baseline or "+
			"--follow-up", o.doubt, quoteList(b.table.Sessions))
	}
}

// askOrder refuses dates of which the order of time is not known.
func (b *builder) askOrder(o sessionOrder, names []string) {
	var ways, formats []string
	for _, t := range o.either {
		sorted := make([]string, len(names))
		for i, old := range t.order {
			sorted[i] = names[old]
		}
		ways = append(ways, fmt.Sprintf("with %s the order is %s", t.how, quoteList(sorted)))
		formats = append(formats, fmt.Sprintf("%q if %s stands first", t.formatOf(o.written),
			strings.TrimSuffix(t.how, " first")))
	}
	b.faults.add(Fault{Field: b.session.index + 1, Column: b.session.name,
		Problem: "what stands first in these dates? " + strings.Join(ways, "; "),
		Hint: fmt.Sprintf("say it in a dictionary (datapackage.json or --dictionary FILE): "+
			`field %q, "type": "date", "format": %s; or write the dates as yyyy-mm-dd`, b.session.name,
			strings.Join(formats, ", "))})
}

func replace(ids, place []int32) {
	for i, s := range ids {
		ids[i] = place[s]
	}
}

// finishTrials numbers the trials of a measure, or looks for attempts that
// are there twice.
func (b *builder) finishTrials(a *attempts, r *repeats) {
	switch {
	case b.long && b.trial == nil:
		b.numberTrials(a, r)
	case b.trial != nil && !increasing(a):
		b.findDuplicates(a)
	}
}

// increasing reports whether the keys of the attempts grow from row to row, in
// which case none is there twice.
func increasing(a *attempts) bool {
	for i := 1; i < len(a.Trial); i++ {
		x, y := a.Athlete[i-1], a.Athlete[i]
		if x == y {
			if x, y = a.Session[i-1], a.Session[i]; x == y {
				x, y = a.Trial[i-1], a.Trial[i]
			}
		}
		if x >= y {
			return false
		}
	}
	return true
}

// byCell returns the attempts sorted by athlete and session, in the order of
// the file within, by two counting sorts: no key is hashed or compared.
func (b *builder) byCell(a *attempts) []int32 {
	order := make([]int32, len(a.Value))
	for i := range order {
		order[i] = int32(i)
	}
	if cellsGrow(a) {
		return order
	}
	sessions := max(1, len(b.table.Sessions))
	return countingSort(countingSort(order, a.Session, sessions), a.Athlete, len(b.table.Athletes))
}

func cellsGrow(a *attempts) bool {
	for i := 1; i < len(a.Athlete); i++ {
		if a.Athlete[i] < a.Athlete[i-1] || a.Athlete[i] == a.Athlete[i-1] && a.Session[i] < a.Session[i-1] {
			return false
		}
	}
	return true
}

// countingSort sorts order by key[order[i]], stably; keys are below n.
func countingSort(order, key []int32, n int) []int32 {
	start := make([]int32, n+1)
	for _, i := range order {
		start[key[i]+1]++
	}
	for k := 1; k <= n; k++ {
		start[k] += start[k-1]
	}
	out := make([]int32, len(order))
	for _, i := range order {
		out[start[key[i]]] = i
		start[key[i]]++
	}
	return out
}

// eachCell calls f with the attempts of each athlete and session.
func (b *builder) eachCell(a *attempts, f func(group []int32)) {
	order := b.byCell(a)
	for from := 0; from < len(order); {
		to := from + 1
		for to < len(order) && a.Athlete[order[to]] == a.Athlete[order[from]] &&
			a.Session[order[to]] == a.Session[order[from]] {
			to++
		}
		f(order[from:to])
		from = to
	}
}

// numberTrials numbers the attempts of each cell in the order of the file, and
// then drops the places of missing values.
func (b *builder) numberTrials(a *attempts, r *repeats) {
	b.eachCell(a, func(group []int32) {
		for n, i := range group {
			a.Trial[i] = int32(n + 1)
		}
		b.findRepeats(a, group, r)
	})
	n := 0
	for i, v := range a.Value {
		if !math.IsNaN(v) {
			a.Athlete[n], a.Session[n], a.Trial[n], a.Value[n], a.rows[n] = a.Athlete[i], a.Session[i], a.Trial[i], v,
				a.rows[i]
			n++
		}
	}
	a.Athlete, a.Session, a.Trial, a.Value, a.rows = a.Athlete[:n], a.Session[:n], a.Trial[:n], a.Value[:n], a.rows[:n]
}

// findRepeats looks for equal values within a cell.
func (b *builder) findRepeats(a *attempts, group []int32, r *repeats) {
	if len(group) < 2 {
		return
	}
	sorted := slices.Clone(group)
	slices.SortFunc(sorted, func(i, j int32) int { return compareValue(a, i, j) })
	for n := 1; n < len(sorted); n++ {
		if i, j := sorted[n-1], sorted[n]; a.Value[i] == a.Value[j] {
			r.add(a.rows[i], a.rows[j])
		}
	}
}

// compareValue puts places without a value, which are NaN, first: an order
// that leaves them where they are would hide equal values on both sides.
func compareValue(a *attempts, i, j int32) int {
	return cmp.Or(cmp.Compare(a.Value[i], a.Value[j]), cmp.Compare(i, j))
}

// findDuplicates logs attempts with the same athlete, session and trial.
func (b *builder) findDuplicates(a *attempts) {
	b.eachCell(a, func(group []int32) {
		if len(group) < 2 {
			return
		}
		sorted := slices.Clone(group)
		slices.SortStableFunc(sorted, func(i, j int32) int { return int(a.Trial[i] - a.Trial[j]) })
		for n := 1; n < len(sorted); n++ {
			i, j := sorted[n-1], sorted[n]
			if a.Trial[i] != a.Trial[j] {
				continue
			}
			b.faults.add(Fault{Row: int(a.rows[j]),
				Problem: fmt.Sprintf("the same attempt as row %d: same athlete, session, trial and measure %q",
					a.rows[i], shorten(a.Name)),
				Hint: "keep one of the two, or number the trials"})
		}
	})
}

func (b *builder) noteRepeats(r repeats) {
	if r.n == 0 {
		return
	}
	what := "with the value of an earlier row of the same athlete, session and measure"
	if !b.long {
		what = "with exactly the measures of an earlier row of the same athlete and session"
	}
	b.note("%s %s (such as rows %d and %d); without a trial column they count as further trials: if the file holds "+
		"them twice by mistake, take them out",
		counted(r.n, "row"), what, r.first, r.row)
}

// finishMeasures keeps the measures that have values.
func (b *builder) finishMeasures() {
	for _, a := range b.attempts {
		if a.outside > 0 {
			b.notePlausible(a)
		}
		if a.rows = nil; len(a.Value) == 0 {
			b.note("measure %q is left out: it has no value", a.Name)
			continue
		}
		b.table.Measures = append(b.table.Measures, a.Measure)
	}
	if len(b.table.Measures) == 0 && b.faults.total == 0 {
		hint := ""
		if !b.long {
			hint = "a wide table needs a column of numbers; a long one needs --column measure=NAME and --column " +
				"value=NAME; columns: " + quoteList(b.names())
		}
		b.faults.add(Fault{Problem: "the table holds no values", Hint: hint})
	}
}

func (b *builder) notePlausible(a *attempts) {
	bound := func(p *float64) string {
		if p == nil {
			return "…"
		}
		return strconv.FormatFloat(*p, 'g', -1, 64)
	}
	rows := make([]string, len(a.first))
	for i, r := range a.first {
		rows[i] = itoa(r)
	}
	more := ""
	if a.outside > len(a.first) {
		more = fmt.Sprintf(" and %d more", a.outside-len(a.first))
	}
	unit := ""
	if a.Unit != "" {
		unit = " " + a.Unit
	}
	b.note("measure %q: %s outside the plausible range %s to %s%s of the dictionary: row %s%s", a.Name,
		counted(a.outside, "value"),
		bound(a.Minimum), bound(a.Maximum), unit, strings.Join(rows, ", "), more)
}

// noteMarks says once where invisible characters were taken out.
func (b *builder) noteMarks() {
	var heads, cells []string
	for _, c := range b.columns {
		if c.marked {
			heads = append(heads, c.name)
		}
		if c.texts != nil && c.texts.marked {
			cells = append(cells, c.name)
		}
	}
	var where []string
	if len(heads) > 0 {
		where = append(where, "the head of "+quoteList(heads))
	}
	if len(cells) > 0 {
		where = append(where, "cells of "+quoteList(cells))
	}
	if len(where) > 0 {
		b.note("invisible characters, such as zero width spaces, were taken out of %s: "+
			"names that differ by them only count as one", strings.Join(where, " and "))
	}
}
