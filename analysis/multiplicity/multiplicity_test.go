package multiplicity_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"noisefloor/analysis/multiplicity"
	"noisefloor/internal/numtest"
)

var nan = math.NaN()

func TestAgainstReference(t *testing.T) {
	for _, tt := range []struct {
		name        string
		p, holm, bh []float64
	}{
		{
			// The 15 p values of Benjamini & Hochberg (1995), section 4.1, in
			// which their procedure rejects 4 at 0.05; adjusted values by the
			// definitions with 40 digits, and R 4.2 p.adjust.
			name: "Benjamini & Hochberg 1995",
			p: []float64{.0001, .0004, .0019, .0095, .0201, .0278, .0298, .0344, .0459,
				.3240, .4262, .5719, .6528, .7590, 1},
			holm: []float64{.0015, .0056, .0247, .114, .2211, .278, .278, .278, .3213, 1, 1, 1, 1, 1, 1},
			bh: []float64{.0015, .003, .0095, .035625, .0603, 0.06385714285714286, 0.06385714285714286, .0645,
				.0765, .486, 0.5811818181818181, .714875, 0.7532307692307693, 0.8132142857142857, 1},
		},
		{
			name: "unsorted, with ties (R 4.2 p.adjust)",
			p:    []float64{.04, .01, .03, .03, .005, .5},
			holm: []float64{.12, .05, .12, .12, .03, .5},
			bh:   []float64{.048, .03, .045, .045, .03, .5},
		},
		{
			name: "Holm where Hochberg differs (R 4.2 p.adjust)",
			p:    []float64{.013, .014, .024, .045},
			holm: []float64{.052, .052, .052, .052},
			bh:   []float64{.028, .028, .032, .045},
		},
		{
			name: "a missing value is not counted (R 4.2 p.adjust)",
			p:    []float64{.01, .02, .04, nan, .03, .04},
			holm: []float64{.05, .08, .09, nan, .09, .09},
			bh:   []float64{.04, .04, .04, nan, .04, .04},
		},
		{
			name: "what is not a probability is not counted",
			p:    []float64{-1e-9, .02, 1.0001, math.Inf(1), .04},
			holm: []float64{nan, .04, nan, nan, .04},
			bh:   []float64{nan, .04, nan, nan, .04},
		},
		{name: "one", p: []float64{.3}, holm: []float64{.3}, bh: []float64{.3}},
		{name: "zero and one", p: []float64{1, 0}, holm: []float64{1, 0}, bh: []float64{1, 0}},
		{name: "none", p: []float64{}, holm: []float64{}, bh: []float64{}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			equal(t, "Holm", multiplicity.Holm(tt.p), tt.holm)
			equal(t, "BenjaminiHochberg", multiplicity.BenjaminiHochberg(tt.p), tt.bh)
		})
	}
}

func equal(t *testing.T, name string, got, want []float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s has %d values, want %d", name, len(got), len(want))
	}
	for i := range want {
		numtest.Close(t, fmt.Sprintf("%s[%d]", name, i), got[i], want[i], 1e-14)
	}
}

// The paper's example: at 0.05 the false discovery rate procedure calls four
// tests real, the family-wise one three.
func TestRejectionsOfThePaper(t *testing.T) {
	p := []float64{.0001, .0004, .0019, .0095, .0201, .0278, .0298, .0344, .0459, .3240, .4262, .5719, .6528, .7590, 1}
	count := func(adjusted []float64) (n int) {
		for _, v := range adjusted {
			if v <= 0.05 {
				n++
			}
		}
		return n
	}
	if n := count(multiplicity.BenjaminiHochberg(p)); n != 4 {
		t.Errorf("Benjamini-Hochberg rejects %d, the paper 4", n)
	}
	if n := count(multiplicity.Holm(p)); n != 3 {
		t.Errorf("Holm rejects %d, want 3", n)
	}
}

func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SliceOfN(rapid.Float64Range(0, 1), 1, 40).Draw(t, "p")
		before := slices.Clone(p)
		holm, bh := multiplicity.Holm(p), multiplicity.BenjaminiHochberg(p)
		if !slices.Equal(p, before) {
			t.Fatal("the argument was modified")
		}
		m := float64(len(p))
		for i := range p {
			if holm[i] < p[i] || holm[i] > min(1, m*p[i]) {
				t.Fatalf("Holm of %g among %g is %g", p[i], m, holm[i])
			}
			if bh[i] < p[i]*(1-1e-15) || bh[i] > holm[i]*(1+1e-15) {
				t.Fatalf("Benjamini-Hochberg of %g is %g, Holm %g", p[i], bh[i], holm[i])
			}
			for j := range p {
				if p[i] <= p[j] && (holm[i] > holm[j] || bh[i] > bh[j]) {
					t.Fatalf("the order of %g and %g is not kept", p[i], p[j])
				}
			}
		}
		reversed := slices.Clone(p)
		slices.Reverse(reversed)
		again := multiplicity.BenjaminiHochberg(reversed)
		slices.Reverse(again)
		if !slices.Equal(again, bh) {
			t.Fatalf("depends on the order: %v, %v", bh, again)
		}
	})
}

func ExampleHolm() {
	p := []float64{0.012, 0.210, 0.004} // three tests of one athlete
	fmt.Printf("%.3f\n", multiplicity.Holm(p))
	// Output: [0.024 0.210 0.012]
}

func ExampleBenjaminiHochberg() {
	p := []float64{0.012, 0.210, 0.004} // three tests of one athlete
	fmt.Printf("%.3f\n", multiplicity.BenjaminiHochberg(p))
	// Output: [0.018 0.210 0.012]
}
