// Package strip writes a frame's own number into its picture and reads it back, so that
// a test can tell which frame of which film it is looking at after any cutting, scaling
// and coding.
package strip

import (
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"io"

	"trenchcut/tags"
)

// The strip is one row of blocks, black for 0 and white for 1: a pattern at each end to
// find it by, twenty bits of number, four of check.
const (
	blocks  = 32
	numbers = 20
	checks  = 4
	first   = 0b0110 // at the left end
	last    = 0b1010 // at the right end
	// Frames is how many frames have numbers of their own; from there they count from 0 again.
	Frames tags.Frame = 1 << numbers
)

// Height is how tall the strip is in a picture that fills r: an eighteenth of it.
func Height(r image.Rectangle) int { return (r.Dy() + 9) / 18 }

// word is the 32 blocks for n, the left one its highest bit.
func word(n tags.Frame) uint32 {
	v := uint32(n % Frames)
	return first<<28 | v<<8 | crc(v)<<4 | last
}

// crc is the remainder of v x⁴ by x⁴+x+1, the CRC-4 of ITU-T G.704: it finds every error
// of one block and every run of wrong blocks up to four.
func crc(v uint32) uint32 {
	v <<= checks
	for bit := numbers + checks - 1; bit >= checks; bit-- {
		if v>>bit&1 == 1 {
			v ^= 0b10011 << (bit - checks)
		}
	}
	return v
}

// block is the place of block i in a picture that fills r.
func block(r image.Rectangle, i int) image.Rectangle {
	return image.Rect(r.Min.X+r.Dx()*i/blocks, r.Min.Y, r.Min.X+r.Dx()*(i+1)/blocks, r.Min.Y+Height(r))
}

// Draw draws n along the top edge of img; n is not negative. Pictures under 320×180 are
// too small to be read back.
func Draw(img *image.RGBA, n tags.Frame) {
	w := word(n)
	for i := range blocks {
		shade := color.Gray{}
		if w>>(blocks-1-i)&1 == 1 {
			shade.Y = 255
		}
		draw.Draw(img, block(img.Bounds(), i), image.NewUniform(shade), image.Point{}, draw.Src)
	}
}

// Errors of Read.
var (
	ErrNone    = errors.New("no strip there")
	ErrDamaged = errors.New("the strip is damaged")
)

// Read reads the number of the frame that fills r of img, whatever it was scaled to. It
// fails where the ends are not those of a strip, a block is neither black nor white, or
// the check does not agree.
func Read(img image.Image, r image.Rectangle) (tags.Frame, error) {
	if !r.In(img.Bounds()) || r.Dx() < blocks*2 || Height(r) < 4 {
		return 0, fmt.Errorf("%w: %v of %v", ErrNone, r, img.Bounds())
	}
	var w uint32
	unclear := -1
	for i := range blocks {
		shade := mean(img, middle(block(r, i)))
		w <<= 1
		if shade > 128 {
			w |= 1
		}
		if shade > 80 && shade < 176 {
			unclear = i
		}
	}
	switch v := w >> (4 + checks) & (1<<numbers - 1); {
	case w>>28 != first || w&15 != last:
		return 0, fmt.Errorf("%w: its ends are %04b and %04b", ErrNone, w>>28, w&15)
	case unclear >= 0:
		return 0, fmt.Errorf("%w: block %d is neither black nor white", ErrDamaged, unclear)
	case crc(v) != w>>4&15:
		return 0, fmt.Errorf("%w: the check of %d is %04b", ErrDamaged, v, w>>4&15)
	default:
		return tags.Frame(v), nil
	}
}

// middle is the half of a block, each way, that its neighbours do not reach.
func middle(r image.Rectangle) image.Rectangle {
	return image.Rect(r.Min.X+r.Dx()/4, r.Min.Y+r.Dy()/4, r.Max.X-r.Dx()/4, r.Max.Y-r.Dy()/4)
}

// mean is how light a part of img is, 0 to 255.
func mean(img image.Image, r image.Rectangle) int {
	sum := 0
	if grey, ok := img.(*image.Gray); ok { // what most tests look at: no conversion of each pixel
		for y := r.Min.Y; y < r.Max.Y; y++ {
			for _, shade := range grey.Pix[grey.PixOffset(r.Min.X, y):grey.PixOffset(r.Max.X, y)] {
				sum += int(shade)
			}
		}
		return sum / (r.Dx() * r.Dy())
	}
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			sum += int(color.GrayModel.Convert(img.At(x, y)).(color.Gray).Y)
		}
	}
	return sum / (r.Dx() * r.Dy())
}

// Film writes frames pictures as raw rgba, one after another: a plain ground that changes
// slowly, a bar that moves, and the strip. The pixel format is ffmpeg's rgba.
func Film(w io.Writer, width, height int, frames tags.Frame) error {
	img := image.NewRGBA(image.Rect(0, 0, width, height))
	for n := range frames {
		ground := color.RGBA{uint8(60 + n%90), uint8(90 + n/3%60), uint8(140 - n%70), 255}
		draw.Draw(img, img.Bounds(), image.NewUniform(ground), image.Point{}, draw.Src)
		x := int(n) * 7 % width
		draw.Draw(img, image.Rect(x, height/3, x+width/12, height), image.NewUniform(color.RGBA{230, 200, 60, 255}), image.Point{}, draw.Src)
		Draw(img, n)
		if _, err := w.Write(img.Pix); err != nil {
			return fmt.Errorf("write frame %d of the strip film: %w", n, err)
		}
	}
	return nil
}
