package render_test

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/internal/brief"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// plays writes n plays of random length at random places on a film of the given number
// of frames, as frame numbers, on each angle.
func plays(seed uint64, n int, frames tags.Frame, angles ...string) string {
	r := rand.New(rand.NewPCG(seed, 0))
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "  - play: %d\n    angles:\n", i+1)
		for _, a := range angles {
			length := tags.Frame(5 + r.IntN(40))
			in := tags.Frame(r.Int64N(int64(frames - length)))
			switch i { // both ends of the film, too
			case 0:
				in = 0
			case 1:
				in = frames - length
			}
			fmt.Fprintf(&b, "      %s: {in: f%d, out: f%d}\n", a, in, in+length)
		}
	}
	return b.String()
}

func TestEveryFrame(t *testing.T) {
	for _, rate := range []tags.Rate{rate2997, rate25, rate5994} {
		t.Run(strings.ReplaceAll(rate.String(), "/", "-"), func(t *testing.T) {
			brief.Only(t, rate == rate2997)
			t.Parallel()
			b := sharing(t)
			path := b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate, frames: 700, sound: true})
			p := b.plan(b.season(map[string]string{"endzone": path}, plays(1, fewer(16, 6), 700, "endzone")), nil)
			if p.House.Rate != rate {
				t.Fatalf("house rate %s, want %s", p.House.Rate, rate)
			}
			reel, _ := b.make(p, "reel.mp4")
			b.checkFrames(p, reel)
		})
	}
}

// Films of other containers, sizes and rates, one of them without sound, in one reel.
func TestMixedFilms(t *testing.T) {
	t.Parallel()
	b := sharing(t)
	films := map[string]string{
		"endzone":  b.film(footage{name: "end.mkv", width: 320, height: 240, rate: rate2997, frames: 400, sound: true}),
		"sideline": b.film(footage{name: "side.avi", width: 256, height: 144, rate: rate25, frames: 400, mux: []string{"-c:v", "mjpeg", "-bf", "0", "-q:v", "3", "-pix_fmt", "yuvj420p"}}),
		"tower":    b.film(footage{name: "tower.ts", width: 320, height: 180, rate: rate5994, frames: 800, sound: true}),
	}
	p := b.plan(b.season(films, plays(2, fewer(8, 3), 400, "endzone", "sideline", "tower")), nil)
	if got, want := p.House, (plan.House{Width: 640, Height: 360, Rate: rate5994}); got != want {
		t.Fatalf("house %+v, want %+v", got, want)
	}
	reel, _ := b.make(p, "reel.mp4")
	b.checkFrames(p, reel)
}

// The chirps of the film stand where the plan puts them, at the first clip as at the
// hundredth. The clips are ten, over and over, and without labels, so that each is
// rendered once: what a join would add up, it adds up all the same.
func TestSoundAtClip100(t *testing.T) {
	t.Parallel()
	b := sharing(t)
	path := b.film(footage{name: "film.mp4", width: 160, height: 90, rate: rate2997, frames: 1500, sound: true})
	r := rand.New(rand.NewPCG(3, 0))
	var spans [10]tags.Span
	for i := range spans {
		in := tags.Frame(r.IntN(1460))
		spans[i] = tags.Span{In: in, Out: in + 33 + tags.Frame(r.IntN(6))}
	}
	var text strings.Builder
	for i := range 100 {
		s := spans[i%len(spans)]
		fmt.Fprintf(&text, "  - {play: %d, in: f%d, out: f%d}\n", i+1, s.In, s.Out)
	}
	p := b.plan(b.season(map[string]string{"endzone": path}, text.String()), func(r *plan.Recipe) { r.Label = []plan.Field{} })
	reel, _ := b.make(p, "reel.mp4")
	heard := b.sound(reel)

	var start tags.Frame
	clip := 0
	for _, e := range p.Entries {
		s := e.Segment
		if s.Kind == plan.Film {
			clip++
			if clip == 1 || clip == 50 || clip == 100 {
				offset := chirpOffset(heard, p.House.Rate.Duration(start), rate2997.Duration(s.Span.In), rate2997.Duration(s.Span.Out))
				t.Logf("clip %d: sound is %.3f ms late", clip, offset)
				if math.Abs(offset) > 1 {
					t.Errorf("clip %d: sound is %.3f ms late, want within 1 ms", clip, offset)
				}
			}
		}
		start += s.Frames()
	}
	if clip != 100 {
		t.Fatalf("%d clips, want 100", clip)
	}
	if got, want := len(heard), plan.SamplesAt(p.House.Rate, p.Frames()); math.Abs(float64(int64(got)-want)) > 1024 {
		t.Errorf("the sound is %d samples long, want %d give or take one AAC frame", got, want)
	}
}

