package association_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"noisefloor/analysis/association"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/score"
	"noisefloor/internal/numtest"
	"noisefloor/internal/oracle"
)

// R 4.2.2: mean squares by anova, with level, athlete and the sessions of each
// level (testdata/oracle/corrected_within.R).
func TestCorrectedWithinAgainstRecordedR(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "oracle", "corrected_within.csv"))
	if err != nil {
		t.Fatal(err)
	}
	correctedWithinAgainstR(t, data)
}

func TestCorrectedWithinAgainstLiveR(t *testing.T) {
	correctedWithinAgainstR(t, oracle.R(t, "corrected_within.R", ""))
}

func correctedWithinAgainstR(t *testing.T, data []byte) {
	t.Helper()
	parts := bytes.Split(data, []byte("#\n"))
	table := csvRows(t, parts[0])
	in := association.Input{GroupName: "level"}
	read := func(name string) association.Variable {
		v := association.Variable{Name: name, Better: score.Higher, Reliability: nan,
			Sessions: columns(t, table, name)[0]}
		for three := range slices.Chunk(v.Sessions, 3) {
			v.Value = append(v.Value, (three[0]+three[1]+three[2])/3)
		}
		return v
	}
	in.Outcome, in.Tests = read("y"), []association.Variable{read("x")}
	for i := 0; i < len(table); i += 3 {
		in.Athletes, in.Group = append(in.Athletes, fmt.Sprint(i)), append(in.Group, table[i]["level"])
	}
	a := analyse(t, in).Associations[0]
	c := a.Within.Corrected
	got := map[string]float64{"r": a.Within.Value, "test": c.ReliabilityTest, "outcome": c.ReliabilityOutcome,
		"corrected": c.Value}
	for _, w := range csvRows(t, parts[1]) {
		numtest.Close(t, w["name"], got[w["name"]], w.f(t, "value"), 1e-11)
	}
	if c.Kind != estimate.BCa || !c.HasInterval() || c.Excludes(c.Value) {
		t.Errorf("interval %+v", c.Estimate)
	}
	// Levels far apart lift the reliabilities over all, so that less is corrected.
	if !(a.Corrected.ReliabilityTest > c.ReliabilityTest+0.1) {
		t.Errorf("reliability over all %.2f, within %.2f", a.Corrected.ReliabilityTest, c.ReliabilityTest)
	}
}

// Without sessions of the table itself nothing is known within its levels.
func TestNoCorrectionWithin(t *testing.T) {
	for name, spoil := range map[string]func(*association.Input){
		"stated only": func(in *association.Input) {
			in.Tests[0].Reliability, in.Tests[0].ReliabilitySource, in.Tests[0].Sessions = 0.9, "elsewhere", nil
		},
		"another study": func(in *association.Input) {
			in.StudyAthletes, in.Tests[0].Study = people("S", 10), in.Tests[0].Sessions
			in.Tests[0].Sessions = nil
		},
	} {
		in := sessions()
		spoil(&in)
		a := analyse(t, in).Associations[0]
		if a.Corrected == nil || a.Within.Corrected != nil || !strings.Contains(said(a.Caveats),
			`no-reliability-within-level ["throw"]`) {
			t.Errorf("%s: %+v, %s", name, a.Within.Corrected, said(a.Caveats))
		}
	}
	in := sessions()
	for i := range in.Athletes { // inside a level only the noise differs
		one := []float64{0.5, -0.5}[i%2]
		other := 0.1*float64(i%3) - one
		in.Tests[0].Sessions[2*i], in.Tests[0].Sessions[2*i+1] = float64(20*(i/5))+one, float64(20*(i/5))+other
		in.Tests[0].Value[i] = float64(20*(i/5)) + (one+other)/2
	}
	a := analyse(t, in).Associations[0]
	if a.Within.Corrected != nil || !strings.Contains(said(a.Caveats), `reliability-unusable ["throw"] (throw, within)`) {
		t.Errorf("noise only: %+v, %s", a.Within.Corrected, said(a.Caveats))
	}
}

// Levels whose r differ are named, each with its r. Two levels of 12, one with r
// near 1 and one near -1: by eye.
func TestLevelsDiffer(t *testing.T) {
	in := plain(nil, nil)
	for i := range 24 {
		x, bend := float64(i%12), []float64{0.5, -0.5, 0.2}[i%3]
		slope := []float64{1, -1}[i/12]
		in.Athletes = append(in.Athletes, fmt.Sprint("P", i))
		in.Group = append(in.Group, []string{"old", "young"}[i/12])
		in.Tests[0].Value = append(in.Tests[0].Value, x)
		in.Outcome.Value = append(in.Outcome.Value, slope*x+bend)
	}
	a := analyse(t, in).Associations[0]
	w := a.Within
	want := fmt.Sprintf(`no-common-r ["throw"] (old, young) %.2f %.2f %.2f %.2f`, w.Homogeneity.P, w.Value,
		w.Groups[0].Value, w.Groups[1].Value)
	if !w.Differ || !strings.Contains(said(a.Caveats), want) || w.Groups[0].Value < 0.9 || w.Groups[1].Value > -0.9 {
		t.Errorf("%+v, %s", w, said(a.Caveats))
	}
	for i := range 12 {
		in.Outcome.Value[12+i] = in.Outcome.Value[i]
	}
	if a := analyse(t, in).Associations[0]; a.Within.Differ || strings.Contains(said(a.Caveats), "no-common-r") {
		t.Errorf("alike: %+v", a.Within)
	}
}
