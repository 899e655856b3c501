package draw

import (
	"image"
	"image/color"
	"testing"
)

func TestContact(t *testing.T) {
	red := image.NewUniform(color.NRGBA{200, 30, 30, 255})
	picture := image.NewNRGBA(image.Rect(0, 0, 64, 36))
	for i := range picture.Pix {
		picture.Pix[i] = []uint8{200, 30, 30, 255}[i%4]
	}
	thumbs := []Thumb{
		{Picture: picture, Lead: "play 1 · 1&10 run", Lines: []string{"shot 1 · endzone"}},
		{Picture: picture, Lead: "little field", Lines: []string{"shot 2"}, Out: true},
		{Picture: picture, Lead: "play 2?", Lines: []string{"shot 3"}, Doubt: true},
		{Lead: "no picture"},
	}
	m, err := Contact("wk1.game.yaml", thumbs, 3, look(t))
	if err != nil {
		t.Fatal(err)
	}
	colours, err := newPalette(look(t))
	if err != nil {
		t.Fatal(err)
	}
	cell := func(i int) image.Rectangle { // found by the gap on the left, and by where red begins
		x := contactGap + i%3*(ThumbWidth+contactGap)
		for y := range m.Rect.Dy() {
			if m.NRGBAAt(x+ThumbWidth/4, y) == (color.NRGBA{200, 30, 30, 255}) {
				return image.Rect(x, y, x+ThumbWidth, y+ThumbHeight)
			}
		}
		t.Fatalf("no picture %d", i)
		return image.Rectangle{}
	}
	for i, c := range []struct{ middle, edge color.Color }{
		{red.C, colours.ground},
		{colours.ink, colours.ground}, // crossed through
		{red.C, colours.accent},       // framed
	} {
		r := cell(i)
		if got := m.NRGBAAt((r.Min.X+r.Max.X)/2, (r.Min.Y+r.Max.Y)/2); got != c.middle {
			t.Errorf("amid picture %d is %v, want %v", i, got, c.middle)
		}
		if got := m.NRGBAAt((r.Min.X+r.Max.X)/2, r.Min.Y-frameWidth/2-1); got != c.edge {
			t.Errorf("over picture %d is %v, want %v", i, got, c.edge)
		}
	}
	for y := range m.Rect.Dy() {
		for x := range m.Rect.Dx() {
			if m.NRGBAAt(x, y).A != 255 {
				t.Fatalf("pixel %d,%d is clear", x, y)
			}
		}
	}
	if _, err := Contact("", nil, 3, look(t)); err == nil {
		t.Error("a sheet of nothing was drawn")
	}
	if _, err := Contact("", thumbs, 0, look(t)); err == nil {
		t.Error("rows of none were drawn")
	}
}

// A heading begins a row, and nothing stands over anything else.
func TestContactPlaces(t *testing.T) {
	thumbs := []Thumb{{Head: "Fix"}, {}, {}, {}, {Head: "Like this"}, {}}
	places, bottom := contactPlaces(thumbs, 3, image.Pt(100, 80), 40, 30)
	want := []image.Point{{12, 70}, {112, 70}, {212, 70}, {12, 150}, {12, 260}, {112, 260}}
	for i, p := range places {
		if p != want[i] {
			t.Errorf("thumb %d stands at %v, want %v", i, p, want[i])
		}
	}
	if bottom != 340 {
		t.Errorf("it ends at %d, want 340", bottom)
	}
}
