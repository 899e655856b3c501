package render_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"trenchcut/pipeline/internal/brief"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
)

// remux writes a film anew without coding it, with the arguments given before its name.
func (b *bench) remux(from, name string, args ...string) string {
	b.t.Helper()
	path := filepath.Join(b.dir, name)
	all := append(append([]string{"-i", "file:" + from, "-map", "0", "-c", "copy"}, args...), "file:"+path)
	if err := b.maker.Tool.Run(context.Background(), all, nil, nil); err != nil {
		b.t.Fatal(err)
	}
	return path
}

// Film with damage inside a span fails that clip, and says of which film, where, and what
// the decoder said, in one line. Clips before and behind the damage are right.
func TestDamageInsideTheSpan(t *testing.T) {
	for name, c := range map[string]struct {
		suffix string
		bsf    string
	}{
		// Of the packets that are dropped, two are pictures that others are made from.
		"dropped":       {"mp4", "noise=drop='between(n,300,305)'"},
		"dropped in ts": {"ts", "noise=drop='between(n,300,305)'"},
		"changed":       {"mkv", "noise=amount='3*between(n,300,305)'"},
	} {
		t.Run(name, func(t *testing.T) {
			brief.Only(t, name == "dropped in ts")
			t.Parallel()
			b := sharing(t)
			whole := b.film(footage{name: "whole.mp4", width: 320, height: 180, rate: rate2997, frames: 600, mux: []string{"-g", "60"}})
			path := b.remux(whole, "film."+c.suffix, "-bsf:v", c.bsf)
			season := b.season(map[string]string{"endzone": path},
				"  - {play: 1, in: f70, out: f110}\n  - {play: 2, in: f250, out: f290}\n  - {play: 3, in: f290, out: f330}\n  - {play: 4, in: f370, out: f410}\n")
			p := b.plan(season, nil)
			b.maker.KeepGoing = true
			out := filepath.Join(b.dir, "reel.mp4")
			_, err := b.maker.Make(context.Background(), p, out, false, func(render.Event) {})
			var failed *render.FailedError
			var damaged *render.DamagedError
			if !errors.As(err, &failed) || !slices.Equal(failed.Entries, []int{3}) || !errors.As(err, &damaged) {
				t.Fatalf("error %v, want that play 3 is damaged and no other", err)
			}
			if n := rate2997.FrameAt(damaged.At); damaged.Film != path || n < 295 || n > 320 || damaged.Said == "" || strings.Contains(err.Error(), "\n") {
				t.Errorf("damage of %s at frame %d, want of %s near frame 300: %v", damaged.Film, n, path, err)
			}
			if _, err := os.Stat(out); !errors.Is(err, os.ErrNotExist) {
				t.Errorf("a reel was left (%v)", err)
			}
			p = b.plan(b.season(map[string]string{"endzone": path},
				"  - {play: 1, in: f70, out: f110}\n  - {play: 2, in: f250, out: f290}\n  - {play: 4, in: f370, out: f410}\n"), nil)
			reel, _ := b.make(p, "rest.mp4")
			b.checkFrames(p, reel)
		})
	}
}

// Broken sound does not refuse good pictures: it is silence, and that is told.
func TestBrokenSound(t *testing.T) {
	for name, mux := range map[string][]string{
		"some of it broken": {"-bsf:a", "noise=amount='2*between(n,130,200)'"},
		"all of it broken":  {"-bsf:a", "noise=amount=-2"},
		"none of it there":  {"-bsf:a", "noise=drop=1"},
	} {
		for _, suffix := range []string{"mp4", "ts"} {
			t.Run(name+" in "+suffix, func(t *testing.T) {
				brief.Only(t, name == "none of it there" && suffix == "ts")
				t.Parallel()
				b := sharing(t)
				whole := b.film(footage{name: "whole.mp4", width: 320, height: 180, rate: rate2997, frames: 300, sound: true, mux: []string{"-g", "60"}})
				path := b.remux(whole, "film."+suffix, mux...)
				p := b.plan(b.season(map[string]string{"endzone": path}, "  - {play: 1, in: f70, out: f130}\n  - {play: 2, in: f200, out: f240}\n"), nil)
				told := b.listen()
				reel, _ := b.make(p, "reel.mp4")
				b.checkFrames(p, reel)
				notes, err := b.library.Notes(context.Background(), path)
				if err != nil {
					t.Fatal(err)
				}
				said := strings.Join(notes, "\n") + told.text.String()
				if !strings.Contains(said, "silence") {
					t.Errorf("nobody is told that the sound is broken: %s", said)
				}
			})
		}
	}
}

