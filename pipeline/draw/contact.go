package draw

import (
	"errors"
	"fmt"
	"image"
	"image/draw"
	"slices"

	xdraw "golang.org/x/image/draw"

	"trenchcut/pipeline/plan"
)

// Thumb is one small picture of a contact sheet, with what stands below it.
type Thumb struct {
	Picture image.Image   // ThumbWidth wide, or else scaled to that
	Ends    []image.Image // two smaller pictures below it, the first and the last of what it is of; none, or nil, stay blank
	Head    string        // it begins a part of the sheet, under this heading; empty is none
	Lead    string        // what it is taken for
	Lines   []string      // how it is found again, a line each
	Out     bool          // it is left out: crossed through
	Doubt   bool          // it wants a look: framed
}

// The size of the pictures on a contact sheet, in pixels; those that are taller for their
// width take the height they need.
const (
	ThumbWidth  = 256
	ThumbHeight = 144
)

// A contact sheet's other measures, in pixels.
const (
	contactGap  = 12
	contactLead = 20
	contactLine = 16
	contactHead = 26
	frameWidth  = 5
	crossWidth  = 3
)

// mostThumbs bounds a sheet: a game has under two hundred plays, each on two or three angles.
const mostThumbs = 3000

// thumbHeight is how tall the tallest of thumbs is.
func thumbHeight(thumbs []Thumb) int {
	most := ThumbHeight
	for _, t := range thumbs {
		if t.Picture == nil {
			continue
		}
		if size := t.Picture.Bounds().Size(); size.X > 0 {
			most = max(most, ThumbWidth*size.Y/size.X)
		}
	}
	return min(most, 2*ThumbWidth)
}

// endsHeight is how tall the pictures of ends are, each half as wide as a thumb; 0 where no thumb
// has any.
func endsHeight(thumbs []Thumb) int {
	if slices.ContainsFunc(thumbs, func(t Thumb) bool { return len(t.Ends) > 0 }) {
		return ThumbHeight / 2
	}
	return 0
}

// Contact draws thumbs in rows of so many, under a heading.
func Contact(heading string, thumbs []Thumb, across int, look plan.Look) (*image.NRGBA, error) {
	colours, err := newPalette(look)
	switch {
	case err != nil:
	case len(thumbs) == 0:
		err = errors.New("there is no picture")
	case len(thumbs) > mostThumbs:
		err = fmt.Errorf("%d pictures are more than the %d one can look through", len(thumbs), mostThumbs)
	case across < 1:
		err = fmt.Errorf("%d pictures in a row", across)
	}
	if err != nil {
		return nil, fmt.Errorf("drawing a contact sheet: %w", err)
	}
	fs := faces{}
	defer fs.done()
	head, lead, line := fs.get(true, contactHead), fs.get(true, contactLead), fs.get(false, contactLine)
	across = min(across, len(thumbs))
	high, ends := thumbHeight(thumbs), endsHeight(thumbs)
	lines := 0
	for _, t := range thumbs {
		lines = max(lines, len(t.Lines))
	}
	tall := high + ends + lead.spacing() + lines*line.spacing() + contactGap
	wide := ThumbWidth + contactGap
	top := 2*contactGap + head.spacing()
	places, bottom := contactPlaces(thumbs, across, image.Pt(wide, tall), top, lead.spacing()+contactGap)
	m := image.NewRGBA(image.Rect(0, 0, across*wide+contactGap, bottom+contactGap))
	fill(m, m.Rect, colours.ground)
	put := func(f *face, x, y, width int, s string, quiet bool) {
		ink := colours.ink
		if quiet {
			ink = colours.quiet
		}
		if lines, _ := f.fold(clean(s), width, 1); len(lines) > 0 {
			text{f, lines, ink}.write(m, x, y)
		}
	}
	put(head, contactGap, contactGap, m.Rect.Dx()-2*contactGap, heading, false)
	for i, t := range thumbs {
		at := places[i]
		if t.Head != "" {
			y := at.Y - lead.spacing() - contactGap/2
			put(lead, at.X, y, m.Rect.Dx()-2*contactGap, t.Head, false)
			fill(m, image.Rect(at.X, y+lead.spacing()+1, m.Rect.Max.X-contactGap, y+lead.spacing()+3), colours.accent)
		}
		picture := image.Rectangle{at, at.Add(image.Pt(ThumbWidth, high))}
		r := image.Rectangle{at, picture.Max.Add(image.Pt(0, ends))}
		if t.Doubt {
			fill(m, r.Inset(-frameWidth), colours.accent)
		}
		if t.Picture != nil {
			xdraw.ApproxBiLinear.Scale(m, picture, t.Picture, t.Picture.Bounds(), draw.Src, nil)
		}
		for i, end := range t.Ends[:min(len(t.Ends), 2)] {
			if end != nil {
				corner := image.Pt(at.X+i*ThumbWidth/2, picture.Max.Y)
				half := image.Rectangle{corner, corner.Add(image.Pt(ThumbWidth/2, ends))}
				xdraw.ApproxBiLinear.Scale(m, half.Inset(1), end, end.Bounds(), draw.Src, nil)
			}
		}
		if t.Out {
			cross(m, r, colours)
		}
		put(lead, at.X, r.Max.Y+frameWidth, ThumbWidth, t.Lead, t.Out)
		for i, l := range t.Lines {
			put(line, at.X, r.Max.Y+frameWidth+lead.spacing()+i*line.spacing(), ThumbWidth, l, true)
		}
	}
	return straight(m), nil
}

// contactPlaces is where each thumb stands, of size with what is below it, from top on, and
// where the last row ends: a heading takes head more and begins a row.
func contactPlaces(thumbs []Thumb, across int, size image.Point, top, head int) (places []image.Point, bottom int) {
	column, y := 0, top
	for i, t := range thumbs {
		if i > 0 && (column == across || t.Head != "") {
			column, y = 0, y+size.Y
		}
		if t.Head != "" {
			y += head
		}
		places = append(places, image.Pt(contactGap+column*size.X, y))
		column++
	}
	return places, y + size.Y
}

// cross crosses a picture through, with light beside dark so that it shows on any.
func cross(m *image.RGBA, r image.Rectangle, colours palette) {
	for x := range r.Dx() {
		y := x * (r.Dy() - 1) / (r.Dx() - 1)
		for _, at := range []image.Point{{r.Min.X + x, r.Min.Y + y}, {r.Min.X + x, r.Max.Y - 1 - y}} {
			for k := -crossWidth; k <= crossWidth; k++ {
				c := colours.ink
				if k == -crossWidth || k == crossWidth {
					c = colours.ground
				}
				if p := at.Add(image.Pt(0, k)); p.In(r) {
					m.Set(p.X, p.Y, c)
				}
			}
		}
	}
}
