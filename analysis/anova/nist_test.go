package anova_test

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/google/go-cmp/cmp"

	"noisefloor/analysis/anova"
	"noisefloor/internal/numtest"
)

// NIST Statistical Reference Datasets, one-way analysis of variance, certified
// values as printed (15 digits). The exact values are the results for the
// responses as float64 holds them, computed with 60 digits: with 13 constant
// leading digits nothing that reads float64 can reach more than four digits of
// the certified value.
var nist = []struct {
	name             string
	offset           string // SmLs sets: digits before the decimal point
	size             int    // SmLs sets: values per group
	dfB, dfW         float64
	certified, exact [3]float64 // SSBetween, SSWithin, F
	digits           float64    // wanted of the certified values
}{
	{name: "SiRstv", dfB: 4, dfW: 20, digits: 12,
		certified: [3]float64{5.11462616000000e-02, 2.16636560000000e-01, 1.18046237440255e+00},
		exact:     [3]float64{0.051146261599999519, 0.21663656000001649, 1.1804623744024468}},
	{name: "AtmWtAg", dfB: 1, dfW: 46, digits: 9,
		certified: [3]float64{3.63834187500000e-09, 1.04951729166667e-08, 1.59467335677930e+01},
		exact:     [3]float64{3.6383418747907133e-9, 1.0495172916797471e-8, 15.946733566676926}},
	{name: "SmLs01", offset: "1", size: 21, dfB: 8, dfW: 180, digits: 14,
		certified: [3]float64{1.68, 1.80, 21},
		exact:     [3]float64{1.680000000000001, 1.800000000000001, 21.000000000000001}},
	{name: "SmLs02", offset: "1", size: 201, dfB: 8, dfW: 1800, digits: 14,
		certified: [3]float64{16.08, 18, 201},
		exact:     [3]float64{16.080000000000011, 18.00000000000001, 201.00000000000002}},
	{name: "SmLs03", offset: "1", size: 2001, dfB: 8, dfW: 18000, digits: 14,
		certified: [3]float64{160.08, 180, 2001}, exact: [3]float64{160.08000000000011, 180.0000000000001,
			2001.0000000000002}},
	{name: "SmLs04", offset: "1000000", size: 21, dfB: 8, dfW: 180, digits: 9,
		certified: [3]float64{1.68, 1.80, 21}, exact: [3]float64{1.6800000001490116, 1.8000000000931323,
			21.000000000776102}},
	{name: "SmLs05", offset: "1000000", size: 201, dfB: 8, dfW: 1800, digits: 9,
		certified: [3]float64{16.08, 18, 201}, exact: [3]float64{16.080000001825392, 18.000000000931323,
			201.00000001241763}},
	{name: "SmLs06", offset: "1000000", size: 2001, dfB: 8, dfW: 18000, digits: 9,
		certified: [3]float64{160.08, 180, 2001}, exact: [3]float64{160.0800000185892, 180.00000000931323,
			2001.000000128833}},
	{name: "SmLs07", offset: "1000000000000", size: 21, dfB: 8, dfW: 180, digits: 3.5,
		certified: [3]float64{1.68, 1.80, 21}, exact: [3]float64{1.6801562694014696, 1.8000978373345875,
			21.000811887818771}},
	{name: "SmLs08", offset: "1000000000000", size: 201, dfB: 8, dfW: 1800, digits: 3.5,
		certified: [3]float64{16.08, 18, 201}, exact: [3]float64{16.081914284204237, 18.00097824625708,
			201.01300409594845}},
	{name: "SmLs09", offset: "1000000000000", size: 2001, dfB: 8, dfW: 18000, digits: 3.5,
		certified: [3]float64{160.08, 180, 2001}, exact: [3]float64{160.09949443572511, 180.00978232919425,
			2001.1349262209505}},
}

func TestOneWayAgainstNIST(t *testing.T) {
	for _, set := range nist {
		t.Run(set.name, func(t *testing.T) {
			groups := simonLesage(t, set.offset, set.size)
			if set.size == 0 {
				groups = read(t, set.name)
			}
			r, err := anova.AnalyseOneWay(groups)
			if err != nil {
				t.Fatal(err)
			}
			got := [3]float64{r.SSBetween, r.SSWithin, r.F}
			for i, name := range []string{"SSBetween", "SSWithin", "F"} {
				if d := numtest.Digits(got[i], set.certified[i]); d < set.digits {
					t.Errorf("%s = %.17g, certified %.15g: %.1f digits, want %g", name, got[i], set.certified[i], d,
						set.digits)
				}
				if d := numtest.Digits(got[i], set.exact[i]); d < 14 {
					t.Errorf("%s = %.17g, exact %.17g: %.1f digits, want 14", name, got[i], set.exact[i], d)
				}
			}
			numtest.Close(t, "DFBetween", r.DFBetween, set.dfB, 0)
			numtest.Close(t, "DFWithin", r.DFWithin, set.dfW, 0)
			numtest.Close(t, "MSBetween", r.MSBetween, r.SSBetween/set.dfB, 0)
			numtest.Close(t, "MSWithin", r.MSWithin, r.SSWithin/set.dfW, 0)
		})
	}
}

// The published sets SmLs04 and SmLs07 are what the rule makes.
func TestSimonLesageRule(t *testing.T) {
	for name, offset := range map[string]string{"SmLs04": "1000000", "SmLs07": "1000000000000"} {
		if diff := cmp.Diff(read(t, name), simonLesage(t, offset, 21)); diff != "" {
			t.Errorf("%s (-published +rule):\n%s", name, diff)
		}
	}
}

// simonLesage makes the sets of Simon SD, Lesage JP (1989). Assessing the
// accuracy of ANOVA calculations in statistical software. Computational
// Statistics and Data Analysis 8:325-332: nine groups around offset.4, .3, .5,
// .3, .5, ...; in each the centre once, then 0.1 below and above in turn.
func simonLesage(t *testing.T, offset string, size int) [][]float64 {
	groups := make([][]float64, 9)
	for g := range groups {
		centre := 5 - 2*(g%2)
		if g == 0 {
			centre = 4
		}
		for i := range size {
			digit := centre - 1 + 2*((i+1)%2)
			if i == 0 {
				digit = centre
			}
			groups[g] = append(groups[g], parse(t, offset+"."+strconv.Itoa(digit)))
		}
	}
	return groups
}

// read returns the lines of a file of the NIST folder.
func read(t *testing.T, name string) [][]float64 {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "published", "nist", name+".csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.FieldsPerRecord = -1
	records, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	lines := make([][]float64, len(records))
	for i, record := range records {
		for _, cell := range record {
			lines[i] = append(lines[i], parse(t, cell))
		}
	}
	return lines
}

func parse(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
