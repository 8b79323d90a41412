package oracle_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
	"noisefloor/internal/oracle"
	"noisefloor/internal/published"
)

// fitted is what lme4_reliability.R prints for a measure.
type fitted struct {
	N, K               int
	MSR, MSC, MSE, MSW float64
	Consistency        struct {
		Athlete  float64 `json:"var_athlete"`
		Residual float64 `json:"var_residual"`
		ICC      float64 `json:"icc"`
	}
	Agreement struct {
		Athlete  float64 `json:"var_athlete"`
		Session  float64 `json:"var_session"`
		Residual float64 `json:"var_residual"`
		ICC      float64 `json:"icc"`
	}
}

// Mean squares against R's aov to 1e-9, variances and ICC(C,1), ICC(A,1)
// against lme4 to 1e-5, the precision of its optimiser.
func TestReliabilityAgainstLme4(t *testing.T) {
	tables := map[string]score.Table{}
	for _, name := range []string{"shrout_fleiss_1979", "winer_1971", "weir_2005_a", "weir_2005_b"} {
		tables[name] = tableOf(published.Rows(t, "icc/"+name+".csv"))
	}
	rng := rand.New(rand.NewPCG(4, 2))
	for _, size := range [][2]int{{8, 2}, {20, 3}, {60, 4}} {
		tables[fmt.Sprintf("drawn_%dx%d", size[0], size[1])] = drawn(rng, size[0], size[1])
	}
	checkReliability(t, tables)
}

// checkReliability compares every table, which must be complete, with R.
func checkReliability(t *testing.T, tables map[string]score.Table) {
	t.Helper()
	var answer struct {
		R, Lme4  string
		Measures map[string]fitted
	}
	if err := json.Unmarshal(oracle.R(t, "lme4_reliability.R", long(tables)), &answer); err != nil {
		t.Fatal(err)
	}
	t.Logf("%s, lme4 %s: %d tables", answer.R, answer.Lme4, len(answer.Measures))
	if len(answer.Measures) != len(tables) {
		t.Fatalf("R answered for %d tables of %d", len(answer.Measures), len(tables))
	}
	for name, want := range answer.Measures {
		t.Run(name, func(t *testing.T) { compare(t, tables[name], want) })
	}
}

func compare(t *testing.T, table score.Table, want fitted) {
	r, err := reliability.Analyse(table, reliability.Options{Replicates: 50})
	if err != nil {
		t.Fatal(err)
	}
	a := r.ANOVA
	if a.N != want.N || a.K != want.K {
		t.Fatalf("%d by %d, R has %d by %d", a.N, a.K, want.N, want.K)
	}
	worst := map[float64]float64{}
	near := func(name string, got, want, rel float64) {
		t.Helper()
		numtest.Close(t, name, got, want, rel)
		if d := numtest.Digits(got, want); worst[rel] == 0 || d < worst[rel] {
			worst[rel] = d
		}
	}
	near("MSR", a.MSR, want.MSR, 1e-9)
	near("MSC", a.MSC, want.MSC, 1e-9)
	near("MSE", a.MSE, want.MSE, 1e-9)
	near("MSW", a.MSW, want.MSW, 1e-9)
	if a.MSR > a.MSE {
		near("athletes", r.TrueSD*r.TrueSD, want.Consistency.Athlete, 1e-5)
		near("residual", r.TypicalError.Value*r.TypicalError.Value, want.Consistency.Residual, 1e-5)
		near("ICC(C,1)", r.ICC[4].Value.Value, want.Consistency.ICC, 1e-5)
	}
	if a.MSR > a.MSE && a.MSC > a.MSE {
		near("sessions", (a.MSC-a.MSE)/float64(a.N), want.Agreement.Session, 1e-5)
		near("ICC(A,1)", r.ICC[2].Value.Value, want.Agreement.ICC, 1e-5)
	} else {
		t.Logf("session variance estimated below 0 (MSC %.4g, MSE %.4g): REML stops at 0, ICC(A,1) not compared",
			a.MSC, a.MSE)
	}
	t.Logf("least agreement: mean squares %.1f digits, variances and ICCs %.1f", worst[1e-9], worst[1e-5])
}

// long writes the tables as measure, athlete, session, value in full precision.
func long(tables map[string]score.Table) string {
	var b strings.Builder
	b.WriteString("measure,athlete,session,value\n")
	for _, name := range slices.Sorted(maps.Keys(tables)) {
		table := tables[name]
		for i, athlete := range table.Athletes {
			for j, session := range table.Sessions {
				fmt.Fprintf(&b, "%s,%s,%s,%v\n", name, athlete, session, table.At(i, j))
			}
		}
	}
	return b.String()
}

func tableOf(rows [][]float64) score.Table {
	var t score.Table
	for j := range rows[0] {
		t.Sessions = append(t.Sessions, fmt.Sprintf("S%d", j+1))
	}
	for i, row := range rows {
		t.Athletes = append(t.Athletes, fmt.Sprintf("A%d", i+1))
		t.Value = append(t.Value, row...)
	}
	return t
}

// drawn makes a table of normal scores with a session shift.
func drawn(rng *rand.Rand, n, k int) score.Table {
	rows := make([][]float64, n)
	for i := range rows {
		level := 300 + 40*rng.NormFloat64()
		for j := range k {
			rows[i] = append(rows[i], math.Round(100*(level+12*float64(j)+10*rng.NormFloat64()))/100)
		}
	}
	return tableOf(rows)
}
