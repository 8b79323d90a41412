package study_test

import (
	"encoding/json"
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"noisefloor/datasets"
	"noisefloor/internal/names"
	"noisefloor/internal/study"
)

func common() study.Common {
	return study.Common{Table: study.Table{Path: datasets.Table}, Seed: 1}
}

// requests ask every question, with what can be left open left open and with
// much of it said.
func requests() map[string]study.Request {
	before := common()
	before.Sessions = []string{"1", "2"}
	asked := before
	asked.Lower, asked.Score, asked.Confidence, asked.By, asked.Worthwhile = []string{"*contact*"}, "best", 0.9,
		"LEVEL", "observed:0.3"
	one := asked
	one.Sessions = nil
	return map[string]study.Request{
		"reliability":        &study.Reliability{Common: before},
		"reliability, asked": &study.Reliability{Common: asked, Agreement: []string{"2", "1"}},
		"retest":             &study.Retest{Common: common(), NoiseFrom: []string{"1", "2"}},
		"retest, asked": &study.Retest{Common: common(), NoiseFrom: []string{"1", "2"}, Baseline: "2",
			FollowUp: []string{"3+4"}, Athletes: []string{"c0*"}},
		"retest, error given": &study.Retest{Common: common(), Baseline: "1", FollowUp: []string{"2"},
			TypicalErrors: []study.TypicalError{{Measure: "Jump_Height", Value: 1.4, DF: 19, Source: "club"},
				{Measure: "side_throw_speed.left", Value: 2.5, Unit: "%"}}},
		"retest, error of a level": &study.Retest{Common: common(), NoiseFrom: []string{"1", "2"},
			TypicalErrors: []study.TypicalError{{Measure: "jump_height", Level: "ACADEMY", Value: 1.4}}},
		"norms": &study.Norms{Common: common(), NoiseFrom: []string{"1", "2"}},
		"norms, asked": &study.Norms{Common: one, Session: "2", Athletes: []string{"c0*"},
			TypicalErrors: []study.TypicalError{{Measure: "Jump_Height", Value: 1.4, DF: 19, Source: "club"}}},
		"correlate": &study.Correlate{Common: before, Outcome: "ball_speed"},
		"correlate, asked": &study.Correlate{Common: before, Outcome: "BALL_SPEED", Covariates: []string{"AGE"},
			Change: []string{"2", "3"}, Repeated: true},
	}
}

func host() *study.Host { return &study.Host{Version: "test", Files: datasets.Coast()} }

