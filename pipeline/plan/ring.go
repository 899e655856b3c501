package plan

import "trenchcut/tags"

// Rings says how long the man to watch wears his ring.
type Rings string

// The rings.
const (
	FollowRings Rings = "yes"  // as long as he can be followed
	SnapRings   Rings = "snap" // about the snap, where he is marked
	NoRings     Rings = "no"
)

// parseRings reads yes, snap or no.
func parseRings(s string) (Rings, error) {
	switch s {
	case "true":
		s = "yes"
	case "false":
		s = "no"
	}
	return oneOf("ring", FollowRings, SnapRings, NoRings)(s)
}

// Way is where a man is in the film's picture while he is surely followed: at frames of the film an
// equal Step apart from First on. One without places is none.
type Way struct {
	First  tags.Frame   `json:"first"`
	Step   tags.Frame   `json:"step"`
	Places []tags.Point `json:"places"`
}

// Last is the last frame of the way.
func (w Way) Last() tags.Frame { return w.First + w.Step*tags.Frame(len(w.Places)-1) }

// At is where the man is at frame n, which is no earlier than First and no later than Last.
func (w Way) At(n tags.Frame) tags.Point {
	i, part := int((n-w.First)/w.Step), float64((n-w.First)%w.Step)/float64(w.Step)
	p := w.Places[i]
	if part == 0 {
		return p
	}
	q := w.Places[i+1]
	return tags.Point{X: p.X + (q.X-p.X)*part, Y: p.Y + (q.Y-p.Y)*part}
}

// Tracker follows the man who at frame snap of the film at path is at a place, 0 to 1 of the picture,
// through span.
type Tracker func(path string, span tags.Span, snap tags.Frame, at tags.Point) (Way, error)

// Ring is around the man to watch, with his number on a tab.
type Ring struct {
	At Spot `json:"at"`
	// Way is where it goes, in order of frames: it moves evenly between two. Without any it stays
	// at At, and with some that is where it starts.
	Way []RingKey `json:"way,omitempty"`
	Tab string    `json:"tab"`
	// Film is where the film is that it is drawn on, and by whose size it goes; zero is the
	// whole picture.
	Film Fit `json:"film,omitzero"`
}

// RingKey is where a ring is at a frame of the segment.
type RingKey struct {
	Frame tags.Frame `json:"frame"`
	At    Spot       `json:"at"`
}

// Place is where the ring is at frame n.
func (r Ring) Place(n tags.Frame) Spot {
	at := r.At
	for i, k := range r.Way {
		if n <= k.Frame {
			if i == 0 {
				return k.At
			}
			before := r.Way[i-1]
			span := tags.Span{In: before.Frame, Out: k.Frame}
			return Spot{evenly(span, n, before.At.X, k.At.X), evenly(span, n, before.At.Y, k.At.Y)}
		}
		at = k.At
	}
	return at
}

// How long before and after the snap the man to watch wears his ring where he is not followed, and how
// long before it where he is.
const (
	ringBefore = 3 * tags.Second / 2
	ringAfter  = tags.Second / 4
)

// ringStep is between the keys of a ring's way, of film.
const ringStep = tags.Second / 10

// rings is a ring around each rusher whose spot is known: while he is followed, or else about the snap.
func (b *builder) rings(s shot, seg Segment) []Layer {
	if b.recipe.Rings == NoRings || !s.view.Snaps || seg.Hold > 0 {
		return nil
	}
	var layers []Layer
	for angle, fit := range s.fits(seg) {
		for _, r := range s.reps {
			at, marked := r.Spot[angle]
			if !marked {
				continue
			}
			ring := Ring{Tab: b.naming.Tab(r.Play.Game, r.Rusher), Film: b.layout.within(fit)}
			on := s.on(angle)
			var span tags.Span
			if way := b.way(on, at); len(way.Places) > 0 {
				span = s.along(seg, fit, way, on, &ring)
			} else {
				span = s.aboutSnap(seg, fit, at, &ring)
			}
			if span.Len() > 0 {
				layers = append(layers, Layer{Span: span, Ring: &ring})
			}
		}
	}
	return layers
}

func (s shot) on(angle string) shot {
	if angle != s.view.Angle {
		return *s.below
	}
	return s
}

// way is the way of the man who is marked at a place at the snap of a shot; empty where he is not
// followed.
func (b *builder) way(s shot, at tags.Point) Way {
	if b.recipe.Tracker == nil || b.recipe.Rings == SnapRings {
		return Way{}
	}
	span := tags.Span{In: max(s.frame(-ringBefore), 0), Out: min(s.reveal, s.frame(mostCounted), s.source.Frames)}
	if snap := s.frame(0); snap < span.In || snap >= span.Out {
		return Way{}
	}
	w, err := b.recipe.Tracker(s.view.File, span, s.frame(0), at)
	if err != nil { // whoever cuts the film will say
		return Way{}
	}
	return w
}

// aboutSnap puts a ring where its man is marked, and returns the frames at which he wears it.
func (s shot) aboutSnap(seg Segment, fit Fit, at tags.Point, ring *Ring) tags.Span {
	frame := func(since tags.Time) tags.Frame { return seg.House.Rate.Ceil(seg.Speed.Shown(since - s.at(seg))) }
	ring.At = seg.spot(fit, at, frame(0))
	return tags.Span{In: max(frame(-ringBefore), 0), Out: min(frame(ringAfter), seg.Frames())}
}

// along moves a ring along the way of its man, and returns the frames at which he wears it: those
// where it is wholly on the film of the angle.
func (s shot) along(seg Segment, fit Fit, way Way, on shot, ring *Ring) (span tags.Span) {
	rate := seg.House.Rate
	every := max(rate.Ceil(seg.Speed.Shown(ringStep)), 1)
	worn := false
	for n := tags.Frame(0); n < seg.Frames(); n++ {
		film := on.frame(s.at(seg) + seg.Speed.Film(rate.Duration(n)))
		if film < way.First || film > way.Last() {
			continue
		}
		at := seg.spot(fit, way.At(film), n)
		switch whole := ring.within(fit, at); {
		case !whole && worn:
			return span
		case !whole:
			continue
		case !worn:
			worn, span.In, ring.At = true, n, at
		}
		span.Out = n + 1
		switch keys := len(ring.Way); {
		// The last key moves on until it is far enough from the one before.
		case keys >= 2 && n-ring.Way[keys-2].Frame <= every:
			ring.Way[keys-1] = RingKey{n, at}
		default:
			ring.Way = append(ring.Way, RingKey{n, at})
		}
	}
	return span
}

// within reports whether a ring at a place is wholly on the film at fit, with its tab above it.
func (Ring) within(fit Fit, at Spot) bool {
	side := min(fit.Width, fit.Height)
	return at.X >= fit.X+side/10 && at.X < fit.X+fit.Width-side/10 && at.Y >= fit.Y+side/7 && at.Y < fit.Y+fit.Height-side/18
}
