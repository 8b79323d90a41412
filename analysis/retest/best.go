package retest

import (
	"math"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/score"
)

// BestRises: Numbers[0] changes of the best attempt rest on other numbers of attempts in
// the follow-up, Numbers[2] on average, than in the baseline, Numbers[1]: by itself, with
// no change at all, the best lies Numbers[3] further to the better side, below 0 to the
// other, on the scale Names[0]; Numbers[4] is 0 where that is not known.
const BestRises caveat.Kind = "best-rises"

// highest is the expectation of the highest of n independent standard normal values,
//
//	n ∫ x φ(x) Φ(x)^(n-1) dx
//
// by Simpson's rule from -9 to 9, right to 1e-10 up to a hundred attempts.
func highest(n int) float64 {
	const steps, reach = 2000, 9.0
	h, sum := 2*reach/steps, 0.0
	for i := range steps + 1 {
		weight := 2.0 + 2*float64(i%2)
		if i == 0 || i == steps {
			weight = 1
		}
		x := -reach + float64(h*float64(i))
		density := math.Exp(-x*x/2) / math.Sqrt(2*math.Pi)
		sum += float64(weight * x * density * math.Pow(dist.NormalCDF(x), float64(n-1)))
	}
	return float64(n) * sum * h / 3
}

// A tops counts the changes of the best attempt that rest on other numbers of attempts
// before than after.
type tops struct {
	changes             int
	before, after, rise float64 // sums: attempts a session; what the expected best rises, in SD of an attempt
	known               map[int]float64
}

// best is the expected best attempt of athlete i on an occasion, in SD of one attempt
// above its mean, with the attempts a session; false where attempts are not counted.
func (j *judge) best(i int, o occasion) (expected, attempts float64, ok bool) {
	s := j.t.Scores
	n := 0.0
	for _, c := range j.have(i, o) {
		if s.Trials == nil || s.Trials[i*len(s.Sessions)+c] < 1 {
			return 0, 0, false
		}
		trials := int(s.Trials[i*len(s.Sessions)+c])
		if _, known := j.tops.known[trials]; !known {
			if j.tops.known == nil {
				j.tops.known = map[int]float64{}
			}
			j.tops.known[trials] = highest(trials)
		}
		expected, attempts, n = expected+j.tops.known[trials], attempts+float64(trials), n+1
	}
	return expected / n, attempts / n, n > 0
}

// countTops counts a change of the best of unequal numbers of attempts: the best of five
// lies above the best of three by itself.
func (j *judge) countTops(i int, o occasion) {
	if j.t.Summary != score.Best {
		return
	}
	before, some, ok := j.best(i, j.baseline)
	after, others, counted := j.best(i, o)
	if !ok || !counted || math.Abs(after-before) < 1e-9 {
		return
	}
	j.tops.changes++
	j.tops.before, j.tops.after, j.tops.rise = j.tops.before+some, j.tops.after+others, j.tops.rise+after-before
}

// checkBest says how much the best rises by itself.
func (j *judge) checkBest() {
	if j.tops.changes == 0 {
		return
	}
	n, known := float64(j.tops.changes), 0.0
	sd := j.t.Noise.TrialSD
	if sd > 0 {
		known = 1
	}
	j.doubt(caveat.New(BestRises, n, j.tops.before/n, j.tops.after/n, sd*j.tops.rise/n, known).
		With(string(j.t.Noise.Scale)))
}
