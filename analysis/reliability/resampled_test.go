package reliability_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"noisefloor/analysis/anova"
	"noisefloor/analysis/bootstrap"
	"noisefloor/analysis/reliability"
	"noisefloor/internal/numtest"
	"noisefloor/internal/published"
)

// The estimate of each form is that of Shrout & Fleiss (1979), exact fractions
// of their table.
func TestResampledICC(t *testing.T) {
	y := slices.Concat(published.Rows(t, "icc/shrout_fleiss_1979.csv")...)
	before := slices.Clone(y)
	for form, want := range map[string]float64{"1": 448.0 / 2703, "k": 1792.0 / 4047, "A,1": 184.0 / 635,
		"A,k": 736.0 / 1187, "C,1": 920.0 / 1287, "C,k": 3680.0 / 4047} {
		e, err := reliability.ResampledICC(y, 6, 4, form, bootstrap.Options{Replicates: 500, Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		numtest.Close(t, "ICC("+form+")", e.Value, want, 1e-14)
		if !(e.Lower < e.Value && e.Value < e.Upper) {
			t.Errorf("ICC(%s): %+v", form, e)
		}
	}
	if !slices.Equal(y, before) {
		t.Error("the table was changed")
	}
	if _, err := reliability.ResampledICC(y, 6, 4, "B,1", bootstrap.Options{}); !errors.Is(err, reliability.ErrOption) {
		t.Errorf("form B,1: %v", err)
	}
	if _, err := reliability.ResampledICC(y[:5], 6, 4, "1", bootstrap.Options{}); err == nil {
		t.Error("ragged table: no error")
	}
}

// A resample's coefficient is that of the resampled table analysed anew, also
// far from zero and with more sessions than the small buffer holds.
func TestResampleIsTheTable(t *testing.T) {
	for _, k := range []int{2, 4, 11} {
		const n = 9
		y := offsetTable(n, k, 1e6)
		r := rand.New(rand.NewPCG(3, uint64(k)))
		index := make([]int, n)
		for range 20 {
			again := make([]float64, 0, n*k)
			for i := range index {
				index[i] = r.IntN(n)
				again = append(again, y[index[i]*k:(index[i]+1)*k]...)
			}
			a, err := anova.AnalyseTwoWay(again, n, k)
			if err != nil {
				t.Fatal(err)
			}
			for f, form := range []string{"1", "k", "A,1", "A,k", "C,1", "C,k"} {
				want := reliability.FromANOVA(a, 0.95)[f].Value.Value
				got := reliability.ResampleForTest(y, n, k, form)(index)
				numtest.CloseAbs(t, form, got, want, 1e-8*math.Max(1, math.Abs(want)))
			}
		}
	}
}

func offsetTable(n, k int, offset float64) []float64 {
	r := rand.New(rand.NewPCG(1, uint64(n)))
	y := make([]float64, 0, n*k)
	for range n {
		athlete := 3 * r.NormFloat64()
		for j := range k {
			y = append(y, offset+athlete+0.3*float64(j)+r.NormFloat64())
		}
	}
	return y
}

// BenchmarkResampledICC is the figure of the issue: 10,000 replicates of
// ICC(A,1) for 200 athletes and 2 sessions.
func BenchmarkResampledICC(b *testing.B) {
	y := offsetTable(200, 2, 50)
	for b.Loop() {
		if _, err := reliability.ResampledICC(y, 200, 2, "A,1", bootstrap.Options{Replicates: 10_000,
			Seed: 1}); err != nil {
			b.Fatal(err)
		}
	}
}
