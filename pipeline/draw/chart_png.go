package draw

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"

	"golang.org/x/image/vector"
)

// PNG writes s as a picture of its size in pixels.
func (s Scene) PNG(w io.Writer) error {
	var plain bytes.Buffer
	err := png.Encode(&plain, s.Image())
	var marked []byte
	if err == nil {
		marked, err = MarkPNG(plain.Bytes(), chartMark)
	}
	if err == nil {
		_, err = w.Write(marked)
	}
	if err != nil {
		return fmt.Errorf("writing a chart: %w", err)
	}
	return nil
}

// Image is s as a picture, all of it opaque.
func (s Scene) Image() *image.NRGBA {
	p := &painter{dst: image.NewRGBA(image.Rect(0, 0, s.Width, s.Height)), faces: faces{}}
	defer p.faces.done()
	fill(p.dst, p.dst.Rect, s.ground)
	for _, sh := range s.shapes {
		sh.paint(p)
	}
	return straight(p.dst)
}

type painter struct {
	dst   *image.RGBA
	faces faces
	ras   vector.Rasterizer
}

// polygons fills closed outlines. Those that overlap must turn the same way, or the
// rasteriser takes one from the other.
func (p *painter) polygons(outlines [][]point, c color.NRGBA) {
	b := around(nil, 0)
	for _, o := range outlines {
		a := around(o, 0)
		b = box{min(b.x0, a.x0), min(b.y0, a.y0), max(b.x1, a.x1), max(b.y1, a.y1)}
	}
	r := image.Rect(int(math.Floor(b.x0)), int(math.Floor(b.y0)), int(math.Ceil(b.x1)), int(math.Ceil(b.y1))).Intersect(p.dst.Rect)
	if r.Empty() {
		return
	}
	p.ras.Reset(r.Dx(), r.Dy())
	for _, o := range outlines {
		for i, q := range o {
			x, y := float32(q.x-float64(r.Min.X)), float32(q.y-float64(r.Min.Y))
			if i == 0 {
				p.ras.MoveTo(x, y)
			} else {
				p.ras.LineTo(x, y)
			}
		}
		p.ras.ClosePath()
	}
	p.ras.Draw(p.dst, r, image.NewUniform(c), image.Point{})
}

func (b box) corners() []point {
	return []point{{b.x0, b.y0}, {b.x1, b.y0}, {b.x1, b.y1}, {b.x0, b.y1}}
}

func (r rect) paint(p *painter) { p.polygons([][]point{r.corners()}, r.fill) }
func (a area) paint(p *painter) { p.polygons([][]point{a.points}, a.fill) }

func (s stroke) paint(p *painter) {
	var outlines [][]point
	half := s.width / 2
	for _, l := range s.broken() {
		for i := 1; i < len(l); i++ {
			a, b := l[i-1], l[i]
			dx, dy := unit(a, b)
			if dx == 0 && dy == 0 {
				continue
			}
			// Past a corner by half the width: at a right angle that makes it whole.
			if i > 1 {
				a = point{a.x - dx*half, a.y - dy*half}
			}
			if i < len(l)-1 {
				b = point{b.x + dx*half, b.y + dy*half}
			}
			nx, ny := -dy*half, dx*half
			outlines = append(outlines, []point{{a.x + nx, a.y + ny}, {a.x - nx, a.y - ny}, {b.x - nx, b.y - ny}, {b.x + nx, b.y + ny}})
		}
	}
	p.polygons(outlines, s.colour)
}

func (d dot) paint(p *painter) {
	p.polygons([][]point{d.disc(d.radius)}, d.edge)
	p.polygons([][]point{d.disc(d.radius - d.ring)}, d.fill)
}

// disc is d's outline at a radius: corners enough that none shows.
func (d dot) disc(radius float64) []point {
	const corners = 48
	var o []point
	for i := range corners {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
		o = append(o, point{d.at.x + radius*cos, d.at.y + radius*sin})
	}
	return o
}

func (t words) paint(p *painter) {
	p.faces.get(t.style.bold, t.style.px).write(p.dst, t.x, t.base, t.text, t.colour)
}
