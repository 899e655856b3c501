package watch

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"slices"
	"testing"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/film"
	"trenchcut/pipeline/internal/brief"
	"trenchcut/pipeline/internal/realfilm"
	"trenchcut/tags"
)

func glance(t testing.TB, path string) *Glance {
	t.Helper()
	g, err := Look(context.Background(), film.NewLibrary(findTool(t), ""), path, NewCrew(runtime.NumCPU()), nil)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func findTool(t testing.TB) ffmpeg.Tool {
	t.Helper()
	tool, err := ffmpeg.Find()
	if err != nil {
		t.Fatal(err)
	}
	return tool
}

// The shots of invented film are found to the frame nearly everywhere, coded well and
// badly, and hardly anything else is taken for a break: not lights that go off, cameras
// that turn or are knocked, nor keyframes of coarse coding.
func TestShotsOfInventedFilm(t *testing.T) {
	const near = 3 // frames
	var cuts, found, all, right, soft, softFound, snaps, snapsFound int
	films := []struct {
		seed  uint64
		noise float64
		crf   string
	}{{4, 6, "34"}, {1, 3, "26"}, {10, 1, "18"}}
	shots, least := 36, 75 // cuts, or the test is none
	if testing.Short() {
		films, least = films[:1], 25 // coded worst
	}
	for _, c := range films {
		painted := inventedFilm(c.seed, shots)
		g := glance(t, makeInvented(t, findTool(t), painted, c.noise, "-crf", c.crf))
		wrong := map[tags.Frame]bool{}
		for _, b := range g.breaks {
			wrong[b.At] = true
			all++
		}
		start := tags.Frame(0)
		for i, s := range painted {
			reach, cut := tags.Frame(near), s.by == cut
			if !cut {
				reach = fade // a fade is no instant
			}
			hit := false
			for _, b := range g.breaks {
				if d := b.At - start; i > 0 && max(d, -d) <= reach {
					hit = true
					delete(wrong, b.At)
				}
			}
			switch {
			case i == 0:
			case cut:
				cuts++
				found += count(hit)
				if !hit {
					t.Logf("seed %d: no cut found at %d, from %s to %s", c.seed, start, painted[i-1].scene, s.scene)
				}
			default:
				soft++
				softFound += count(hit)
			}
			start += tags.Frame(s.frames)
		}
		right += len(g.breaks) - len(wrong)
		for at := range wrong {
			t.Logf("seed %d: no shot begins at %d", c.seed, at)
		}
		start = 0
		for _, s := range painted {
			span := tags.Span{In: start, Out: start + tags.Frame(s.frames)}
			start = span.Out
			for _, shot := range ShotsOf([]*Glance{g}, false, tags.Second/2)[0] {
				d, e := shot.Span.In-span.In, shot.Span.Out-span.Out
				if s.snap == 0 || max(d, -d, e, -e) > near {
					continue
				}
				snaps++
				off := shot.Snap - span.In - tags.Frame(s.snap)
				ok := shot.Snaps && g.Source.Rate.Duration(max(off, -off)) <= tags.Second/4
				snapsFound += count(ok)
				if !ok {
					t.Logf("seed %d: snap of the shot at %d is %d frames off (%v)", c.seed, span.In, off, shot.Snaps)
				}
			}
		}
	}
	if cuts < least || soft < least/16 || snaps < least {
		t.Fatalf("only %d cuts, %d fades and %d snaps in the film", cuts, soft, snaps)
	}
	t.Logf("%d of %d cuts, %d of %d fades, %d of %d breaks right, %d of %d snaps", found, cuts, softFound, soft, right, all, snapsFound, snaps)
	share := func(name string, k, n int, least float64) {
		if float64(k) < least*float64(n) {
			t.Errorf("%s: %d of %d, want %v", name, k, n, least)
		}
	}
	share("cuts found", found, cuts, 0.98)
	share("breaks that are right", right, all, 0.98)
	share("fades found", softFound, soft, 0.8)
	share("snaps within a quarter of a second", snapsFound, snaps, 0.95)
}

func count(b bool) int {
	if b {
		return 1
	}
	return 0
}

// What shows no play is told by its colours, whatever the field's are.
func TestShotsWithoutField(t *testing.T) {
	var painted []invented
	for i, s := range []scene{side, end, board, side, crowd, end, side} {
		painted = append(painted, invented{scene: s, frames: 100, snap: 40, by: cut, seed: uint64(i)})
	}
	painted[2].snap, painted[4].snap = 0, 0
	painted = append(painted, invented{scene: end, frames: 30, by: cut, seed: 99})
	g := glance(t, makeInvented(t, findTool(t), painted, 2, "-crf", "24"))
	var got []Off
	for _, s := range ShotsOf([]*Glance{g}, false, tags.Second*2)[0] {
		got = append(got, s.Off)
	}
	if want := []Off{"", "", NoField, "", NoField, "", "", TooShort}; !slices.Equal(got, want) {
		t.Errorf("shots are %q, want %q", got, want)
	}
}

// Film that is looked at in parts is found to be the same as in one.
func TestPartsAgree(t *testing.T) {
	painted := inventedFilm(7, 4)
	path := makeInvented(t, findTool(t), painted, 2, "-crf", "24")
	l := film.NewLibrary(findTool(t), "")
	src, err := l.Source(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	watch := func(spans ...tags.Span) (breaks []Break, moves []float32, looks int) {
		for _, s := range spans {
			w, err := watch(context.Background(), l, path, src, s, nil)
			if err != nil {
				t.Fatal(err)
			}
			breaks, moves, looks = append(breaks, w.breaks...), append(moves, w.moves...), looks+len(w.looks)
		}
		return breaks, moves, looks
	}
	breaks, moves, looks := watch(tags.Span{Out: src.Frames})
	if len(breaks) < 3 || len(moves) != int(src.Frames) {
		t.Fatalf("%d breaks and %d frames, want 3 at least and %d", len(breaks), len(moves), src.Frames)
	}
	for _, by := range []tags.Frame{-4, -1, 0, 1, 5} {
		at := breaks[0].At + by
		again, movesAgain, looksAgain := watch(tags.Span{Out: at}, tags.Span{In: at, Out: src.Frames})
		if !slices.Equal(breaks, again) || looks != looksAgain || !slices.Equal(moves, movesAgain) {
			t.Errorf("parted at %d, breaks are %v, want %v", at, again, breaks)
		}
	}
}

func TestGlanceTellsOfEveryFrame(t *testing.T) {
	painted := inventedFilm(3, 4)
	path := makeInvented(t, findTool(t), painted, 2)
	cache := t.TempDir()
	l := film.NewLibrary(findTool(t), cache)
	var told tags.Frame
	tell := func(more tags.Frame) { told += more }
	g, err := Look(context.Background(), l, path, NewCrew(1), tell)
	if err != nil || told != g.Source.Frames {
		t.Errorf("told of %d frames (%v)", told, err)
	}

	// What was seen is kept, and serves without an ffmpeg; what is damaged does not.
	told = 0
	again, err := Look(context.Background(), film.NewLibrary(ffmpeg.Tool{}, cache), path, NewCrew(1), tell)
	if err != nil || told != g.Source.Frames || !reflect.DeepEqual(g, again) {
		t.Errorf("seen again, it differs; told of %d frames (%v)", told, err)
	}
	files, err := filepath.Glob(filepath.Join(cache, "*.glance"))
	if err != nil || len(files) != 1 {
		t.Fatalf("the cache holds %q (%v), want one glance", files, err)
	}
	data, err := os.ReadFile(files[0])
	if err != nil {
		t.Fatal(err)
	}
	data[len(data)/2] ^= 1
	if err := os.WriteFile(files[0], data, 0o666); err != nil {
		t.Fatal(err)
	}
	if _, err := Look(context.Background(), film.NewLibrary(ffmpeg.Tool{}, cache), path, NewCrew(1), nil); err == nil {
		t.Error("a damaged glance serves")
	}
	l = film.NewLibrary(findTool(t), "")
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := Look(ctx, l, path, NewCrew(1), nil); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v, want that it was stopped", err)
	}
}

func TestGlanceAtFilmCutShort(t *testing.T) {
	path := makeInvented(t, findTool(t), inventedFilm(3, 4), 2, "-movflags", "+faststart")
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(path, info.Size()/2); err != nil {
		t.Fatal(err)
	}
	if _, err := Look(context.Background(), film.NewLibrary(findTool(t), ""), path, NewCrew(1), nil); err == nil {
		t.Error("film cut short was looked through")
	}
}

// Real film, none of it football: cuts that were seen by eye, and film in one shot.
func TestShotsOfRealFilm(t *testing.T) {
	brief.Only(t, false)
	folder := realfilm.Folder(t)
	for name, want := range map[string][]tags.Frame{
		"two-video-two-audio.mp4":        {164, 240}, // the first a blend over a second
		"six-minutes-1080p30.mp4":        nil,
		"timecode-2997.mp4":              nil,
		"interlaced-25.mts":              nil,
		"phone-variable-rate.mp4":        nil,
		"phone-rotated-hdr-editlist.mp4": nil,
	} {
		var got []tags.Frame
		for _, b := range glance(t, filepath.Join(folder, name)).breaks {
			got = append(got, b.At)
		}
		if len(got) != len(want) {
			t.Errorf("%s: breaks at %d, want %d", name, got, want)
			continue
		}
		for i := range want {
			if d := got[i] - want[i]; max(d, -d) > 3 {
				t.Errorf("%s: a break at %d, want %d", name, got[i], want[i])
			}
		}
	}
}

// BenchmarkGlance says how many times faster than it runs film of 1280×720 with much
// noise is looked through.
func BenchmarkGlance(b *testing.B) {
	path := filepath.Join(b.TempDir(), "noise.mp4")
	err := findTool(b).Run(context.Background(), []string{
		"-f", "lavfi", "-i", "testsrc2=s=1280x720:r=30000/1001,noise=alls=12:allf=t", "-frames:v", "3600",
		"-c:v", "libx264", "-preset", "veryfast", "-crf", "26", "-pix_fmt", "yuv420p", "file:" + path,
	}, nil, nil)
	if err != nil {
		b.Fatal(err)
	}
	l := film.NewLibrary(findTool(b), "")
	var length tags.Time
	for b.Loop() {
		g, err := Look(context.Background(), l, path, NewCrew(runtime.NumCPU()), nil)
		if err != nil {
			b.Fatal(err)
		}
		length += g.Source.Rate.Duration(g.Source.Frames)
	}
	b.ReportMetric(length.Seconds()/b.Elapsed().Seconds(), "×real-time")
}
