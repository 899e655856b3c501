package tags

import (
	"fmt"
	"slices"
	"strings"
)

// Move is one step of a rush and the path it took.
type Move struct {
	Name string
	Path string
}

// Point is a place in the picture: 0,0 the top left, 1,1 the bottom right.
type Point struct{ X, Y float64 }

// Drawing is a shape to draw over the picture at a mark.
type Drawing struct {
	At     Mark
	Angle  string
	Shape  string // circle, arrow, line or path
	Points []Point
}

// Name is the rep in file names and printouts: wk2-harbor-p014-91, or wk2-harbor-p014-marlow
// where his number does not tell him. No two reps of a play have one name.
func (r *Rep) Name() string {
	who := r.Rusher.ID
	if r.Numbered() {
		who = r.Rusher.Jersey
	}
	return r.Play.Name() + "-" + who
}

// Numbered reports whether the rusher's number tells him from the others of the play: he
// wears one, and no other wears it or has it for an id.
func (r *Rep) Numbered() bool {
	number := r.Rusher.Jersey
	return number != "" && !slices.ContainsFunc(r.Play.Reps, func(o *Rep) bool {
		return o.Rusher != r.Rusher && (o.Rusher.Jersey == number || o.Rusher.ID == number)
	})
}

// Sequence is the moves in order, as the one-line form writes them; a path is written
// only where it is not the move's usual one.
func (r *Rep) Sequence() string {
	list := r.Play.Game.vocabulary.List("move")
	steps := make([]string, len(r.Moves))
	for i, m := range r.Moves {
		steps[i] = m.Name
		if w, _ := list.Find(m.Name); w.Path != m.Path {
			steps[i] += "/" + m.Path
		}
	}
	return strings.Join(steps, ">")
}

// Since is how long after the snap a mark of the rep comes, or of its play where the
// rep has none; false where that is not known.
func (r *Rep) Since(m Mark) (Time, bool) {
	at, ok := r.Marks.At(m)
	if !ok {
		return r.Play.Since(m)
	}
	return r.Play.since(m, at)
}

// View is the rep on one angle: the play's view, within the rep's own in and out where
// it has them.
func (r *Rep) View(angle string) (View, error) {
	v, err := r.Play.View(angle)
	if err != nil || (r.in == nil && r.out == nil) {
		return v, err
	}
	first, err := r.Play.View(r.Play.Angles()[0])
	if err != nil {
		return v, err
	}
	shift := Time(0)
	if first.Angle != v.Angle {
		film, _ := r.Play.Game.Film(v.Angle)
		_, listed := r.Play.angle(v.Angle)
		switch {
		case first.Snaps && v.Snaps:
			shift = v.Snap - first.Snap
		case film.Offset != nil && !listed:
			shift = v.In - first.In
		default:
			return v, Fault{Pos: r.Pos, What: fmt.Sprintf("rep %s has its own in or out, which needs the snap on both %s and %s", r.Name(), first.Angle, v.Angle)}
		}
	}
	clock := r.Play.Game.clocks[first.File]
	own := func(at *Instant) (Time, error) {
		t, err := at.resolve(clock)
		switch {
		case err != nil:
			return 0, err
		case at.From == FromFilm:
			return t + shift, nil
		case !v.Snaps:
			return 0, Fault{Pos: at.Pos, What: fmt.Sprintf("a time from the snap needs the snap on angle %s", v.Angle)}
		}
		return v.Snap + t, nil
	}
	if r.in != nil {
		if v.In, err = own(r.in); err != nil {
			return v, err
		}
		v.InPos = r.in.Pos
	}
	if r.out != nil {
		if v.Out, err = own(r.out); err != nil {
			return v, err
		}
		v.OutPos, v.ToEnd = r.out.Pos, false
	}
	return v, nil
}