// Sound Opus is not told to be broken where a clip goes on to its end, as ffmpeg 8.0 says there.
func TestOpusToItsEnd(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	path := b.film(footage{name: "film.mkv", width: 320, height: 180, rate: rate2997, frames: 120, sound: true, mux: []string{"-c:a", "libopus"}})
	p := b.plan(b.season(map[string]string{"endzone": path}, "  - {play: 1, in: f20, out: f60}\n  - {play: 2, in: f80, out: f120}\n"), nil)
	told := b.listen()
	reel, _ := b.make(p, "reel.mp4")
	b.checkFrames(p, reel)
	if said := told.text.String(); strings.Contains(said, "silence") {
		t.Errorf("sound film is said to be broken: %s", said)
	}
	if _, err := b.maker.Quick(context.Background(), p, filepath.Join(b.dir, "quick.mp4"), false, func(render.Event) {}); err != nil {
		t.Errorf("a quick look: %v", err)
	}
}

// Where the film must be opened much earlier than its first packets tell, it is: in MPEG-TS
// whose short groups of pictures later become long ones, each clip shows its own frames.
func TestGroupsThatGrow(t *testing.T) {
	for _, suffix := range []string{"ts", "mts"} {
		t.Run(suffix, func(t *testing.T) {
			brief.Only(t, false)
			t.Parallel()
			b := sharing(t)
			// Key pictures every 15 frames at first, every 250 from frame 1,500 on.
			path := b.film(footage{name: "film." + suffix, width: 320, height: 180, rate: rate2997, frames: 2300, sound: true, mux: []string{
				"-force_key_frames", "expr:if(lt(n,1500),not(mod(n,15)),not(mod(n,250)))", "-g", "250", "-keyint_min", "15",
			}})
			var text strings.Builder
			for i, in := range []int{100, 1480, 1560, 1640, 1735, 1749, 1750, 1990, 2200} {
				fmt.Fprintf(&text, "  - {play: %d, in: f%d, out: f%d}\n", i+1, in, in+30)
			}
			p := b.plan(b.season(map[string]string{"endzone": path}, text.String()), nil)
			reel, _ := b.make(p, "reel.mp4")
			b.checkFrames(p, reel)
		})
	}
}

// A witness of film that is opened too late says so, and one that is opened early enough
// does not.
func TestWitnessOfLateness(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	path := b.film(footage{name: "film.ts", width: 320, height: 180, rate: rate2997, frames: 400, mux: []string{"-force_key_frames", "expr:lt(n,30)+eq(n,250)", "-g", "250", "-keyint_min", "1"}})
	p := b.plan(b.season(map[string]string{"endzone": path}, "  - {play: 1, in: f200, out: f210}\n"), nil)
	s := p.Entries[1].Segment
	src := *s.Source
	src.Preroll = 0
	s.Source = &src
	for earlier, late := range map[tags.Time]bool{0: true, 10 * tags.Second: false} {
		w, err := b.maker.Tool.Testify(context.Background(), s, path, earlier, filepath.Join(b.dir, "hash"))
		if err != nil {
			t.Fatal(err)
		}
		if w.Late() != late {
			t.Errorf("opened %s earlier it is late: %v", earlier, w.Late())
		}
	}
}

