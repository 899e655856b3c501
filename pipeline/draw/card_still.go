package draw

import (
	"image"

	scaling "golang.org/x/image/draw"

	"trenchcut/pipeline/plan"
)

// Still is a picture of the film that stands on a slate.
type Still struct {
	Picture image.Image
	// X and Y are where in the picture to look, 0 to 1 of its width and height: what is cut
	// off to fill its place is cut far from there.
	X, Y float64
}

// How much of a slate the text beside a still takes, in hundredths of the width, and how
// much a still above the text, of the height.
const (
	besideText  = 58
	aboveStill  = 36
	seamOfSide  = 48 // the seam is the picture's shorter side over this
	hashesAlong = 30 // so many hashes go on the shorter side
	longHash    = 5  // every fifth is longer
)

// makeRoom leaves s the text's part of the slate and returns the still's, the seam included.
func (s *setter) makeRoom(house plan.House) (panel image.Rectangle) {
	s.beside = true
	gap := s.scale.size(s.look.Line)
	if house.Width > house.Height {
		at := even2(house.Width * besideText / 100)
		s.safe.Max.X = at - gap
		return image.Rect(at, 0, house.Width, house.Height)
	}
	at := even2(house.Height * aboveStill / 100)
	s.safe.Min.Y = max(s.safe.Min.Y, at+gap)
	return image.Rect(0, 0, house.Width, at)
}

func even2(n int) int { return n / 2 * 2 }

// paint fills r with the still, as much of it as goes in.
func (t *Still) paint(m *image.RGBA, r image.Rectangle) {
	from := cover(t.Picture.Bounds(), r.Dx(), r.Dy(), t.X, t.Y)
	scaling.CatmullRom.Scale(m, r, t.Picture, from, scaling.Src, nil)
}

// cover is the largest part of r that has the shape of width by height, as near to the
// middle at x, y of r as it can be.
func cover(r image.Rectangle, width, height int, x, y float64) image.Rectangle {
	size := image.Pt(r.Dx(), r.Dx()*height/width)
	if size.Y > r.Dy() {
		size = image.Pt(r.Dy()*width/height, r.Dy())
	}
	place := func(min, length, part int, at float64) int {
		return min + clamp(int(at*float64(length))-part/2, 0, length-part)
	}
	at := image.Pt(place(r.Min.X, r.Dx(), size.X, x), place(r.Min.Y, r.Dy(), size.Y, y))
	return image.Rectangle{at, at.Add(size)}
}

func clamp(n, low, high int) int { return max(low, min(n, high)) }

// seam draws the line between the text and the still: a band of the accent with hashes as a
// field has them.
func (s setter) seam(m *image.RGBA, panel image.Rectangle) {
	thick := max(s.scale.side/seamOfSide, 2)
	if panel.Min.X > 0 {
		s.hashed(m, image.Rect(panel.Min.X, 0, panel.Min.X+thick, panel.Max.Y), true)
	} else {
		s.hashed(m, image.Rect(0, panel.Max.Y-thick, panel.Max.X, panel.Max.Y), false)
	}
}

// hashed fills r with the accent, and with hashes across it at even distances.
func (s setter) hashed(m *image.RGBA, r image.Rectangle, upright bool) {
	fill(m, r, s.colours.accent)
	step := max(s.scale.side/hashesAlong, 4)
	line := max(s.scale.side/360, 1)
	length, thick := r.Dx(), r.Dy()
	if upright {
		length, thick = r.Dy(), r.Dx()
	}
	for i, at := 1, step; at+line < length; i, at = i+1, at+step {
		reach := (thick + 1) / 2
		if i%longHash == 0 {
			reach = thick * 3 / 4
		}
		hash := image.Rect(r.Min.X+at, r.Max.Y-reach, r.Min.X+at+line, r.Max.Y)
		if upright {
			hash = image.Rect(r.Min.X, r.Min.Y+at, r.Min.X+reach, r.Min.Y+at+line)
		}
		fill(m, hash.Intersect(r), s.colours.ground)
	}
}
