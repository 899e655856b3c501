package render_test

import (
	"context"
	"errors"
	"image"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"trenchcut/pipeline/demo/strip"
	"trenchcut/pipeline/internal/brief"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// A quick reel shows, of each clip in order, every frame of its span, and those around it
// from keyframe to keyframe.
func TestQuick(t *testing.T) {
	for _, name := range []string{"film.mp4", "film.ts"} {
		t.Run(name, func(t *testing.T) {
			brief.Only(t, name == "film.mp4")
			t.Parallel()
			testQuick(t, name)
		})
	}
}

func testQuick(t *testing.T, name string) {
	b := sharing(t)
	path := b.film(footage{name: name, width: 640, height: 360, rate: rate2997, frames: 700, sound: true, mux: []string{"-g", "45"}})
	clips := fewer(12, 5)
	p := b.plan(b.season(map[string]string{"endzone": path}, plays(51, clips, 700, "endzone")), nil)
	out := filepath.Join(b.dir, "quick.mp4")
	report, err := b.maker.Quick(context.Background(), p, out, false, func(render.Event) {})
	if err != nil {
		t.Fatal(err)
	}
	if report.Clips != clips || report.More <= 0 || report.More > 3*tags.Second {
		t.Errorf("%+v, want %d clips that start up to a group of pictures early", report, clips)
	}
	b.checkQuick(p, out, report, 45, 700)
	testQuickReplaced(t, b, b.plan(b.season(map[string]string{"endzone": path}, plays(51, 2, 700, "endzone")), nil))
}

// testQuickReplaced makes quick looks of p and its reel in each other's place.
func testQuickReplaced(t *testing.T, b *bench, p *plan.Plan) {
	t.Helper()
	out := filepath.Join(b.dir, "replaced.mp4")
	if _, err := b.maker.Quick(context.Background(), p, out, false, func(render.Event) {}); err != nil {
		t.Fatal(err)
	}
	// A quick look is replaced by a quick look and by the reel itself, which is another. Its
	// manifest holds nothing that the reel could be held to.
	if _, err := b.maker.Verify(context.Background(), out, b.library, false, func(render.Event) {}); err == nil || !strings.Contains(err.Error(), "quick look") {
		t.Errorf("a quick look is verified: error %v", err)
	}
	if _, err := b.maker.Quick(context.Background(), p, out, false, func(render.Event) {}); err != nil {
		t.Errorf("a second quick look: %v", err)
	}
	if made, err := b.maker.Make(context.Background(), p, out, false, func(render.Event) {}); err != nil || made.Unchanged {
		t.Errorf("the reel in the place of a quick look: %+v, %v", made, err)
	}
	// A quick look in the place of a reel leaves nothing that keeps the next reel from being made.
	if _, err := b.maker.Quick(context.Background(), p, out, true, func(render.Event) {}); err != nil {
		t.Errorf("a quick look in the place of the reel: %v", err)
	}
	if made, err := b.maker.Make(context.Background(), p, out, false, func(render.Event) {}); err != nil || made.Unchanged || made.Rendered != 0 {
		t.Errorf("the reel again: %+v, %v", made, err)
	}
	// Somebody's file is not replaced unasked.
	if err := os.WriteFile(out, []byte("dear diary"), 0o666); err != nil {
		t.Fatal(err)
	}
	if _, err := b.maker.Quick(context.Background(), p, out, false, func(render.Event) {}); !notOurs(err) {
		t.Errorf("error %v, want that the file is not ours", err)
	}
}

// A quick reel of Matroska, with B-frames and without, begins no group of pictures too early.
func TestQuickOfMatroska(t *testing.T) {
	for _, b := range []string{"0", "3"} {
		t.Run("B-frames "+b, func(t *testing.T) {
			brief.Only(t, b == "3")
			t.Parallel()
			bench := newBench(t)
			path := bench.film(footage{name: "film.mkv", width: 640, height: 360, rate: rate2997, frames: 120, mux: []string{"-g", "20", "-bf", b}})
			p := bench.plan(bench.season(map[string]string{"endzone": path}, "  - {play: 1, in: f20, out: f25}\n  - {play: 2, in: f45, out: f60}\n  - {play: 3, in: f79, out: f100}\n"), nil)
			out := filepath.Join(bench.dir, "quick.mp4")
			report, err := bench.maker.Quick(context.Background(), p, out, false, func(render.Event) {})
			if err != nil {
				t.Fatal(err)
			}
			bench.checkQuick(p, out, report, 20, 120)
		})
	}
}

// checkQuick holds a quick reel of film of so many frames, in groups of pictures of one length,
// to its plan.
func (b *bench) checkQuick(p *plan.Plan, out string, report render.QuickReport, group, frames tags.Frame) {
	b.t.Helper()
	var shown []tags.Frame
	b.frames(out, 0, func(_ int, picture *image.Gray) {
		n, err := strip.Read(picture, picture.Rect)
		if err != nil {
			b.t.Fatal(err)
		}
		shown = append(shown, n)
	})
	if got := rate2997.Duration(tags.Frame(len(shown))); got != report.Length {
		b.t.Errorf("the reel is %s long, it says %s", got, report.Length)
	}
	at := 0
	for _, e := range p.Entries {
		if e.Segment.Kind != plan.Film {
			continue
		}
		span := e.Segment.Span
		start, key := at, span.In/group*group
		end := min((span.Out+group-1)/group*group, frames)
		for at < len(shown) && (at == start || shown[at] == shown[at-1]+1) && shown[at] < end {
			at++
		}
		if at == start || shown[start] != key || shown[at-1] != end-1 {
			b.t.Fatalf("%s: frames %v at %d, want %d–%d, keyframe to keyframe around %d–%d", e.Chapter, shown[start:min(start+3, len(shown))], at, key, end, span.In, span.Out)
		}
	}
	if at != len(shown) {
		b.t.Errorf("%d frames are left over", len(shown)-at)
	}
}

// notOurs reports whether err is that a file is in the way which this program did not write.
func notOurs(err error) bool {
	var exists *files.ExistsError
	return errors.As(err, &exists) && exists.Foreign
}

// Films of two kinds are refused, with why, and leave no file.
func TestQuickOfTwoKinds(t *testing.T) {
	t.Parallel()
	for name, other := range map[string]footage{
		"stacked":        {name: "other.mp4", width: 320, height: 180, rate: rate2997, frames: 101},
		"another size":   {name: "other.mp4", width: 480, height: 360, rate: rate2997, frames: 100},
		"another rate":   {name: "other.mp4", width: 320, height: 180, rate: rate25, frames: 100},
		"with sound":     {name: "other.mp4", width: 320, height: 180, rate: rate2997, frames: 100, sound: true},
		"another way":    {name: "other.mp4", width: 320, height: 180, rate: rate2997, frames: 100, mux: []string{"-profile:v", "baseline"}},
		"another coding": {name: "other.mp4", width: 320, height: 180, rate: rate2997, frames: 100, mux: []string{"-c:v", "mpeg4"}},
	} {
		b := newBench(t)
		films := map[string]string{
			"endzone":  b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate2997, frames: 100}),
			"sideline": b.film(other),
		}
		p := b.plan(b.season(films, "  - {play: 1, angles: {endzone: {in: f10, out: f40, snap: f20}, sideline: {in: f10, out: f40, snap: f20}}}\n"), func(r *plan.Recipe) {
			if name == "stacked" {
				r.Shape = plan.Tall
			}
		})
		out := filepath.Join(b.dir, "quick.mp4")
		if _, err := b.maker.Quick(context.Background(), p, out, false, func(render.Event) {}); !errors.Is(err, render.ErrNotQuick) {
			t.Errorf("%s: error %v, want ErrNotQuick", name, err)
		}
		if _, err := os.Stat(out); !errors.Is(err, os.ErrNotExist) {
			t.Errorf("%s: a reel was left (%v)", name, err)
		}
	}
}
