// Package watch looks through film, frame by small frame: it finds where one shot gives way
// to the next, what shows no play, what moves, and from that where the snap may be.
package watch

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/gob"
	"errors"
	"fmt"
	"io"

	"golang.org/x/sync/errgroup"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/film"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Glance is what one look at every frame of a film, made small, tells of the film.
type Glance struct {
	Source plan.Source

	moves  []float32 // by frame: how much moves apart from the camera
	breaks []Break   // in order
	looks  []look    // every lookEvery, in order
	stills []Still   // those that shots show, in order
}

// Break is a place where one shot ends and the next begins.
type Break struct {
	At   tags.Frame // the first frame of the next shot
	Kind BreakKind
}

// BreakKind is how one shot gives way to the next.
type BreakKind uint8

// The kinds of break.
const (
	Cut   BreakKind = iota // from one frame to the next
	Blend                  // one picture fades into the next; At is amid it
	Blank                  // the picture goes to one colour, or comes from it
)

// Several runs of ffmpeg of one thread each are faster than one run of several threads, but
// each also reads a little of the parts beside its own, back to a key picture. So a film is
// looked through in as many parts as a crew has hands, none shorter than leastPart, and in more
// where they would be longer than mostPart, so that the hands end at about the same time.
const (
	leastPart = 90 * tags.Second
	mostPart  = 240 * tags.Second
)

// Crew is how many parts of films are looked through at once. One crew is shared by all films
// of an outline.
type Crew chan struct{}

// NewCrew is a crew of so many hands, at least one.
func NewCrew(hands int) Crew { return make(Crew, max(hands, 1)) }

func (c Crew) parts(rate tags.Rate, frames tags.Frame) []tags.Span {
	all := rate.Duration(frames)
	n := tags.Frame(max(min(int64(all/leastPart), int64(cap(c))), int64((all+mostPart-1)/mostPart), 1))
	spans := make([]tags.Span, n)
	for i := range spans {
		spans[i] = tags.Span{In: frames * tags.Frame(i) / n, Out: frames * tags.Frame(i+1) / n}
	}
	return spans
}

// shortBy is how many frames fewer than its tables say an undamaged film may hold: some
// cameras do not write the last ones.
const shortBy = 4

// Look looks at every frame of the film at path, made small, as far as crew has hands.
// progress, which may be nil, is told how many more frames are done, in steps that add up
// to the film's length; its calls may overlap. What was seen is kept in the library's
// cache, and a second Look at the same film only reads it.
func Look(ctx context.Context, library *film.Library, path string, crew Crew, progress func(more tags.Frame)) (*Glance, error) {
	src, err := library.Source(ctx, path)
	if err != nil {
		return nil, err
	}
	if g, ok := kept(library, src); ok {
		if progress != nil {
			progress(src.Frames)
		}
		return g, nil
	}
	spans := crew.parts(src.Rate, src.Frames)
	parts := make([]*watcher, len(spans))
	group, ctx := errgroup.WithContext(ctx)
	for i, span := range spans {
		group.Go(func() error {
			select {
			case crew <- struct{}{}:
				defer func() { <-crew }()
			case <-ctx.Done():
				return context.Cause(ctx)
			}
			var err error
			parts[i], err = watch(ctx, library, path, src, span, progress)
			return err
		})
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	g := &Glance{Source: src}
	for _, w := range parts {
		g.moves = append(g.moves, w.moves...)
		g.breaks = append(g.breaks, w.breaks...)
		g.looks = append(g.looks, w.looks...)
		g.stills = append(g.stills, w.stills...)
	}
	g.stills = g.chosen()
	if now, err := content.Fingerprint(path); err == nil && now == src.Fingerprint {
		g.keep(library)
	}
	return g, nil
}

// glanceVersion counts up when a watcher sees something else in the same film.
const glanceVersion = 3

// record is what the cache holds of a glance.
type record struct {
	Frames tags.Frame
	Moves  []float32
	Breaks []Break
	Looks  []look
	Stills []Still
}

// kind is how the library's cache names glances.
var kind = fmt.Sprintf("%d.glance", glanceVersion)

// kept is what was seen of a film before; false where the cache holds nothing, or nothing
// whole, of that.
func kept(library *film.Library, src plan.Source) (*Glance, bool) {
	data, ok := library.Kept(src, kind)
	if !ok {
		return nil, false
	}
	var r record
	z, err := gzip.NewReader(bytes.NewReader(data))
	if err != nil || gob.NewDecoder(z).Decode(&r) != nil || r.Frames != src.Frames || len(r.Moves) != int(r.Frames) {
		return nil, false
	}
	if _, err := io.Copy(io.Discard, z); err != nil { // the checksum comes last
		return nil, false
	}
	return &Glance{src, r.Moves, r.Breaks, r.Looks, r.Stills}, true
}

// keep writes what was seen to the library's cache.
func (g *Glance) keep(library *film.Library) {
	var data bytes.Buffer
	z, _ := gzip.NewWriterLevel(&data, gzip.BestSpeed) // fails only for a level that does not exist
	err := gob.NewEncoder(z).Encode(record{g.Source.Frames, g.moves, g.breaks, g.looks, g.stills})
	if err = errors.Join(err, z.Close()); err == nil {
		library.Keep(g.Source, kind, data.Bytes())
	}
}

func watch(ctx context.Context, library *film.Library, path string, src plan.Source, span tags.Span, progress func(tags.Frame)) (*watcher, error) {
	told := span.In
	tell := func(to tags.Frame) {
		if to = min(to, span.Out); progress != nil && to > told {
			progress(to - told)
			told = to
		}
	}
	w := newWatcher(src.Rate, span)
	seen := tags.Span{In: max(span.In-margin, 0), Out: min(span.Out+margin, src.Frames)}
	err := library.Pictures(ctx, path, seen, stillWidth, stillHeight, func(n tags.Frame, planes []byte) {
		w.see(n, planes)
		if w.next%64 == 0 {
			tell(w.next)
		}
	})
	if err == nil {
		err = w.whole(src)
	}
	if err != nil {
		return nil, fmt.Errorf("look at %s from %s on: %w", path, src.Clock().At(span.In), err)
	}
	tell(span.Out)
	return w, nil
}

// whole ends w, and fails where it saw too few frames.
func (w *watcher) whole(src plan.Source) error {
	if w.next < min(w.span.Out+margin, src.Frames)-shortBy {
		return fmt.Errorf("it ends after frame %d of %d: it is cut short or damaged", w.next, src.Frames)
	}
	w.finish()
	return nil
}

// Moves is how much moves in each frame of the film apart from the camera, in steps of light, of
// 255. The caller does not change it.
func (g *Glance) Moves() []float32 { return g.moves }
