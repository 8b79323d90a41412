package picture

import (
	"image"
	"image/color"
	"image/draw"
)

// paletted returns the image with each channel rounded to 32 steps, which the
// eye does not see, as an image of at most 256 colours: a quarter of the bytes
// to compress. White and black stay exact. An image that needs more colours
// comes back as it is.
func paletted(from draw.Image) image.Image {
	rgba, ok := from.(*image.RGBA)
	if !ok {
		return from
	}
	out := image.NewPaletted(rgba.Rect, nil)
	var index [1 << 15]int16 // palette place plus 1 of a colour of 5 bits a channel
	for y := rgba.Rect.Min.Y; y < rgba.Rect.Max.Y; y++ {
		row := rgba.Pix[rgba.PixOffset(rgba.Rect.Min.X, y):][:4*rgba.Rect.Dx()]
		to := out.Pix[out.PixOffset(rgba.Rect.Min.X, y):][:rgba.Rect.Dx()]
		for x := range to {
			r, g, b := step(row[4*x]), step(row[4*x+1]), step(row[4*x+2])
			key := int(r)<<10 | int(g)<<5 | int(b)
			if index[key] == 0 {
				if len(out.Palette) == 256 {
					return from
				}
				out.Palette = append(out.Palette, color.RGBA{full(r), full(g), full(b), 255})
				index[key] = int16(len(out.Palette))
			}
			to[x] = uint8(index[key] - 1)
		}
	}
	return out
}

// step rounds a channel to one of 32 steps, full turns it back.
func step(v uint8) uint8 { return uint8((int(v)*31 + 127) / 255) }
func full(s uint8) uint8 { return uint8((int(s)*255 + 15) / 31) }
