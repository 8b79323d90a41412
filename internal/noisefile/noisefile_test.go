package noisefile_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"noisefloor/analysis/noise"
	"noisefloor/analysis/score"
	"noisefloor/internal/noisefile"
)

func ptr(x float64) *float64 { return &x }

func jump() noise.Model {
	return noise.Model{
		Measure: "jump", Unit: "cm", Scale: score.Log, TypicalError: 0.30000000000000004, DF: 7,
		Athletes: 8, Sessions: []string{"1", "2"}, Summary: score.Best, Trials: 8.0 / 3,
		Mean: 3.65, TrueSD: 1.0 / 3, ICC: -0.04, ICCK: 0.9,
		Worthwhile: 5e-324, WorthwhileUpper: 0.2, WorthwhileBasis: "0.2 of the true SD <between athletes>",
		Source: "sessions 1, 2 of this table", GapDays: ptr(7),
		TrialSD: 0.5, EqualP: 0.02, ScaleAdvice: "error-grows",
		Prints: &noise.Prints{Salt: strings.Repeat("0f", 32), Bits: [][]byte{{1, 2}, {0xff}}},
		Shifts: []noise.Shift{{From: "1", To: "2", Value: 0.1, SE: 1.0 / 3, DF: 33.2}},
	}
}

func file(models ...noise.Model) noisefile.File {
	return noisefile.File{
		CreatedFrom: noisefile.Origin{Path: "pre tests.csv", SHA256: strings.Repeat("0f", 32), Rows: 144},
		Settings:    map[string]any{"summary": "best", "level": 0.95, "sessions": []any{"1", "2"}},
		Measures:    models,
	}
}

func written(t testing.TB, f noisefile.File) string {
	t.Helper()
	var b bytes.Buffer
	if err := noisefile.Write(&b, f); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// sameBits compares files bit for bit, NaN being itself.
var sameBits = cmp.Options{
	cmp.Comparer(func(a, b float64) bool { return math.Float64bits(a) == math.Float64bits(b) || a != a && b != b }),
	cmpopts.EquateEmpty(),
}

func TestRoundTrip(t *testing.T) {
	want := file(jump(), noise.Model{Measure: "throw", Scale: score.Raw, TypicalError: 2, DF: 2.5,
		Mean: math.NaN(), TrueSD: math.NaN(), ICC: math.NaN(), ICCK: math.NaN()})
	text := written(t, want)
	got, err := noisefile.Read(strings.NewReader("\uFEFF"+text), "noise.json")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got, sameBits); diff != "" {
		t.Errorf("read back (-want +got):\n%s", diff)
	}
	if again := written(t, got); again != text {
		t.Errorf("written again it differs:\n%s\n%s", text, again)
	}
}

