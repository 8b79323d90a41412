package retest

import (
	"math"
	"slices"
)

// fewToBelieve is the number of changes in an arm from which on their spread says
// something about a single one.
const fewToBelieve = 6

// A belief is what the changes of all athletes, in one test from one baseline to one
// follow-up, say about the true change of each:
//
//	D_i ~ N(δ_i, σ² g_i²)    δ_i ~ N(m_a, σ² ρ²)
//
// with σ the error of a session score, g_i = SE_i/TE, m_a the mean true change of the
// athlete's arm (flat prior) and ρ = τ/σ the spread of true changes in errors
// (half-normal prior of scale 2, integrated from 0 to 6). The noise study says that
// σ² is df TE²/χ²(df); with it σ and m integrate in closed form. For a given ρ, with
// w_i = 1/(g_i² + ρ²), W = Σ w of the arm, m̂ = Σ w D / W, Q = Σ w (D - m̂)²,
// ν = df + n - arms and s² = (df TE² + Q)/ν,
//
//	δ_i ~ m̂ + B_i (D_i - m̂) + t(ν) s sqrt(g_i² B_i + (1-B_i)²/W)    B_i = ρ²/(g_i² + ρ²)
//	p(ρ | D) ∝ exp(-ρ²/8) Π w_i^½ Π W^-½ (df TE² + Q)^(-ν/2)
//
// The belief is the mixture over ρ.
type belief struct {
	t     *tails // of ν degrees of freedom
	nodes []node
}

// A node is one value of ρ.
type node struct {
	rho2   float64
	weight float64   // of the posterior; they add up to 1
	s      float64   // scale
	mean   []float64 // m̂ of each arm
	inv    []float64 // 1/W of each arm
}

// A spread is what is believed from.
type spread struct {
	d, g []float64 // change and SE/TE of each athlete
	arm  []int     // from 0
	arms int
	te   float64
	df   float64 // of te
}

// The grid of ρ: coarse over the prior's range, then fine where the posterior is.
const (
	widest = 6.0
	rough  = 121
	fine   = 41 // odd, for Simpson's rule
	deep   = 18 // of the logarithm below its largest value: 1.5e-8
)

// believe makes the belief, with the tails of t(ν); nil for changes whose squares are no
// finite numbers.
func believe(x spread, t *tails) *belief {
	from, to := x.reach()
	b := &belief{t: t}
	step := (to - from) / (fine - 1)
	log := make([]float64, fine)
	top := math.Inf(-1)
	for i := range fine {
		n, l := x.node(from + float64(float64(i)*step))
		b.nodes, log[i] = append(b.nodes, n), l
		top = max(top, l)
	}
	if math.IsInf(top, 0) || math.IsNaN(top) {
		return nil
	}
	for i := range b.nodes {
		b.nodes[i].weight = simpson(i, fine) * math.Exp(log[i]-top)
	}
	b.nodes = slices.DeleteFunc(b.nodes, func(n node) bool { return n.weight < negligible })
	sum := 0.0
	for _, n := range b.nodes {
		sum += n.weight
	}
	for i := range b.nodes {
		b.nodes[i].weight /= sum
	}
	return b
}

// negligible is the weight, of the heaviest a few, below which a node is left out.
const negligible = 1e-7

func simpson(i, n int) float64 {
	switch {
	case i == 0 || i == n-1:
		return 1
	case i%2 == 1:
		return 4
	}
	return 2
}

func (x spread) nu() float64 { return x.df + float64(len(x.d)-x.arms) }

// reach finds where the posterior of ρ is.
func (x spread) reach() (from, to float64) {
	log := make([]float64, rough)
	top := math.Inf(-1)
	step := widest / (rough - 1)
	for i := range log {
		_, log[i] = x.node(float64(i) * step)
		top = max(top, log[i])
	}
	first, last := 0, rough-1
	for log[first] < top-deep {
		first++
	}
	for log[last] < top-deep {
		last--
	}
	return float64(max(0, first-1)) * step, float64(min(rough-1, last+1)) * step
}

// node is that of one ρ, with the logarithm of its posterior density.
func (x spread) node(rho float64) (node, float64) {
	n := node{rho2: rho * rho, mean: make([]float64, x.arms), inv: make([]float64, x.arms)}
	log := -n.rho2 / 8
	for i, d := range x.d {
		w := 1 / (float64(x.g[i]*x.g[i]) + n.rho2)
		n.mean[x.arm[i]] += float64(w * d)
		n.inv[x.arm[i]] += w
		log += math.Log(w) / 2
	}
	for a, w := range n.inv {
		n.mean[a] /= w
		n.inv[a] = 1 / w
		log -= math.Log(w) / 2
	}
	q := 0.0
	for i, d := range x.d {
		e := d - n.mean[x.arm[i]]
		q += e * e / (float64(x.g[i]*x.g[i]) + n.rho2)
	}
	square := x.te * x.te
	if math.IsInf(x.df, 1) { // the error is known
		n.s = x.te
		return n, log - q/square/2
	}
	q += float64(x.df * square)
	n.s = math.Sqrt(q / x.nu())
	return n, log - float64(x.nu()/2*math.Log(q))
}
