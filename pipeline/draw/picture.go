// Package draw turns what labels and slates say into pictures. It alone decides how they
// look; the same description always gives the same bytes.
package draw

import (
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"

	"trenchcut/pipeline/plan"
)

// Picture is what to lay over a picture of house size, and where its top left corner goes.
type Picture struct {
	// Image has straight alpha, as PNG and ffmpeg's overlay filter take it. Its size and
	// At are even, because overlay on 4:2:0 film moves an odd place to the even one before.
	Image *image.NRGBA
	At    image.Point
}

// PNG writes p's image. It is not compressed: the file lives for one rendering, and what it
// saved would cost more than drawing it.
func (p Picture) PNG(w io.Writer) error {
	encoder := png.Encoder{CompressionLevel: png.NoCompression}
	if err := encoder.Encode(w, p.Image); err != nil {
		return fmt.Errorf("writing a picture: %w", err)
	}
	return nil
}

// Safe is the title-safe area: 90 % of the width and height (SMPTE ST 2046-1:2009).
func Safe(house plan.House) image.Rectangle {
	return image.Rect((house.Width*5+99)/100, (house.Height*5+99)/100, house.Width*95/100, house.Height*95/100)
}

// leastSide is the shortest side, in pixels, on which anything is drawn; smaller, and
// not even cut text has room.
const leastSide = 64

// mostSide bounds what one picture may hold in memory.
const mostSide = 16_384

func checkHouse(house plan.House) error {
	if min(house.Width, house.Height) < leastSide || max(house.Width, house.Height) > mostSide {
		return fmt.Errorf("house size %dx%d: want %d to %d pixels a side", house.Width, house.Height, leastSide, mostSide)
	}
	return nil
}

var errNoText = errors.New("no text to draw")

func fill(dst draw.Image, r image.Rectangle, c color.NRGBA) {
	draw.Draw(dst, r, image.NewUniform(c), image.Point{}, draw.Src)
}

// straight is m without its premultiplication, in the same memory: image/draw is fast
// on premultiplied pictures only.
func straight(m *image.RGBA) *image.NRGBA {
	var last, told [4]byte // most pixels are like the one before
	for i := 0; i < len(m.Pix); i += 4 {
		p := (*[4]byte)(m.Pix[i:])
		if *p != last {
			last, told = *p, *p
			for j, c := range last[:3] {
				if a := int(last[3]); a > 0 {
					told[j] = uint8(min((int(c)*255+a/2)/a, 255))
				}
			}
		}
		*p = told
	}
	return &image.NRGBA{Pix: m.Pix, Stride: m.Stride, Rect: m.Rect}
}