func TestRoundTripProperty(t *testing.T) {
	positive := rapid.Float64Range(5e-324, math.MaxFloat64)
	optional := rapid.OneOf(rapid.Just(math.NaN()), rapid.Float64Range(-1e300, 1))
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(0, 4).Draw(t, "sessions")
		m := noise.Model{
			Measure: rapid.StringN(1, 20, -1).Draw(t, "measure"), Unit: rapid.String().Draw(t, "unit"),
			Scale:        rapid.SampledFrom([]score.Scale{score.Raw, score.Log}).Draw(t, "scale"),
			TypicalError: positive.Draw(t, "error"), DF: rapid.Float64Range(1, noise.Exact).Draw(t, "df"),
			Mean: optional.Draw(t, "mean"), ICC: optional.Draw(t, "icc"), ICCK: optional.Draw(t, "icck"),
			TrueSD: math.Abs(optional.Draw(t, "sd")), Athletes: rapid.IntRange(2, 1e6).Draw(t, "athletes"),
			Sessions: rapid.SliceOfNDistinct(rapid.StringN(1, 5, -1), k, k, rapid.ID).Draw(t, "names"),
		}
		if k > 0 {
			m.Prints = &noise.Prints{Salt: strings.Repeat("0f", 32),
				Bits: rapid.SliceOfN(rapid.SliceOfN(rapid.Byte(), 1, 9), k, k).Draw(t, "prints")}
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

// The names of the keys are a contract with other programs: they are spelled
// out here, not taken from the code.
func TestKeys(t *testing.T) {
	text := written(t, file(jump()))
	var got map[string]any
	if err := json.Unmarshal([]byte(text), &got); err != nil {
		t.Fatal(err)
	}
	want := map[string]any{
		"schema":       "noisefloor/noise/4",
		"created_from": map[string]any{"path": "pre tests.csv", "sha256": strings.Repeat("0f", 32), "rows": 144.0},
		"settings":     map[string]any{"summary": "best", "level": 0.95, "sessions": []any{"1", "2"}},
		"measures": []any{map[string]any{
			"measure": "jump", "unit": "cm", "scale": "log", "typical_error": 0.30000000000000004, "df": 7.0,
			"athletes": 8.0, "sessions": []any{"1", "2"}, "summary": "best", "trials": 8.0 / 3,
			"mean": 3.65, "true_sd": 1.0 / 3, "icc": -0.04, "icc_k": 0.9,
			"worthwhile": 5e-324, "worthwhile_lower": 0.0, "worthwhile_upper": 0.2,
			"worthwhile_basis": "0.2 of the true SD <between athletes>",
			"source":           "sessions 1, 2 of this table", "prints": []any{"AQI=", "/w=="}, "gap_days": 7.0,
			"trial_sd": 0.5, "equal_noise_p": 0.02, "scale_advice": "error-grows",
			"mean_changes": []any{map[string]any{"from": "1", "to": "2", "estimate": 0.1, "se": 1.0 / 3, "df": 33.2}},
		}},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("keys (-want +got):\n%s", diff)
	}
	if !strings.HasSuffix(text, "}\n") || !strings.Contains(text, "\n  \"measures\"") || strings.Contains(text,
		`\u003c`) {
		t.Errorf("layout:\n%s", text)
	}
}

func TestAbsentIsLeftOut(t *testing.T) {
	text := written(t, noisefile.File{CreatedFrom: noisefile.Origin{Path: "-"}, Measures: []noise.Model{{
		Measure: "a", Scale: score.Raw, TypicalError: 1, DF: 1, Trials: math.NaN(), Worthwhile: math.NaN(),
		Mean: math.NaN(), TrueSD: math.Inf(1), ICC: math.NaN(), ICCK: math.NaN()}}})
	const want = `{"schema":"noisefloor/noise/4","created_from":{"path":"-"},"measures":[{"measure":"a","unit":"","scale":"raw","typical_error":1,"df":1}]}`
	var got bytes.Buffer
	if err := json.Compact(&got, []byte(text)); err != nil {
		t.Fatal(err)
	}
	if got.String() != want {
		t.Errorf("got  %s\nwant %s", got.String(), want)
	}
}

func TestFind(t *testing.T) {
	f, err := noisefile.Read(strings.NewReader(written(t, file(jump()))), "noise.json")
	if err != nil {
		t.Fatal(err)
	}
	m, ok := f.Find("jump", "")
	if diff := cmp.Diff(jump(), m, sameBits); !ok || diff != "" {
		t.Errorf("found %t (-want +got):\n%s", ok, diff)
	}
	m.Sessions[0], m.Prints.Bits[0][0], *m.GapDays = "x", 9, 9
	if f.Measures[0].Sessions[0] != "1" || f.Measures[0].Prints.Bits[0][0] != 1 || *f.Measures[0].GapDays != 7 {
		t.Error("Find gave away the file's own slices")
	}
	if _, ok := f.Find("Jump", ""); ok {
		t.Error("found a measure that is not there")
	}
}

// valid is the smallest file with everything that a wrong entry needs.
const valid = `{"schema":"noisefloor/noise/4","created_from":{"path":"a.csv"},"measures":[
{"measure":"jump","scale":"raw","typical_error":2,"df":7,"sessions":["1","2"],"prints":["YQ==","Yg=="]}]}`

func TestReadRefuses(t *testing.T) {
	if _, err := noisefile.Read(strings.NewReader(valid), "n.json"); err != nil {
		t.Fatalf("the valid one: %v", err)
	}
	in := "n.json: not a valid noise file: "
	at := in + `jump, measures[0], `
	tests := []struct {
		name, old, new string
		is             error
		want           string
	}{
		{"typical error 0", `"typical_error":2`, `"typical_error":0`, noisefile.ErrInvalid,
			at + `key "typical_error": must be above 0, found 0`},
		{"negative df", `"df":7`, `"df":-1`, noisefile.ErrInvalid, at + `key "df": must be 1 or above, found -1`},
		{"hardly any df", `"df":7`, `"df":1e-9`, noisefile.ErrInvalid, at + `key "df": must be 1 or above, found 1e-9`},
		{"limits beside the worthwhile change", `"df":7`,
			`"df":7,"worthwhile":2,"worthwhile_lower":3,"worthwhile_upper":5`, noisefile.ErrInvalid, "between them"},
		{"an upper limit below it", `"df":7`, `"df":7,"worthwhile":2,"worthwhile_lower":1,"worthwhile_upper":1.5`,
			noisefile.ErrInvalid, "between them"},
		{"an upper limit alone", `"df":7`, `"df":7,"worthwhile":2,"worthwhile_upper":3`, noisefile.ErrInvalid,
			"not without the lower"},
		{"text for a number", `"df":7`, `"df":"7"`, noisefile.ErrInvalid,
			at + `key "df": must be of type number, found "7"`},
		{"no typical error", `"typical_error":2,`, ``, noisefile.ErrInvalid,
			in + `jump, measures[0]: missing key "typical_error"`},
		{"huge df", `"df":7`, `"df":1e9`, noisefile.ErrInvalid, at + `key "df": must be 1000000 or below, found 1`},
		{"prints no base64", `["YQ==","Yg=="]`, `["YQ==","?"]`, noisefile.ErrInvalid, `base64`},
		{"misspelled key", `"df":7`, `"df":7,"athlets":8`, noisefile.ErrInvalid,
			in + `jump, measures[0]: unknown key "athlets"`},
		{"upper case key", `"df":7`, `"DF":7`, noisefile.ErrInvalid, `unknown key "DF"`},
		{"unknown scale", `"raw"`, `"ln"`, noisefile.ErrInvalid,
			at + `key "scale": must be one of ["raw","log"], found "ln"`},
		{"icc above 1", `"df":7`, `"df":7,"icc":1.01`, noisefile.ErrInvalid,
			at + `key "icc": must be 1 or below, found 1.01`},
		{"negative SD", `"df":7`, `"df":7,"true_sd":-1`, noisefile.ErrInvalid,
			at + `key "true_sd": must be 0 or above, found -1`},
		{"one athlete", `"df":7`, `"df":7,"athletes":1`, noisefile.ErrInvalid,
			at + `key "athletes": must be 2 or above, found 1`},
		{"no name", `"jump"`, `""`, noisefile.ErrInvalid, `measures[0], key "measure": must not be empty`},
		{"session twice", `["1","2"]`, `["1","1"]`, noisefile.ErrInvalid,
			at + `key "sessions": entries 1 and 2 are the same`},
		{"session no text", `["1","2"]`, `["1",2]`, noisefile.ErrInvalid,
			at + `key "sessions"[1]: must be of type string, found 2`},
		{"fewer prints", `["YQ==","Yg=="]`, `["YQ=="]`, noisefile.ErrInvalid,
			at[:len(at)-2] + `: keys "sessions" and "prints" must be equally long, found 2 and 1`},
		{"bad hash", `"a.csv"`, `"a.csv","sha256":"12"`, noisefile.ErrInvalid,
			`key "created_from", key "sha256": must be 64 hexadecimal digits in lower case, found "12"`},
		{"measure twice", `"Yg=="]}`, `"Yg=="]},{"measure":"jump","scale":"raw","typical_error":1,"df":1}`,
			noisefile.ErrInvalid, `jump, measures[1]: key "measure": the measure stands twice`},
		{"group without a column", `"jump",`, `"jump","group":"senior",`, noisefile.ErrInvalid,
			`jump, measures[0]: key "group": the file has no key "by"`},
		{"errors of what is not there", `"measures"`, `"together":[{"kind":"scores","of":["jump","hop"],"covariance":[[1],` +
			`[0,1]],"df":[[7],[7,7]]}],"measures"`, noisefile.ErrInvalid, `together[0]: no measure "hop" in group ""`},
		{"kind of errors", `"measures"`, `"together":[{"kind":"legs","of":["jump"],"covariance":[[1]],"df":[[7]]}],` +
			`"measures"`, noisefile.ErrInvalid, `must be one of ["scores","side_difference","countermovement_gain"]`},
		{"rows that are no triangle", `"measures"`, `"together":[{"kind":"scores","of":["jump"],"covariance":[[1,2]],` +
			`"df":[[7]]}],"measures"`, noisefile.ErrInvalid, `together[0]: row 1 has 2 numbers, want 1`},
		{"too few rows", `"measures"`, `"together":[{"kind":"scores","of":["jump"],"covariance":[],"df":[[7]]}],` +
			`"measures"`, noisefile.ErrInvalid, `together[0]: has 1 names and 0 rows`},
		{"negative variance", `"measures"`, `"together":[{"kind":"scores","of":["jump"],"covariance":[[-1]],"df":[[7]]}],` +
			`"measures"`, noisefile.ErrInvalid, `the variance of "jump" is negative`},
		{"key twice", `"df":7`, `"df":7,"df":8`, noisefile.ErrInvalid,
			in + `line 2, column 58: the key "df" stands twice`},
		{"settings no object", `"measures"`, `"settings":[],"measures"`, noisefile.ErrInvalid,
			`key "settings": must be of type object, found []`},
		{"null", `"typical_error":2`, `"typical_error":null`, noisefile.ErrInvalid,
			`key "typical_error": must be of type number, found null`},
		{"too large", `"df":7`, `"df":1e400`, noisefile.ErrInvalid, `number 1e400 is too large`},
		{"NaN", `"df":7`, `"df":NaN`, noisefile.ErrInvalid, in + `line 2, column 56: not JSON`},
		{"earlier version", `noise/4`, `noise/3`, noisefile.ErrVersion,
			`its schema is "noisefloor/noise/3", this program reads "noisefloor/noise/4"; use the version that made it, or make it again`},
		{"another result", `noise/4`, `reliability/1`, noisefile.ErrVersion, `reliability --save-noise makes one`},
		{"no schema", `"schema":"noisefloor/noise/4",`, ``, noisefile.ErrVersion, `it has no key "schema"`},
		{"not UTF-8", `jump`, "j\xffmp", noisefile.ErrInvalid, `it is not UTF-8 text`},
		{"no measures", `[
{"measure":"jump","scale":"raw","typical_error":2,"df":7,"sessions":["1","2"],"prints":["YQ==","Yg=="]}]`, `[]`, noisefile.ErrInvalid, in + `key "measures": must have at least one entry`},
		{"unknown key at the top", `"measures"`, `"note":1,"measures"`, noisefile.ErrInvalid,
			in + `unknown key "note"`},
		{"more after the end", `]}]}`, `]}]} {}`, noisefile.ErrInvalid, `not JSON`},
		{"empty", valid, " \n", noisefile.ErrInvalid, `it is empty`},
		{"array", valid, "[1]", noisefile.ErrVersion, `it has no key "schema"`},
		{"too long", valid, strings.Repeat(" ", 16<<20+1), noisefile.ErrInvalid, `larger than 16 MB`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if !strings.Contains(valid, tt.old) {
				t.Fatalf("the valid file has no %s", tt.old)
			}
			_, err := noisefile.Read(strings.NewReader(strings.Replace(valid, tt.old, tt.new, 1)), "n.json")
			if !errors.Is(err, tt.is) || !strings.Contains(err.Error(), tt.want) || !strings.HasPrefix(err.Error(),
				"n.json: ") {
				t.Errorf("got  %v\nwant %s", err, tt.want)
			}
		})
	}
}

// JSON does not tell 8 from 8.0 or 8e0.
func TestCountSpellings(t *testing.T) {
	for spelling, want := range map[string]int{"8": 8, "8.0": 8, "8e1": 80} {
		text := strings.Replace(valid, `"df":7`, `"df":7,"athletes":`+spelling, 1)
		f, err := noisefile.Read(strings.NewReader(text), "n.json")
		if err != nil || f.Measures[0].Athletes != want {
			t.Errorf("%s athletes: %v, error %v", spelling, f.Measures, err)
		}
	}
	text := strings.Replace(valid, `"df":7`, `"df":7,"athletes":8.5`, 1)
	if _, err := noisefile.Read(strings.NewReader(text), "n.json"); !errors.Is(err, noisefile.ErrInvalid) {
		t.Errorf("8.5 athletes: %v", err)
	}
}

func TestAllErrorsTogether(t *testing.T) {
	text := strings.NewReplacer(`"df":7`, `"df":0`, `"raw"`, `"x"`).Replace(valid)
	_, err := noisefile.Read(strings.NewReader(text), "n.json")
	if err == nil || !strings.Contains(err.Error(), `"df"`) || !strings.Contains(err.Error(), `"scale"`) {
		t.Errorf("not both keys are named: %v", err)
	}
	one := `{"measure":"m","scale":"x","typical_error":2,"df":7},`
	text = strings.Replace(valid, `"measures":[`, `"measures":[`+strings.Repeat(one, 25), 1)
	_, err = noisefile.Read(strings.NewReader(text), "n.json")
	if err == nil || !strings.Contains(err.Error(), "and 5 more") {
		t.Errorf("25 faults: %v", err)
	}
}

func TestWriteRefuses(t *testing.T) {
	for name, spoil := range map[string]func(*noise.Model){
		"typical error 0":   func(m *noise.Model) { m.TypicalError = 0 },
		"typical error NaN": func(m *noise.Model) { m.TypicalError = math.NaN() },
		"no scale":          func(m *noise.Model) { m.Scale = "" },
		"one print":         func(m *noise.Model) { m.Prints.Bits = m.Prints.Bits[:1] },
	} {
		m := jump()
		spoil(&m)
		var b bytes.Buffer
		if err := noisefile.Write(&b, file(m)); !errors.Is(err, noisefile.ErrInvalid) ||
			!strings.Contains(err.Error(), "jump") || b.Len() > 0 {
			t.Errorf("%s: wrote %d bytes, error %v", name, b.Len(), err)
		}
	}
	f := file(jump())
	f.Settings["bad"] = math.NaN()
	if err := noisefile.Write(&bytes.Buffer{}, f); !errors.Is(err, noisefile.ErrInvalid) {
		t.Errorf("a setting that is NaN: %v", err)
	}
}

type broken struct{}

func (broken) Read([]byte) (int, error)  { return 0, errBroken }
func (broken) Write([]byte) (int, error) { return 0, errBroken }

var errBroken = errors.New("broken")

func TestBrokenStream(t *testing.T) {
	if _, err := noisefile.Read(broken{}, "n.json"); !errors.Is(err, errBroken) {
		t.Errorf("Read: %v", err)
	}
	if err := noisefile.Write(broken{}, file(jump())); !errors.Is(err, errBroken) {
		t.Errorf("Write: %v", err)
	}
}

// The published schema names every key of the format and nothing else.
func TestSchemaText(t *testing.T) {
	var s struct {
		Schema string `json:"$schema"`
		Defs   struct {
			Measure struct{ Properties map[string]any }
		} `json:"$defs"`
	}
	if err := json.Unmarshal(noisefile.SchemaText, &s); err != nil {
		t.Fatal(err)
	}
	if s.Schema != "https://json-schema.org/draft/2020-12/schema" {
		t.Errorf("draft %q", s.Schema)
	}
	var got []string
	for key := range s.Defs.Measure.Properties {
		got = append(got, key)
	}
	slices.Sort(got)
	want := strings.Fields("athletes components df equal_noise_p gap_days group icc icc_k mean mean_changes measure prints scale scale_advice sessions source summary trial_sd trials true_sd typical_error unit worthwhile worthwhile_basis worthwhile_lower worthwhile_upper")
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("keys (-want +got):\n%s", diff)
	}
}

