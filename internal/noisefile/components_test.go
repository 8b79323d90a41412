package noisefile_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"noisefloor/analysis/cell"
	"noisefloor/analysis/noise"
	"noisefloor/analysis/varcomp"
	"noisefloor/internal/noisefile"
)

func withComponents() noise.Model {
	m := jump()
	m.Components = &varcomp.Components{Athlete: 100.0 / 3, AthleteSession: 0, Trial: 5e-324,
		Covariance: [3][3]float64{{4, -0.1, 0}, {-0.1, 1.0 / 3, 1e-300}, {0, 1e-300, 1e300}}}
	return m
}

func readBack(t *testing.T, m noise.Model) (noise.Model, string) {
	t.Helper()
	text := written(t, file(m))
	f, err := noisefile.Read(strings.NewReader(text), "noise.json")
	if err != nil {
		t.Fatal(err)
	}
	if again := written(t, f); again != text {
		t.Errorf("written again it differs:\n%s\n%s", text, again)
	}
	return f.Measures[0], text
}

// The keys are a contract, spelled out here.
func TestComponentsKeys(t *testing.T) {
	m, text := readBack(t, withComponents())
	if diff := cmp.Diff(withComponents(), m, sameBits); diff != "" {
		t.Errorf("read back (-want +got):\n%s", diff)
	}
	var got struct {
		Measures []struct{ Components any }
	}
	if err := json.Unmarshal([]byte(text), &got); err != nil {
		t.Fatal(err)
	}
	want := map[string]any{"athlete": 100.0 / 3, "athlete_session": 0.0, "trial": 5e-324,
		"covariance": []any{[]any{4.0, -0.1, 0.0}, []any{-0.1, 1.0 / 3, 1e-300}, []any{0.0, 1e-300, 1e300}}}
	if diff := cmp.Diff(any(want), got.Measures[0].Components); diff != "" {
		t.Errorf("keys (-want +got):\n%s", diff)
	}
}

// NaN cannot be spelled: a single component that is not known is left out, and
// so is a covariance matrix that is not known in full.
func TestComponentsNotKnown(t *testing.T) {
	merged := noise.Model{Measure: "a", Scale: "raw", TypicalError: 1, DF: 1, Mean: nan, TrueSD: nan, ICC: nan,
		ICCK: nan,
		Components: &varcomp.Components{Athlete: 2, AthleteSession: nan, Trial: 1, Merged: varcomp.WithTrial,
			Covariance: [3][3]float64{{1, 0, 0.5}, {}, {0.5, 0, 1}}}}
	got, text := readBack(t, merged)
	if diff := cmp.Diff(merged, got, sameBits); diff != "" {
		t.Errorf("read back (-want +got):\n%s", diff)
	}
	var short bytes.Buffer
	if err := json.Compact(&short, []byte(text)); err != nil {
		t.Fatal(err)
	}
	const want = `"components":{"athlete":2,"trial":1,"covariance":[[1,0,0.5],[0,0,0],[0.5,0,1]],"merged":"athlete×session with trial"}}]}`
	if !strings.HasSuffix(short.String(), want) {
		t.Errorf("got  %s\nwant …%s", short.String(), want)
	}
	merged.Components.Covariance[2][2] = nan
	got, text = readBack(t, merged)
	if strings.Contains(text, "covariance") {
		t.Errorf("a matrix with NaN was written:\n%s", text)
	}
	for _, row := range got.Components.Covariance {
		for _, v := range row {
			if !math.IsNaN(v) {
				t.Errorf("an unknown covariance is read as %g", v)
			}
		}
	}
	merged.Components = nil
	if _, text = readBack(t, merged); strings.Contains(text, "components") {
		t.Errorf("no components were written:\n%s", text)
	}
}

var nan = math.NaN()

// What a fit leaves behind passes: its matrix is symmetric to rounding, not to
// the last bit.
func TestComponentsOfAFit(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 50 {
		var d cell.Values
		d.Athletes, d.Sessions = 6, 3
		for i := range int32(6) {
			level := 300 + 20*rng.NormFloat64()
			for s := range int32(3) {
				day := 3 * rng.NormFloat64()
				for range 1 + rng.IntN(3) {
					d.Athlete, d.Session = append(d.Athlete, i), append(d.Session, s)
					d.Value = append(d.Value, level+day+4*rng.NormFloat64())
				}
			}
		}
		r, err := varcomp.Fit(d.Grid(), varcomp.Options{Limits: varcomp.NoLimits})
		if err != nil {
			t.Fatal(err)
		}
		m, c := jump(), r.Components()
		m.Components = &c
		if got, _ := readBack(t, m); cmp.Diff(m, got, sameBits) != "" {
			t.Fatalf("%+v became %+v", c, *got.Components)
		}
	}
}

