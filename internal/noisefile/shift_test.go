package noisefile_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/internal/noisefile"
	"noisefloor/internal/numtest"
)

// stripped is the file without its optional settings.
func stripped(t *testing.T, text string) string {
	t.Helper()
	var d map[string]any
	if err := json.Unmarshal([]byte(text), &d); err != nil {
		t.Fatal(err)
	}
	delete(d, "settings")
	out, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

func read(t *testing.T, text string) noisefile.File {
	t.Helper()
	f, err := noisefile.Read(strings.NewReader(text), "noise.json")
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// studied are five athletes before and after one exposure to the test.
var studied = score.Table{Athletes: []string{"a", "b", "c", "d", "e"}, Sessions: []string{"1", "2"},
	Value: []float64{10, 12, 20, 21, 30, 33, 40, 41, 50, 54}}

// savedAt is the noise file of a study at a confidence level.
func savedAt(t *testing.T, level float64) string {
	t.Helper()
	r, err := reliability.Analyse(studied, reliability.Options{Level: level})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	f := noisefile.File{CreatedFrom: noisefile.Origin{Path: "pre.csv"}, Settings: map[string]any{"confidence": level},
		Measures: []noise.Model{reliability.Noise(r, "jump", "cm", score.Mean, "")}}
	if err := noisefile.Write(&b, f); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// The reading beyond practice at 95 % is the same from a file saved at 80 % and
// stripped of its settings as from one saved at 95 %. By hand: changes 2 1 3 1 4
// have the mean 2.2 and the variance 6.8/4, so SE² = 0.34; qt(.975, 4) of R is
// 2.7764451051977987.
func TestPracticeDoesNotDependOnTheLevelSaved(t *testing.T) {
	for name, text := range map[string]string{"95 %": savedAt(t, 0.95), "80 %": savedAt(t, 0.8),
		"80 %, stripped": stripped(t, savedAt(t, 0.8))} {
		m, _ := read(t, text).Find("jump", "")
		x := retest.Test{Measure: "jump", Unit: "cm", Noise: m, Baseline: []string{"2"}, FollowUp: [][]string{{"3"}},
			Scores: score.Table{Athletes: []string{"a"}, Sessions: []string{"1", "2", "3"}, Value: []float64{10, 12,
				15}}}
		r, err := retest.Judge([]retest.Test{x}, retest.Options{Learning: true})
		if err != nil {
			t.Fatal(err)
		}
		l := r.Changes[0].Learning
		if l == nil {
			t.Fatalf("%s: no reading beyond practice: %v", name, r.Caveats)
		}
		numtest.Close(t, name+": practice", l.Value, 2.2, 1e-12)
		numtest.Close(t, name+": half its interval", (l.Upper-l.Lower)/2, 2.7764451051977987*0.58309518948453, 1e-9)
	}
}

// A file in W does not judge a table in kW, and says so with both units. The
// unit is always written.
func TestFits(t *testing.T) {
	f := noisefile.File{Measures: []noise.Model{{Measure: "pull", Unit: "W", Scale: score.Raw}, {Measure: "cmj",
		Scale: score.Raw},
		{Measure: "throw", Unit: "m", Scale: score.Log}}}
	for _, tt := range []struct {
		measure, unit string
		fits          bool
	}{{"pull", "W", true}, {"pull", " W ", true}, {"pull", "", true}, {"cmj", "cm", true}, {"throw", "cm", true},
		{"pull", "kW", false}, {"pull", "w", false}} {
		err := f.Fits(tt.measure, tt.unit)
		var unit *noisefile.UnitError
		if tt.fits != (err == nil) || !tt.fits && (!errors.As(err, &unit) ||
			*unit != noisefile.UnitError{Measure: "pull", File: "W", Table: tt.unit}) {
			t.Errorf("%s in %q: %v", tt.measure, tt.unit, err)
		}
	}
	if err := f.Fits("sprint", "s"); !errors.Is(err, noisefile.ErrAbsent) {
		t.Errorf("a measure it does not have: %v", err)
	}
	bare := jump()
	bare.Unit = ""
	if text := written(t, file(bare)); !strings.Contains(text, `"unit": ""`) {
		t.Errorf("a measure without a unit does not say so: %s", text)
	}
}
