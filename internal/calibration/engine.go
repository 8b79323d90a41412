package calibration

import (
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"runtime"
	"sync"
	"sync/atomic"
)

// block is how many studies are drawn at a time by one goroutine. Sums are
// made inside blocks and then over blocks in order, so that they do not depend
// on which goroutine came first.
const block = 100

// A job is some of the studies of an experiment.
type job struct {
	of       *Experiment
	from, to int
	all      []Tally // a row each
	first    []Tally // those among the first FirstStudies
	err      error
}

// Run makes the table of the experiments. Study s of an experiment draws from a
// PCG generator of its own, seeded with (seed and name, s): the same seed gives
// the same bits on any number of cores, and a longer run begins with a shorter
// one. It fails when an analysis refuses a study, which none should. The
// experiments are not modified.
func Run(experiments []Experiment, seed uint64) (Table, error) {
	var jobs []*job
	for i := range experiments {
		for from := 0; from < experiments[i].Studies; from += block {
			jobs = append(jobs, &job{of: &experiments[i], from: from, to: min(from+block, experiments[i].Studies)})
		}
	}
	var done atomic.Int64
	var group sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(jobs)) {
		group.Go(func() {
			for i := int(done.Add(1)) - 1; i < len(jobs); i = int(done.Add(1)) - 1 {
				jobs[i].run(seed)
			}
		})
	}
	group.Wait()
	return collect(experiments, jobs, seed)
}

func (j *job) run(seed uint64) {
	e := j.of
	j.all, j.first = make([]Tally, len(e.Rows)), make([]Tally, len(e.Rows))
	start := scatter(seed ^ hash(e.Name))
	for s := j.from; s < j.to; s++ {
		m := Marks{rows: e.Rows, out: make([]Tally, 0, len(e.Rows))}
		err := e.Study(rand.New(rand.NewPCG(start, scatter(uint64(s)))), &m)
		if err == nil {
			err = m.complete()
		}
		if err != nil {
			j.err = fmt.Errorf("%s, study %d: %w", e.Name, s+1, err)
			return
		}
		for i, v := range m.out {
			j.all[i].join(v)
			if s < FirstStudies {
				j.first[i].join(v)
			}
		}
	}
}

// collect adds the jobs up, in order.
func collect(experiments []Experiment, jobs []*job, seed uint64) (Table, error) {
	t := Table{Seed: seed}
	at := 0
	for i := range experiments {
		e := &experiments[i]
		rows := append([]Row(nil), e.Rows...)
		for ; at < len(jobs) && jobs[at].of == e; at++ {
			if err := jobs[at].err; err != nil {
				return Table{}, err
			}
			for r := range rows {
				rows[r].Tally.join(jobs[at].all[r])
				rows[r].First.join(jobs[at].first[r])
			}
		}
		t.Rows = append(t.Rows, rows...)
	}
	return t, nil
}

// longer is how many times as many studies a second look draws.
const longer = 5

// SecondLook draws the rows that promise exactness and lie outside three
// standard errors again, with other random numbers and five times as many
// studies, and adds them to the table: among hundreds of rows some must lie
// outside by chance, and chance does not repeat itself. t is the table of the
// same experiments.
func SecondLook(experiments []Experiment, t Table) (Table, error) {
	at := 0
	for _, e := range experiments {
		var outside []int
		for i := range e.Rows {
			if r := t.Rows[at]; r.Promise == Exact && !r.Within(limit) {
				outside = append(outside, i)
			}
			at++
		}
		if len(outside) == 0 {
			continue
		}
		e.Name += " again"
		e.Studies *= longer
		again, err := Run([]Experiment{e}, t.Seed)
		if err != nil {
			return Table{}, err
		}
		for _, i := range outside {
			t.Again = append(t.Again, again.Rows[i])
		}
	}
	return t, nil
}

func hash(s string) uint64 {
	h := fnv.New64a()
	h.Write([]byte(s)) // never fails
	return h.Sum64()
}

// scatter maps neighbouring seeds far apart, one to one: the finaliser of
// Steele GL, Lea D, Flood CH (2014). Fast splittable pseudorandom number
// generators. OOPSLA 2014:453-472.
func scatter(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}
