package render_test

import (
	"context"
	"image"
	"testing"

	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
)

// A ring that goes with its man is in each frame where the plan has it, and nowhere once he is lost.
// The reel is held to the same one without rings.
func TestRingMoves(t *testing.T) {
	t.Parallel()
	b := sharing(t)
	path := b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate2997, frames: 300, sound: true})
	const play = "  - {play: 1, angles: {endzone: {in: f30, out: f120, snap: f60}}, reps: [{rusher: marlow, battle: won, spot: {endzone: [0.3, 0.5]}}]}\n"
	season := b.season(map[string]string{"endzone": path}, play)
	recipe := func(rings plan.Rings) func(*plan.Recipe) {
		return func(r *plan.Recipe) {
			r.Width, r.Height, r.NoClock, r.Label, r.Rings = lookWidth, lookHeight, true, []plan.Field{}, rings
			r.Tracker = func(_ string, _ tags.Span, snap tags.Frame, at tags.Point) (plan.Way, error) {
				w := plan.Way{First: snap - 10, Step: 1}
				for n := range 40 {
					w.Places = append(w.Places, tags.Point{X: at.X + .01*float64(n), Y: at.Y + .0002*float64((n-20)*(n-20))})
				}
				return w, nil
			}
		}
	}
	with, without := b.plan(season, recipe(plan.FollowRings)), b.plan(season, recipe(plan.NoRings))
	plain := map[int]*image.Gray{}
	out, _ := b.make(without, "plain.mp4")
	b.frames(out, 0, func(n int, picture *image.Gray) {
		copied := *picture
		copied.Pix = append([]byte(nil), picture.Pix...)
		plain[n] = &copied
	})
	out, _ = b.make(with, "ring.mp4")

	clip := with.Entries[1].Segment
	if len(clip.Layers) == 0 || clip.Layers[0].Ring == nil || clip.Layers[0].Span.Len() != 40 {
		t.Fatalf("layers %+v", clip.Layers)
	}
	layer, first := clip.Layers[0], with.Entries[0].Segment.Frames()
	b.frames(out, 0, func(n int, picture *image.Gray) {
		frame := tags.Frame(n) - first
		if frame < 0 || frame >= clip.Frames() {
			return
		}
		drawn := differs(picture, plain[n])
		worn := layer.Span
		switch ease := clip.House.Rate.Ceil(plan.Ease); {
		case frame < worn.In || frame >= worn.Out:
			if !drawn.Empty() {
				t.Errorf("frame %d: something is drawn at %v", frame, drawn)
			}
		case frame < worn.In+ease || frame >= worn.Out-ease: // it comes or goes
		default:
			at := layer.Ring.Place(frame)
			if middle := (drawn.Min.X + drawn.Max.X) / 2; drawn.Empty() || middle-at.X < -3 || middle-at.X > 3 {
				t.Errorf("frame %d: drawn at %v, want around %v", frame, drawn, at)
			}
			if foot := at.Y + lookHeight/22; drawn.Max.Y < foot-4 || drawn.Max.Y > foot+6 {
				t.Errorf("frame %d: drawn down to %d, want about %d", frame, drawn.Max.Y, foot)
			}
		}
	})
	if _, err := b.maker.Verify(context.Background(), out, b.maker.Films, false, func(render.Event) {}); err != nil {
		t.Error(err)
	}
}

// differs is what of a picture is much darker or lighter than another.
func differs(a, b *image.Gray) (r image.Rectangle) {
	for y := range lookHeight {
		for x := range lookWidth {
			if d := int(a.GrayAt(x, y).Y) - int(b.GrayAt(x, y).Y); d > 60 || d < -60 {
				r = r.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return r
}