// chirpOffset is how many milliseconds late the chirp of the first whole second of film
// after in is heard in a clip that starts at start in the reel.
func chirpOffset(heard []int16, start, in, out tags.Time) float64 {
	const rate, length, reach = 48_000, 960, 2400
	second := (in/tags.Second + 1) * tags.Second
	if in%tags.Second == 0 {
		second = in
	}
	if second+tags.Second/50 > out {
		return math.Inf(1) // the clip holds no whole chirp, and proves nothing
	}
	at := int(math.Round((start + second - in).Seconds() * rate))
	best, bestLag := 0.0, 0
	for lag := -reach; lag <= reach; lag++ {
		sum := 0.0
		for i := range length {
			if j := at + lag + i; j >= 0 && j < len(heard) {
				u := float64(i) / rate
				sum += float64(heard[j]) * math.Sin(2*math.Pi*(500*u+137_500*u*u))
			}
		}
		if sum > best {
			best, bestLag = sum, lag
		}
	}
	if best == 0 {
		return math.Inf(1)
	}
	return float64(bestLag) * 1000 / rate
}

// Chapters, as ffmpeg reads them, cover the reel without gaps, and are as long as its
// frames and its duration.
func TestChapters(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	path := b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate2997, frames: 300, sound: true})
	p := b.plan(b.season(map[string]string{"endzone": path}, plays(4, 7, 300, "endzone")), func(r *plan.Recipe) { r.Title = "A; b=c #1" })
	reel, _ := b.make(p, "reel.mp4")

	text := filepath.Join(b.dir, "metadata")
	if err := b.maker.Tool.Run(context.Background(), []string{"-i", "file:" + reel, "-f", "ffmetadata", "file:" + text}, nil, nil); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(text)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(data, []byte(`title=A\; b\=c \#1`)) {
		t.Errorf("no title in %s", data)
	}
	var starts, ends []int64
	base := int64(1)
	for line := range strings.Lines(string(data)) {
		var n int64
		if _, err := fmt.Sscanf(line, "TIMEBASE=1/%d", &n); err == nil {
			base = n // a thousand, or from 9 on what the movie counts in
		}
		if _, err := fmt.Sscanf(line, "START=%d", &n); err == nil {
			starts = append(starts, n*1000/base)
		}
		if _, err := fmt.Sscanf(line, "END=%d", &n); err == nil {
			ends = append(ends, n*1000/base)
		}
	}
	chapters := p.Chapters()
	if len(starts) != len(p.Entries) || len(ends) != len(p.Entries) {
		t.Fatalf("%d chapters, want %d:\n%s", len(starts), len(p.Entries), data)
	}
	// MP4 chapters are kept to the millisecond here.
	var n tags.Frame
	for i, e := range p.Entries {
		title := strings.NewReplacer("=", `\=`, ";", `\;`, "#", `\#`).Replace(chapters[i].Title)
		if !strings.Contains(string(data), "title="+title+"\n") {
			t.Errorf("no chapter is named %q:\n%s", title, data)
		}
		wantStart := p.House.Rate.Duration(n).Seconds() * 1000
		n += e.Segment.Frames()
		wantEnd := p.House.Rate.Duration(n).Seconds() * 1000
		if math.Abs(float64(starts[i])-wantStart) > 1 || math.Abs(float64(ends[i])-wantEnd) > 1 {
			t.Errorf("chapter %q is %d–%d ms, want %.1f–%.1f", e.Chapter, starts[i], ends[i], wantStart, wantEnd)
		}
		if i > 0 && starts[i] != ends[i-1] {
			t.Errorf("chapter %q starts at %d, but the one before ends at %d", e.Chapter, starts[i], ends[i-1])
		}
	}
	report, err := b.maker.Tool.Probe(context.Background(), reel)
	if err != nil {
		t.Fatal(err)
	}
	var duration float64
	if _, err := fmt.Sscanf(report.Format.Duration, "%f", &duration); err != nil {
		t.Fatal(err)
	}
	if want := p.House.Rate.Duration(p.Frames()).Seconds(); math.Abs(duration-want) > 0.025 {
		t.Errorf("the reel is %.3f s long, want %.3f", duration, want)
	}
	if len(report.Streams) < 2 || report.Streams[0].Codec != "h264" || report.Streams[1].Codec != "aac" {
		t.Errorf("streams %+v, want h264 then aac", report.Streams)
	}
	head, err := os.ReadFile(reel)
	if err != nil {
		t.Fatal(err)
	}
	if moov, mdat := bytes.Index(head, []byte("moov")), bytes.Index(head, []byte("mdat")); moov < 0 || moov > mdat {
		t.Error("the index does not stand before the pictures")
	}
}

