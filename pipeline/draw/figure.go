package draw

import (
	"fmt"
	"image"
	"image/color"
	"math"

	"trenchcut/pipeline/plan"
)

// Ring draws r: an ellipse as if on the ground around the man, and his number on a tab
// above it. It is kept in the film's picture. A ring that moves is drawn where it starts.
func Ring(r plan.Ring, look plan.Look, house plan.House) (Picture, error) {
	colours, err := coloursFor(look, house)
	if err != nil {
		return Picture{}, fmt.Errorf("drawing a ring: %w", err)
	}
	fs := faces{}
	defer fs.done()
	s := newScale(house)
	f := fs.get(true, s.size(look.Small))
	film := filmIn(r.Film, house)
	side := float64(min(film.Dx(), film.Dy()))
	rows, _ := f.fold(clean(r.Tab), house.Width/4, 1)
	tab := text{f, rows, colours.ink}
	pad := f.style.px / 3
	rx, ry := side/16, side/22
	line := max(side/200, 1.5)
	tabWidth := tab.width() + 2*pad
	width := max(int(2*(rx+line))+2, tabWidth)
	height := int(2*(ry+line)) + 2 + tab.height()

	p := newFigure(image.Rect(0, 0, width, height).Add(image.Pt(r.At.X-width/2, r.At.Y-int(ry+line)-1-tab.height())), film)
	defer p.faces.done()
	centre := p.at(r.At)
	p.outline(ellipse(centre, rx, ry), true, line, colours)
	if len(rows) > 0 {
		top := image.Rect(0, 0, tabWidth, tab.height()).Add(image.Pt(int(centre.x)-tabWidth/2, int(centre.y-ry-line)-tab.height()))
		top = top.Add(image.Pt(max(-top.Min.X, 0), max(-top.Min.Y, 0)))
		fill(p.dst, top.Intersect(p.dst.Rect), colours.ground)
		tab.write(p.dst, top.Min.X+pad, top.Min.Y)
	}
	return p.picture(), nil
}

// Drawn is a drawing: its states, each Height tall, one below the other, one a frame.
type Drawn struct {
	Picture
	States, Height int
}

// Figure draws d over a picture that stands still, as it grows.
func Figure(d plan.Drawing, look plan.Look, house plan.House) (Drawn, error) {
	colours, err := newPalette(look)
	if err == nil {
		err = checkHouse(house)
	}
	least := map[string]int{"circle": 1, "arrow": 2, "line": 2, "path": 2}[d.Kind]
	if err == nil && (least == 0 || len(d.Points) < least) {
		err = fmt.Errorf("%q of %d points", d.Kind, len(d.Points))
	}
	if err != nil {
		return Drawn{}, fmt.Errorf("drawing a figure: %w", err)
	}
	film := filmIn(d.Film, house)
	side := float64(min(film.Dx(), film.Dy()))
	line := max(side/120, 2)
	radius := side / 14
	head := 4 * line
	reach := int(head + 2*line)
	if d.Kind == "circle" {
		reach = int(radius + 2*line)
	}
	r := image.Rectangle{Min: image.Pt(math.MaxInt, math.MaxInt), Max: image.Pt(math.MinInt, math.MinInt)}
	for _, q := range d.Points {
		r.Min = image.Pt(min(r.Min.X, q.X-reach), min(r.Min.Y, q.Y-reach))
		r.Max = image.Pt(max(r.Max.X, q.X+reach), max(r.Max.Y, q.Y+reach))
	}
	states := max(int(d.Grow), 1)
	var out Drawn
	var tall *image.RGBA
	for i := range states {
		p := newFigure(r, film)
		var points []point
		for _, q := range d.Points {
			points = append(points, p.at(q))
		}
		p.grown(d.Kind, points, float64(i+1)/float64(states), line, head, radius, colours)
		size := p.dst.Rect.Size()
		if tall == nil {
			tall = image.NewRGBA(image.Rect(0, 0, size.X, size.Y*states))
			out = Drawn{Picture{At: p.min}, states, size.Y}
		}
		copy(tall.Pix[i*size.Y*tall.Stride:], p.dst.Pix)
		p.faces.done()
	}
	out.Image = straight(tall)
	return out, nil
}

