package noise

import (
	"math"
	"slices"
)

// A Together is the covariances of the errors of several quantities of one session: the
// scores of tests, or the indices that are made of pairs of them. What makes one high on
// a day may make the others high too.
type Together struct {
	Kind  string   // what the quantities are: "scores", "side_difference", "countermovement_gain"
	Group string   // of the athletes; "" for all
	Of    []string // names: tests; an index is named after its first test

	Covariance [][]float64 // symmetric, on the scale of each model (indices: percent); NaN where not known
	DF         [][]float64 // behind each; 0 where not known
}

// Covariances returns those of the errors of quantities in the sessions of a noise study,
// each pair by [Covary]: row by row in the order of names, so that the diagonal holds the
// squared typical errors. scores holds, for each name, athletes by k sessions, row-major,
// NaN where missing.
func Covariances(kind string, names []string, scores [][]float64, k int) Together {
	t := Together{Kind: kind, Of: slices.Clone(names)}
	for range names {
		t.Covariance = append(t.Covariance, make([]float64, len(names)))
		t.DF = append(t.DF, make([]float64, len(names)))
	}
	for a := range names {
		for b := range a + 1 {
			s, df, _ := Covary(scores[a], scores[b], k)
			t.Covariance[a][b], t.Covariance[b][a] = s, s
			t.DF[a][b], t.DF[b][a] = df, df
		}
	}
	return t
}

// At returns the covariance of the errors of two quantities, and whether it is known.
func (t Together) At(a, b string) (covariance, df float64, known bool) {
	i, j := slices.Index(t.Of, a), slices.Index(t.Of, b)
	if i < 0 || j < 0 || math.IsNaN(t.Covariance[i][j]) || !(t.DF[i][j] >= 1) {
		return 0, 0, false
	}
	return t.Covariance[i][j], t.DF[i][j], true
}

// PoolTogether puts covariances of several studies together, Σ df_i S_i/Σ df_i on Σ df_i,
// for the quantities that all of them have.
func PoolTogether(all []Together) Together {
	out := Together{Kind: all[0].Kind, Group: all[0].Group}
	for _, name := range all[0].Of {
		if !slices.ContainsFunc(all, func(t Together) bool { return !slices.Contains(t.Of, name) }) {
			out.Of = append(out.Of, name)
		}
	}
	for range out.Of {
		out.Covariance = append(out.Covariance, make([]float64, len(out.Of)))
		out.DF = append(out.DF, make([]float64, len(out.Of)))
	}
	for a, name := range out.Of {
		for b, other := range out.Of {
			out.Covariance[a][b], out.DF[a][b] = pooledOf(all, name, other)
		}
	}
	return out
}

func pooledOf(all []Together, a, b string) (s, df float64) {
	for _, t := range all {
		own, n, known := t.At(a, b)
		if !known {
			return math.NaN(), 0
		}
		s, df = s+float64(n*own), df+n
	}
	return s / df, df
}
