package film_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/film"
	"trenchcut/pipeline/internal/realfilm"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

func newLibrary(t *testing.T, cache string) (*film.Library, ffmpeg.Tool) {
	t.Helper()
	tool, err := ffmpeg.Find()
	if err != nil {
		t.Fatal(err)
	}
	return film.NewLibrary(tool, cache), tool
}

// makeFilm makes plain film with the arguments given.
func makeFilm(t *testing.T, tool ffmpeg.Tool, path string, args ...string) {
	t.Helper()
	if err := tool.Run(context.Background(), append(args, "file:"+path), nil, nil); err != nil {
		t.Fatal(err)
	}
}

func TestSource(t *testing.T) {
	t.Parallel()
	library, tool := newLibrary(t, t.TempDir())
	dir := t.TempDir()
	const picture, x264 = "testsrc2=s=320x180:r=", "libx264"
	for name, c := range map[string]struct {
		args  []string
		want  func(*plan.Source)
		notes []string
	}{
		"plain.mp4": {
			[]string{"-f", "lavfi", "-i", picture + "30000/1001", "-frames:v", "50", "-c:v", x264},
			func(s *plan.Source) { s.Rate = tags.Rate{Num: 30000, Den: 1001} },
			[]string{"no sound: silence in a reel"},
		},
		"sound.mkv": {
			[]string{"-f", "lavfi", "-i", picture + "25", "-f", "lavfi", "-i", "sine", "-frames:v", "50", "-shortest", "-c:v", x264},
			func(s *plan.Source) { s.Rate, s.Audio = tags.Rate{Num: 25, Den: 1}, 1 },
			nil,
		},
		"anamorphic.mp4": {
			[]string{"-f", "lavfi", "-i", picture + "50,setsar=4/3", "-frames:v", "50", "-c:v", x264},
			func(s *plan.Source) { s.Rate, s.Width = tags.Rate{Num: 50, Den: 1}, 427 },
			[]string{"its pixels are not square: shown 427 wide, not 320", "no sound: silence in a reel"},
		},
		"timecode.mov": {
			[]string{"-f", "lavfi", "-i", picture + "30000/1001", "-frames:v", "50", "-c:v", x264, "-timecode", "01:00:00;00"},
			// SMPTE ST 12-1: an hour of drop-frame is 107,892 frames.
			func(s *plan.Source) {
				s.Rate, s.Start, s.Counting = tags.Rate{Num: 30000, Den: 1001}, 107_892, tags.DropFrame
			},
			[]string{"no sound: silence in a reel"},
		},
		"late.ts": {
			[]string{"-f", "lavfi", "-i", picture + "60000/1001", "-frames:v", "50", "-c:v", x264},
			func(s *plan.Source) { s.Rate, s.Loose = tags.Rate{Num: 60000, Den: 1001}, true },
			[]string{"no sound: silence in a reel"},
		},
		"interlaced.mp4": {
			[]string{"-f", "lavfi", "-i", picture + "25", "-frames:v", "50", "-c:v", x264, "-flags", "+ildct+ilme"},
			func(s *plan.Source) { s.Rate, s.Interlaced = tags.Rate{Num: 25, Den: 1}, true },
			[]string{"interlaced: the two fields of a frame become one picture", "no sound: silence in a reel"},
		},
		"fields.mp4": { // of which ffprobe says nothing: its first picture does
			[]string{"-f", "lavfi", "-i", picture + "25", "-frames:v", "50", "-c:v", "mpeg4", "-flags", "+ildct+ilme"},
			func(s *plan.Source) { s.Rate, s.Interlaced = tags.Rate{Num: 25, Den: 1}, true },
			[]string{"interlaced: the two fields of a frame become one picture", "no sound: silence in a reel"},
		},
		"variable.mp4": {
			[]string{"-f", "lavfi", "-i", picture + "30,select='not(mod(n,7)*not(mod(n,3)))'", "-fps_mode", "vfr", "-frames:v", "50", "-c:v", x264},
			func(s *plan.Source) { s.Rate, s.Variable = tags.Rate{Num: 30, Den: 1}, true },
			[]string{"its rate varies: counted as 30 frames a second, each picture stays until the next", "no sound: silence in a reel"},
		},
		"odd.mov": {
			[]string{
				"-f", "lavfi", "-i", picture + "25", "-f", "lavfi", "-i", "sine", "-map", "0", "-map", "0", "-map", "1", "-map", "1", "-frames:v", "50", "-shortest",
				"-c:v", x264, "-pix_fmt", "yuv420p10le", "-c:a", "pcm_s16le", "-s:v:1", "160x90", "-output_ts_offset", "10",
			},
			func(s *plan.Source) { s.Rate, s.Audio = tags.Rate{Num: 25, Den: 1}, 2 },
			[]string{"more than 8 bits a colour: a reel has 8", "2 sound tracks: the first is heard", "2 pictures in one file: the largest that moves throughout is shown", "its own clock starts at 0:00:10.000: times in a tag file count from there"},
		},
		"priming.ts": { // its sound starts five frames before its picture
			[]string{"-itsoffset", "0.2", "-f", "lavfi", "-i", picture + "25", "-f", "lavfi", "-i", "sine", "-frames:v", "50", "-shortest", "-c:v", x264},
			func(s *plan.Source) { s.Rate, s.Audio, s.Loose = tags.Rate{Num: 25, Den: 1}, 1, true },
			[]string{"its first picture comes 0:00:00.211 after its start, from which times in a tag file count: earlier ones mean that picture"},
		},
		"motion-photo.mov": { // a photo with a few seconds of film, and its still as a track
			[]string{
				"-f", "lavfi", "-i", "testsrc2=s=640x360:r=25:d=0.04", "-f", "lavfi", "-i", picture + "25:d=2", "-map", "0", "-map", "1",
				"-c:v", x264, "-disposition:v:0", "default", "-disposition:v:1", "0",
			},
			func(s *plan.Source) { s.Rate, s.Video = tags.Rate{Num: 25, Den: 1}, 1 },
			[]string{"no sound: silence in a reel", "2 pictures in one file: the largest that moves throughout is shown"},
		},
		"bright.mp4": {
			[]string{"-f", "lavfi", "-i", picture + "25", "-frames:v", "50", "-vf", "setparams=color_trc=smpte2084:colorspace=bt2020nc:color_primaries=bt2020", "-c:v", x264, "-color_trc", "smpte2084", "-colorspace", "bt2020nc", "-color_primaries", "bt2020"},
			func(s *plan.Source) { s.Rate = tags.Rate{Num: 25, Den: 1} },
			[]string{"high dynamic range: brought down to what a common screen shows", "no sound: silence in a reel"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			path := filepath.Join(dir, name)
			if !slices.Contains(c.args, "-pix_fmt") {
				c.args = append(c.args, "-pix_fmt", "yuv420p")
			}
			makeFilm(t, tool, path, c.args...)
			got, err := library.Source(context.Background(), path)
			if err != nil {
				t.Fatal(err)
			}
			if got.Variable {
				got.Frames = 50 // as many as its rate, not its pictures, says
			}
			if got.First > 5*tags.Millisecond && !strings.HasPrefix(name, "priming") {
				t.Errorf("its first frame is shown at %s", got.First)
			}
			got.Zero = 0  // a container's own affair
			got.First = 0 // sound that is primed may come a little earlier
			want := plan.Source{
				Fingerprint: got.Fingerprint, Ticks: got.Ticks, Preroll: got.Preroll, Colour: got.Colour,
				Frames: 50, Width: 320, Height: 180, Audio: -1,
			}
			c.want(&want)
			if diff := cmp.Diff(want, got); diff != "" {
				t.Error(diff)
			}
			said, err := library.Notes(context.Background(), path)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(c.notes, said); diff != "" {
				t.Error(diff)
			}
			if found, err := library.Path(context.Background(), got.Fingerprint); err != nil || found != path {
				t.Errorf("the film of its fingerprint is %q (%v)", found, err)
			}
		})
	}
}

