package picture

import (
	"bytes"
	"fmt"
	"html"
	"image/color"
	"image/png"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"

	"golang.org/x/image/font/sfnt"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// WriteSVG writes the picture as SVG: role img, named by its title and
// described by its alternative text, its inner text hidden from readers of
// the screen. The same picture and options give the same bytes.
//
// It fails with [ErrOptions] when the scale is not in (0, 20] or the
// identifier is not made of letters, digits, hyphens and underscores, and with
// [ErrNumber] when a mark has no place on the page.
func (p Picture) WriteSVG(w io.Writer, o Options) error {
	scale, err := checkScale(o.Scale, 1)
	if err != nil {
		return err
	}
	id := o.ID
	if id == "" {
		id = p.Name
	}
	if !identifier.MatchString(id) {
		return fmt.Errorf("%w: identifier %q is not a letter followed by letters, digits, hyphens or underscores",
			ErrOptions, id)
	}
	c := vgsvg.New(p.Width, p.Height)
	if err := p.draw(&guard{CanvasSizer: c, grey: o.Grey}); err != nil {
		return err
	}
	var drawn bytes.Buffer
	if _, err := c.WriteTo(&drawn); err != nil {
		return fmt.Errorf("picture %s: %w", p.Name, err)
	}
	inner, err := innerSVG(drawn.String())
	if err != nil {
		return fmt.Errorf("picture %s: %w", p.Name, err)
	}
	_, err = io.WriteString(w, p.openSVG(id, scale, o.Inline)+inner+"</g>\n</svg>\n")
	return err
}

var identifier = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_-]*$`)

func checkScale(scale, otherwise float64) (float64, error) {
	if scale == 0 {
		return otherwise, nil
	}
	if !(scale > 0 && scale <= 20) {
		return 0, fmt.Errorf("%w: scale %g is not above 0 and at most 20", ErrOptions, scale)
	}
	return scale, nil
}

// openSVG returns the opening of the document, down to the group that holds
// the drawing.
func (p Picture) openSVG(id string, scale float64, inline bool) string {
	var b strings.Builder
	if !inline {
		b.WriteString("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n")
	}
	w, h := p.Width.Points(), p.Height.Points()
	fmt.Fprintf(&b,
		`<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby="%s-title %s-desc" width="%spt" height="%spt" viewBox="0 0 %s %s">`+"\n",
		id, id, decimal(w*scale), decimal(h*scale), decimal(w), decimal(h))
	fmt.Fprintf(&b, "<title id=\"%s-title\">%s</title>\n", id, html.EscapeString(clean(p.Title)))
	fmt.Fprintf(&b, "<desc id=\"%s-desc\">%s</desc>\n", id, html.EscapeString(clean(p.Alt)))
	b.WriteString(`<g aria-hidden="true" font-family="'Liberation Sans', Arial, Helvetica, sans-serif">` + "\n")
	return b.String()
}

func decimal(v float64) string { return strconv.FormatFloat(v, 'f', 2, 64) }

// fontOf matches what the canvas writes at the start of the second line of a
// text element; user text never starts a line.
var fontOf = regexp.MustCompile(`(?m)\n\tstyle="font-family:Liberation Sans;font-variant:normal;(font-weight:normal;)?(?:font-style:normal;)?`)

// innerSVG takes the drawing out of the canvas's document, and leaves the
// family of fonts to the group around it.
func innerSVG(doc string) (string, error) {
	_, rest, ok := strings.Cut(doc, "<svg ")
	_, rest, ok2 := strings.Cut(rest, ">\n")
	at := strings.LastIndex(rest, "</svg>")
	if !ok || !ok2 || at < 0 {
		return "", fmt.Errorf("%w: the canvas wrote no svg element", ErrNumber)
	}
	return fontOf.ReplaceAllString(rest[:at], ` style="`), nil
}

