package tags

import (
	"regexp"

	"gopkg.in/yaml.v3"
)

// Bounds on what a game may hold, so that no file costs much more memory than its size.
const (
	MaxPlays = 9999
	MaxReps  = 99 // a play
)

// longPlay is a play while its keys are read.
type longPlay struct {
	*Play
	numbered bool       // whether it has that key, be its value right or wrong
	reps     *yaml.Node // nil where it has none
}

func (r *gameReader) readPlays(n *yaml.Node) {
	if len(n.Content) > MaxPlays {
		r.Faults.Add(r.Pos(n), "%d plays are more than the %d a game may have", len(n.Content), MaxPlays)
		return
	}
	r.playKeys = r.keysOfPlay(&r.play)
	r.List(n, "plays", func(n *yaml.Node) {
		p := &Play{Game: r.game, Pos: r.Pos(n)}
		r.play = longPlay{Play: p}
		r.Mapping(n, "play", r.playKeys)
		p.oneTexts(r.v)
		if !r.play.numbered && (n.Kind == yaml.MappingNode || empty(n)) {
			r.Faults.Add(p.Pos, "play has no number: want play: 14")
		}
		switch reps := r.play.reps; {
		case reps == nil:
		case len(reps.Content) > MaxReps:
			r.Faults.Add(r.Pos(reps), "%d reps are more than the %d a play may have", len(reps.Content), MaxReps)
		default:
			r.List(reps, "reps", func(n *yaml.Node) { r.readRep(n, p) })
		}
		r.game.Plays = append(r.game.Plays, p)
	})
}

// keysOfPlay is the readers of a play's keys, into play.
func (r *gameReader) keysOfPlay(play *longPlay) Keys {
	keys := Keys{
		"extra": func(n *yaml.Node) {
			extra := map[string]string{}
			play.Extra = extra
			r.Each(n, "extra", func(key, value *yaml.Node) { extra[key.Value] = r.Text(value, key.Value) })
		},
		"in":     func(n *yaml.Node) { play.timed = true; r.onFilm("in", &play.in)(n) },
		"out":    func(n *yaml.Node) { r.onFilm("out", &play.out)(n) },
		"angles": func(n *yaml.Node) { r.readAngles(n, play.Play) },
		"marks":  func(n *yaml.Node) { r.readPlayMarks(n, play.Play) },
		"reps":   func(n *yaml.Node) { play.reps = n },
	}
	for _, f := range PlayFields {
		keys[f.FileKey()] = func(n *yaml.Node) { readField(r, f, n, play.Play) }
	}
	number := keys["play"]
	keys["play"] = func(n *yaml.Node) {
		number(n)
		play.numbered, play.Pos = true, r.Pos(n)
	}
	return keys
}

// readField reads the value of a field into x.
func readField[T any](r *gameReader, f *Field[T], n *yaml.Node, x *T) {
	key := f.FileKey()
	switch at := f.At(x).(type) {
	case *string:
		*at = r.fieldText(n, key, f.Kind, f.WordList())
	case *int:
		*at, _ = r.Whole(n, f.Least, f.Most)
	case **int:
		if v, ok := r.Whole(n, f.Least, f.Most); ok {
			*at = &v
		}
	case **Person:
		r.person(f.Name, at)(n)
	case *[]string:
		r.List(n, key, func(n *yaml.Node) {
			if f.Kind == KindWords {
				*at = append(*at, r.Word(n, r.v, f.WordList()))
				return
			}
			*at = append(*at, r.Text(n, key))
		})
	}
}

func (r *gameReader) fieldText(n *yaml.Node, key string, kind Kind, list string) string {
	switch kind {
	case KindWord:
		return r.Word(n, r.v, list)
	case KindYesNo:
		return r.yesNoWord(n, key)
	}
	text := r.Text(n, key)
	if kind == KindClock && !gameClockForm.MatchString(text) {
		r.Faults.Add(r.Pos(n), "%s %q: want minutes and seconds, such as \"11:32\"", key, text)
	}
	return text
}

// gameClockForm is a game clock: no quarter is longer than 15 minutes.
var gameClockForm = regexp.MustCompile(`^(0?\d|1[0-4]):[0-5]\d$|^15:00$`)

func (r *gameReader) readAngles(n *yaml.Node, p *Play) {
	r.Each(n, "angles", func(key, value *yaml.Node) {
		p.timed = true
		a := angle{Pos: r.Pos(key), Name: key.Value}
		filePos := Pos{}
		r.Mapping(value, "angle "+key.Value, Keys{
			"file": r.film(&a.File, &filePos),
			"in":   r.onFilm("in", &a.In),
			"out":  r.onFilm("out", &a.Out),
			"snap": r.onFilm("snap", &a.Snap),
		})
		if a.File != "" {
			a.Pos = filePos
		}
		film, ok := r.game.Film(a.Name)
		if !ok {
			r.Faults.Add(r.Pos(key), "angle %q is not among the game's film", a.Name)
			r.Faults.hint(DidYouMean(a.Name, r.angles()))
			return
		}
		if a.File == "" && film.File == "" {
			r.Faults.Add(r.Pos(key), "neither the play nor the game names a film file for angle %q", a.Name)
			return
		}
		p.angles = append(p.angles, a)
	})
}

func (r *gameReader) readPlayMarks(n *yaml.Node, p *Play) {
	r.Mapping(n, "marks", r.marks(&p.Marks, AllMarks))
	if snap, ok := p.Marks.At(Snap); ok && snap.From == FromSnap {
		r.Faults.Add(snap.Pos, "snap counts from the snap: want a time on the film, with no + or -")
		p.Marks.forget(Snap)
	}
}

func (r *gameReader) marks(marks *Marks, names []Mark) Keys {
	keys := Keys{}
	for _, m := range names {
		keys[string(m)] = func(n *yaml.Node) {
			if at := r.mark(n, m); at != nil {
				marks.Set(m, *at)
			}
		}
	}
	return keys
}

// LongestRush bounds what a number alone may mean as a mark, in seconds: no rush lasts
// longer, and a time on film this early is written as one, 0:12.4 or 12.4s.
const LongestRush = 15

// mark reads a mark. A number with a point and no unit is seconds from the snap, except of
// the snap itself: 0.2 is +0.2s.
func (r *gameReader) mark(n *yaml.Node, m Mark) *Instant {
	text, ok := r.scalar(n, string(m))
	bare := bareForm.FindStringSubmatch(text)
	if !ok || m == Snap || bare == nil || atoi(bare[2]) > LongestRush {
		return r.Instant(n, string(m))
	}
	if bare[1] == "" {
		text = "+" + text
	}
	if bare[3] != "" {
		text += "s"
	}
	return r.instantOf(text, n, string(m))
}

// angles is the name of each of the game's films, in order.
func (r *gameReader) angles() []string {
	names := make([]string, len(r.game.Films))
	for i, f := range r.game.Films {
		names[i] = f.Angle
	}
	return names
}
