package picture_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"image/png"
	"io"
	"maps"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg/draw"
	"pgregory.net/rapid"

	"noisefloor/analysis/agreement"
	"noisefloor/analysis/association"
	"noisefloor/analysis/decision"
	"noisefloor/analysis/estimate"
	"noisefloor/analysis/reliability"
	"noisefloor/analysis/retest"
	"noisefloor/analysis/score"
	"noisefloor/reports/picture"
)

var (
	out    = flag.String("out", "", "write every fixture as PNG and SVG to this `folder`, to be looked at")
	update = flag.Bool("update", false, "rewrite the golden files")
)

// each runs a check on every fixture, in the order of their names.
func each(t *testing.T, check func(t *testing.T, name string, p picture.Picture)) {
	t.Helper()
	all := fixtures()
	for _, name := range slices.Sorted(maps.Keys(all)) {
		t.Run(name, func(t *testing.T) {
			p, err := all[name]()
			if err != nil {
				t.Fatal(err)
			}
			check(t, name, p)
		})
	}
}

func svg(t testing.TB, p picture.Picture, o picture.Options) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := p.WriteSVG(&b, o); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestLook writes the fixtures for the eye; it checks nothing else.
func TestLook(t *testing.T) {
	if *out == "" {
		t.Skip("no -out folder: nothing is written to look at")
	}
	each(t, look)
}

