package agreement

import (
	"fmt"
	"math"
)

// pairs are the athletes that have both occasions, in the order given.
type pairs struct {
	athletes         []string
	first, second    []float64
	mean, difference []float64
}

// pairUp keeps the pairs without a NaN and refuses infinite scores.
func pairUp(athletes []string, first, second []float64, from, to string) (pairs, error) {
	p := room(len(athletes))
	for i, name := range athletes {
		a, b := first[i], second[i]
		if math.IsNaN(a) || math.IsNaN(b) {
			continue
		}
		if math.IsInf(a, 0) || math.IsInf(b, 0) {
			return pairs{}, fmt.Errorf("%w: athlete %s has %g in %s and %g in %s", ErrNonFinite, name, a, from, b, to)
		}
		p.add(name, a, b)
	}
	return p, nil
}

// room returns no pairs, with space for n.
func room(n int) pairs {
	all := make([]float64, 4*n)
	return pairs{athletes: make([]string, 0, n),
		first: all[0:0:n], second: all[n : n : 2*n], mean: all[2*n : 2*n : 3*n], difference: all[3*n : 3*n]}
}

func (p *pairs) add(name string, a, b float64) {
	p.athletes = append(p.athletes, name)
	p.first, p.second = append(p.first, a), append(p.second, b)
	p.mean, p.difference = append(p.mean, a+(b-a)/2), append(p.difference, b-a)
}

func (p pairs) points() []Point {
	out := make([]Point, len(p.athletes))
	for i, name := range p.athletes {
		out[i] = Point{Athlete: name, Mean: p.mean[i], Difference: p.difference[i]}
	}
	return out
}

// positive reports whether every score is above zero.
func (p pairs) positive() bool {
	for i := range p.first {
		if p.first[i] <= 0 || p.second[i] <= 0 {
			return false
		}
	}
	return true
}

// log returns the pairs of natural logarithms.
func (p pairs) log() pairs {
	out := room(len(p.athletes))
	for i, name := range p.athletes {
		out.add(name, math.Log(p.first[i]), math.Log(p.second[i]))
	}
	return out
}

// largest is the largest absolute score: rounding is in proportion to it.
func (p pairs) largest() float64 {
	var top float64
	for i := range p.first {
		top = max(top, math.Abs(p.first[i]), math.Abs(p.second[i]))
	}
	return top
}