// What a film is, is kept by its content: another name, even another time, is no reason
// to look again, and another content is.
func TestProbeIsKeptByContent(t *testing.T) {
	t.Parallel()
	cache, dir := t.TempDir(), t.TempDir()
	library, tool := newLibrary(t, cache)
	a, b := filepath.Join(dir, "a.mp4"), filepath.Join(dir, "b.mp4")
	makeFilm(t, tool, a, "-f", "lavfi", "-i", "color=s=64x36:r=25", "-frames:v", "10", "-pix_fmt", "yuv420p")
	first, err := library.Source(context.Background(), a)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(a, b); err != nil {
		t.Fatal(err)
	}
	// A library with no ffprobe at all can only know it from the cache.
	blind := film.NewLibrary(ffmpeg.Tool{FFprobe: filepath.Join(dir, "none")}, cache)
	again, err := blind.Source(context.Background(), b)
	if err != nil || again != first {
		t.Errorf("by another name it is %+v (%v), want %+v", again, err, first)
	}
	makeFilm(t, tool, b, "-f", "lavfi", "-i", "color=s=64x36:r=25", "-frames:v", "11", "-pix_fmt", "yuv420p")
	blind = film.NewLibrary(ffmpeg.Tool{FFprobe: filepath.Join(dir, "none")}, cache)
	if other, err := blind.Source(context.Background(), b); err == nil {
		t.Errorf("other content was taken for %+v", other)
	}
}

