package cohort

import (
	"noisefloor/internal/names"
)

// Measure finds a measure by its full name, whatever the case and the accents.
// One that is not there is a [*names.Error].
func (t *Table) Measure(name string) (*Measure, error) {
	i, err := names.One("measure", t.measureNames(), cleanText(name))
	if err != nil {
		return nil, err
	}
	return t.Measures[i], nil
}

func (t *Table) measureNames() []string {
	var list []string
	for _, m := range t.Measures {
		list = append(list, m.Name)
	}
	return list
}

// SelectMeasures returns a table with the measures that match one of the names
// or patterns, in the order of t, as [names.Find] has it. A pattern without a
// match is a [*names.Error]. Without patterns the table has all measures.
func (t *Table) SelectMeasures(globs []string) (*Table, error) {
	out := *t
	if len(globs) == 0 {
		return &out, nil
	}
	found, err := names.All("measure", t.measureNames(), globs)
	if err != nil {
		return nil, err
	}
	out.Measures = nil
	for _, i := range found {
		out.Measures = append(out.Measures, t.Measures[i])
	}
	return &out, nil
}
