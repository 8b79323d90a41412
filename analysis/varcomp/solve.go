package varcomp

import (
	"fmt"
	"math"
)

// maxSteps bounds the Newton steps of one minimisation.
const maxSteps = 200

// minimise lowers the criterion from v over the components that are free,
// none of which may fall below 0, by Newton's method; where the criterion is
// not convex by Fisher scoring; with halved steps where it would rise. It
// returns the minimum and the number of steps.
func (l *likelihood) minimise(v [3]float64, free [3]bool) (point, int, error) {
	p, ok := l.at(v)
	if !ok {
		return p, 0, fmt.Errorf("%w: no criterion at the start", ErrDiverged)
	}
	before := math.Inf(1)
	for steps := range maxSteps {
		l.differentiate(&p)
		active := p.active(free)
		step, gain, newton := p.step(active)
		// What is left to gain cannot be seen in the criterion any more: trust
		// the steps without looking, until they shrink no further.
		blind := gain < 1e-11*(1+math.Abs(p.value)*1e-3)
		if gain <= 0 || (blind && gain > before/4) {
			return p, steps, nil
		}
		before = gain
		next, moved := l.search(p, step, blind)
		switch {
		case !moved:
			next, moved = l.search(p, p.downhill(active), blind)
		case !newton && !blind:
			next = l.stride(p, next)
		}
		switch {
		case !moved && gain < 1e-9*(1+math.Abs(p.value)):
			return p, steps, nil
		case !moved:
			return p, steps, fmt.Errorf("%w: no way down after %d steps", ErrDiverged, steps)
		}
		done := blind && small(p.v, next.v)
		p = next
		if done {
			l.differentiate(&p)
			return p, steps + 1, nil
		}
	}
	return p, maxSteps, fmt.Errorf("%w in %d steps", ErrDiverged, maxSteps)
}

// snapped sets to 0 what is nothing beside the other components, if that leaves
// the criterion where it is: the slope at 0 was a rounding error below 0.
func (l *likelihood) snapped(p point) point {
	total := p.v[trial] + p.v[session] + p.v[athlete]
	for c := range p.v {
		if p.v[c] == 0 || p.v[c] > 1e-12*total {
			continue
		}
		v := p.v
		v[c] = 0
		if q, ok := l.at(v); ok && q.value <= p.value+1e-12*(1+math.Abs(p.value)) {
			l.differentiate(&q)
			p = q
		}
	}
	return p
}

// active returns the free components that are not held at 0 by a criterion
// that rises from there.
func (p *point) active(free [3]bool) [3]bool {
	for c := range free {
		free[c] = free[c] && !(p.v[c] <= 0 && p.slope[c] >= 0)
	}
	return free
}

// step returns the Newton step over the active components, or the scoring step
// where that is not downhill, and how much it promises to gain.
func (p *point) step(active [3]bool) (step [3]float64, gain float64, newton bool) {
	for i, h := range [][3][3]float64{p.curve, p.info} {
		if step, ok := solve3(h, p.slope, active); ok {
			for c := range step {
				gain += float64(p.slope[c] * step[c])
				step[c] = -step[c]
			}
			return step, gain / 2, i == 0
		}
	}
	step = p.downhill(active)
	for c := range step {
		gain -= float64(p.slope[c]*step[c]) / 2
	}
	return step, gain, false
}

// downhill returns a step against the slope, each component on its own scale.
func (p *point) downhill(active [3]bool) (step [3]float64) {
	for c := range active {
		if active[c] && p.info[c][c] > 0 {
			step[c] = -p.slope[c] / p.info[c][c]
		}
	}
	return step
}

// search walks along step, which it shortens until the criterion falls.
func (l *likelihood) search(p point, step [3]float64, blind bool) (point, bool) {
	for range 60 {
		next, ok := l.at(walk(p.v, step))
		slack := 0.0 // what rounding may add
		switch {
		case blind:
			slack = 1e-9 * (1 + math.Abs(p.value))
		case landed(p.v, next.v): // from so near 0 that nothing changes
			slack = 1e-13 * (1 + math.Abs(p.value))
		}
		if ok && next.value < p.value+slack {
			return next, true
		}
		for c := range step {
			step[c] /= 2
		}
	}
	return p, false
}

// stride goes on from next in the direction it lies from p, twice as far each
// time, while the criterion falls: scoring steps creep where it hardly bends.
func (l *likelihood) stride(p, next point) point {
	step := [3]float64{}
	for c := range step {
		step[c] = next.v[c] - p.v[c]
	}
	for range 40 {
		for c := range step {
			step[c] *= 2
		}
		q, ok := l.at(walk(p.v, step))
		if !ok || !(q.value < next.value) {
			return next
		}
		next = q
	}
	return next
}

// landed reports whether a component went to 0.
func landed(from, to [3]float64) bool {
	for c := range from {
		if from[c] > 0 && to[c] == 0 {
			return true
		}
	}
	return false
}

// walk returns v + step, where a variance that would become negative stops at
// 0; if that is one that has to stay positive, at() refuses and the step shrinks.
func walk(v, step [3]float64) [3]float64 {
	for c := range v {
		v[c] = max(v[c]+step[c], 0)
	}
	return v
}

// small reports whether no component moved by more than 1e-11 of itself.
func small(from, to [3]float64) bool {
	for c := range from {
		if math.Abs(to[c]-from[c]) > 1e-11*to[c] {
			return false
		}
	}
	return true
}

// solve3 returns the solution x of h x = b over the rows and columns that are
// in, 0 elsewhere; ok is false if h is not positive definite there. Rows and
// columns are brought to one size first.
func solve3(h [3][3]float64, b [3]float64, in [3]bool) (x [3]float64, ok bool) {
	var rows []int
	var size [3]float64
	for c := range in {
		if in[c] {
			rows = append(rows, c)
			size[c] = math.Sqrt(h[c][c])
		}
	}
	a, y := newSquare(len(rows)), make([]float64, len(rows))
	for i, c := range rows {
		y[i] = b[c] / size[c]
		for j, e := range rows {
			a.row(i)[j] = h[c][e] / (size[c] * size[e])
		}
	}
	if _, ok = a.cholesky(); !ok {
		return x, false
	}
	for i := range rows {
		if a.at(i, i) < 1e-6 { // as good as singular
			return x, false
		}
	}
	for i, v := range a.solve(y) {
		x[rows[i]] = v / size[rows[i]]
	}
	return x, true
}