// A still is kept by its film's content, frame and size, and one that is damaged counts as absent.
func TestKeptStill(t *testing.T) {
	t.Parallel()
	cache, dir := t.TempDir(), t.TempDir()
	library, tool := newLibrary(t, cache)
	path := filepath.Join(dir, "a.mp4")
	makeFilm(t, tool, path, "-f", "lavfi", "-i", "testsrc=s=64x36:r=25", "-frames:v", "30", "-pix_fmt", "yuv420p")
	const frame = 29
	still := func(l *film.Library, n tags.Frame) (*image.YCbCr, error) {
		return l.KeptStill(t.Context(), path, n, 32, 18)
	}
	first, err := still(library, frame)
	if err != nil {
		t.Fatal(err)
	}
	if want, err := library.Still(t.Context(), path, frame, 32, 18); err != nil || !cmp.Equal(first, want) {
		t.Errorf("the still that is kept is another (%v)", err)
	}
	blind := film.NewLibrary(ffmpeg.Tool{FFmpeg: filepath.Join(dir, "none"), FFprobe: filepath.Join(dir, "none")}, cache)
	if again, err := still(blind, frame); err != nil || !cmp.Equal(again, first) {
		t.Errorf("without ffmpeg it is another (%v)", err)
	}
	if _, err := still(blind, 28); err == nil {
		t.Error("another frame was taken from the cache")
	}
	entries, err := filepath.Glob(filepath.Join(cache, "*.still"))
	if err != nil || len(entries) != 1 {
		t.Fatalf("the cache holds %q (%v)", entries, err)
	}
	data, err := os.ReadFile(entries[0])
	if err != nil {
		t.Fatal(err)
	}
	data[7] ^= 0x55
	if err := os.WriteFile(entries[0], data, 0o666); err != nil {
		t.Fatal(err)
	}
	if _, err := still(blind, frame); err == nil {
		t.Error("a damaged picture was taken from the cache")
	}
	if again, err := still(library, frame); err != nil || !cmp.Equal(again, first) {
		t.Errorf("after damage it is another (%v)", err)
	}
}

func TestSurvey(t *testing.T) {
	t.Parallel()
	library, tool := newLibrary(t, t.TempDir())
	dir := t.TempDir()
	makeFilm(t, tool, filepath.Join(dir, "end.mp4"), "-f", "lavfi", "-i", "color=s=64x36:r=25", "-frames:v", "100", "-pix_fmt", "yuv420p")
	makeFilm(t, tool, filepath.Join(dir, "sound.m4a"), "-f", "lavfi", "-i", "sine", "-t", "1")
	for name, text := range map[string]string{"text.mp4": "no film", "empty.mp4": ""} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	vocabulary, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(dir, "wk1.game.yaml")
	game, faults := tags.ParseGame(file, []byte(`trenchcut: 1
game: {id: wk1}
film:
  endzone: {file: end.mp4}
  a: {file: gone.mp4}
  b: {file: text.mp4}
  c: {file: empty.mp4}
  d: {file: sound.m4a}
  e: {file: .}
`), vocabulary)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	extents, faults, err := library.Survey(context.Background(), []*tags.Game{game})
	if err != nil {
		t.Fatal(err)
	}
	if e := extents[filepath.Join(dir, "end.mp4")]; len(extents) != 1 || e.Frames != 100 {
		t.Errorf("extents %+v, want 100 frames of end.mp4 alone", extents)
	}
	faults.Sort()
	want := []string{":5:13: no film at ", ":6:13: film ", ":7:13: film ", ":8:13: film ", ":9:13: film "}
	if len(faults) != len(want) {
		t.Fatalf("%d faults, want %d:\n%v", len(faults), len(want), faults)
	}
	for i, w := range want {
		if !strings.HasPrefix(faults[i].Error(), file+w) {
			t.Errorf("fault %q, want it to begin with %q", faults[i].Error(), file+w)
		}
	}
}

