package norms_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/norms"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
)

// cells are tests of groups of the sizes given, reliability 0.9; the last group has no
// name when blank.
func cells(seed uint64, te float64, blank bool, sizes ...int) norms.Test {
	r := rand.New(rand.NewPCG(seed, 11))
	t := norms.Test{Measure: "throw", Scale: score.Raw, Better: score.Higher, Noise: map[string]norms.Noise{
		"": {TypicalError: te, DF: 40}}}
	for g, n := range sizes {
		name := fmt.Sprintf("g%d", g)
		if blank && g == len(sizes)-1 {
			name = ""
		}
		t.Noise[name] = t.Noise[""]
		for range n {
			y := math.Round(10*(50+3*te*r.NormFloat64()+te*float64(g))) / 10
			t.Athletes, t.Scores = append(t.Athletes, fmt.Sprint(len(t.Athletes))), append(t.Scores, y)
			t.Groups = append(t.Groups, name)
		}
	}
	return t
}

func kept(t *testing.T, in norms.Test) []norms.Kept {
	t.Helper()
	r := analysed(t, in, norms.Options{Asked: []string{}})
	out, left := norms.Keep(r.References)
	if len(out)+len(left) != len(r.References) {
		t.Errorf("%d kept and %d left out of %d", len(out), len(left), len(r.References))
	}
	return out
}

func wholeOf(all []norms.Kept) *norms.Kept {
	if i := slices.IndexFunc(all, func(k norms.Kept) bool { return k.Whole() }); i >= 0 {
		return &all[i]
	}
	return nil
}

// By hand from methods 4: what may be kept of how many.
func TestHowMuchIsKept(t *testing.T) {
	for n, want := range map[int]int{9: -1, 10: 1, 14: 1, 20: 3, 24: 3, 40: 3, 60: 5, 100: 7, 300: 7} {
		k := wholeOf(kept(t, cells(uint64(n), 1, false, n)))
		if (k == nil) != (want < 0) || k != nil && len(k.Quantiles) != want {
			t.Errorf("%d athletes: %+v", n, k)
		}
	}
}

// Every number kept is a multiple of a step of half the typical error or more, 5 athletes
// lie on each side of a quantile, and there are at most a fifth as many as athletes.
func TestKeptNumbersAreCoarse(t *testing.T) {
	for seed := range uint64(60) {
		te := 0.07 * math.Exp(float64(seed)/7)
		n := 10 + int(seed)*3
		in := cells(seed, te, false, n)
		for _, k := range kept(t, in) {
			if k.Step < te/2 || k.Step > 1.5*te/2 || len(k.Quantiles) > n/5 {
				t.Errorf("step %g for a typical error of %g, %d quantiles of %d", k.Step, te, len(k.Quantiles), n)
			}
			values := []float64{k.Mean, k.SD}
			for _, q := range k.Quantiles {
				values = append(values, q.Value)
				below := 0
				for _, y := range in.Scores {
					if y < q.Value-k.Step/2-0.1 {
						below++
					}
				}
				if min(q.P, 1-q.P)*float64(n) < 5-1 || below == 0 {
					t.Errorf("quantile %g of %d", q.P, n)
				}
			}
			for _, v := range values {
				numtest.CloseAbs(t, "multiple", v/k.Step, math.Round(v/k.Step), 1e-6)
			}
			if k.Noise.TypicalError != 0 && math.Abs(k.Noise.TypicalError/te-1) > 0.051 {
				t.Errorf("typical error %g, was %g", k.Noise.TypicalError, te)
			}
		}
	}
}

// The whole less its parts: what is left over is nobody, or 10 athletes or more.
func TestWholeLessPartsTellsNobody(t *testing.T) {
	for i, c := range []struct {
		blank bool
		sizes []int
		whole bool
	}{
		{false, []int{30, 20}, true}, {false, []int{30, 20, 7}, false}, {false, []int{30, 7, 6}, true},
		{false, []int{30, 20, 4, 3}, false}, {true, []int{30, 20, 5}, false}, {true, []int{30, 20, 12}, true},
		{false, []int{4, 5}, false}, {false, []int{8, 8}, true}, {false, []int{25}, true},
	} {
		all := kept(t, cells(uint64(i), 1, c.blank, c.sizes...))
		whole := wholeOf(all)
		if (whole != nil) != c.whole {
			t.Errorf("%v: whole kept %t", c.sizes, whole != nil)
		}
		if whole == nil {
			continue
		}
		rest := whole.Athletes
		for _, k := range all {
			if !k.Whole() {
				rest -= k.Athletes
			}
		}
		if rest > 0 && rest < norms.MinCell {
			t.Errorf("%v: the whole less its parts is a cell of %d", c.sizes, rest)
		}
	}
}

