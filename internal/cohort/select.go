package cohort

import (
	"fmt"
	"slices"
	"time"

	"noisefloor/internal/names"
)

// SelectSessions returns a table with the named sessions, in order of time.
// A name that is unknown, or given twice, is an error.
func (t *Table) SelectSessions(wanted []string) (*Table, error) {
	keep := make([]bool, len(t.Sessions))
	for _, n := range wanted {
		i, err := t.Session(n)
		if err != nil {
			return nil, err
		}
		if keep[i] {
			return nil, fmt.Errorf("session %q is given twice", n)
		}
		keep[i] = true
	}
	if len(wanted) == 0 || !slices.Contains(keep, false) {
		out := *t
		return &out, nil
	}
	return t.keepCells("session not selected", func(cell int) bool { return keep[t.cellSession[cell]] }), nil
}

// Session finds a session: by its name, whatever the case and the accents, or
// by another way to write its date ("1.3.2026" for 2026-03-01). One that is not
// there is a [*names.Error]. It returns the index in t.Sessions.
func (t *Table) Session(name string) (int, error) {
	name = cleanText(name)
	i, err := names.One("session", t.Sessions, name)
	if err == nil {
		return i, nil
	}
	wanted := datesOf(name)
	var found []int
	for i, s := range t.Sessions {
		if slices.ContainsFunc(datesOf(s), func(d time.Time) bool { return slices.Contains(wanted, d) }) {
			found = append(found, i)
		}
	}
	switch len(found) {
	case 0:
		return -1, err
	case 1:
		return found[0], nil
	}
	e := names.Missing("session", t.Sessions, name)
	for _, i := range found {
		e.Ambiguous = append(e.Ambiguous, t.Sessions[i])
	}
	return -1, e
}

// datesOf are the dates that a text may be, in UTC, by any reading.
func datesOf(text string) []time.Time {
	if d, ok := parseDate(text, ""); ok {
		return []time.Time{d.UTC()}
	}
	f, ok := parseFigures(text)
	if !ok || f.separator == "" {
		return nil // a plain number is a name
	}
	var dates []time.Time
	for _, t := range timelines([]figures{f}) {
		if d, ok := f.time(t.reading.order); ok {
			dates = append(dates, d)
		}
	}
	return dates
}

// keepCells returns the table of the athlete-session pairs that are kept.
func (t *Table) keepCells(reason string, keep func(cell int) bool) *Table {
	kept := make([]bool, len(t.cellAthlete))
	for i := range kept {
		kept[i] = keep(i)
	}
	cells := t.lookup()
	return t.subset(reason, kept, func(m *Measure, i int) bool { return kept[cells.find(m.Athlete[i], m.Session[i])] })
}

// keepAttempts returns the table of the attempts that are kept, and of the
// athlete-session pairs that still have one.
func (t *Table) keepAttempts(reason string, keep func(m *Measure, i int) bool) *Table {
	kept := make([]bool, len(t.cellAthlete))
	cells := t.lookup()
	for _, m := range t.Measures {
		for i := range m.Value {
			if keep(m, i) {
				kept[cells.find(m.Athlete[i], m.Session[i])] = true
			}
		}
	}
	return t.subset(reason, kept, keep)
}

// subset builds a table of some pairs and attempts. Athletes, sessions and
// measures of which nothing is left are dropped.
func (t *Table) subset(reason string, cells []bool, keep func(m *Measure, i int) bool) *Table {
	out := *t
	athletes, sessions := make([]bool, len(t.Athletes)), make([]bool, len(t.Sessions))
	for i, k := range cells {
		if k {
			athletes[t.cellAthlete[i]], sessions[t.cellSession[i]] = true, true
		}
	}
	toAthlete, toSession := numbering(athletes), numbering(sessions)
	out.Athletes, out.Sessions = chosen(t.Athletes, athletes), chosen(t.Sessions, sessions)
	out.cellAthlete, out.cellSession = through(chosen(t.cellAthlete, cells), toAthlete), through(chosen(t.cellSession,
		cells), toSession)
	out.Attributes, out.Measures = nil, nil
	for _, a := range t.Attributes {
		c := *a
		c.ids, c.rows = chosen(a.ids, cells), chosen(a.rows, cells)
		out.Attributes = append(out.Attributes, &c)
	}
	lost := 0
	for _, m := range t.Measures {
		c := &Measure{Measure: m.Measure}
		for i, v := range m.Value {
			if !keep(m, i) {
				lost++
				continue
			}
			c.Athlete = append(c.Athlete, toAthlete[m.Athlete[i]])
			c.Session = append(c.Session, toSession[m.Session[i]])
			c.Trial = append(c.Trial, m.Trial[i])
			c.Value = append(c.Value, v)
		}
		if len(c.Value) > 0 {
			out.Measures = append(out.Measures, c)
		}
	}
	out.LeftOut = slices.Clone(t.LeftOut)
	if lost > 0 {
		out.LeftOut = append(out.LeftOut, LeftOut{Reason: reason, Rows: lost})
	}
	return &out
}

// numbering numbers what is kept.
func numbering(keep []bool) []int32 {
	out, n := make([]int32, len(keep)), int32(0)
	for i, k := range keep {
		if k {
			out[i] = n
			n++
		}
	}
	return out
}

func chosen[T any](all []T, keep []bool) []T {
	var out []T
	for i, v := range all {
		if keep[i] {
			out = append(out, v)
		}
	}
	return out
}

func through(ids, to []int32) []int32 {
	for i, id := range ids {
		ids[i] = to[id]
	}
	return ids
}

// cellLookup finds the cell of an athlete and session: the cells of each
// athlete, one after the other.
type cellLookup struct {
	table        *Table
	start, order []int32
}

func (t *Table) lookup() cellLookup {
	order := make([]int32, len(t.cellAthlete))
	for i := range order {
		order[i] = int32(i)
	}
	l := cellLookup{table: t, order: countingSort(order, t.cellAthlete, len(t.Athletes)), start: make([]int32,
		len(t.Athletes)+1)}
	for _, a := range t.cellAthlete {
		l.start[a+1]++
	}
	for i := range t.Athletes {
		l.start[i+1] += l.start[i]
	}
	return l
}

// find returns the cell of a pair that has attempts, and so exists.
func (l cellLookup) find(athlete, session int32) int32 {
	for _, cell := range l.order[l.start[athlete]:l.start[athlete+1]] {
		if l.table.cellSession[cell] == session {
			return cell
		}
	}
	panic("cohort: an attempt without its athlete and session")
}