// Film that no decoder here can decode is refused where it is looked at, and says why.
func TestUndecodableFilm(t *testing.T) {
	t.Parallel()
	library, tool := newLibrary(t, "")
	dir := t.TempDir()
	good := filepath.Join(dir, "good.mp4")
	makeFilm(t, tool, good, "-f", "lavfi", "-i", "testsrc2=s=64x36:r=25", "-frames:v", "30", "-c:v", "libx264", "-pix_fmt", "yuv420p")
	data, err := os.ReadFile(good)
	if err != nil {
		t.Fatal(err)
	}
	for tag, want := range map[string]string{"encv": "encrypted", "zzzz": "cannot decode"} {
		path := filepath.Join(dir, tag+".mp4")
		if err := os.WriteFile(path, bytes.ReplaceAll(data, []byte("avc1"), []byte(tag)), 0o666); err != nil {
			t.Fatal(err)
		}
		if src, err := library.Source(context.Background(), path); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %+v (%v), want an error that says %q", tag, src, err, want)
		}
	}
}

// Film that begins amid a group of pictures begins with the first that can be decoded, and
// that is told. The dropped packet is the key picture that the film began with.
func TestFilmBegunAmidAGroup(t *testing.T) {
	t.Parallel()
	library, tool := newLibrary(t, "")
	dir := t.TempDir()
	whole, path := filepath.Join(dir, "whole.ts"), filepath.Join(dir, "film.ts")
	makeFilm(t, tool, whole, "-f", "lavfi", "-i", "testsrc2=s=64x36:r=25", "-frames:v", "100", "-c:v", "libx264", "-g", "20", "-bf", "0", "-sc_threshold", "0", "-pix_fmt", "yuv420p")
	makeFilm(t, tool, path, "-i", "file:"+whole, "-c", "copy", "-copyinkf", "-bsf:v", "noise=drop='eq(n,0)'")
	src, err := library.Source(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	if src.Frames != 80 || src.First != src.Rate.Duration(19) {
		t.Errorf("%d frames from %s on, want 80 from the twentieth on", src.Frames, src.First)
	}
	notes, err := library.Notes(context.Background(), path)
	if err != nil || !slices.ContainsFunc(notes, func(n string) bool { return strings.Contains(n, "the first 19 pictures cannot be decoded") }) {
		t.Errorf("%q (%v), want that 19 pictures cannot be decoded", notes, err)
	}
}

// Of film whose first picture is a key picture of an open group, what is stored behind that
// and shown before it cannot be decoded; of a closed group it can, and none is lost.
func TestFilmBegunWithAnOpenGroup(t *testing.T) {
	t.Parallel()
	library, tool := newLibrary(t, "")
	dir := t.TempDir()
	for name, c := range map[string]struct {
		flags   string
		dropped int
		lost    tags.Frame
	}{
		"open.ts":   {"-cgop", 19, 2}, // the second group follows its key picture with two that are shown before
		"closed.ts": {"+cgop", 0, 0},
	} {
		whole, path := filepath.Join(dir, "whole-"+name), filepath.Join(dir, name)
		makeFilm(t, tool, whole, "-f", "lavfi", "-i", "testsrc2=s=64x64:r=25", "-frames:v", "80", "-c:v", "mpeg2video", "-flags", c.flags, "-g", "20", "-bf", "2", "-sc_threshold", "1000000000", "-pix_fmt", "yuv420p")
		makeFilm(t, tool, path, "-i", "file:"+whole, "-c", "copy", "-bsf:v", fmt.Sprintf("noise=drop='lt(n,%d)'", c.dropped))
		src, err := library.Source(context.Background(), path)
		if err != nil {
			t.Fatal(err)
		}
		// By the file's own start, too, it begins with that key picture.
		if src.Lost != c.lost || src.First > tags.Millisecond {
			t.Errorf("%s: %d lost, the first comes at %s; want %d lost, and the first at the start", name, src.Lost, src.First, c.lost)
		}
	}
}

// Spans are decoded, and of those that are damaged film, time and what was said are listed.
func TestDecode(t *testing.T) {
	t.Parallel()
	library, tool := newLibrary(t, "")
	dir := t.TempDir()
	whole, path := filepath.Join(dir, "whole.mp4"), filepath.Join(dir, "film.mp4")
	makeFilm(t, tool, whole, "-f", "lavfi", "-i", "testsrc2=s=160x90:r=25", "-frames:v", "200", "-c:v", "libx264", "-g", "50", "-pix_fmt", "yuv420p")
	makeFilm(t, tool, path, "-i", "file:"+whole, "-c", "copy", "-bsf:v", "noise=drop='between(n,111,116)'")
	spans := []tags.Span{{In: 10, Out: 40}, {In: 100, Out: 140}, {In: 160, Out: 190}}
	damage, err := library.Decode(context.Background(), map[string][]tags.Span{whole: spans, path: spans}, 2, nil)
	if err != nil {
		t.Fatal(err)
	}
	said, lost := 0, tags.Frame(0)
	for _, d := range damage {
		if d.File != path || d.At < 4*tags.Second || d.At > 5*tags.Second {
			t.Errorf("%+v, want what is wrong near 4.4 s of %s alone", d, path)
		}
		if d.Said != "" {
			said++
		}
		lost += d.Gap
	}
	if said != 1 || lost != 6 {
		t.Errorf("%+v, want one that the decoder complains of, and the six pictures that were dropped as gaps", damage)
	}
}

// A playlist that calls itself film reads no other file.
func TestPlaylistsAreRefused(t *testing.T) {
	t.Parallel()
	library, tool := newLibrary(t, t.TempDir())
	dir := t.TempDir()
	secret := filepath.Join(dir, "secret.ts")
	makeFilm(t, tool, secret, "-f", "lavfi", "-i", "color=s=64x36:r=25", "-frames:v", "25", "-pix_fmt", "yuv420p")
	for name, text := range map[string]string{
		"hls.mp4":    "#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\n" + secret + "\n#EXT-X-ENDLIST\n",
		"concat.mp4": "ffconcat version 1.0\nfile '" + secret + "'\n",
	} {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		if s, err := library.Source(context.Background(), path); err == nil {
			t.Errorf("%s was read as film: %+v", name, s)
		}
	}
}

func TestStoppedSurvey(t *testing.T) {
	library, _ := newLibrary(t, t.TempDir())
	vocabulary, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "a.mp4"), []byte("x"), 0o666); err != nil {
		t.Fatal(err)
	}
	game, _ := tags.ParseGame(filepath.Join(dir, "wk1.game.yaml"), []byte("trenchcut: 1\ngame: {id: wk1}\nfilm: {endzone: {file: a.mp4}}\n"), vocabulary)
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, _, err := library.Survey(ctx, []*tags.Game{game}); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v, want that it was stopped", err)
	}
}

