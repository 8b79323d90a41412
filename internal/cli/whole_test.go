package cli

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"noisefloor/datasets"
	"noisefloor/internal/study"
	"noisefloor/reports"
	"noisefloor/reports/picture"
	"noisefloor/reports/schema"
)

// Every command that asks a question is whole. Each thing that one can lack is a
// test of its own, so that `go test ./internal/cli -run Whole/NAME` lists what a new
// command still wants.
func TestEveryCommandIsWhole(t *testing.T) {
	folder := t.TempDir()
	for _, name := range []string{datasets.Table, datasets.Descriptor} {
		data, err := datasets.Coast().Open(name)
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if _, err := b.ReadFrom(data); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(folder, name), b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	t.Chdir(folder)
	for _, e := range questions() {
		t.Run(e.name, func(t *testing.T) { wholeCommand(t, e) })
	}
}

// sampled runs an entry's sample, with more, and returns what it prints.
func sampled(t *testing.T, e entry, more ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	args := []string{e.name, datasets.Table}
	if e.tableless {
		args = args[:1]
	}
	args = append(append(args, e.sample...), more...)
	if code := Main(args, strings.NewReader(""), &out, &errs); code != 0 {
		t.Fatalf("%v: exit %d: %s", args, code, errs.String())
	}
	return out.String()
}

func viewOf(t *testing.T, e entry) (study.Outcome, reports.View) {
	t.Helper()
	text := sampled(t, e, "--format", "json", "--quiet")
	var d struct{ Settings json.RawMessage }
	if err := json.Unmarshal([]byte(text), &d); err != nil {
		t.Fatal(err)
	}
	r := e.ask()
	if err := json.Unmarshal(d.Settings, r); err != nil {
		t.Fatal(err)
	}
	o, err := study.Run(r, &study.Host{Version: version(), Files: datasets.Coast()})
	if err != nil {
		t.Fatal(err)
	}
	return o, e.view(o, newAbout(o, "noisefloor "+e.name))
}

func wholeCommand(t *testing.T, e entry) {
	o, v := viewOf(t, e)
	has := func(name string, ok bool, why string) {
		t.Helper()
		t.Run(name, func(t *testing.T) {
			if !ok {
				t.Errorf("%s: %s", e.name, why)
			}
		})
	}
	answer := v.Answer()
	has("answer", len(answer) > 0 && !slices.ContainsFunc(answer, func(s string) bool { return !strings.HasSuffix(s, ".") }),
		"the answer is no sentences")
	has("title", strings.HasSuffix(v.Title(), "?"), "the title is not the question")
	has("method", len(v.Method()) > 0, "the view does not say how its numbers were made")
	sheet, err := v.Sheet()
	if err != nil {
		t.Fatal(err)
	}
	has("sheet-answer", len(sheet.Answer) >= 1 && len(sheet.Answer) <= 3, "the sheet has no answer of one to three sentences")
	has("sheet-table", len(sheet.Table.Rows) > 0 && len(sheet.Table.View().Heads) <= 6,
		"the sheet has no table, or one of many columns")
	has("sheet-source", sheet.Source != "", "the sheet does not say where its numbers come from")
	drawn, err := drawSheet(sheet)
	if err != nil {
		t.Fatal(err)
	}
	has("sheet-picture", drawn != nil, "the sheet has no picture")
	pictures, err := v.Pictures()
	if err != nil {
		t.Fatal(err)
	}
	has("pictures", len(pictures) > 0, "the working page has no picture")
	for _, p := range pictures {
		if p.Alt == "" || p.Caption == "" || len(p.Table.Rows) == 0 {
			has("picture-words", false, "picture "+p.Name+" has no words for those who do not see it, or no numbers")
		}
	}
	has("watch", len(sheet.Watch)+sheet.More > 0 || len(v.Warnings()) == 0, "the sheet does not say what to watch out for")
	for _, w := range v.Warnings() {
		if !strings.Contains(w, " ") {
			has("words", false, "the doubt "+w+" has no words")
		}
	}
	t.Run("json", func(t *testing.T) {
		if err := schema.Validate([]byte(sampled(t, e, "--format", "json", "--quiet"))); err != nil {
			t.Error(err)
		}
	})
	t.Run("csv", func(t *testing.T) {
		rows, err := csv.NewReader(strings.NewReader(sampled(t, e, "--format", "csv", "--quiet"))).ReadAll()
		if err != nil || len(rows) < 2 {
			t.Errorf("%s: CSV of %d rows, %v", e.name, len(rows), err)
		}
	})
	t.Run("flags", func(t *testing.T) {
		fl := e.make(streams{}).Flags()
		wanted := []string{"measure", "lower", "where", "column", "dictionary", "confidence", "out", "format"}
		if e.tableless {
			wanted = []string{"confidence", "seed", "simulate", "out", "format", "noise"}
		}
		for _, name := range wanted {
			if fl.Lookup(name) == nil {
				t.Errorf("%s has no --%s", e.name, name)
			}
		}
	})
	t.Run("same-bytes", func(t *testing.T) { sameBytes(t, e) })
	t.Run("settled", func(t *testing.T) { settled(t, o) })
	if e.tableless {
		return
	}
	t.Run("without-dictionary", func(t *testing.T) {
		if text := sampled(t, e, "--no-dictionary", "--format", "json", "--quiet"); schema.Validate([]byte(text)) != nil {
			t.Errorf("%s: without a dictionary the JSON does not conform", e.name)
		}
	})
}

// sameBytes wants the same from one core and from two.
func sameBytes(t *testing.T, e entry) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	first := ""
	for _, cores := range []int{1, 2} {
		runtime.GOMAXPROCS(cores)
		got := sampled(t, e, "--format", "json", "--quiet")
		if first == "" {
			first = got
		}
		if got != first {
			t.Errorf("%s: other bytes on %d cores", e.name, cores)
		}
	}
}

// settled wants no open matter in a resolved request: what has an origin has a value.
func settled(t *testing.T, o study.Outcome) {
	c := study.CommonOf(o.Request)
	v, kind := reflect.ValueOf(*c), reflect.TypeOf(*c)
	for i := range kind.NumField() {
		name, _, _ := strings.Cut(kind.Field(i).Tag.Get("json"), ",")
		known := map[string]string{"by": "by", "sessions": "sessions", "measures": "measures", "score": "score",
			"scale": "scale", "confidence": "confidence"}[name]
		if _, has := c.Origins[known]; has && v.Field(i).IsZero() && !(known == "sessions" && c.Sessions == nil) {
			t.Errorf("%s is left open", name)
		}
	}
}

func drawSheet(s reports.Sheet) (*picture.Picture, error) {
	if s.Draw == nil {
		return nil, nil
	}
	return s.Draw()
}
