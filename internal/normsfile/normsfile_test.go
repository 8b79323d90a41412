package normsfile_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/norms"
	"noisefloor/analysis/score"
	"noisefloor/internal/normsfile"
)

// made is the file of two groups and the whole, scores normal or, on the log scale, skewed.
func made(t testing.TB, scale score.Scale, better score.Direction, sizes ...int) normsfile.File {
	t.Helper()
	r := rand.New(rand.NewPCG(3, uint64(len(sizes))))
	in := norms.Test{Measure: "throw", Unit: "km/h", Scale: scale, Better: better, Noise: map[string]norms.Noise{}}
	te := map[score.Scale]float64{score.Raw: 1.7, score.Log: 0.031}[scale]
	in.Noise[""] = norms.Noise{TypicalError: te, DF: noise.Exact, Source: "sessions 1, 2 of t.csv"}
	for g, n := range sizes {
		name := fmt.Sprintf("level %d", g)
		in.Noise[name] = norms.Noise{TypicalError: te, DF: float64(n) - 1.5, Source: "sessions 1, 2 of t.csv"}
		for range n {
			y := 60*math.Exp(0.1*r.NormFloat64()) + 3*float64(g)
			in.Athletes, in.Scores, in.Groups = append(in.Athletes, fmt.Sprint(len(in.Athletes))), append(in.Scores, y), append(in.Groups, name)
		}
	}
	result, err := norms.Analyse(in, norms.Options{Column: "level", Asked: []string{}})
	if err != nil {
		t.Fatal(err)
	}
	f := normsfile.File{CreatedFrom: normsfile.Origin{Path: "t.csv", SHA256: strings.Repeat("0f", 32), Rows: 144},
		Settings: map[string]any{"confidence": 0.95}, Session: "2", By: "level"}
	kept, _ := norms.Keep(result.References)
	for _, k := range kept {
		f.Cells = append(f.Cells, normsfile.Cell{Kept: k, Summary: score.Mean})
	}
	return f
}

func written(t testing.TB, f normsfile.File) string {
	t.Helper()
	var b bytes.Buffer
	if err := normsfile.Write(&b, f); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// Whatever Keep keeps is a file that Read takes, and it comes back as it was.
func TestRoundTrip(t *testing.T) {
	for _, scale := range []score.Scale{score.Raw, score.Log} {
		for _, better := range []score.Direction{score.Higher, score.Lower, score.Unknown} {
			for _, sizes := range [][]int{{12, 31}, {20, 60, 40}, {10}, {150, 19}, {25, 6, 7}} {
				want := made(t, scale, better, sizes...)
				text := written(t, want)
				got, err := normsfile.Read(strings.NewReader("\uFEFF"+text), "norms.json")
				if err != nil {
					t.Fatalf("%s %v: %v", scale, sizes, err)
				}
				if diff := cmp.Diff(want, got); diff != "" {
					t.Errorf("read back (-want +got):\n%s", diff)
				}
			}
		}
	}
}

// The names of the keys are a contract: they are spelled out here.
func TestKeys(t *testing.T) {
	var d struct {
		Schema   string
		Measures []map[string]any
	}
	if err := json.Unmarshal([]byte(written(t, made(t, score.Raw, score.Higher, 31, 40))), &d); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"measure", "group", "unit", "scale", "summary", "better", "athletes", "mean", "sd", "rho",
		"typical_error", "df", "source", "step", "unit_step", "quantiles"} {
		if _, ok := d.Measures[0][key]; !ok {
			t.Errorf("no key %q", key)
		}
	}
	if d.Schema != "noisefloor/norms-file/1" || len(d.Measures) != 3 {
		t.Errorf("%+v", d)
	}
}

// Every wrong key is refused by name; so is a file that holds more than it may.
func TestReadRefuses(t *testing.T) {
	good := written(t, made(t, score.Raw, score.Higher, 31, 40))
	for name, c := range map[string]struct {
		from, to, says string
		want           error
	}{
		"unknown key":  {`"by":`, `"bye": 1, "by":`, `unknown key "bye"`, normsfile.ErrInvalid},
		"an athlete":   {`"athletes": 31`, `"athletes": 31, "scores": [1, 2]`, `unknown key "scores"`, normsfile.ErrInvalid},
		"few athletes": {`"athletes": 31`, `"athletes": 9`, "must be 10 or above", normsfile.ErrInvalid},
		"quantiles":    {`"athletes": 31`, `"athletes": 11`, "tell too much", normsfile.ErrInvalid},
		"fine step":    {`"step": 1,`, `"step": 0.5,`, "finer than half the typical error", normsfile.ErrInvalid},
		"version":      {"norms-file/1", "norms-file/9", "this program reads", normsfile.ErrVersion},
		"noise file":   {"noisefloor/norms-file/1", "noisefloor/noise/3", "norms --save makes one", normsfile.ErrVersion},
		"no column":    {`"by": "level",`, ``, `has no key "by"`, normsfile.ErrInvalid},
		"twice":        {`"session":`, `"session": "2", "session":`, "stands twice", normsfile.ErrInvalid},
		"rho":          {`"rho": 0.`, `"rho": 0.0`, `key "rho"`, normsfile.ErrInvalid},
		"empty":        {good, "", "empty", normsfile.ErrInvalid},
		"no JSON":      {`"by":`, `by:`, "not JSON", normsfile.ErrInvalid},
		"not rounded":  {`"mean": `, `"mean": 0.1`, "multiples", normsfile.ErrInvalid},
	} {
		text := strings.Replace(good, c.from, c.to, 1)
		if text == good {
			t.Errorf("%s: nothing was changed in\n%s", name, good)
			continue
		}
		_, err := normsfile.Read(strings.NewReader(text), "norms.json")
		if !errors.Is(err, c.want) || !strings.Contains(fmt.Sprint(err), c.says) || !strings.HasPrefix(fmt.Sprint(err), "norms.json: ") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Write refuses what Read would, and writes nothing.
func TestWriteRefuses(t *testing.T) {
	f := made(t, score.Raw, score.Higher, 31)
	f.Cells[0].Step, f.Cells[0].UnitStep = 0.01, 0.01
	var b bytes.Buffer
	if err := normsfile.Write(&b, f); !errors.Is(err, normsfile.ErrInvalid) || b.Len() > 0 {
		t.Errorf("%v, %d bytes", err, b.Len())
	}
	if err := normsfile.Write(&b, normsfile.File{CreatedFrom: normsfile.Origin{Path: "t"}, Session: "1"}); !errors.Is(err, normsfile.ErrInvalid) {
		t.Errorf("no cell: %v", err)
	}
}

func FuzzRead(f *testing.F) {
	f.Add(written(f, made(f, score.Raw, score.Higher, 31, 40)))
	f.Add(written(f, made(f, score.Log, score.Lower, 12, 10)))
	f.Fuzz(func(t *testing.T, text string) {
		got, err := normsfile.Read(strings.NewReader(text), "f")
		if err == nil {
			written(t, got)
		}
	})
}
