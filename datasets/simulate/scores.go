package simulate

import (
	"math"
	"math/rand/v2"
)

// scores are the true scores of one athlete on each measure, on the measure's
// scale: before the training block and after it.
type scores struct {
	before, after []float64
	unlearned     map[int][Sessions]float64 // by measure: what a first exposure still lacks in each session
}

// at returns the true score on measure m in a session.
func (s scores) at(m, session int) float64 {
	lacks := s.unlearned[m][session-1]
	if session < firstAfter {
		return s.before[m] - lacks
	}
	return s.after[m] - lacks
}

// draw draws the abilities of p, sets the body mass that goes with them, and
// returns the true scores on every measure, whether p does it or not. Those of
// a case are not drawn.
func (p *person) draw(rng *rand.Rand, tests []test) scores {
	var ability vector
	for f := range ability {
		ability[f] = rng.NormFloat64()
	}
	var shared [families]float64
	for f := alone + 1; f < families; f++ {
		shared[f] = rng.NormFloat64()
	}
	rest := math.Sqrt(1 - mass.dot(mass))
	p.BodyMass = int(math.Round(massMean[p.level] + float64(massSD*(mass.dot(ability)+float64(rest*p.mass)))))

	if p.as != nil {
		return p.as.scores(*p, tests)
	}
	general := 2 * rng.Float64()
	var s scores
	var line part // of the line of loads that the tests before belong to
	for _, t := range tests {
		own := drawPart(rng, general)
		if t.line && line != (part{}) {
			own = line
		} else if t.line {
			line = own
		}
		for _, side := range t.sides() {
			lead := t.lead + float64(t.sway*own.sway)
			z := t.standing(ability, shared, own) + float64(p.dominates(side)*lead)
			before := t.centre(p.level) + float64(t.sd*z)
			s.before = append(s.before, before)
			s.after = append(s.after, p.change(t, side, before, own.response))
		}
	}
	return s
}

// A part is what an athlete brings to one test, or to one line of loads,
// beside the factors and the family: standard normal, but for the response to
// training, which is relative to the mean gain of the trained group.
type part struct {
	own, lean, sway, response float64
}

func drawPart(rng *rand.Rand, general float64) part {
	return part{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64(),
		general * (1 + float64(testSpread*(2*rng.Float64()-1)))}
}

// responseSD is the SD of an athlete's response to training in one test,
// relative to the mean of all. It is the product g·u of a general response g,
// uniform from none (0) to double (2), and the test's own part u, uniform on
// 1 ± w with w = testSpread, so that its variance is E(g²)·E(u²) - 1 with
// E(g²) = 4/3 and E(u²) = 1 + w²/3.
func responseSD() float64 {
	return math.Sqrt(4.0/3*(1+testSpread*testSpread/3) - 1)
}

// standing is the athlete's score in t within the level, in units of t.sd,
// before the side is considered.
func (t test) standing(ability vector, shared [families]float64, own part) float64 {
	return t.factors.dot(ability) + float64(t.shared*shared[t.family]) +
		float64(t.lean*own.lean) + float64(t.ownLoading()*own.own)
}

// ownLoading makes the variance of a score within level 1, in units of t.sd²,
// up to the part that handedness adds.
func (t test) ownLoading() float64 {
	return math.Sqrt(1 - t.factors.dot(t.factors) - float64(t.shared*t.shared) -
		float64(t.lean*t.lean) - float64(t.sway*t.sway))
}

// centre is the mean of a level on the scale of t.
func (t test) centre(level int) float64 {
	if t.log {
		return math.Log(t.mean[level])
	}
	return t.mean[level]
}

// change returns the true score after the training block. response is relative
// to the mean gain of the trained group. The injured athlete has lost a
// fraction of the score wherever the dominant shoulder is loaded.
func (p person) change(t test, side string, before, response float64) float64 {
	fraction := 0.0
	switch {
	case p.Injured && t.hurt != 0 && p.dominates(side) >= 0:
		fraction, response = -t.hurt, 1
	case p.Group == trained:
		fraction = t.gain
	}
	if t.log {
		return before + float64(response*math.Log1p(fraction))
	}
	return before + float64(before*response*fraction)
}
