package watch

import (
	"context"
	"errors"

	"trenchcut/pipeline/film"
	"trenchcut/tags"
)

// ErrNoSnap says that nothing in a stretch of film looks like a snap.
var ErrNoSnap = errors.New("nothing sets in that would be the snap")

// Snap guesses from what moves which frame of span, a stretch of one shot, is the snap.
// step is how many times as much moves behind that frame as before it. The guess is good
// to about a quarter of a second. Snap fails with [ErrNoSnap] where nothing sets in.
// progress is that of [Look].
func Snap(ctx context.Context, library *film.Library, path string, span tags.Span, progress func(more tags.Frame)) (snap tags.Frame, step float64, err error) {
	src, err := library.Source(ctx, path)
	if err != nil {
		return 0, 0, err
	}
	span = tags.Span{In: max(span.In, 0), Out: min(span.Out, src.Frames)}
	w, err := watch(ctx, library, path, src, span, progress)
	if err != nil {
		return 0, 0, err
	}
	g := Glance{Source: src, moves: w.moves}
	snap, step, ok := g.snap(tags.Span{Out: w.span.Len()})
	if !ok {
		return 0, 0, ErrNoSnap
	}
	return w.span.In + snap, step, nil
}