// Nobody is told by a cell in which all are alike, nor without noise to round by.
func TestNotKept(t *testing.T) {
	alike := cells(1, 1, false, 20)
	fill(alike.Scores, 50)
	if all := kept(t, alike); len(all) > 0 {
		t.Errorf("%+v", all)
	}
	unknown := cells(1, 1, false, 20)
	unknown.Noise = nil
	if all := kept(t, unknown); len(all) > 0 {
		t.Errorf("%+v", all)
	}
}

// A rebuilder makes sets of scores that agree with everything that a file says of a
// group: the quantiles of type 8, mean and standard deviation to half a step.
type rebuilder struct {
	k    norms.Kept
	rng  *rand.Rand
	grid float64 // that the scores are known to be multiples of; 0 for any
}

// solutions are sorted sets of scores that agree with the file, from so many starts.
func (b rebuilder) solutions(starts int) (out [][]float64) {
	for range starts {
		x := b.solve()
		for i := range x {
			if b.grid > 0 {
				x[i] = b.grid * math.Round(x[i]/b.grid)
			}
		}
		if b.agrees(x) {
			out = append(out, x)
		}
	}
	return out
}

// aims are numbers that round to those of the file.
func (b rebuilder) aims() []float64 {
	within := func(v, step float64) float64 { return v + 0.9*step*(b.rng.Float64()-0.5) }
	aim := []float64{within(b.k.Mean, b.k.Step), within(b.k.SD, b.k.Step)}
	for _, q := range b.k.Quantiles {
		aim = append(aim, within(q.Value, b.k.UnitStep))
	}
	return aim
}

func (b rebuilder) project(x, aim []float64) {
	slices.Sort(x)
	mean, sd := moments(x)
	for i := range x {
		x[i] = aim[0] + (x[i]-mean)*(1+(aim[1]/sd-1)/2)
	}
	for i, q := range b.k.Quantiles { // a step of least squares for each
		j, g := b.at(q.P)
		off := (aim[2+i] - (1-g)*x[j] - g*x[j+1]) / ((1-g)*(1-g) + g*g)
		x[j], x[j+1] = x[j]+(1-g)*off, x[j+1]+g*off
	}
	slices.Sort(x)
}

// at is the place of a quantile of type 8, from 0, and the share of the next score.
func (b rebuilder) at(p float64) (int, float64) {
	n := float64(b.k.Athletes)
	at := p*(n+1.0/3) + 1.0/3 - 1
	j := min(max(math.Floor(at), 0), n-2)
	return int(j), min(max(at-j, 0), 1)
}

func (b rebuilder) agrees(x []float64) bool {
	mean, sd := moments(x)
	ok := math.Abs(mean-b.k.Mean) <= b.k.Step/2 && math.Abs(sd-b.k.SD) <= b.k.Step/2
	for _, q := range b.k.Quantiles {
		j, g := b.at(q.P)
		ok = ok && math.Abs((1-g)*x[j]+g*x[j+1]-q.Value) <= b.k.UnitStep/2*1.0001
	}
	return ok
}

func moments(x []float64) (mean, sd float64) {
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		sd += (v - mean) * (v - mean) / float64(len(x)-1)
	}
	return mean, math.Sqrt(sd)
}

// A rebuilt is how far the sets that agree with a file tell the scores.
type rebuilt struct {
	finer int     // scores that are the same in all sets to within half a step: finer than rounding
	tails float64 // the least that the sets differ in one of the four scores at either end
	hits  int     // scores that the mean of the sets hits to within a quarter of the typical error
}

