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

	"noisefloor/analysis/association"
	"noisefloor/analysis/decision"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/score"
	"noisefloor/analysis/varcomp"
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
	values := strings.NewReplacer("MSR", "(1349.0/120)", "MSC", "(2339.0/72)", "MSE", "(367.0/360)", "MSW",
		"(451.0/72)",
		"k", "4.0", "n", "6.0", "−", "-", "·", "*")
	for name, want := range map[string]float64{"ICC(1)": .17, "ICC(A,1)": .29, "ICC(C,1)": .71, "ICC(k)": .44,
		"ICC(A,k)": .62, "ICC(C,k)": .91} {
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
	numtest.Close(t, "agreement error", r.AgreementError.Value, math.Sqrt(367.0/360+(2339.0/72-367.0/360)/6), 1e-12)
	says(t, "between-athlete SD", "√max(0, (MSR − MSE)/k)")
	numtest.Close(t, "true SD", r.TrueSD, math.Sqrt((1349.0/120-367.0/360)/4), 1e-12)
	says(t, "test of equal session means", "F = MSC/MSE")
	numtest.Close(t, "F", r.SessionTest.F, 2339.0/72/(367.0/360), 1e-12)
}

// The words of the decision study give, worked by hand, what the analysis
// computes; the components are invented and taken as known, so that t is normal.
func TestDesignFormulas(t *testing.T) {
	const a, as, e = 900.0, 100, 144
	known := varcomp.Components{Athlete: a, AthleteSession: as, Trial: e}
	rows, err := decision.Study(known, decision.Options{Sessions: 2, Trials: 3})
	if err != nil {
		t.Fatal(err)
	}
	says(t, "decision study", "σ²as/s + σ²e/(s·t)")
	says(t, "reliability", "σ²a/(σ²a + σ²as/s + σ²e/(s·t))")
	says(t, "decision study", "t(1−α/2, df)·√2 times its root")
	last, square := rows[len(rows)-1], as/2.0+e/(2.0*3)
	numtest.Close(t, "typical error", last.TypicalError.Value, math.Sqrt(square), 1e-12)
	numtest.Close(t, "reliability", last.Reliability.Value, a/(a+square), 1e-12)
	z := distuv.UnitNormal.Quantile(0.975)
	numtest.Close(t, "detectable change", last.Detectable, z*math.Sqrt2*math.Sqrt(square), 1e-9)
	says(t, "cheapest design", "t(1−α/2, df)·√2·√(σ²as/s) is above it")
	says(t, "cheapest design", "most sessions looked at, four")
	answer, err := decision.Cheapest(known, decision.Target{Goal: decision.Detectable, Value: 13}, decision.Options{})
	if err != nil {
		t.Fatal(err)
	}
	numtest.Close(t, "limit", answer.Limit, z*math.Sqrt2*math.Sqrt(as/4.0), 1e-9)
	if !answer.Never {
		t.Errorf("%+v", answer)
	}
}

// The words of the models give what the analysis computes. Twelve invented athletes
// on a line with errors; sums and leverages by hand.
func TestModelFormulas(t *testing.T) {
	x := []float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12}
	y := []float64{2, 1, 4, 3, 7, 5, 8, 6, 9, 12, 10, 11}
	set, err := association.Models(association.Input{
		Athletes: strings.Split("abcdefghijkl", ""), Outcome: association.Variable{Name: "speed", Value: y,
			Better: score.Higher},
		Tests: []association.Variable{{Name: "throw", Plane: "transverse", Value: x, Better: score.Higher},
			{Name: "jump", Plane: "sagittal", Value: []float64{3, 1, 2, 6, 4, 5, 9, 7, 8, 12, 10, 11},
				Better: score.Higher}},
	}, association.Options{Replicates: 200, Blocks: association.BlockTests})
	if err != nil {
		t.Fatal(err)
	}
	m := set.Models[len(set.Models)-1] // the throw alone
	if len(m.Terms) != 1 || m.Terms[0].Name != "throw" {
		t.Fatalf("%+v", m)
	}
	const n, meanX, sxx = 12.0, 6.5, 143.0
	meanY, sxy, total := 78/n, 0.0, 0.0
	for i := range x {
		sxy += (x[i] - meanX) * (y[i] - meanY)
		total += (y[i] - meanY) * (y[i] - meanY)
	}
	residual, press := 0.0, 0.0
	for i := range x {
		e, h := y[i]-meanY-sxy/sxx*(x[i]-meanX), 1/n+(x[i]-meanX)*(x[i]-meanX)/sxx
		residual += e * e
		press += e / (1 - h) * e / (1 - h)
	}
	r2 := 1 - residual/total
	says(t, "R²", "1 − SS residual/SS total")
	numtest.Close(t, "R²", m.R2, r2, 1e-10)
	says(t, "adjusted R²", "1 − (1 − R²)·(n − 1)/(n − p − 1)")
	numtest.Close(t, "adjusted R²", m.AdjustedR2, 1-(1-r2)*(n-1)/(n-1-1), 1e-10)
	says(t, "residual SD", "√(SS residual/(n − p))")
	numtest.Close(t, "residual SD", m.ResidualSD, math.Sqrt(residual/(n-2)), 1e-10)
	says(t, "prediction SD", "√(PRESS/n), PRESS = Σ(e_i/(1−h_i))²")
	numtest.Close(t, "prediction SD", m.PredictionSD, math.Sqrt(press/n), 1e-10)
	says(t, "PRESS R²", "/Σ(y_i − mean of the others)²")
	numtest.Close(t, "PRESS R²", m.R2LOO, 1-press/(total*(n/(n-1))*(n/(n-1))), 1e-10)
	says(t, "coefficient", "coefficient · SD of the term")
	numtest.Close(t, "for one SD", m.Terms[0].PerSD, sxy/sxx*math.Sqrt(sxx/(n-1)), 1e-10)
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
	if within := 2*distuv.UnitNormal.CDF(1) - 1; math.Abs(within-2.0/3) > 0.02 || !strings.Contains(term(t,
		"typical error").Plain, "two thirds") {
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
