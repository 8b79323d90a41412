package varcomp

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"noisefloor/analysis/bootstrap"
	"noisefloor/analysis/estimate"
)

// A Draw holds the components refitted to one simulated study; NaN where a
// component is not in the fit, or the refit failed.
type Draw struct{ Athlete, AthleteSession, Trial float64 }

// Simulate refits the model to studies drawn from the fit: the same athletes,
// sessions and trials, normal effects with the estimated variances (parametric
// bootstrap). Draw b depends on (seed, b) alone, so the result is the same on
// any number of cores, and a longer run begins with a shorter one. The means
// play no part, because the components do not change with them.
//
// What is drawn is not the attempts but what the likelihood needs of them: the
// average of each pattern's cell means, their squares and products (Wishart,
// by Bartlett's decomposition), and the sum of squares within cells.
//
// Refits start from moment estimates only, without the search for a second
// minimum that a small study gets in [Fit].
//
// The result is nil if the fit has no residual: there is nothing to draw.
//
// Sources: Efron B, Tibshirani RJ (1993). An Introduction to the Bootstrap,
// chapter 6.5. Bartlett MS (1933). On the theory of statistical regression.
// Proceedings of the Royal Society of Edinburgh 53:260-283.
func (r Result) Simulate(replicates int, seed uint64) []Draw {
	if r.fit == nil || r.fit.noResidual || replicates <= 0 {
		return nil
	}
	draws := make([]Draw, replicates)
	var done atomic.Int64
	var group sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), replicates) {
		group.Go(func() {
			s := r.fit.simulator()
			for b := int(done.Add(1)) - 1; b < replicates; b = int(done.Add(1)) - 1 {
				draws[b] = s.draw(seed, uint64(b))
			}
		})
	}
	group.Wait()
	return draws
}

// A simulator draws and refits studies on one goroutine.
type simulator struct {
	fit   *fitted
	like  *likelihood // of a design of its own
	roots []square    // Cholesky factor of U, for patterns drawn by Bartlett's decomposition
}

func (f *fitted) simulator() *simulator {
	d := *f.like.design
	d.patterns = slices.Clone(d.patterns)
	s := &simulator{fit: f, like: newLikelihood(&d, f.like.restricted), roots: make([]square, len(d.patterns))}
	for i := range d.patterns {
		g := &d.patterns[i]
		k, rows := len(g.mean), int(g.size)-1
		g.mean = make([]float64, k)
		if k <= maxCompress && rows >= k {
			s.roots[i] = f.root(g)
			rows = k
		}
		g.deviations = make([]float64, k*rows)
	}
	return s
}

// root returns the Cholesky factor of the covariance matrix of the cell means of g.
func (f *fitted) root(g *pattern) square {
	u := newSquare(len(g.mean))
	for i := range g.mean {
		for j := range g.mean {
			u.row(i)[j] = f.best.v[athlete]
		}
		u.row(i)[i] += f.best.v[session] + float64(f.best.v[trial]*g.share[i])
	}
	u.cholesky()
	return u
}

func (s *simulator) draw(seed, replicate uint64) Draw {
	var key [32]byte
	binary.LittleEndian.PutUint64(key[:], seed)
	binary.LittleEndian.PutUint64(key[8:], replicate)
	rng := rand.New(rand.NewChaCha8(key))
	for i := range s.like.patterns {
		s.pattern(i, rng)
	}
	if s.like.dfWithin > 0 {
		s.like.within = s.fit.best.v[trial] * chiSquare(rng, s.like.dfWithin)
	}
	p, _, err := s.like.minimise(s.like.start(s.like.additiveFit(), s.fit.free), s.fit.free)
	out := [3]float64{math.NaN(), math.NaN(), math.NaN()}
	for c := range out {
		if err == nil && (s.fit.free[c] || c != session) {
			out[c] = p.v[c] * s.like.scale * s.like.scale
		}
	}
	return Draw{Athlete: out[athlete], AthleteSession: out[session], Trial: out[trial]}
}

// pattern draws the average and the deviations of pattern i.
func (s *simulator) pattern(i int, rng *rand.Rand) {
	g := &s.like.patterns[i]
	s.row(g, g.mean, 1/math.Sqrt(g.size), rng)
	k := len(g.mean)
	if s.roots[i].n == 0 {
		for rest := g.deviations; len(rest) > 0; rest = rest[k:] {
			s.row(g, rest[:k], 1, rng)
		}
		return
	}
	s.bartlett(g, s.roots[i], rng)
}

// row draws the cell means of one athlete, times factor.
func (s *simulator) row(g *pattern, to []float64, factor float64, rng *rand.Rand) {
	v := s.fit.best.v
	level := math.Sqrt(v[athlete]) * rng.NormFloat64()
	for j := range to {
		sd := math.Sqrt(v[session] + float64(v[trial]*g.share[j]))
		to[j] = factor * (level + float64(sd*rng.NormFloat64()))
	}
}

// bartlett draws k rows whose squares and products are Wishart with size-1 df:
// the columns of L T, T lower triangular with chi on its diagonal.
func (s *simulator) bartlett(g *pattern, root square, rng *rand.Rand) {
	k := root.n
	t := newSquare(k)
	for i := range k {
		t.row(i)[i] = math.Sqrt(chiSquare(rng, g.size-1-float64(i)))
		for j := range i {
			t.row(i)[j] = rng.NormFloat64()
		}
	}
	for c := range k {
		for i := range k {
			sum := 0.0
			for l := c; l <= i; l++ {
				sum += float64(root.at(i, l) * t.at(l, c))
			}
			g.deviations[c*k+i] = sum
		}
	}
}

// chiSquare draws from chi-square with a whole number of df. Source: Marsaglia
// G, Tsang WW (2000). A simple method for generating gamma variables. ACM
// Transactions on Mathematical Software 26:363-372.
func chiSquare(rng *rand.Rand, df float64) float64 {
	if df == 1 {
		z := rng.NormFloat64()
		return z * z
	}
	d := df/2 - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		z := rng.NormFloat64()
		v := 1 + float64(c*z)
		if v <= 0 {
			continue
		}
		v *= v * v
		if math.Log(1-rng.Float64()) < float64(z*z)/2+float64(d*(1-v+math.Log(v))) {
			return 2 * d * v
		}
	}
}

// bootstrapLimits fills the intervals of the components that are in the fit.
func (f *fitted) bootstrapLimits(r *Result) {
	draws := r.Simulate(f.o.Replicates, f.o.Seed)
	values := [3][]float64{}
	for _, d := range draws {
		for c, v := range [3]float64{trial: d.Trial, session: d.AthleteSession, athlete: d.Athlete} {
			values[c] = append(values[c], math.Sqrt(v))
		}
	}
	for c, to := range r.components() {
		if !f.free[c] {
			continue
		}
		e := bootstrap.Percentile(to.SD.Value, values[c], f.o.Level)
		if !e.HasInterval() {
			to.without(e.Kind)
			continue
		}
		to.SD = e
		to.SD.Kind = estimate.ParametricQuantile
		to.Estimate = estimate.Estimate{Value: to.Value, Lower: e.Lower * e.Lower, Upper: e.Upper * e.Upper,
			Level: f.o.Level, Kind: estimate.ParametricQuantile}
	}
}
