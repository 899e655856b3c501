package reel

import (
	"image"
	"image/color"
	"image/draw"
	"testing"

	drawn "trenchcut/pipeline/draw"
	"trenchcut/pipeline/plan"
)

// An upright picture stands amid black on the contact sheet, not squeezed.
func TestFramed(t *testing.T) {
	for _, c := range []struct {
		house plan.House
		black image.Point
	}{
		{plan.House{Width: 1080, Height: 1920}, image.Pt(80, 72)},
		{plan.House{Width: 1080, Height: 1080}, image.Pt(50, 72)},
		{plan.House{Width: 1920, Height: 800}, image.Pt(128, 10)},
	} {
		whole := plan.House{Width: drawn.ThumbWidth, Height: drawn.ThumbHeight}
		fit := plan.Letterbox(c.house.Width, c.house.Height, whole)
		white := image.NewRGBA(image.Rect(0, 0, fit.Width, fit.Height))
		draw.Draw(white, white.Rect, image.White, image.Point{}, draw.Src)
		m := framed(white, fit, whole)
		if m.Bounds() != image.Rect(0, 0, drawn.ThumbWidth, drawn.ThumbHeight) {
			t.Errorf("%v: the picture is %v", c.house, m.Bounds())
		}
		for at, want := range map[image.Point]color.Gray{c.black: {0}, {128, 72}: {255}} {
			if got := color.GrayModel.Convert(m.At(at.X, at.Y)); got != want {
				t.Errorf("%v: at %v is %v, want %v", c.house, at, got, want)
			}
		}
	}
}
