package picture

import (
	"image/color"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"gonum.org/v1/plot"
	plotfont "gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Colours of Okabe & Ito for marks, all with a contrast of 3 or more on white;
// greys for everything that is not data. Text is mute or darker (7:1).
var (
	ink    = grey(0x22)
	mute   = grey(0x59)
	weak   = grey(0x76) // marks inside the noise, axes: 4.5:1
	edge   = grey(0x8c) // edges of bands: 3.4:1
	grid   = grey(0xe9)
	band   = color.NRGBA{R: 0xe4, G: 0xe9, B: 0xee, A: 0xff}
	deep   = color.NRGBA{R: 0xcb, G: 0xd5, B: 0xde, A: 0xff} // a band upon a band
	paper  = color.NRGBA{R: 0xff, G: 0xff, B: 0xff, A: 0xff}
	strong = color.NRGBA{R: 0x00, G: 0x72, B: 0xb2, A: 0xff} // marks past the noise
)

// levelStyles tell levels apart by shape first, colour second.
var levelStyles = []markStyle{
	{shape: circle, colour: strong},
	{shape: square, colour: color.NRGBA{R: 0xd5, G: 0x5e, B: 0x00, A: 0xff}},
	{shape: triangle, colour: color.NRGBA{R: 0x00, G: 0x9e, B: 0x73, A: 0xff}},
	{shape: diamond, colour: color.NRGBA{R: 0xcc, G: 0x79, B: 0xa7, A: 0xff}},
	{shape: cross, colour: color.NRGBA{A: 0xff}},
	{shape: circle, colour: color.NRGBA{A: 0xff}, hollow: true},
	{shape: square, colour: strong, hollow: true},
	{shape: triangle, colour: color.NRGBA{R: 0xd5, G: 0x5e, B: 0x00, A: 0xff}, hollow: true},
	{shape: diamond, colour: mute, hollow: true},
}

// dark returns a deeper shade of the same colour, for text.
func dark(c color.Color) color.Color {
	n := color.NRGBAModel.Convert(c).(color.NRGBA)
	return color.NRGBA{R: n.R / 5 * 3, G: n.G / 5 * 3, B: n.B / 5 * 3, A: n.A}
}

func grey(v uint8) color.NRGBA { return color.NRGBA{R: v, G: v, B: v, A: 0xff} }

// Type sizes in points, for a figure printed as wide as a page's text.
const (
	sizeTitle = 11
	sizeText  = 9
	sizeSmall = 8

	// SmallestType is the size in points of the smallest type in a picture of its
	// own size.
	SmallestType = sizeSmall

	pageWidth = vg.Length(460) // points: the text of an A4 page

	// sheetWidth is that of a picture on a sheet: on a telephone of 390 pixels its
	// smallest type is still 8 pixels high.
	sheetWidth = vg.Length(300)
	margin     = vg.Length(8) // white around everything
	gap        = vg.Length(6)
)

// style returns a text style; the anchor is the left end of the middle line of
// the letters unless changed.
func style(size float64, c color.Color) text.Style {
	return text.Style{
		Color:   c,
		Font:    plotfont.Font{Typeface: "Liberation", Variant: "Sans", Size: vg.Length(size)},
		XAlign:  draw.XLeft,
		YAlign:  draw.YCenter,
		Handler: text.Plain{Fonts: plotfont.DefaultCache},
	}
}

func bold(s text.Style) text.Style {
	s.Font.Weight = font.WeightBold
	return s
}

func aligned(s text.Style, x text.XAlignment) text.Style {
	s.XAlign = x
	return s
}

// lineHeight is the distance between two lines of text.
func lineHeight(s text.Style) vg.Length { return s.Font.Size * 1.3 }

// width measures one line. A sign that the font does not have is reckoned as
// wide as an em and a quarter, because the reader's machine will fetch it from
// another font.
func width(s text.Style, line string) vg.Length {
	face := plotfont.DefaultCache.Lookup(s.Font, s.Font.Size)
	foreign := 0
	var buf sfnt.Buffer
	known := strings.Map(func(r rune) rune {
		if !drawable(face, &buf, r) {
			foreign++
			return -1
		}
		return r
	}, line)
	return face.Width(known) + vg.Length(foreign)*s.Font.Size*1.25
}

// drawable reports whether the font has the sign. Every font here has ASCII.
func drawable(face plotfont.Face, buf *sfnt.Buffer, r rune) bool {
	if r >= ' ' && r <= '~' {
		return true
	}
	g, err := face.Face.GlyphIndex(buf, r)
	return err == nil && g != 0
}

// clean makes foreign text safe to draw on one line: no control characters,
// no line breaks, no signs that turn the direction of writing, valid UTF-8.
func clean(s string) string {
	s = strings.ToValidUTF8(s, "\ufffd")
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r), r == 0xfffe, r == 0xffff, r == 0xfeff,
			r >= 0x202a && r <= 0x202e, r >= 0x2066 && r <= 0x2069:
			return -1
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}