// A picture's time in the reel is its number times the frame's length, to the tick.
func TestTimestampsAreExact(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	path := b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate2997, frames: 300})
	p := b.plan(b.season(map[string]string{"endzone": path}, "  - {play: 1, in: f0, out: f101}\n  - {play: 2, in: f200, out: f300}\n  - {play: 3, in: f7, out: f14}\n  - {play: 4, in: f20, out: f260}\n"), nil)
	reel, _ := b.make(p, "reel.mp4")
	report, err := b.maker.Tool.Probe(context.Background(), reel)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[int64]bool{}
	for _, packet := range report.Packets {
		if packet.Stream == 0 {
			if packet.PTS == nil || *packet.PTS%1001 != 0 {
				t.Fatalf("a picture at %v/30000 s, which is no whole frame", packet.PTS)
			}
			seen[*packet.PTS/1001] = true
		}
	}
	if report.Streams[0].TimeBase != "1/30000" || len(seen) < 400 {
		t.Fatalf("time base %s, %d pictures read", report.Streams[0].TimeBase, len(seen))
	}
	for n := range int64(400) {
		if !seen[n] {
			t.Fatalf("no picture at frame %d", n)
		}
	}
}

func TestSecondRunRendersNothing(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	path := b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate2997, frames: 300, sound: true})
	season := b.season(map[string]string{"endzone": path}, plays(6, 4, 300, "endzone"))
	p := b.plan(season, nil)
	told := b.listen()
	before := b.estimate(p)
	reel, first := b.make(p, "reel.mp4")
	if first.Rendered != 6 || first.Unchanged {
		t.Fatalf("first run: %+v, want 6 rendered", first)
	}
	told.want(t, "segment film 4", "segment words 2", "join 1")
	if before.Kept != 0 || before.Frames != p.Frames() {
		t.Errorf("estimate %+v of what nothing was known of", before)
	}
	b.checkEstimate(before, reel, 20)
	known := b.estimate(p)
	if known.Kept != 6 {
		t.Errorf("estimate %+v, want that all is weighed", known)
	}
	b.checkEstimate(known, reel, 3) // the sound is yet to be coded
	if _, again := b.make(p, "reel.mp4"); !again.Unchanged || again.Rendered != 0 {
		t.Errorf("second run: %+v, want it unchanged", again)
	}
	told.want(t, "unchanged 1")
	// A damaged reel may be somebody's film by the same name; told to, we join it anew, from
	// segments that are there.
	whole, err := os.ReadFile(reel)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(reel, whole[:len(whole)/2], 0o666); err != nil {
		t.Fatal(err)
	}
	if _, err := b.maker.Make(context.Background(), p, reel, false, func(render.Event) {}); !notOurs(err) {
		t.Errorf("after damage: error %v, want that the file is not ours", err)
	}
	if again, err := b.maker.Make(context.Background(), p, reel, true, func(render.Event) {}); err != nil || again.Unchanged || again.Rendered != 0 {
		t.Errorf("after damage, forced: %+v (%v), want a join and nothing rendered", again, err)
	}
	if mended, err := os.ReadFile(reel); err != nil || !bytes.Equal(mended, whole) {
		t.Errorf("the reel made again is not the same bytes (%v)", err)
	}
	// Stopped between reel and manifest, the next run finds both.
	manifest := render.ManifestPath(reel)
	waiting, err := files.Spare(manifest, "manifest")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(manifest, waiting); err != nil {
		t.Fatal(err)
	}
	if _, again := b.make(p, "reel.mp4"); !again.Unchanged {
		t.Errorf("with the manifest not yet in place: %+v, want it unchanged", again)
	}
	if _, err := os.Stat(manifest); err != nil {
		t.Error(err)
	}
	// A damaged segment is made anew.
	segments, err := filepath.Glob(filepath.Join(b.maker.Store.Root, "*", "*.mov"))
	if err != nil || len(segments) != 6 {
		t.Fatalf("%d segments in the store (%v), want 6", len(segments), err)
	}
	clip, err := p.Entries[1].Segment.Key(b.maker.Toolchain)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(filepath.Join(b.maker.Store.Root, string(clip[:2]), string(clip)+".mov"), 1000); err != nil {
		t.Fatal(err)
	}
	if _, again := b.make(p, "other.mp4"); again.Rendered != 1 {
		t.Errorf("after a segment was damaged: %+v, want 1 rendered", again)
	}
	// Another order needs no new clip, only slates stay as they are, too.
	told.want(t, "segment the cache 11", "segment film 1", "join 2", "unchanged 1")
	if _, muted := b.make(b.plan(season, func(r *plan.Recipe) { r.Mute = true }), "mute.mp4"); muted.Rendered != 0 {
		t.Errorf("muted: %+v, want nothing rendered", muted)
	}
}

