// Package bootstrap resamples whole units (athletes, never rows) and makes
// intervals from the resamples.
//
// The same seed gives the same bits on any machine and any number of cores:
// every replicate draws from a generator of its own.
package bootstrap

import (
	"math/bits"
	"math/rand/v2"
	"runtime"
	"sync"
	"sync/atomic"
)

// DefaultReplicates is the number of resamples where none is asked for. BCa
// limits want 2000 or more.
const DefaultReplicates = 10000

// DefaultLevel is the confidence level where none is asked for.
const DefaultLevel = 0.95

// Options say how to resample. The zero value is usable.
type Options struct {
	Replicates int     // resamples; 0 (or less) means 10000
	Seed       uint64  // start of all random numbers
	Level      float64 // confidence level in (0, 1); 0 means 0.95
}

// WithDefaults returns o with its zero fields filled in.
func (o Options) WithDefaults() Options {
	if o.Replicates <= 0 {
		o.Replicates = DefaultReplicates
	}
	if o.Level == 0 {
		o.Level = DefaultLevel
	}
	return o
}

// Distribution returns the bootstrap distribution of a statistic of n units:
// for each replicate, stat of n indices drawn from 0 to n-1 with replacement,
// in the order of the replicates.
//
// Replicate b draws from a PCG generator seeded with (o.Seed, b) and nothing
// else, so the result does not depend on the number of cores, and the first
// replicates of a longer run are those of a shorter one. o.Level is not used.
//
// stat runs on several goroutines at once. It must not write to anything
// shared and must not keep index, which is reused; it may reorder it. A resample
// for which the statistic does not exist should give NaN. A panic in stat
// reaches the caller of Distribution.
//
// The result is nil if n is not positive.
//
// Source: Efron B (1979). Bootstrap methods: another look at the jackknife.
// Annals of Statistics 7:1-26.
func Distribution(n int, stat func(index []int) float64, o Options) []float64 {
	if n <= 0 {
		return nil
	}
	values := make([]float64, o.WithDefaults().Replicates)
	share(len(values), func(next func() (from, to int)) {
		index, source := make([]int, n), rand.PCG{}
		for from, to := next(); from < to; from, to = next() {
			for b := from; b < to; b++ {
				source.Seed(scatter(o.Seed), scatter(uint64(b)))
				draw(index, &source)
				values[b] = stat(index)
			}
		}
	})
	return values
}

// Jackknife returns the statistic of n units with each left out in turn: value
// i is stat of the n-1 indices other than i, in rising order. stat runs on one
// goroutine and must not keep index. The result is nil if n is below 2.
//
// Source: Efron B (1979), as [Distribution].
func Jackknife(n int, stat func(index []int) float64) []float64 {
	if n < 2 {
		return nil
	}
	values, index := make([]float64, n), make([]int, n-1)
	for out := range values {
		for i := range index {
			index[i] = i
			if i >= out {
				index[i]++
			}
		}
		values[out] = stat(index)
	}
	return values
}

// chunk is how many replicates a goroutine takes at a time.
const chunk = 16

// share runs work on all cores. Each call of next hands out the next part of
// 0 to total-1, and an empty one when none is left. A panic in work is raised
// again here, on the caller's goroutine.
func share(total int, work func(next func() (from, to int))) {
	var done atomic.Int64
	next := func() (from, to int) {
		to = int(done.Add(chunk))
		return min(to-chunk, total), min(to, total)
	}
	var group sync.WaitGroup
	var trouble atomic.Pointer[any]
	for range min(runtime.GOMAXPROCS(0), (total+chunk-1)/chunk) {
		group.Go(func() {
			defer func() {
				if p := recover(); p != nil {
					trouble.CompareAndSwap(nil, &p)
				}
			}()
			work(next)
		})
	}
	group.Wait()
	if p := trouble.Load(); p != nil {
		panic(*p)
	}
}

// draw fills index with numbers from 0 to len(index)-1, all equally likely, by
// the multiplication method of Lemire D (2019). Fast random integer generation
// in an interval. ACM Transactions on Modeling and Computer Simulation 29(1):3.
// It is written out here, and not left to the library's IntN, so that the
// numbers stay the same from one Go release to the next.
func draw(index []int, source *rand.PCG) {
	n := uint64(len(index))
	uneven := -n % n // 2^64 mod n
	for i := range index {
		high, low := bits.Mul64(source.Uint64(), n)
		for low < uneven {
			high, low = bits.Mul64(source.Uint64(), n)
		}
		index[i] = int(high)
	}
}

// scatter maps neighbouring seeds far apart, one to one, so that replicates 1
// and 2 do not start from states that differ in one bit. It is the finaliser
// of Steele GL, Lea D, Flood CH (2014). Fast splittable pseudorandom number
// generators. OOPSLA 2014:453-472.
func scatter(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}
