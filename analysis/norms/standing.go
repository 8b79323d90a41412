// Package norms says where an athlete stands in a reference group, and how well that is
// known: the group is a sample of athletes like them, and the athlete's score has noise.
package norms

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/moment"
)

// Errors that callers test with errors.Is.
var (
	// ErrTooFew: the group has not enough other athletes.
	ErrTooFew = errors.New("too few athletes to stand among")
	// ErrScore: a score is no finite number.
	ErrScore = errors.New("not a score")
	// ErrNoise: the typical error or its degrees of freedom cannot be used.
	ErrNoise = errors.New("unusable typical error")
	// ErrLevel: a level is not between 0 and 1.
	ErrLevel = errors.New("the level must lie between 0 and 1")
)

// MinAthletes is the fewest other athletes of a group in which somebody can stand:
// below, the band is nearly everything. Common practice, no source.
const MinAthletes = 5

// A Group is the others of a reference group in one test.
type Group struct {
	Scores       []float64 // of the other athletes, in one unit; logarithms on the log scale
	TypicalError float64   // of one such score, and of the athlete's own; 0 when not known
	DF           float64   // of the typical error; +Inf when it is taken as known
}

// A Standing is a place among a group.
type Standing struct {
	Athletes     int     // others in the group
	Below, Equal int     // of them, their scores drawn towards the mean (see [Stand])
	Rank         float64 // percentile rank, 0 to 1; NaN where Above or Under stands in its place
	Shrink       float64 // ρ: the share of the group's variance that is not noise

	// Above and Under are of a norms file: the outermost quantile that the score lies
	// beyond, 0 when it lies between two. How far beyond, the file does not hold.
	Above, Under float64

	Band     estimate.Estimate // the rank with both uncertainties
	Sampling estimate.Estimate // with that of the group being a sample
	Noise    estimate.Estimate // with that of the score's noise; no interval where it is not known
}

// NoNoise is the kind of an interval that is missing because the noise is not known.
const NoNoise estimate.Kind = "no-noise"

// Combined is the kind of the band: two intervals put together by MOVER.
const Combined estimate.Kind = "mover"

// Beta is the kind of limits that are quantiles of a beta distribution.
const Beta estimate.Kind = "beta"

// leastShrink keeps a group whose spread is nearly all noise apart.
const leastShrink = 0.05

// Stand returns where the score x stands among the group's others, whose scores y are
// drawn towards their mean m to the spread that is theirs without noise,
//
//	y* = m + √ρ (y - m)    ρ = max(0.05, 1 - TE²/s²)
//
// with s their standard deviation. With b below, e equal to and a above x among the N,
//
//	p = (b + e/2 + ½) / (N + 1)
//
// Sampling limits are the α/2 quantile of Beta(b+1, a+e+1) and the 1-α/2 quantile of
// Beta(b+e+1, a+1). Noise limits are p at x - t TE and at x + t TE, t = t(1-α/2, df). Both
// are put together as
//
//	L = p - √((p - l_s)² + (p - l_n)²)    U = p + √((u_s - p)² + (u_n - p)²)
//
// cut at 0 and 1. Without a typical error the group's scores stay as they are, and the
// band is that of sampling, which is too narrow. x has the unit of the scores; a change
// of unit, and a shift, change nothing. The group's scores are not modified.
//
// Special cases are:
//
//	Stand = ErrTooFew if the group has fewer than MinAthletes
//	Stand = ErrScore  if x or a score is NaN or infinite
//	Stand = ErrNoise  if TE is negative or no number, or df below 1 with TE above 0
//	Stand = ErrLevel  if level is not in (0, 1)
//
// Sources: Crawford JR, Garthwaite PH, Slick DJ (2009), The Clinical Neuropsychologist
// 23:1173-1195 (limits of a percentile rank); Louis TA (1984), Journal of the American
// Statistical Association 79:393-398 (scores drawn to their true spread); Zou GY, Donner A
// (2008), Statistics in Medicine 27:1693-1702 (limits put together).
func Stand(x float64, g Group, level float64) (Standing, error) {
	if err := g.check(x, level); err != nil {
		return Standing{}, err
	}
	freed, shrink := g.drawn()
	s := place(x, freed)
	s.Shrink = shrink
	s.Sampling = s.sampling(level)
	s.Noise = estimate.Bare(s.Rank, NoNoise)
	if g.TypicalError > 0 {
		reach := dist.TQuantile((1+level)/2, g.DF) * g.TypicalError
		s.Noise = estimate.Estimate{Value: s.Rank, Lower: place(x-reach, freed).Rank, Upper: place(x+reach, freed).Rank,
			Level: level, Kind: estimate.StudentT}
	}
	s.Band = s.band()
	return s, nil
}

func (g Group) check(x, level float64) error {
	switch {
	case !(level > 0 && level < 1):
		return fmt.Errorf("%w: %g", ErrLevel, level)
	case len(g.Scores) < MinAthletes:
		return fmt.Errorf("%w: %d others, at least %d are needed", ErrTooFew, len(g.Scores), MinAthletes)
	case !(g.TypicalError >= 0) || math.IsInf(g.TypicalError, 1):
		return fmt.Errorf("%w: %g", ErrNoise, g.TypicalError)
	case g.TypicalError > 0 && !(g.DF >= 1):
		return fmt.Errorf("%w: %g degrees of freedom", ErrNoise, g.DF)
	}
	for _, y := range append([]float64{x}, g.Scores...) {
		if math.IsNaN(y) || math.IsInf(y, 0) {
			return fmt.Errorf("%w: %g", ErrScore, y)
		}
	}
	return nil
}

// drawn are the scores drawn towards their mean, in order.
func (g Group) drawn() (scores []float64, rho float64) {
	out := slices.Sorted(slices.Values(g.Scores))
	s := moment.SD(out)
	if !(g.TypicalError > 0) || !(s > 0) {
		return out, 1
	}
	rho = max(leastShrink, 1-g.TypicalError*g.TypicalError/(s*s))
	mean, root := moment.Mean(out), math.Sqrt(rho)
	for i, y := range out {
		out[i] = mean + float64(root*(y-mean))
	}
	return out, rho
}

// place is the standing of x among scores in order, without limits.
func place(x float64, sorted []float64) Standing {
	from, _ := slices.BinarySearch(sorted, x)
	to := from
	for to < len(sorted) && sorted[to] == x {
		to++
	}
	s := Standing{Athletes: len(sorted), Below: from, Equal: to - from}
	s.Rank = (float64(from) + float64(s.Equal)/2 + 0.5) / float64(len(sorted)+1)
	return s
}

func (s Standing) sampling(level float64) estimate.Estimate {
	tail := (1 - level) / 2
	above := float64(s.Athletes - s.Below - s.Equal)
	return estimate.Estimate{Value: s.Rank, Level: level, Kind: Beta,
		Lower: dist.BetaQuantile(tail, float64(s.Below)+1, above+float64(s.Equal)+1),
		Upper: dist.BetaQuantile(1-tail, float64(s.Below+s.Equal)+1, above+1)}
}

func (s Standing) band() estimate.Estimate {
	if !s.Noise.HasInterval() {
		return s.Sampling
	}
	return estimate.Estimate{Value: s.Rank, Level: s.Sampling.Level, Kind: Combined,
		Lower: max(0, s.Rank-math.Hypot(s.Rank-s.Sampling.Lower, s.Rank-s.Noise.Lower)),
		Upper: min(1, s.Rank+math.Hypot(s.Sampling.Upper-s.Rank, s.Noise.Upper-s.Rank))}
}
