package demo

import (
	"fmt"
	"image"
	"image/draw"
	"sync"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

var parsedFont = sync.OnceValue(func() *opentype.Font {
	f, err := opentype.Parse(liberationsansbold.TTF)
	if err != nil {
		panic(fmt.Sprintf("demo: the embedded font: %v", err)) // built in: it cannot fail
	}
	return f
})

// face is the bold face at size pixels; it is for one goroutine.
func face(size float64) font.Face {
	f, err := opentype.NewFace(parsedFont(), &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		panic(fmt.Sprintf("demo: the embedded font at %v: %v", size, err))
	}
	return f
}

// write draws text with its middle at x, y, in pixels.
func write(dst draw.Image, ink image.Image, f font.Face, text string, x, y float64) {
	bounds, _ := font.BoundString(f, text)
	at := func(v float64, low, high fixed.Int26_6) fixed.Int26_6 { return fixed.Int26_6(v*64) - (low+high)/2 }
	d := font.Drawer{Dst: dst, Src: ink, Face: f}
	d.Dot = fixed.Point26_6{X: at(x, bounds.Min.X, bounds.Max.X), Y: at(y, bounds.Min.Y, bounds.Max.Y)}
	d.DrawString(text)
}

// numberMasks are the digits of the yard numbers, filling their masks.
var numberMasks = sync.OnceValue(func() map[byte]*image.Alpha {
	masks := map[byte]*image.Alpha{}
	for digit := byte('0'); digit <= '5'; digit++ {
		m := image.NewAlpha(image.Rect(0, 0, 64, 96))
		write(m, image.Opaque, face(118), string(digit), 32, 48)
		masks[digit] = m
	}
	return masks
})
