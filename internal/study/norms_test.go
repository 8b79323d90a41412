package study_test

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"noisefloor/analysis/caveat"
	"noisefloor/analysis/norms"
	"noisefloor/internal/normsfile"
	"noisefloor/internal/numtest"
	"noisefloor/internal/study"
)

// levelled is a table of two sessions: n athletes of each level, throws in the unit, those
// of a level 5 above those of the one before; attempts of one session are alike.
func levelled(unit float64, sizes ...int) []byte {
	var b strings.Builder
	b.WriteString("athlete,level,session,throw\n")
	for l, n := range sizes {
		for i := range n {
			y := 40 + 5*float64(l) + 7*math.Sin(float64(3*i+l))
			for s := range 2 {
				fmt.Fprintf(&b, "%c%02d,l%d,%d,%.6f\n", 'A'+l, i+1, l, s+1, unit*(y+math.Sin(float64(11*i+5*s+l))))
			}
		}
	}
	return []byte(b.String())
}

func normsOf(t *testing.T, files fstest.MapFS, r study.Norms) (study.Outcome, *study.NormsResult) {
	t.Helper()
	if r.Table.Path == "" {
		r.Table.Path = "t.csv"
	}
	o, err := study.Run(&r, &study.Host{Version: "test", Files: files})
	if err != nil {
		t.Fatal(err)
	}
	return o, o.Result.(*study.NormsResult)
}

// The last session is the default, by the levels of the table; each level is judged by its
// own noise, which is that of reliability on its athletes.
func TestNormsByLevel(t *testing.T) {
	files := fstest.MapFS{"t.csv": {Data: levelled(1, 14, 12)}}
	_, r := normsOf(t, files, study.Norms{NoiseFrom: []string{"1", "2"}})
	if r.Session != "2" || len(r.Tests) != 1 || len(r.Tests[0].References) != 3 || len(r.Tests[0].Places) != 2*26 {
		t.Fatalf("%+v", r)
	}
	own := study.Reliability{Common: study.Common{Table: study.Table{Path: "t.csv", Where: []string{"level=l1"}}}}
	o, err := study.Run(&own, &study.Host{Files: files})
	if err != nil {
		t.Fatal(err)
	}
	want := o.Result.(*study.ReliabilityResult).Measures[0].Result.TypicalError
	got := r.Tests[0].References[1].Noise
	numtest.Close(t, "typical error of l1", got.TypicalError, want.Value, 1e-12)
	numtest.Close(t, "df", got.DF, want.DF, 1e-12)
	_, one := normsOf(t, files, study.Norms{NoiseFrom: []string{"1", "2"}, Session: "1", Athletes: []string{"a03"}})
	if one.Session != "1" || len(one.Tests[0].Places) != 2 || one.Tests[0].Places[0].Athlete != "A03" {
		t.Errorf("%+v", one.Tests[0].Places)
	}
}

// Without noise there is an answer and a doubt; a typical error for all stands in for that
// of the levels, and that is said.
func TestNormsNoise(t *testing.T) {
	files := fstest.MapFS{"t.csv": {Data: levelled(1, 14, 12)}}
	has := func(r *study.NormsResult, k caveat.Kind) bool {
		return slices.ContainsFunc(r.Tests[0].Caveats, func(c caveat.Caveat) bool { return c.Kind == k })
	}
	_, none := normsOf(t, files, study.Norms{})
	if !has(none, norms.NoiseNotKnown) || none.Tests[0].Places[0].Standing.Noise.HasInterval() {
		t.Errorf("no noise: %+v", none.Tests[0].Caveats)
	}
	_, given := normsOf(t, files, study.Norms{TypicalErrors: []study.TypicalError{{Measure: "throw", Value: 2, DF: 19}}})
	if has(given, norms.NoiseNotKnown) || !has(given, norms.SharedNoise) || given.Tests[0].References[0].Noise.TypicalError != 2 {
		t.Errorf("given: %+v", given.Tests[0].Caveats)
	}
	_, percent := normsOf(t, files, study.Norms{TypicalErrors: []study.TypicalError{{Measure: "throw", Value: 4, Unit: "%", DF: 19}}})
	if r := percent.Tests[0].References[2]; r.Scale != "log" {
		t.Errorf("a percentage: scale %s", r.Scale)
	} else {
		numtest.Close(t, "ln 1.04", r.Noise.TypicalError, math.Log(1.04), 1e-12)
	}
}

// saved is the norms file of a table.
func savedNorms(t *testing.T, o study.Outcome) ([]byte, []caveat.Caveat) {
	t.Helper()
	f, left, err := o.NormsFile()
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := normsfile.Write(&b, f); err != nil {
		t.Fatal(err)
	}
	return b.Bytes(), left
}

