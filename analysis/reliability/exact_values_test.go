package reliability_test

import (
	"os"
	"strconv"
	"strings"
	"testing"

	"noisefloor/analysis/decision"
	"noisefloor/internal/published"
)

type decisionRow = decision.Row

// exactVariances reads the REML variances of a table of testdata/published/varcomp.
func exactVariances(t testing.TB, table string) map[string]float64 {
	t.Helper()
	text, err := os.ReadFile(published.Path(t, "published/varcomp/exact.txt"))
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]float64{}
	for line := range strings.Lines(string(text)) {
		cells := strings.Split(strings.TrimSpace(line), ",")
		if len(cells) == 5 && cells[0] == table && cells[1] == "REML" && cells[2] == "variance" {
			if out[cells[3]], err = strconv.ParseFloat(cells[4], 64); err != nil {
				t.Fatal(err)
			}
		}
	}
	if len(out) != 3 {
		t.Fatalf("%s: %v", table, out)
	}
	return out
}
