package bootstrap

import (
	"math/rand/v2"

	"noisefloor/analysis/moment"
)

// A Weighted computes several statistics of one or more independent samples
// into out. weight[s][i] says how often unit i of sample s counts: in a
// resample how often it was drawn, in a jackknife 0 for the one left out and 1
// for all others. A statistic that does not exist is NaN. It runs on several
// goroutines at once, must write to nothing but out, and must not keep or
// change weight.
type Weighted func(weight [][]float64, out []float64)

// Joint returns the bootstrap distributions of several statistics computed from
// the same resamples, so that each resample is drawn once for all of them: one
// list of replicates for each statistic, in the order of the replicates.
// Sample s has sizes[s] units, and every sample is drawn from itself alone,
// as many as it has: two studies are resampled as two studies.
//
// With one sample the draws are those of [Distribution] with the same seed. The
// same bits come out on any number of cores. The lists are nil if there is no
// sample or a sample has no unit.
//
// Source: Efron B (1979), as [Distribution]; for several samples Davison AC,
// Hinkley DV (1997). Bootstrap Methods and their Application, section 3.2.
func Joint(sizes []int, statistics int, stat Weighted, o Options) [][]float64 {
	values := make([][]float64, statistics)
	if !anyUnits(sizes) {
		return values
	}
	replicates := o.WithDefaults().Replicates
	for k := range values {
		values[k] = make([]float64, replicates)
	}
	share(replicates, func(next func() (from, to int)) {
		d, source := newDesk(sizes, statistics), rand.PCG{}
		for from, to := next(); from < to; from, to = next() {
			for b := from; b < to; b++ {
				source.Seed(scatter(o.Seed), scatter(uint64(b)))
				d.draw(&source)
				stat(d.weight, d.out)
				d.deliver(values, b)
			}
		}
	})
	return values
}

// JointJackknife leaves out each unit of each sample in turn and returns, for
// each statistic, one list over all units, sample after sample, ready for
// [BCa]: with θ(si) the statistic without unit i of sample s,
//
//	(θ(si) - mean of θ(s·)) (n_s - 1)/n_s
//
// From these [BCa] computes the acceleration of several samples,
//
//	a = Σs Σi l³/n_s³ / (6 (Σs Σi l²/n_s²)^1.5),   l = (n_s - 1)(mean - θ(si))
//
// which for one sample is that of the plain jackknife values. From a sample of
// more than 2000 units it leaves out 1000 groups in turn, put together by
// chance (the same in every run): the acceleration then has an error of about
// √15/(6·1000) = 0.0006, which moves no limit by a hundredth of a standard
// error. The lists are nil if there is no sample or a sample has fewer than two
// units.
//
// Source: Davison & Hinkley (1997), section 5.3 (from memory): the skewness of
// a sum of independent parts, over 6.
func JointJackknife(sizes []int, statistics int, stat Weighted) [][]float64 {
	values := make([][]float64, statistics)
	var parts []int // to leave out of each sample
	var orders [][]int
	total := 0
	for _, n := range sizes {
		if n < 2 {
			return values
		}
		orders = append(orders, shuffled(n))
		if n > mostLeftOut {
			n = groupsLeftOut
		}
		parts = append(parts, n)
		total += n
	}
	if total == 0 {
		return values
	}
	for k := range values {
		values[k] = make([]float64, total)
	}
	share(total, func(next func() (from, to int)) {
		d := newDesk(sizes, statistics)
		for from, to := next(); from < to; from, to = next() {
			for u := from; u < to; u++ {
				d.leave(u, parts, orders, 0)
				stat(d.weight, d.out)
				d.leave(u, parts, orders, 1)
				d.deliver(values, u)
			}
		}
	})
	for _, v := range values {
		from := 0
		for _, n := range parts {
			scaleToMean(v[from : from+n])
			from += n
		}
	}
	return values
}

// Above mostLeftOut units, groupsLeftOut groups are left out instead.
const mostLeftOut, groupsLeftOut = 2000, 1000

// shuffled returns 0 to n-1 in an order that goes with nothing in the data, by
// the method of Fisher and Yates; nil for few units, which need no groups.
func shuffled(n int) []int {
	if n <= mostLeftOut {
		return nil
	}
	order, source := make([]int, n), rand.NewPCG(scatter(0), scatter(uint64(n)))
	for i := range order {
		order[i] = i
	}
	for i := n - 1; i > 0; i-- {
		j := int(source.Uint64() % uint64(i+1)) // uneven by n/2^64
		order[i], order[j] = order[j], order[i]
	}
	return order
}

// scaleToMean replaces each value by its distance from their mean, times (n-1)/n.
func scaleToMean(v []float64) {
	mean, n := moment.Mean(v), float64(len(v))
	for i := range v {
		v[i] = (v[i] - mean) * ((n - 1) / n)
	}
}

func anyUnits(sizes []int) bool {
	for _, n := range sizes {
		if n <= 0 {
			return false
		}
	}
	return len(sizes) > 0
}

// A desk is what one goroutine works on: weights that begin as 1.
type desk struct {
	weight [][]float64
	index  [][]int
	out    []float64
}

func newDesk(sizes []int, statistics int) desk {
	d := desk{make([][]float64, len(sizes)), make([][]int, len(sizes)), make([]float64, statistics)}
	for s, n := range sizes {
		d.weight[s], d.index[s] = make([]float64, n), make([]int, n)
		for i := range n {
			d.weight[s][i] = 1
		}
	}
	return d
}

// draw resamples every sample.
func (d desk) draw(source *rand.PCG) {
	for s, index := range d.index {
		clear(d.weight[s])
		draw(index, source)
		for _, i := range index {
			d.weight[s][i]++
		}
	}
}

// leave gives the units of part u, counted through all samples, a weight.
func (d desk) leave(u int, parts []int, orders [][]int, weight float64) {
	s := 0
	for u >= parts[s] {
		u -= parts[s]
		s++
	}
	for i := u; i < len(d.weight[s]); i += parts[s] {
		at := i
		if orders[s] != nil {
			at = orders[s][i]
		}
		d.weight[s][at] = weight
	}
}

func (d desk) deliver(values [][]float64, b int) {
	for k, v := range d.out {
		values[k][b] = v
	}
}
