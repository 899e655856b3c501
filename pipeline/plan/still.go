package plan

import "trenchcut/tags"

// stillSince is when the still of a play is taken that has no contact marked, after the snap.
const stillSince = 4 * tags.Second / 5

// stillOf is the frame of a take for slates: the first rusher's contact on the first angle,
// or else soon after the snap, or else amid what is shown. It tells nothing of how the play
// ended. It is nil where the recipe wants none or the play cannot be shown.
func (b *builder) stillOf(t take) *Still {
	if b.recipe.NoStills {
		return nil
	}
	for _, angle := range b.angles(t.play) {
		s, err := b.shot(t, angle)
		if err != nil {
			continue
		}
		at := s.span.In + s.span.Len()/2
		if s.view.Snaps {
			since := stillSince
			if first, _, known := t.since(tags.Contact); known {
				since = first
			}
			at = s.frame(since)
		}
		still := &Still{Source: s.source, Frame: min(max(at, s.span.In), s.span.Out-1), At: tags.Point{X: .5, Y: .5}}
		for _, r := range t.reps {
			if p, ok := r.Spot[angle]; ok {
				still.At = p
				break
			}
		}
		return still
	}
	return nil
}

// firstStill is that of the first of takes that has one.
func firstStill(takes []take) *Still {
	for _, t := range takes {
		if t.still != nil {
			return t.still
		}
	}
	return nil
}