// WritePNG writes the picture as PNG on white. The same picture and options
// give the same bytes. It fails as [Picture.WriteSVG] does, and with
// [ErrOptions] when the image would have more than 100 million pixels.
func (p Picture) WritePNG(w io.Writer, o Options) error {
	scale, err := checkScale(o.Scale, 2)
	if err != nil {
		return err
	}
	dpi := int(math.Round(96 * scale))
	if dots := p.Width.Dots(float64(dpi)) * p.Height.Dots(float64(dpi)); dpi < 1 || dots > 1e8 {
		return fmt.Errorf("%w: scale %g gives %.0f pixels", ErrOptions, scale, dots)
	}
	c := vgimg.NewWith(vgimg.UseWH(p.Width, p.Height), vgimg.UseDPI(dpi))
	if err := p.draw(&guard{CanvasSizer: c, grey: o.Grey, fixed: true}); err != nil {
		return err
	}
	if err := png.Encode(w, paletted(c.Image())); err != nil {
		return fmt.Errorf("picture %s: %w", p.Name, err)
	}
	return nil
}

// draw draws on a canvas, through its guard.
func (p Picture) draw(g *guard) error {
	p.paint(draw.New(g))
	if g.fault {
		return fmt.Errorf("picture %s: %w", p.Name, ErrNumber)
	}
	return nil
}

// A guard stands before a canvas. It rounds places to a hundredth of a point,
// so that the same bytes come out on every processor, refuses to pass on what
// has no place, and draws in grey when asked to.
type guard struct {
	vg.CanvasSizer
	grey  bool
	fixed bool // the picture brings its own letters: signs it does not have become boxes
	fault bool
}

// limit is far beyond any page, in points.
const limit = 1e6

func (g *guard) round(p vg.Point) vg.Point {
	return vg.Point{X: g.length(p.X), Y: g.length(p.Y)}
}

func (g *guard) length(l vg.Length) vg.Length {
	if !(math.Abs(float64(l)) < limit) {
		g.fault = true
		return 0
	}
	return vg.Length(math.Round(float64(l)*100)/100 + 0) // + 0 makes -0 into 0
}

func (g *guard) path(p vg.Path) vg.Path {
	out := make(vg.Path, len(p))
	for i, step := range p {
		step.Pos, step.Radius = g.round(step.Pos), g.length(step.Radius)
		out[i] = step
	}
	return out
}

func (g *guard) Stroke(p vg.Path) { g.CanvasSizer.Stroke(g.path(p)) }
func (g *guard) Fill(p vg.Path)   { g.CanvasSizer.Fill(g.path(p)) }

func (g *guard) FillString(f font.Face, at vg.Point, s string) {
	s = clean(s)
	if g.fixed {
		var buf sfnt.Buffer
		s = strings.Map(func(r rune) rune {
			if drawable(f, &buf, r) {
				return r
			}
			return '□'
		}, s)
	}
	g.CanvasSizer.FillString(f, g.round(at), s)
}

func (g *guard) SetColor(c color.Color) {
	if g.grey && c != nil {
		c = luminance(c)
	}
	g.CanvasSizer.SetColor(c)
}

// luminance returns the grey with the relative luminance of c (WCAG 2.2:
// L = 0.2126 R + 0.7152 G + 0.0722 B of linear light).
func luminance(c color.Color) color.NRGBA {
	n := color.NRGBAModel.Convert(c).(color.NRGBA)
	l := 0.2126*linear(n.R) + 0.7152*linear(n.G) + 0.0722*linear(n.B)
	v := 12.92 * l
	if l > 0.0031308 {
		v = 1.055*math.Pow(l, 1/2.4) - 0.055
	}
	out := grey(uint8(math.Round(255 * v)))
	out.A = n.A
	return out
}

func linear(v uint8) float64 {
	c := float64(v) / 255
	if c <= 0.04045 {
		return c / 12.92
	}
	return math.Pow((c+0.055)/1.055, 2.4)
}
