package picture_test

import (
	"fmt"
	"math"
	"testing"

	"noisefloor/analysis/association"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/reports/picture"
)

// cohort invents session scores: true values, a gain after the second session
// for every third athlete, and noise.
func cohort(n int, scale score.Scale) score.Table {
	rng := seeded()
	t := score.Table{Sessions: []string{"pre 1", "pre 2", "post 1"}}
	for i := range n {
		t.Athletes = append(t.Athletes, fmt.Sprintf("A%02d", i+1))
		own := 540 + 70*rng.NormFloat64()
		for j := range t.Sessions {
			v := own + 25*rng.NormFloat64()
			if j == 2 && i%3 == 0 {
				v += 120
			}
			if scale == score.Log {
				v = math.Exp(v / 200)
			}
			t.Value, t.Trials = append(t.Value, v), append(t.Trials, 3)
		}
	}
	return t
}

// real makes every figure out of what the analyses return.
func real(t *testing.T, scale score.Scale) []picture.Picture {
	t.Helper()
	table := cohort(24, scale)
	study, err := table.Select("pre 1", "pre 2")
	if err != nil {
		t.Fatal(err)
	}
	rel, err := reliability.Analyse(study, reliability.Options{Scale: scale, Replicates: 200})
	if err != nil {
		t.Fatal(err)
	}
	judged, err := retest.Judge([]retest.Test{{Measure: "throw", Unit: "W", Scores: table,
		Noise:    reliability.Noise(rel, "throw", "W", score.Mean, "sessions pre 1, pre 2"),
		Baseline: []string{"pre 1", "pre 2"}, FollowUp: [][]string{{"post 1"}}}}, retest.Options{})
	if err != nil {
		t.Fatal(err)
	}
	in := association.Input{Athletes: table.Athletes, GroupName: "squad",
		Outcome: association.Variable{Name: "ball speed", Unit: "km/h", Reliability: math.NaN()},
		Tests:   []association.Variable{{Name: "throw", Unit: "W", Plane: "transverse", Reliability: math.NaN()}}}
	for i := range table.Athletes {
		in.Outcome.Value = append(in.Outcome.Value, table.At(i, 0))
		in.Tests[0].Value = append(in.Tests[0].Value, table.At(i, 1))
		in.Group = append(in.Group, []string{"junior", "senior"}[i%2])
	}
	goes, err := association.Analyse(in, association.Options{Replicates: 200})
	if err != nil {
		t.Fatal(err)
	}
	var all []picture.Picture
	add := func(p picture.Picture, err error) {
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
	add(picture.ChangeForest(picture.ForestInput{Label: "throw power", Unit: "W", Level: judged.Level,
		Changes: judged.Changes}))
	add(picture.AthleteRun(picture.RunInput{Run: judged.Runs[0], Label: "throw power", Unit: "W", Level: judged.Level}))
	add(picture.Agreement(picture.AgreementInput{Result: *rel.Agreement, Label: "throw power", Unit: "W",
		Scale: scale}))
	add(picture.NoiseOverview(picture.NoiseInput{Level: rel.Level,
		Rows: []picture.NoiseRow{picture.NewNoiseRow("throw power", rel)}}))
	add(picture.PlaneForest(picture.PlaneInput{Result: goes, Within: true, GroupName: "squad"}))
	add(picture.Scatter(picture.ScatterInput{Association: goes.Associations[0], OutcomeLabel: "ball speed",
		OutcomeUnit: "km/h", GroupName: "squad"}))
	return all
}

func TestRealResults(t *testing.T) {
	for _, scale := range []score.Scale{score.Raw, score.Log} {
		for _, p := range real(t, scale) {
			t.Run(string(scale)+" "+p.Name, func(t *testing.T) {
				checkLabels(t, p)
				look(t, "real-"+string(scale)+"-"+p.Name, p)
			})
		}
	}
}

// The judgement and the place must agree: a change is filled exactly when it
// lies outside the band drawn for it.
func TestRealAgreesWithTheBand(t *testing.T) {
	for _, scale := range []score.Scale{score.Raw, score.Log} {
		p := real(t, scale)[0]
		yes := 0
		for _, row := range p.Table.Rows {
			v, low, high := fromTable(t, row[3]), fromTable(t, row[6]), fromTable(t, row[7])
			if outside := v < low || v > high; outside != (row[10] != "inside") && v != low && v != high {
				t.Errorf("%s: %q", scale, row)
			}
			if row[10] != "inside" {
				yes++
			}
		}
		if yes == 0 || yes == len(p.Table.Rows) {
			t.Errorf("%s: %d of %d past the noise tests nothing", scale, yes, len(p.Table.Rows))
		}
	}
}
