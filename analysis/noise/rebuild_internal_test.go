package noise

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"noisefloor/internal/numtest"
)

// Someone who has the noise file, all codes, the mean and the spread of the scores and
// any computing power tries to get the scores back. Best guess by Bayes' rule over both
// sessions: every pair of cells that the bits allow, weighed by how likely it is. Without
// the prints the error of the best guess is the SD of the scores, and the likeliest cell
// is right in 1.6 %, its width over √(2π)·SD; with them (8,000 scores) the error is 0.96 of
// that, the likeliest cell right in 15 %, and no cell more than 44 % sure.
func TestScoresCannotBeRebuilt(t *testing.T) { rebuild(t, 5) }

func TestScoresCannotBeRebuiltLong(t *testing.T) {
	numtest.Heavy(t)
	rebuild(t, 200)
}

func rebuild(t *testing.T, studies int) {
	rng := rand.New(rand.NewPCG(9, 10))
	const n, mean, spread, te = 40, 100.0, 6.0, 2.0
	total := spread*spread + te*te
	var square, prior float64
	hits, tries, half, surest := 0, 0, 0, 0.0
	for range studies {
		var x []float64
		var codes []string
		for i := range n {
			codes = append(codes, fmt.Sprintf("P%03d", i+1))
			athlete := mean + spread*rng.NormFloat64()
			x = append(x, athlete+te*rng.NormFloat64(), athlete+te*rng.NormFloat64())
		}
		m := Model{Measure: "jump", TypicalError: te, Sessions: []string{"1", "2"}}
		m.Prints = m.Print("salt", codes, x)
		h := m.TypicalError / cellsOfTE
		low, cells := mean-4*math.Sqrt(total), int(8*math.Sqrt(total)/h)
		for i, code := range codes {
			var on [2][]float64
			for s := range on {
				for c := range cells {
					v := math.Floor(low/h) + float64(c)
					at := m.bit("salt", s, code, v, len(m.Prints.Bits[s]))
					if m.Prints.Bits[s][at/8]&(1<<(at%8)) != 0 {
						on[s] = append(on[s], (v+0.5)*h)
					}
				}
			}
			guess, best, sure := bayes(on, mean, spread, te)
			square += (guess - x[2*i]) * (guess - x[2*i])
			prior += (mean - x[2*i]) * (mean - x[2*i])
			tries++
			surest, half = max(surest, sure), half+tick(sure > 0.5)
			if math.Floor(best/h) == math.Floor(x[2*i]/h) {
				hits++
			}
		}
	}
	ratio := math.Sqrt(square / prior)
	t.Logf("error of the best guess %.3f of that without the prints; likeliest cell right in %.1f %%, above 50 %% sure in "+
		"%.2f %%, at most %.2f", ratio, 100*float64(hits)/float64(tries), 100*float64(half)/float64(tries), surest)
	if ratio < 0.93 || float64(hits) > 0.2*float64(tries) || surest > 0.6 {
		t.Errorf("the prints tell scores: error %.3f of that without, %d of %d cells right, %.2f sure", ratio, hits, tries,
			surest)
	}
}

// bayes is the mean and the likeliest of the first score.
func bayes(on [2][]float64, mean, spread, te float64) (guess, best, sure float64) {
	total := spread*spread + te*te
	r := spread * spread / total
	var sum, weight, most float64
	for _, a := range on[0] {
		w := 0.0
		for _, b := range on[1] { // given the first
			d := b - mean - r*(a-mean)
			w += math.Exp(-d * d / (2 * total * (1 - r*r)))
		}
		w *= math.Exp(-(a - mean) * (a - mean) / (2 * total))
		sum, weight = sum+w*a, weight+w
		if w > most {
			most, best = w, a
		}
	}
	return sum / weight, best, most / weight
}