// Two machines with the same ffmpeg make the same bytes.
func TestSameBytes(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	path := b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate2997, frames: 300, sound: true})
	p := b.plan(b.season(map[string]string{"endzone": path}, plays(7, 4, 300, "endzone")), nil)
	one, _ := b.make(p, "one.mp4")
	b.maker.Store.Root += "-other"
	other, report := b.make(p, "other.mp4")
	if report.Rendered != 6 {
		t.Fatalf("%+v, want 6 rendered", report)
	}
	x, errX := os.ReadFile(one)
	y, errY := os.ReadFile(other)
	if errX != nil || errY != nil || !bytes.Equal(x, y) {
		t.Errorf("%d and %d bytes differ (%v, %v)", len(x), len(y), errX, errY)
	}
}

// Stopped in the middle, a reel leaves nothing behind but finished segments, and the
// next run goes on from these.
func TestStop(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	path := b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate2997, frames: 900, sound: true})
	p := b.plan(b.season(map[string]string{"endzone": path}, plays(8, 12, 900, "endzone")), nil)
	ctx, stop := context.WithCancel(context.Background())
	out := filepath.Join(b.dir, "reel.mp4")
	before := p.Frames() * 3 / 4 // the two slates, first and side by side, are half of it
	_, err := b.maker.Make(ctx, p, out, false, func(e render.Event) {
		if e.Done > before {
			stop()
		}
	})
	if !errors.Is(err, context.Canceled) {
		t.Fatalf("error %v, want that it was stopped", err)
	}
	for _, pattern := range []string{"*.mp4", "*.json", ".trenchcut-*", "cache/segments/work/*"} {
		left, err := filepath.Glob(filepath.Join(b.dir, pattern))
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range left {
			if file != path {
				t.Errorf("%s was left behind", file)
			}
		}
	}
	_, report := b.make(p, "reel.mp4")
	if report.Rendered == 0 || report.Rendered >= report.Segments {
		t.Errorf("after the stop: %+v, want some rendered, not all", report)
	}
	b.checkFrames(p, out)
}

// A file that is no reel of ours is not replaced unless asked.
func TestForeignFileIsKept(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	path := b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate2997, frames: 100})
	p := b.plan(b.season(map[string]string{"endzone": path}, plays(9, 2, 100, "endzone")), nil)
	out := filepath.Join(b.dir, "diary.mp4")
	if err := os.WriteFile(out, []byte("dear diary"), 0o666); err != nil {
		t.Fatal(err)
	}
	if _, err := b.maker.Make(context.Background(), p, out, false, func(render.Event) {}); !notOurs(err) {
		t.Errorf("error %v, want that the file is not ours", err)
	}
	if data, _ := os.ReadFile(out); string(data) != "dear diary" {
		t.Errorf("the file holds %q now", data)
	}
	if _, err := b.maker.Make(context.Background(), p, out, true, func(render.Event) {}); err != nil {
		t.Errorf("forced: %v", err)
	}
	// Nor where the manifest of a reel that was there before lies beside it, nor is a file
	// with the name of a manifest.
	if err := os.WriteFile(out, []byte("dear diary"), 0o666); err != nil {
		t.Fatal(err)
	}
	notes := filepath.Join(b.dir, "notes.mp4")
	if err := os.WriteFile(render.ManifestPath(notes), []byte("dear diary"), 0o666); err != nil {
		t.Fatal(err)
	}
	for _, out := range []string{out, notes} {
		if _, err := b.maker.Make(context.Background(), p, out, false, func(render.Event) {}); !notOurs(err) {
			t.Errorf("%s: error %v, want that the file is not ours", out, err)
		}
	}
	for _, file := range []string{out, render.ManifestPath(notes)} {
		if data, _ := os.ReadFile(file); string(data) != "dear diary" {
			t.Errorf("%s holds %q now", file, data)
		}
	}
}

