package plan_test

import (
	"math"
	"strings"
	"testing"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// A way between two pictures that were looked at goes evenly.
func TestWay(t *testing.T) {
	w := plan.Way{First: 10, Step: 2, Places: []tags.Point{{X: .1, Y: .2}, {X: .3, Y: .2}, {X: .3, Y: .6}}}
	if w.Last() != 14 {
		t.Errorf("it ends at frame %d", w.Last())
	}
	for n, want := range map[tags.Frame]tags.Point{10: {X: .1, Y: .2}, 11: {X: .2, Y: .2}, 12: {X: .3, Y: .2}, 13: {X: .3, Y: .4}, 14: {X: .3, Y: .6}} {
		if got := w.At(n); math.Hypot(got.X-want.X, got.Y-want.Y) > 1e-9 {
			t.Errorf("frame %d: %v, want %v", n, got, want)
		}
	}
}

// A ring is worn while its man is surely followed and no longer, where he is at each frame; about the
// snap where he is not followed or the recipe says so; and ends where it would leave the film.
func TestRingFollows(t *testing.T) {
	tests := map[string]struct {
		rings         plan.Rings
		before, after int // frames that he is followed; 0 is not at all
		move          float64
		in, out       tags.Frame // from the snap; out is the first without it
	}{
		"followed":           {before: 20, after: 50, move: .002, in: -20, out: 51},
		"lost soon":          {before: 3, after: 4, move: .002, in: -3, out: 5},
		"out of the picture": {before: 20, after: 60, move: -.01, in: -20, out: 20},
		"not followed":       {in: -45, out: 8},
		"about the snap":     {rings: plan.SnapRings, before: 20, after: 50, move: .002, in: -45, out: 8},
	}
	for name, test := range tests {
		t.Run(name, func(t *testing.T) {
			p := build(t, strings.Replace(twoReps, "{rusher: marlow,", "{rusher: marlow, spot: {sideline: [0.25, 0.5]},", 1), func(r *plan.Recipe) {
				r.Rings, r.Angles = test.rings, []string{"sideline"}
				r.Tracker = func(_ string, _ tags.Span, snap tags.Frame, at tags.Point) (plan.Way, error) {
					w := plan.Way{First: snap - tags.Frame(test.before), Step: 1}
					for n := -test.before; n <= test.after && test.after > 0; n++ {
						w.Places = append(w.Places, tags.Point{X: at.X + float64(n)*test.move, Y: at.Y})
					}
					return w, nil
				}
			}, nil)
			segment := p.Entries[1].Segment
			const snap = 90 // three seconds are shown before it
			rings := layers(segment, func(l plan.Layer) bool { return l.Ring != nil })
			if len(rings) != 1 {
				t.Fatalf("%d rings", len(rings))
			}
			if worn := rings[0].Span; worn != (tags.Span{In: snap + test.in, Out: snap + test.out}) {
				t.Errorf("worn at %v from the snap", tags.Span{In: worn.In - snap, Out: worn.Out - snap})
			}
			ring := *rings[0].Ring
			if moves := test.rings == "" && test.after > 0; (len(ring.Way) > 0) != moves || len(ring.Way) > int(rings[0].Span.Len()/2)+2 {
				t.Errorf("%d keys", len(ring.Way))
			}
			for n := rings[0].Span.In; n < rings[0].Span.Out; n++ {
				want := .25
				if len(ring.Way) > 0 {
					want += float64(n-snap) * test.move
				}
				if got := float64(ring.Place(n).X) / float64(segment.House.Width); math.Abs(got-want) > .002 {
					t.Errorf("frame %d: at %.3f, want %.3f", n-snap, got, want)
				}
			}
		})
	}
}
