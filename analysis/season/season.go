// Package season follows one athlete through a season of sessions, on noise that is
// known from elsewhere: a watch that sounds when the mean of the last sessions has left
// the baseline, and the slope of a straight line.
//
// A limit for one change, used after every session, calls about every third unchanged
// athlete changed within twelve sessions. The watch of [Null.Limit] keeps the rate of
// false alarms over the whole season at the one stated.
package season

import (
	"errors"
	"math"
)

// Errors that callers test with errors.Is.
var (
	// ErrPlan: a watch needs a baseline of one session or more, and a season of 1 to [Longest].
	ErrPlan = errors.New("no such season")
	// ErrTooFew: a line needs [LeastForLine] sessions.
	ErrTooFew = errors.New("too few sessions for a line")
	// ErrTimes: the sessions of a line are not at different times.
	ErrTimes = errors.New("the sessions are not at different times")
)

const (
	// Usual is how many sessions a season has where nobody said. Common practice, no source.
	Usual = 12
	// Longest is the most that a watch can be planned for.
	Longest = 60
	// LeastForLine is below what the residuals of a line say nothing.
	LeastForLine = 4
)

// A Plan is what the limit of a watch depends on, the noise's degrees of freedom and
// the level aside. It is made beforehand: a season that is stopped when it suits has
// another rate of false alarms.
type Plan struct {
	Baseline int // sessions averaged into the baseline, b
	Planned  int // sessions of the season, J
	Widest   int // sessions averaged at most; 0 means any number
}

func (p Plan) check() error {
	if p.Baseline < 1 || p.Planned < 1 || p.Planned > Longest || p.Widest < 0 {
		return ErrPlan
	}
	return nil
}

func (p Plan) widest() int {
	if p.Widest == 0 {
		return p.Planned
	}
	return min(p.Widest, p.Planned)
}

// A Look is one look at a season: the mean of the last W sessions, up to the session
// at the place At, against the baseline.
type Look struct {
	At, From int     // places of the last and the first of the sessions averaged
	W        int     // how many they are, missing ones not counted
	Mean     float64 // their mean less the baseline
	Ratio    float64 // Mean / (TE sqrt(1/W + 1/b)); infinite where TE is 0 and Mean is not
}

// Limit is how far the mean of W sessions may lie from a baseline of b before a watch
// with the factor c sounds, c TE sqrt(1/W + 1/b).
func (p Plan) Limit(c, te float64, w int) float64 {
	return c * te * math.Sqrt(1/float64(w)+1/float64(p.Baseline))
}

// Looks takes every look that a watch takes at the sessions of one season, in order of
// time and at most Planned of them, NaN where missing; base is the baseline, te the
// typical error of one session. Alarm is the look that sounds first, with a factor c:
// of the looks at that session the one farthest out, nil where none sounds. Farthest is
// the one farthest out of all, nil without any session.
func (p Plan) Looks(y []float64, base, te, c float64) (alarm, farthest *Look) {
	var sums []float64 // of what precedes each session that is there, and all
	var places []int
	sums = append(sums, 0)
	for at, v := range y[:min(len(y), p.Planned)] {
		if math.IsNaN(v) {
			continue
		}
		places = append(places, at)
		n := len(places)
		sums = append(sums, sums[n-1]+(v-base))
		far := p.farthestAt(sums, places, te)
		if alarm == nil && math.Abs(far.Ratio) > c {
			sounding := far
			alarm = &sounding
		}
		if farthest == nil || math.Abs(far.Ratio) > math.Abs(farthest.Ratio) {
			farthest = &far
		}
	}
	return alarm, farthest
}

// farthestAt is the look farthest out of those at the last session.
func (p Plan) farthestAt(sums []float64, places []int, te float64) (best Look) {
	n := len(places)
	for w := 1; w <= min(n, p.widest()); w++ {
		l := Look{At: places[n-1], From: places[n-w], W: w, Mean: (sums[n] - sums[n-w]) / float64(w)}
		if l.Mean != 0 {
			l.Ratio = l.Mean / p.Limit(1, te, w)
		}
		if w == 1 || math.Abs(l.Ratio) > math.Abs(best.Ratio) {
			best = l
		}
	}
	return best
}
