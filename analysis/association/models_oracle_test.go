package association_test

import (
	"bytes"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"noisefloor/analysis/association"
	"noisefloor/analysis/estimate"
	"noisefloor/internal/numtest"
	"noisefloor/internal/oracle"
)

// The forms in which the oracle takes the tests of a plane.
var forms = map[string]association.BlockForm{"tests": association.BlockTests, "composite": association.BlockComposite}

// Values of R 4.2.2: lm, anova, confint, svd, and lm without each athlete
// (testdata/oracle/models.R).
func TestModelsAgainstRecordedR(t *testing.T) {
	modelsAgainstR(t, rows(t, "oracle", "models.csv"))
}

func TestModelsAgainstLiveR(t *testing.T) {
	modelsAgainstR(t, live(t, "models.R"))
}

// live runs a script of testdata/oracle on the oracle cohort now.
func live(t *testing.T, script string) []row {
	t.Helper()
	cohort, err := os.ReadFile(filepath.Join("..", "..", "testdata", "oracle", "correlation_cohort.csv"))
	if err != nil {
		t.Fatal(err)
	}
	records, err := csv.NewReader(bytes.NewReader(oracle.R(t, script, string(cohort)))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return toRows(records)
}

func modelsAgainstR(t *testing.T, want []row) {
	t.Helper()
	if len(want) != 264 {
		t.Fatalf("%d values from R, want 264", len(want))
	}
	sets := map[string]association.ModelSet{}
	for name, form := range forms {
		sets[name] = must[association.ModelSet](t)(association.Models(oracleInput(t),
			association.Options{Blocks: form, Replicates: 1}))
		if s := sets[name]; len(s.Models) != 4 || len(s.Added) != 4 || s.N != 54 || s.Form != form {
			t.Fatalf("%s: %d models, %d steps, n = %d, form %v", name, len(s.Models), len(s.Added), s.N, s.Form)
		}
	}
	fewest := 16.0
	for _, w := range want {
		got, ok := fromModels(sets[w["form"]], w["model"], w["name"])
		if !ok {
			t.Errorf("R gives %s %s %s, which is not looked at here", w["form"], w["model"], w["name"])
			continue
		}
		numtest.Close(t, w["form"]+" "+w["model"]+" "+w["name"], got, w.f(t, "value"), 1e-9)
		fewest = min(fewest, numtest.Digits(got, w.f(t, "value")))
	}
	t.Logf("%d values agree with R to %.1f digits or more", len(want), fewest)
}

func fromModels(s association.ModelSet, model, name string) (float64, bool) {
	if step, ok := strings.CutPrefix(model, "step "); ok {
		a := s.Added[step[0]-'0']
		v, ok := map[string]float64{"F": a.F, "p": a.P, "df1": a.DF1, "df2": a.DF2}[name]
		return v, ok
	}
	m := s.Models[model[0]-'0']
	of, term, _ := strings.Cut(name, " ")
	if term == "" {
		v, ok := map[string]float64{"r2": m.R2, "adjusted": m.AdjustedR2, "sigma": m.ResidualSD, "df": m.DF,
			"press": m.PRESS, "loo": m.R2LOO, "condition": m.Condition}[name]
		return v, ok
	}
	at := slices.IndexFunc(m.Terms, func(k association.Term) bool {
		return k.Name == term || term == "block" && k.Tests != nil || term == "level" && k.Block == "level"
	})
	if at < 0 {
		return math.NaN(), false
	}
	k := m.Terms[at]
	v, ok := map[string]float64{"vif": k.VIF, "b": k.Coefficient.Value, "p": k.P, "lower": k.Coefficient.Lower,
		"upper": k.Coefficient.Upper, "persd": k.PerSD}[of]
	return v, ok
}

// BCa limits of R package boot, 20,000 resamples each (bootstrap_limits.R). Two
// runs of 20,000 differ by chance: a limit at a probability p moves by
// √(p(1-p)/20000) of it, in the worst tail by a few hundredths of the interval.
func TestLimitsAgainstRecordedBoot(t *testing.T) {
	limitsAgainstBoot(t, rows(t, "oracle", "bootstrap_limits.csv"))
}

func TestLimitsAgainstLiveBoot(t *testing.T) {
	limitsAgainstBoot(t, live(t, "bootstrap_limits.R"))
}

func limitsAgainstBoot(t *testing.T, want []row) {
	t.Helper()
	in := completeOracle(t)
	o := association.Options{Bootstrap: true, Replicates: 20000, Seed: 1}
	r := must[association.Result](t)(association.Analyse(in, o))
	throw := r.Associations[0]
	got := map[string]interval{
		"pearson": of(throw.Pearson.BCa), "spearman": of(throw.Spearman.BCa), "partial": of(throw.Partial.BCa),
		"within":     of(throw.Within.BCa),
		"difference": of(r.Comparisons[0].BCa), "difference_within": of(r.WithinComparisons[0].BCa),
	}
	if len(want) != len(got) {
		t.Fatalf("%d limits from R, %d here", len(want), len(got))
	}
	for _, w := range want {
		name := w["name"]
		g, width := got[name], w.f(t, "upper")-w.f(t, "lower")
		numtest.Close(t, name, g.value, w.f(t, "value"), 1e-9)
		// Both use type-6-like quantiles, boot interpolates on the normal scale.
		numtest.CloseAbs(t, name+" lower", g.lower, w.f(t, "lower"), 0.04*width)
		numtest.CloseAbs(t, name+" upper", g.upper, w.f(t, "upper"), 0.04*width)
		t.Logf("%s: %.4f to %.4f, boot %.4f to %.4f", name, g.lower, g.upper, w.f(t, "lower"), w.f(t, "upper"))
	}
}

type interval struct{ value, lower, upper float64 }

// completeOracle is the oracle cohort without athletes who lack anything.
func completeOracle(t *testing.T) association.Input {
	t.Helper()
	in := oracleInput(t)
	var at []int
	for i := range in.Athletes {
		whole := in.Group[i] != "" && !math.IsNaN(in.Outcome.Value[i])
		for _, v := range slices.Concat(in.Tests, in.Covariates) {
			whole = whole && !math.IsNaN(v.Value[i])
		}
		if whole {
			at = append(at, i)
		}
	}
	return chosen(in, at)
}

// chosen is in with the athletes at these places, who may come more than once.
func chosen(in association.Input, at []int) association.Input {
	out := in
	out.Athletes, out.Group = nil, nil
	for k, i := range at {
		out.Athletes = append(out.Athletes, in.Athletes[i]+"-"+string(rune('A'+k)))
		if in.Group != nil {
			out.Group = append(out.Group, in.Group[i])
		}
	}
	take := func(v association.Variable) association.Variable {
		values := v.Value
		v.Value = nil
		for _, i := range at {
			v.Value = append(v.Value, values[i])
		}
		return v
	}
	out.Outcome = take(in.Outcome)
	out.Tests, out.Covariates = slices.Clone(in.Tests), slices.Clone(in.Covariates)
	for k := range out.Tests {
		out.Tests[k] = take(out.Tests[k])
	}
	for k := range out.Covariates {
		out.Covariates[k] = take(out.Covariates[k])
	}
	return out
}

func of(e *estimate.Estimate) interval { return interval{e.Value, e.Lower, e.Upper} }
