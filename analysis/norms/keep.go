package norms

import (
	"math"
	"slices"
	"strconv"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/score"
)

// What a norms file may hold of a group: choices, stricter than the habit of statistical
// offices (see [Keep]).
const (
	// MinCell is the fewest athletes of a cell.
	MinCell = 10
	// MinTails is the fewest athletes of a cell with more than the median and quartiles.
	MinTails = 20
	// MinSide is the fewest athletes on each side of a quantile.
	MinSide = 5
	// AthletesEach is how many athletes stand behind one quantile at least.
	AthletesEach = 5
)

// A Reason says why a norms file leaves a cell out.
type Reason string

// The reasons.
const (
	FewAthletes  Reason = "few"    // fewer than MinCell athletes
	NoiseUnknown Reason = "noise"  // nothing to round by
	AllAlike     Reason = "alike"  // the cell would tell everybody's score
	RestTold     Reason = "remain" // the whole less the other cells would tell a small one
)

// A Kept is what a norms file holds of one group in one test: nobody's score.
type Kept struct {
	Measure, Unit string
	Scale         score.Scale
	Better        score.Direction
	Whom

	Athletes  int
	Mean, SD  float64        // on Scale
	Noise     Noise          // on Scale; the typical error to two digits
	Step      float64        // Mean and SD are multiples of it
	UnitStep  float64        // quantiles are: the same but for the log scale
	Quantiles []KeptQuantile // in the unit, in order of P
}

// A KeptQuantile is a rounded quantile; P counts towards better.
type KeptQuantile struct{ P, Value float64 }

// Rho is the share of the group's variance that is not noise, of the numbers as kept.
func (k Kept) Rho() float64 {
	if !(k.SD > 0) {
		return leastShrink
	}
	return max(leastShrink, 1-float64(k.Noise.TypicalError/k.SD*k.Noise.TypicalError/k.SD))
}

// Keep returns what may be kept of the references of one test, and a doubt for each that
// may not be kept:
//
//   - no cell under 10 athletes; under 20 the median and quartiles at most
//   - a quantile only where 5 athletes or more lie on each side, and no more quantiles than
//     a fifth of the athletes: the median first, then pairs from the middle outwards
//   - quantiles, mean and standard deviation as multiples of a step of half the typical
//     error or more; the typical error to two digits, its degrees
//     of freedom to a tenth: a score that noise blurs is not
//     told finer than noise tells it. On the log scale the step of quantiles is that of
//     the largest one
//   - no cell whose standard deviation is under a step: all athletes are alike there
//   - the whole cohort only where what it has beyond the other cells kept, the athletes of
//     cells left out and those without a group, is nobody or at least 10: otherwise the
//     whole less its parts would be a cell under 10
//
// After Hundepool A et al. (2012), Statistical Disclosure Control, Wiley (threshold,
// rounding, secondary suppression; the numbers are choices of ours).
func Keep(refs []Reference) (kept []Kept, left []caveat.Caveat) {
	whole, rest := -1, 0
	for _, r := range refs {
		if r.Whole() {
			rest += r.Athletes
		}
	}
	leave := func(r Reference, why Reason) {
		left = append(left, caveat.New(NotKept, float64(r.Athletes)).About(r.Measure).With(r.name(), string(why)))
	}
	for _, r := range refs {
		k, why := r.kept()
		if why != "" {
			leave(r, why)
			continue
		}
		if r.Whole() {
			whole = len(kept)
		} else {
			rest -= r.Athletes
		}
		kept = append(kept, k)
	}
	if parts := len(kept) - 1; whole >= 0 && (parts > 0 || len(refs) > 1) && rest > 0 && rest < MinCell {
		i := slices.IndexFunc(refs, func(r Reference) bool { return r.Whole() })
		leave(refs[i], RestTold)
		kept = slices.Delete(kept, whole, whole+1)
	}
	return kept, left
}

// kept is the cell of a reference on its own, or why there is none.
func (r Reference) kept() (Kept, Reason) {
	k := Kept{Measure: r.Measure, Unit: r.Unit, Scale: r.Scale, Better: r.Better, Whom: r.Whom, Athletes: r.Athletes,
		Noise: r.Noise}
	switch {
	case r.Athletes < MinCell:
		return k, FewAthletes
	case !r.Noise.Known():
		return k, NoiseUnknown
	}
	k.Noise.TypicalError, k.Noise.DF = digits(r.Noise.TypicalError, 2), max(1, math.Round(10*r.Noise.DF)/10)
	k.Step = stepFrom(r.Noise.TypicalError / 2)
	if r.scaled[1] < k.Step {
		return k, AllAlike
	}
	k.Mean, k.SD = rounded(r.scaled[0], k.Step), rounded(r.scaled[1], k.Step)
	inside := r.inside()
	if k.UnitStep = k.Step; r.Scale == score.Log {
		largest := 0.0
		for _, q := range inside {
			largest = max(largest, q.Value)
		}
		k.UnitStep = stepFrom(largest * r.Noise.TypicalError / 2)
	}
	for _, q := range inside {
		k.Quantiles = append(k.Quantiles, KeptQuantile{q.P, rounded(q.Value, k.UnitStep)})
	}
	return k, ""
}

// inside are the quantiles that may be kept, in order.
func (r Reference) inside() (out []QuantileAt) {
	for i, pair := range [][]float64{{0.5}, {0.25, 0.75}, {0.1, 0.9}, {0.05, 0.95}} {
		if len(out)+len(pair) > r.Athletes/AthletesEach || i > 1 && r.Athletes < MinTails {
			break
		}
		var both []QuantileAt
		for _, p := range pair {
			at := slices.IndexFunc(r.Quantiles, func(q QuantileAt) bool { return q.P == p })
			if at >= 0 && r.sides(r.Quantiles[at].Value) >= MinSide {
				both = append(both, r.Quantiles[at])
			}
		}
		if len(both) < len(pair) {
			break
		}
		out = append(out, both...)
	}
	slices.SortFunc(out, func(a, b QuantileAt) int {
		if a.P < b.P {
			return -1
		}
		return 1
	})
	return out
}

// sides is the smaller of the numbers of athletes below and above a value.
func (r Reference) sides(v float64) int {
	below, above := 0, 0
	for _, y := range r.Scores {
		if y < v {
			below++
		}
		if y > v {
			above++
		}
	}
	return min(below, above)
}

// stepFrom is the smallest of the round numbers that is x or more.
func stepFrom(x float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(x)))
	for _, m := range []float64{1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8} {
		if m*power >= x {
			return digits(m*power, 2)
		}
	}
	return digits(10*power, 2)
}

// rounded is the multiple of a step that is nearest to x, as a decimal number would be
// written.
func rounded(x, step float64) float64 {
	return digits(math.Round(x/step)*step, 12)
}

// digits is x to so many significant digits.
func digits(x float64, n int) float64 {
	v, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', n, 64), 64)
	if err != nil {
		return x // too large for a number: no score is
	}
	return v
}