// memory is where in memory the part of ffmpeg lies that says something, and what it writes,
// which by hand is nothing.
var memory = regexp.MustCompile(`(/(mov|null))? @ 0x[0-9a-f]+`)

// Film that ends before its own tables say so is an error, and leaves no reel.
func TestDamagedFilm(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	path := b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate2997, frames: 600, mux: []string{"-movflags", "+faststart"}})
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	season := b.season(map[string]string{"endzone": path}, "  - {play: 1, in: f500, out: f560}\n")
	p := b.plan(season, nil)
	// The end is cut off behind the probe's back.
	if err := os.Truncate(path, info.Size()*6/10); err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(b.dir, "reel.mp4")
	_, err = b.maker.Make(context.Background(), p, out, false, func(render.Event) {})
	if err == nil || !strings.Contains(err.Error(), "wk1-test-p001 endzone") {
		t.Errorf("error %v, want one that names the clip", err)
	}
	var damaged *render.DamagedError
	if !errors.As(err, &damaged) || damaged.Film != path || damaged.At > rate2997.Duration(560) || strings.Contains(err.Error(), "\n") {
		t.Errorf("error %v, want one line that names the film and a time in it", err)
	}
	// The command that it carries to repeat it by hand runs, though all that was drawn is
	// gone, and fails of the same.
	var run *ffmpeg.Error
	if !errors.As(err, &run) || run.ByHand == "" {
		t.Fatalf("error %v, want one that tells how to repeat it", err)
	}
	if bash, errBash := exec.LookPath("bash"); errBash == nil {
		said, _ := exec.Command(bash, "-c", run.ByHand).CombinedOutput()
		lines := func(said string) []string { // 4.4 says the last once more for each drawn picture
			return slices.Compact(strings.Split(memory.ReplaceAllString(said, ""), "\n"))
		}
		if !slices.Equal(lines(string(said)), lines(run.Stderr)) {
			t.Errorf("by hand ffmpeg says %q, said %q", said, run.Stderr)
		}
	}
	if _, err := os.Stat(out); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a reel was left (%v)", err)
	}
}

// Film by any name is cut, and no name means anything to ffmpeg.
func TestFileNames(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	path := b.film(footage{name: "plain.mp4", width: 320, height: 180, rate: rate2997, frames: 60})
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	films, angles := map[string]string{}, strings.Builder{}
	for i, name := range []string{
		"two words.mp4", "it's.mp4", `say "hut".mp4`, "12:31.mp4", "100%.mp4", "clip%03d.mp4", "-dash.mp4", `back\slash.mp4`,
		"試合.mp4", "ʻokina.mp4", "semi;colon,comma[x].mp4", "file:odd.mp4", "#1&2$x.mp4",
	} {
		// Each a film of its own, or one fingerprint would stand for all: the box of free
		// space at the end is skipped by readers.
		free := append([]byte{0, 0, 0, 9, 'f', 'r', 'e', 'e'}, byte(i))
		path := filepath.Join(b.dir, name)
		if err := os.WriteFile(path, append(bytes.Clone(data), free...), 0o666); err != nil {
			t.Fatal(err)
		}
		angle := fmt.Sprintf("camera%d", i)
		films[angle] = path
		fmt.Fprintf(&angles, "      %s: {in: f10, out: f20}\n", angle)
	}
	p := b.plan(b.season(films, "  - play: 1\n    angles:\n"+angles.String()), nil)
	reel, report := b.make(p, "reel.mp4")
	if want := len(films) + 2; report.Rendered != want {
		t.Errorf("%d segments were rendered, want %d", report.Rendered, want)
	}
	b.checkFrames(p, reel)
}

// Film whose groups of pictures are open is sound, though decoders that start amid it miss
// pictures and say so.
func TestOpenGroups(t *testing.T) {
	for _, name := range []string{"open.mp4", "open.mts"} {
		t.Run(name, func(t *testing.T) {
			brief.Only(t, name == "open.mts")
			t.Parallel()
			b := sharing(t)
			path := b.film(footage{name: name, width: 320, height: 180, rate: rate2997, frames: 700, sound: true, mux: []string{
				"-preset", "medium", "-x264-params", "open-gop=1:keyint=45:min-keyint=45:bframes=3:scenecut=0",
			}})
			p := b.plan(b.season(map[string]string{"endzone": path}, plays(11, fewer(16, 4), 700, "endzone")), nil)
			complaints := 0
			for _, e := range p.Entries {
				if e.Segment.Kind != plan.Film {
					continue
				}
				args, err := ffmpeg.ShownArgs(e.Segment, path, 0, filepath.Join(b.dir, "hash"))
				if err != nil {
					t.Fatal(err)
				}
				if err := b.maker.Tool.Run(context.Background(), args, nil, nil); ffmpeg.Landing(err) {
					complaints++
				} else if err != nil {
					t.Fatal(err)
				}
			}
			if complaints == 0 {
				t.Fatal("no cut of this film makes the decoder complain, so it proves nothing")
			}
			reel, _ := b.make(p, "reel.mp4")
			b.checkFrames(p, reel)
		})
	}
}

