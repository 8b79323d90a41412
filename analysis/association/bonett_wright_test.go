package association

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"noisefloor/internal/numtest"
)

// Bonett & Wright (2000) limits on a grid of rs and n, recomputed (see the
// README beside the file). No data have exactly these rs, so the test calls
// the interval itself.
func TestBonettWrightGrid(t *testing.T) {
	f, err := os.Open(filepath.Join("..", "..", "testdata", "published", "correlation", "bonett_wright_grid.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	if err != nil || len(records) != 19 {
		t.Fatal(len(records), err)
	}
	for _, r := range records[1:] {
		var v [4]float64
		for i := range v {
			if v[i], err = strconv.ParseFloat(r[i], 64); err != nil {
				t.Fatal(err)
			}
		}
		e := bonettWright(v[0], int(v[1]), 0.95)
		numtest.CloseAbs(t, "lower "+r[0]+" "+r[1], e.Lower, v[2], 1e-14)
		numtest.CloseAbs(t, "upper "+r[0]+" "+r[1], e.Upper, v[3], 1e-14)
		numtest.Close(t, "value", e.Value, v[0], 0)
	}
	if e := bonettWright(1, 10, 0.95); e.HasInterval() || math.IsNaN(e.Value) {
		t.Errorf("rs = 1: %+v", e)
	}
}
