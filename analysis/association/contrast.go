package association

import (
	"math"
	"slices"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
)

// A PlaneContrast compares two planes by all their tests together: do the tests
// of plane A go with the outcome more than those of plane B?
//
//	Difference = mean of atanh r over the tests of A - the same of B
//
// with every test turned so that better is higher. It is 0 when both planes go
// with the outcome equally, and lies on Fisher's scale, where 0.1 is about 0.1
// in r for weak and less for strong correlations. The intervals are
//
//	Difference ± z √(Σ_i Σ_j w_i w_j cov(z_i, z_j)),   w = 1/tests of A, or -1/tests of B
//	var(z_i) = 1/m_i,   cov(z_i, z_j) = c_ij m_ij/(m_i m_j)
//
// with c_ij the correlation of two correlations that share the outcome (see
// [Zou]), m_i the athletes of test i less 3, and m_ij those who have both tests
// less 3 (one less for each level but the first, where level means were
// removed). Tests that say the same thing so do not count as independent
// evidence. In simulations with 8 to 40 athletes the 95 % interval of the
// difference holds the truth in 94 to 95 % (a bootstrap in 90 at 20).
//
// Whether a plane goes with the outcome more closely has no answer where nobody
// said which way a test or the outcome improves: two tests of a plane that go
// opposite ways could add up or cancel. Then the numbers are NaN, their Kind is
// [NoDirection], and a caveat names the measures.
//
// Source of c: Olkin I, Siotani M (1976). Asymptotic distribution of functions
// of a correlation matrix. In: Ikeda S (ed.) Essays in Probability and
// Statistics, 235-251; in the form of Steiger JH (1980). Psychological Bulletin
// 87:245-251.
type PlaneContrast struct {
	PlaneA, PlaneB string
	TestsA, TestsB []string          // the tests that count
	N              int               // athletes with the outcome and any of the tests
	ZA, ZB         estimate.Estimate // mean of atanh r of each plane
	Difference     estimate.Estimate // ZA - ZB
	RA, RB         estimate.Estimate // tanh of ZA and ZB: the mean r of each plane
	Within         bool              // level means were removed first
	Caveats        []caveat.Caveat
}

// NoDirection is the reason that there is no signed comparison: nobody said
// which way a measure improves.
const NoDirection estimate.Kind = "no-direction"

// contrastN is the fewest athletes of a test that count in a [PlaneContrast].
// Common practice, no source.
const contrastN = 8

// contrast compares the planes. It is nil unless both have a test with an r.
func contrast(in Input, r Result, o Options, within bool) *PlaneContrast {
	c := &PlaneContrast{PlaneA: o.Planes[0], PlaneB: o.Planes[1], Within: within}
	var a, b []int
	for i, t := range in.Tests {
		if t.Plane != c.PlaneA && t.Plane != c.PlaneB || !c.counts(r.Associations[i]) {
			continue
		}
		if t.Plane == c.PlaneA {
			a, c.TestsA = append(a, i), append(c.TestsA, t.Name)
		} else {
			b, c.TestsB = append(b, i), append(c.TestsB, t.Name)
		}
	}
	if len(a) == 0 || len(b) == 0 {
		return nil
	}
	all := slices.Concat(a, b)
	c.N = len(in.unitsOf(all, within))
	if c.undirected(in, all) {
		return c
	}
	f := newZFamily(in, r, all, within)
	zero := func(n int) []float64 { return make([]float64, n) }
	c.ZA = f.combine(slices.Concat(shares(len(a), 1), zero(len(b))), o.Level)
	c.ZB = f.combine(slices.Concat(zero(len(a)), shares(len(b), 1)), o.Level)
	c.Difference = f.combine(slices.Concat(shares(len(a), 1), shares(len(b), -1)), o.Level)
	c.RA, c.RB = c.ZA.Map(math.Tanh), c.ZB.Map(math.Tanh)
	return c
}

// undirected fills the reason, and names the measures, where nobody said which
// way they improve.
func (c *PlaneContrast) undirected(in Input, tests []int) bool {
	unknown := in.withoutDirection(pick(in.Tests, tests))
	if len(unknown) == 0 {
		return false
	}
	none := estimate.Bare(math.NaN(), NoDirection)
	c.ZA, c.ZB, c.Difference, c.RA, c.RB = none, none, none, none, none
	c.Caveats = append(c.Caveats, caveat.New(PlanesNeedDirections).About(unknown...).With(c.PlaneA, c.PlaneB))
	return true
}

