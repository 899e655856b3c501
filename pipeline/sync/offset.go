package sync

import (
	"context"
	"fmt"
	"math"

	"golang.org/x/sync/errgroup"

	"trenchcut/pipeline/film"
	"trenchcut/tags"
)

// farthest is how much later one camera may hear a sound than another: the time that sound
// takes for 100 m.
const farthest = 290 * tags.Millisecond

// findOffset finds how the film of an angle runs against the first angle's.
func (f *finder) findOffset(ctx context.Context, finding *Finding) error {
	s := &finding.search
	one, src := f.films[s.first.File], f.films[s.film.File]
	frame := src.Rate.Duration(1)
	if s.written {
		return finding.keepOffset(src.Clock(), src.Rate.Duration(s.nudge))
	}
	var lag Lag
	var err error
	switch {
	case len(s.moments) > 1:
		lag, err = InStep(s.moments, frame)
		finding.How = fmt.Sprintf("by %s marked in both", tags.Count(lag.Agree, "instant"))
	case one.Audio < 0:
		err = doubt(fmt.Sprintf("%s has no sound: mark two instants in both", s.first.Angle))
	case src.Audio < 0:
		err = doubt(fmt.Sprintf("%s has no sound: mark two instants in both", s.film.Angle))
	default:
		finding.BySound = true
		lag, err = f.listen(ctx, finding, frame)
	}
	finding.Clear = lag.Clear
	if err != nil {
		return err
	}
	// A drift is written where it comes to as much as can be seen.
	length := one.Clock().At(one.Frames)
	finding.Set = lag.By
	if drifts := tags.Time(float64(length) * math.Abs(lag.Drift) / 1e6); drifts > frame/4 {
		finding.Drift = int(math.Round(lag.Drift))
		finding.How += fmt.Sprintf("; the clocks run %.1f frames apart over the film", float64(drifts)/float64(frame))
		finding.Set -= lag.At * tags.Time(finding.Drift) / 1_000_000
	}
	if s.nudge != 0 {
		finding.Set += src.Rate.Duration(s.nudge)
		finding.How += fmt.Sprintf("; moved by %s", tags.Count(int(s.nudge), "frame"))
		finding.Nudged = finding.Angle
	}
	return nil
}

// keepOffset takes the offset that is written, moved by nudge.
func (f *Finding) keepOffset(clock tags.Clock, nudge tags.Time) error {
	was, err := f.search.film.Offset.Resolve(clock)
	if err != nil {
		return err
	}
	f.Set, f.Drift = was+nudge, f.search.film.Drift
	if nudge == 0 {
		f.How, f.Stays = "it is written", true
		return nil
	}
	f.How, f.Nudged = fmt.Sprintf("moved by %s from %s", tags.Count(int(f.search.nudge), "frame"), was), f.Angle
	return nil
}

// listen finds the lag by sound. One instant marked on both films goes before sound, but
// sound must agree with it: alone, a slip would not show.
func (f *finder) listen(ctx context.Context, finding *Finding, frame tags.Time) (Lag, error) {
	s := &finding.search
	a, b, err := f.hearWhole(ctx, s.first.File, s.film.File)
	if err != nil {
		return Lag{}, err
	}
	lag, err := Listen(ctx, a, b)
	finding.How = windowsAgree(lag)
	if err != nil || len(s.moments) == 0 {
		return lag, err
	}
	m := s.moments[0]
	off := m.Other - m.First - lag.On(m.First)
	if max(off, -off) > farthest+2*frame {
		return lag, fmt.Errorf("the one instant marked in both says %s, sound says %s: mark another: %w", m.Other-m.First, lag.On(m.First), ErrUnsure)
	}
	lag.By += off
	finding.How = fmt.Sprintf("by the instant marked in both; by sound it would be %.1f frames later", -float64(off)/float64(frame))
	return lag, nil
}

func windowsAgree(lag Lag) string {
	return fmt.Sprintf("by sound: %d of %d windows agree", lag.Agree, lag.Of)
}

// filmEnd is a time past the end of any film.
const filmEnd = tags.Time(math.MaxInt64)

// hearWhole is the sound of two whole films. The first's is kept for the next call.
func (f *finder) hearWhole(ctx context.Context, one, other string) (a, b film.Sound, err error) {
	group, ctx := errgroup.WithContext(ctx)
	group.Go(func() (err error) {
		if f.sound != nil && f.soundFile == one {
			a = *f.sound
			return nil
		}
		a, err = f.library.Hear(ctx, one, 0, filmEnd, f.add)
		return err
	})
	group.Go(func() (err error) {
		b, err = f.library.Hear(ctx, other, 0, filmEnd, f.add)
		return err
	})
	if err = group.Wait(); err == nil {
		f.sound, f.soundFile = &a, one
	}
	return a, b, err
}