// Without df the typical error is one that nobody knows how well is known, and is
// written again without.
func TestWithoutDF(t *testing.T) {
	f, err := noisefile.Read(strings.NewReader(strings.Replace(valid, `,"df":7`, "", 1)), "n.json")
	if err != nil {
		t.Fatal(err)
	}
	if m := f.Measures[0]; m.DFKnown() || m.DF != noise.Exact {
		t.Errorf("df %g", m.DF)
	}
	if text := written(t, f); strings.Contains(text, `"df"`) {
		t.Errorf("written: %s", text)
	}
}

func FuzzRead(f *testing.F) {
	f.Add(valid)
	f.Add(written(f, file(jump())))
	f.Add(`{"schema":"noisefloor/noise/4"}`)
	f.Add(`{"schema":"noisefloor/noise/4","created_from":{"path":"a"},"measures":[{"measure":"a","scale":"raw","typical_error":1e-320,"df":1e308}]}`)
	f.Add(`[[[{"a":[{}],"a":1}]]]`)
	f.Add(written(f, file(withComponents())))
	f.Add(strings.Replace(valid, `"df":7`, `"df":7,"components":{"covariance":[[1,2,0],[2,1,0],[0,0,-0]]}`, 1))
	f.Fuzz(func(t *testing.T, text string) {
		file, err := noisefile.Read(strings.NewReader(text), "f")
		if err != nil {
			return // any text may be refused, none may panic
		}
		var b bytes.Buffer
		if err := noisefile.Write(&b, file); err != nil {
			t.Fatalf("read, but not written again: %v", err)
		}
		again, err := noisefile.Read(&b, "f")
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(file, again, sameBits); diff != "" {
			t.Fatal(diff)
		}
	})
}

