package plan_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// taught is a play with everything to be shown again: the house and the sideline run at
// 30, the snap is at frame 450 of the sideline.
const taught = `  - play: 14
    type: dropback
    down: 3
    distance: 8
    angles: {sideline: {in: 10s, out: 20s, snap: 15s}}
    marks: {release: +2.5s, finish: +3s}
    reps:
      - rusher: marlow
        move: [long-arm, up-and-under]
        battle: won
        marks: {contact: +0.8s, turn: +1.2s, beat: +1.9s}
        point: Outside foot first.
        spot: {sideline: [0.25, 0.5]}
        draw:
          - {at: turn, angle: sideline, arrow: [0.25, 0.5, 0.5, 0.5]}
          - {at: turn, angle: endzone, circle: [0.1, 0.1]}
          - {at: finish, angle: sideline, circle: [0.5, 0.5]}
`

// shown is "replay 474–508 ×1/2: 68 frames", an entry a line, slates left out.
func shown(p *plan.Plan) string {
	var b strings.Builder
	for _, e := range p.Entries[1 : len(p.Entries)-1] {
		s := e.Segment
		part := string(e.Shows)
		if part == "" {
			part = "play"
		}
		fmt.Fprintf(&b, "%s %d–%d ×%d/%d: %d frames\n", part, s.Span.In, s.Span.Out, s.Speed.Num, s.Speed.Den, s.Frames())
	}
	return b.String()
}

func TestReplay(t *testing.T) {
	half := plan.Replay{From: plan.Moment{Mark: tags.Contact}, To: plan.Moment{Mark: tags.Beat, Shift: tags.Second / 10}, Speed: plan.Speed{Num: 1, Den: 2}}
	stop := plan.Freeze{Hold: 2 * tags.Second}
	for name, c := range map[string]struct {
		replay plan.Replay
		freeze plan.Freeze
		want   string
	}{
		"none":   {want: "play 360–570 ×1/1: 210 frames\n"},
		"replay": {replay: half, want: "play 360–570 ×1/1: 210 frames\nreplay 474–511 ×1/2: 74 frames\n"},
		// Drawings for two marks: the turn lies in the replay, the finish behind it.
		"both": {replay: half, freeze: stop, want: "play 360–570 ×1/1: 210 frames\nfreeze 540–541 ×1/1: 60 frames\n" +
			"replay 474–480 ×1/2: 12 frames\nreplay 480–486 ×1/4: 24 frames\nfreeze 486–487 ×1/1: 60 frames\nreplay 486–511 ×1/2: 50 frames\n"},
		"freezes alone": {freeze: stop, want: "play 360–570 ×1/1: 210 frames\nfreeze 486–487 ×1/1: 60 frames\nfreeze 540–541 ×1/1: 60 frames\n"},
		"and at the beat, for the point": {freeze: plan.Freeze{Hold: tags.Second, At: tags.Beat}, want: "play 360–570 ×1/1: 210 frames\n" +
			"freeze 486–487 ×1/1: 30 frames\nfreeze 507–508 ×1/1: 30 frames\nfreeze 540–541 ×1/1: 30 frames\n"},
	} {
		t.Run(name, func(t *testing.T) {
			p := build(t, taught, func(r *plan.Recipe) { r.Replay, r.Freeze = c.replay, c.freeze }, nil)
			if diff := cmp.Diff(c.want, shown(p)); diff != "" {
				t.Error(diff)
			}
			if p.Clips() != 1 || len(p.LeftOut) > 0 {
				t.Errorf("%d clips, left out %q", p.Clips(), p.LeftOut)
			}
		})
	}
}

// A replay whose marks are not known is left out and said, never guessed.
func TestReplayOfUnknownMarks(t *testing.T) {
	p := build(t, strings.Replace(taught, "contact: +0.8s, ", "", 1), func(r *plan.Recipe) {
		r.Replay = plan.Replay{From: plan.Moment{Mark: tags.Contact}, To: plan.Moment{Mark: tags.Beat}, Speed: plan.Speed{Num: 1, Den: 2}}
	}, nil)
	if got := shown(p); got != "play 360–570 ×1/1: 210 frames\n" {
		t.Error(got)
	}
	if want := []string{"the replay of wk1-harbor-p014: its contact is not marked"}; !cmp.Equal(want, p.LeftOut) {
		t.Errorf("left out %q, want %q", p.LeftOut, want)
	}
}

// layers is what of the kind that has is over a segment, with its frames.
func layers(s plan.Segment, has func(plan.Layer) bool) []plan.Layer {
	return slices.DeleteFunc(slices.Clone(s.Layers), func(l plan.Layer) bool { return !has(l) })
}

func isClock(l plan.Layer) bool { return l.Clock != nil }

