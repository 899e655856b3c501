package outline

import (
	"math"

	"trenchcut/tags"
)

// usualApart is about how many seconds lie between two snaps (common practice).
const usualApart = 40

// whenOf is when each take begins, in seconds of the day, by timecode that runs on
// while the camera stands still; nil where not every take has one, or they do not follow one
// another.
func whenOf(takes []*take) []float64 {
	if len(takes) < 2 {
		return nil
	}
	var when []float64
	for i, t := range takes {
		s := t.shots[0]
		src := s.Source
		if src.Counting == "" || !s.Clip {
			return nil
		}
		at := src.Rate.Duration(src.Start + s.Span.In).Seconds() // a guessed snap may be far off
		if i > 0 && at <= when[i-1] {
			return nil
		}
		when = append(when, at)
	}
	// Clips that were cut from one film one after another have timecode without a pause.
	filmed := 0.0
	for _, t := range takes {
		filmed += t.shots[0].Source.Rate.Duration(t.shots[0].Span.Len()).Seconds()
	}
	if when[len(when)-1]-when[0] < 1.5*filmed {
		return nil
	}
	return when
}

// elapses is the likelihood, as a logarithm, that so many seconds lie between two rows: at least
// the time that the game clock ran, and more for the time that it stood.
func (e *evidence) elapses(r, row int, seconds float64) float64 {
	const amiss, longest = 0.02, 3600.0 // a clock that was typed wrong, a pause that nothing tells of
	plays := float64(row - r)
	ran, known := ranBetween(e.rows[r], e.rows[row])
	stood := 18 * plays // what stands still at an incompletion, out of bounds, before a snap
	if !known {
		ran, stood = 12*plays, 28*plays
	}
	for _, b := range e.begins[r+1 : row+1] {
		if b {
			stood += 60
		}
	}
	over := seconds - ran + 5 // a camera starts a little sooner or later before the snap
	density := amiss / longest
	if over >= 0 {
		density += (1 - amiss) * math.Exp(-over/stood) / stood
	}
	return math.Log(density)
}

// ranBetween is how many seconds the game clock ran from one play to another of the same
// quarter.
func ranBetween(a, b *tags.Play) (seconds float64, known bool) {
	from, ok := a.ClockSeconds()
	to, ok2 := b.ClockSeconds()
	same := a.Quarter != nil && b.Quarter != nil && *a.Quarter == *b.Quarter
	return float64(from - to), ok && ok2 && same && from >= to
}
