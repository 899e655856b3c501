package plan

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// Replay shows a play's decisive stretch once more, slowed. The zero Replay shows none.
type Replay struct {
	From, To Moment
	Speed    Speed
}

// Freeze stops the picture to teach: at each mark that a rep has drawings for, and at At
// where the rep has a point. The zero Freeze stops nowhere.
type Freeze struct {
	At   tags.Mark
	Hold tags.Time
}

// Moment is an instant of a play by its mark: beat, contact-0.2s.
type Moment struct {
	Mark  tags.Mark
	Shift tags.Time
}

var parseMark = oneOf("mark", tags.AllMarks...)

// parseMoment reads the name of a mark, with how much later or earlier where it is not
// the mark itself.
func parseMoment(s string) (Moment, error) {
	name, shift, sign := s, "", tags.Time(1)
	if i := strings.IndexAny(s, "+-"); i > 0 {
		name, shift = s[:i], s[i+1:]
		if s[i] == '-' {
			sign = -1
		}
	}
	mark, err := parseMark(name)
	if err != nil {
		return Moment{}, err
	}
	m := Moment{Mark: mark}
	if shift != "" {
		by, err := parsePad(shift)
		if err != nil {
			return m, err
		}
		m.Shift = sign * by
	}
	return m, nil
}

// The limits of how long a picture is held.
const (
	leastHold = tags.Second / 2
	mostHold  = 30 * tags.Second
)

// parseHold reads for how long a picture is held.
func parseHold(s string) (tags.Time, error) {
	at, err := parsePad(s)
	if err != nil || at < leastHold || at > mostHold {
		return 0, fmt.Errorf("%q is not a hold of %.1f to %d s, such as 3s", s, leastHold.Seconds(), mostHold/tags.Second)
	}
	return at, nil
}

// replay reads {from: contact, to: beat, speed: 0.5}, or no.
func replay(d *tags.Decoder, n *yaml.Node) Replay {
	if n.Kind == yaml.ScalarNode && n.Value == "no" {
		return Replay{}
	}
	r := Replay{From: Moment{Mark: tags.Snap}, To: Moment{Mark: tags.Finish}, Speed: Speed{1, 2}}
	d.Mapping(n, "replay", tags.Keys{
		"from":  value(d, "from", parseMoment, &r.From),
		"to":    value(d, "to", parseMoment, &r.To),
		"speed": value(d, "speed", ParseSpeed, &r.Speed),
	})
	return r
}

// freeze reads {at: turn, hold: 4s}, or no.
func freeze(d *tags.Decoder, n *yaml.Node) Freeze {
	if n.Kind == yaml.ScalarNode && n.Value == "no" {
		return Freeze{}
	}
	f := Freeze{Hold: 4 * tags.Second}
	d.Mapping(n, "freeze", tags.Keys{
		"at":   value(d, "at", parseMark, &f.At),
		"hold": value(d, "hold", parseHold, &f.Hold),
	})
	return f
}

// again is the entries that follow the play on this angle: its replay, stopped at each
// freeze that lies in it, and the freezes that lie outside before it.
func (b *builder) again(s shot) []Entry {
	stills := b.stills(s)
	from, to, err := b.slowed(s)
	if err != nil {
		b.leaveOut("the replay of "+s.play.Name(), err.Error())
	}
	var before, within []Entry
	slow := func(span tags.Span) {
		if span.Len() > 0 {
			within = append(within, b.slow(s, span, b.part.Replay.Speed))
		}
	}
	// Into a freeze the replay slows once more, so that it does not stop at once.
	stop := func(span tags.Span) {
		into := s.source.Rate.Ceil(slowing)
		speed := Speed{b.part.Replay.Speed.Num, 2 * b.part.Replay.Speed.Den}
		if span.Len() < 2*into || speed.Num*mostSlow < speed.Den {
			slow(span)
			return
		}
		slow(tags.Span{In: span.In, Out: span.Out - into})
		within = append(within, b.slow(s, tags.Span{In: span.Out - into, Out: span.Out}, speed))
	}
	for _, still := range stills {
		at := s.frame(still.since)
		if at >= from && at < to {
			stop(tags.Span{In: from, Out: at})
			within = append(within, b.still(s, still))
			from = at
		} else {
			before = append(before, b.still(s, still))
		}
	}
	slow(tags.Span{In: from, Out: to})
	return append(before, within...)
}

// slowed is the frames of the recipe's replay: none where it asks for none or the play
// does not have the marks.
func (b *builder) slowed(s shot) (from, to tags.Frame, err error) {
	r := b.part.Replay
	if r.Speed == (Speed{}) {
		return 0, 0, nil
	}
	if !s.view.Snaps {
		return 0, 0, errors.New("its snap is not marked")
	}
	first, _, knownFirst := s.since(r.From.Mark)
	_, last, knownLast := s.since(r.To.Mark)
	for _, m := range []struct {
		mark  tags.Mark
		known bool
	}{{r.From.Mark, knownFirst}, {r.To.Mark, knownLast}} {
		if !m.known {
			return 0, 0, fmt.Errorf("its %s is not marked", m.mark)
		}
	}
	in, out := b.bounds(s)
	from = max(s.frame(first+r.From.Shift), in)
	to = min(s.frame(last+r.To.Shift)+1, out)
	if from >= to {
		return 0, 0, fmt.Errorf("%s does not come before %s", r.From.Mark, r.To.Mark)
	}
	return from, to, nil
}

