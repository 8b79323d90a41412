package reliability

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"

	"gonum.org/v1/gonum/mathext"

	"noisefloor/analysis/estimate"
)

// A sessionError is what one athlete's session scores leave over once the athlete and
// the sessions are taken out.
type sessionError struct {
	at     []float64 // by session, NaN where there is no score
	ss, df float64   // Σ at², sessions less 1
	share  float64   // E ss = share·df σ²: (n-1)/n in a complete table
}

func (e sessionError) variance() float64 { return e.ss / (e.df * e.share) }

// sessionErrors are those of a table of n athletes by k sessions, row-major, NaN where
// missing, with the shift of each session. df is that of the error of all of them.
func sessionErrors(y []float64, k int, shift []float64, df float64) []sessionError {
	out := make([]sessionError, len(y)/k)
	total := 0.0
	for i := range out {
		e := &out[i]
		mean, n := 0.0, 0.0
		for j, v := range y[i*k : (i+1)*k] {
			if !math.IsNaN(v) {
				mean, n = mean+(v-shift[j]), n+1
			}
		}
		mean /= n
		for j, v := range y[i*k : (i+1)*k] {
			d := v - shift[j] - mean
			e.at = append(e.at, d)
			if !math.IsNaN(d) {
				e.ss += float64(d * d)
			}
		}
		e.df = max(0, n-1)
		total += e.df
	}
	for i := range out {
		out[i].share = df / total
	}
	return out
}

// EqualNoise is the test that all athletes have the same typical error.
type EqualNoise struct {
	Statistic float64 // Σ (SS_i/s² - ν_i)²
	P         float64 // NaN where Why says why
	PriorDF   float64 // of the moderated variances; +Inf: no sign that they differ
	PriorSD   float64 // about which the athletes' own vary
	Athletes  int
	Why       estimate.Kind
}

// An AthleteNoise is the typical error of one athlete's session score, moderated by
// that of the others: √((d0 s0² + d s²)/(d0 + d)) on d0 + d df, but no more than all
// athletes together have.
type AthleteNoise struct {
	Athlete      string
	TypicalError float64
	DF           float64
	Own          float64 // s, from this athlete alone, on OwnDF = d
	OwnDF        float64
}

// equalNoise tests whether the athletes' errors are of one size. With SS_i the sum of
// squares of athlete i on ν_i df and s² = Σ SS_i/Σ ν_i it takes
//
//	T = Σ (SS_i/s² - ν_i)²
//
// the score test against variances that scatter about one; with so few df each
// (1 to 3) likelihood ratios such as Bartlett's look at the smallest variances, which
// rounding makes. p is the share of simulated normal tables of the same shape with a
// larger T, (1 + number)/(1 + draws): the normal law is exact there. With two or
// three sessions T sees heavy tails of all athletes in the same way: then they cannot
// be told apart.
//
// Source of the test: Cox (1983), Biometrika 70:269-274 (from memory).
func equalNoise(all []sessionError) EqualNoise {
	q := EqualNoise{Statistic: math.NaN(), P: math.NaN()}
	var ss float64
	for _, e := range all {
		if e.df > 0 {
			q.Athletes++
			ss += e.ss
		}
	}
	switch {
	case q.Athletes < MinAthletes:
		q.Why = estimate.TooFew
		return q
	case ss == 0:
		q.Why = estimate.NoError
		return q
	}
	null := nullOf(all)
	q.Statistic = spreadOf(all)
	q.P = null.beyond(null.spread, q.Statistic)
	return q
}

func spreadOf(all []sessionError) (t float64) {
	var ss, df float64
	for _, e := range all {
		ss, df = ss+e.ss, df+e.df
	}
	for _, e := range all {
		d := e.ss/(ss/df) - e.df
		t += float64(d * d)
	}
	return t
}

// tailOf is the kurtosis of the errors, n Σ e⁴/(Σ e²)².
func tailOf(all []sessionError) float64 {
	var n, two, four float64
	for _, e := range all {
		if e.df > 0 {
			for _, v := range e.at {
				if !math.IsNaN(v) {
					n++
					two += float64(v * v)
					four += float64(v * v * v * v)
				}
			}
		}
	}
	return n * four / (two * two)
}

// moderated fills the prior of the athletes' variances and their own typical errors
// by the moments of the log variances (Smyth 2004): with
//
//	z_i = ln s_i² - ψ(d_i/2) + ln(d_i/2)
//	ψ'(d0/2) = S²(z) - mean ψ'(d_i/2)      d0 = ∞ where that is not above 0
//	ln s0² = mean z + ψ(d0/2) - ln(d0/2)   where d0 = ∞ s0² is the mean of the s_i²
//
// A variance below 1e-5 of the median counts as that. As in the author's own library
// the df of one athlete are at most those of all.
//
// Source: Smyth GK (2004). Linear models and empirical Bayes methods. Statistical
// Applications in Genetics and Molecular Biology 3(1):3.
func (q *EqualNoise) moderated(names []string, all []sessionError, pooledDF float64) []AthleteNoise {
	var at []int
	var s2, d []float64
	for i, e := range all {
		if e.df > 0 {
			at, s2, d = append(at, i), append(s2, e.variance()), append(d, e.df)
		}
	}
	d0, s0 := prior(s2, d)
	q.PriorDF, q.PriorSD = d0, math.Sqrt(s0)
	out := make([]AthleteNoise, len(at))
	for j, i := range at {
		n := AthleteNoise{Athlete: names[i], Own: math.Sqrt(s2[j]), OwnDF: d[j],
			TypicalError: q.PriorSD, DF: min(d0+d[j], pooledDF)}
		if !math.IsInf(d0, 1) {
			n.TypicalError = math.Sqrt((float64(d0*s0) + float64(d[j]*s2[j])) / (d0 + d[j]))
		}
		out[j] = n
	}
	return out
}

