package picture

import (
	"fmt"
	"image/color"
	"math"
	"testing"

	"gonum.org/v1/plot/vg"
)

// contrast is the WCAG 2.2 ratio to white: (1 + 0.05) / (L + 0.05).
func contrast(c color.Color) float64 {
	n := color.NRGBAModel.Convert(c).(color.NRGBA)
	l := 0.2126*linear(n.R) + 0.7152*linear(n.G) + 0.0722*linear(n.B)
	return 1.05 / (l + 0.05)
}

// Expected ratios: WCAG 2.2 contrast of the Okabe-Ito colours and of two greys
// on white, as listed in published contrast tables.
func TestContrastFormula(t *testing.T) {
	for _, tt := range []struct {
		c    color.Color
		want float64
	}{
		{color.NRGBA{0x00, 0x72, 0xb2, 0xff}, 5.19}, {color.NRGBA{0xd5, 0x5e, 0x00, 0xff}, 3.87},
		{color.NRGBA{0x00, 0x9e, 0x73, 0xff}, 3.42}, {color.NRGBA{0xcc, 0x79, 0xa7, 0xff}, 3.06},
		{grey(0x59), 7.00}, {grey(0x76), 4.54}, {color.Black, 21},
	} {
		if got := contrast(tt.c); math.Abs(got-tt.want) > 0.006 {
			t.Errorf("contrast of %v = %.3f, want %.2f", tt.c, got, tt.want)
		}
	}
}

func TestColoursCanBeRead(t *testing.T) {
	for _, s := range levelStyles {
		if contrast(s.colour) < 3 {
			t.Errorf("mark %v has contrast %.2f", s.colour, contrast(s.colour))
		}
		if contrast(dark(s.colour)) < 4.5 {
			t.Errorf("text %v has contrast %.2f", dark(s.colour), contrast(dark(s.colour)))
		}
	}
	for _, c := range []color.Color{ink, mute} {
		if contrast(c) < 7 {
			t.Errorf("text %v has contrast %.2f", c, contrast(c))
		}
	}
	for _, c := range []color.Color{strong, weak, edge} {
		if contrast(c) < 3 {
			t.Errorf("mark %v has contrast %.2f", c, contrast(c))
		}
	}
}

// Levels must be told apart without colour.
func TestLevelsDifferInShape(t *testing.T) {
	seen := map[markStyle]bool{}
	for _, s := range levelStyles {
		s.colour = nil
		if seen[s] {
			t.Errorf("shape %v hollow %v is used twice", s.shape, s.hollow)
		}
		seen[s] = true
	}
}

// By hand: pure red has luminance 0.2126, which is sRGB 127; white and black stay.
func TestLuminance(t *testing.T) {
	for in, want := range map[color.NRGBA]uint8{{0xff, 0, 0, 0xff}: 127, {0xff, 0xff, 0xff, 0xff}: 255, {0, 0, 0,
		0xff}: 0} {
		if got := luminance(in); got != color.Color(grey(want)) {
			t.Errorf("luminance(%v) = %v, want %d", in, got, want)
		}
	}
}

func TestFitAndWrap(t *testing.T) {
	s := style(10, ink)
	if got := fit(s, "short", 100); got != "short" {
		t.Errorf("fit changed %q", got)
	}
	got := fit(s, "a rather long name of an athlete", 60)
	if width(s, got) > 60 || got[len(got)-len("…"):] != "…" || len(got) < 8 {
		t.Errorf("fit gave %q, %v wide", got, width(s, got))
	}
	if got := fit(s, "👨\u200d👩\u200d👧 family", width(s, "👨…")+20); got == "👨\u200d…" || got == "👨\u200d👩\u200d…" {
		t.Errorf("fit cut inside a joined sign: %q", got)
	}
	lines := wrap(s, "one two three four five six seven 95 % of all", 70, 3)
	if len(lines) != 3 {
		t.Fatalf("wrap gave %q", lines)
	}
	for _, line := range lines {
		if width(s, line) > 70 || line[0] == '%' {
			t.Errorf("line %q", line)
		}
	}
}

func TestClean(t *testing.T) {
	for in, want := range map[string]string{
		"A07": "A07", " a\n\tb ": "a b", "\u202eabc\u2069": "abc", "\x00\x1b[31m": "[31m", "a\xffb": "a\ufffdb",
		"<b>": "<b>", "": "", "\ufffe": "",
	} {
		if got := clean(in); got != want {
			t.Errorf("clean(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestSpread(t *testing.T) {
	for _, tt := range []struct{ in, want []vg.Length }{
		{[]vg.Length{10, 50, 90}, []vg.Length{10, 50, 90}},
		{[]vg.Length{50, 50, 50}, []vg.Length{50, 70, 90}},
		{[]vg.Length{95, 90}, []vg.Length{100, 80}}, // pushed back from the end, order kept
		{[]vg.Length{-10}, []vg.Length{0}},
		{nil, []vg.Length{}},
	} {
		got := spread(tt.in, 20, 0, 100)
		for i := range got {
			if math.Abs(float64(got[i]-tt.want[i])) > 1e-9 {
				t.Errorf("spread(%v) = %v, want %v", tt.in, got, tt.want)
			}
		}
	}
	crowded := spread(make([]vg.Length, 11), 20, 0, 100) // by hand: 100/10 apart
	if crowded[10] != 100 || crowded[1] != 10 {
		t.Errorf("crowded: %v", crowded)
	}
}

func TestStem(t *testing.T) {
	if got := stem("changes", "Seated Throw (W)", "post 1"); got != "changes-seated-throw-w-post-1" {
		t.Errorf("stem = %q", got)
	}
	if a, b := stem("run", "投手"), stem("run", "打者"); a == b || len(a) != len("run-")+8 {
		t.Errorf("foreign words: %q and %q", a, b)
	}
}

// Lines must be told apart without colour.
func TestLinesDifferInShapeAndDash(t *testing.T) {
	seen := map[string]bool{}
	for i := range mostLines {
		look, dash := lineLook(i)
		key := fmt.Sprint(look.shape, dash)
		if seen[key] {
			t.Errorf("line %d looks like another: shape %v, dash %v", i, look.shape, dash)
		}
		seen[key] = true
	}
}