// The athletes of another table stand in a saved norms file, level by level; the bands of
// the two ways overlap, and nobody's code is in the file.
func TestNormsAgainst(t *testing.T) {
	files := fstest.MapFS{"t.csv": {Data: levelled(1, 34, 26, 4)}}
	o, own := normsOf(t, files, study.Norms{NoiseFrom: []string{"1", "2"}})
	text, left := savedNorms(t, o)
	if len(left) != 2 { // the level of 4, and the whole, which would tell it
		t.Errorf("left out: %+v", left)
	}
	for _, code := range []string{"A01", "B07", "C04"} {
		if bytes.Contains(text, []byte(code)) {
			t.Errorf("the file holds %s:\n%s", code, text)
		}
	}
	files["norms.json"] = &fstest.MapFile{Data: text}
	out, against := normsOf(t, files, study.Norms{Against: "norms.json"})
	if !slices.ContainsFunc(out.Caveats, func(c caveat.Caveat) bool { return c.Kind == norms.SameTable }) {
		t.Errorf("the same table is not said: %+v", out.Caveats)
	}
	for _, p := range against.Tests[0].Places {
		for _, q := range own.Tests[0].Places {
			if q.Athlete == p.Athlete && q.Whom == p.Whom &&
				(p.Standing.Band.Lower > q.Standing.Band.Upper || p.Standing.Band.Upper < q.Standing.Band.Lower) {
				t.Errorf("%s in %s: %+v in the table, %+v in its file", p.Athlete, p.Value, q.Standing.Band, p.Standing.Band)
			}
		}
	}
	if _, _, err := out.NormsFile(); err == nil {
		t.Error("norms out of a file were saved again")
	}
}

// What does not fit a norms file is refused, with what to do.
func TestNormsAgainstRefuses(t *testing.T) {
	files := fstest.MapFS{"t.csv": {Data: levelled(1, 34, 26)}}
	o, _ := normsOf(t, files, study.Norms{NoiseFrom: []string{"1", "2"}})
	text, _ := savedNorms(t, o)
	files["norms.json"] = &fstest.MapFile{Data: text}
	files["feet.json"] = &fstest.MapFile{Data: bytes.ReplaceAll(text, []byte(`"unit": ""`), []byte(`"unit": "ft"`))}
	files["other.json"] = &fstest.MapFile{Data: bytes.ReplaceAll(text, []byte(`"measure": "throw"`), []byte(`"measure": "jump"`))}
	files["less.json"] = &fstest.MapFile{Data: bytes.ReplaceAll(text, []byte(`"better": "unknown"`), []byte(`"better": "higher"`))}
	dictionary := `{"name": "d", "resources": [{"name": "t", "path": "t.csv", "nf:measures": [{"name": "throw", "unit": "m"}]}]}`
	files["datapackage.json"] = &fstest.MapFile{Data: []byte(dictionary)}
	for name, c := range map[string]struct {
		r       study.Norms
		says    string
		request bool
	}{
		"summary":   {study.Norms{Common: study.Common{Score: "best"}, Against: "norms.json"}, "leave --score out", true},
		"scale":     {study.Norms{Common: study.Common{Scale: "log"}, Against: "norms.json"}, "leave --scale out", true},
		"unit":      {study.Norms{Against: "feet.json"}, "in ft there and in m in the table", false},
		"test":      {study.Norms{Against: "other.json"}, "holds no norms of it", false},
		"direction": {study.Norms{Common: study.Common{Lower: []string{"throw"}}, Against: "less.json"}, "higher is better there", false},
		"noise":     {study.Norms{NoiseFrom: []string{"1", "2"}, Against: "norms.json"}, "brings the noise", true},
		"session":   {study.Norms{Session: "7"}, `no session "7"`, false},
		"athlete":   {study.Norms{Athletes: []string{"zz"}}, `no athlete "zz"`, false},
		"nothing":   {study.Norms{Against: "t.csv"}, "not a valid norms file", false},
		"two":       {study.Norms{Noise: []string{"a"}, NoiseFrom: []string{"1", "2"}}, "exclude each other", true},
		"one":       {study.Norms{NoiseFrom: []string{"1"}}, "at least two sessions", true},
	} {
		c.r.Table.Path = "t.csv"
		if c.r.Against != "" {
			c.r.Table.Dictionary = "datapackage.json"
		}
		_, err := study.Run(&c.r, &study.Host{Files: files})
		wrong := (*study.RequestError)(nil)
		if err == nil || !strings.Contains(err.Error(), c.says) || errors.As(err, &wrong) != c.request {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Nothing to keep is an error that says what a file needs.
func TestNormsFileNeeds(t *testing.T) {
	for name, r := range map[string]struct {
		sizes []int
		r     study.Norms
	}{
		"no noise": {[]int{30}, study.Norms{}},
		"few":      {[]int{9}, study.Norms{NoiseFrom: []string{"1", "2"}}},
	} {
		o, _ := normsOf(t, fstest.MapFS{"t.csv": {Data: levelled(1, r.sizes...)}}, r.r)
		if _, _, err := o.NormsFile(); err == nil || !strings.Contains(err.Error(), "10 athletes or more") {
			t.Errorf("%s: %v", name, err)
		}
	}
}