func told(sets [][]float64, truth []float64, te float64) rebuilt {
	truth = slices.Sorted(slices.Values(truth))
	out := rebuilt{tails: math.Inf(1)}
	for i, y := range truth {
		low, high, sum := math.Inf(1), math.Inf(-1), 0.0
		for _, x := range sets {
			low, high, sum = min(low, x[i]), max(high, x[i]), sum+x[i]
		}
		if high-low < te/4 {
			out.finer++
		}
		if i < 4 || i >= len(truth)-4 {
			out.tails = min(out.tails, high-low)
		}
		if math.Abs(sum/float64(len(sets))-y) < te/4 {
			out.hits++
		}
	}
	return out
}

// guessed are the scores that a guess hits which knows the mean and standard deviation
// alone, and that the group is normal.
func guessed(k norms.Kept, truth []float64, te float64) (hits int) {
	n := float64(len(truth))
	for i, y := range slices.Sorted(slices.Values(truth)) {
		if math.Abs(k.Mean+k.SD*dist.NormalQuantile((float64(i)+2.0/3)/(n+1.0/3))-y) < te/4 {
			hits++
		}
	}
	return hits
}

// Who tries to rebuild the scores of a group from its norms file by least squares finds
// sets that agree with the file, and no score in them finer than it was rounded; the four
// best and the four worst differ by a typical error or more between the sets; and the best
// guess beats one from mean and standard deviation alone by little. A file that keeps
// every score as a quantile, unrounded, tells all of them: the attack has teeth.
func TestScoresCannotBeRebuilt(t *testing.T) {
	const te = 2
	all, hits, guesses := 0, 0, 0
	for _, n := range []int{10, 15, 20, 25, 40, 60} {
		for seed := range uint64(5) {
			in := cells(100*seed+uint64(n), te, false, n)
			b := rebuilder{*wholeOf(kept(t, in)), rand.New(rand.NewPCG(uint64(n), seed)), 0}
			sets := b.solutions(40)
			if len(sets) < 10 {
				t.Fatalf("%d athletes: only %d sets agree with the file", n, len(sets))
			}
			got := told(sets, in.Scores, te)
			if got.finer > 0 || got.tails < te {
				t.Errorf("%d athletes: %+v", n, got)
			}
			b.grid = 0.1 // that of the scores: the tails are no better told
			if fine := b.solutions(40); len(fine) < 10 || told(fine, in.Scores, te).tails < te {
				t.Errorf("%d athletes, %d sets on the grid: %+v", n, len(fine), told(fine, in.Scores, te))
			}
			b.grid = 0
			all, hits, guesses = all+n, hits+got.hits, guesses+guessed(b.k, in.Scores, te)
			if seed == 0 && n <= 25 {
				b.k = everything(in.Scores, b.k)
				if got := told([][]float64{b.solve(), b.solve()}, in.Scores, te); got.finer != n || got.hits != n {
					t.Errorf("a file that tells all %d scores was not read: %+v", n, got)
				}
			}
		}
	}
	share := func(n int) float64 { return float64(n) / float64(all) }
	t.Logf("hit to a quarter of the typical error: %.2f with the file, %.2f from mean and SD", share(hits), share(guesses))
	if share(hits) > share(guesses)+0.15 {
		t.Errorf("%d of %d scores hit, %d from mean and standard deviation alone", hits, all, guesses)
	}
}

// everything is a file that hides nothing.
func everything(scores []float64, k norms.Kept) norms.Kept {
	k.Step, k.UnitStep, k.Quantiles = 1e-3, 1e-3, nil
	k.Mean, k.SD = moments(scores)
	n := float64(len(scores))
	for i, y := range slices.Sorted(slices.Values(scores)) {
		k.Quantiles = append(k.Quantiles, norms.KeptQuantile{P: (float64(i) + 2.0/3) / (n + 1.0/3), Value: y})
	}
	return k
}

// solve is one least-squares set, from a start of its own.
func (b rebuilder) solve() []float64 {
	x := make([]float64, b.k.Athletes)
	for i := range x {
		x[i] = b.k.Mean + b.k.SD*b.rng.NormFloat64()
	}
	aim := b.aims()
	for range 300 {
		b.project(x, aim)
	}
	return x
}