// Levels and covariances come back to the bit; the keys are a contract, spelled out here.
func TestLevelsAndTogether(t *testing.T) {
	senior, left := jump(), jump()
	senior.Group, senior.TypicalError, left.Measure = "senior", 0.2, "hop"
	f := file(jump())
	f.By, f.Measures = "level", append(f.Measures, senior, left)
	f.Together = []noise.Together{{Kind: "scores", Of: []string{"hop", "jump"}, DF: [][]float64{{7, 7}, {7, 0}},
		Covariance: [][]float64{{0.25, -1.0 / 3}, {-1.0 / 3, math.NaN()}}}}
	text := written(t, f)
	got := read(t, text)
	if diff := cmp.Diff(f, got, sameBits); diff != "" {
		t.Errorf("read back (-want +got):\n%s", diff)
	}
	for group, want := range map[string]float64{"": jump().TypicalError, "senior": 0.2} {
		if m, ok := got.Find("jump", group); !ok || m.TypicalError != want || m.Group != group {
			t.Errorf("group %q: %+v", group, m)
		}
	}
	if _, ok := got.Find("hop", "senior"); ok {
		t.Error("found noise of a group that has none")
	}
	var short bytes.Buffer
	if err := json.Compact(&short, []byte(text)); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"by":"level"`, `"group":"senior"`,
		`"together":[{"kind":"scores","of":["hop","jump"],"covariance":[[0.25],[-0.3333333333333333,0]],"df":[[7],[7,0]]}]`} {
		if !strings.Contains(short.String(), want) {
			t.Errorf("no %s in %s", want, short.String())
		}
	}
}
