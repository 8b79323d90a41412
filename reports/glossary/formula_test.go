package glossary_test

import (
	"fmt"
	"go/constant"
	"go/token"
	"go/types"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"noisefloor/analysis/estimate"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
	"noisefloor/reports/glossary"
)

// Shrout PE, Fleiss JL (1979), Psychological Bulletin 86:420-428: six targets
// (athletes here), four judges (sessions).
var shroutFleiss = score.Table{
	Athletes: []string{"1", "2", "3", "4", "5", "6"}, Sessions: []string{"1", "2", "3", "4"},
	Value: []float64{9, 2, 5, 8, 6, 1, 3, 2, 8, 4, 6, 8, 7, 1, 2, 6, 10, 5, 6, 9, 6, 2, 4, 7},
}

// The formulas of the six intraclass correlations are evaluated as they are
// written, on the exact mean squares of Shrout & Fleiss's table, and give the
// six ICCs that the paper prints (.17 .29 .71 .44 .62 .91).
func TestICCFormulas(t *testing.T) {
	values := strings.NewReplacer("MSR", "(1349.0/120)", "MSC", "(2339.0/72)", "MSE", "(367.0/360)", "MSW", "(451.0/72)",
		"k", "4.0", "n", "6.0", "−", "-", "·", "*")
	for name, want := range map[string]float64{"ICC(1)": .17, "ICC(A,1)": .29, "ICC(C,1)": .71, "ICC(k)": .44, "ICC(A,k)": .62, "ICC(C,k)": .91} {
		formula, _, _ := strings.Cut(term(t, name).Formula, ";")
		got, err := types.Eval(token.NewFileSet(), nil, token.NoPos, values.Replace(formula))
		if err != nil {
			t.Errorf("%s: %s: %v", name, formula, err)
			continue
		}
		v, _ := constant.Float64Val(got.Value)
		numtest.CloseAbs(t, name, v, want, 0.005)
	}
}

// The words of the detectable change give, worked by hand with gonum's t, what
// the analysis computes.
func TestDetectableChangeFormula(t *testing.T) {
	r, err := reliability.Analyse(shroutFleiss, reliability.Options{})
	if err != nil {
		t.Fatal(err)
	}
	says(t, "typical error", "TE = √MSE, df = (n−1)(k−1)")
	te, df := math.Sqrt(367.0/360), 5.0*3
	numtest.Close(t, "typical error", r.TypicalError.Value, te, 1e-12)
	says(t, "detectable change", "t(1−α/2, df)·√2·TE")
	says(t, "detectable change", "1.96")
	numtest.Close(t, "detectable change", r.DetectableChange.Value, student(0.975, df)*math.Sqrt2*te, 1e-9)
	numtest.Close(t, "large sample", r.DetectableChange.LargeSample, 1.96*math.Sqrt2*te, 1e-4)
	says(t, "agreement error", "√(MSE + max(0, (MSC − MSE)/n))")
	numtest.Close(t, "agreement error", r.AgreementError, math.Sqrt(367.0/360+(2339.0/72-367.0/360)/6), 1e-12)
	says(t, "between-athlete SD", "√max(0, (MSR − MSE)/k)")
	numtest.Close(t, "true SD", r.TrueSD, math.Sqrt((1349.0/120-367.0/360)/4), 1e-12)
	says(t, "test of equal session means", "F = MSC/MSE")
	numtest.Close(t, "F", r.SessionTest.F, 2339.0/72/(367.0/360), 1e-12)
}

// Numbers that the texts quote, recomputed with gonum's distributions.
func TestNumbersInTheTexts(t *testing.T) {
	for _, df := range []float64{7, 19} {
		says(t, "Student's t", fmt.Sprintf("%.2f for %g", student(0.975, df), df))
	}
	seven := distuv.StudentsT{Sigma: 1, Nu: 7}
	if alarms := 200 * seven.CDF(-1.96); math.Round(alarms) != 9 {
		t.Errorf("%.2f of 100 false alarms at 8 athletes and 2 sessions", alarms)
	}
	misleads(t, "detectable change", "8 athletes and 2 sessions calls 9 of 100")
	says(t, "profile likelihood interval", fmt.Sprintf("%.2f at 95 %%", distuv.ChiSquared{K: 1}.Quantile(0.95)))
	says(t, "log scale", fmt.Sprintf("+%.1f %% up and −%.1f %% down", estimate.Percent(0.1), -estimate.Percent(-0.1)))
	says(t, "coverage", fmt.Sprintf("%.2f points for 95 %% and 10 000 studies", 100*math.Sqrt(.95*.05/10_000)))
	if within := 2*distuv.UnitNormal.CDF(1) - 1; math.Abs(within-2.0/3) > 0.02 || !strings.Contains(term(t, "typical error").Plain, "two thirds") {
		t.Errorf("%.3f within one typical error", within)
	}
	if changed := 2 * distuv.UnitNormal.CDF(-distuv.UnitNormal.Quantile(0.9)); math.Abs(changed-1.0/5) > 1e-9 {
		t.Errorf("%.3f unchanged athletes look changed at 80 %%", changed)
	}
	misleads(t, "narrow interval", "one unchanged athlete in five")
}

func student(p, df float64) float64 { return distuv.StudentsT{Sigma: 1, Nu: df}.Quantile(p) }

func term(t *testing.T, name string) glossary.Term {
	t.Helper()
	found, ok := glossary.Find(name)
	if !ok || found.Name != name {
		t.Fatalf("no term %q", name)
	}
	return found
}

func says(t *testing.T, name, formula string) {
	t.Helper()
	if f := term(t, name).Formula; !strings.Contains(f, formula) {
		t.Errorf("%s: the formula is %q, not %q", name, f, formula)
	}
}

func misleads(t *testing.T, name, text string) {
	t.Helper()
	if m := term(t, name).Misleads; !strings.Contains(m, text) {
		t.Errorf("%s: no %q in %q", name, text, m)
	}
}
