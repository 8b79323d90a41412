package programme

import (
	"math"
	"slices"

	"noisefloor/analysis/dist"
	"noisefloor/analysis/estimate"
)

// SignedRankKind is the kind of an interval between two Walsh averages.
const SignedRankKind estimate.Kind = "signed-rank"

// A SignedRank is Wilcoxon's test of changes, and the shift of Hodges & Lehmann.
type SignedRank struct {
	P     float64
	Shift estimate.Estimate // median of the Walsh averages; Level is the level attained
	Exact bool              // no ties and no changes of 0
}

// mostExact is the largest number of changes of which the exact distribution is counted.
const mostExact = 200

// Wilcoxon tests whether changes lie symmetrically around 0. Changes of 0 are left out, ties
// share their rank. Without ties p is exact, by counting; with ties it is normal, with the
// variance for ties and a continuity correction of ½. The shift is the median of the
// averages of all pairs, its limits the averages at places q and n(n+1)/2 + 1 - q, q the
// largest with P(V < q) <= (1-level)/2.
//
// Sources: Wilcoxon F (1945), Biometrics Bulletin 1:80-83; Hodges JL, Lehmann EL (1963),
// Annals of Mathematical Statistics 34:598-611.
func Wilcoxon(changes []float64, level float64) SignedRank {
	var x []float64
	for _, v := range changes {
		if v != 0 {
			x = append(x, v)
		}
	}
	n := len(x)
	if n < 2 {
		return SignedRank{P: math.NaN(), Shift: estimate.Bare(math.NaN(), estimate.TooFew)}
	}
	v, ties := positive(x)
	out := SignedRank{Exact: ties == 0 && len(x) == len(changes) && n <= mostExact}
	counts := rankCounts(min(n, mostExact))
	if out.Exact {
		low := tail(counts, min(v, float64(n*(n+1)/2)-v))
		out.P = min(1, 2*low)
	} else {
		m := float64(n) * float64(n+1) / 4
		s := math.Sqrt(m*float64(2*n+1)/6 - ties/48)
		z := v - m
		out.P = 2 * dist.NormalCDF(-max(0, math.Abs(z)-0.5)/s)
	}
	out.Shift = shift(x, counts, level)
	return out
}

// positive is the sum of the ranks of positive changes, and Σ(t³ - t) over ties.
func positive(x []float64) (v, ties float64) {
	order := slices.Clone(x)
	slices.SortFunc(order, func(a, b float64) int { return cmpAbs(a, b) })
	for i := 0; i < len(order); {
		j := i
		for j < len(order) && math.Abs(order[j]) == math.Abs(order[i]) {
			j++
		}
		t := float64(j - i)
		ties += t*t*t - t
		for _, y := range order[i:j] {
			if y > 0 {
				v += float64(i+1+j) / 2
			}
		}
		i = j
	}
	return v, ties
}

func cmpAbs(a, b float64) int {
	switch a, b := math.Abs(a), math.Abs(b); {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// rankCounts are the shares of the signs for which the ranks of the positive sum to 0, 1, ….
func rankCounts(n int) []float64 {
	out := make([]float64, n*(n+1)/2+1)
	out[0] = 1
	for k := 1; k <= n; k++ {
		for s := k * (k + 1) / 2; s >= 0; s-- {
			out[s] /= 2
			if s >= k {
				out[s] += out[s-k] / 2
			}
		}
	}
	return out
}

// tail is P(V <= v).
func tail(shares []float64, v float64) float64 {
	p := 0.0
	for s, share := range shares {
		if float64(s) <= v {
			p += share
		}
	}
	return p
}

// shift is the Hodges-Lehmann estimate with its limits.
func shift(x, shares []float64, level float64) estimate.Estimate {
	var walsh []float64
	for i, a := range x {
		for _, b := range x[:i+1] {
			walsh = append(walsh, (a+b)/2)
		}
	}
	slices.Sort(walsh)
	n := len(walsh)
	mid := walsh[n/2]
	if n%2 == 0 {
		mid = (walsh[n/2-1] + walsh[n/2]) / 2
	}
	q, p := 0, 0.0
	for q < len(shares) && p+shares[q] <= (1-level)/2 {
		p += shares[q]
		q++
	}
	if q == 0 || len(shares)-1 != n {
		return estimate.Bare(mid, estimate.TooFew)
	}
	return estimate.Estimate{Value: mid, Lower: walsh[q-1], Upper: walsh[n-q], Level: 1 - 2*p, Kind: SignedRankKind}
}
