package study

import (
	"fmt"
	"math"
	"slices"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/score"
	"noisefloor/internal/cohort"
)

// Attempts a hundred times above or below the median of their test are of another
// unit, or lost their decimal mark; and two tables whose means differ twentyfold are
// not of one test in one unit. No athlete differs so much from another. Common
// practice, no source.
const (
	farOff    = 100
	otherUnit = 20
)

// caveatFarOff says which attempts lie where no athlete's can.
func (d *desk) caveatFarOff(measures []*cohort.Measure) {
	for _, m := range measures {
		half := median(m.Value)
		if !(half > 0) {
			continue
		}
		n, first := 0, 0
		for i, v := range m.Value {
			if v > 0 && (v >= farOff*half || v <= half/farOff) {
				if n == 0 {
					first = i
				}
				n++
			}
		}
		if n > 0 {
			d.caveats = append(d.caveats, caveat.New(caveat.FarOff, float64(n), m.Value[first], half).About(m.Name).
				With(d.used.Athletes[m.Athlete[first]], d.used.Sessions[m.Session[first]]))
		}
	}
}

// fitsIn refuses noise from another table whose scores are of another size: 612 W
// and 0.612 kW, where nobody said the units.
func (m modelled) fitsIn() error {
	half, mean := median(m.measure.Value), m.noise.Mean
	if m.noise.Scale == score.Log {
		mean = math.Exp(mean)
	}
	if !(half > 0 && mean > 0) || half < otherUnit*mean && mean < otherUnit*half {
		return nil
	}
	return fmt.Errorf("its scores lie around %.3g, those of the noise study around %.3g: another unit? Bring the table "+
		"to the unit of the study, or make the noise again from a table in this one", half, mean)
}

// median is that of the values that are numbers, NaN when there are none.
func median(x []float64) float64 {
	x = slices.DeleteFunc(slices.Clone(x), math.IsNaN)
	if len(x) == 0 {
		return math.NaN()
	}
	slices.Sort(x)
	return (x[(len(x)-1)/2] + x[len(x)/2]) / 2
}
