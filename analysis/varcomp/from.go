package varcomp

import (
	"math"

	"noisefloor/analysis/cell"
	"noisefloor/analysis/score"
)

// FromTable returns session scores as cells of one value each; missing scores are
// left out. Fit them with the model [Scores].
func FromTable(t score.Table) cell.Grid {
	g := cell.NewGrid(len(t.Athletes), len(t.Sessions))
	for at, v := range t.Value {
		if !math.IsNaN(v) {
			g.Cells[at] = cell.Of(v)
		}
	}
	return g
}
