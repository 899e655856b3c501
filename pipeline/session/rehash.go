package session

import (
	"context"
	"errors"

	"trenchcut/pipeline/film"
	"trenchcut/tags"
)

// Rehash holds every film to its hash, all of them before it fails with [tags.Faults].
func (s *Session) Rehash(ctx context.Context) error {
	m, err := s.Machine()
	if err != nil {
		return err
	}
	var faults tags.Faults
	for _, g := range s.Season.Games {
		for _, f := range g.Files() {
			err := m.Library.Rehash(ctx, f.File)
			if errors.Is(err, film.ErrOther) {
				faults.Add(f.Pos, "film %s: %v; trenchcut cache prune --max 0 forgets what was cut from it", f.File, err)
			} else if err != nil {
				return err
			}
		}
	}
	return faults.Err()
}
