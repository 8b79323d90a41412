package study_test

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"noisefloor/analysis/retest"
	"noisefloor/datasets"
	"noisefloor/internal/noisefile"
	"noisefloor/internal/numtest"
	"noisefloor/internal/study"
)

// saved is the noise file of a study.
func saved(t *testing.T, h *study.Host, r *study.Reliability) []byte {
	t.Helper()
	o, err := study.Run(r, h)
	if err != nil {
		t.Fatal(err)
	}
	f, err := o.NoiseFile()
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := noisefile.Write(&b, f); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func coast(t *testing.T) (text, descriptor []byte) {
	t.Helper()
	text, err := fs.ReadFile(datasets.Coast(), datasets.Table)
	if err == nil {
		descriptor, err = fs.ReadFile(datasets.Coast(), datasets.Descriptor)
	}
	if err != nil {
		t.Fatal(err)
	}
	return text, descriptor
}

// Tables that are nearly the study's own are recognised: with an athlete more, one
// value off by 0.1, or all values rounded to one decimal. Of the demo cohort's tests
// those whose noise is well above 0.1 are.
func TestNearlyOwnTables(t *testing.T) {
	text, descriptor := coast(t)
	h := &study.Host{Files: fstest.MapFS{"t.csv": {Data: text}, datasets.Descriptor: {Data: descriptor}}}
	c := study.Common{Table: study.Table{Path: "t.csv", Dictionary: datasets.Descriptor}, Sessions: []string{"1", "2"},
		Measures: []string{"jump_height", "*throw*", "cable_turn", "cable_p*"}}
	noise := saved(t, h, &study.Reliability{Common: c})
	lines := strings.Split(strings.TrimSpace(string(text)), "\n")
	for name, change := range map[string]func() []string{
		"one athlete more": func() []string {
			out := lines
			for _, l := range lines[1:] {
				if strings.HasPrefix(l, "C01,") {
					at := strings.LastIndex(l, ",")
					x, err := strconv.ParseFloat(l[at+1:], 64)
					if err != nil {
						continue
					}
					out = append(out[:len(out):len(out)], fmt.Sprintf("C99,%s,%.1f", l[4:at], x*1.07))
				}
			}
			return out
		},
		"one value off": func() []string {
			out := append([]string{}, lines...)
			out[1] = strings.TrimSuffix(out[1], ",46") + ",46.1"
			return out
		},
		"rounded": func() []string {
			out := append([]string{}, lines...)
			for i, l := range lines[1:] {
				at := strings.LastIndex(l, ",")
				if x, err := strconv.ParseFloat(l[at+1:], 64); err == nil {
					out[i+1] = l[:at+1] + fmt.Sprint(math.Round(10*x)/10)
				}
			}
			return out
		},
	} {
		changed := strings.Join(change(), "\n") + "\n"
		if changed == string(text) {
			t.Fatalf("%s: nothing changed", name)
		}
		h := &study.Host{Files: fstest.MapFS{"t.csv": {Data: []byte(changed)}, datasets.Descriptor: {Data: descriptor},
			"n.json": {Data: noise}}}
		d := c
		d.Sessions = nil
		_, err := study.Run(&study.Retest{Common: d, Noise: study.Files{"n.json"}, Baseline: "1", FollowUp: []string{"2"}}, h)
		if !errors.Is(err, retest.ErrOwnNoise) {
			t.Errorf("%s: judged, %v", name, err)
		}
		o, err := study.Run(&study.Retest{Common: d, Noise: study.Files{"n.json"}, Baseline: "1+2",
			FollowUp: []string{"3"}}, h)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if c := kinds(o); c[string(retest.OwnNoise)] > 0 || c[string(retest.MostlyOwnNoise)] > 0 {
			t.Errorf("%s: session 3 is taken for one of the study: %v", name, c)
		}
	}
}

// kinds counts the doubts of an outcome.
func kinds(o study.Outcome) map[string]int {
	out := map[string]int{}
	all := o.Caveats
	if r, ok := o.Result.(*retest.Result); ok {
		all = append(all, r.Caveats...)
	}
	for _, c := range all {
		out[string(c.Kind)]++
	}
	return out
}

// Points from 1 to 3 of eight athletes, in another table of the same athletes on other
// days.
func TestCoarseTablesAreJudged(t *testing.T) { coarseTables(t, 30) }

func TestCoarseTablesAreJudgedLong(t *testing.T) {
	numtest.Heavy(t)
	coarseTables(t, 1000)
}

func coarseTables(t *testing.T, tables int) {
	rng := rand.New(rand.NewPCG(1, 20))
	refused := 0
	for range tables {
		var level [8]int
		for a := range level {
			level[a] = 1 + rng.IntN(3)
		}
		table := func() []byte {
			var b strings.Builder
			b.WriteString("athlete,session,points\n")
			for a := range 8 {
				for s := range 2 {
					points := level[a]
					if rng.Float64() < 0.25 {
						points = 1 + rng.IntN(3)
					}
					fmt.Fprintf(&b, "P%d,%d,%d\n", a+1, s+1, points)
				}
			}
			return []byte(b.String())
		}
		h := &study.Host{Files: fstest.MapFS{"a.csv": {Data: table()}, "b.csv": {Data: table()}}}
		o, err := study.Run(&study.Reliability{Common: study.Common{Table: study.Table{Path: "a.csv"}, Seed: 1}}, h)
		if err != nil {
			continue // no athlete differs from another
		}
		f, err := o.NoiseFile()
		if err != nil {
			continue
		}
		var b bytes.Buffer
		if err := noisefile.Write(&b, f); err != nil {
			t.Fatal(err)
		}
		h.Files.(fstest.MapFS)["n.json"] = &fstest.MapFile{Data: b.Bytes()}
		_, err = study.Run(&study.Retest{Common: study.Common{Table: study.Table{Path: "b.csv"}, Seed: 1},
			Noise: study.Files{"n.json"}, Baseline: "1", FollowUp: []string{"2"}}, h)
		switch {
		case errors.Is(err, retest.ErrOwnNoise):
			refused++
		case err != nil:
			t.Fatal(err)
		}
	}
	t.Logf("%d of %d refused", refused, tables)
	if refused > tables/100 {
		t.Errorf("%d of %d tables were taken for the study", refused, tables)
	}
}

// A table of which 26 of 40 athletes were in the study, with these scores, is judged with a
// doubt about the test that has prints; the coarse one beside it has none.
func TestMostlyOwnTable(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 30))
	table := func(scores [][2]float64) []byte {
		var b strings.Builder
		b.WriteString("athlete,session,points,jump\n")
		for a, x := range scores {
			for s := range 2 {
				fmt.Fprintf(&b, "P%d,%d,%d,%.2f\n", a+1, s+1, 1+(a*a+s*(a%2))%3, x[s])
			}
		}
		return []byte(b.String())
	}
	var scores [][2]float64
	fresh := func() [2]float64 {
		athlete := 50 + 6*rng.NormFloat64()
		return [2]float64{athlete + 2*rng.NormFloat64(), athlete + 2*rng.NormFloat64()}
	}
	for range 40 {
		scores = append(scores, fresh())
	}
	h := &study.Host{Files: fstest.MapFS{"a.csv": {Data: table(scores)}}}
	noise := saved(t, h, &study.Reliability{Common: study.Common{Table: study.Table{Path: "a.csv"}, Seed: 1}})
	for i := 26; i < 40; i++ {
		scores[i] = fresh()
	}
	h = &study.Host{Files: fstest.MapFS{"b.csv": {Data: table(scores)}, "n.json": {Data: noise}}}
	o := runOn(t, h, &study.Retest{Common: study.Common{Table: study.Table{Path: "b.csv"}, Seed: 1},
		Noise: study.Files{"n.json"}, Baseline: "1", FollowUp: []string{"2"}})
	found := false
	for _, c := range o.Caveats {
		if c.Kind == retest.MostlyOwnNoise {
			found = strings.Join(c.Measures, " ") == "jump" && math.Abs(c.Numbers[0]-0.65) < 0.15 &&
				math.Abs(c.Numbers[1]-0.65) < 0.15
		}
	}
	if !found {
		t.Errorf("%v", o.Caveats)
	}
}

func runOn(t *testing.T, h *study.Host, r study.Request) study.Outcome {
	t.Helper()
	o, err := study.Run(r, h)
	if err != nil {
		t.Fatal(err)
	}
	return o
}
