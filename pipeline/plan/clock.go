package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"trenchcut/tags"
)

// mostCounted bounds how long the rush clock runs where nothing stops it.
const mostCounted = 10 * tags.Second

// over adds to layers what every picture of the shot has: rings below, the clock on top.
func (b *builder) over(s shot, seg Segment, layers []Layer) []Layer {
	return b.layout.place(slices.Concat(b.rings(s, seg), layers, b.clock(s, seg)))
}

// at is the time from the snap at which frame 0 of a segment of the shot is shown.
func (s shot) at(seg Segment) tags.Time { return s.source.Clock().At(seg.Span.In) - s.view.Snap }

// clock is the rush clock of a segment: from the snap on, where the play is a pass as far
// as is known and its snap is marked.
func (b *builder) clock(s shot, seg Segment) []Layer {
	if b.recipe.NoClock || !s.view.Snaps || s.play.Type != "" && !s.play.IsPass() {
		return nil
	}
	c := &Clock{First: s.at(seg), Speed: seg.Speed, Limit: b.season.Vocabulary.Limit, Caught: b.caught(s.take)}
	c.Stop = mostCounted
	if n := len(c.Caught); n > 0 {
		c.Stop = c.Caught[n-1].At
	} else if _, finish, ok := s.since(tags.Finish); ok {
		c.Stop = min(finish, mostCounted)
	} else if over := s.source.Clock().At(s.reveal) - s.view.Snap; over > 0 { // as far as is known
		c.Stop = min(over, mostCounted)
	}
	if seg.Hold > 0 { // time stands with the picture
		if c.First < 0 {
			return nil
		}
		c.Stop = min(c.Stop, c.First)
		c.Caught = slices.DeleteFunc(c.Caught, func(k Caught) bool { return k.At > c.First })
	}
	start := tags.Frame(0)
	if c.First < 0 {
		start = seg.House.Rate.Ceil(seg.Speed.Shown(-c.First))
	}
	if start >= seg.Frames() {
		return nil
	}
	return []Layer{{Span: tags.Span{In: start, Out: seg.Frames()}, Clock: c}}
}

// caught is what the clock names: each rusher's beat, and the ball's release.
func (b *builder) caught(t take) []Caught {
	var list []Caught
	for _, r := range t.reps {
		if at, ok := r.TimeToBeat(); ok {
			name := "beat"
			if len(t.reps) > 1 {
				name += " " + b.naming.Tab(r.Play.Game, r.Rusher)
			}
			list = append(list, Caught{at, name})
		}
	}
	if _, at, ok := t.since(tags.Release); ok {
		list = append(list, Caught{at, "ball out"})
	}
	slices.SortStableFunc(list, func(x, y Caught) int { return cmp.Compare(x.At, y.At) })
	return list
}

// brief is the play in one line: "3rd & 8 · #91 Teo Marlow".
func (b *builder) brief(t take) string {
	var parts []string
	if b.says("down") {
		parts = nonEmpty(downs(t.play))
	}
	if len(parts) == 0 && b.says("down", "play") {
		parts = []string{fmt.Sprintf("Play %d", t.play.Number)}
	}
	for i, r := range t.reps {
		if !b.says("rusher") {
			break
		}
		if i == maxReps-1 && len(t.reps) > maxReps {
			parts = append(parts, fmt.Sprintf("and %d more", len(t.reps)-i))
			break
		}
		parts = append(parts, nonEmpty(b.called(r))...)
	}
	return strings.Join(parts, separator)
}