// A film that is swapped for another while a reel is made spoils neither the reel nor what
// is kept for later ones.
func TestSwappedFilm(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	path := b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate2997, frames: 100})
	other := b.film(footage{name: "other.mp4", width: 320, height: 180, rate: rate2997, frames: 100, mux: []string{"-crf", "30"}})
	p := b.plan(b.season(map[string]string{"endzone": path}, "  - {play: 1, in: f10, out: f40}\n"), nil)
	if err := os.Rename(other, path); err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(b.dir, "reel.mp4")
	_, err := b.maker.Make(context.Background(), p, out, false, func(render.Event) {})
	if err == nil || !strings.Contains(err.Error(), "was changed") {
		t.Errorf("error %v, want that the film was changed", err)
	}
	if _, err := os.Stat(out); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a reel was left (%v)", err)
	}
	for _, e := range p.Entries {
		key, err := e.Segment.Key(b.maker.Toolchain)
		if err != nil {
			t.Fatal(err)
		}
		if have, err := b.maker.Store.Lookup(context.Background(), key, e.Segment); have && e.Segment.Kind == plan.Film || err != nil {
			t.Errorf("%s: kept %v (%v)", e.Chapter, have, err)
		}
	}
}

// A folder that takes no reel is found out before any cutting; a cache by an odd name
// serves; what a killed run left a day ago is cleared away.
func TestFolders(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	path := b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate2997, frames: 100, sound: true})
	p := b.plan(b.season(map[string]string{"endzone": path}, "  - {play: 1, in: f10, out: f40}\n"), nil)
	b.maker.Store.Root = filepath.Join(b.dir, `it's "odd" \ 100%`)
	if _, err := b.maker.Make(context.Background(), p, filepath.Join(b.dir, "none", "reel.mp4"), false, func(render.Event) {}); err == nil {
		t.Error("a reel was made in no folder")
	}
	if _, err := os.Stat(b.maker.Store.Root); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("something was cut before the folder was found missing (%v)", err)
	}
	left := filepath.Join(b.maker.Store.Root, "work", "segment-left")
	if err := os.MkdirAll(left, 0o777); err != nil {
		t.Fatal(err)
	}
	// Not while another run is at work: it may be that one's.
	other, err := content.TryLock(filepath.Join(b.maker.Store.Root, "lock"), false)
	if err != nil {
		t.Fatal(err)
	}
	reel, _ := b.make(p, "reel.mp4")
	b.checkFrames(p, reel)
	if _, err := os.Stat(left); err != nil {
		t.Errorf("another run's work was removed: %v", err)
	}
	other.Unlock()
	b.make(p, "again.mp4")
	if _, err := os.Stat(left); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("what was left behind is still there (%v)", err)
	}
	// Beside the reel what a killed run left goes at once, be it empty or not and the reel
	// unchanged, and what a living run is at work on stays.
	dead, empty, living := filepath.Join(b.dir, ".trenchcut-0-dead.mp4"), filepath.Join(b.dir, ".trenchcut-1-empty.mp4"), filepath.Join(b.dir, ".trenchcut-2-living.mp4")
	for file, data := range map[string]string{dead: "half a reel", empty: "", living: "half a reel"} {
		if err := os.WriteFile(file, []byte(data), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	held, err := content.TryLock(living, true)
	if err != nil {
		t.Fatal(err)
	}
	defer held.Unlock()
	if _, again := b.make(p, "again.mp4"); !again.Unchanged {
		t.Errorf("%+v, want it unchanged", again)
	}
	for file, want := range map[string]bool{dead: false, empty: false, living: true} {
		if _, err := os.Stat(file); (err == nil) != want {
			t.Errorf("%s is there: %v, want %v", filepath.Base(file), err == nil, want)
		}
	}
}

var together = flag.Int("together", 2, "how many runs TestRunsTogether lets work at once")

// Runs at once over one cache make each segment once and all the same reel.
func TestRunsTogether(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	path := b.film(footage{name: "film.mp4", width: 640, height: 360, rate: rate2997, frames: 600, sound: true})
	p := b.plan(b.season(map[string]string{"endzone": path}, plays(31, 8, 600, "endzone")), nil)
	var wait sync.WaitGroup
	out := func(i int) string { return filepath.Join(b.dir, fmt.Sprintf("reel%d.mp4", i)) }
	for i := range *together {
		wait.Go(func() {
			maker := *b.maker
			if _, err := maker.Make(context.Background(), p, out(i), false, func(render.Event) {}); err != nil {
				t.Error(err)
			}
		})
	}
	wait.Wait()
	first, err := os.ReadFile(out(0))
	if err != nil {
		t.Fatal(err)
	}
	for i := range *together {
		if reel, err := os.ReadFile(out(i)); err != nil || !bytes.Equal(reel, first) {
			t.Errorf("reel %d is not the same bytes (%v)", i, err)
		}
	}
	b.checkFrames(p, out(0))
}

// Pruned, the store keeps what was used last, and nothing is pruned while a reel is made.
func TestPrune(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	path := b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate2997, frames: 300})
	p := b.plan(b.season(map[string]string{"endzone": path}, plays(32, 4, 300, "endzone")), nil)
	b.make(p, "reel.mp4")
	all, err := b.maker.Store.Usage()
	if err != nil || all.Segments != 6 || all.Bytes == 0 {
		t.Fatalf("usage %+v (%v), want 6 segments", all, err)
	}
	for i, e := range p.Entries { // the first was used last
		key, err := e.Segment.Key(b.maker.Toolchain)
		if err != nil {
			t.Fatal(err)
		}
		segment, err := b.maker.Store.Open(context.Background(), key)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(segment, time.Time{}, time.Now().Add(-time.Duration(i)*time.Hour)); err != nil {
			t.Fatal(err)
		}
	}
	// A clock that was wrong once spoils nothing: what claims to be used in days to come goes
	// first, since it says nothing of when it was.
	segment := func(entry int) string {
		key, err := p.Entries[entry].Segment.Key(b.maker.Toolchain)
		if err != nil {
			t.Fatal(err)
		}
		return filepath.Join(b.maker.Store.Root, string(key[:2]), string(key)+".mov")
	}
	last := len(p.Entries) - 1
	for file, at := range map[string]time.Time{
		segment(last):     time.Now().AddDate(40, 0, 0),
		segment(last - 1): time.Unix(0, 0),
		path:              time.Now().AddDate(40, 0, 0), // of film, dates mean nothing
	} {
		if err := os.Chtimes(file, at, at); err != nil {
			t.Fatal(err)
		}
	}
	if usage, err := b.maker.Store.Usage(); err != nil || usage.Segments != 6 || !usage.Oldest.Equal(time.Unix(0, 0)) {
		t.Errorf("usage %+v (%v), want 6 segments, the oldest of 1970", usage, err)
	}
	building, err := content.TryLock(filepath.Join(b.maker.Store.Root, "lock"), false)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.maker.Store.Prune(0); !errors.Is(err, render.ErrBusy) {
		t.Errorf("while a reel is made: error %v, want ErrBusy", err)
	}
	building.Unlock()
	removed, err := b.maker.Store.Prune(all.Bytes - 1)
	if err != nil || removed.Segments != 1 {
		t.Errorf("removed %+v (%v), want one", removed, err)
	}
	for i, e := range p.Entries {
		key, err := e.Segment.Key(b.maker.Toolchain)
		if err != nil {
			t.Fatal(err)
		}
		if have, err := b.maker.Store.Lookup(context.Background(), key, e.Segment); err != nil || have != (i < last) {
			t.Errorf("entry %d is kept: %v (%v)", i, have, err)
		}
	}
	if again, err := b.maker.Make(context.Background(), p, filepath.Join(b.dir, "again.mp4"), false, func(render.Event) {}); err != nil || again.Rendered != 1 {
		t.Errorf("with dates of all kinds: %+v (%v), want 1 rendered", again, err)
	}
	if removed, err := b.maker.Store.Prune(0); err != nil || removed.Segments != 6 {
		t.Errorf("removed %+v (%v), want the rest", removed, err)
	}
}

