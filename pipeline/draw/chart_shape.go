package draw

import (
	"image/color"
	"math"
)

// point is a place on a scene, in pixels from its top left corner.
type point struct{ x, y float64 }

// box is a stretch of a scene. Its far edges are the first places outside.
type box struct{ x0, y0, x1, y1 float64 }

func (b box) middle() float64 { return (b.y0 + b.y1) / 2 }

// around is the box of points, and of what reaches past them.
func around(points []point, reach float64) box {
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, p := range points {
		b = box{min(b.x0, p.x-reach), min(b.y0, p.y-reach), max(b.x1, p.x+reach), max(b.y1, p.y+reach)}
	}
	return b
}

// shape is one thing on a scene. Both writers draw each kind from the same numbers.
type shape interface {
	svg(w *svgWriter)
	paint(p *painter)
}

// role is what a mark stands for; it decides nothing about how it looks.
type role string

const (
	guide    role = "guide" // ticks, grid and frames, which only help the eye
	bar      role = "bar"
	interval role = "interval"
	halo     role = "halo"
	series   role = "series"
	fading   role = "fading" // a series where few are left
	band     role = "band"
	censored role = "censored"
	rep      role = "rep"
	mean     role = "mean"
	limit    role = "limit"
	portion  role = "portion" // of a whole
	sample   role = "sample"
)

// rect is a filled box.
type rect struct {
	box
	is   role
	fill color.NRGBA
}

// stroke is lines of one width. Only lines of steps, upright and level, have corners.
type stroke struct {
	is     role
	lines  [][]point
	width  float64
	dash   []float64 // lengths drawn and left out by turns; none: unbroken
	colour color.NRGBA
}

// area is a filled polygon.
type area struct {
	is     role
	points []point
	fill   color.NRGBA
}

// dot is a disc in a ring, which keeps it apart from discs below.
type dot struct {
	is         role
	at         point
	radius     float64 // ring included
	ring       float64 // its width
	fill, edge color.NRGBA
}

// words is one line of text.
type words struct {
	style   style
	x, base int // of the left end of the baseline
	advance int // to where the next letter would stand
	width   int // ink included
	text    string
	colour  color.NRGBA
}

// unit is the direction from a to b.
func unit(a, b point) (dx, dy float64) {
	n := math.Hypot(b.x-a.x, b.y-a.y)
	if n == 0 {
		return 0, 0
	}
	return (b.x - a.x) / n, (b.y - a.y) / n
}

func line(is role, x0, y0, x1, y1, width float64, c color.NRGBA, dash ...float64) stroke {
	return stroke{is, [][]point{{{x0, y0}, {x1, y1}}}, width, dash, c}
}

// outline is a box's edge, drawn inside it.
func outline(is role, b box, width float64, c color.NRGBA) stroke {
	h := width / 2
	return stroke{is, [][]point{
		{{b.x0, b.y0 + h}, {b.x1, b.y0 + h}},
		{{b.x0, b.y1 - h}, {b.x1, b.y1 - h}},
		{{b.x0 + h, b.y0}, {b.x0 + h, b.y1}},
		{{b.x1 - h, b.y0}, {b.x1 - h, b.y1}},
	}, width, nil, c}
}

// slant is which way the lines of a hatch run.
type slant int

const (
	rising slant = 1 << iota
	falling
	level
	upright
)

// hatch is lines gap apart across b, in each direction of s. They start from the scene's
// corner, not the box's, so neighbours alike are seen as one.
func hatch(is role, b box, s slant, gap, width float64, c color.NRGBA) stroke {
	h := stroke{is: is, width: width, colour: c}
	// Lines end within b with their whole width.
	in := box{b.x0 + width/2, b.y0 + width/2, b.x1 - width/2, b.y1 - width/2}
	if in.x0 >= in.x1 || in.y0 >= in.y1 {
		return h
	}
	add := func(p, q point) {
		if math.Hypot(p.x-q.x, p.y-q.y) > width {
			h.lines = append(h.lines, []point{p, q})
		}
	}
	steps := func(from, to, gap float64, at func(v float64)) {
		for v := math.Ceil(from/gap) * gap; v < to; v += gap {
			at(v)
		}
	}
	if s&level != 0 {
		steps(in.y0, in.y1, gap, func(y float64) { add(point{in.x0, y}, point{in.x1, y}) })
	}
	if s&upright != 0 {
		steps(in.x0, in.x1, gap, func(x float64) { add(point{x, in.y0}, point{x, in.y1}) })
	}
	slope := gap * math.Sqrt2 // so that slanted lines are as far apart as level ones
	if s&rising != 0 {        // x + y = v
		steps(in.x0+in.y0, in.x1+in.y1, slope, func(v float64) {
			x0, x1 := max(in.x0, v-in.y1), min(in.x1, v-in.y0)
			add(point{x0, v - x0}, point{x1, v - x1})
		})
	}
	if s&falling != 0 { // x - y = v
		steps(in.x0-in.y1, in.x1-in.y0, slope, func(v float64) {
			x0, x1 := max(in.x0, v+in.y0), min(in.x1, v+in.y1)
			add(point{x0, x0 - v}, point{x1, x1 - v})
		})
	}
	return h
}

// broken is s as lines without dashes, each cut where the pattern says.
func (s stroke) broken() [][]point {
	if len(s.dash) == 0 {
		return s.lines
	}
	var out [][]point
	for _, l := range s.lines {
		left, i, on := s.dash[0], 0, true
		var piece []point
		if len(l) > 0 {
			piece = []point{l[0]}
		}
		for j := 1; j < len(l); j++ {
			at := l[j-1]
			dx, dy := unit(at, l[j])
			length := math.Hypot(l[j].x-at.x, l[j].y-at.y)
			for length >= left && length > 0 {
				at = point{at.x + dx*left, at.y + dy*left}
				length -= left
				if on {
					out = append(out, append(piece, at))
				}
				piece = []point{at}
				on = !on
				i = (i + 1) % len(s.dash)
				left = s.dash[i]
			}
			left -= length
			if on && length > 0 {
				piece = append(piece, l[j])
			}
		}
		if on && len(piece) > 1 {
			out = append(out, piece)
		}
	}
	return out
}