func run(t *testing.T, r study.Request) study.Outcome {
	t.Helper()
	o, err := study.Run(r, host())
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// A resolved request, written as JSON and read again, resolves to itself and has
// the same outcome: whoever has the settings of a result can run it again.
func TestResolvedRunsAgain(t *testing.T) {
	for name, r := range requests() {
		t.Run(name, func(t *testing.T) {
			first := run(t, r)
			text, err := json.Marshal(first.Request)
			if err != nil {
				t.Fatal(err)
			}
			again := reflect.New(reflect.TypeOf(r).Elem()).Interface().(study.Request)
			if err := json.Unmarshal(text, again); err != nil {
				t.Fatal(err)
			}
			second := run(t, again)
			same(t, "request", first.Request, second.Request)
			same(t, "result", first.Result, second.Result)
		})
	}
}

func same(t *testing.T, what string, a, b any) {
	t.Helper()
	exported := cmp.Exporter(func(reflect.Type) bool { return true })
	if diff := cmp.Diff(a, b, exported, cmpopts.EquateNaNs()); diff != "" {
		t.Errorf("%s (-first +again):\n%.2000s", what, diff)
	}
}

// Resolving leaves the request as it was.
func TestResolveChangesNothing(t *testing.T) {
	for name, r := range requests() {
		before, _ := json.Marshal(r)
		run(t, r)
		if after, _ := json.Marshal(r); string(after) != string(before) {
			t.Errorf("%s: %s became %s", name, before, after)
		}
	}
}

// Every open matter is closed, with its origin, and every input has its digest.
func TestEveryMatterIsClosed(t *testing.T) {
	o := run(t, requests()["retest"])
	r := o.Request.(*study.Retest)
	if r.Baseline != "1+2" || strings.Join(r.FollowUp, " ") != "3 4" || r.Score != "mean" || r.Confidence != 0.95 ||
		r.Narrow != 0.8 {
		t.Errorf("%+v", r)
	}
	for name, want := range map[string]study.Origin{"baseline": study.ByDefault, "follow-up": study.ByDefault,
		"noise":  study.FromRequest,
		"better": study.FromDictionary, "worthwhile": study.FromDictionary} {
		if r.Origins[name] != want {
			t.Errorf("%s comes from %q, want %q", name, r.Origins[name], want)
		}
	}
	if len(r.Inputs) != 2 || r.Inputs[0].Role != "table" || r.Inputs[1].Role != "dictionary" ||
		len(r.Inputs[0].SHA256) != 64 || len(r.Inputs[1].SHA256) != 64 {
		t.Errorf("inputs %+v", r.Inputs)
	}
	for _, m := range r.Measures {
		if test := r.Tests[m]; test.Better == "" || test.Scale == "" || test.Worthwhile == "" {
			t.Errorf("%s is left open: %+v", m, test)
		}
	}
}

// A name that matches nothing is an error that carries the nearest name, wherever
// it stands.
func TestUnknownNames(t *testing.T) {
	before := common()
	before.Sessions = []string{"1", "2"}
	with := func(change func(*study.Common)) study.Common { c := before; change(&c); return c }
	for name, r := range map[string]study.Request{
		"sessions":  &study.Reliability{Common: with(func(c *study.Common) { c.Sessions = []string{"1", "9"} })},
		"measures":  &study.Reliability{Common: with(func(c *study.Common) { c.Measures = []string{"bal_speed"} })},
		"lower":     &study.Reliability{Common: with(func(c *study.Common) { c.Lower = []string{"bal_speed"} })},
		"by":        &study.Reliability{Common: with(func(c *study.Common) { c.By = "levle" })},
		"anchor":    &study.Reliability{Common: with(func(c *study.Common) { c.Worthwhile = "outcome:bal_speed:1" })},
		"agreement": &study.Reliability{Common: before, Agreement: []string{"1", "7"}},
		"noise":     &study.Retest{Common: common(), NoiseFrom: []string{"1", "7"}},
		"baseline":  &study.Retest{Common: common(), NoiseFrom: []string{"1", "2"}, Baseline: "1+7"},
		"follow-up": &study.Retest{Common: common(), NoiseFrom: []string{"1", "2"}, FollowUp: []string{"7"}},
		"athlete":   &study.Retest{Common: common(), NoiseFrom: []string{"1", "2"}, Athletes: []string{"Z99"}},
		"given":     &study.Retest{Common: common(), TypicalErrors: []study.TypicalError{{Measure: "jump_heigt", Value: 1}}},
		"a level": &study.Retest{Common: common(), TypicalErrors: []study.TypicalError{{Measure: "jump_height", Value: 1,
			Level: "acdemy"}}},
		"outcome":   &study.Correlate{Common: before, Outcome: "bal_speed"},
		"covariate": &study.Correlate{Common: before, Outcome: "ball_speed", Covariates: []string{"agee"}},
		"planes":    &study.Correlate{Common: before, Outcome: "ball_speed", Planes: []string{"transvers", "sagittal"}},
		"change":    &study.Correlate{Common: before, Outcome: "ball_speed", Change: []string{"2", "8"}},
	} {
		_, err := study.Run(r, host())
		if e := (*names.Error)(nil); !errors.As(err, &e) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Choices that no data can meet are errors of the request.
func TestSenselessChoices(t *testing.T) {
	c := common()
	with := func(change func(*study.Common)) study.Common { c := c; change(&c); return c }
	for name, r := range map[string]study.Request{
		"score":      &study.Reliability{Common: with(func(c *study.Common) { c.Score = "worst" })},
		"scale":      &study.Reliability{Common: with(func(c *study.Common) { c.Scale = "square" })},
		"missing":    &study.Reliability{Common: with(func(c *study.Common) { c.Missing = "some" })},
		"confidence": &study.Reliability{Common: with(func(c *study.Common) { c.Confidence = 1 })},
		"worthwhile": &study.Reliability{Common: with(func(c *study.Common) { c.Worthwhile = "much" })},
		"replicates": &study.Reliability{Common: with(func(c *study.Common) { c.Replicates = 3 })},
		"agreement":  &study.Reliability{Common: c, Agreement: []string{"1"}},
		"two dictionaries": &study.Reliability{Common: with(func(c *study.Common) {
			c.Table.Dictionary, c.Table.NoDictionary = "datapackage.json", true
		})},
		"no noise":      &study.Retest{Common: c},
		"one session":   &study.Retest{Common: c, NoiseFrom: []string{"1"}},
		"two noises":    &study.Retest{Common: c, NoiseFrom: []string{"1", "2"}, Noise: study.Files{"n.json"}},
		"error below 0": &study.Retest{Common: c, TypicalErrors: []study.TypicalError{{Measure: "jump_height", Value: -1}}},
		"error in another unit": &study.Retest{Common: c, TypicalErrors: []study.TypicalError{{Measure: "jump_height",
			Unit: "furlong", Value: 1}}},
		"narrow":        &study.Retest{Common: c, NoiseFrom: []string{"1", "2"}, Narrow: 0.99},
		"which outcome": &study.Correlate{Common: c},
		"planes":        &study.Correlate{Common: c, Outcome: "ball_speed", Planes: []string{"sagittal"}},
		"change":        &study.Correlate{Common: c, Outcome: "ball_speed", Change: []string{"1"}},
		"study too":     &study.Correlate{Common: c, Outcome: "ball_speed", Noise: "a", Study: "b"},
	} {
		_, err := study.Run(r, host())
		if e := (*study.RequestError)(nil); !errors.As(err, &e) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// By hand: a covariate in capitals is the same measure, and no test.
func TestCovariateInCapitals(t *testing.T) {
	before := common()
	before.Sessions = []string{"1", "2"}
	name := run(t, &study.Reliability{Common: before}).Request.(*study.Reliability).Measures[0]
	o := run(t, &study.Correlate{Common: before, Outcome: "ball_speed", Covariates: []string{strings.ToUpper(name)}})
	for _, a := range o.Result.(*study.CorrelateResult).Result.Associations {
		if a.Measure == name {
			t.Errorf("%s is a covariate and a test", name)
		}
	}
}

// Where the order of the sessions is in doubt, a retest that rests on it is
// refused: newest first would turn every rise into a fall. Named sessions are
// judged.
func TestOrderInDoubt(t *testing.T) {
	text := "athlete,session,jump\n"
	for i, s := range []string{"red", "blue", "green"} {
		for a, x := range []float64{30, 33, 35, 38, 41} {
			text += string(rune('a'+a)) + "," + s + "," + json.Number(strings.TrimRight(strings.TrimRight(trim(x+float64(i*a%3)), "0"), ".")).String() + "\n"
		}
	}
	h := &study.Host{Files: fstest.MapFS{"t.csv": {Data: []byte(text)}}}
	c := study.Common{Table: study.Table{Path: "t.csv"}}
	r := &study.Retest{Common: c, NoiseFrom: []string{"red", "blue"}}
	if _, err := study.Run(r, h); err == nil || !strings.Contains(err.Error(), "--follow-up") {
		t.Errorf("judged by an order that nobody knows: %v", err)
	}
	r.Baseline, r.FollowUp = "red+blue", []string{"green"}
	if _, err := study.Run(r, h); err != nil {
		t.Error(err)
	}
}

func trim(x float64) string {
	b, _ := json.Marshal(math.Round(x*10) / 10)
	return string(b)
}
