package reports

import (
	"fmt"

	"noisefloor/reports/picture"
	"noisefloor/reports/table"
)

// firstPicture draws the first of the pictures, nil when there is none.
func firstPicture(v View) func() (*picture.Picture, error) {
	return func() (*picture.Picture, error) {
		all, err := v.Pictures()
		if err != nil || len(all) == 0 {
			return nil, err
		}
		return &all[0], nil
	}
}

// narrowed keeps the columns of a table that are named, for people; the rows past
// the limit are counted in a note.
func narrowed(t table.Table, limit int, keys ...string) table.Table {
	out := table.Table{Name: t.Name, Caption: t.Caption}
	var at []int
	for _, k := range keys {
		for i, c := range t.Columns {
			if c.Key == k {
				at, out.Columns = append(at, i), append(out.Columns, c)
			}
		}
	}
	for _, row := range t.Rows[:min(limit, len(t.Rows))] {
		cells := make([]table.Cell, len(at))
		for j, i := range at {
			cells[j] = row[i]
		}
		out.Rows = append(out.Rows, cells)
	}
	if more := len(t.Rows) - limit; more > 0 {
		out.Notes = append(out.Notes, fmt.Sprintf("%d more rows in the working page.", more))
	}
	return out
}

// Sheet implements [View].
func (v Correlate) Sheet() (Sheet, error) {
	s := Sheet{Title: v.Title(), Answer: firstFew(v.Answer()), Watch: v.watchOut(v.Warnings()), Source: v.sourceLine()}
	s.Table = narrowed(v.associationTable(), 24, "label", "plane", "within", "pearson", "within_p_holm")
	s.Draw = firstPicture(v)
	return s, nil
}

// firstFew keeps a sheet's answer to three sentences.
func firstFew(answer []string) []string { return answer[:min(3, len(answer))] }

func (a About) sourceLine() string {
	return fmt.Sprintf("%s, %d rows; noisefloor %s", a.Input.Path, a.Input.Rows, a.Version)
}
