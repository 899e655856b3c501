package tags

import (
	"errors"
	"fmt"
	"slices"
)

// ourUnit is the unit whose rushes are counted.
const ourUnit = "defense"

// ratedJobs is the jobs that the numbers know. A staff may add others.
var ratedJobs = []string{"rush", "penetrator", "looper", "contain", "spy", "drop", "run-fit"}

// check finds what is wrong in a game as far as the tag file alone can tell.
func (g *Game) check() Faults {
	var fs Faults
	numbers := map[int]Pos{}
	for _, p := range g.Plays {
		if p.Number == 0 {
			continue // its fault was noted where it was read
		}
		if first, ok := numbers[p.Number]; ok {
			fs.Add(p.Pos, "play %d stands twice", p.Number)
			fs.hint(fmt.Sprintf("it stands first at line %d", first.Line))
		} else {
			numbers[p.Number] = p.Pos
		}
		switch {
		case p.in != nil && len(g.Films) == 0:
			fs.Add(p.in.Pos, "the play has times, but the game names no film")
		case len(p.Angles()) == 0 && !p.timed:
			fs.Warn(p.Pos, "no angle shows the play, so no reel can: want in and out, or angles")
		}
		if !p.OurUnit() && len(p.Reps) > 0 {
			fs.Warn(p.Pos, "the play is of the unit %s, so no rate counts its reps", Spoken(p.Unit))
		}
		rushers := map[*Person]bool{} // a rusher who is not known is a new one each time
		for _, r := range p.Reps {
			if rushers[r.Rusher] {
				fs.Add(r.Pos, "%s has two reps in play %d", r.Rusher.ID, p.Number)
			}
			rushers[r.Rusher] = true
			r.checkSide(&fs)
			if !slices.Contains(ratedJobs, r.Job) {
				fs.Warn(r.Pos, "no rate counts the job %s; it stands apart", Spoken(r.Job))
			}
		}
	}
	return fs
}

// Extent is what CheckFilm needs to know of a film file.
type Extent struct {
	Clock  Clock
	Frames Frame // how many the film holds
}

// CheckFilm finds what is wrong between the tags and the film: times that run backwards,
// or out of the film. Plays on film that extents does not have are passed over.
func (g *Game) CheckFilm(extents map[string]Extent) Faults {
	for file, e := range extents {
		g.SetClock(file, e.Clock)
	}
	var fs Faults
	for _, p := range g.Plays {
		for _, name := range p.Angles() {
			fs = append(fs, p.checkView(name, p.View, extents)...)
			for _, r := range p.Reps {
				if r.in != nil || r.out != nil {
					fs = append(fs, p.checkView(name, r.View, extents)...)
				}
			}
		}
		fs = append(fs, p.checkMarks(p.Marks, p.Since)...)
		for _, r := range p.Reps {
			fs = append(fs, p.checkMarks(r.Marks, r.Since)...)
		}
	}
	fs.Sort()
	return slices.Compact(fs) // a time that holds on two angles is wrong on both
}

