package noise

import (
	"testing"

	"noisefloor/internal/numtest"
)

// Means of three whole points are thirds, which float64 does not hold: 7/3 - 1/3 is not
// six times 1/3 to the last bit. The step of the scores is a third all the same (by hand).
func TestGrainOfThirds(t *testing.T) {
	numtest.Close(t, "thirds", grain([]float64{1.0 / 3, 7.0 / 3, 8.0 / 3, 5.0 / 3, 10.0 / 3, 4.0 / 3}), 1.0/3, 1e-9)
	numtest.Close(t, "points", grain([]float64{3, 5, 9, 12}), 1, 1e-12)
	numtest.Close(t, "halves", grain([]float64{0.5, 2, 7.5, 3}), 0.5, 1e-12)
}
