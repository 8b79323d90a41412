// Package calibration asks of every interval and every decision of the
// analyses whether it keeps its promise: studies are simulated whose truth is
// known, analysed as a user's would be, and counted.
//
// Nothing here knows a formula of the methods under test. An experiment draws
// a study, calls the analysis, and marks what came out: did the interval hold
// the truth, was a change called real though nobody changed. The drawing
// follows the model that each method assumes (normal athletes, normal errors
// of one size), so that an exact method must reach its level and what an
// approximate one misses is the approximation's own.
//
// [Full] is the whole table, which the command in the folder run writes;
// testdata/calibration keeps its output.
package calibration

import (
	"fmt"
	"math"
	"math/rand/v2"

	"noisefloor/analysis/estimate"
)

// A Kind says what the rate of a row is the rate of.
type Kind string

// The kinds.
const (
	Coverage    Kind = "coverage"        // intervals that hold the truth
	FalseAlarm  Kind = "false alarms"    // findings where there is nothing to find
	FalseClaim  Kind = "false claims"    // "settled" or "trivially small" said of a change just large enough to matter
	Claims      Kind = "chances"         // chances printed as 85 to 95 % that came true
	Discoveries Kind = "false discovery" // share of what is called real that is not, averaged over studies
	Found       Kind = "found"           // findings where there is something to find: power, which promises nothing
)

// A Promise is what the theory of a method says of its rate.
type Promise string

// The promises.
const (
	Exact       Promise = "exact"        // the nominal rate, for normal data
	AtMost      Promise = "at most"      // the nominal rate is not exceeded
	Approximate Promise = "approximate"  // close to the nominal rate, closer in large studies
	Contrast    Promise = "for contrast" // what the toolkit does not do, to show why
)

// A Method is an interval or a decision under test.
type Method struct {
	Name    string
	Kind    Kind
	Promise Promise
	Nominal float64 // the rate promised
}

// A Design is the study that a row is about. Zeros and NaN say that a row does
// not depend on, or has no, such thing.
type Design struct {
	N       int     // athletes
	K       int     // sessions; 0: does not apply
	ICC     float64 // true intraclass correlation of a single score; NaN: does not apply
	Setting string  // what else was set, in words; "" for nothing
	Truth   float64 // what the interval should hold; NaN for a decision
}

// A Row is the record of one method in one design.
type Row struct {
	Method
	Design
	Tally
	First Tally // the same over the first [FirstStudies] studies, so that a kept table can be checked in a moment
}

// FirstStudies is how many studies the record of the beginning holds.
const FirstStudies = 200

// A Tally counts outcomes.
type Tally struct {
	Studies   int     // with an outcome
	Undefined int     // without one: there was no interval, or nothing was called real
	Sum       float64 // of outcomes: 1 and 0, or shares
	Squares   float64 // of outcomes
}

// add counts an outcome; NaN is none.
func (t *Tally) add(v float64) {
	if math.IsNaN(v) {
		t.Undefined++
		return
	}
	t.Studies++
	t.Sum += v
	t.Squares += float64(v * v)
}

func (t *Tally) join(u Tally) {
	t.Studies += u.Studies
	t.Undefined += u.Undefined
	t.Sum += u.Sum
	t.Squares += u.Squares
}

// Rate is the mean outcome, NaN when there is none.
func (t Tally) Rate() float64 { return t.Sum / float64(t.Studies) }

// SE is the Monte Carlo standard error of the rate, from the outcomes.
func (t Tally) SE() float64 {
	n := float64(t.Studies)
	return math.Sqrt(max(0, t.Squares/n-t.Rate()*t.Rate()) / n)
}

// Band is the Monte Carlo standard error that the rate would have if the
// promise were kept: √(p(1-p)/studies) with p nominal, and for shares, whose
// spread no theory gives, that of the outcomes.
func (r Row) Band() float64 {
	if r.Kind == Discoveries {
		return r.SE()
	}
	return math.Sqrt(r.Nominal * (1 - r.Nominal) / float64(r.Studies))
}

// Z is the distance of the rate from the nominal one, in standard errors of [Row.Band].
func (r Row) Z() float64 {
	if d := r.Rate() - r.Nominal; d != 0 {
		return d / r.Band()
	}
	return 0
}

// Within reports whether the rate lies within limit standard errors of the
// promise; below it, for one of at most.
func (r Row) Within(limit float64) bool {
	if r.Promise == AtMost {
		return r.Z() <= limit
	}
	return math.Abs(r.Z()) <= limit
}

// A Table is what a run found.
type Table struct {
	Seed  uint64
	Rows  []Row
	Again []Row // rows that promise exactness and lay outside, drawn again by [SecondLook]
}

// An Experiment is one design and all that is counted in it.
type Experiment struct {
	Name    string // seeds the random numbers, with the seed of the run and the number of the study
	Studies int
	Rows    []Row // what is counted, in the order in which Study marks it

	// Study draws one study from rng, analyses it and marks every row. It runs
	// on several goroutines at once.
	Study func(rng *rand.Rand, m *Marks) error
}

// Marks takes down the outcomes of one study, row by row.
type Marks struct {
	rows []Row
	out  []Tally
}

func (m *Marks) mark(v float64) {
	var t Tally
	t.add(v)
	m.out = append(m.out, t)
}

// share marks how many of so many came true; of none nothing is known.
func (m *Marks) share(came, all int) {
	if all == 0 {
		m.mark(math.NaN())
		return
	}
	m.out = append(m.out, Tally{Studies: all, Sum: float64(came), Squares: float64(came)})
}

// covers marks whether the interval holds the truth of the row.
func (m *Marks) covers(e estimate.Estimate) {
	if !e.HasInterval() || len(m.out) >= len(m.rows) {
		m.mark(math.NaN())
		return
	}
	m.yes(!e.Excludes(m.rows[len(m.out)].Truth))
}

// between marks whether x lies from low to high.
func (m *Marks) between(x, low, high float64) { m.yes(low <= x && x <= high) }

// rejects marks whether a p value is below 5 %.
func (m *Marks) rejects(p float64) {
	if math.IsNaN(p) {
		m.mark(p)
		return
	}
	m.yes(p < 0.05)
}

func (m *Marks) yes(v bool) {
	if v {
		m.mark(1)
		return
	}
	m.mark(0)
}

// complete fails when a study has not marked every row once.
func (m *Marks) complete() error {
	if len(m.out) != len(m.rows) {
		return fmt.Errorf("%d outcomes for %d rows", len(m.out), len(m.rows))
	}
	return nil
}
