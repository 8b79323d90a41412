package study_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/retest"
	"noisefloor/internal/study"
)

// How a typical error is written; what is read, by hand.
func TestParseTypicalError(t *testing.T) {
	for text, want := range map[string]study.TypicalError{
		"press=45":       {Measure: "press", Value: 45},
		" press = 45 W ": {Measure: "press", Value: 45, Unit: "W"},
		"press=45; df=19; source=club manual 2024, p. 3=4": {Measure: "press", Value: 45, DF: 19,
			Source: "club manual 2024, p. 3=4"},
		"press=45;SOURCE=x;level=u 18;DF=1e1":  {Measure: "press", Value: 45, DF: 10, Source: "x", Level: "u 18"},
		"throw=3.2%":                           {Measure: "throw", Value: 3.2, Unit: "%"},
		"throw=3.2 %; df=7":                    {Measure: "throw", Value: 3.2, Unit: "%", DF: 7},
		`"a=b; c"=.5 m/s²`:                     {Measure: "a=b; c", Value: 0.5, Unit: "m/s²"},
		`"q" = 1.e2`:                           {Measure: "q", Value: 100},
		"hop?=2":                               {Measure: "hop?", Value: 2},
		"throw.left=1.5e-3":                    {Measure: "throw.left", Value: 0.0015},
		"Wurf, links [m]=+2":                   {Measure: "Wurf, links [m]", Value: 2},
		"press=45; source=df=19; level=senior": {Measure: "press", Value: 45, Source: "df=19", Level: "senior"},
	} {
		got, err := study.ParseTypicalError(text)
		if diff := cmp.Diff(want, got); diff != "" || err != nil {
			t.Errorf("%q: %v\n%s", text, err, diff)
		}
	}
	for _, text := range []string{"", "=", "press", "press=", "=45", `"press=45`, `"press"45`, "press=x", "press=45;", "press=45;;",
		"press=45; df", "press=45; df=", "press=45; df=-1", "press=45; df=NaN", "press=45; club", "press=NaN", "press=Inf",
		"press=-Inf", "press=0x10", "press=1_000", "press=1e-200", "press=4 5", "press=4.5.6", "press=250%",
		"press=3.2 percent", "press=3.2 pct", "press=3.2%%", "press=3.2 ％", "press=3.2 % CV", "press=3.2 per cent",
		"press=45; df=1_0"} {
		if got, err := study.ParseTypicalError(text); err == nil {
			t.Errorf("%q is read as %+v", text, got)
		}
	}
}

func FuzzParseTypicalError(f *testing.F) {
	f.Add("press=45; df=19; source=club")
	f.Add(`"a=b"=3.2%; level=x`)
	f.Fuzz(func(t *testing.T, text string) {
		e, err := study.ParseTypicalError(text)
		if err == nil && (e.Measure == "" || !(e.Value > 0) || math.IsInf(e.Value, 0) || e.DF < 0 || !(e.DF < noise.Exact)) {
			t.Errorf("%q is read as %+v", text, e)
		}
	})
}

// One file may stand without its list, as it did.
func TestFilesInJSON(t *testing.T) {
	for text, want := range map[string]string{`{"noise":"a.json"}`: "a.json", `{"noise":["a.json","b.json"]}`: "a.json b.json",
		`{}`: ""} {
		var r study.Retest
		if err := json.Unmarshal([]byte(text), &r); err != nil || strings.Join(r.Noise, " ") != want {
			t.Errorf("%s: %v, %v", text, r.Noise, err)
		}
	}
	if err := json.Unmarshal([]byte(`{"noise":7}`), new(study.Retest)); err == nil {
		t.Error("7 is a file")
	}
}

// A typical error given for one level stands there in place of the study's, and the
// worthwhile change of the study stays; the other levels keep their noise.
func TestGivenForALevel(t *testing.T) {
	c := common()
	c.Measures = []string{"jump_height"}
	plain := run(t, &study.Retest{Common: c, NoiseFrom: []string{"1", "2"}}).Result.(*retest.Result)
	o := run(t, &study.Retest{Common: c, NoiseFrom: []string{"1", "2"},
		TypicalErrors: []study.TypicalError{{Measure: "jump_height", Level: "academy", Value: 1.4, DF: 30}}})
	r := o.Result.(*retest.Result)
	for i, n := range r.Noise {
		old := plain.Noise[i]
		switch {
		case n.Group != old.Group || n.Worthwhile != old.Worthwhile:
			t.Errorf("%s: worthwhile %g for %g", n.Group, n.Worthwhile, old.Worthwhile)
		case n.Group == "academy" && (n.TypicalError != 1.4 || n.DF != 30 || n.Athletes != 0):
			t.Errorf("%+v", n)
		case n.Group != "academy" && n.TypicalError != old.TypicalError:
			t.Errorf("%s: %g for %g", n.Group, n.TypicalError, old.TypicalError)
		}
	}
	if k := kinds(o); k[string(retest.ErrorGiven)] != 1 || k[string(retest.LevelsShareNoise)] != 0 {
		t.Errorf("%v", k)
	}
}
