package dist_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"noisefloor/analysis/dist"
	"noisefloor/internal/numtest"
	"noisefloor/internal/oracle"
	"noisefloor/internal/published"
)

// numbers reads what an R script printed, without the header.
func numbers(t *testing.T, data []byte) (out [][]float64) {
	t.Helper()
	records, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, record := range records[1:] {
		row := make([]float64, len(record))
		for i, cell := range record {
			if row[i], err = strconv.ParseFloat(cell, 64); err != nil {
				t.Fatal(err)
			}
		}
		out = append(out, row)
	}
	return out
}

func recorded(t *testing.T, name string) [][]float64 {
	t.Helper()
	data, err := os.ReadFile(published.Path(t, "oracle/"+name))
	if err != nil {
		t.Fatal(err)
	}
	return numbers(t, data)
}

// R 4.2.2: sums of dpois and pbeta (testdata/oracle/noncentral_f.R), and R's own
// pf, whose series stops at an error of 1e-9.
func TestNoncentralFAgainstRecordedR(t *testing.T) {
	noncentralFAgainstR(t, recorded(t, "noncentral_f.csv"))
	limitsAgainstR(t, recorded(t, "noncentral_f_limits.csv"))
}

func TestNoncentralFAgainstLiveR(t *testing.T) {
	noncentralFAgainstR(t, numbers(t, oracle.R(t, "noncentral_f.R", "")))
	limitsAgainstR(t, numbers(t, oracle.R(t, "noncentral_f_limits.R", "")))
}

func noncentralFAgainstR(t *testing.T, rows [][]float64) {
	t.Helper()
	if len(rows) != 672 {
		t.Fatalf("%d rows from R, want 672", len(rows))
	}
	worst, byPf := 16.0, 0.0
	for _, r := range rows {
		lower, upper := dist.NoncentralFCDF(r[0], r[1], r[2], r[3]), dist.NoncentralFSurvival(r[0], r[1], r[2], r[3])
		for k, got := range []float64{lower, upper} {
			if r[4+k] < 1e-290 { // the sums in R underflow
				numtest.CloseAbs(t, fmt.Sprint("tail at ", r[:4]), got, r[4+k], 1e-290)
				continue
			}
			numtest.Close(t, fmt.Sprintf("tail %d at %v", k, r[:4]), got, r[4+k], 1e-10)
			worst = min(worst, numtest.Digits(got, r[4+k]))
		}
		numtest.CloseAbs(t, fmt.Sprint("pf at ", r[:4]), lower, r[6], 1.1e-9)
		byPf = max(byPf, math.Abs(lower-r[6]))
	}
	t.Logf("tails agree with R's sums to %.1f digits or more, and with pf to %.1e", worst, byPf)
}

func limitsAgainstR(t *testing.T, rows [][]float64) {
	t.Helper()
	if len(rows) != 105 {
		t.Fatalf("%d rows from R, want 105", len(rows))
	}
	worst := 0.0
	for _, r := range rows {
		lower, upper := dist.NoncentralFLimits(r[0], r[1], r[2], r[3])
		for k, got := range []float64{lower, upper} {
			want := r[4+k]
			numtest.CloseAbs(t, fmt.Sprintf("limit %d at %v", k, r[:4]), got, want, 1e-10*(1+want))
			worst = max(worst, math.Abs(got-want)/(1+want))
		}
	}
	t.Logf("limits agree with R to %.1e", worst)
}

// Without noncentrality it is F, whose tails have their own reference; and the
// two tails are one together.
func TestNoncentralFIsF(t *testing.T) {
	for _, x := range []float64{1e-12, 0.3, 1, 4, 1e5} {
		numtest.Close(t, "survival", dist.NoncentralFSurvival(x, 3, 17, 0), dist.FSurvival(x, 3, 17), 1e-14)
		sum := dist.NoncentralFCDF(x, 3, 17, 8.5) + dist.NoncentralFSurvival(x, 3, 17, 8.5)
		numtest.Close(t, "both tails", sum, 1, 1e-13)
	}
}

func TestNoncentralFSpecialCases(t *testing.T) {
	for _, a := range [][4]float64{{nan, 1, 1, 1}, {1, 0, 1, 1}, {1, 1, inf, 1}, {1, 1, 1, -1}, {1, 1, 1, inf},
		{1, 1, 1, nan}} {
		if got := dist.NoncentralFCDF(a[0], a[1], a[2], a[3]); !math.IsNaN(got) {
			t.Errorf("%v: %g", a, got)
		}
	}
	for x, want := range map[float64]float64{-1: 0, 0: 0, inf: 1} {
		lower, upper := dist.NoncentralFCDF(x, 2, 9, 3), dist.NoncentralFSurvival(x, 2, 9, 3)
		if lower != want || upper != 1-want {
			t.Errorf("at %g: %g and %g", x, lower, upper)
		}
	}
	for _, a := range [][4]float64{{inf, 1, 9, 0.95}, {1, 1, 9, 0}, {1, 1, 9, 1}, {nan, 1, 9, 0.95}} {
		if lower, upper := dist.NoncentralFLimits(a[0], a[1], a[2], a[3]); !math.IsNaN(lower) || !math.IsNaN(upper) {
			t.Errorf("%v: %g to %g", a, lower, upper)
		}
	}
	if lower, upper := dist.NoncentralFLimits(0, 2, 9, 0.95); lower != 0 || upper != 0 {
		t.Errorf("F = 0: %g to %g", lower, upper)
	}
}
