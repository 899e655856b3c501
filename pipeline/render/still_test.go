package render_test

import (
	"bytes"
	"context"
	"image"
	"log/slog"
	"strings"
	"testing"

	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
)

// title renders the title slate of a season alone and is its first picture.
func (b *bench) title(p *plan.Plan) *image.Gray {
	b.t.Helper()
	ctx := context.Background()
	first, _ := p.Slates()
	entry := p.Entries[first]
	if _, _, err := b.maker.Warm(ctx, []plan.Entry{entry}, func(render.Event) {}); err != nil {
		b.t.Fatal(err)
	}
	key, err := entry.Segment.Key(b.maker.Toolchain)
	if err != nil {
		b.t.Fatal(err)
	}
	path, err := b.maker.Store.Open(ctx, key)
	if err != nil {
		b.t.Fatal(err)
	}
	var seen *image.Gray
	b.framesUpTo(1, path, 0, func(_ int, picture *image.Gray) {
		seen = image.NewGray(picture.Rect)
		copy(seen.Pix, picture.Pix)
	})
	return seen
}

// unlike is by how much two stretches of a row differ, 0 to 255 on the average.
func unlike(a, b []uint8) int {
	sum := 0
	for i := range a {
		sum += max(int(a[i])-int(b[i]), int(b[i])-int(a[i]))
	}
	return sum / len(a)
}

// A title slate shows the frame of film that its plan names, cut around the man, and where that frame is
// damaged the slate stands without it, as if none were wanted.
func TestSlateWithItsStill(t *testing.T) {
	b := newBench(t)
	whole := b.film(footage{name: "whole.mp4", width: 320, height: 180, rate: rate2997, frames: 600, mux: []string{"-g", "60"}})
	const plays = "  - {play: 1, in: f290, out: f330, reps: [{rusher: marlow, battle: won, spot: {endzone: [0.75, 0.5]}}]}\n"
	season := b.season(map[string]string{"endzone": whole}, plays)
	stills := func(r *plan.Recipe) { r.NoStills = false }
	p := b.plan(season, stills)
	first, _ := p.Slates()
	still := p.Entries[first].Segment.Still
	if still == nil || still.Frame < 290 || still.Frame >= 330 || still.At.X != .75 {
		t.Fatalf("the title's still is %+v", still)
	}
	slate := b.title(p)

	// On the slate the still begins at 58 of 100 and is of the film's own height, so that of 640 pixels 272
	// are seen of it: those around 480. A seam covers the first few.
	const from, to, film, row = 382, 636, 480 - 272/2 - 368, 8
	shown := slate.Pix[row*slate.Stride:][from:to]
	best, least := -1, 256
	b.framesUpTo(340, whole, 0, func(n int, picture *image.Gray) {
		if d := unlike(shown, picture.Pix[row*picture.Stride:][from+film:to+film]); d < least {
			best, least = n, d
		}
	})
	if best != int(still.Frame) || least > 24 {
		t.Errorf("the slate shows frame %d (off by %d), want %d", best, least, still.Frame)
	}

	none := b.title(b.plan(season, nil))
	if unlike(none.Pix[row*none.Stride:][from:to], shown) < 40 {
		t.Fatal("a slate without a still looks the same")
	}
	b = newBench(t)
	damaged := b.remux(whole, "damaged.mkv", "-bsf:v", "noise=amount='3*between(n,295,359)'")
	var said bytes.Buffer
	b.maker.Log = slog.New(slog.NewTextHandler(&said, nil))
	bare := b.title(b.plan(b.season(map[string]string{"endzone": damaged}, plays), stills))
	if d := unlike(bare.Pix, none.Pix); d != 0 {
		t.Errorf("the slate is not as without a still: off by %d", d)
	}
	if !strings.Contains(said.String(), "a slate without its still") || !strings.Contains(said.String(), "damaged.mkv") {
		t.Errorf("it says %q", said.String())
	}
}
