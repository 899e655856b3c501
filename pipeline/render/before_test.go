package render_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// A play that starts before the first picture of its film, as one that starts at 0 does where
// the sound comes first, starts with that picture, and check says when that is.
func TestStartsBeforeTheFirstPicture(t *testing.T) {
	for name, mux := range map[string][]string{
		"fragments.mp4": {"-movflags", "frag_keyframe+empty_moov"}, // its sound has no delay, its picture has
		"late.ts":       {"-filter_complex", "[0:v]setpts=PTS+0.2/TB[v]", "-map", "[v]", "-map", "1:a"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			b := newBench(t)
			path := b.film(footage{name: name, width: 320, height: 180, rate: rate25, frames: 50, sound: true, mux: mux})
			src, err := b.library.Source(context.Background(), path)
			if err != nil {
				t.Fatal(err)
			}
			if src.First < rate25.Duration(2) || src.Frames != 50 {
				t.Fatalf("%d frames, the first at %s; want 50, the first after two frames' time", src.Frames, src.First)
			}
			notes, err := b.library.Notes(context.Background(), path)
			if want := fmt.Sprintf("its first picture comes %s after its start", src.First); err != nil || !strings.Contains(strings.Join(notes, "\n"), want) {
				t.Errorf("notes %q (%v), want %q", notes, err, want)
			}
			season := b.season(map[string]string{"endzone": path}, "  - {play: 1, in: 0s, out: 1s}\n  - {play: 2, in: 0.03s, out: f9}\n  - {play: 3, in: 0.5s, out: 1s}\n")
			faults := season.Games[0].CheckFilm(plan.Extents(map[string]plan.Source{path: src}))
			want := fmt.Sprintf("in is before the first picture of the film, which comes at %s: the clip starts there", src.First)
			if len(faults) != 2 || faults[0].What != want || !faults[0].Warning || faults[1].What != want {
				t.Errorf("faults %v, want of two plays %q", faults, want)
			}
			p := b.plan(season, nil)
			for i, in := range []tags.Frame{0, 0, src.Clock().FrameAt(tags.Second / 2)} {
				if got := p.Entries[i+1].Segment.Span.In; got != in {
					t.Errorf("play %d starts with frame %d, want %d", i+1, got, in)
				}
			}
			reel, _ := b.make(p, "reel.mp4")
			b.checkFrames(p, reel)
		})
	}
}
