// Package simulate makes cohorts whose truth is known: the demo cohort of an
// invented cricket academy, at any number of athletes, and large plain tables
// for benchmarks. Everything follows from a seed; nothing here is measured on a
// person.
//
// The model of one attempt, on the measure's scale (natural log where errors
// grow with the value), is
//
//	attempt = score of the athlete + shift of the session + day + trial
//
// where the score is the level's mean plus the athlete's own departure from it
// (before the training block) and the athlete's true change is added after it;
// day is normal with SD σ_as, drawn for each athlete, session and measure;
// trial is normal with SD σ_e, drawn for each attempt. Errors of different
// measures are independent. The typical error of a session score, the mean of
// three trials, is therefore
//
//	TE = √(σ_as² + σ_e²/3).
package simulate

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
)

// CoastSeed and CoastAthletes make the embedded demo cohort. The seed is the
// first one there is: it was not picked for its results.
const (
	CoastSeed     = uint64(1)
	CoastAthletes = 60
)

// MinAthletes is the smallest cohort that holds every part of the plan but the
// cases: see [CaseAthletes].
const MinAthletes = 8

// ErrTooFew is returned for a cohort smaller than [MinAthletes].
var ErrTooFew = errors.New("too few athletes for the plan of the study")

// A Study is a simulated cohort: who took part, what was measured, every
// attempt, and the truth behind them.
type Study struct {
	Seed     uint64
	Athletes []Athlete // in order of code
	Measures []Measure // in the order of the dictionary
	Attempts []Attempt // by athlete, session, measure, trial
	Truth    Truth
}

// An Athlete is one invented person. Attributes do not change over the study,
// but for the status: see [Athlete.Status].
type Athlete struct {
	Code       string // "C07"; its order says nothing about the athlete
	Level      string // school, academy, senior
	Discipline string // bowler, batter
	Group      string // trained, control
	Dominant   string // left, right
	Age        int    // whole years
	BodyMass   int    // kg
	Injured    bool   // hurt the dominant shoulder between session 2 and 3
}

// Status is what the table says of the athlete in a session: "available", or
// "returning" for the injured athlete after session 2.
func (a Athlete) Status(session int) string {
	if a.Injured && session >= firstAfter {
		return returning
	}
	return available
}

// An Attempt is one trial of one measure.
type Attempt struct {
	Athlete int     // index into Study.Athletes
	Measure int     // index into Study.Measures
	Session int     // from 1
	Trial   int     // from 1
	Value   float64 // as the device shows it; NaN when there was no valid reading
}

// Cohort simulates the study of the demo, with the given number of athletes
// (60 in the embedded one). The same seed and number give the same study.
//
// It returns [ErrTooFew] below [MinAthletes].
func Cohort(seed uint64, athletes int) (*Study, error) {
	if athletes < MinAthletes {
		return nil, fmt.Errorf("%w: have %d, need %d", ErrTooFew, athletes, MinAthletes)
	}
	tests := plan()
	people, missed := roster(rand.New(rand.NewPCG(seed, 0)), athletes)
	s := &Study{Seed: seed, Measures: measures(tests)}
	scores := make([]scores, athletes)
	for i, p := range people {
		rng := rand.New(rand.NewPCG(seed, uint64(i)+1))
		scores[i] = p.draw(rng, tests)
		s.attempt(rng, i, p, tests, scores[i], missed[i])
		s.Athletes = append(s.Athletes, p.Athlete)
	}
	s.Truth = truth(seed, tests, people, scores, missed)
	return s, nil
}

// measures lists the measures of the tests, a side at a time.
func measures(tests []test) []Measure {
	var ms []Measure
	for _, t := range tests {
		for _, side := range t.sides() {
			ms = append(ms, t.describe(side))
		}
	}
	return ms
}

// attempt appends all attempts of athlete i.
func (s *Study) attempt(rng *rand.Rand, i int, p person, tests []test, own scores, missed int) {
	for session := 1; session <= Sessions; session++ {
		m := -1
		for _, t := range tests {
			for range t.sides() {
				m++
				if !p.does(t) {
					continue
				}
				values := t.attempts(rng, own.at(m, session), session)
				if session == missed {
					continue // drawn all the same: who is absent changes no other number
				}
				for l, v := range values {
					s.Attempts = append(s.Attempts, Attempt{i, m, session, l + 1, v})
				}
			}
		}
	}
}

// attempts draws the trials of one session around the true score, on the
// scale of t, and shows them as the device does.
func (t test) attempts(rng *rand.Rand, score float64, session int) [Trials]float64 {
	if session > 1 {
		score += t.learned
	}
	score += float64(t.day * rng.NormFloat64())
	var v [Trials]float64
	for l := range v {
		v[l] = t.display(score + float64(t.trial*rng.NormFloat64()))
		if rng.Float64() < voidShare {
			v[l] = math.NaN()
		}
	}
	return v
}

// display turns x from the scale of t into its unit, with the decimals of the device.
func (t test) display(x float64) float64 {
	p := math.Pow10(t.digits)
	return math.Round(t.unscale(x)*p) / p
}

// unscale turns x from the scale of t into its unit.
func (t test) unscale(x float64) float64 {
	if t.log {
		return math.Exp(x)
	}
	return x
}