// prior are the df and the variance that the variances s2, on d df each, scatter about.
func prior(s2, d []float64) (d0, s0 float64) {
	n := float64(len(s2))
	floor := 1e-5 * middle(s2)
	z := make([]float64, len(s2))
	var mean, known, spread, plain float64
	for i, v := range s2 {
		h := d[i] / 2
		z[i] = math.Log(max(v, floor)) - mathext.Digamma(h) + math.Log(h)
		mean += z[i] / n
		known += trigamma(h) / n
		plain += max(v, floor) / n
	}
	for _, v := range z {
		spread += float64((v-mean)*(v-mean)) / (n - 1)
	}
	if !(spread > known) || math.IsInf(spread, 0) {
		return math.Inf(1), plain
	}
	h := inverseTrigamma(spread - known)
	return 2 * h, math.Exp(mean + mathext.Digamma(h) - math.Log(h))
}

// inverseTrigamma is the x with ψ'(x) = y > 0, by Newton on 1/ψ', which is convex and
// nearly a line (Smyth 2004, appendix).
func inverseTrigamma(y float64) float64 {
	x := 0.5 + 1/y
	for range 50 {
		tri := trigamma(x)
		step := tri * (1 - tri/y) / (-2 * mathext.Zeta(3, x))
		x += step
		if math.Abs(step) < 1e-13*x {
			break
		}
	}
	return x
}

func middle(x []float64) float64 {
	s := slices.Sorted(slices.Values(x))
	if n := len(s); n%2 == 0 {
		return (s[n/2-1] + s[n/2]) / 2
	}
	return s[len(s)/2]
}

// A null is what the statistics are in normal tables of one shape.
type null struct{ spread, tail []float64 }

// beyond is the p value of a statistic.
func (n null) beyond(set []float64, x float64) float64 {
	i, _ := slices.BinarySearch(set, x*(1-1e-12))
	return float64(1+len(set)-i) / float64(1+len(set))
}

// nullDraws tables are simulated, fewer of large ones.
const (
	nullDraws  = 4999
	leastDraws = 199
	nullScores = 4_000_000 // scores drawn at most, but for the least number of draws
	nullSeed   = 20260401
)

var nulls = struct {
	sync.Mutex
	sets map[string]null
}{sets: map[string]null{}}

// nullOf simulates normal tables with scores where these have them. The tests of a
// cohort are mostly of one shape, whoever it is that lacks a session: sets made before
// are kept.
func nullOf(all []sessionError) null {
	all = slices.DeleteFunc(slices.Clone(all), func(e sessionError) bool { return !(e.df > 0) })
	slices.SortFunc(all, func(a, b sessionError) int { return slices.Compare(a.missing(), b.missing()) })
	key := shape(all)
	nulls.Lock()
	set, ok := nulls.sets[key]
	nulls.Unlock()
	if ok {
		return set
	}
	set = simulateNull(all)
	nulls.Lock()
	defer nulls.Unlock()
	if len(nulls.sets) >= mostSets {
		clear(nulls.sets)
	}
	nulls.sets[key] = set
	return set
}

// missing is 1 for each session without a score, else 0.
func (e sessionError) missing() []int {
	out := make([]int, len(e.at))
	for j, v := range e.at {
		out[j] = missingBit(v)
	}
	return out
}

// shape writes which scores are there.
func shape(all []sessionError) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d:", len(all[0].at))
	for _, e := range all {
		for _, v := range e.at {
			b.WriteByte("10"[missingBit(v)])
		}
	}
	return b.String()
}

func missingBit(v float64) int {
	if math.IsNaN(v) {
		return 1
	}
	return 0
}

func simulateNull(all []sessionError) null {
	n, k := len(all), len(all[0].at)
	draws := max(leastDraws, min(nullDraws, nullScores/(n*k)))
	rng := rand.New(rand.NewPCG(nullSeed, uint64(n)<<20|uint64(k)))
	set := null{make([]float64, draws), make([]float64, draws)}
	y := make([]sessionError, n)
	for i, e := range all {
		y[i] = sessionError{at: make([]float64, k), df: e.df}
	}
	for d := range draws {
		for i := range y {
			for j := range k {
				y[i].at[j] = math.NaN()
				if y[i].df > 0 && !math.IsNaN(all[i].at[j]) {
					y[i].at[j] = rng.NormFloat64()
				}
			}
		}
		centre(y)
		set.spread[d], set.tail[d] = spreadOf(y), tailOf(y)
	}
	slices.Sort(set.spread)
	slices.Sort(set.tail)
	return set
}

// centre takes the means of athletes and sessions out: in a complete table one pass
// each does it, where scores are missing a second comes close.
func centre(y []sessionError) {
	k := len(y[0].at)
	for range 2 {
		for j := range k {
			mean, n := 0.0, 0.0
			for i := range y {
				if v := y[i].at[j]; !math.IsNaN(v) {
					mean, n = mean+v, n+1
				}
			}
			for i := range y {
				y[i].at[j] -= mean / n
			}
		}
		for i := range y {
			y[i].ss = 0
			mean, n := 0.0, 0.0
			for _, v := range y[i].at {
				if !math.IsNaN(v) {
					mean, n = mean+v, n+1
				}
			}
			for j := range y[i].at {
				y[i].at[j] -= mean / n
				if v := y[i].at[j]; !math.IsNaN(v) {
					y[i].ss += float64(v * v)
				}
			}
		}
	}
}
