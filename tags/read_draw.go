package tags

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"gopkg.in/yaml.v3"
)

func (r *gameReader) angleName(n *yaml.Node) string {
	name, ok := r.scalar(n, "angle")
	if !ok {
		return ""
	}
	if _, ok := r.game.Film(name); !ok {
		r.Faults.Add(r.Pos(n), "angle %q is not among the game's film", name)
		r.Faults.hint(DidYouMean(name, r.angles()))
	}
	return name
}

func (r *gameReader) readDrawing(n *yaml.Node, rep *Rep) {
	var d Drawing
	var at, angle bool // whether the drawing has those keys, be their values right or wrong
	shape := func(name string, least, most int) func(*yaml.Node) {
		return func(n *yaml.Node) {
			if d.Shape != "" {
				r.Faults.Add(r.Pos(n), "a drawing is one shape: %s is the second", name)
				return
			}
			d.Shape, d.Points = name, r.points(n, least, most)
		}
	}
	r.Mapping(n, "draw", Keys{
		"at": func(n *yaml.Node) {
			at = true
			d.At = Mark(r.Text(n, "at"))
			if !slices.Contains(AllMarks, d.At) {
				r.Faults.Add(r.Pos(n), "unknown mark %q", d.At)
				r.Faults.hint(DidYouMean(string(d.At), MarkNames()))
			}
		},
		"angle": func(n *yaml.Node) {
			angle = true
			d.Angle = r.angleName(n)
		},
		"circle": shape("circle", 1, 1),
		"arrow":  shape("arrow", 2, 2),
		"line":   shape("line", 2, 2),
		"path":   shape("path", 2, 64),
	})
	if n.Kind == yaml.MappingNode && !(at && angle && d.Shape != "") {
		r.Faults.Add(r.Pos(n), "a drawing wants a mark, an angle and a shape, such as {at: beat, angle: endzone, arrow: [0.42, 0.55, 0.50, 0.48]}")
	}
	rep.Draw = append(rep.Draw, d)
}

// points reads [x, y, x, y, …], each 0 to 1 of the picture.
func (r *gameReader) points(n *yaml.Node, least, most int) []Point {
	var flat []float64
	r.List(n, "points", func(n *yaml.Node) {
		text := r.Text(n, "a coordinate")
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || math.IsNaN(v) || v < 0 || v > 1 {
			r.Faults.Add(r.Pos(n), "coordinate %q: want 0 to 1 of the picture", text)
		}
		flat = append(flat, v)
	})
	if len(flat)%2 != 0 || len(flat) < 2*least || len(flat) > 2*most {
		want := fmt.Sprintf("%d", least)
		if most > least {
			want = fmt.Sprintf("%d to %d", least, most)
		}
		r.Faults.Add(r.Pos(n), "want x and y of %s point(s), got %d numbers", want, len(flat))
		return nil
	}
	points := make([]Point, len(flat)/2)
	for i := range points {
		points[i] = Point{flat[2*i], flat[2*i+1]}
	}
	return points
}