func TestComponentsRoundTripProperty(t *testing.T) {
	variance := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(0, 1e300))
	unknown := rapid.OneOf(rapid.Just(nan), variance)
	rapid.Check(t, func(t *rapid.T) {
		m := jump()
		m.Components = &varcomp.Components{
			Athlete: unknown.Draw(t, "athlete"), AthleteSession: unknown.Draw(t, "day"), Trial: unknown.Draw(t,
				"trial"),
			Merged: rapid.SampledFrom([]varcomp.Merged{varcomp.NotMerged, varcomp.WithTrial, varcomp.WithAthlete,
				varcomp.NotInTheFit}).Draw(t, "merged"),
		}
		c := &m.Components.Covariance
		for i := range 3 {
			c[i][i] = variance.Draw(t, "variance")
			for j := range i {
				c[i][j] = rapid.Float64Range(-1, 1).Draw(t, "r") * math.Sqrt(c[i][i]) * math.Sqrt(c[j][j])
				c[j][i] = c[i][j]
			}
		}
		var b bytes.Buffer
		if err := noisefile.Write(&b, file(m)); err != nil {
			t.Fatal(err)
		}
		got, err := noisefile.Read(&b, "")
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(file(m), got, sameBits); diff != "" {
			t.Fatalf("read back (-want +got):\n%s", diff)
		}
	})
}

func TestReadRefusesComponents(t *testing.T) {
	const whole = `{"athlete":9,"athlete_session":4,"trial":1,"covariance":[[5,1,0],[1,2,0.5],[0,0.5,1]]}`
	const at = `n.json: not a valid noise file: jump, measures[0], key "components", `
	for _, tt := range []struct{ name, old, new, want string }{
		{"negative variance", `"trial":1`, `"trial":-1`, at + `key "trial": must be 0 or above, found -1`},
		{"text", `"trial":1`, `"trial":"1"`, at + `key "trial": must be of type number, found "1"`},
		{"unknown key", `"trial"`, `"trials"`, at[:len(at)-2] + `: unknown key "trials"`},
		{"two rows", `,[0,0.5,1]`, ``, at + `key "covariance": must have 3 entries, found 2`},
		{"four rows", `1]]`, `1],[0,0,0]]`, at + `key "covariance": must have 3 entries, found 4`},
		{"two columns", `[5,1,0]`, `[5,1]`, at + `key "covariance"[0]: must have 3 entries, found 2`},
		{"null", `[5,1,0]`, `[null,1,0]`, at + `key "covariance"[0][0]: must be of type number, found null`},
		{"not symmetric", `[5,1,0]`, `[5,1.1,0]`,
			at + `key "covariance": must be symmetric, found 1 in row 2, column 1, and 1.1 in row 1, column 2`},
		{"beside nothing", `"covariance":[[5,1,0],[1,`, `"covariance":[[0,1e-9,0],[0,`,
			at + `key "covariance": must be symmetric`},
		{"negative diagonal", `[0,0.5,1]`, `[0,0.5,-1]`,
			at + `key "covariance": row 3, column 3 is a variance and must be 0 or above, found -1`},
		{"merged otherwise", `}`, `,"merged":"days"}`, at + `key "merged": must be one of`},
		{"no object", whole, `[]`, at[:len(at)-2] + `: must be of type object, found []`},
	} {
		if !strings.Contains(whole, tt.old) {
			t.Fatalf("%s: no %s", tt.name, tt.old)
		}
		text := strings.Replace(valid, `"df":7`, `"df":7,"components":`+strings.Replace(whole, tt.old, tt.new, 1), 1)
		_, err := noisefile.Read(strings.NewReader(text), "n.json")
		if !errors.Is(err, noisefile.ErrInvalid) || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s:\ngot  %v\nwant %s", tt.name, err, tt.want)
		}
	}
	for _, good := range []string{whole, `{}`, `{"athlete":9,"trial":0,"merged":"no athlete×session component"}`,
		strings.Replace(whole, `[5,1,0]`, `[5,1.000000001,0]`, 1)} { // rounding
		if _, err := noisefile.Read(strings.NewReader(strings.Replace(valid, `"df":7`, `"df":7,"components":`+good,
			1)), "n.json"); err != nil {
			t.Errorf("%s: %v", good, err)
		}
	}
}

// Write keeps what Read would refuse out of the file.
func TestWriteRefusesComponents(t *testing.T) {
	m := withComponents()
	m.Components.Trial = -1
	var b bytes.Buffer
	if err := noisefile.Write(&b, file(m)); !errors.Is(err, noisefile.ErrInvalid) || b.Len() > 0 {
		t.Errorf("a negative variance: wrote %d bytes, error %v", b.Len(), err)
	}
}

// Find gives away nothing of the file.
func TestFindComponents(t *testing.T) {
	f := file(withComponents())
	m, _ := f.Find("jump", "")
	m.Components.Trial, m.Shifts[0].From = 7, "?"
	if diff := cmp.Diff(file(withComponents()), f, sameBits); diff != "" {
		t.Errorf("the file changed (-want +got):\n%s", diff)
	}
}
