package draw

import "math"

// bounded is what every shape can say of the room it takes.
type bounded interface{ bounds() box }

func boundsOf(s shape) box { return s.(bounded).bounds() }

func (r rect) bounds() box { return r.box }

func (s stroke) bounds() box {
	b := around(nil, 0)
	for _, l := range s.lines {
		// Ends are cut square, so a level or upright line is no longer than its points.
		for i := 1; i < len(l); i++ {
			dx, dy := unit(l[i-1], l[i])
			half := s.width / 2
			c := around(l[i-1:i+1], 0)
			b = box{min(b.x0, c.x0-half*math.Abs(dy)), min(b.y0, c.y0-half*math.Abs(dx)), max(b.x1, c.x1+half*math.Abs(dy)), max(b.y1, c.y1+half*math.Abs(dx))}
		}
	}
	return b
}

func (a area) bounds() box { return around(a.points, 0) }
func (d dot) bounds() box  { return around([]point{d.at}, d.radius) }

// bounds is the room a line of text needs for capitals and for letters below the line;
// accents on capitals reach out of it by a tenth.
func (t words) bounds() box {
	px := float64(t.style.px)
	return box{float64(t.x), float64(t.base) - .78*px, float64(t.x + t.width), float64(t.base) + .22*px}
}
