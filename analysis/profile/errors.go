package profile

import (
	"math"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/score"
)

// Scores is the kind of covariances of session scores.
const Scores = "scores"

// Errors returns the covariances of the errors of tests in the sessions of a noise study,
// for the athletes of rows (nil: all): of the session scores, each on the scale of its
// test, and of the indices that are made of two of them, in percent, each athlete's and
// each session's. tests hold the scores of the noise sessions, the same for every test;
// dominant is the dominant side of each athlete.
func Errors(tests []Test, dominant []string, rows []int) []noise.Together {
	if len(tests) == 0 {
		return nil
	}
	k := len(tests[0].Scores.Sessions)
	b := battery{tests: tests}
	b.pair()
	var names []string
	var all [][]float64
	for _, t := range tests {
		if t.Role == Outcome {
			continue
		}
		names, all = append(names, t.Name), append(all, onScale(t, of(t.Scores, rows)))
	}
	out := []noise.Together{noise.Covariances(Scores, names, all, k)}
	for _, kind := range []IndexKind{SideDifference, Gain} {
		var of []string
		var series [][]float64
		for _, p := range b.pairs[kind] {
			of, series = append(of, tests[p.first].Name), append(series, b.series(p, dominant, rows))
		}
		if len(of) > 0 {
			out = append(out, noise.Covariances(string(kind), of, series, k))
		}
	}
	return out
}

// Outcome is the role of a test that says what the others are for.
const Outcome = "outcome"

func of(t score.Table, rows []int) []float64 {
	if rows == nil {
		return t.Value
	}
	return t.Rows(rows).Value
}

// onScale are scores on the scale of the test; those without a logarithm are NaN.
func onScale(t Test, values []float64) []float64 {
	if t.Scale != score.Log {
		return values
	}
	out := make([]float64, len(values))
	for i, v := range values {
		out[i] = t.scaled(v)
	}
	return out
}

// scaled is a score on the scale of the test.
func (t Test) scaled(v float64) float64 {
	switch {
	case t.Scale != score.Log:
		return v
	case v > 0:
		return math.Log(v)
	}
	return math.NaN()
}

// A battery is the tests and how they belong together.
type battery struct {
	tests []Test
	pairs map[IndexKind][]pair
	lines [][]int // tests of one movement at three or more loads, the lightest first
}

// A pair is two tests that one index is made of: the dominant or left side, the test with
// a countermovement, or the power first.
type pair struct {
	kind          IndexKind
	first, second int
	sided         bool // left and right: which is the dominant one depends on the athlete
}

// pair finds the pairs that the tests name.
func (b *battery) pair() {
	b.pairs = map[IndexKind][]pair{}
	at := map[string]int{}
	for i, t := range b.tests {
		at[t.Name] = i
	}
	for i, t := range b.tests {
		if t.Role == Outcome {
			continue
		}
		if j, ok := at[t.Pair]; ok && (t.Side == "left" || t.Side == "dominant") {
			b.add(pair{SideDifference, i, j, t.Side == "left"})
		}
		if j, ok := at[t.Counterpart]; ok && t.Countermovement == "with" {
			b.add(pair{Gain, i, j, false})
		}
		if j, ok := at[t.Quickness]; ok {
			b.add(pair{Gap, i, j, false})
		}
	}
	b.findLines()
}

func (b *battery) add(p pair) { b.pairs[p.kind] = append(b.pairs[p.kind], p) }

// order is the pair as one athlete has it: the dominant side first, and whether it is
// known which one that is.
func (p pair) order(dominant string) (first, second int, signed bool) {
	switch {
	case !p.sided || dominant == "left":
		return p.first, p.second, true
	case dominant == "right":
		return p.second, p.first, true
	}
	return p.first, p.second, false
}

// series is the index of every athlete and session, in percent; NaN where it cannot be
// made.
func (b battery) series(p pair, dominant []string, rows []int) []float64 {
	k := len(b.tests[p.first].Scores.Sessions)
	if rows == nil {
		rows = indices(len(b.tests[p.first].Scores.Athletes))
	}
	out := make([]float64, 0, len(rows)*k)
	for _, i := range rows {
		first, second, _ := p.order(text(dominant, i))
		for j := range k {
			out = append(out, b.percent(p.kind, first, second, i, j))
		}
	}
	return out
}

// percent is the index of one athlete and session.
func (b battery) percent(kind IndexKind, first, second, i, j int) float64 {
	num, den := b.tests[first].Scores.At(i, j), b.tests[second].Scores.At(i, j)
	if b.tests[first].Better == score.Lower {
		num, den = den, num
	}
	if !(num > 0 && den > 0) {
		return math.NaN()
	}
	if kind == Gain {
		return gain(num / den)
	}
	return side(num / den)
}

func text(of []string, i int) string {
	if i < len(of) {
		return of[i]
	}
	return ""
}

func indices(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}
