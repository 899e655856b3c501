package tags

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
)

// angle is what a play says of itself on one camera.
type angle struct {
	Pos           Pos
	Name          string
	File          string
	In, Out, Snap *Instant
}

// Name is the play in file names and printouts: wk2-harbor-p014.
func (p *Play) Name() string {
	number := strconv.Itoa(p.Number) // a season asks for very many, and formats are slow
	return p.Game.ID + "-p" + "000"[min(len(number), 3):] + number
}

// View is one play on one angle, on the film's own time. In and Out bound what may be
// shown: Out is when the first frame not shown starts.
type View struct {
	Angle  string
	File   string
	In     Time
	Out    Time
	ToEnd  bool // a clip file that gives no out: Out is unset and the film's end is meant
	Snap   Time
	Snaps  bool // Snap is known
	Pos    Pos
	InPos  Pos
	OutPos Pos
	// SnapPos is where the snap is written, or the angle where it is not.
	SnapPos Pos
}

// Angles is every angle that shows p, in the order the game lists its films.
func (p *Play) Angles() []string {
	var names []string
	for _, f := range p.Game.Films {
		if p.shows(f) {
			names = append(names, f.Angle)
		}
	}
	for _, a := range p.angles {
		if !slices.Contains(names, a.Name) {
			names = append(names, a.Name)
		}
	}
	return names
}

func (p *Play) shows(f Film) bool {
	if _, ok := p.angle(f.Angle); ok {
		return true
	}
	// A clip's time is its own: no other film is in step with it.
	first := p.firstAngle()
	return first != nil && (f.Angle == first.Name || f.Offset != nil && first.File == "")
}

func (p *Play) angle(name string) (angle, bool) {
	for _, a := range p.angles {
		if a.Name == name {
			return a, true
		}
	}
	return angle{}, false
}

// Timed reports whether p says itself when it is on an angle, rather than leave it to the
// offset of film that runs on.
func (p *Play) Timed(angle string) bool {
	if first := p.firstAngle(); first != nil && first.Name == angle {
		return true
	}
	_, ok := p.angle(angle)
	return ok
}

// firstAngle is the play on the game's first film, whether it says so under angles or
// with in and out of its own; nil where it does neither.
func (p *Play) firstAngle() *angle {
	if len(p.Game.Films) == 0 {
		return nil
	}
	first := p.Game.Films[0]
	a, ok := p.angle(first.Angle)
	if !ok {
		a = angle{Pos: p.Pos, Name: first.Angle}
		if p.in == nil {
			return nil
		}
	}
	if a.In == nil {
		a.In = p.in
	}
	if a.Out == nil {
		a.Out = p.out
	}
	if snap, ok := p.Marks.At(Snap); ok && a.Snap == nil && snap.From == FromFilm {
		a.Snap = snap
	}
	return &a
}

// View is p on one angle. It fails, with a [Fault] for each time that is wrong, where the play does not say when it is on that
// angle, or says it in frames of a film whose rate is not known.
func (p *Play) View(name string) (View, error) {
	a, ok := p.angle(name)
	film, _ := p.Game.Film(name)
	switch first := p.firstAngle(); {
	case first == nil:
	case first.Name == name:
		a, ok = *first, true
	case film.Offset != nil && first.File == "" && a.File == "" && a.In == nil && a.Out == nil && a.Snap == nil:
		return p.offsetView(*first, film)
	}
	if !ok {
		return View{}, Fault{Pos: p.Pos, What: fmt.Sprintf("play %d is not on angle %q", p.Number, name)}
	}
	return p.view(a, film)
}

func (p *Play) view(a angle, film Film) (View, error) {
	v := View{Angle: a.Name, File: a.File, Pos: a.Pos, InPos: a.Pos, OutPos: a.Pos, SnapPos: a.Pos}
	if v.File == "" {
		v.File = film.File
	}
	clock := p.Game.clocks[v.File]
	var in, out, snap error
	switch {
	case a.In != nil:
		v.InPos = a.In.Pos
		v.In, in = a.In.resolve(clock)
	case a.File == "":
		in = Fault{Pos: a.Pos, What: fmt.Sprintf("play %d on angle %q has no in", p.Number, a.Name)}
	}
	switch {
	case a.Out != nil:
		v.OutPos = a.Out.Pos
		v.Out, out = a.Out.resolve(clock)
	case a.File != "":
		v.ToEnd = true
	default:
		out = Fault{Pos: a.Pos, What: fmt.Sprintf("play %d on angle %q has no out", p.Number, a.Name)}
	}
	if a.Snap != nil {
		v.SnapPos = a.Snap.Pos
		v.Snap, snap = a.Snap.resolve(clock)
		v.Snaps = snap == nil
	}
	return v, errors.Join(in, out, snap)
}

// offsetView is the play on film that runs on in step with the first angle's.
func (p *Play) offsetView(first angle, film Film) (View, error) {
	v, err := p.View(first.Name)
	if err != nil {
		return v, err
	}
	offset, err := film.Offset.resolve(p.Game.clocks[film.File])
	if err != nil {
		return v, err
	}
	v.Angle, v.File = film.Angle, film.File
	move := func(t Time) Time { return t + offset + t*Time(film.Drift)/1_000_000 }
	v.In, v.Out = move(v.In), move(v.Out)
	if v.Snaps {
		v.Snap = move(v.Snap)
	}
	return v, nil
}

// resolve is Resolve with the instant's place in the error.
func (at Instant) resolve(c Clock) (Time, error) {
	t, err := at.Resolve(c)
	if err != nil {
		return 0, Fault{Pos: at.Pos, What: err.Error()}
	}
	return t, nil
}

// Since is how long after the snap a mark of the play comes; false where that is
// not known. It holds on every angle.
func (p *Play) Since(m Mark) (Time, bool) {
	at, ok := p.Marks.At(m)
	if !ok && m != Snap {
		return 0, false
	}
	return p.since(m, at)
}

// since is how long after the snap an instant is that a mark stands at.
func (p *Play) since(m Mark, at *Instant) (Time, bool) {
	if m == Snap {
		_, ok := p.snap()
		return 0, ok
	}
	if at.From == FromSnap && !at.NeedsRate() {
		return Time(at.N), true // as nearly all are: no film need be asked
	}
	t, err := at.Resolve(p.firstClock())
	if err != nil {
		return 0, false
	}
	if at.From == FromSnap {
		return t, true
	}
	snap, ok := p.snap()
	return t - snap, ok
}

// snap is the snap on the first angle.
func (p *Play) snap() (Time, bool) {
	first := p.firstAngle()
	if first == nil || first.Snap == nil {
		return 0, false
	}
	t, err := first.Snap.Resolve(p.clock(first.Name))
	return t, err == nil
}

// firstClock is the clock of the first angle, on which marks that are times on the film
// are written.
func (p *Play) firstClock() Clock {
	first := p.firstAngle()
	if first == nil {
		return Clock{}
	}
	return p.clock(first.Name)
}

func (p *Play) clock(name string) Clock {
	if a, ok := p.angle(name); ok && a.File != "" {
		return p.Game.clocks[a.File]
	}
	film, _ := p.Game.Film(name)
	return p.Game.clocks[film.File]
}
