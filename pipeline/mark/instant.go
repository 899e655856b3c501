package mark

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"trenchcut/tags"
)

// At is what is on the screen: a frame of one angle's film, counted from 0.
type At struct {
	Angle string     `json:"angle"`
	Frame tags.Frame `json:"frame"`
}

// file is the film file that shows a play on an angle; the angle's own where the play names
// none.
func (l Look) file(play int, angle string) string {
	if p := l.play(play); p != nil {
		for _, w := range p.Written() {
			if w.Angle == angle && w.File != "" {
				return w.File
			}
		}
	}
	film, _ := l.Game.Film(angle)
	return film.File
}

// clock is the clock of the film that shows a play on an angle.
func (d *Document) clock(l Look, play int, angle string) (tags.Clock, error) {
	e, ok := d.films[l.file(play, angle)]
	if !ok || !e.Clock.Rate.Known() {
		return tags.Clock{}, fmt.Errorf("the film of angle %s is not there", angle)
	}
	return e.Clock, nil
}

func (l Look) play(number int) *tags.Play {
	if i, ok := l.state.place(number); ok {
		return l.Game.Plays[i]
	}
	return nil
}

// Marked is the edits that mark the frame on the screen: in, out or snap of a play on the
// angle shown, or another mark of a rep, or of the play where rep is empty. A snap that is
// marked is a guess no more. Marks but the snap count from it, so it comes first.
func (d *Document) Marked(l Look, play int, rep, mark string, at At) ([]Edit, error) {
	clock, err := d.clock(l, play, at.Angle)
	if err != nil {
		return nil, err
	}
	switch mark {
	case "in", "out", string(tags.Snap):
		return d.timed(l, play, mark, at, clock)
	}
	field := Field("marks." + mark)
	snap, err := d.snapOn(l, play, at.Angle)
	if err != nil {
		return nil, err
	}
	was, there := l.Value(play, rep, field)
	if !there {
		return nil, &ConflictError{Edit: Edit{Verb: Set, Play: play, Rep: rep, Field: field}}
	}
	return []Edit{{Verb: Set, Play: play, Rep: rep, Field: field, Was: was, Value: sinceSnap(clock, snap, at.Frame)}}, nil
}

// timed is the edits that mark a time of the play itself on an angle.
func (d *Document) timed(l Look, play int, mark string, at At, clock tags.Clock) ([]Edit, error) {
	t, angle := clock.At(at.Frame), at.Angle
	if first := l.timesOf(play, angle); first != angle {
		film, _ := l.Game.Film(angle)
		offset, err := film.Offset.Resolve(clock)
		if err != nil {
			return nil, err
		}
		firstClock, err := d.clock(l, play, first)
		if err != nil {
			return nil, err
		}
		t = (t - offset) * 1_000_000 / (1_000_000 + tags.Time(film.Drift))
		t = firstClock.At(firstClock.FrameAt(t - firstClock.Rate.Duration(1)/2))
	}
	field := l.timeField(play, angle, mark)
	was, there := l.Value(play, "", field)
	if !there {
		return nil, &ConflictError{Edit: Edit{Verb: Set, Play: play, Field: field}}
	}
	edits := []Edit{{Verb: Set, Play: play, Field: field, Was: was, Value: t.String()}}
	if mark == string(tags.Snap) {
		edits = append(edits, Confirmed(l, play, l.timesOf(play, angle))...)
	}
	return edits, nil
}

// timesOf returns the angle that holds the times of a play on an angle: the first angle where the
// film has an offset and the play no times of its own, else the angle itself.
func (l Look) timesOf(play int, angle string) string {
	p := l.play(play)
	if film, _ := l.Game.Film(angle); p != nil && film.Offset != nil && !p.Timed(angle) {
		return l.Game.Films[0].Angle
	}
	return angle
}

// timeField returns the field that holds, or is to hold, in, out or snap of a play on an angle.
// Times of the first angle may stand on the play itself.
func (l Look) timeField(play int, angle, mark string) Field {
	angle = l.timesOf(play, angle)
	field, own := Field("angles."+angle+"."+mark), Field(mark)
	if mark == string(tags.Snap) {
		own = "marks.snap"
	}
	if v, _ := l.Value(play, "", field); v != "" || len(l.Game.Films) == 0 || angle != l.Game.Films[0].Angle {
		return field
	}
	if v, _ := l.Value(play, "", own); v != "" {
		return own
	}
	return field
}

// Confirmed is the edits that say that the snap on an angle is no guess; empty names all
// angles. There are none where it is none.
func Confirmed(l Look, play int, angle string) []Edit {
	p := l.play(play)
	if p == nil {
		return nil
	}
	was := p.Guesses()
	now := was
	for _, a := range p.Angles() {
		if angle == "" || a == angle {
			now = now.WithoutSnap(a, p.Angles())
		}
	}
	if now == was {
		return nil
	}
	return []Edit{{Verb: Set, Play: play, Field: "extra." + tags.GuessKey, Was: string(was), Value: string(now)}}
}

