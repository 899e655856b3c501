package demo

import (
	"image"
	"image/color"
	"image/draw"
	"math"

	xdraw "golang.org/x/image/draw"
	"golang.org/x/image/math/f64"
	"golang.org/x/image/vector"
)

// Okabe and Ito's colours for the two teams; shape differs too: discs against squares.
var (
	ourColour   = color.RGBA{0x00, 0x72, 0xb2, 255}
	ourSide     = color.RGBA{0x00, 0x45, 0x6d, 255}
	theirColour = color.RGBA{0xe6, 0x9f, 0x00, 255}
	theirSide   = color.RGBA{0x8f, 0x63, 0x00, 255}
	ballColour  = color.RGBA{0x8a, 0x3f, 0x12, 255}
)

// discID names a drawn disc: a man's, or the ball's.
type discID struct {
	ours, ball bool
	number     string
}

// placed is a disc drawn at one size and one place between pixels.
type placed struct {
	discID
	size, px, py int // width in halves of a pixel; quarters of a pixel
}

// discs draws men and ball once for every size and place between pixels, and keeps them.
type discs struct {
	squash  float64
	masters map[discID]*image.RGBA
	made    map[placed]*image.RGBA
}

const (
	master = 128  // pixels across a master
	margin = 1.36 // a master is this much wider than its disc, for the shadow
	thick  = 0.16 // of a disc, of its width
	steps  = 4    // places between pixels
)

// at is the disc for a middle at x, y with width pixels across, and where its top left
// corner goes.
func (d *discs) at(id discID, x, y, width float64) (*image.RGBA, image.Point) {
	size := int(math.Round(2 * width))
	qx, qy := int(math.Floor(x*steps)), int(math.Floor(y*steps))
	p := placed{id, size, qx & (steps - 1), qy & (steps - 1)}
	side := int(math.Ceil(float64(size)/2*margin)) + 2
	corner := image.Pt(qx>>2-side/2, qy>>2-side/2)
	if img := d.made[p]; img != nil {
		return img, corner
	}
	m := d.masters[id]
	if m == nil {
		m = d.draw(id)
		d.masters[id] = m
	}
	img := image.NewRGBA(image.Rect(0, 0, side, side))
	k := float64(size) / 2 * margin / master
	shift := func(q int) float64 { return float64(side/2) + (float64(q)+0.5)/steps - k*master/2 }
	xdraw.ApproxBiLinear.Transform(img, f64.Aff3{k, 0, shift(p.px), 0, k, shift(p.py)}, m, m.Bounds(), xdraw.Over, nil)
	d.made[p] = img
	return img, corner
}

// draw makes the master of a disc: shadow, side, rim, face, number.
func (d *discs) draw(id discID) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, master, master))
	const mid = master / 2
	r := float64(master) / margin / 2
	if id.ball {
		ellipse(img, color.RGBA{255, 255, 255, 255}, mid, mid, r, r*0.66)
		ellipse(img, ballColour, mid, mid, r*0.84, r*0.50)
		rect(img, color.RGBA{255, 255, 255, 255}, mid-r*0.42, mid-r*0.06, mid+r*0.42, mid+r*0.06)
		return img
	}
	flat := r * d.squash
	side := r * 2 * thick * math.Sqrt(1-d.squash*d.squash)
	shape := ellipse
	top, edge, ink := ourColour, ourSide, color.RGBA{255, 255, 255, 255}
	rim := color.RGBA{255, 255, 255, 255}
	if !id.ours {
		shape = square
		top, edge, ink = theirColour, theirSide, color.RGBA{20, 16, 0, 255}
		rim = color.RGBA{40, 30, 0, 255}
	}
	for i := range 5 { // soft by layers
		shape(img, color.RGBA{0, 0, 0, 20}, mid+r*0.07, mid+side+flat*0.10, r*(1.02+0.035*float64(i)), flat*(1.02+0.035*float64(i)))
	}
	for y := side; y > 0; y -= 2 { // what is seen is a quarter as large
		shape(img, edge, mid, mid+y, r, flat)
	}
	shape(img, rim, mid, mid, r, flat)
	shape(img, top, mid, mid, r*0.91, flat*0.91)
	write(img, image.NewUniform(ink), face(1.42*flat), id.number, mid, mid)
	return img
}

// ellipse fills an ellipse with radii rx and ry.
func ellipse(dst draw.Image, c color.RGBA, x, y, rx, ry float64) { rounded(dst, c, x, y, rx, ry, 2) }

// square fills a square with round corners that covers as much as an ellipse.
func square(dst draw.Image, c color.RGBA, x, y, rx, ry float64) {
	const area = 0.90
	rounded(dst, c, x, y, rx*area, ry*area, 6)
}

// rounded fills |u/rx|ⁿ + |v/ry|ⁿ ≤ 1, Lamé's curve: an ellipse where n is 2, and the nearer
// to a rectangle the larger n is.
func rounded(dst draw.Image, c color.RGBA, x, y, rx, ry, n float64) {
	const sides = 96
	var corners []point
	for i := range sides {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / sides)
		out := func(v float64) float64 { return math.Copysign(math.Pow(math.Abs(v), 2/n), v) }
		corners = append(corners, point{x + rx*out(cos), y + ry*out(sin)})
	}
	fill(dst, c, corners...)
}

func rect(dst draw.Image, c color.RGBA, x0, y0, x1, y1 float64) {
	fill(dst, c, point{x0, y0}, point{x1, y0}, point{x1, y1}, point{x0, y1})
}

func fill(dst draw.Image, c color.RGBA, corners ...point) {
	low, high := corners[0], corners[0]
	for _, p := range corners {
		low, high = point{min(low.x, p.x), min(low.y, p.y)}, point{max(high.x, p.x), max(high.y, p.y)}
	}
	r := image.Rect(int(math.Floor(low.x)), int(math.Floor(low.y)), int(math.Ceil(high.x)), int(math.Ceil(high.y)))
	z := vector.NewRasterizer(r.Dx(), r.Dy())
	for i, p := range corners {
		x, y := float32(p.x-float64(r.Min.X)), float32(p.y-float64(r.Min.Y))
		if i == 0 {
			z.MoveTo(x, y)
		} else {
			z.LineTo(x, y)
		}
	}
	z.ClosePath()
	z.Draw(dst, r, image.NewUniform(c), image.Point{})
}
