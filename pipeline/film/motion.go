package film

import (
	"context"
	"fmt"

	"trenchcut/tags"
)

// Snap guesses from what moves where, in a stretch of one shot, the snap is; step is how many
// times more moves behind it than before. It is good to about a quarter of a second, and fails
// with [ErrUnsure] where nothing sets in. progress is as of [Library.Glance].
func (l *Library) Snap(ctx context.Context, path string, span tags.Span, progress func(more tags.Frame)) (snap tags.Frame, step float64, err error) {
	src, err := l.Source(ctx, path)
	if err != nil {
		return 0, 0, err
	}
	span = tags.Span{In: max(span.In, 0), Out: min(span.Out, src.Frames)}
	w := newWatcher(src.Rate, span)
	if err := l.watch(ctx, path, src, w, progress); err != nil {
		return 0, 0, fmt.Errorf("look at %s from %s on: %w", path, src.Clock().At(span.In), err)
	}
	g := Glance{Source: src, moves: w.moves}
	snap, step, ok := g.snap(tags.Span{Out: span.Len()})
	if !ok {
		return 0, 0, fmt.Errorf("nothing sets in that would be the snap: %w", ErrUnsure)
	}
	return span.In + snap, step, nil
}
