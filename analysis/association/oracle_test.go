package association_test

import (
	"bytes"
	"encoding/csv"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"noisefloor/analysis/association"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
)

// The tests of the oracle cohort (testdata/oracle/correlation_cohort.R).
var oracleTests = []string{"throw", "jump", "pull", "sprint"}

func oracleInput(t testing.TB) association.Input {
	t.Helper()
	data := rows(t, "oracle", "correlation_cohort.csv")
	value := func(name string) []float64 { return columns(t, data, name)[0] }
	in := association.Input{Outcome: association.Variable{Name: "speed", Better: score.Higher, Value: value("speed")},
		GroupName: "level"}
	for _, r := range data {
		in.Athletes = append(in.Athletes, r["athlete"])
		in.Group = append(in.Group, r["level"])
	}
	for i, name := range oracleTests {
		v := association.Variable{Name: name, Value: value(name), Plane: []string{"transverse", "sagittal"}[min(i, 1)],
			Better: score.Higher}
		if name == "sprint" {
			v.Better = score.Lower
		}
		in.Tests = append(in.Tests, v)
	}
	for _, name := range []string{"mass", "age"} {
		in.Covariates = append(in.Covariates, association.Variable{Name: name, Value: value(name)})
	}
	return in
}

// Values of R 4.2.2: cor.test, lm, confint (testdata/oracle/within_level.R).
func TestAgainstRecordedR(t *testing.T) {
	againstR(t, rows(t, "oracle", "within_level.csv"), 1e-10)
}

// The same script run now by the R at hand.
func TestAgainstLiveR(t *testing.T) {
	if os.Getenv("NOISEFLOOR_R") != "1" {
		t.Skip("not compared with a live R: set NOISEFLOOR_R=1 where Rscript is installed")
	}
	oracle := filepath.Join("..", "..", "testdata", "oracle")
	script := exec.Command("Rscript", "--vanilla", "within_level.R", "correlation_cohort.csv")
	script.Dir, script.Stderr = oracle, os.Stderr
	out, err := script.Output()
	if err != nil {
		t.Fatal(err)
	}
	records, err := csv.NewReader(bytes.NewReader(out)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	againstR(t, toRows(records), 1e-10)
}

func againstR(t *testing.T, want []row, tolerance float64) {
	t.Helper()
	result := must[association.Result](t)(association.Analyse(oracleInput(t), association.Options{}))
	if len(want) != 140 {
		t.Fatalf("%d values from R, want 140", len(want))
	}
	fewest := 16.0
	for _, w := range want {
		a := result.Associations[slices.Index(oracleTests, w["test"])]
		got, ok := fromAssociation(a, w["kind"], w["name"])
		if !ok {
			t.Errorf("R gives %s %s, which is not looked at here", w["kind"], w["name"])
			continue
		}
		numtest.Close(t, w["test"]+" "+w["kind"]+" "+w["name"], got, w.f(t, "value"), tolerance)
		fewest = min(fewest, numtest.Digits(got, w.f(t, "value")))
	}
	t.Logf("%d values agree with R to %.1f digits or more", len(want), fewest)
}

// fromAssociation finds the number that the script calls kind and name.
func fromAssociation(a association.Association, kind, name string) (float64, bool) {
	c := map[string]association.Correlation{
		"pearson": a.Pearson, "spearman": a.Spearman, "partial": *a.Partial, "within": a.Within.Correlation,
		"slope": {Estimate: a.Slope},
	}[kind]
	values := map[string]float64{"r": c.Value, "value": c.Value, "n": float64(c.N), "df": c.DF, "p": c.P,
		"lower": c.Lower, "upper": c.Upper, "across": a.Within.Across,
		"homogeneity": a.Within.Homogeneity.Statistic, "homogeneity_p": a.Within.Homogeneity.P}
	for _, l := range a.Within.Groups {
		values[l.Group] = l.Value
	}
	for i, p := range []association.LinePoint{a.Line[0], a.Line[len(a.Line)-1]} {
		end := string(rune('1' + i))
		values["fit"+end], values["lwr"+end], values["upr"+end] = p.Y.Value, p.Y.Lower, p.Y.Upper
	}
	v, ok := values[name]
	return v, ok
}
