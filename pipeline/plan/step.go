package plan

import (
	"errors"
	"fmt"
	"iter"

	"trenchcut/tags"
)

// stacked is shots with each two that follow each other one above the other, where the
// shape says so and both show the play; why two do not is said.
func (b *builder) stacked(shots []shot) []shot {
	if !b.recipe.Shape.stacks() {
		return shots
	}
	var list []shot
	for len(shots) > 0 {
		s := shots[0]
		shots = shots[1:]
		if len(shots) > 0 {
			both, err := b.stack(s, shots[0])
			if err == nil {
				s, shots = both, shots[1:]
			} else {
				b.leaveOut(fmt.Sprintf("%s and %s of %s in step, which are shown one after the other", s.view.Angle, shots[0].view.Angle, s.play.Name()), err.Error())
			}
		}
		list = append(list, s)
	}
	return list
}

// leastLead is how much two angles in step must both show before the snap, where the first
// shows as much.
const leastLead = tags.Second

// stack is above with below in step below it, as long as both last. It fails where that is
// less than the play: from before the snap to the last of its marks.
func (b *builder) stack(above, below shot) (shot, error) {
	for _, s := range []shot{above, below} {
		if !s.view.Snaps {
			return shot{}, fmt.Errorf("the snap is not marked on %s", s.view.Angle)
		}
	}
	// ffmpeg-go may take two inputs of one film for one.
	if above.source.Fingerprint == below.source.Fingerprint && above.span.In < below.span.Out && below.span.In < above.span.Out {
		return shot{}, errors.New("they are the same stretch of film")
	}
	s := above
	s.below = &below
	s.span = s.shared(above.span, below.span)
	snap := s.frame(0)
	from := max(s.frame(-leastLead), above.span.In)
	to := snap + 1
	for _, m := range tags.AllMarks {
		if _, last, ok := s.since(m); ok {
			to = max(to, min(s.frame(last)+1, above.span.Out))
		}
	}
	switch {
	case s.span.In > from:
		return shot{}, fmt.Errorf("%s starts too late", below.view.Angle)
	case s.span.Out < to:
		return shot{}, fmt.Errorf("%s ends too early", below.view.Angle)
	}
	return s, nil
}

// fits is where the film of each angle of a shot stands in seg.
func (s shot) fits(seg Segment) iter.Seq2[string, Fit] {
	return func(yield func(string, Fit) bool) {
		if yield(s.view.Angle, seg.Fit) && s.below != nil {
			yield(s.below.view.Angle, seg.Below.Fit)
		}
	}
}

// Two films are in step where the frame of the snap comes on in both at once. So times are
// counted from the start of that frame, not from the snap as written, which may lie
// anywhere in it.

// shared is the frames of above, a span of s, that are on while frames of below, a span of
// the film below, are.
func (s shot) shared(above, below tags.Span) tags.Span {
	snap, other := s.frame(0), s.below.frame(0)
	rate := s.source.Rate
	in := snap + rate.Ceil(s.below.source.Rate.Duration(below.In-other))
	out := snap + on(rate, s.below.source.Rate.Duration(below.Out-other))
	return tags.Span{In: max(above.In, in), Out: min(above.Out, out)}
}

// inStep is what of the film below is shown with seg.
func (s shot) inStep(seg Segment, fit Fit) *Below {
	rate := s.below.source.Rate
	start := s.source.Rate.Duration(seg.Span.In - s.frame(0)) // since the snap
	first := on(rate, start)
	b := &Below{Source: s.below.source, Into: start - rate.Duration(first), Fit: fit}
	last := b.Into
	if seg.Hold == 0 {
		last += seg.Speed.Film(seg.House.Rate.Duration(seg.Frames() - 1))
	}
	b.Span.In = s.below.frame(0) + first
	b.Span.Out = b.Span.In + on(rate, last) + 1
	return b
}

// on is the frame that is on at t, of those that start at zero with frame 0.
func on(r tags.Rate, t tags.Time) tags.Frame {
	if t < 0 {
		return -r.Ceil(-t)
	}
	f := r.Floor(t)
	if r.Duration(f+1) <= t {
		f++
	}
	return f
}
