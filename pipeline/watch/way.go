package watch

import (
	"context"
	"encoding/json"
	"fmt"

	"trenchcut/pipeline/film"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// wayVersion is raised when a man is tracked otherwise than before.
const wayVersion = 1

// Way follows a man through the frames of span, a play of the film at path: at frame snap he is at a
// place, 0 to 1 of the picture. What it finds is kept in the library's cache. The way is empty where
// there is nothing to know him by, or the film is damaged there.
func Way(ctx context.Context, library *film.Library, path string, span tags.Span, snap tags.Frame, at tags.Point) (plan.Way, error) {
	src, err := library.Source(ctx, path)
	if err != nil {
		return plan.Way{}, err
	}
	kind := fmt.Sprintf("way%d-%d-%d-%d-%.4f-%.4f", wayVersion, span.In, snap, span.Out, at.X, at.Y)
	if data, ok := library.Kept(src, kind); ok {
		var w plan.Way
		if json.Unmarshal(data, &w) == nil {
			return w, nil
		}
	}
	w, err := track(ctx, library, src, path, span, snap, at)
	if err != nil {
		return w, err
	}
	if data, err := json.Marshal(w); err == nil {
		library.Keep(src, kind, data)
	}
	return w, nil
}

// trackRate is how many pictures a second are looked at, about.
const trackRate = 30

func track(ctx context.Context, library *film.Library, src plan.Source, path string, span tags.Span, snap tags.Frame, at tags.Point) (plan.Way, error) {
	step := max(tags.Frame(src.Rate.FPS()/trackRate+.5), 1)
	t := NewTrack(at)
	looking, enough := context.WithCancel(ctx)
	defer enough()
	lost := false
	err := library.Pictures(looking, path, span, TrackWidth, TrackHeight, func(n tags.Frame, planes []byte) {
		switch {
		case lost || (n-snap)%step != 0:
		case n < snap:
			t.Before(planes)
		case !t.From(planes):
			lost = true
			enough()
		}
	})
	switch {
	case ctx.Err() != nil:
		return plan.Way{}, ctx.Err()
	case err != nil && !lost:
		return plan.Way{}, nil // damaged, which whoever cuts it will say
	}
	return t.Way(snap, step), nil
}