// withoutDirection names the outcome and those of the tests of which nobody said
// which way they improve.
func (in Input) withoutDirection(tests []Variable) []string {
	var names []string
	for _, v := range slices.Concat([]Variable{in.Outcome}, tests) {
		if v.Better == score.Unknown {
			names = append(names, v.Name)
		}
	}
	return names
}

// shares is n equal weights that add up to total.
func shares(n int, total float64) []float64 {
	w := make([]float64, n)
	for i := range w {
		w[i] = total / float64(n)
	}
	return w
}

// A zFamily is Fisher's z of several tests with one outcome, and their
// covariances.
type zFamily struct {
	z          []float64
	covariance [][]float64
}

func newZFamily(in Input, r Result, tests []int, within bool) zFamily {
	k := len(tests)
	f := zFamily{z: make([]float64, k), covariance: make([][]float64, k)}
	spare := make([]float64, k) // athletes less 3, and less the levels but one
	for i, t := range tests {
		c := r.Associations[t].Pearson
		if within {
			c = r.Associations[t].Within.Correlation
		}
		f.z[i] = sign(r.Associations[t].Flipped) * math.Atanh(c.Value)
		spare[i] = c.DF - 1
		f.covariance[i] = make([]float64, k)
		f.covariance[i][i] = 1 / spare[i]
		for j := range i {
			v := in.covarianceOfZ(in.Tests[t], in.Tests[tests[j]], within) / (spare[i] * spare[j])
			f.covariance[i][j], f.covariance[j][i] = v, v
		}
	}
	return f
}

// covarianceOfZ is c m of two tests (see [PlaneContrast]), 0 where too few
// athletes have both.
func (in Input) covarianceOfZ(a, b Variable, within bool) float64 {
	columns, group := in.three(a, b, within)
	d, n, err := comparable3(columns, group)
	if err != nil {
		return 0
	}
	signA, signB := sign(flipped(in.Outcome, a)), sign(flipped(in.Outcome, b))
	c := correlationOfCorrelations(signA*cosine(d[0], d[1]), signB*cosine(d[0], d[2]), signA*signB*cosine(d[1], d[2]))
	if math.IsNaN(c) || math.IsInf(c, 0) { // those who have both lie on a line
		return 0
	}
	return min(1, max(-1, c)) * float64(n-3)
}

// combine is Σ w z with its interval.
func (f zFamily) combine(w []float64, level float64) estimate.Estimate {
	var value, variance float64
	for i, z := range f.z {
		value += float64(w[i] * z)
		for j := range f.z {
			variance += float64(w[i] * w[j] * f.covariance[i][j])
		}
	}
	if !(variance > 0) {
		return estimate.Bare(value, estimate.Collinear)
	}
	se := math.Sqrt(variance)
	return estimate.Around(value, dist.NormalQuantile((1+level)/2)*se, se, 0, level, estimate.OlkinSiotani)
}

// counts reports whether a test is part of the contrast, with a caveat if not.
func (c *PlaneContrast) counts(a Association) bool {
	k := a.Pearson
	if c.Within {
		k = a.Within.Correlation
	}
	var why estimate.Kind
	switch {
	case math.IsNaN(k.Value):
		why = k.Kind
	case math.Abs(k.Value) == 1:
		why = estimate.OnALine
	case k.N < contrastN || k.DF < 2:
		why = estimate.TooFew
	default:
		return true
	}
	c.Caveats = append(c.Caveats, caveat.New(OutOfPlanes, float64(k.N), contrastN).About(a.Measure).With(string(why)))
	return false
}

// unitsOf are the athletes with the outcome, any of the tests and, within, a
// level.
func (in Input) unitsOf(tests []int, within bool) []int {
	var units []int
	for i, y := range in.Outcome.Value {
		if math.IsNaN(y) || within && in.Group[i] == "" {
			continue
		}
		for _, t := range tests {
			if !math.IsNaN(in.Tests[t].Value[i]) {
				units = append(units, i)
				break
			}
		}
	}
	return units
}