// Film of constant rate from which pictures are missing is numbered on its grid, and the
// picture before stays for those that are missing.
func TestGaps(t *testing.T) {
	for _, c := range []struct {
		name string
		rate tags.Rate
		lost []tags.Frame
	}{
		{"lost.mkv", rate2997, []tags.Frame{25}},
		{"lost.ts", rate5994, []tags.Frame{25}},
		{"lost.mkv", rate5994, []tags.Frame{25, 77, 78, 79, 190}},
		{"lost.mp4", rate25, []tags.Frame{25, 100, 101}},
	} {
		t.Run(c.name+" "+strings.ReplaceAll(c.rate.String(), "/", "-"), func(t *testing.T) {
			brief.Only(t, c.name == "lost.mkv" && c.rate == rate2997)
			t.Parallel()
			b := sharing(t)
			var terms []string
			for _, n := range c.lost {
				terms = append(terms, fmt.Sprintf("eq(n,%d)", n))
			}
			path := b.film(footage{name: c.name, width: 320, height: 180, rate: c.rate, frames: 220, sound: true, mux: []string{
				"-vf", "select='not(" + strings.Join(terms, "+") + ")'", "-fps_mode", "passthrough",
			}})
			p := b.plan(b.season(map[string]string{"endzone": path}, "  - {play: 1, in: f10, out: f115}\n  - {play: 2, in: f25, out: f40}\n  - {play: 3, in: f79, out: f90}\n  - {play: 4, in: f180, out: f220}\n"), nil)
			src := p.Entries[1].Segment.Source
			if src.Rate != c.rate || src.Variable || !src.Gaps || src.Frames != 220 {
				t.Errorf("%d frames at %s, variable %v, gaps %v; want 220 at %s with gaps", src.Frames, src.Rate, src.Variable, src.Gaps, c.rate)
			}
			told := b.listen()
			reel, _ := b.make(p, "reel.mp4")
			b.checkNumbers(p, reel, func(n tags.Frame) tags.Frame {
				for slices.Contains(c.lost, n) {
					n--
				}
				return n
			})
			b.checkGaps(told, p, path, c.lost)
			for _, name := range []string{"again.mp4", "again.mp4"} { // from the cache; then unchanged
				again := b.listen()
				if _, report := b.make(p, name); report.Rendered != 0 {
					t.Errorf("%d segments were rendered again", report.Rendered)
				}
				if !maps.Equal(again.gaps(t, path), told.gaps(t, path)) {
					t.Errorf("told again of %v, at first of %v", again.gaps(t, path), told.gaps(t, path))
				}
			}
		})
	}
}

// gaps is how many pictures were told to be missing from the film at path, by when.
func (l *told) gaps(t testing.TB, path string) map[string]tags.Frame {
	t.Helper()
	got := map[string]tags.Frame{}
	for line := range strings.Lines(l.text.String()) {
		var r struct {
			Msg, Film, At string
			Frames        tags.Frame
		}
		if err := json.Unmarshal([]byte(line), &r); err != nil {
			t.Fatal(err)
		}
		if r.Msg == "pictures missing" && r.Film == filepath.Base(path) {
			got[r.At] = r.Frames
		}
	}
	return got
}

// checkGaps holds what was told of gaps, and what decoding the spans of p finds, to the frames
// that a film lacks.
func (b *bench) checkGaps(told *told, p *plan.Plan, path string, lost []tags.Frame) {
	b.t.Helper()
	var spans []tags.Span
	want := map[string]tags.Frame{} // how many frames, by when
	src := b.films[path]
	for _, e := range p.Entries {
		s := e.Segment
		if s.Kind != plan.Film {
			continue
		}
		spans = append(spans, s.Span)
		for _, n := range lost {
			if n >= s.Span.In && n < s.Span.Out {
				first := n
				for slices.Contains(lost, first-1) {
					first--
				}
				last := n
				for slices.Contains(lost, last+1) {
					last++
				}
				want[src.Clock().At(first).String()] = last - first + 1
			}
		}
	}
	got := told.gaps(b.t, path)
	if !maps.Equal(got, want) {
		b.t.Errorf("told of gaps %v, want %v", got, want)
	}
	found, err := b.library.Decode(context.Background(), map[string][]tags.Span{path: spans}, 1, nil)
	if err != nil {
		b.t.Fatal(err)
	}
	decoded := map[string]tags.Frame{}
	for _, d := range found {
		decoded[d.At.String()] = d.Gap // 0 where it is damage
	}
	if !maps.Equal(decoded, want) {
		b.t.Errorf("decoded, gaps are %v, want %v", decoded, want)
	}
}

// MPEG program streams, in which only some pictures have a time, are cut like any film, and
// their sound with them.
func TestProgramStream(t *testing.T) {
	brief.Only(t, false)
	t.Parallel()
	b := sharing(t)
	path := b.film(footage{name: "film.vob", width: 320, height: 180, rate: rate2997, frames: 600, sound: true, mux: []string{
		"-c:v", "mpeg2video", "-b:v", "3M", "-g", "15", "-bf", "2", "-c:a", "ac3", "-f", "dvd",
	}})
	var text strings.Builder
	for i, in := range []int{0, 171, 331, 361, 560} {
		fmt.Fprintf(&text, "  - {play: %d, in: f%d, out: f%d}\n", i+1, in, in+40)
	}
	p := b.plan(b.season(map[string]string{"endzone": path}, text.String()), nil)
	told := b.listen()
	reel, _ := b.make(p, "reel.mp4")
	b.checkWhole(p, reel, told.text.String())
}
