package session

import (
	"context"
	"fmt"
	"math"
	"sync"

	"trenchcut/tags"
	"trenchcut/tags/files"
)

// shown is a stretch of film that a play is on.
type shown struct {
	file string
	span tags.Span
	pos  tags.Pos // where the tags say so
}

// Damage decodes every play on every angle, several at once, and says where film is damaged:
// each place is a fault where the tags name the play's film, and a warning where pictures are
// only missing. progress is told how many frames are done, of how many.
func (s *Session) Damage(ctx context.Context, workers int, progress func(done, total tags.Frame)) (tags.Faults, error) {
	machine, err := s.Machine()
	if err != nil {
		return nil, err
	}
	all := s.shown()
	spans := map[string][]tags.Span{}
	var total tags.Frame
	for _, w := range all {
		spans[w.file] = append(spans[w.file], w.span)
		total += w.span.Len()
	}
	var mu sync.Mutex
	var done tags.Frame
	found, err := machine.Library.Decode(ctx, spans, workers, func(more tags.Frame) {
		mu.Lock()
		defer mu.Unlock()
		done += more
		progress(done, total)
	})
	if err != nil {
		return nil, err
	}
	var faults tags.Faults
	for _, d := range found {
		if d.Gap > 0 {
			faults.Warn(s.playAt(all, d.File, d.At), "film %s lacks pictures at %s, %d of them: the one before stays in their place", files.Base(d.File), d.At, d.Gap)
			continue
		}
		faults.Add(s.playAt(all, d.File, d.At), "film %s is damaged at %s: %s", files.Base(d.File), d.At, d.Said)
	}
	faults.Sort()
	return faults, nil
}

// playAt returns where the tags name the play that film shows at a time. Between plays it is the
// next one, whose decoding may need what comes before it.
func (s *Session) playAt(all []shown, file string, at tags.Time) tags.Pos {
	pos, least := tags.Pos{File: file}, tags.Time(math.MaxInt64)
	clock := s.Films[file].Clock()
	for _, w := range all {
		if w.file == file && at < clock.At(w.span.Out) && clock.At(w.span.Out) < least {
			pos, least = w.pos, clock.At(w.span.Out)
		}
	}
	return pos
}

// shown is what of their film the plays of the season are on.
func (s *Session) shown() []shown {
	var all []shown
	for _, p := range s.Season.Plays() {
		for _, angle := range p.Angles() {
			v, err := p.View(angle)
			film, known := s.Films[v.File]
			if err != nil || !known {
				continue // a fault that was told
			}
			clock := film.Clock()
			span := tags.Span{In: max(clock.FrameAt(v.In), 0), Out: clock.FrameAt(v.Out)}
			if v.ToEnd {
				span.Out = film.Frames
			}
			if span.Len() > 0 {
				all = append(all, shown{v.File, span, v.Pos})
			}
		}
	}
	return all
}

// FilmNotes is what is odd about each film and what is done about it, a sentence each.
func (s *Session) FilmNotes(ctx context.Context) ([]string, error) {
	machine, err := s.Machine()
	if err != nil {
		return nil, err
	}
	var said []string
	for _, g := range s.Season.Games {
		for _, f := range g.Files() {
			notes, err := machine.Library.Notes(ctx, f.File)
			if err != nil {
				return nil, err
			}
			for _, note := range notes {
				said = append(said, fmt.Sprintf("%s: %s", files.Base(f.File), note))
			}
		}
	}
	return said, nil
}