// grown draws the first part of a figure, 1 for the whole.
func (f *figure) grown(kind string, points []point, part, line, head, radius float64, colours palette) {
	if kind == "circle" {
		round := ellipse(points[0], radius, radius)
		f.outline(round[:max(int(part*float64(len(round))), 2)], part == 1, line, colours)
		return
	}
	points = along(points, part)
	if tip := len(points) - 1; kind == "arrow" && points[tip].away(points[tip-1]) > head {
		f.arrow(points, line, head, colours)
		return
	}
	f.outline(points, false, line, colours)
}

// along is the first part of a line through points.
func along(points []point, part float64) []point {
	if part >= 1 {
		return points
	}
	var whole float64
	for i := range points[1:] {
		whole += points[i+1].away(points[i])
	}
	left := whole * part
	out := points[:1:1]
	for i, to := range points[1:] {
		from := points[i]
		length := to.away(from)
		if left <= length {
			share := 0.0
			if length > 0 {
				share = left / length
			}
			return append(out, point{from.x + (to.x-from.x)*share, from.y + (to.y-from.y)*share})
		}
		left -= length
		out = append(out, to)
	}
	return out
}

func (p point) away(q point) float64 { return math.Hypot(p.x-q.x, p.y-q.y) }

// figure is a picture of part of the house's, which is painted in house places.
type figure struct {
	painter
	min image.Point
}

// filmIn is where film stands in the house picture: in the whole of it where nothing else is
// said.
func filmIn(f plan.Fit, house plan.House) image.Rectangle {
	if f == (plan.Fit{}) {
		return image.Rect(0, 0, house.Width, house.Height)
	}
	return image.Rect(f.X, f.Y, f.X+f.Width, f.Y+f.Height)
}

// newFigure is an empty picture of the part r of the house's, as far as it is on film, at
// even places.
func newFigure(r, film image.Rectangle) *figure {
	r = r.Intersect(film)
	r = image.Rect(r.Min.X/2*2, r.Min.Y/2*2, (r.Max.X+1)/2*2, (r.Max.Y+1)/2*2)
	if r.Empty() {
		r = image.Rect(0, 0, 2, 2).Add(film.Min)
	}
	return &figure{painter{dst: image.NewRGBA(image.Rectangle{Max: r.Size()}), faces: faces{}}, r.Min}
}

func (f *figure) at(s plan.Spot) point { return point{float64(s.X - f.min.X), float64(s.Y - f.min.Y)} }

func (f *figure) picture() Picture { return Picture{straight(f.dst), f.min} }

// outline draws a line through points, in the accent, edged with the ground so that it is
// seen on grass and on white alike.
func (f *figure) outline(points []point, closed bool, width float64, colours palette) {
	if closed {
		points = append(points, points[0])
	}
	for _, pen := range f.pens(width, colours) {
		stroke{lines: [][]point{points}, width: pen.width, colour: pen.colour}.paint(&f.painter)
		for _, p := range points { // round joints
			dot{at: p, radius: pen.width / 2, fill: pen.colour, edge: pen.colour}.paint(&f.painter)
		}
	}
}

// pen is one pass of an outline.
type pen struct {
	width  float64
	colour color.NRGBA
}

func (f *figure) pens(width float64, colours palette) []pen {
	return []pen{{width * 1.8, colours.ground}, {width, colours.accent}}
}

// ellipse is its outline: corners enough that none shows.
func ellipse(centre point, rx, ry float64) []point {
	const corners = 64
	var o []point
	for i := range corners {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
		o = append(o, point{centre.x + rx*cos, centre.y + ry*sin})
	}
	return o
}

// arrow is a line with a head at its end.
func (f *figure) arrow(points []point, width, head float64, colours palette) {
	tip, tail := points[len(points)-1], points[len(points)-2]
	dx, dy := unit(tail, tip)
	neck := point{tip.x - dx*head, tip.y - dy*head}
	body := append(append([]point{}, points[:len(points)-1]...), neck)
	f.outline(body, false, width, colours)
	for _, pen := range f.pens(width, colours) {
		grow := (pen.width - width) / 2
		area{points: []point{
			{tip.x + dx*grow*2, tip.y + dy*grow*2},
			{neck.x - dx*grow - dy*(head*.6+grow), neck.y - dy*grow + dx*(head*.6+grow)},
			{neck.x - dx*grow + dy*(head*.6+grow), neck.y - dy*grow - dx*(head*.6+grow)},
		}, fill: pen.colour}.paint(&f.painter)
	}
}
