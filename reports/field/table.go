package field

import "noisefloor/reports/table"

// machineColumns are the names of the field's CSV columns.
func (f Field[T]) machineColumns() []string {
	if f.column == "-" || f.cells == nil {
		return nil
	}
	if f.names != nil {
		return f.names
	}
	name := f.column
	if name == "" {
		name = f.Key
	}
	out := make([]string, len(f.columns))
	for i, suffix := range f.columns {
		out[i] = name + suffix
	}
	return out
}

// Table lays out rows: every field with a column, for machines; those with a
// head, for people too.
func (s Set[T]) Table(name, caption string, rows []T) table.Table {
	t := table.Table{Name: name, Caption: caption}
	for _, f := range s {
		for i, column := range f.machineColumns() {
			c := table.Column{Key: column, Right: !f.left}
			if i == 0 {
				c.Head = f.Head
			}
			t.Columns = append(t.Columns, c)
		}
	}
	for _, v := range rows {
		var row []table.Cell
		for _, f := range s {
			row = append(row, f.row(v)...)
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// row is the field's part of a row: the first cell carries the text for
// people.
func (f Field[T]) row(v T) []table.Cell {
	if f.column == "-" || f.cells == nil {
		return nil
	}
	cells := f.cells(v)
	if f.text != nil && len(cells) > 0 {
		cells[0] = cells[0].Say(f.text(v))
	}
	return cells
}

// Pick returns the fields with the keys given, in that order: a narrower table
// of the same facts. It panics on a key that s does not have.
func (s Set[T]) Pick(keys ...string) Set[T] {
	out := make(Set[T], 0, len(keys))
	for _, k := range keys {
		out = append(out, s.field(k))
	}
	return out
}

func (s Set[T]) field(key string) Field[T] {
	for _, f := range s {
		if f.Key == key {
			return f
		}
	}
	panic("field: no field " + key)
}
