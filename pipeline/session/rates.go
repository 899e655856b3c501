package session

import (
	"context"

	"trenchcut/pipeline/film"
	"trenchcut/tags"
)

// FrameRates is how many frames a second the film of a rep has, where the film is there to
// be looked at.
func FrameRates(ctx context.Context) func(*tags.Rep) tags.Rate {
	var library *film.Library
	if machine, err := OpenMachine(); err == nil {
		library = machine.Library
	}
	byFile := map[string]tags.Rate{}
	byPlay := map[*tags.Play]tags.Rate{}
	return func(r *tags.Rep) tags.Rate {
		if rate, ok := byPlay[r.Play]; ok {
			return rate
		}
		var rate tags.Rate
		if angles := r.Play.Angles(); len(angles) > 0 && library != nil {
			// A table is not at fault where a film cannot be read: its rate is then unknown.
			if view, err := r.Play.View(angles[0]); err == nil {
				known := false
				if rate, known = byFile[view.File]; !known {
					if source, err := library.Source(ctx, view.File); err == nil {
						rate = source.Clock().Rate
					}
					byFile[view.File] = rate
				}
			}
		}
		byPlay[r.Play] = rate
		return rate
	}
}
