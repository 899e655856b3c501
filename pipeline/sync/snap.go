package sync

import (
	"context"
	"errors"
	"fmt"

	"trenchcut/pipeline/film"
	"trenchcut/pipeline/watch"
	"trenchcut/tags"
)

// findSnap finds the snap of a play on the angle where none is marked: by sound from the
// angle where it is, or, where sound does not tell, as a guess from what moves.
func (f *finder) findSnap(ctx context.Context, finding *Finding) error {
	s := &finding.search
	if finding.Angle == s.first.Angle {
		return f.guessSnap(ctx, finding)
	}
	fromGuess := !s.toFirst && !marked(finding.Play, s.one) // sound starts from a snap that is a guess
	if s.base != nil {
		switch err := s.base.Err; {
		case s.base.Failed:
			return fmt.Errorf("the snap on %s could not be looked for: %w", s.first.Angle, err)
		case err != nil:
			return doubt(fmt.Sprintf("there is no snap on %s to go by: mark it", s.first.Angle))
		}
		s.one.Snap, fromGuess = s.base.Set, s.base.Guess
	}
	err := f.hearSnap(ctx, finding)
	switch {
	case err == nil:
		if finding.Guess = fromGuess; fromGuess {
			finding.How += "; the snap itself is a guess"
		}
		return nil
	case !inDoubt(err) || errors.As(err, &outsideError{}):
		return err
	case s.hasGuess:
		finding.How, finding.Stays = "it is a guess, and by sound no better one is found: "+err.Error(), true
		finding.Set, finding.Guess = s.on().Snap, true
		return nil
	}
	if errSeen := f.guessSnap(ctx, finding); errSeen != nil && !inDoubt(errSeen) {
		return errSeen
	} else if errSeen != nil {
		return fmt.Errorf("%w; by what moves: %w", err, errSeen)
	}
	return nil
}

// guessSnap guesses a snap from what moves, good to about a quarter of a second.
func (f *finder) guessSnap(ctx context.Context, finding *Finding) error {
	on := finding.search.on()
	snap, step, err := watch.Snap(ctx, f.library, on.File, f.span(on), f.add)
	if err != nil {
		return err
	}
	finding.Set, finding.Clear, finding.BySound, finding.Guess = f.films[on.File].Clock().At(snap), 0, false, true
	finding.How = fmt.Sprintf("a guess by what moves, %.1f times as much from there on", step)
	return nil
}

// outsideError is that sound is sure of a snap outside the play's in and out: one of these,
// or the snap that was marked, is wrong, and a guess from what moves would only hide it.
type outsideError struct{ at tags.Time }

func (e outsideError) Error() string {
	return fmt.Sprintf("by sound the snap is at %s, outside in and out", e.at)
}

// Is makes it an [ErrUnsure].
func (e outsideError) Is(target error) bool { return target == ErrUnsure }

func (f *finder) hearSnap(ctx context.Context, finding *Finding) error {
	s := &finding.search
	for _, v := range []tags.View{s.one, s.other} {
		if f.films[v.File].Audio < 0 {
			return doubt(v.Angle + " has no sound")
		}
	}
	a, err := f.hearPlay(ctx, s.one)
	if err != nil {
		return err
	}
	b, err := f.hearPlay(ctx, s.other)
	if err != nil {
		return err
	}
	lag, err := Listen(ctx, a, b)
	finding.Clear = lag.Clear
	if err != nil {
		return err
	}
	on := s.on()
	src := f.films[on.File]
	finding.BySound, finding.How = true, windowsAgree(lag)
	finding.Set = s.one.Snap + lag.By
	if s.toFirst {
		finding.Set = s.other.Snap - lag.By
	}
	if s.nudge != 0 {
		move := src.Rate.Duration(s.nudge)
		if s.toFirst {
			move = -move
		}
		finding.Set += move
		finding.Nudged = finding.Angle
		finding.How += fmt.Sprintf("; moved by %s", tags.Count(int(s.nudge), "frame"))
	}
	if n := src.Clock().FrameAt(finding.Set); n < f.span(on).In || n >= f.span(on).Out {
		return outsideError{finding.Set}
	}
	return nil
}

func (f *finder) hearPlay(ctx context.Context, v tags.View) (film.Sound, error) {
	out := v.Out
	if v.ToEnd {
		out = filmEnd
	}
	return f.library.Hear(ctx, v.File, v.In, out, f.add)
}
