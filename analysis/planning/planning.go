// Package planning says how many athletes, sessions and trials a study needs before it is
// done. Each answer is planned for the interval or the test that the other packages make,
// and comes with the curve it lies on.
package planning

import (
	"errors"
	"fmt"
	"math"
)

// Errors that callers test with errors.Is.
var (
	// ErrGoal: a wish that no study could have, such as a width of 0.
	ErrGoal = errors.New("no such plan")
	// ErrFar: more athletes than MostAthletes would be needed.
	ErrFar = errors.New("out of reach")
)

// MostAthletes is the largest study that is looked at.
const MostAthletes = 100000

// Assurance is the share of studies in which an interval is to be as narrow as wanted: a
// plan for the expected width alone is met by half of them.
const Assurance = 0.8

// A Point is one on the curve of an answer.
type Point struct{ X, Y float64 }

// A Plan is an answer: the smallest number of athletes that meets the wish.
type Plan struct {
	Athletes int     // in all, or in each arm
	Start    float64 // by the closed formula that the search starts from; 0 where there is none
	Reached  float64 // what that number reaches: the chance or power
	Before   float64 // what one athlete less reaches
	Curve    []Point // X athletes, Y what is wished for: see the question
}

// smallest is the least n from low for which good(n) holds, good failing below it and
// holding from it on, but for steps of a few: each candidate is checked downwards.
func smallest(low int, good func(n int) bool) (int, error) {
	high := max(low, 2)
	for !good(high) {
		if high *= 2; high > MostAthletes {
			return 0, fmt.Errorf("%w: more than %d athletes", ErrFar, MostAthletes)
		}
	}
	from, to := low, high
	for from < to {
		if m := from + (to-from)/2; good(m) {
			to = m
		} else {
			from = m + 1
		}
	}
	for to > low && good(to-1) {
		to--
	}
	return to, nil
}

// around are numbers of athletes about an answer, for its curve.
func around(low, n int) []int {
	var out []int
	for _, f := range []float64{0.25, 0.35, 0.5, 0.65, 0.8, 0.9, 1, 1.15, 1.35, 1.6, 2, 2.5, 3} {
		m := max(low, int(math.Round(f*float64(n))))
		if len(out) == 0 || m > out[len(out)-1] {
			out = append(out, m)
		}
	}
	return out
}

// bisect is where f, which falls, comes to y between low and high.
func bisect(f func(float64) float64, y, low, high float64) float64 {
	for range 200 {
		m := low + (high-low)/2
		if f(m) > y {
			low = m
		} else {
			high = m
		}
	}
	return low + (high-low)/2
}

func within(name string, x, low, high float64) error {
	if !(x > low && x < high) {
		return fmt.Errorf("%w: %s %g must lie between %g and %g", ErrGoal, name, x, low, high)
	}
	return nil
}

func above(name string, x float64) error {
	if !(x > 0) || math.IsInf(x, 1) {
		return fmt.Errorf("%w: %s %g must be above 0", ErrGoal, name, x)
	}
	return nil
}

func first(all ...error) error {
	for _, err := range all {
		if err != nil {
			return err
		}
	}
	return nil
}
