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

	"noisefloor/analysis/cell"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
	"noisefloor/internal/oracle"
	"noisefloor/internal/published"
)

// everyScore is what lme4_every_score.R prints for a measure.
type everyScore struct {
	Athlete     float64   `json:"var_athlete"`
	Residual    float64   `json:"var_residual"`
	OneAthlete  float64   `json:"one_athlete"`
	OneResidual float64   `json:"one_residual"`
	Session     float64   `json:"var_session"`
	Mean        float64   `json:"mean"`
	Change      []float64 `json:"change"`
	SE          []float64 `json:"se"`
	F           float64   `json:"f"`
	RatioF      float64   `json:"ratio_f"`
	RatioLower  float64   `json:"ratio_lower"`
	RatioUpper  float64   `json:"ratio_upper"`
	OneLower    float64   `json:"one_lower"`
	OneUpper    float64   `json:"one_upper"`
}

// Tables with missing scores: published and drawn ones with gaps, and every
// measure of the demo cohort over all its sessions, against lme4: variances and
// what follows from them to 1e-5, the precision of its optimiser; the exact
// limits of the ratio, which no optimiser touches, to 1e-8.
func TestEveryScoreAgainstLme4Live(t *testing.T) {
	tables := map[string]score.Table{}
	rng := rand.New(rand.NewPCG(7, 15))
	for _, name := range []string{"shrout_fleiss_1979", "winer_1971", "weir_2005_a", "weir_2005_b"} {
		tables[name] = gaps(rng, tableOf(published.Rows(t, "icc/"+name+".csv")), 3)
	}
	for _, size := range [][2]int{{8, 2}, {20, 3}, {60, 4}} {
		tables[fmt.Sprintf("drawn_%dx%d", size[0], size[1])] = gaps(rng, drawn(rng, size[0], size[1]),
			size[0]*size[1]*15/100)
	}
	for name, attempts := range demo(t) {
		all, err := score.Summarise(attempts.Table(cell.Options{}), score.Mean, score.Higher)
		if err != nil {
			t.Fatal(err)
		}
		if r, err := reliability.Analyse(all, reliability.Options{Replicates: 50}); err == nil && !r.Complete {
			tables[name] = all
		}
	}
	var answer struct {
		R, Lme4  string
		Measures map[string]everyScore
	}
	if err := json.Unmarshal(oracle.R(t, "lme4_every_score.R", longSeen(tables)), &answer); err != nil {
		t.Fatal(err)
	}
	t.Logf("%s, lme4 %s: %d tables", answer.R, answer.Lme4, len(answer.Measures))
	if len(answer.Measures) != len(tables) || len(tables) < 8 {
		t.Fatalf("R answered for %d tables of %d", len(answer.Measures), len(tables))
	}
	for name, want := range answer.Measures {
		t.Run(name, func(t *testing.T) { compareEveryScore(t, tables[name], want) })
	}
}

func compareEveryScore(t *testing.T, table score.Table, want everyScore) {
	r, err := reliability.Analyse(table, reliability.Options{Replicates: 50})
	if err != nil {
		t.Fatal(err)
	}
	if r.Route != reliability.EveryScore {
		t.Fatalf("by %s", r.Route)
	}
	worst := map[float64]float64{}
	near := func(name string, got, want, rel float64) {
		t.Helper()
		if math.Abs(want) < 1e-6 { // a variance at 0, which lme4 reaches only nearly
			numtest.CloseAbs(t, name, got, want, 1e-5)
			return
		}
		numtest.Close(t, name, got, want, rel)
		if d := numtest.Digits(got, want); worst[rel] == 0 || d < worst[rel] {
			worst[rel] = d
		}
	}
	k := float64(len(table.Sessions))
	icc := func(v, noise float64) float64 { return v / (v + noise) }
	near("residual", r.TypicalError.Value*r.TypicalError.Value, want.Residual, 1e-5)
	near("athletes", r.TrueSD*r.TrueSD, want.Athlete, 1e-5)
	near("mean", r.Mean, want.Mean, 1e-6)
	near("ICC(C,1)", r.ICC[4].Value.Value, icc(want.Athlete, want.Residual), 1e-5)
	near("ICC(C,k)", r.ICC[5].Value.Value, icc(want.Athlete, want.Residual/k), 1e-5)
	near("ICC(1)", r.ICC[0].Value.Value, icc(want.OneAthlete, want.OneResidual), 1e-5)
	near("ICC(k)", r.ICC[1].Value.Value, icc(want.OneAthlete, want.OneResidual/k), 1e-5)
	near("ICC(A,1)", r.ICC[2].Value.Value, icc(want.Athlete, want.Session+want.Residual), 1e-5)
	near("ICC(A,k)", r.ICC[3].Value.Value, icc(want.Athlete, (want.Session+want.Residual)/k), 1e-5)
	near("F of the sessions", r.SessionTest.F, want.F, 1e-4)
	for j, c := range r.MeanChanges {
		numtest.CloseAbs(t, "change", c.Change.Value, want.Change[j], 1e-4*want.SE[j])
	}
	near("F of the athletes", r.ICC[4].F, want.RatioF, 1e-8)
	near("ICC(C,1) lower", r.ICC[4].Value.Lower, icc(want.RatioLower, 1), 1e-8)
	near("ICC(C,1) upper", r.ICC[4].Value.Upper, icc(want.RatioUpper, 1), 1e-8)
	near("ICC(1) lower", r.ICC[0].Value.Lower, icc(want.OneLower, 1), 1e-8)
	near("ICC(1) upper", r.ICC[0].Value.Upper, icc(want.OneUpper, 1), 1e-8)
	t.Logf("least agreement: lme4 %.1f digits, exact limits %.1f", worst[1e-5], worst[1e-8])
}

// gaps takes n scores away, none from the first four athletes' first two sessions.
func gaps(rng *rand.Rand, table score.Table, n int) score.Table {
	k := len(table.Sessions)
	for n > 0 {
		c := rng.IntN(len(table.Value))
		if c/k < 4 && c%k < 2 || math.IsNaN(table.Value[c]) {
			continue
		}
		table.Value[c] = math.NaN()
		n--
	}
	return table
}

// longSeen is long without the scores that are missing.
func longSeen(tables map[string]score.Table) string {
	var b strings.Builder
	b.WriteString("measure,athlete,session,value\n")
	for _, name := range slices.Sorted(maps.Keys(tables)) {
		table := tables[name]
		for i, athlete := range table.Athletes {
			for j := range table.Sessions {
				if v := table.At(i, j); !math.IsNaN(v) {
					fmt.Fprintf(&b, "%s,%s,%d,%v\n", name, athlete, j+1, v)
				}
			}
		}
	}
	return b.String()
}