// What is odd about film of real cameras, as the folder's own README tells it.
func TestRealFilm(t *testing.T) {
	realFilm := realfilm.Folder(t)
	library, _ := newLibrary(t, t.TempDir())
	type facts struct {
		Rate          string
		Variable      bool
		Frames        tags.Frame
		Width, Height int
		Interlaced    bool
		Sound         bool
	}
	for name, want := range map[string]facts{
		"phone-variable-rate.mp4":        {"30", true, 46, 1920, 1080, false, true},
		"phone-rotated-hdr-editlist.mp4": {"30000/1001", false, 77, 1080, 1920, false, true},
		"portrait-4k60.mp4":              {"60", false, 18, 2160, 3840, false, true},
		"av1-5994-10bit.mp4":             {"60000/1001", false, 60, 1920, 1080, false, true},
		"interlaced-25.mts":              {"25", false, 13, 1920, 1080, true, true},
		"two-video-two-audio.mp4":        {"30000/1001", false, 390, 480, 270, false, true},
		"timecode-2997.mp4":              {"30000/1001", false, 362, 854, 480, false, true},
		"six-minutes-1080p30.mp4":        {"30", false, 10883, 1920, 1080, false, true},
		"starts-at-10s-anamorphic.mp4":   {"30", false, 120, 1137, 640, false, false},
		"interlaced-named-60i-is-25.mov": {"25", false, 25, 1920, 1080, true, false},
		"extreme-variable-rate.mp4":      {"25", true, 218, 3026, 1386, false, false},
	} {
		s, err := library.Source(context.Background(), filepath.Join(realFilm, name))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		got := facts{s.Rate.String(), s.Variable, s.Frames, s.Width, s.Height, s.Interlaced, s.Audio >= 0}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
	}
	s, err := library.Source(context.Background(), filepath.Join(realFilm, "timecode-2997.mp4"))
	if err != nil || s.Rate.Timecode(s.Start, false).String() != "19:26:48:04" {
		t.Errorf("start timecode %s (%v), want 19:26:48:04", s.Rate.Timecode(s.Start, false), err)
	}
}

