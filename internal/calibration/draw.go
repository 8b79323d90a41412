package calibration

import (
	"math"
	"math/rand/v2"
	"strconv"

	"noisefloor/analysis/score"
)

// Every study is drawn in units of the error of a session score: its SD is 1.
// The mean of all scores is 100, so that none is near 0.
const level = 100

// spread is the between-athlete SD that gives a single score the ICC when the
// variance of the rest is v.
func spread(icc, v float64) float64 { return math.Sqrt(icc / (1 - icc) * v) }

// A field of normal deviates: athletes, their errors session by session, and
// the sessions.
type field struct {
	n, k     int
	athlete  []float64
	errors   []float64 // row-major
	sessions []float64
}

func drawField(rng *rand.Rand, n, k int) field {
	f := field{n: n, k: k, athlete: normals(rng, n), errors: normals(rng, n*k), sessions: normals(rng, k)}
	return f
}

func normals(rng *rand.Rand, n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = rng.NormFloat64()
	}
	return x
}

// scores are level + between·athlete + shift of the session + error, row-major.
func (f field) scores(between float64, shift []float64) []float64 {
	y := make([]float64, f.n*f.k)
	for i := range f.n {
		for j := range f.k {
			y[i*f.k+j] = level + float64(between*f.athlete[i]) + f.errors[i*f.k+j]
			if shift != nil {
				y[i*f.k+j] += shift[j]
			}
		}
	}
	return y
}

// tableOf names athletes and sessions by number, from 1.
func tableOf(value []float64, n, k int) score.Table {
	return score.Table{Athletes: numbered(n), Sessions: numbered(k), Value: value}
}

func numbered(n int) []string {
	names := make([]string, n)
	for i := range names {
		names[i] = strconv.Itoa(i + 1)
	}
	return names
}

// twoGroups puts every other athlete in the second group.
func twoGroups(n int) []string {
	g := make([]string, n)
	for i := range g {
		g[i] = strconv.Itoa(1 + i%2)
	}
	return g
}

// correlated returns two columns of normal deviates with the correlation r.
func correlated(rng *rand.Rand, n int, r float64) (x, y []float64) {
	x, y = normals(rng, n), normals(rng, n)
	rest := math.Sqrt(1 - r*r)
	for i := range y {
		y[i] = float64(r*x[i]) + float64(rest*y[i])
	}
	return x, y
}

// three returns an outcome and two tests with the correlations outcome-a,
// outcome-b, a-b.
func three(rng *rand.Rand, n int, ra, rb, rab float64) (y, a, b []float64) {
	y, a, b = normals(rng, n), normals(rng, n), normals(rng, n)
	restA := math.Sqrt(1 - ra*ra)
	l := (rab - ra*rb) / restA
	restB := math.Sqrt(1 - rb*rb - l*l)
	for i := range y {
		b[i] = float64(rb*y[i]) + float64(l*a[i]) + float64(restB*b[i])
		a[i] = float64(ra*y[i]) + float64(restA*a[i])
	}
	return y, a, b
}
