package plan

import (
	"fmt"

	"trenchcut/tags"
)

// shot is a take on one angle: what of which film shows it.
type shot struct {
	take
	view   tags.View
	source *Source
}

// entries is a play on one angle, and what of it is shown again.
func (b *builder) entries(t take, angle string) ([]Entry, error) {
	v, err := view(t, angle)
	if err != nil {
		return nil, err
	}
	src, ok := b.films[v.File]
	if !ok {
		return nil, fmt.Errorf("the film of angle %s was not probed", angle)
	}
	s := shot{t, v, &src}
	span, reveal, err := b.cut(s)
	if err != nil {
		return nil, err
	}
	seg := b.film(s, span)
	seg.Layers = b.over(s, seg, b.labels(s, seg, reveal))
	return append([]Entry{b.entry(s, ShowsPlay, seg)}, b.again(s)...), nil
}

// film is a segment of the shot's film, as fast as it was filmed.
func (b *builder) film(s shot, span tags.Span) Segment {
	return Segment{
		Kind:    Film,
		House:   b.plan.House,
		Source:  s.source,
		Span:    span,
		Fit:     Letterbox(s.source.Width, s.source.Height, b.plan.House),
		Speed:   Speed{1, 1},
		Look:    b.recipe.Look,
		Encoder: b.recipe.Encoder,
	}
}

// entry is a segment of the shot as part of a reel.
func (b *builder) entry(s shot, shows Shows, seg Segment) Entry {
	e := Entry{Chapter: b.chapter(s.take, s.view.Angle), Shows: shows, Game: s.play.Game.ID, Play: s.play.Number, Angle: s.view.Angle, Segment: seg}
	if shows != ShowsPlay {
		e.Chapter += " again"
	}
	for _, r := range s.reps {
		e.Reps = append(e.Reps, r.Name())
	}
	return e
}

// view is the stretch of film that shows the play and each of its chosen reps.
func view(t take, angle string) (tags.View, error) {
	if len(t.reps) == 0 {
		return t.play.View(angle)
	}
	all, err := t.reps[0].View(angle)
	for _, r := range t.reps[1:] {
		if err != nil {
			break
		}
		var v tags.View
		v, err = r.View(angle)
		all.In, all.Out, all.ToEnd = min(all.In, v.In), max(all.Out, v.Out), all.ToEnd || v.ToEnd
	}
	return all, err
}

// frame is the frame that is on at a time after the snap.
func (s shot) frame(since tags.Time) tags.Frame { return s.source.Clock().FrameAt(s.view.Snap + since) }

// bounds is the frames that may be shown: none before the first or from out on.
func (b *builder) bounds(s shot) (in, out tags.Frame) {
	clock := s.source.Clock()
	in, out = 0, s.source.Frames
	if !b.recipe.Beyond {
		in = max(clock.FrameAt(s.view.In), in)
		if !s.view.ToEnd {
			out = min(clock.FrameAt(s.view.Out), out)
		}
	}
	return in, out
}

// cut is the frames of a shot to show, and the first of them that tells the outcome: the
// first after the play, or as early as it must be to be read.
func (b *builder) cut(s shot) (span tags.Span, reveal tags.Frame, err error) {
	clock, v := s.source.Clock(), s.view
	in, out := v.In, v.Out
	if v.ToEnd {
		out = clock.At(s.source.Frames)
	}
	_, finish, finished := s.since(tags.Finish)
	finish += v.Snap
	finished = finished && v.Snaps
	if v.Snaps {
		if start := v.Snap - b.recipe.Before; start > in || b.recipe.Beyond {
			in = start
		}
	}
	if finished {
		if end := finish + b.recipe.After; end < out || b.recipe.Beyond {
			out = end
		}
	} else {
		finish = out - b.recipe.After
	}
	span.In = max(clock.FrameAt(in), 0)
	span.Out = min(clock.FrameAt(out), s.source.Frames)
	if span.Len() <= 0 {
		return span, 0, fmt.Errorf("the cut on angle %s holds no frame", v.Angle)
	}
	reveal = min(clock.FrameAt(finish), span.Out-s.source.Rate.Ceil(leastReveal))
	return span, max(reveal, span.In), nil
}

// since is when a mark comes, from the snap: the first and the last of it among the play
// and its chosen reps.
func (t take) since(m tags.Mark) (first, last tags.Time, known bool) {
	add := func(at tags.Time, ok bool) {
		switch {
		case !ok:
		case !known:
			first, last, known = at, at, true
		default:
			first, last = min(first, at), max(last, at)
		}
	}
	add(t.play.Since(m))
	for _, r := range t.reps {
		add(r.Since(m))
	}
	return first, last, known
}
