package plan_test

import (
	"fmt"
	"strings"
	"testing"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// tellsOutcome reports whether a label says what became of a rush that was a sack.
func tellsOutcome(l plan.Layer) bool {
	return l.Label != nil && strings.Contains(strings.Join(l.Label.Lines, "\n"), "sack")
}

// However short a play is, its outcome is not told before its finish, and is told for long
// enough to be read.
func TestOutcomeIsToldAfterTheFinish(t *testing.T) {
	const least = 3 * tags.Second / 4
	for _, c := range []struct{ snap, marks string }{
		{", snap: 10.1s", "finish: +0.2s"},
		{", snap: 10.1s", "finish: +2s"},
		{", snap: 10.1s", "finish: +40s"}, // past the end of the shorter ones
		{", snap: 10.1s", "beat: +1.9s"},
		{", snap: 10.1s", ""},
		{"", ""},
	} {
		for _, length := range []tags.Time{tags.Second / 30, tags.Second / 2, 3 * tags.Second / 2, 6 * tags.Second} {
			for _, after := range []tags.Time{0, tags.Second, 3 * tags.Second} {
				for _, angle := range []string{"sideline", "endzone"} { // at 30 and at 25 frames a second
					out := 10*tags.Second + length
					play := fmt.Sprintf("  - play: 1\n    angles: {%s: {in: 10s, out: %ss%s}}\n    marks: {%s}\n    reps: [{rusher: marlow, battle: won, outcome: sack}]\n",
						angle, out.Decimal(), c.snap, c.marks)
					t.Run(fmt.Sprintf("%s %s %s after %s %s", length, c.snap, c.marks, after, angle), func(t *testing.T) {
						p := build(t, play, func(r *plan.Recipe) { r.After = after }, nil)
						held := checkTelling(t, p, out, c.snap, c.marks)
						if told := toldFor(p); told < least {
							t.Errorf("the outcome is told for %s, want %s", told, least)
						}
						if held && (length > 4*tags.Second && after >= tags.Second && !strings.Contains(c.marks, "40s")) {
							t.Error("a picture is held, though there is time enough to tell")
						}
					})
				}
			}
		}
	}
}

// checkTelling holds the labels of a plan of one play, which lasts from 10 s to out, to what
// its tags say of its finish. It reports whether a picture is held to tell the outcome.
func checkTelling(t *testing.T, p *plan.Plan, out tags.Time, snap, marks string) (held bool) {
	t.Helper()
	finish := 12 * tags.Second // of a play without a snap, or with a beat 1.9 s after it
	switch {
	case strings.Contains(marks, "+0.2s"):
		finish = 103 * tags.Second / 10
	case strings.Contains(marks, "+40s"):
		finish = 501 * tags.Second / 10
	case snap != "": // at 2 s, or not marked: no rush is over sooner
		finish = 121 * tags.Second / 10
	}
	play := p.Entries[1].Segment
	for _, e := range p.Entries[1 : len(p.Entries)-1] {
		s := e.Segment
		for _, l := range s.Layers {
			if !tellsOutcome(l) {
				continue
			}
			at := s.Source.Clock().At(s.Span.In) + s.House.Rate.Duration(l.Span.In)
			switch end := play.Span.Out; {
			case e.Shows == plan.ShowsOutcome:
				if held = true; s.Span != (tags.Span{In: end - 1, Out: end}) {
					t.Errorf("the outcome is told on %v, want the last picture of %v", s.Span, play.Span)
				}
			case at < min(finish, out):
				t.Errorf("the outcome is told at %s, before %s", at, min(finish, out))
			}
		}
	}
	return held
}

// toldFor is how long labels of a plan tell the outcome.
func toldFor(p *plan.Plan) (told tags.Time) {
	for _, e := range p.Entries {
		for _, l := range e.Segment.Layers {
			if tellsOutcome(l) {
				told += p.House.Rate.Duration(l.Span.Len())
			}
		}
	}
	return told
}

// A held picture belongs to its play: it is no clip of its own, and has no chapter of its own.
func TestHeldOutcomeBelongsToItsPlay(t *testing.T) {
	p := build(t, "  - {play: 1, angles: {sideline: {in: 10s, out: 12s, snap: 10.5s}}, marks: {finish: +1.5s}, reps: [{rusher: marlow, battle: won, outcome: sack}]}\n", nil, nil)
	if p.Clips() != 1 || len(p.Entries) != 4 {
		t.Fatalf("%d clips in %d entries, want 1 clip, its held picture and two slates", p.Clips(), len(p.Entries))
	}
	play, held := p.Entries[1], p.Entries[2]
	if held.Chapter != play.Chapter || held.Segment.Span != (tags.Span{In: play.Segment.Span.Out - 1, Out: play.Segment.Span.Out}) {
		t.Errorf("held %+v of %q, want the last picture of %q", held.Segment.Span, held.Chapter, play.Chapter)
	}
	if p := build(t, "  - {play: 1, angles: {sideline: {in: 10s, out: 12s, snap: 10.5s}}, marks: {finish: +1.5s}, reps: [{rusher: marlow, battle: won, outcome: sack}]}\n",
		func(r *plan.Recipe) { r.Reveal = plan.RevealBefore }, nil); len(p.Entries) != 3 {
		t.Errorf("%d entries where the outcome is told before, want 3", len(p.Entries))
	}
}
