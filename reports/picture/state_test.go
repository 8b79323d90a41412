package picture

import (
	"math"
	"testing"

	"gonum.org/v1/plot/vg"

	"noisefloor/analysis/retest"
)

// The three states have three marks that need no colour.
func TestStateMarks(t *testing.T) {
	out, past, inside := stateMark(retest.StandsOut), stateMark(retest.PastNoise), stateMark(retest.InsideNoise)
	if out.hollow || out.half || !past.half || past.hollow || !inside.hollow || inside.half {
		t.Errorf("%+v, %+v, %+v", out, past, inside)
	}
}

// Half a mark has half its area, below its middle: areas by the shoelace formula,
// the circle's as half of pi r squared.
func TestLowerHalf(t *testing.T) {
	for _, s := range []shape{square, diamond} {
		whole, half := area(outlineOf(s, vg.Point{}, 3)), area(lowerHalf(s, vg.Point{}, 3))
		if math.Abs(half-whole/2) > 1e-9 {
			t.Errorf("shape %d: half %g of %g", s, half, whole)
		}
	}
	for _, s := range []shape{circle, square, triangle, diamond} {
		for _, step := range lowerHalf(s, vg.Point{X: 5, Y: 7}, 3) {
			if step.Pos.Y > 7+3*1.35*0.3 {
				t.Errorf("shape %d reaches up to %g", s, step.Pos.Y)
			}
		}
	}
	arc := lowerHalf(circle, vg.Point{}, 3)[1]
	if arc.Start != math.Pi || arc.Angle != math.Pi {
		t.Errorf("the arc runs from %g by %g", arc.Start, arc.Angle)
	}
}

func area(p vg.Path) float64 {
	sum := 0.0
	for i := range p {
		a, b := p[i].Pos, p[(i+1)%len(p)].Pos
		if i+1 == len(p)-1 || i == len(p)-1 {
			b = p[0].Pos
		}
		if i == len(p)-1 {
			break
		}
		sum += float64(a.X*b.Y - b.X*a.Y)
	}
	return math.Abs(sum) / 2
}
