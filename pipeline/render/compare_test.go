package render_test

import (
	"bytes"
	"context"
	"encoding/json"
	"image"
	"image/png"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
)

// verify holds a reel to the film. It returns how far pictures were from those they should be.
func (b *bench) verify(out string, every bool) (v render.Verification, mean, block, gain float64, err error) {
	b.t.Helper()
	var said bytes.Buffer
	b.maker.Workers, b.maker.Log = 1, slog.New(slog.NewJSONHandler(&said, &slog.HandlerOptions{Level: slog.LevelDebug}))
	defer func() { b.maker.Workers, b.maker.Log = 2, nil }()
	v, err = b.maker.Verify(context.Background(), out, b.library, every, func(render.Event) {})
	for line := range strings.Lines(said.String()) {
		var c struct {
			Msg                  string
			Mean, Block, Nearest float64
		}
		if errJSON := json.Unmarshal([]byte(line), &c); errJSON != nil {
			b.t.Fatal(errJSON)
		}
		if c.Msg == "compared" {
			mean, block, gain = max(mean, c.Mean), max(block, c.Block), max(gain, c.Mean-c.Nearest)
		}
	}
	return v, mean, block, gain, err
}

// path is where the store keeps a segment.
func (b *bench) path(s plan.Segment) string {
	b.t.Helper()
	key, err := s.Key(b.maker.Toolchain)
	if err != nil {
		b.t.Fatal(err)
	}
	path, err := b.maker.Store.Open(context.Background(), key)
	if err != nil {
		b.t.Fatal(err)
	}
	return path
}

// A reel is held to the film, picture by picture: a right one passes at every quality, slowed,
// stopped and at another rate, and one that is wrong by a single frame in one clip does not,
// though its manifest and all checksums agree with it.
func TestVerifyFindsWrongPictures(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	end := b.film(footage{name: "end.mp4", width: 320, height: 180, rate: rate2997, frames: 240, sound: true})
	side := b.film(footage{name: "side.mp4", width: 320, height: 180, rate: rate25, frames: 240})
	// Amid the film, so that there is a frame before.
	season := b.season(map[string]string{"endzone": end, "sideline": side}, "  - play: 1\n    angles:\n"+
		"      endzone: {in: f60, out: f82}\n      sideline: {in: f40, out: f58}\n")
	var p *plan.Plan
	for _, quality := range []plan.Quality{plan.Small, plan.Fine}[:fewer(2, 1)] {
		p = b.plan(season, func(r *plan.Recipe) { r.Encoder = quality.Encoder() })
		out, _ := b.make(p, string(quality)+".mp4")
		for _, every := range []bool{false, true} {
			if every && quality != plan.Small {
				continue // the worst is enough
			}
			v, mean, block, gain, err := b.verify(out, every)
			t.Logf("%s, right, every frame %v: %d compared, at most %.2f off, %.2f in a block, %.2f nearer beside", quality, every, v.Compared, mean, block, gain)
			if err != nil {
				t.Errorf("%s: a right reel: %v", quality, err)
			}
			if want := p.Frames(); every && v.Compared != want {
				t.Errorf("%d frames compared, want %d", v.Compared, want)
			}
		}
	}
	// Wrong segments under the keys of right ones, sealed as those are.
	for i, e := range p.Entries {
		if i > 1 { // a slate, and a clip of film
			break
		}
		whole, err := os.ReadFile(b.path(e.Segment))
		if err != nil {
			t.Fatal(err)
		}
		for name, change := range map[string]func(*plan.Segment){
			"one later":   func(s *plan.Segment) { s.Span = tags.Span{In: s.Span.In + 1, Out: s.Span.Out + 1} },
			"one earlier": func(s *plan.Segment) { s.Span = tags.Span{In: s.Span.In - 1, Out: s.Span.Out - 1} },
			"far later":   func(s *plan.Segment) { s.Span = tags.Span{In: s.Span.In + 60, Out: s.Span.Out + 60} },
		} {
			wrong := e.Segment
			if e.Segment.Kind == plan.Slate {
				card := *wrong.Card
				card.Title = "Another"
				wrong.Card = &card
			} else {
				change(&wrong)
			}
			if _, _, err := b.maker.Warm(context.Background(), []plan.Entry{{Segment: wrong}}, func(render.Event) {}); err != nil {
				t.Fatal(err)
			}
			data, err := os.ReadFile(b.path(wrong))
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(b.path(e.Segment), data, 0o666); err != nil {
				t.Fatal(err)
			}
			out := filepath.Join(b.dir, "wrong.mp4")
			if _, err := b.maker.Make(context.Background(), p, out, true, func(render.Event) {}); err != nil {
				t.Fatal(err)
			}
			_, mean, block, gain, err := b.verify(out, false)
			t.Logf("entry %d %s: %.2f off, %.2f in a block, %.2f nearer beside: %v", i, name, mean, block, gain, err)
			if err == nil || !strings.Contains(err.Error(), "should show frame") && !strings.Contains(err.Error(), "is not the slate") {
				t.Errorf("entry %d, %s: error %v, want that another picture is shown", i, name, err)
			}
			for _, file := range []string{out, render.ManifestPath(out)} {
				if err := os.Remove(file); err != nil {
					t.Fatal(err)
				}
			}
			if e.Segment.Kind == plan.Slate {
				break
			}
		}
		if err := os.WriteFile(b.path(e.Segment), whole, 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// withPicture is films and a picture of a staff's own.
type withPicture struct {
	render.Films
	content, path string
}

func (f withPicture) Path(ctx context.Context, fingerprint string) (string, error) {
	if fingerprint == f.content {
		return f.path, nil
	}
	return f.Films.Path(ctx, fingerprint)
}

// What verify says that it compared is what it compared: no picture of a staff's own that is not
// here, and no film.
func TestVerifyCountsWhatItCompared(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	film := b.film(footage{name: "end.mp4", width: 320, height: 180, rate: rate25, frames: 60})
	logo := filepath.Join(b.dir, "logo.png")
	var data bytes.Buffer
	if err := png.Encode(&data, image.NewGray(image.Rect(0, 0, 64, 36))); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(logo, data.Bytes(), 0o666); err != nil {
		t.Fatal(err)
	}
	own := withPicture{b.library, content.HashOf(data.Bytes()), logo}
	b.maker.Films = own
	p := b.plan(b.season(map[string]string{"endzone": film}, "  - {play: 1, in: f5, out: f25}\n"), func(r *plan.Recipe) {
		r.Intro = []plan.Picture{{File: "logo.png", Content: own.content, Width: 64, Height: 36, Hold: tags.Second / 2}}
	})
	out, _ := b.make(p, "reel.mp4")
	all := tags.Frame(3 * len(p.Entries))
	nowhere := withPicture{noFilms{}, "", ""}
	for name, c := range map[string]struct {
		films render.Films
		want  tags.Frame
	}{
		"all is here":         {own, all},
		"no picture is here":  {b.library, all - 3},
		"nothing is here":     {nowhere, all - 6},
		"the picture is here": {withPicture{noFilms{}, own.content, logo}, all - 3},
	} {
		v, err := b.maker.Verify(context.Background(), out, c.films, false, func(render.Event) {})
		if err != nil || v.Compared != c.want {
			t.Errorf("%s: %d frames compared (%v), want %d", name, v.Compared, err, c.want)
		}
	}
}

// noFilms has none.
type noFilms struct{}

func (noFilms) Path(context.Context, string) (string, error) { return "", os.ErrNotExist }