// Film with more packets than a probe reads is of constant rate all the same, though the
// last of these are shown in another order than they are stored.
func TestLongFilmIsOfConstantRate(t *testing.T) {
	t.Parallel()
	library, tool := newLibrary(t, t.TempDir())
	dir := t.TempDir()
	long := func(sound string) string { return filepath.Join(dir, sound+".mp4") }
	makeFilm(t, tool, long("no"), "-f", "lavfi", "-i", "testsrc2=s=64x36:r=30000/1001", "-frames:v", "1600",
		"-c:v", "libx264", "-preset", "ultrafast", "-bf", "3", "-pix_fmt", "yuv420p")
	sounds := []string{"8000", "16000", "22050", "32000", "44100", "48000"} // each has the last packet elsewhere
	args := []string{"-i", "file:" + long("no"), "-f", "lavfi", "-i", "sine=d=60"}
	for _, sound := range sounds {
		args = append(args, "-shortest", "-c:v", "copy", "-c:a", "aac", "-ar", sound, "file:"+long(sound))
	}
	if err := tool.Run(context.Background(), args, nil, nil); err != nil {
		t.Fatal(err)
	}
	for _, sound := range sounds {
		s, err := library.Source(context.Background(), long(sound))
		if err != nil {
			t.Fatal(err)
		}
		if s.Variable || s.Rate != (tags.Rate{Num: 30000, Den: 1001}) {
			t.Errorf("sound at %s: rate %s, variable %v", sound, s.Rate, s.Variable)
		}
	}
}

// A film that is changed where its fingerprint does not look is found out by its hash.
func TestRehash(t *testing.T) {
	t.Parallel()
	cache := t.TempDir()
	library, tool := newLibrary(t, cache)
	path := filepath.Join(t.TempDir(), "film.mp4")
	makeFilm(t, tool, path, "-f", "lavfi", "-i", "color=gray:s=640x360:r=25,noise=alls=100:allf=t", "-frames:v", "60", "-c:v", "libx264", "-preset", "ultrafast", "-qp", "1", "-pix_fmt", "yuv420p")
	ctx := context.Background()
	for range 2 {
		if err := library.Rehash(ctx, path); err != nil {
			t.Fatal(err)
		}
	}
	before, err := library.Source(ctx, path)
	if err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	at := -1
	for try := 70_000; try < len(data) && at < 0; try += 10_000 { // amid two samples
		data[try] ^= 1
		if err := os.WriteFile(path, data, 0o666); err != nil {
			t.Fatal(err)
		}
		other := film.NewLibrary(tool, "")
		if now, err := other.Source(ctx, path); err == nil && now.Fingerprint == before.Fingerprint {
			at = try
			continue
		}
		data[try] ^= 1
	}
	if at < 0 {
		t.Fatal("every change changes the fingerprint, so this proves nothing")
	}
	if err := film.NewLibrary(tool, cache).Rehash(ctx, path); !errors.Is(err, film.ErrOther) {
		t.Errorf("error %v, want ErrOther", err)
	}
	if err := film.NewLibrary(tool, cache).Rehash(ctx, path); err != nil {
		t.Errorf("once said: %v", err)
	}
}
