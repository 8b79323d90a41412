package association

import (
	"fmt"
	"math"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/multiplicity"
)

// SessionAdjusted is the correlation inside athletes with the session means taken
// out first, and beside it the one without.
type SessionAdjusted struct {
	Correlation                   // df N - athletes - sessions where athletes and sessions hang together
	Sessions    int               // that hold an observation
	Slope       estimate.Estimate // unit of y for one unit of x, the same for all athletes

	SSX, SSResidual, F float64 // as in [Repeated], with the sessions in the model

	// Are the session means of the test, and of the outcome, equal, once the
	// athletes are allowed for? F tests; the Statistic of each is F, its DF the
	// first.
	MovesX, MovesY Test

	AthletesOnly Repeated // session means left in (Bland & Altman 1995)
	Caveats      []caveat.Caveat
}

// RepeatedOverSessions asks whether an athlete has a higher y in the sessions in
// which the same athlete's x is higher than the session and the athlete let one
// expect: the common slope b of
//
//	y = athlete + session + b x
//
// by least squares, with
//
//	r = sign(b) √( SSX / (SSX + SSResidual) ),   F = SSX/(SSResidual/df)
//
// r is that of x and y less their two-way fits, for tables with gaps as for whole
// ones. df is N less the rank of athletes and sessions, less 1: N - athletes -
// sessions where every session is tied to every other by athletes who have both
// (one more for each part that stands alone). The p value is that of F on 1 and
// df; the interval is tanh(atanh r ± z/√(df-1)).
//
// A block of training, practice or the weather of a day lifts the scores of all
// athletes in a session together. Left in, it makes any two tests that it lifts go
// together inside athletes: of independent pairs, three sessions and a block that
// lifts both by one SD of an athlete's scores after the first, p < 0.05 in 16, 22,
// 36 and 63 % with 8, 12, 20 and 40 athletes by [RepeatedMeasures], in 4.6 to 5.3 %
// here (10,000 studies each). Where the session means of both differ (F tests at
// 1 - level) and the two r part, by 0.1 or in what they show, a caveat says so.
//
// AthletesOnly is that of RepeatedMeasures, whose errors are those of this
// function, with [ErrLength] for sessions. Where the sessions leave nothing, the
// number is NaN with its reason, a caveat says so, and AthletesOnly stands alone.
//
// Source: the analysis of covariance, as Bland & Altman (1995) with a second
// factor; Frisch R, Waugh FV (1933), Econometrica 1:387-401, for r from
// residuals.
func RepeatedOverSessions(x, y []float64, athlete, session []int, level float64) (SessionAdjusted, error) {
	only, err := RepeatedMeasures(x, y, athlete, level)
	if err == nil && len(session) != len(x) {
		err = fmt.Errorf("%w: %d values, %d sessions", ErrLength, len(x), len(session))
	}
	if err != nil {
		return missingAdjusted(missingRepeated(len(x), err), reasonOf(err)), err
	}
	level, _ = confidence(level) // checked
	sessions := byAthlete(session)
	s := missingAdjusted(only, estimate.TooFew)
	s.Sessions = len(sessions)
	for _, c := range only.Caveats {
		if c.Kind != TwoQuestions { // asked again of the r with the session means out
			s.Caveats = append(s.Caveats, c)
		}
	}
	basis := sessionBasis(sessions, byAthlete(athlete), len(x))
	spare := len(x) - only.Athletes - len(basis) // residual df of athlete + session
	ex, ey, why := s.fit(x, y, byAthlete(athlete), basis, spare, level)
	if why != "" {
		s.Correlation, s.Slope = missing(len(x), why), estimate.Bare(math.NaN(), why)
		s.Caveats = append(s.Caveats, caveat.New(NoSessionAdjusted, float64(len(x)), float64(only.Athletes),
			float64(s.Sessions)).With(string(why)))
		s.Caveats = append(s.Caveats, only.mixed(only.Value)...)
		return s, nil
	}
	s.covariance(ex, ey, level)
	s.Caveats = append(s.Caveats, only.mixed(s.Value)...)
	s.judge(level)
	return s, nil
}

// sessionBasis are orthonormal columns that span what sessions add to athletes:
// indicators less the means of each athlete, less those before.
func sessionBasis(sessions, athletes [][]int, n int) (basis [][]float64) {
	const least = 1e-7
	for _, s := range sessions[1:] {
		e := make([]float64, n)
		for _, i := range s {
			e[i] = 1
		}
		before := math.Sqrt(dot(e, e))
		for range 2 { // the second pass removes what rounding left
			lessMeans(e, athletes)
			lessAlong(e, basis)
		}
		length := math.Sqrt(dot(e, e))
		if length < least*before {
			continue // no athlete ties this session to another
		}
		for i := range e {
			e[i] /= length
		}
		basis = append(basis, e)
	}
	return basis
}

