package varcomp

import (
	"fmt"
	"math"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
)

// profileLimits fills the intervals of the components that are in the fit.
func (f *fitted) profileLimits(r *Result) {
	restricted := f.like.restricted && f.o.Limits == Profile
	like, best := f.like, f.best
	if restricted != like.restricted {
		like = newLikelihood(f.like.design, restricted)
		p, _, err := like.lowest(best.v, f.free)
		if err != nil {
			f.unlimited(r)
			return
		}
		best = like.snapped(p)
	}
	cut := dist.ChiSquareQuantile(f.o.Level, 1)
	for c, to := range r.components() {
		if !f.free[c] {
			continue
		}
		lower, upper, err := profiler{like, best, f.free, c, cut}.limits()
		if err != nil {
			to.without(estimate.Failed)
			continue
		}
		to.between(lower*like.scale, upper*like.scale, f.o.Level, estimate.Profile)
	}
}

// unlimited says of every component that its limits could not be computed.
func (f *fitted) unlimited(r *Result) {
	for c, to := range r.components() {
		if f.free[c] {
			to.without(estimate.Failed)
		}
	}
}

// A profiler finds where the criterion, minimised over the other components,
// exceeds its minimum by cut, as a function of the SD of one component.
type profiler struct {
	like      *likelihood
	best      point
	free      [3]bool
	component int
	cut       float64
}

// limits returns the lower and upper limit of the SD.
func (p profiler) limits() (lower, upper float64, err error) {
	if lower, err = p.lower(); err != nil {
		return 0, 0, err
	}
	upper, err = p.upper()
	return lower, upper, err
}

// at returns the signed root of the excess at SD x less that of the cut, and
// its derivative, and where the minimum over the others lies. By the envelope
// theorem the derivative of the excess is that of the criterion.
func (p profiler) at(x float64, from [3]float64) (miss, slope float64, v [3]float64, err error) {
	from[p.component] = x * x
	free := p.free
	free[p.component] = false
	q, _, err := p.like.lowest(from, free)
	if err != nil {
		return 0, 0, from, err
	}
	root := math.Sqrt(max(q.value-p.best.value, 0))
	return root - math.Sqrt(p.cut), math.Abs(q.slope[p.component]) * x / root, q.v, nil
}

func (p profiler) upper() (float64, error) {
	sd := math.Sqrt(p.best.v[p.component])
	wide := math.Sqrt(2/p.best.info[p.component][p.component] + p.best.v[p.component]*p.best.v[p.component])
	return p.find(sd, math.Inf(1), math.Sqrt(p.best.v[p.component]+2*wide), 1)
}

// lower is 0 where the criterion at 0 is below the cut; it may be infinite there.
func (p profiler) lower() (float64, error) {
	sd := math.Sqrt(p.best.v[p.component])
	if sd == 0 {
		return 0, nil
	}
	if miss, _, _, err := p.at(0, p.best.v); err == nil && miss <= 0 {
		return 0, nil
	}
	return p.find(0, sd, sd/2, -1)
}

// find solves for the limit between low and high by Newton steps kept inside a
// shrinking bracket. In studies of very few athletes the excess can reach the
// cut more than once; one of the places is then found.
// away is +1 if the excess grows with the SD there.
func (p profiler) find(low, high, x, away float64) (float64, error) {
	v := p.best.v
	for range 200 {
		miss, slope, next, err := p.at(x, v)
		if err != nil {
			return 0, err
		}
		v = next
		if (miss > 0) == (away > 0) {
			high = x
		} else {
			low = x
		}
		to := x - away*miss/slope
		if math.Abs(to-x) <= 1e-12*x {
			return to, nil
		}
		if !(to > low && to < high) {
			to = (low + high) / 2
			if math.IsInf(high, 1) {
				to = 2 * x
			}
		}
		if high-low <= 1e-13*x {
			return x, nil
		}
		x = to
	}
	return 0, fmt.Errorf("%w: no profile limit", ErrDiverged)
}
