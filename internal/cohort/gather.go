package cohort

// gathered is an attribute while it is read: one text per cell, and the row it
// came from.
type gathered struct {
	column    *column
	ids, rows []int32
	dropped   bool  // too many distinct texts
	conflicts int   // rows that contradict an earlier row of their cell
	row, with int32 // the first of them, and the row it contradicts
}

// addAttribute takes in a cell of an attribute.
func (b *builder) addAttribute(a *gathered, k key, raw []byte, row int, ok bool) {
	if a.dropped {
		return
	}
	c := a.column
	id := c.texts.id(raw)
	if id == absent {
		if c.checks != nil {
			b.checkMissing(c, row)
		}
		return
	}
	if len(c.texts.list) > maxTexts && !b.asked(c) {
		*a = gathered{column: c, dropped: true}
		c.texts = nil
		return
	}
	if !b.textProblem(c, id, row) || !ok {
		return
	}
	for int(k.cell) >= len(a.ids) {
		a.ids, a.rows = append(a.ids, absent), append(a.rows, 0)
	}
	switch before := a.ids[k.cell]; {
	case before == absent:
		a.ids[k.cell], a.rows[k.cell] = id, int32(row)
	case before != id:
		if a.conflicts == 0 {
			a.row, a.with = int32(row), a.rows[k.cell]
		}
		a.conflicts++
	}
}

// asked reports whether a column was asked for, by role or as an attribute.
func (b *builder) asked(c *column) bool { return c.role != "" || b.wanted[c] }

// finishAttributes turns what was gathered into attributes. An attribute that
// has two texts for one athlete and session is a fault when it was asked for;
// else it is left out.
func (b *builder) finishAttributes() {
	for _, a := range b.kept {
		c := a.column
		switch {
		case a.dropped:
			b.note("column %q is left out: it holds more than %d different texts; keep it with --attribute %q",
				c.name, maxTexts, c.name)
			continue
		case a.conflicts > 0 && b.asked(c):
			b.fault(c, int(a.row), "", "the text differs from that of row "+itoa(a.with)+", of the same athlete "+
				"and session",
				"an attribute has one text for each athlete and session; rows that differ: "+itoa(int32(a.conflicts)))
			continue
		case a.conflicts > 0:
			b.note("column %q is left out: it differs within an athlete and session (rows %d and %d)", c.name, a.with,
				a.row)
			continue
		case len(c.texts.list) == 0:
			b.note("column %q is left out: it is empty", c.name)
			continue
		}
		for len(a.ids) < len(b.cells.athlete) {
			a.ids, a.rows = append(a.ids, absent), append(a.rows, 0)
		}
		role := ""
		if c.role == roleLevel || c.role == roleGroup || c.role == roleDominant {
			role = c.role
		}
		b.table.Attributes = append(b.table.Attributes, &Attribute{Name: c.name, Role: role, texts: c.texts.list,
			ids: a.ids, rows: a.rows})
	}
	for _, c := range b.undecided {
		b.note("column %q is left out: it is empty", c.name)
	}
}