// look writes a picture to the -out folder, if there is one.
func look(t *testing.T, name string, p picture.Picture) {
	if *out == "" {
		return
	}
	var colour, grey bytes.Buffer
	if err := errors.Join(p.WritePNG(&colour, picture.Options{}), p.WritePNG(&grey,
		picture.Options{Grey: true})); err != nil {
		t.Fatal(err)
	}
	for file, b := range map[string][]byte{".svg": svg(t, p, picture.Options{}), ".png": colour.Bytes(),
		"-grey.png": grey.Bytes()} {
		if err := os.WriteFile(filepath.Join(*out, name+file), b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%s\n%s\n%s", p.Title, p.Caption, p.Alt)
}

func TestGolden(t *testing.T) {
	all := fixtures()
	for _, name := range []string{"changes-8", "changes-percent", "changes-narrow", "athlete", "athlete-narrow",
		"run", "agreement-8", "scatter-8", "planes-within", "planes-narrow", "noise", "errors", "decision", "decision-never", "norms",
		"norms-file", "standings"} {
		p, err := all[name]()
		if err != nil {
			t.Fatal(err)
		}
		got, file := svg(t, p, picture.Options{ID: name}), filepath.Join("testdata", "golden", name+".svg")
		if *update {
			if err := os.WriteFile(file, got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(string(got), "\n")); diff != "" {
			t.Errorf("%s (-want +got), -update rewrites it after a look at the picture:\n%s", name, diff)
		}
	}
}

// A document is what a reader of the SVG finds.
type document struct {
	XMLName  xml.Name
	Role     string `xml:"role,attr"`
	Labelled string `xml:"aria-labelledby,attr"`
	ViewBox  string `xml:"viewBox,attr"`
	Title    struct {
		ID   string `xml:"id,attr"`
		Text string `xml:",chardata"`
	} `xml:"title"`
	Desc struct {
		ID   string `xml:"id,attr"`
		Text string `xml:",chardata"`
	} `xml:"desc"`
	Groups []struct {
		Hidden string `xml:"aria-hidden,attr"`
	} `xml:"g"`
}

func TestAccessibleAndWellFormed(t *testing.T) {
	each(t, func(t *testing.T, _ string, p picture.Picture) {
		b := svg(t, p, picture.Options{ID: "fig-1"})
		var d document
		if err := xml.Unmarshal(b, &d); err != nil {
			t.Fatalf("not well formed: %v", err)
		}
		if d.XMLName.Space != "http://www.w3.org/2000/svg" || d.Role != "img" ||
			d.Labelled != "fig-1-title fig-1-desc" ||
			d.Title.ID != "fig-1-title" || d.Desc.ID != "fig-1-desc" || d.ViewBox == "" {
			t.Errorf("role, names or viewBox are wrong: %+v", d)
		}
		if d.Title.Text == "" || d.Desc.Text == "" || d.Desc.Text == d.Title.Text {
			t.Errorf("title %q, description %q", d.Title.Text, d.Desc.Text)
		}
		if len(d.Groups) != 1 || d.Groups[0].Hidden != "true" {
			t.Errorf("the drawing is not one hidden group: %+v", d.Groups)
		}
		for _, n := range elements(t, b) {
			if !slices.Contains([]string{"svg", "title", "desc", "g", "path", "text"}, n) {
				t.Errorf("element %q: foreign text became markup", n)
			}
		}
		if s := string(b); strings.Contains(s, "NaN") || strings.Contains(s, "Inf") {
			t.Error("NaN or Inf in the drawing")
		}
	})
}

// elements lists the names of all elements.
func elements(t *testing.T, b []byte) []string {
	t.Helper()
	var names []string
	d := xml.NewDecoder(bytes.NewReader(b))
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return names
		}
		if err != nil {
			t.Fatal(err)
		}
		if s, ok := tok.(xml.StartElement); ok {
			names = append(names, s.Name.Local)
		}
	}
}

// A label is one text of a drawing with the room it takes, from the top left.
type label struct {
	text                     string
	left, top, right, bottom float64
}

var textElement = regexp.MustCompile(`<text x="([-\d.e]+)" y="([-\d.e]+)"[^>]* style="(font-weight:bold;)?[^"]*font-size:([\d.]+)px[^"]*">([^<]*)</text>`)

// labels reads the texts back and measures them with the font of the figures.
func labels(t testing.TB, p picture.Picture) []label {
	t.Helper()
	var all []label
	for _, m := range textElement.FindAllStringSubmatch(string(svg(t, p, picture.Options{})), -1) {
		x, y, size := parse(t, m[1]), p.Height.Points()+parse(t, m[2]), parse(t, m[4])
		text := unescape(m[5])
		w := picture.TextWidth(text, size, m[3] != "")
		all = append(all, label{text, x, y - 0.72*size, x + w, y + 0.2*size})
	}
	if len(all) == 0 {
		t.Fatal("no text found")
	}
	return all
}

func parse(t testing.TB, s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// fromTable reads a number as it is written for people.
func fromTable(t testing.TB, s string) float64 {
	return parse(t, strings.ReplaceAll(s, "−", "-"))
}

func unescape(s string) string {
	return strings.NewReplacer("&lt;", "<", "&gt;", ">", "&#34;", `"`, "&#39;", "'", "&amp;", "&").Replace(s)
}

func checkLabels(t testing.TB, p picture.Picture) {
	all := labels(t, p)
	for i, a := range all {
		if a.left < 0 || a.top < 0 || a.right > p.Width.Points() || a.bottom > p.Height.Points() {
			t.Errorf("text beyond the border of %v x %v: %+v", p.Width, p.Height, a)
		}
		for _, b := range all[:i] {
			if a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom {
				t.Errorf("texts collide: %+v and %+v", a, b)
			}
		}
	}
}

func TestNoTextIsCutOrCollides(t *testing.T) {
	each(t, func(t *testing.T, _ string, p picture.Picture) { checkLabels(t, p) })
}

func TestSameBytesTwice(t *testing.T) {
	all := fixtures()
	for _, name := range []string{"changes-nasty", "scatter-60", "planes-within", "decision-never"} {
		var png [2]bytes.Buffer
		var svgs [2][]byte
		for i := range 2 {
			p, err := all[name]()
			if err != nil {
				t.Fatal(err)
			}
			svgs[i] = svg(t, p, picture.Options{})
			if err := p.WritePNG(&png[i], picture.Options{Scale: 1}); err != nil {
				t.Fatal(err)
			}
		}
		if !bytes.Equal(svgs[0], svgs[1]) || !bytes.Equal(png[0].Bytes(), png[1].Bytes()) {
			t.Errorf("%s: not the same bytes twice", name)
		}
	}
}

var numbers = regexp.MustCompile(`[+−]?\d+(?:\.\d+)?(?: × 10\^−?\d+)?`)

// interval matches the numbers written beside a row: "+8 (−69 to +86)".
var interval = regexp.MustCompile(`^(?:over all )?[+−><\d]\S*(?: \S+){0,3} \(.* to .*\)$`)

func TestDrawnNumbersAreInTheTable(t *testing.T) {
	found := 0
	each(t, func(t *testing.T, name string, p picture.Picture) {
		cells := map[string]bool{}
		for _, row := range p.Table.Rows {
			for _, cell := range row {
				for _, n := range numbers.FindAllString(cell, -1) {
					cells[n] = true
				}
			}
		}
		for _, l := range labels(t, p) {
			if !interval.MatchString(l.text) {
				continue
			}
			found++
			for _, n := range numbers.FindAllString(l.text, -1) {
				if !cells[n] {
					t.Errorf("%q is drawn, but its %s is not in the table", l.text, n)
				}
			}
		}
	})
	if found < 300 {
		t.Errorf("only %d intervals were found to check", found)
	}
}

func TestTablesAreWhole(t *testing.T) {
	each(t, func(t *testing.T, _ string, p picture.Picture) {
		if p.Table.Caption == "" || len(p.Table.Rows) == 0 || len(p.Table.Numeric) != len(p.Table.Header) {
			t.Errorf("table: %+v", p.Table)
		}
		for _, row := range p.Table.Rows {
			if len(row) != len(p.Table.Header) {
				t.Errorf("row %q does not fit header %q", row, p.Table.Header)
			}
			for i, cell := range row {
				if p.Table.Numeric[i] && strings.ContainsAny(cell, "Ne-") {
					t.Errorf("cell %q in column %s", cell, p.Table.Header[i])
				}
			}
		}
		for _, words := range []string{p.Title, p.Caption, p.Alt} {
			if words == "" || strings.Contains(words, "NaN") || strings.Contains(words, "  ") ||
				strings.Contains(words, "%!") {
				t.Errorf("words: %q", words)
			}
		}
		if !regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`).MatchString(p.Name) {
			t.Errorf("name %q is no file stem", p.Name)
		}
	})
}

// filled and hollow marks as they are written: a disc in the strong colour, a
// ring in the weak one. Half a disc is written like a whole one.
var (
	filled = regexp.MustCompile(`<path d="[^"]*A[^"]*" style="fill:#0072B2"`)
	hollow = regexp.MustCompile(`<path d="[^"]*A[^"]*" style="fill:none;stroke:#767676`)
)

func TestFilledMeansPastTheNoise(t *testing.T) {
	all := fixtures()
	for name, column := range map[string]int{"changes-47": 10, "changes-600": 10, "changes-percent": 10,
		"agreement-60": 5, "planes": 7, "planes-within": 7, "athlete": 11, "changes-partial": 10} {
		p, err := all[name]()
		if err != nil {
			t.Fatal(err)
		}
		var yes, no int
		for _, row := range p.Table.Rows {
			switch row[column] {
			case "yes", "stands out", "on its own", "past on its own": // wholly or half filled
				yes++
			case "no", "inside":
				no++
			}
		}
		b := svg(t, p, picture.Options{})
		if f, h := len(filled.FindAll(b, -1)), len(hollow.FindAll(b, -1)); f != yes || h != no || yes == 0 || no == 0 {
			t.Errorf("%s: %d filled for %d yes, %d hollow for %d no", name, f, yes, h, no)
		}
	}
}

// Places by hand: the axis ticks at 0 and +100 fix the scale; the mark of a
// change of 50 has to lie half way.
func TestMarkLiesWhereItsValueIs(t *testing.T) {
	c := change("A1", 50, 30, false)
	p, err := picture.ChangeForest(picture.ForestInput{Label: "power", Unit: "W", Changes: []retest.Change{c}})
	if err != nil {
		t.Fatal(err)
	}
	at := map[string]float64{}
	for _, l := range labels(t, p) {
		at[l.text] = (l.left + l.right) / 2
	}
	m := regexp.MustCompile(`<path d="M([\d.]+),[\d.]+A([\d.]+),[^"]*" style="fill:none;stroke:#767676`).FindSubmatch(svg(t, p, picture.Options{}))
	if m == nil || at["0"] == 0 || at["+100"] == 0 {
		t.Fatalf("no mark or no ticks in %v", at)
	}
	x := parse(t, string(m[1])) - parse(t, string(m[2])) // the path starts at the right end of the ring
	if want := (at["0"] + at["+100"]) / 2; math.Abs(x-want) > 0.1 {
		t.Errorf("mark of 50 at %g, want %g", x, want)
	}
}

func TestCaptions(t *testing.T) {
	real := func(c retest.Change) retest.Change {
		c.State, c.Matters, c.Verdict = retest.StandsOut, retest.MattersYes, retest.OutMatters
		return c
	}
	changes := []retest.Change{real(change("A1", 200, 28, false)), change("A2", 10, 28, false), real(change("A3", -90,
		28, false))}
	p, err := picture.ChangeForest(picture.ForestInput{Label: "throw power", Unit: "W", Changes: changes})
	if err != nil {
		t.Fatal(err)
	}
	// By hand: 1.96 * sqrt(2) * 28 = 77.6; 1.2 * 28 = 33.6.
	want := "In throw power the changes of 2 of 3 athletes stand out from the noise of ±78 W, 1 upwards and 1 downwards; 2 changes are clearly large enough to matter (beyond ±34 W)."
	if p.Caption != want {
		t.Errorf("caption\n%s\nwant\n%s", p.Caption, want)
	}
	if p.Table.Rows[0][0] != "A1" || p.Table.Rows[2][0] != "A3" {
		t.Errorf("not sorted by change: %v", p.Table.Rows)
	}
}

func TestErrors(t *testing.T) {
	mixed := changes(3, 10, false)
	mixed[1].To = []string{"later"}
	nan := changes(2, 10, false)
	nan[0].Change.Value, nan[1].Change.Value = math.NaN(), math.Inf(1)
	for name, tt := range map[string]struct {
		make maker
		want error
	}{
		"no changes": {func() (picture.Picture, error) { return picture.ChangeForest(picture.ForestInput{}) },
			picture.ErrNothing},
		"no number": {func() (picture.Picture,
			error) {
			return picture.ChangeForest(picture.ForestInput{Changes: nan})
		}, picture.ErrNothing},
		"two follow-ups": {func() (picture.Picture,
			error) {
			return picture.ChangeForest(picture.ForestInput{Changes: mixed})
		}, picture.ErrMixed},
		"empty run": {func() (picture.Picture, error) { return picture.AthleteRun(picture.RunInput{}) },
			picture.ErrNothing},
		"ragged run": {func() (picture.Picture, error) {
			return picture.AthleteRun(picture.RunInput{Run: retest.Run{Sessions: []string{"a"}}})
		}, picture.ErrNumber},
		"no pair": {func() (picture.Picture, error) { return picture.Agreement(picture.AgreementInput{}) },
			picture.ErrNothing},
		"no point": {func() (picture.Picture, error) { return picture.Scatter(picture.ScatterInput{}) },
			picture.ErrNothing},
		"no test": {func() (picture.Picture, error) { return picture.PlaneForest(picture.PlaneInput{}) },
			picture.ErrNothing},
		"no design": {func() (picture.Picture, error) { return picture.DecisionStudy(picture.DecisionInput{}) },
			picture.ErrNothing},
		"no trial": {func() (picture.Picture, error) {
			return picture.DecisionStudy(picture.DecisionInput{Rows: []decision.Row{{Design: decision.Design{Sessions: 1}, Detectable: 3}}})
		}, picture.ErrNumber},
		"no measure": {func() (picture.Picture, error) { return picture.NoiseOverview(picture.NoiseInput{}) },
			picture.ErrNothing},
	} {
		if _, err := tt.make(); !errors.Is(err, tt.want) {
			t.Errorf("%s: %v, want %v", name, err, tt.want)
		}
	}
}

func TestOptions(t *testing.T) {
	p, err := picture.ChangeForest(forest(8))
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range []picture.Options{{Scale: -1}, {Scale: math.NaN()}, {Scale: math.Inf(1)}, {ID: `a"b`},
		{ID: "1st"}} {
		if err := p.WriteSVG(io.Discard, o); !errors.Is(err, picture.ErrOptions) {
			t.Errorf("SVG with %+v: %v", o, err)
		}
	}
	for _, o := range []picture.Options{{Scale: -1}, {Scale: 1e-9}} {
		if err := p.WritePNG(io.Discard, o); !errors.Is(err, picture.ErrOptions) {
			t.Errorf("PNG with %+v: %v", o, err)
		}
	}
	p.Height = 1e5
	if err := p.WritePNG(io.Discard, picture.Options{Scale: 20}); !errors.Is(err, picture.ErrOptions) {
		t.Errorf("enormous PNG: %v", err)
	}
}

func TestInlineScaleAndGrey(t *testing.T) {
	p, err := picture.ChangeForest(forest(8))
	if err != nil {
		t.Fatal(err)
	}
	if b := svg(t, p, picture.Options{Inline: true}); !bytes.HasPrefix(b, []byte("<svg ")) {
		t.Errorf("inline SVG starts with %.40q", b)
	}
	if b := svg(t, p, picture.Options{Scale: 2}); !bytes.Contains(b, []byte(`width="920.00pt"`)) || !bytes.Contains(b,
		[]byte(`viewBox="0 0 460.00 `)) {
		t.Error("scale 2 is not twice as wide over the same view box")
	}
	for _, m := range regexp.MustCompile(`#([0-9A-F]{2})([0-9A-F]{2})([0-9A-F]{2})`).FindAllSubmatch(svg(t, p,
		picture.Options{Grey: true}), -1) {
		if !bytes.Equal(m[1], m[2]) || !bytes.Equal(m[2], m[3]) {
			t.Errorf("colour %s in a grey picture", m[0])
		}
	}
	var b bytes.Buffer
	if err := p.WritePNG(&b, picture.Options{Scale: 1.5}); err != nil {
		t.Fatal(err)
	}
	c, err := png.DecodeConfig(&b)
	if err != nil {
		t.Fatal(err)
	}
	// By hand: 460 pt are 460/72 inches of 144 dots.
	if c.Width != 920 {
		t.Errorf("PNG is %d wide, want 920", c.Width)
	}
}

// astray draws a mark that has no place.
type astray float64

func (a astray) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	c.StrokeLine2(draw.LineStyle{Width: 1}, x(0), y(0), x(float64(a)), y(0))
}

func TestGuard(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), 1e300} {
		p, err := picture.ChangeForest(forest(8))
		if err != nil {
			t.Fatal(err)
		}
		p.Plot.Add(astray(v))
		if err := p.WriteSVG(io.Discard, picture.Options{}); !errors.Is(err, picture.ErrNumber) {
			t.Errorf("SVG with %g: %v", v, err)
		}
		if err := p.WritePNG(io.Discard, picture.Options{}); !errors.Is(err, picture.ErrNumber) {
			t.Errorf("PNG with %g: %v", v, err)
		}
	}
}

// A picture's own plot may be changed by a caller; what is written stays XML.
func TestGuardCleansText(t *testing.T) {
	p, err := picture.ChangeForest(forest(8))
	if err != nil {
		t.Fatal(err)
	}
	p.Plot.X.Label.Text = "power \x00\u202e<&"
	if err := xml.Unmarshal(svg(t, p, picture.Options{}), new(document)); err != nil {
		t.Error(err)
	}
}

func TestNewNoiseRow(t *testing.T) {
	te := estimate.Estimate{Value: 2, Lower: 1.5, Upper: 3}
	raw := reliability.Result{Scale: score.Raw, Athletes: 9, Mean: 200, TypicalErrorPercent: te, SeenRatio: 2.25,
		DetectableChange: reliability.DetectableChange{Value: 12, Seen: estimate.Estimate{Value: 18}},
		Worthwhile:       reliability.WorthwhileChange{Estimate: estimate.Estimate{Value: 8}}}
	// By hand: 12, 18 and 8 of 200 are 6 %, 9 % and 4 %.
	want := picture.NoiseRow{Label: "x", Athletes: 9, TypicalError: te, Detectable: 6, Seen: 9, Worthwhile: 4, Ratio: 2.25}
	if diff := cmp.Diff(want, picture.NewNoiseRow("x", raw)); diff != "" {
		t.Errorf("raw (-want +got):\n%s", diff)
	}
	log := raw
	log.Scale, log.DetectableChange.PercentUp, log.Worthwhile.PercentUp = score.Log, 7, 5
	log.DetectableChange.Seen.Value = math.Log(1.1)
	want.Detectable, want.Seen, want.Worthwhile = 7, 100*math.Expm1(math.Log(1.1)), 5
	if diff := cmp.Diff(want, picture.NewNoiseRow("x", log)); diff != "" {
		t.Errorf("log (-want +got):\n%s", diff)
	}
	raw.Mean = -200
	if row := picture.NewNoiseRow("x", raw); !math.IsNaN(row.TypicalError.Value) || !math.IsNaN(row.Detectable) {
		t.Errorf("negative mean: %+v", row)
	}
}

// number draws any number, the special ones often.
func number(t *rapid.T, name string) float64 {
	if rapid.IntRange(0, 3).Draw(t, name+" kind") == 0 {
		return rapid.SampledFrom([]float64{0, math.Copysign(0, -1), math.NaN(), math.Inf(1), math.Inf(-1), 5e-324,
			1e99, -1e99, math.MaxFloat64, 1e-99}).Draw(t, name)
	}
	return rapid.Float64().Draw(t, name)
}

func between(t *rapid.T, name string) estimate.Estimate {
	return estimate.Estimate{Value: number(t, name), Lower: number(t, name+" lower"), Upper: number(t, name+" upper")}
}

// anyPicture draws a figure of odd numbers and names.
func anyPicture(t *rapid.T) (picture.Picture, error) {
	n := rapid.IntRange(0, 9).Draw(t, "n")
	name := func() string { return rapid.OneOf(rapid.String(), rapid.SampledFrom(nasty)).Draw(t, "name") }
	switch rapid.IntRange(0, 7).Draw(t, "figure") {
	case 0:
		in := picture.ForestInput{Label: name(), Unit: name(), Level: number(t, "level")}
		for range n {
			in.Changes = append(in.Changes, retest.Change{Athlete: name(), Measure: "m", Baseline: number(t,
				"baseline"), Change: between(t, "change"),
				SE: number(t, "se"), Detectable: number(t, "detectable"), Worthwhile: number(t, "worthwhile"),
				State: state(rapid.Bool().Draw(t, "out"))})
		}
		return picture.ChangeForest(in)
	case 1:
		in := picture.RunInput{Run: retest.Run{Athlete: name(), Baseline: number(t, "baseline"), Low: number(t,
			"low"), High: number(t, "high")}, Unit: name()}
		for range n {
			in.Run.Sessions, in.Run.Value = append(in.Run.Sessions, name()), append(in.Run.Value, number(t, "value"))
			in.Run.State = append(in.Run.State, rapid.SampledFrom([]retest.State{"", retest.InsideNoise,
				retest.PastNoise, retest.StandsOut}).Draw(t, "state"))
		}
		return picture.AthleteRun(in)
	case 2:
		in := picture.AgreementInput{Label: name(), Unit: name(), Scale: rapid.SampledFrom([]score.Scale{score.Raw,
			score.Log}).Draw(t, "scale")}
		in.Result = agreement.Result{From: name(), To: name(), N: n, SD: number(t, "sd"), Bias: between(t, "bias"),
			Lower: between(t, "low"), Upper: between(t, "up")}
		for range n {
			in.Result.Points = append(in.Result.Points, agreement.Point{Athlete: name(), Mean: number(t, "mean"),
				Difference: number(t, "difference")})
		}
		return picture.Agreement(in)
	case 3:
		in := scatter(n, name(), name())
		in.TestLabel, in.Association.Pearson.Estimate = name(), between(t, "r")
		for i := range in.Association.Points {
			in.Association.Points[i].X, in.Association.Points[i].Y = number(t, "x"), number(t, "y")
		}
		return picture.Scatter(in)
	case 4:
		in := picture.AthleteForestInput{Athlete: name(), Labels: map[string]string{}, Units: map[string]string{},
			Better: map[string]score.Direction{}, Level: number(t, "level")}
		for i := range n {
			c := retest.Change{Athlete: in.Athlete, Measure: fmt.Sprint(i), From: []string{name()}, Change: between(t,
				"change"),
				SE: number(t, "se"), Detectable: number(t, "detectable"), Worthwhile: number(t, "worthwhile"),
				State: state(rapid.Bool().Draw(t, "out"))}
			in.Labels[c.Measure], in.Units[c.Measure], in.Better[c.Measure] = name(), name(),
				score.Direction(rapid.IntRange(0, 2).Draw(t, "better"))
			in.Changes = append(in.Changes, c)
		}
		return picture.AthleteForest(in)
	case 5:
		in := picture.PlaneInput{OutcomeLabel: name(), GroupName: name(), Within: rapid.Bool().Draw(t, "within")}
		for range n {
			a := association.Association{Measure: name(), Plane: name(), Pearson: anyR(t)}
			if rapid.Bool().Draw(t, "leveled") {
				a.Within = &association.WithinGroups{Correlation: anyR(t)}
			}
			in.Result.Associations = append(in.Result.Associations, a)
		}
		return picture.PlaneForest(in)
	case 6:
		return picture.DecisionStudy(anyDecision(t, n, name))
	}
	var in picture.NoiseInput
	for range n {
		in.Rows = append(in.Rows, picture.NoiseRow{Label: name(), TypicalError: between(t, "te"),
			Detectable: number(t, "detectable"), Worthwhile: number(t, "worthwhile"), Ratio: number(t, "ratio")})
	}
	return picture.NoiseOverview(in)
}

// Whatever the numbers and names are: either an error, or a figure that can be
// written, is well formed, and holds no NaN.
func TestOddInputs(t *testing.T) {
	drawn := 0
	rapid.Check(t, func(t *rapid.T) {
		p, err := anyPicture(t)
		if err != nil {
			return
		}
		drawn++
		var b bytes.Buffer
		if err := p.WriteSVG(&b, picture.Options{ID: "x"}); err != nil {
			t.Fatalf("%v", err)
		}
		if err := xml.Unmarshal(b.Bytes(), new(document)); err != nil {
			t.Fatalf("not well formed: %v", err)
		}
		for _, l := range textElement.FindAllStringSubmatch(b.String(), -1) {
			if strings.Contains(l[1]+l[2], "NaN") || l[5] == "NaN" {
				t.Fatalf("%s", l[0])
			}
		}
	})
	if drawn == 0 {
		t.Error("no figure was drawn")
	}
}

// anyR draws a correlation, sometimes none, with any limits it can have.
func anyR(t *rapid.T) association.Correlation {
	if rapid.Bool().Draw(t, "no r") {
		return association.Correlation{Estimate: estimate.Bare(math.NaN(), estimate.TooFew)}
	}
	draw := func(name string) float64 { return rapid.Float64Range(-1, 1).Draw(t, name) }
	a, b, c := draw("r"), draw("lower"), draw("upper")
	return association.Correlation{Estimate: estimate.Estimate{Value: a, Lower: min(a, b, c), Upper: max(a, b, c)}}
}

func ExampleChangeForest() {
	changes := []retest.Change{
		{Athlete: "A01", Measure: "throw", From: []string{"pre"}, To: []string{"post"}, SE: 40, Detectable: 80,
			Worthwhile: 35,
			Change:     estimate.Estimate{Value: 120, Lower: 40, Upper: 200}, State: retest.StandsOut,
			Matters: retest.MattersYes, Verdict: retest.OutMatters},
		{Athlete: "A02", Measure: "throw", From: []string{"pre"}, To: []string{"post"}, SE: 40, Detectable: 80,
			Worthwhile: 35,
			Change:     estimate.Estimate{Value: -15, Lower: -95, Upper: 65}, State: retest.InsideNoise,
			Verdict: retest.Inside},
	}
	p, err := picture.ChangeForest(picture.ForestInput{Label: "throw power", Unit: "W", Level: 0.95, Changes: changes})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(p.Name)
	fmt.Println(p.Caption)
	// Output:
	// changes-throw-post
	// In throw power the changes of 1 of 2 athletes stand out from the noise of ±80 W, upwards; 1 change is clearly large enough to matter (beyond ±35 W).
}