// fit shortens a line to the room given and marks the cut with an ellipsis.
func fit(s text.Style, line string, room vg.Length) string {
	if width(s, line) <= room {
		return line
	}
	for line != "" {
		_, size := utf8.DecodeLastRuneInString(line)
		line = line[:len(line)-size]
		cut := strings.TrimRightFunc(line, joins)
		if width(s, cut+"…") <= room {
			return strings.TrimRight(cut, " ") + "…"
		}
	}
	return "…"
}

// fitMiddle shortens a line in its middle: the ends of two measures' names tell
// them apart ("…, left").
func fitMiddle(s text.Style, line string, room vg.Length) string {
	runes := []rune(line)
	for keep := len(runes); keep > 0; keep-- {
		head := (keep + 1) / 2
		short := strings.TrimRight(string(runes[:head]), " "+
			"") + "…" + strings.TrimLeft(string(runes[len(runes)-(keep-head):]), " ")
		if keep == len(runes) {
			short = line
		}
		if width(s, short) <= room {
			return short
		}
	}
	return "…"
}

// labelRoom is the most that a measure's name takes of a figure's width.
const labelRoom = vg.Length(200)

// labelled is the width of a figure with measures' names on its left: names
// beyond an ordinary length widen it, so that the panel keeps its room.
func labelled(left vg.Length) vg.Length { return pageWidth + max(0, left-140) }

// joins reports signs that belong to their neighbours: what they would have
// joined is cut with them.
func joins(r rune) bool {
	return r == 0x200d || unicode.Is(unicode.Variation_Selector, r)
}

// wrap breaks text into at most limit lines of the room given; what is left
// over is cut with an ellipsis.
func wrap(s text.Style, words string, room vg.Length, limit int) []string {
	var lines []string
	rest := bound(strings.Fields(words))
	for len(rest) > 0 {
		if len(lines) == limit-1 {
			return append(lines, fit(s, strings.Join(rest, " "), room))
		}
		n := 1
		for n < len(rest) && width(s, strings.Join(rest[:n+1], " ")) <= room {
			n++
		}
		lines = append(lines, fit(s, strings.Join(rest[:n], " "), room))
		rest = rest[n:]
	}
	return lines
}

// bound keeps together what must not be parted by the end of a line: a number
// and its percent sign.
func bound(words []string) []string {
	var out []string
	for _, w := range words {
		if strings.HasPrefix(w, "%") && len(out) > 0 {
			out[len(out)-1] += " " + w
			continue
		}
		out = append(out, w)
	}
	return out
}

// newPlot returns an empty panel in the house's look.
func newPlot() *plot.Plot {
	p := plot.New()
	p.BackgroundColor = nil
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.LineStyle = draw.LineStyle{Color: weak, Width: 0.7}
		a.Padding = 0
		a.Label.TextStyle = aligned(style(sizeText, ink), draw.XCenter)
		a.Label.TextStyle.YAlign = draw.YBottom
		a.Label.Padding = 4
		a.Tick.LineStyle = draw.LineStyle{Color: weak, Width: 0.7}
		a.Tick.Length = 4
		a.Tick.Marker = plot.ConstantTicks(nil)
	}
	p.X.Tick.Label = aligned(style(sizeText, mute), draw.XCenter)
	p.X.Tick.Label.YAlign = draw.YTop
	p.Y.Tick.Label = aligned(style(sizeText, mute), draw.XRight)
	return p
}
