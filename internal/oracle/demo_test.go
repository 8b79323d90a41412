package oracle_test

import (
	"encoding/csv"
	"slices"
	"strconv"
	"testing"

	"noisefloor/analysis/cell"
	"noisefloor/analysis/score"
	"noisefloor/datasets"
)

// Every measure of the demo cohort, sessions 1 and 2, athletes with both.
func TestDemoCohortAgainstLme4(t *testing.T) {
	tables := map[string]score.Table{}
	for name, attempts := range demo(t) {
		all, err := score.Summarise(attempts.Table(cell.Options{}), score.Mean, score.Higher)
		if err != nil {
			t.Fatal(err)
		}
		pre, err := all.Select("1", "2")
		if err != nil {
			t.Fatal(err)
		}
		if rows := pre.Complete(); len(rows) >= 4 {
			tables[name] = pre.Rows(rows)
		}
	}
	if len(tables) < 14 {
		t.Fatalf("only %d measures of the demo cohort", len(tables))
	}
	checkReliability(t, tables)
}

// demo reads the embedded table, attempts by measure and side. Cells that are
// not numbers are missing; package cohort has the strict reader.
func demo(t *testing.T) map[string]cell.Attempts {
	t.Helper()
	f, err := datasets.Coast().Open(datasets.Table)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	at := map[string]int{}
	for j, name := range rows[0] {
		at[name] = j
	}
	out := map[string]cell.Attempts{}
	for _, row := range rows[1:] {
		v, err := strconv.ParseFloat(row[at["value"]], 64)
		if err != nil {
			continue
		}
		name := row[at["measure"]] + "." + row[at["side"]]
		a := out[name]
		a.Athlete = append(a.Athlete, index(&a.Athletes, row[at["athlete"]]))
		a.Session = append(a.Session, index(&a.Sessions, row[at["session"]]))
		a.Trial = append(a.Trial, int32(len(a.Trial)))
		a.Value = append(a.Value, v)
		out[name] = a
	}
	return out
}

// index returns the place of name in names, where it is added if it is new.
func index(names *[]string, name string) int32 {
	i := slices.Index(*names, name)
	if i < 0 {
		i = len(*names)
		*names = append(*names, name)
	}
	return int32(i)
}