func lessMeans(e []float64, members [][]int) {
	for _, m := range members {
		var sum float64
		for _, i := range m {
			sum += e[i]
		}
		for _, i := range m {
			e[i] -= sum / float64(len(m))
		}
	}
}

func lessAlong(e []float64, basis [][]float64) {
	for _, b := range basis {
		along := dot(e, b)
		for i := range e {
			e[i] -= float64(along * b[i])
		}
	}
}

func dot(a, b []float64) (sum float64) {
	for i := range a {
		sum += float64(a[i] * b[i])
	}
	return sum
}

// A twoWay is a column less its athletes' means, and less the sessions too, times
// 2^-exponent.
type twoWay struct {
	athletes, both []float64
	exponent       int
}

func (t twoWay) moves(terms, spare int) Test {
	before, after := dot(t.athletes, t.athletes), dot(t.both, t.both)
	f := max(0, before-after) / float64(terms) / (after / float64(spare))
	return Test{Statistic: f, DF: float64(terms), P: dist.FSurvival(f, float64(terms), float64(spare))}
}

// constantLeft is the share of the sum of squares inside athletes below which
// what the sessions leave of it is rounding.
const constantLeft = 1e-14

func twoWayOf(x []float64, athletes [][]int, basis [][]float64) (t twoWay, ok bool) {
	c := centre(x)
	a := c.d
	lessMeans(a, athletes)
	lessMeans(a, athletes)
	b := append([]float64(nil), a...)
	lessAlong(b, basis)
	lessMeans(b, athletes)
	lessAlong(b, basis)
	return twoWay{a, b, c.exponent}, dot(b, b) > constantLeft*dot(a, a)
}

// fit fills r and the tests of the session means.
func (s *SessionAdjusted) fit(x, y []float64, athletes [][]int, basis [][]float64, spare int,
	level float64) (tx, ty twoWay, why estimate.Kind) {
	if spare < 2 {
		return tx, ty, estimate.TooFew
	}
	tx, okX := twoWayOf(x, athletes, basis)
	ty, okY := twoWayOf(y, athletes, basis)
	if !okX || !okY {
		return tx, ty, estimate.NoVariation
	}
	if len(basis) > 0 {
		s.MovesX, s.MovesY = tx.moves(len(basis), spare), ty.moves(len(basis), spare)
	}
	r := dot(tx.both, ty.both) / math.Sqrt(dot(tx.both, tx.both)*dot(ty.both, ty.both))
	if math.Abs(r) > 1-1e-15 {
		r = math.Copysign(1, r)
	}
	s.Correlation = fromR(r, len(x), len(x)-spare-1, level)
	return tx, ty, ""
}

// covariance fills the slope and the sums of squares.
func (s *SessionAdjusted) covariance(x, y twoWay, level float64) {
	var r Repeated
	r.DF = s.DF
	r.covariance(x.exponent, y.exponent, x.both, y.both, level)
	s.Slope, s.SSX, s.SSResidual, s.F = r.Slope, r.SSX, r.SSResidual, r.F
}

// judge raises the doubt that the sessions made the r without them.
func (s *SessionAdjusted) judge(level float64) {
	alpha, only := 1-level, s.AthletesOnly
	gap := math.Abs(only.Value - s.Value)
	other := (only.P < alpha) != (s.P < alpha)
	if s.MovesX.P < alpha && s.MovesY.P < alpha && (gap >= partedOutside || other) {
		s.Caveats = append(s.Caveats, caveat.New(SessionsMoveBoth, s.Value, only.Value))
	}
}

func missingAdjusted(only Repeated, why estimate.Kind) SessionAdjusted {
	nan := math.NaN()
	none := Test{Statistic: nan, P: nan}
	return SessionAdjusted{Correlation: missing(only.N, why), Slope: estimate.Bare(nan, why), SSX: nan,
		SSResidual: nan, F: nan, MovesX: none, MovesY: none, AthletesOnly: only}
}

// AdjustOverSessions fills the p values of a family of tests of one outcome,
// adjusted by Holm and by Benjamini and Hochberg, with the session means out and,
// as another family, in. Those that are NaN are left out of it.
func AdjustOverSessions(all []*SessionAdjusted) {
	for _, kind := range []func(*SessionAdjusted) *Correlation{
		func(s *SessionAdjusted) *Correlation { return &s.Correlation },
		func(s *SessionAdjusted) *Correlation { return &s.AthletesOnly.Correlation },
	} {
		p := make([]float64, len(all))
		for i, s := range all {
			p[i] = kind(s).P
		}
		holm, bh := multiplicity.Holm(p), multiplicity.BenjaminiHochberg(p)
		for i, s := range all {
			kind(s).PHolm, kind(s).PBH = holm[i], bh[i]
		}
	}
}