// slowing is how much film before a freeze is slower than the rest of its replay.
const slowing = tags.Second / 5

// slow is a stretch of the replay at a speed; its label tells the replay's.
func (b *builder) slow(s shot, span tags.Span, speed Speed) Entry {
	seg := b.film(s, span, speed, 0)
	replay := b.part.Replay.Speed
	label := b.label(s, s.reps, func() Label {
		return Label{Lines: []string{strings.Join(nonEmpty(fmt.Sprintf("at %d/%d speed", replay.Num, replay.Den), b.brief(s.take)), separator)}}
	})
	seg.Layers = b.over(s, seg, []Layer{{Span: whole(seg), Label: &label}})
	return b.entry(s, ShowsReplay, seg)
}

// still is a frame to stop at, for one rep.
type still struct {
	rep   *tags.Rep
	mark  tags.Mark // empty where none is known
	since tags.Time // the snap
	draw  []tags.Drawing
}

// stills is where to stop on the shot's angles, in order of time.
func (b *builder) stills(s shot) []still {
	if b.part.Freeze.Hold == 0 || !s.view.Snaps {
		return nil
	}
	var stills []still
	for _, rep := range s.reps {
		for _, mark := range tags.AllMarks {
			drawings := s.drawn(rep, mark)
			// Where what to do is said, its picture has the point.
			point := mark == b.part.Freeze.At && rep.Point != "" && !b.part.Why
			if len(drawings) == 0 && !point || b.stopsFor(s, rep, mark) {
				continue
			}
			if at, ok := rep.Since(mark); ok {
				stills = append(stills, still{rep, mark, at, drawings})
			} else {
				b.leaveOut("the freeze of "+rep.Name(), fmt.Sprintf("its %s is not marked", mark))
			}
		}
	}
	slices.SortStableFunc(stills, func(x, y still) int { return cmp.Compare(x.since, y.since) })
	return stills
}

// Ease is how long a drawing takes to come up, and to go.
const Ease = tags.Second / 4

// How long a picture that stands is read before what is drawn on it comes, and for how long
// that is drawn, as one draws while one talks.
const (
	drawAfter = 7 * tags.Second / 10
	drawFor   = 7 * tags.Second / 10
)

// drawn is what the staff drew for a rep at a mark on the shot's angles.
func (s shot) drawn(rep *tags.Rep, mark tags.Mark) []tags.Drawing {
	var drawings []tags.Drawing
	for _, d := range rep.Draw {
		if d.At == mark && (d.Angle == s.view.Angle || s.below != nil && d.Angle == s.below.view.Angle) {
			drawings = append(drawings, d)
		}
	}
	return drawings
}

// still is the picture that stands, with the point written out and what is drawn.
func (b *builder) still(s shot, st still) Entry {
	label := b.label(s, []*tags.Rep{st.rep}, func() Label { return Label{Lead: st.rep.Point, Lines: nonEmpty(b.rush(st.rep)), Broad: true} })
	if b.part.Why { // its own picture has the point
		label.Lead = ""
	}
	e := b.standing(s, st, label, b.plan.House.Rate.Ceil(b.part.Freeze.Hold))
	e.Shows = ShowsFreeze
	return e
}

// standing is a picture that stands for hold, with a label and what is drawn.
func (b *builder) standing(s shot, st still, label Label, hold tags.Frame) Entry {
	in, out := b.bounds(s)
	at := min(max(s.frame(st.since), in), out-1)
	seg := b.film(s, tags.Span{In: at, Out: at + 1}, Speed{1, 1}, hold)
	var layers []Layer
	if label.Lead != "" || len(label.Lines) > 0 {
		layers = append(layers, Layer{Span: whole(seg), Label: &label})
	}
	for angle, fit := range s.fits(seg) {
		for _, d := range st.draw {
			if d.Angle != angle {
				continue
			}
			drawing, span := Drawing{Kind: d.Shape, Film: b.layout.within(fit)}, whole(seg)
			if wait, grow := b.plan.House.Rate.Ceil(drawAfter), b.plan.House.Rate.Ceil(drawFor); seg.Frames() > 2*(wait+grow) {
				drawing.Grow, span.In = grow, wait
			}
			for _, p := range d.Points {
				drawing.Points = append(drawing.Points, seg.spot(fit, p, 0))
			}
			layers = append(layers, Layer{Span: span, Drawing: &drawing})
		}
	}
	seg.Layers = b.over(s, seg, layers)
	return b.entry(s, ShowsFreeze, seg)
}

func whole(s Segment) tags.Span { return tags.Span{In: 0, Out: s.Frames()} }
