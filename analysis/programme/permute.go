package programme

import (
	"math"
	"math/rand/v2"
	"slices"
	"sync"

	"noisefloor/analysis/moment"
)

// A design is the athletes of both arms with both scores.
type design struct {
	before, after []float64
	trained       []bool
	level         []string
}

func (in Input) design() (d design) {
	for i := range in.Before {
		if math.IsNaN(in.Before[i]) || math.IsNaN(in.After[i]) {
			continue
		}
		d.before, d.after = append(d.before, in.Before[i]), append(d.after, in.After[i])
		d.trained = append(d.trained, in.Trained[i])
		level := ""
		if in.Level != nil {
			level = in.Level[i]
		}
		d.level = append(d.level, level)
	}
	return d
}

// columns are those of the model: 1, arm, the score before (when adjusted), levels.
func (d design) columns(adjusted bool) [][]float64 {
	n := len(d.before)
	ones, arm := make([]float64, n), make([]float64, n)
	for i := range ones {
		ones[i] = 1
		if d.trained[i] {
			arm[i] = 1
		}
	}
	out := [][]float64{ones, arm}
	if adjusted {
		mean, x := moment.Mean(d.before), make([]float64, n)
		for i, v := range d.before {
			x[i] = v - mean
		}
		out = append(out, x)
	}
	levels := slices.Compact(slices.Sorted(slices.Values(d.level)))
	for _, l := range levels[1:] {
		x := make([]float64, n)
		for i := range x {
			if d.level[i] == l {
				x[i] = 1
			}
		}
		out = append(out, x)
	}
	return out
}

func (d design) changes() []float64 {
	out := make([]float64, len(d.after))
	for i := range out {
		out[i] = d.after[i] - d.before[i]
	}
	return out
}

func (d design) of(x []float64, trained bool) []float64 {
	var out []float64
	for i, v := range x {
		if d.trained[i] == trained {
			out = append(out, v)
		}
	}
	return out
}

// pooledSD is the SD before within arms.
func (d design) pooledSD() float64 {
	a, b := d.of(d.before, true), d.of(d.before, false)
	n, m := float64(len(a)-1), float64(len(b)-1)
	return math.Sqrt((n*moment.Variance(a) + m*moment.Variance(b)) / (n + m))
}

// mostAll is the largest number of arrangements that are all looked at.
const mostAll = 20000

// permute is the p of the robust t of the adjusted difference over permuted labels, within
// levels: all arrangements when there are at most mostAll, else (count+1)/(B+1) of B drawn.
func (d design) permute(o Options) (p float64, n int, all bool) {
	observed := d.statistic(d.trained)
	if math.IsNaN(observed) {
		return math.NaN(), 0, false
	}
	if arrangements := d.arrangements(); arrangements <= mostAll {
		count, total := 0, 0
		d.each(func(labels []bool) {
			total++
			if math.Abs(d.statistic(labels)) >= math.Abs(observed)*(1-1e-9) {
				count++
			}
		})
		return float64(count) / float64(total), total, true
	}
	hits := make([]bool, o.Replicates)
	var wait sync.WaitGroup
	const workers = 4
	for w := range workers {
		wait.Go(func() {
			for k := w; k < o.Replicates; k += workers {
				labels := d.shuffled(rand.New(rand.NewPCG(o.Seed, uint64(k))))
				hits[k] = math.Abs(d.statistic(labels)) >= math.Abs(observed)*(1-1e-9)
			}
		})
	}
	wait.Wait()
	count := 1
	for _, h := range hits {
		if h {
			count++
		}
	}
	return float64(count) / float64(o.Replicates+1), o.Replicates, false
}

// statistic is the HC2 t of the adjusted difference under other labels.
func (d design) statistic(labels []bool) float64 {
	d.trained = labels
	m, ok := fit(d.columns(true), 1)
	if !ok {
		return math.NaN()
	}
	b, se, _ := m.robust(d.after)
	return b / se
}

// blocks are the athletes of each level.
func (d design) blocks() [][]int {
	var out [][]int
	for _, l := range slices.Compact(slices.Sorted(slices.Values(d.level))) {
		var rows []int
		for i := range d.level {
			if d.level[i] == l {
				rows = append(rows, i)
			}
		}
		out = append(out, rows)
	}
	return out
}

// arrangements counts the ways to give out the labels within levels; more than mostAll is
// +Inf.
func (d design) arrangements() float64 {
	total := 1.0
	for _, rows := range d.blocks() {
		k, n := 0.0, float64(len(rows))
		for _, i := range rows {
			if d.trained[i] {
				k++
			}
		}
		for j := 1.0; j <= k; j++ {
			total *= (n - k + j) / j
		}
	}
	return math.Round(total)
}

func (d design) shuffled(rng *rand.Rand) []bool {
	labels := slices.Clone(d.trained)
	for _, rows := range d.blocks() {
		rng.Shuffle(len(rows), func(a, b int) { labels[rows[a]], labels[rows[b]] = labels[rows[b]], labels[rows[a]] })
	}
	return labels
}

// each walks all arrangements.
func (d design) each(visit func([]bool)) {
	blocks := d.blocks()
	labels := make([]bool, len(d.trained))
	var block func(b int)
	block = func(b int) {
		if b == len(blocks) {
			visit(labels)
			return
		}
		k := 0
		for _, i := range blocks[b] {
			if d.trained[i] {
				k++
			}
		}
		choose(labels, blocks[b], k, func() { block(b + 1) })
	}
	block(0)
}

// choose gives k of the rows the label, in every way.
func choose(labels []bool, rows []int, k int, then func()) {
	switch {
	case k == 0:
		for _, i := range rows {
			labels[i] = false
		}
		then()
	case len(rows) >= k:
		labels[rows[0]] = true
		choose(labels, rows[1:], k-1, then)
		labels[rows[0]] = false
		choose(labels, rows[1:], k, then)
	}
}
