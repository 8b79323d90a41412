package season

import (
	"math"
	"math/rand/v2"
	"slices"

	"noisefloor/analysis/dist"
)

// The seasons that are simulated. The seed is fixed, so the same plan has the same
// limit.
const (
	seed       = 1955
	ofPower    = 1 << 12
	tailShare  = 8 // the outer eighth of the seasons is kept finely
	tailBlock  = 16
	innerBlock = 256
)

// A Null is how far out the farthest look of a season lies when nothing changes.
//
// With y_j independent errors of variance TE², the baseline's of variance TE²/b, and
// TE² known on df degrees of freedom from elsewhere, the farthest look is
//
//	T = M/s    M = max over j ≤ J and w of |mean of the last w - baseline| / (TE √(1/w + 1/b))
//
// s² ~ χ²_df/df, independent of M. The J+1 errors behind M, each over its SD, are a
// direction and a length, independent of one another, and M = length × m: the length² is
// χ² on J+1 df. Directions are simulated, once for a plan; given m, T²/m² over J+1 is
// F(J+1, df), so that p values do not end where the simulation does:
//
//	P(T > x) = mean over the simulated m of P(F(J+1, df) > x²/((J+1) m²))
//
// For looks at single sessions (Widest 1) T is the two-sided statistic of Dunnett
// (1955), equal correlations ρ = 1/(1+b).
//
// Source: Dunnett CW (1955). Journal of the American Statistical Association
// 50:1096-1121; the mean over m is conditional Monte Carlo, no single source.
type Null struct {
	plan  Plan
	m     []float64 // means of neighbouring simulated m, ascending
	share []float64 // of all, of each
}

// Null simulates the seasons of a plan.
func (p Plan) Null() (*Null, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	m := p.directions(p.seasons())
	slices.Sort(m)
	n := &Null{plan: p}
	for at := 0; at < len(m); {
		block := innerBlock
		if at >= len(m)-len(m)/tailShare {
			block = tailBlock
		}
		n.m = append(n.m, mean(m[at:at+block]))
		n.share = append(n.share, float64(block)/float64(len(m)))
		at += block
	}
	return n, nil
}

// seasons is how many are simulated: of long seasons, with their many looks, fewer. See
// TestNullAgainstQuadrature for the error this leaves.
func (p Plan) seasons() int {
	if p.Planned > 20 {
		return 1 << 13
	}
	return 1 << 15
}

func mean(x []float64) (sum float64) {
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// A drawer draws seasons.
type drawer struct {
	rng           *rand.Rand
	spread        float64   // SD of the baseline, in errors of a session
	weights, sums []float64 // of w sessions; of the first j
}

func (p Plan) drawer() *drawer {
	d := &drawer{rng: rand.New(rand.NewPCG(seed, uint64(p.Baseline*(Longest+1)+p.Planned))),
		spread: math.Sqrt(1 / float64(p.Baseline)), weights: make([]float64, p.widest()+1),
		sums: make([]float64, p.Planned+1)}
	for w := range d.weights[1:] {
		d.weights[w+1] = 1 / float64(w+1) / p.Limit(1, 1, w+1)
	}
	return d
}

// draw draws one season, in which the true score of session j lies change[j] errors
// above the baseline; square is the sum of the squared deviates.
func (d *drawer) draw(change []float64) (farthest, square float64) {
	z := d.rng.NormFloat64()
	base := float64(d.spread * z)
	square = float64(z * z)
	for j := range len(d.sums) - 1 {
		y := d.rng.NormFloat64()
		square += float64(y * y)
		if change != nil {
			y += change[j]
		}
		d.sums[j+1] = d.sums[j] + (y - base)
	}
	return farthestOf(d.sums, d.weights), square
}

// directions draws m of so many seasons.
func (p Plan) directions(times int) []float64 {
	d, out := p.drawer(), make([]float64, times)
	for i := range out {
		far, square := d.draw(nil)
		out[i] = far / math.Sqrt(square)
	}
	return out
}

func farthestOf(sums, weights []float64) (far float64) {
	for j := 1; j < len(sums); j++ {
		for w := 1; w <= min(j, len(weights)-1); w++ {
			far = max(far, math.Abs(sums[j]-sums[j-w])*weights[w])
		}
	}
	return far
}

// P is how often the farthest look of a season lies at x or farther out when nothing
// changes, with df degrees of freedom behind the typical error.
func (n *Null) P(x, df float64) float64 {
	x = math.Abs(x)
	switch {
	case math.IsInf(x, 1):
		return 0
	case x == 0:
		return 1
	}
	p, errors := 0.0, float64(n.plan.Planned+1)
	for i, m := range n.m {
		r := x / m
		p += float64(n.share[i] * dist.FSurvival(r*r/errors, errors, df))
	}
	return p
}

// Limit is the factor c of a watch with the rate alpha of false alarms over the season:
// P(T > c) = alpha.
func (n *Null) Limit(alpha, df float64) float64 {
	low, high := 0.0, dist.TQuantile(1-alpha/2/float64(n.looks()), df) // Bonferroni's
	for high-low > 1e-9*high {
		c := (low + high) / 2
		if n.P(c, df) > alpha {
			low = c
		} else {
			high = c
		}
	}
	return (low + high) / 2
}

// looks is how many looks a season has.
func (n *Null) looks() (all int) {
	for j := 1; j <= n.plan.Planned; j++ {
		all += min(j, n.plan.widest())
	}
	return all
}

// Power is how often a watch with the factor c sounds within the season, when the true
// score of session j lies change[j] typical errors above the baseline: the mean over
// simulated M of P(χ²_df < df M²/c²).
func (n *Null) Power(change []float64, c, df float64) (power float64) {
	d := n.plan.drawer()
	for range ofPower {
		m, _ := d.draw(change)
		r := m / c
		power += dist.ChiSquareCDF(float64(df*r)*r, df) / ofPower
	}
	return power
}

// Step is a change of so many typical errors that comes before a season of so many
// sessions and stays.
func Step(size float64, sessions int) []float64 {
	out := make([]float64, sessions)
	for i := range out {
		out[i] = size
	}
	return out
}