// snapOn is the snap of a play on an angle, on its film's time.
func (d *Document) snapOn(l Look, play int, angle string) (tags.Time, error) {
	if p := l.play(play); p != nil {
		if v, _ := p.View(angle); v.Snaps {
			return v.Snap, nil
		}
	}
	return 0, fmt.Errorf("mark the snap of play %d on angle %s first: this counts from it", play, angle)
}

// sinceSnap writes how long after the snap a frame is shown: to the hundredth, as people
// write it, where that means the frame, else to the millisecond.
func sinceSnap(clock tags.Clock, snap tags.Time, frame tags.Frame) string {
	t := clock.At(frame) - snap
	for _, unit := range []tags.Time{10 * tags.Millisecond, tags.Millisecond} {
		n := roundedTo(t, unit)
		if clock.FrameAt(snap+n) == frame {
			at := tags.Instant{N: int64(n), From: tags.FromSnap}
			return at.String()
		}
	}
	at := tags.Instant{N: int64(t), From: tags.FromSnap}
	return at.String()
}

func roundedTo(t, unit tags.Time) tags.Time {
	half := unit / 2
	if t < 0 {
		half = -half
	}
	return (t + half) / unit * unit
}

// Frame is the frame of a mark of a play, or of a rep, on an angle; in, out and snap too.
func (d *Document) Frame(l Look, play int, rep, mark, angle string) (tags.Frame, bool) {
	clock, err := d.clock(l, play, angle)
	if err != nil {
		return 0, false
	}
	if begun, ok := l.state.draft(play, ""); ok {
		if at, err := tags.ParseInstant(begun.Value(Field("angles." + angle + "." + mark))); err == nil {
			t, err := at.Resolve(clock)
			return clock.FrameAt(t), err == nil
		}
	}
	p := l.play(play)
	if p == nil {
		return 0, false
	}
	v, viewErr := p.View(angle)
	switch mark {
	case "in":
		return clock.FrameAt(v.In), viewErr == nil
	case "out":
		if v.ToEnd {
			return d.films[v.File].Frames, viewErr == nil
		}
		return clock.FrameAt(v.Out), viewErr == nil
	case string(tags.Snap):
		return clock.FrameAt(v.Snap), v.Snaps
	}
	if !v.Snaps {
		return 0, false
	}
	text, _ := l.Value(play, rep, Field("marks."+mark))
	if text == "" {
		return 0, false
	}
	at, err := tags.ParseInstant(text)
	if err != nil {
		return 0, false
	}
	if at.From == tags.FromSnap {
		t, err := at.Resolve(clock)
		return clock.FrameAt(v.Snap + t), err == nil
	}
	since, ok := p.Since(tags.Mark(mark))
	if rep != "" {
		i := slices.IndexFunc(p.Reps, func(r *tags.Rep) bool { return r.Rusher.ID == rep })
		if i >= 0 {
			since, ok = p.Reps[i].Since(tags.Mark(mark))
		}
	}
	return clock.FrameAt(v.Snap + since), ok
}

// spotField is the field of where a rusher is at the snap on an angle.
func spotField(angle string) Field { return Field("spot." + angle) }

// spotted is the edit that says where a rusher is at the snap in the picture of an angle, x
// and y from 0 to 1.
func spotted(l Look, play int, rep, angle string, x, y float64) []Edit {
	field := spotField(angle)
	was, _ := l.Value(play, rep, field)
	third := func(v float64) string {
		return strconv.FormatFloat(math.Round(min(max(v, 0), 1)*1000)/1000, 'f', -1, 64)
	}
	return []Edit{{Verb: Set, Play: play, Rep: rep, Field: field, Was: was, Value: listed(third(x), third(y))}}
}

// Owned is the edit that gives a rep an in or an out of its own at the frame on the screen:
// from the snap, so that it holds on every angle.
func (d *Document) Owned(l Look, play int, rep, mark string, at At) ([]Edit, error) {
	clock, err := d.clock(l, play, at.Angle)
	if err != nil {
		return nil, err
	}
	snap, err := d.snapOn(l, play, at.Angle)
	if err != nil {
		return nil, err
	}
	was, _ := l.Value(play, rep, Field(mark))
	return []Edit{{Verb: Set, Play: play, Rep: rep, Field: Field(mark), Was: was, Value: sinceSnap(clock, snap, at.Frame)}}, nil
}

// ownFrame is the frame of a rep's own in or out on an angle.
func (d *Document) ownFrame(l Look, play int, rep, mark, angle string) (tags.Frame, bool) {
	text, _ := l.Value(play, rep, Field(mark))
	p := l.play(play)
	clock, err := d.clock(l, play, angle)
	if rep == "" || text == "" || p == nil || err != nil {
		return 0, false
	}
	if i := slices.IndexFunc(p.Reps, func(r *tags.Rep) bool { return r.Rusher.ID == rep }); i >= 0 {
		v, err := p.Reps[i].View(angle)
		return clock.FrameAt(map[string]tags.Time{"in": v.In, "out": v.Out}[mark]), err == nil
	}
	v, _ := p.View(angle)
	at, err := tags.ParseInstant(text)
	if err != nil || at.From != tags.FromSnap || !v.Snaps {
		return 0, false
	}
	t, err := at.Resolve(clock)
	return clock.FrameAt(v.Snap + t), err == nil
}
