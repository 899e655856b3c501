package plan

import (
	"fmt"

	"trenchcut/tags"
)

// shot is a take on one angle, or on two in step: what of which film shows it.
type shot struct {
	take
	view   tags.View
	source *Source
	span   tags.Span // the frames to show
	// reveal is the first frame that may tell the outcome: the first after the play, which may
	// lie past span.
	reveal tags.Frame
	// followed is where the rush is in the picture, where only a part of it is shown.
	followed *Follow
	below    *shot // on the angle that is shown below this one
}

// onAngles is a play on each of its angles, and what of it is shown again. What cannot be
// shown is said.
func (b *builder) onAngles(t take) []Entry {
	var shots []shot
	for _, angle := range b.angles(t.play) {
		s, err := b.shot(t, angle)
		if err != nil {
			b.leaveOut(t.play.Name(), err.Error())
			continue
		}
		shots = append(shots, s)
	}
	shots = b.stacked(shots)
	b.stops = nil
	if b.part.Why {
		b.stops = b.whys(shots)
	}
	var entries []Entry
	for _, s := range shots {
		seg := b.film(s, s.span, Speed{1, 1}, 0)
		seg.Layers = b.over(s, seg, b.labels(s, seg))
		entries = append(entries, b.entry(s, ShowsPlay, seg))
		entries = append(append(entries, b.outcome(s, seg)...), b.again(s)...)
	}
	for _, w := range b.stops {
		entries = append(entries, b.why(w))
	}
	return entries
}

// outcome is the last picture of a play, held to tell what became of it where seg, which
// shows the play, leaves too little time for that; else none.
func (b *builder) outcome(s shot, seg Segment) []Entry {
	lines := b.lines(s.take, true)
	if b.recipe.Reveal == RevealBefore || len(s.reps) == 0 || len(lines) == 0 ||
		seg.Frames()-b.tells(s, seg) >= seg.House.Rate.Ceil(leastReveal) {
		return nil
	}
	held := b.film(s, tags.Span{In: s.span.Out - 1, Out: s.span.Out}, Speed{1, 1}, seg.House.Rate.Ceil(outcomeHold))
	label := b.label(s, s.reps, func() Label { return Label{Lead: b.situation(s.play), Lines: b.lines(s.take, true)} })
	held.Layers = b.over(s, held, []Layer{{Span: whole(held), Label: &label}})
	return []Entry{b.entry(s, ShowsOutcome, held)}
}

func (b *builder) shot(t take, angle string) (shot, error) {
	v, err := view(t, angle)
	if err != nil {
		return shot{}, err
	}
	src, ok := b.films[v.File]
	if !ok {
		return shot{}, fmt.Errorf("the film of angle %s was not probed", angle)
	}
	s := shot{take: t, view: v, source: &src}
	if s.span, s.reveal, err = b.cut(s); err == nil {
		s.followed = b.follow(s)
	}
	return s, err
}

// film is a segment of the shot's film, of as many frames as it lasts at that speed or,
// where it stands, as hold says.
func (b *builder) film(s shot, span tags.Span, speed Speed, hold tags.Frame) Segment {
	seg := Segment{
		Kind:    Film,
		House:   b.plan.House,
		Source:  s.source,
		Span:    span,
		Fit:     b.layout.Film.in(s.source),
		Speed:   speed,
		Hold:    hold,
		Look:    b.recipe.Look,
		Encoder: b.recipe.Encoder,
	}
	if s.followed != nil {
		seg.Fit = b.layout.Film
		seg.Pan = s.pan(seg)
	}
	if s.below != nil {
		above, below := b.layout.Film.halves()
		seg.Fit = above.in(s.source)
		seg.Below = s.inStep(seg, below.in(s.below.source))
	}
	return seg
}

// entry is a segment of the shot as part of a reel.
func (b *builder) entry(s shot, shows Shows, seg Segment) Entry {
	e := Entry{Shows: shows, Game: s.play.Game.ID, Play: s.play.Number, Angle: s.view.Angle, Segment: seg}
	if s.below != nil {
		e.Below = s.below.view.Angle
	}
	e.Chapter = b.chapter(s.take, e.Angles())
	if shows == ShowsReplay || shows == ShowsFreeze {
		e.Chapter += " again"
	}
	b.tell(&e, s.take)
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

func (s shot) frame(since tags.Time) tags.Frame { return s.source.Clock().FrameAt(s.view.Snap + since) }

// bounds is the frames that may be shown, on both angles where there are two: none before
// the first or from out on.
func (b *builder) bounds(s shot) (in, out tags.Frame) {
	clock := s.source.Clock()
	in, out = 0, s.source.Frames
	if !b.recipe.Beyond {
		in = max(clock.FrameAt(s.view.In), in)
		if !s.view.ToEnd {
			out = min(clock.FrameAt(s.view.Out), out)
		}
	}
	if s.below != nil {
		belowIn, belowOut := b.bounds(*s.below)
		both := s.shared(tags.Span{In: in, Out: out}, tags.Span{In: belowIn, Out: belowOut})
		in, out = both.In, both.Out
	}
	return in, out
}

// cut is the frames of a shot on one angle to show, and the first frame that may tell the
// outcome.
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
	} else if finish = out - b.recipe.After; finish < s.soonest() {
		finish = out
	}
	span.In = max(clock.FrameAt(in), 0)
	span.Out = min(clock.FrameAt(out), s.source.Frames)
	if span.Len() <= 0 {
		return span, 0, fmt.Errorf("the cut on angle %s holds no frame", v.Angle)
	}
	return span, clock.FrameAt(finish), nil
}

// soonest is the earliest time at which a play without a marked finish may be over: after all of
// its marks and after leastPlay.
func (s shot) soonest() tags.Time {
	if !s.view.Snaps {
		return s.view.In + leastPlay
	}
	at := leastPlay
	for _, m := range tags.AllMarks {
		if _, last, ok := s.since(m); ok {
			at = max(at, last)
		}
	}
	return s.view.Snap + at
}

// since returns the first and the last time of a mark, from the snap, among the play and its chosen
// reps.
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
