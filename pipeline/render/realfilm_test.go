package render_test

import (
	"context"
	"errors"
	"fmt"
	"image"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/internal/brief"
	"trenchcut/pipeline/internal/realfilm"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
)

// Two clips are cut from film of real cameras, and each frame is compared with all
// frames near it of the same film decoded from its start.
func TestRealFilm(t *testing.T) {
	realFilm := realfilm.Folder(t)
	// Damaged on purpose: TestRealDamagedFilm has it.
	const broken = "corrupted.mp4"
	briefly := []string{"phone-rotated-hdr-editlist.mp4", "extreme-variable-rate.mp4"}
	films, err := filepath.Glob(filepath.Join(realFilm, "*.m[pot][4vs]"))
	if err != nil || len(films) < 12 {
		t.Fatalf("%d films at %s (%v), want at least 12", len(films), realFilm, err)
	}
	for _, path := range films {
		if filepath.Base(path) == broken {
			continue
		}
		t.Run(filepath.Base(path), func(t *testing.T) {
			brief.Only(t, slices.Contains(briefly, filepath.Base(path)))
			b := sharing(t)
			src, err := b.library.Source(context.Background(), path)
			if err != nil {
				t.Fatal(err)
			}
			// One clip at the start, one from the middle to the end; the six-minute film's
			// lie near its start, so that not all of it is decoded here.
			n := min(src.Frames, 300)
			text := fmt.Sprintf("  - {play: 1, in: f0, out: f%d}\n  - {play: 2, in: f%d, out: f%d}\n", max(n/4, 1), n/2, n)
			p := b.plan(b.season(map[string]string{"endzone": path}, text), func(r *plan.Recipe) {
				r.Width, r.Height, r.Rate = 640, 360, src.Rate
			})
			reel, _ := b.make(p, "reel.mp4")
			b.compare(p, reel, path, src)
		})
	}
}

// compare holds each reel frame to the film's own frames: the one the plan says must be
// at least as like it as any other nearby.
func (b *bench) compare(p *plan.Plan, reel, path string, src plan.Source) {
	b.t.Helper()
	shown := b.shown(path, src)
	var expected []tags.Frame
	var at []plan.Segment
	for _, e := range p.Entries {
		for k := range e.Segment.Frames() {
			w := tags.Frame(-1)
			if e.Segment.Kind == plan.Film {
				w = want(e.Segment, k)
			}
			expected, at = append(expected, w), append(at, e.Segment)
		}
	}
	last := min(int(slices.Max(expected)), len(shown)-1)
	var source [][]byte
	b.framesUpTo(shown[last]+4, path, src.Video, func(_ int, picture *image.Gray) { source = append(source, small(picture, picture.Rect)) })
	wrong, compared := 0, 0
	count := b.frames(reel, 0, func(n int, picture *image.Gray) {
		if n >= len(expected) || expected[n] < 0 {
			return
		}
		w := shown[min(int(expected[n]), len(shown)-1)]
		if w >= len(source) {
			b.t.Fatalf("the film has %d frames, want frame %d of it", len(source), w)
		}
		got := small(picture, place(at[n].Fit, at[n].House))
		best, least := -1, 0
		for i := max(w-3, 0); i <= min(w+3, len(source)-1); i++ {
			if d := distance(got, source[i]); best < 0 || d < least {
				best, least = i, d
			}
		}
		compared++
		// Frames that look alike tell nothing: a still picture, a slow pan.
		if d := distance(got, source[w]); best != w && d > least+least/4+len(got)/4 {
			if wrong++; wrong < 5 {
				b.t.Errorf("reel frame %d is most like source frame %d (%d), want %d (%d)", n, best, least, w, d)
			}
		}
	})
	if count != len(expected) || compared == 0 {
		b.t.Errorf("the reel has %d frames, want %d; %d compared", count, len(expected), compared)
	}
}

// shown is, for each frame of the film's nominal rate, which decoded picture is on then.
func (b *bench) shown(path string, src plan.Source) []int {
	b.t.Helper()
	if !src.Variable && !src.Gaps {
		shown := make([]int, src.Frames)
		for i := range shown {
			shown[i] = i
		}
		return shown
	}
	report, err := b.maker.Tool.Probe(context.Background(), path)
	if err != nil {
		b.t.Fatal(err)
	}
	var num, den int64
	for _, s := range report.Streams {
		if s.Index == src.Video {
			if _, err := fmt.Sscanf(s.TimeBase, "%d/%d", &num, &den); err != nil {
				b.t.Fatal(err)
			}
		}
	}
	var times []tags.Time
	for _, p := range report.Packets {
		if p.Stream == src.Video && p.Flags[len(p.Flags)-1] != 'D' && p.Flags[1] != 'D' {
			times = append(times, tags.Time(*p.PTS*int64(tags.Second)/den*num))
		}
	}
	slices.Sort(times)
	shown := make([]int, src.Frames)
	grace := tags.Millisecond / 100
	if src.Gaps {
		grace = src.Rate.Duration(1) / 4
	}
	for n := range shown {
		now := times[0] + src.Rate.Duration(tags.Frame(n))
		for i, t := range times {
			if t <= now+grace {
				shown[n] = i
			}
		}
	}
	return shown
}

// small is the upper half of the picture in r, as 16×8 means: coding and scaling leave
// it as it is, and labels stand below it.
func small(picture *image.Gray, r image.Rectangle) []byte {
	const columns, rows = 32, 16
	r.Max.Y = r.Min.Y + r.Dy()/2
	means := make([]byte, 0, columns*rows)
	for y := range rows {
		for x := range columns {
			left, right := r.Min.X+x*r.Dx()/columns, r.Min.X+(x+1)*r.Dx()/columns
			sum, n := 0, 0
			for py := r.Min.Y + y*r.Dy()/rows; py < r.Min.Y+(y+1)*r.Dy()/rows; py++ {
				for _, shade := range picture.Pix[picture.PixOffset(left, py):picture.PixOffset(right, py)] {
					sum += int(shade)
				}
				n += right - left
			}
			means = append(means, byte(sum/max(n, 1)))
		}
	}
	return means
}

func distance(a, b []byte) int {
	sum := 0
	for i := range a {
		sum += max(int(a[i])-int(b[i]), int(b[i])-int(a[i]))
	}
	return sum
}

// Film that probes clean and cannot be decoded fails the reel and leaves none.
func TestRealDamagedFilm(t *testing.T) {
	path := filepath.Join(realfilm.Folder(t), "corrupted.mp4")
	b := newBench(t)
	p := b.plan(b.season(map[string]string{"endzone": path}, "  - {play: 1, in: f0, out: f50}\n"), nil)
	out := filepath.Join(b.dir, "reel.mp4")
	_, err := b.maker.Make(context.Background(), p, out, false, func(render.Event) {})
	var failed *ffmpeg.Error
	if !errors.As(err, &failed) || failed.Again || failed.Stderr == "" {
		t.Errorf("error %v, want what ffmpeg said, and no second try", err)
	}
	if _, err := os.Stat(out); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a reel was left (%v)", err)
	}
}
