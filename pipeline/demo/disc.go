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

func newDiscs(squash float64) *discs {
	return &discs{squash, map[discID]*image.RGBA{}, map[placed]*image.RGBA{}}
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
	xdraw.BiLinear.Transform(img, f64.Aff3{k, 0, shift(p.px), 0, k, shift(p.py)}, m, m.Bounds(), xdraw.Over, nil)
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
	fill, edge, ink := ourColour, ourSide, color.RGBA{255, 255, 255, 255}
	rim := color.RGBA{255, 255, 255, 255}
	if !id.ours {
		shape = square
		fill, edge, ink = theirColour, theirSide, color.RGBA{20, 16, 0, 255}
		rim = color.RGBA{40, 30, 0, 255}
	}
	for i := range 5 { // soft by layers
		shape(img, color.RGBA{0, 0, 0, 20}, mid+r*0.07, mid+side+flat*0.10, r*(1.02+0.035*float64(i)), flat*(1.02+0.035*float64(i)))
	}
	for y := side; y > 0; y-- {
		shape(img, edge, mid, mid+y, r, flat)
	}
	shape(img, rim, mid, mid, r, flat)
	shape(img, fill, mid, mid, r*0.91, flat*0.91)
	write(img, image.NewUniform(ink), face(1.42*flat), id.number, mid, mid)
	return img
}

// ellipse fills an ellipse with radii rx and ry.
func ellipse(dst draw.Image, c color.RGBA, x, y, rx, ry float64) {
	const k = 0.5522847498 // the usual cubic for a quarter circle
	z := vector.NewRasterizer(dst.Bounds().Dx(), dst.Bounds().Dy())
	at := func(u, v float64) (float32, float32) { return float32(x + u*rx), float32(y + v*ry) }
	move := func(u, v float64) { a, b := at(u, v); z.MoveTo(a, b) }
	curve := func(u1, v1, u2, v2, u, v float64) {
		a, b := at(u1, v1)
		c, d := at(u2, v2)
		e, f := at(u, v)
		z.CubeTo(a, b, c, d, e, f)
	}
	move(1, 0)
	curve(1, k, k, 1, 0, 1)
	curve(-k, 1, -1, k, -1, 0)
	curve(-1, -k, -k, -1, 0, -1)
	curve(k, -1, 1, -k, 1, 0)
	z.ClosePath()
	z.Draw(dst, dst.Bounds(), image.NewUniform(c), image.Point{})
}

// square fills a square with round corners, as wide as an ellipse of the same area.
func square(dst draw.Image, c color.RGBA, x, y, rx, ry float64) {
	const area, round, k = 0.90, 0.34, 0.5522847498
	rx, ry = rx*area, ry*area
	z := vector.NewRasterizer(dst.Bounds().Dx(), dst.Bounds().Dy())
	at := func(u, v float64) (float32, float32) { return float32(x + u*rx), float32(y + v*ry) }
	corner := [4][2]float64{{1, 1}, {-1, 1}, {-1, -1}, {1, -1}}
	a, b := at(1, -1+round)
	z.MoveTo(a, b)
	for i, q := range corner {
		in, out := point{q[0], q[1] * (1 - round)}, point{q[0] * (1 - round), q[1]}
		if i%2 == 1 {
			in, out = out, in
		}
		bend := func(p point) point { return p.add(point{q[0], q[1]}.sub(p).times(k)) }
		ax, ay := at(in.x, in.y)
		z.LineTo(ax, ay)
		b1, b2 := bend(in), bend(out)
		x1, y1 := at(b1.x, b1.y)
		x2, y2 := at(b2.x, b2.y)
		x3, y3 := at(out.x, out.y)
		z.CubeTo(x1, y1, x2, y2, x3, y3)
	}
	z.ClosePath()
	z.Draw(dst, dst.Bounds(), image.NewUniform(c), image.Point{})
}

func rect(dst draw.Image, c color.RGBA, x0, y0, x1, y1 float64) {
	z := vector.NewRasterizer(dst.Bounds().Dx(), dst.Bounds().Dy())
	z.MoveTo(float32(x0), float32(y0))
	z.LineTo(float32(x1), float32(y0))
	z.LineTo(float32(x1), float32(y1))
	z.LineTo(float32(x0), float32(y1))
	z.ClosePath()
	z.Draw(dst, dst.Bounds(), image.NewUniform(c), image.Point{})
}