func (p *Play) checkView(angle string, of func(string) (View, error), extents map[string]Extent) Faults {
	v, err := of(angle)
	e, known := extents[v.File]
	if err != nil {
		// A missing film is a fault by itself; that its rate is unknown only follows from it.
		return slices.DeleteFunc(faultsIn(err), func(f Fault) bool { return !known && f.What == ErrNoRate.Error() })
	}
	var fs Faults
	if !known {
		// Without the film, only contradictions within the tags can be found.
		switch {
		case !p.Timed(angle):
		case !v.ToEnd && v.Out <= v.In:
			fs.Add(v.OutPos, "out is not after in")
		case v.Snaps:
			fs = append(fs, snapOutside(v, v.Snap < v.In, !v.ToEnd && v.Snap >= v.Out)...)
		}
		return fs
	}
	in := e.Clock.FrameAt(v.In)
	out := e.Clock.FrameAt(v.Out)
	if v.ToEnd {
		out = e.Frames
	}
	if !p.Timed(angle) {
		// Nobody wrote these times: a camera that started late or stopped early shows less.
		switch {
		case out <= 0 || in >= e.Frames:
			fs.Warn(v.Pos, "angle %s was not filming in this play", angle)
		case in < 0:
			fs.Warn(v.InPos, "angle %s started filming amid play %d: it is shorter there, by %s", angle, p.Number, e.Clock.Rate.Duration(-in))
		case out > e.Frames:
			fs.Warn(v.OutPos, "angle %s stopped filming amid play %d: it is shorter there, by %s", angle, p.Number, e.Clock.Rate.Duration(out-e.Frames))
		}
		return fs
	}
	switch {
	case in < 0 && v.In >= 0 && out > 0: // many a container starts a little before its first picture
		fs.Warn(v.InPos, "in is before the first picture of the film, which comes at %s: the clip starts there", e.Clock.At(0))
	case in < 0:
		fs.Add(v.InPos, "in is before the first frame of the film")
	case in >= e.Frames:
		fs.Add(v.InPos, "in is past the end of the film, which is %s long", e.Clock.At(e.Frames))
	case out <= in:
		fs.Add(v.OutPos, "out is not after in")
	case out > e.Frames:
		fs.Add(v.OutPos, "out is past the end of the film, which is %s long", e.Clock.At(e.Frames))
	}
	if snap := e.Clock.FrameAt(v.Snap); v.Snaps && len(fs) == 0 {
		fs = snapOutside(v, snap < in, snap >= out)
	}
	return fs
}

// snapOutside is the fault of a snap that is before in or behind out.
func snapOutside(v View, before, behind bool) Faults {
	var fs Faults
	switch {
	case before:
		fs.Add(v.SnapPos, "the snap on angle %s is before in, which is %s", v.Angle, v.In)
	case behind:
		fs.Add(v.SnapPos, "the snap on angle %s is not before out, which is %s", v.Angle, v.Out)
	}
	return fs
}

// faultsIn is every fault joined into err.
func faultsIn(err error) Faults {
	var f Fault
	joined, many := err.(interface{ Unwrap() []error })
	switch {
	case many:
		var fs Faults
		for _, err := range joined.Unwrap() {
			fs = append(fs, faultsIn(err)...)
		}
		return fs
	case errors.As(err, &f):
		return Faults{f}
	default:
		return nil
	}
}

// checkMarks finds the marks among own that cannot be placed or are out of order; since
// knows those the play lends too. The ball may be out before or after any of the others,
// so release is only held to follow the snap.
func (p *Play) checkMarks(own Marks, since func(Mark) (Time, bool)) Faults {
	var fs Faults
	last, before := Time(0), Snap
	for _, m := range AllMarks[1:] {
		t, ok := since(m)
		if !ok {
			if at, mine := own.At(m); mine {
				fs = append(fs, p.unplaced(m, at)...)
			}
			continue
		}
		switch {
		case t < 0 && m != Getoff:
			fs.Add(p.placeOf(m, own), "mark %s comes before %s", m, Snap)
			continue
		case t < last && m != Release:
			// Offside, a ghost or a looper may make it so; a slip of the pen is likelier.
			fs.Warn(p.placeOf(m, own), "mark %s comes before %s", m, before)
			continue
		}
		if m != Release {
			last, before = t, m
		}
	}
	return fs
}

// placeOf is where m is written: among own, or among the marks of the play.
func (p *Play) placeOf(m Mark, own Marks) Pos {
	at, ok := own.At(m)
	if !ok {
		at, _ = p.Marks.At(m)
	}
	return at.Pos
}

// unplaced says why the mark m, written as at, has no place after the snap.
func (p *Play) unplaced(m Mark, at *Instant) Faults {
	var fs Faults
	_, err := at.Resolve(p.firstClock())
	switch {
	case errors.Is(err, ErrNoRate): // the film is missing, and that is the fault
	case err != nil:
		fs.Add(at.Pos, "mark %s: %v", m, err)
	default:
		fs.Add(at.Pos, "mark %s is a time on the film, which needs the snap on the same angle", m)
		fs.hint("write it from the snap, such as +1.30s, or give the angle a snap")
	}
	return fs
}