// The clock starts with the snap, on replays too, runs at their speed, and stands with a
// picture that stands.
func TestRushClock(t *testing.T) {
	p := build(t, taught, func(r *plan.Recipe) {
		r.Replay = plan.Replay{From: plan.Moment{Mark: tags.Snap, Shift: -tags.Second}, To: plan.Moment{Mark: tags.Finish}, Speed: plan.Speed{Num: 1, Den: 2}}
		r.Freeze = plan.Freeze{Hold: tags.Second}
	}, nil)
	caught := []plan.Caught{{At: 19 * tags.Second / 10, Name: "beat"}, {At: 5 * tags.Second / 2, Name: "ball out"}}
	const limit = 5 * tags.Second / 2
	first := func(frames int64) tags.Time { return tags.Time(frames) * tags.Second / 30 }
	normal, half, quarter := plan.Speed{Num: 1, Den: 1}, plan.Speed{Num: 1, Den: 2}, plan.Speed{Num: 1, Den: 4}
	want := []plan.Layer{
		{Span: tags.Span{In: 90, Out: 210}, Clock: &plan.Clock{First: first(-90), Speed: normal, Stop: limit, Limit: limit, Caught: caught}},
		{Span: tags.Span{In: 60, Out: 120}, Clock: &plan.Clock{First: first(-30), Speed: half, Stop: limit, Limit: limit, Caught: caught}},
		{Span: tags.Span{In: 0, Out: 24}, Clock: &plan.Clock{First: first(30), Speed: quarter, Stop: limit, Limit: limit, Caught: caught}}, // into the freeze
		{Span: tags.Span{In: 0, Out: 30}, Clock: &plan.Clock{First: first(36), Speed: normal, Stop: first(36), Limit: limit, Caught: []plan.Caught{}}},
		{Span: tags.Span{In: 0, Out: 96}, Clock: &plan.Clock{First: first(36), Speed: half, Stop: limit, Limit: limit, Caught: caught}},
		{Span: tags.Span{In: 0, Out: 24}, Clock: &plan.Clock{First: first(84), Speed: quarter, Stop: limit, Limit: limit, Caught: caught}},
		{Span: tags.Span{In: 0, Out: 30}, Clock: &plan.Clock{First: first(90), Speed: normal, Stop: limit, Limit: limit, Caught: caught}},
		{Span: tags.Span{In: 0, Out: 2}, Clock: &plan.Clock{First: first(90), Speed: half, Stop: limit, Limit: limit, Caught: caught}},
	}
	var got []plan.Layer
	for _, e := range p.Entries {
		got = append(got, layers(e.Segment, isClock)...)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	// A second after the snap it reads one second, whichever way it is shown.
	for _, l := range got[:2] {
		shown := l.Span.In + tags.Frame(30*l.Clock.Speed.Den/l.Clock.Speed.Num)
		if at := l.Clock.At(shown, tags.Rate{Num: 30, Den: 1}); at != tags.Second {
			t.Errorf("frame %d reads %s, want one second", shown, at)
		}
	}
	for name, change := range map[string]string{"a run": "type: run", "left out": ""} {
		plays := taught
		if change != "" {
			plays = strings.Replace(taught, "type: dropback", change, 1)
		}
		p := build(t, plays, func(r *plan.Recipe) { r.NoClock = change == "" }, nil)
		if c := layers(p.Entries[1].Segment, isClock); len(c) > 0 {
			t.Errorf("%s has a rush clock", name)
		}
	}
}

// The ring is where the tags say, through the same transform as the picture, about the snap.
func TestRing(t *testing.T) {
	p := build(t, taught, func(r *plan.Recipe) { r.Width, r.Height = 1280, 800 }, nil)
	rings := layers(p.Entries[1].Segment, func(l plan.Layer) bool { return l.Ring != nil })
	// The sideline is 1280×720: at 1280×800 it stands 40 pixels lower.
	want := []plan.Layer{{Span: tags.Span{In: 45, Out: 98}, Ring: &plan.Ring{At: plan.Spot{X: 320, Y: 400}, Tab: "91"}}}
	if diff := cmp.Diff(want, rings); diff != "" {
		t.Error(diff)
	}
}

func TestParseSpeed(t *testing.T) {
	for text, want := range map[string]plan.Speed{
		"0.5": {Num: 1, Den: 2}, "1/2": {Num: 1, Den: 2}, "50%": {Num: 1, Den: 2}, "0.25": {Num: 1, Den: 4}, "1": {Num: 1, Den: 1}, "1/3": {Num: 1, Den: 3}, ".5": {Num: 1, Den: 2}, "0.1": {Num: 1, Den: 10},
	} {
		if got, err := plan.ParseSpeed(text); err != nil || got != want {
			t.Errorf("%q is %v (%v), want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "0", "2", "-1", "0.05", "1/0", "1/11", "x", "1/2/3", "0.5/2", "1/2%", "1e-1", "0.1234567", "99999999999999999999"} {
		if got, err := plan.ParseSpeed(text); err == nil {
			t.Errorf("%q is %v, want an error", text, got)
		}
	}
}