// Told to keep going, a run renders what it can, and says of which entries the rest is.
func TestKeepGoing(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	good := b.film(footage{name: "good.mp4", width: 320, height: 180, rate: rate2997, frames: 300})
	bad := b.film(footage{name: "bad.mp4", width: 320, height: 180, rate: rate2997, frames: 600, mux: []string{"-movflags", "+faststart"}})
	season := b.season(map[string]string{"endzone": good, "sideline": bad},
		"  - {play: 1, angles: {endzone: {in: f10, out: f40}}}\n  - {play: 2, angles: {sideline: {in: f500, out: f560}}}\n  - {play: 3, angles: {endzone: {in: f50, out: f90}}}\n")
	p := b.plan(season, nil)
	info, err := os.Stat(bad)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(bad, info.Size()*6/10); err != nil {
		t.Fatal(err)
	}
	b.maker.KeepGoing = true
	_, err = b.maker.Make(context.Background(), p, filepath.Join(b.dir, "reel.mp4"), false, func(render.Event) {})
	var failed *render.FailedError
	if !errors.As(err, &failed) || !slices.Equal(failed.Entries, []int{2}) {
		t.Fatalf("error %v, want that entry 2 failed", err)
	}
	usage, err := b.maker.Store.Usage()
	if err != nil || usage.Segments != 4 {
		t.Errorf("usage %+v (%v), want the four others", usage, err)
	}
}

