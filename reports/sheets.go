package reports

import (
	"errors"
	"fmt"
	"slices"

	"noisefloor/reports/picture"
	"noisefloor/reports/table"
)

// narrowed keeps the columns of a table that are named, for people; the rows past
// the limit are counted in a note. A key that the table does not have is an error:
// a sheet must not lose a column in silence.
func narrowed(t table.Table, limit int, keys ...string) (table.Table, error) {
	out := table.Table{Name: t.Name, Caption: t.Caption}
	var at []int
	for _, k := range keys {
		i := slices.IndexFunc(t.Columns, func(c table.Column) bool { return c.Key == k })
		if i < 0 {
			return table.Table{}, fmt.Errorf("table %s has no column %q for the sheet", t.Name, k)
		}
		at, out.Columns = append(at, i), append(out.Columns, t.Columns[i])
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
	return out, nil
}

// Sheet implements [View]. With levels r within a level stands before r over all,
// which mixes them; without levels r over all has its p value.
func (v Correlate) Sheet() (Sheet, error) {
	s := Sheet{Title: v.Title(), Answer: firstFew(v.Answer()), Source: v.sourceLine()}
	s.watchOut(v.Warnings())
	t, err := narrowed(v.Data(), 24, "label", "plane", "within_level", "within_level_p_holm", "pearson",
		"pearson_p_holm")
	s.Table, s.Draw = t, v.sheetPicture
	return s, err
}

// sheetPicture is r of the closest tests by plane, at the width of a sheet.
func (v Correlate) sheetPicture() (*picture.Picture, error) {
	p, err := v.planes(true)
	if errors.Is(err, picture.ErrNothing) {
		return nil, nil
	}
	return &p, err
}

// firstFew keeps a sheet's answer to three sentences.
func firstFew(answer []string) []string { return answer[:min(3, len(answer))] }

func (a About) sourceLine() string {
	return fmt.Sprintf("%s, %d rows; noisefloor %s", a.Input.Path, a.Input.Rows, a.Version)
}