// Slowed film shows each frame for its time, film that stands shows one, at equal rates and
// at others, with everything that can be drawn over it; the sound of both is silence. Where
// two angles are stacked, either shows its own frame of the same instant.
func TestReplayAndFreeze(t *testing.T) {
	for _, rate := range []tags.Rate{rate2997, rate25} {
		for _, speed := range []plan.Speed{{Num: 1, Den: 2}, {Num: 3, Den: 4}, {Num: 1, Den: 10}} {
			t.Run(fmt.Sprintf("%d at %d of %d", rate.Nominal(), speed.Num, speed.Den), func(t *testing.T) {
				brief.Only(t, rate == rate25 && speed.Num == 3 || rate == rate2997 && speed.Den == 10) // two angles; the slowest
				t.Parallel()
				b := sharing(t)
				films := map[string]string{"endzone": b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate, frames: 200, sound: true})}
				angles, shape := "endzone: {in: f3, out: f180, snap: f60}", plan.Wide
				if speed.Num == 3 { // and with a second angle, of its own rate
					below := map[tags.Rate]tags.Rate{rate2997: rate5994, rate25: rate2997}[rate]
					films["sideline"] = b.film(footage{name: "below.mp4", width: 320, height: 180, rate: below, frames: 330, sound: true})
					angles, shape = angles+", sideline: {in: f20, out: f320, snap: f101}", plan.Tall
				}
				p := b.plan(b.season(films, `  - play: 1
    type: dropback
    angles: {`+angles+`}
    marks: {release: +1.6s, finish: +2s}
    reps:
      - rusher: marlow
        battle: won
        marks: {contact: +0.5s, turn: +0.7s, beat: +1.1s}
        point: Outside foot first.
        spot: {endzone: [0.25, 0.5]}
        draw: [{at: turn, angle: endzone, arrow: [0.25, 0.5, 0.5, 0.6]}, {at: turn, angle: endzone, circle: [0.7, 0.5]}, {at: finish, angle: endzone, path: [0.2, 0.3, 0.4, 0.5, 0.6, 0.4]}]
`), func(r *plan.Recipe) {
					r.Rate, r.Shape = rate2997, shape
					if speed.Den == 10 && rate == rate25 { // in the place of hardware, something that is there
						r.Encoder = r.Encoder.With(standIn)
					}
					r.Replay = plan.Replay{From: plan.Moment{Mark: tags.Contact}, To: plan.Moment{Mark: tags.Beat}, Speed: speed}
					r.Freeze = plan.Freeze{Hold: tags.Second}
				})
				if len(p.Entries) != 7 {
					t.Fatalf("%d entries, want a play, two freezes and a replay in two parts between slates", len(p.Entries))
				}
				reel, _ := b.make(p, "reel.mp4")
				b.checkFrames(p, reel)
				heard := b.sound(reel)
				var start tags.Frame
				for _, e := range p.Entries {
					if stacked := e.Segment.Below != nil; e.Segment.Kind == plan.Film && stacked != (shape == plan.Tall) {
						t.Errorf("%s: two angles: %v", e.Chapter, stacked)
					}
					from, to := plan.SamplesAt(p.House.Rate, start)+2048, plan.SamplesAt(p.House.Rate, start+e.Segment.Frames())-2048
					start += e.Segment.Frames()
					for _, v := range heard[min(from, to):to] {
						if e.Shows != plan.ShowsPlay && (v > 40 || v < -40) {
							t.Fatalf("%s, %s: the sound is %d, want silence", e.Chapter, e.Shows, v)
						}
					}
				}
			})
		}
	}
}
