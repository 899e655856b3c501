package demo

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"image"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/pipeline/demo/strip"
	"trenchcut/tags"
)

// ffmpeg runs the real one.
func ffmpeg(ctx context.Context, args []string, stdin io.Reader) error {
	cmd := exec.CommandContext(ctx, "ffmpeg", args...)
	cmd.Stdin = stdin
	if out, err := cmd.CombinedOutput(); err != nil || len(out) > 0 {
		return fmt.Errorf("ffmpeg: %w: %s", err, out)
	}
	return nil
}

func needFFmpeg(t *testing.T) {
	t.Helper()
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		t.Skip("ffmpeg is not installed")
	}
}

// short is the season with films of a few frames, in a folder.
func short(t *testing.T, dir string, frames tags.Frame) (map[string][]byte, []*film) {
	t.Helper()
	files, films, err := season(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range films {
		f.frames = frames
	}
	return files, films
}

// small is the first game of short with small pictures, for what does not look at them.
func small(t *testing.T, dir string) (map[string][]byte, []*film) {
	t.Helper()
	files, films := short(t, dir, 2)
	films = films[:2]
	for _, f := range films {
		f.width, f.height = 192, 108
	}
	return files, films
}

// names is every file below dir but stamps.
func names(t *testing.T, dir string) (names []string) {
	t.Helper()
	err := filepath.WalkDir(dir, func(name string, e os.DirEntry, err error) error {
		if err == nil && !e.IsDir() && !strings.HasSuffix(name, ".stamp") {
			names = append(names, name)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return names
}

func TestWriteMakesTheFilmsAsTheyShouldBe(t *testing.T) {
	needFFmpeg(t)
	const frames = 10
	dir := filepath.Join(t.TempDir(), "a season's film")
	files, films := short(t, dir, frames)
	var done, total tags.Frame
	err := writeSeason(t.Context(), dir, files, films, Options{Run: numbered(films)}, func(d, of tags.Frame) {
		if d != done+1 {
			t.Errorf("progress goes from %d to %d", done, d)
		}
		done, total = d, of
	})
	if err != nil {
		t.Fatal(err)
	}
	if want := tags.Frame(frames * len(films)); done != want || total != want {
		t.Errorf("progress ends at %d of %d, want %d", done, total, want)
	}
	if got := names(t, dir); len(got) != len(files)+len(films) {
		t.Errorf("the folder holds %q, want %d tag files and %d films", got, len(files), len(films))
	}
	for name, data := range files {
		if got, err := os.ReadFile(name); err != nil || !bytes.Equal(got, data) {
			t.Errorf("%s is not as in the templates: %v", name, err)
		}
	}
	deaf := 0
	for _, f := range films {
		probe := func(stream, entries string) string {
			out, err := exec.Command("ffprobe", "-v", "error", "-count_packets", "-select_streams", stream,
				"-show_entries", "stream="+entries, "-of", "csv=p=0", "file:"+f.file).CombinedOutput()
			if err != nil {
				t.Fatalf("ffprobe %s: %v: %s", f.about(), err, out)
			}
			return strings.TrimSpace(string(out))
		}
		got := probe("v", "codec_name,width,height,pix_fmt,color_space,r_frame_rate,nb_read_packets")
		want := fmt.Sprintf("h264,%d,%d,yuv420p,bt709,%d/%d,%d", f.width, f.height, f.rate.Num, f.rate.Den, frames)
		if got != want {
			t.Errorf("%s is %s, want %s", f.about(), got, want)
		}
		sound := probe("a", "codec_name,sample_rate,channels")
		if want := map[bool]string{true: "aac,48000,2"}[f.sound]; sound != want {
			t.Errorf("%s sounds %q, want %q", f.about(), sound, want)
		}
		if !f.sound {
			deaf++
		}
		for n, img := range decode(t, f) {
			if got, err := strip.Read(img, img.Bounds()); err != nil || got != tags.Frame(n) {
				t.Errorf("%s frame %d reads %d: %v", f.about(), n, got, err)
			}
		}
	}
	if deaf != 1 {
		t.Errorf("%d films have no sound, want 1", deaf)
	}
}

// numbered runs ffmpeg, and draws on each picture on the way the number that package strip
// reads: how many came before it.
func numbered(films []*film) func(context.Context, []string, io.Reader) error {
	return func(ctx context.Context, args []string, stdin io.Reader) error {
		var of *film
		for _, f := range films {
			if strings.Contains(args[len(args)-1], f.about()) {
				of = f
			}
		}
		r, w := io.Pipe()
		go func() {
			planes := make([]byte, of.width*of.height*3/2)
			for n := tags.Frame(0); ; n++ {
				if _, err := io.ReadFull(stdin, planes); err != nil {
					if errors.Is(err, io.EOF) { // the end, between two pictures
						err = nil
					}
					w.CloseWithError(err)
					return
				}
				number := image.NewRGBA(image.Rect(0, 0, of.width, of.height))
				strip.Draw(number, n)
				high := strip.Height(number.Rect)
				for i := range of.width * high {
					planes[i] = 16 + byte(int(number.Pix[4*i])*219/255)
				}
				for i := range of.width / 2 * (high / 2) {
					planes[of.width*of.height+i], planes[of.width*of.height*5/4+i] = 128, 128
				}
				if _, err := w.Write(planes); err != nil {
					r.CloseWithError(err)
					return
				}
			}
		}()
		return ffmpeg(ctx, args, r)
	}
}

// decode is every frame of a film.
func decode(t *testing.T, f *film) []image.Image {
	t.Helper()
	raw, err := exec.Command("ffmpeg", "-v", "error", "-i", "file:"+f.file, "-f", "rawvideo", "-pix_fmt", "rgba", "pipe:1").Output()
	if err != nil {
		t.Fatal(err)
	}
	size := f.width * f.height * 4
	if len(raw) != size*int(f.frames) {
		t.Fatalf("%s decodes to %d bytes, want %d frames of %d", f.about(), len(raw), f.frames, size)
	}
	var frames []image.Image
	for ; len(raw) > 0; raw = raw[size:] {
		frames = append(frames, &image.RGBA{Pix: raw[:size], Stride: f.width * 4, Rect: image.Rect(0, 0, f.width, f.height)})
	}
	return frames
}

// fake stands in for ffmpeg: it keeps what it is fed under the name it is to write.
func fake(ran *int) func(context.Context, []string, io.Reader) error {
	return func(_ context.Context, args []string, stdin io.Reader) error {
		*ran++
		h, err := io.ReadAll(stdin)
		if err != nil {
			return err
		}
		return os.WriteFile(strings.TrimPrefix(args[len(args)-1], "file:"), h[:min(len(h), 5000)], 0o644)
	}
}

func TestFilmsThatAreRightAreLeftAlone(t *testing.T) {
	dir := t.TempDir()
	ran := 0
	again := func(want int, why string, change func(films []*film)) {
		t.Helper()
		files, films := small(t, dir)
		if change != nil {
			change(films)
		}
		ran = 0
		if err := writeSeason(t.Context(), dir, files, films, Options{Run: fake(&ran), Workers: 1}, nil); err != nil {
			t.Fatal(err)
		}
		if ran != want {
			t.Errorf("%s: %d films drawn, want %d", why, ran, want)
		}
	}
	again(2, "an empty folder", nil)
	again(0, "all there", nil)
	again(1, "one byte other, the length the same", func(films []*film) {
		data, err := os.ReadFile(films[0].file)
		if err != nil {
			t.Fatal(err)
		}
		data[len(data)/2] ^= 1
		if err := os.WriteFile(films[0].file, data, 0o644); err != nil {
			t.Fatal(err)
		}
	})
	again(2, "two films under each other's names", func(films []*film) {
		for _, names := range [][2]string{{films[0].file, "x"}, {films[1].file, films[0].file}, {"x", films[1].file}} {
			for i := range names {
				names[i] = filepath.Join(filepath.Dir(films[0].file), filepath.Base(names[i]))
			}
			if err := os.Rename(names[0], names[1]); err != nil {
				t.Fatal(err)
			}
		}
	})
	again(2, "a film gone, and a stamp", func(films []*film) {
		if err := errors.Join(os.Remove(films[0].file), os.Remove(stampFile(films[1].file))); err != nil {
			t.Fatal(err)
		}
	})
	again(1, "other tags", func(films []*film) { films[1].tags = []byte("other") })
	again(2, "another size", func(films []*film) {
		for _, f := range films {
			f.width += 32
		}
	})
}

func TestFailureLeavesNothingHalfDone(t *testing.T) {
	broken := errors.New("broken encoder")
	for name, run := range map[string]func(context.Context, []string, io.Reader) error{
		"at once": func(context.Context, []string, io.Reader) error { return broken },
		"midway": func(_ context.Context, args []string, stdin io.Reader) error {
			_, errRead := io.CopyN(io.Discard, stdin, 10_000)
			errWrite := os.WriteFile(strings.TrimPrefix(args[len(args)-1], "file:"), []byte("half"), 0o644)
			return errors.Join(broken, errRead, errWrite)
		},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			files, films := small(t, dir)
			if err := writeSeason(t.Context(), dir, files, films, Options{Run: run}, nil); !errors.Is(err, broken) {
				t.Errorf("error is %v, want %v", err, broken)
			}
			if got := names(t, filepath.Join(dir, "film")); len(got) != 0 {
				t.Errorf("left behind: %q", got)
			}
		})
	}
	t.Run("stops reading, says nothing", func(t *testing.T) {
		dir := t.TempDir()
		files, films := small(t, dir)
		quiet := func(context.Context, []string, io.Reader) error { return nil }
		if err := writeSeason(t.Context(), dir, files, films, Options{Run: quiet}, nil); err == nil {
			t.Error("no error where ffmpeg took no pictures")
		}
	})
	t.Run("cancelled", func(t *testing.T) {
		dir := t.TempDir()
		files, films := small(t, dir)
		ctx, cancel := context.WithCancel(t.Context())
		wait := func(ctx context.Context, _ []string, _ io.Reader) error {
			cancel()
			<-ctx.Done()
			return ctx.Err()
		}
		if err := writeSeason(ctx, dir, files, films, Options{Run: wait}, nil); !errors.Is(err, context.Canceled) {
			t.Errorf("error is %v, want cancelled", err)
		}
		if got := names(t, filepath.Join(dir, "film")); len(got) != 0 {
			t.Errorf("left behind: %q", got)
		}
	})
}

func TestEditedTagsAreKept(t *testing.T) {
	dir := t.TempDir()
	files, films := small(t, dir)
	for name := range files {
		if err := os.WriteFile(name, []byte("mine"), 0o666); err != nil {
			t.Fatal(err)
		}
		err := writeSeason(t.Context(), dir, files, films, Options{Run: ffmpeg}, nil)
		if !errors.Is(err, ErrEdited) || !strings.Contains(err.Error(), name) {
			t.Errorf("error %v, want ErrEdited with %s", err, name)
		}
		if data, err := os.ReadFile(name); err != nil || string(data) != "mine" {
			t.Errorf("%s holds %q now (%v)", name, data, err)
		}
		if err := os.Remove(name); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := os.Stat(filepath.Join(dir, "film")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("film was begun (%v)", err)
	}
}

func TestSamePicturesAndSoundEachTime(t *testing.T) {
	var seen [2][]string
	for i := range seen {
		_, films := short(t, t.TempDir(), 4)
		for _, f := range films {
			h := sha256.New()
			f.width, f.height = 320, 180
			p := newPainter(f)
			for _, s := range f.shots[:3] {
				p.frame(f.rate.FrameAt(s.view.Snap + 2*tags.Second))
				h.Write(p.planes)
			}
			if err := f.writeSound(h, 5*sampleRate); err != nil {
				t.Fatal(err)
			}
			seen[i] = append(seen[i], fmt.Sprintf("%s %s %x", f.about(), f.source(), h.Sum(nil)))
		}
	}
	if diff := cmp.Diff(seen[0], seen[1]); diff != "" {
		t.Errorf("the season differs when it is drawn again:\n%s", diff)
	}
}

// A frame drawn after others is the frame drawn by itself: what moved is wiped out.
func TestPainterWipesWhatMoved(t *testing.T) {
	_, films := short(t, t.TempDir(), 4)
	f := films[0]
	f.width, f.height = 320, 180
	at := f.rate.FrameAt(7 * tags.Second)
	one := newPainter(f)
	one.frame(at)
	many := newPainter(f)
	for n := at - 40; n <= at; n += 4 {
		many.frame(n)
	}
	if !bytes.Equal(one.planes, many.planes) {
		t.Error("a frame differs by what was drawn before it")
	}
}

// A colour is in the film as it was drawn: it is not taken for another's matrix on the way.
func TestColoursStay(t *testing.T) {
	needFFmpeg(t)
	_, films := small(t, t.TempDir())
	f := films[0]
	f.width, f.height = 64, 64
	out := filepath.Join(t.TempDir(), "red.mp4")
	red := slices.Concat(bytes.Repeat([]byte{81}, 64*64), bytes.Repeat([]byte{90}, 32*32), bytes.Repeat([]byte{240}, 32*32))
	if err := ffmpeg(t.Context(), f.args("", out), bytes.NewReader(bytes.Repeat(red, 2))); err != nil {
		t.Fatal(err)
	}
	got, err := exec.Command("ffmpeg", "-v", "error", "-i", "file:"+out, "-frames:v", "1", "-f", "rawvideo", "-pix_fmt", "yuv420p", "pipe:1").Output()
	if err != nil || len(got) != len(red) {
		t.Fatalf("%d bytes (%v), want %d", len(got), err, len(red))
	}
	for _, at := range []int{64*32 + 32, 64*64 + 32*16 + 16, 64*64 + 32*32 + 32*16 + 16} {
		if off := int(got[at]) - int(red[at]); off < -3 || off > 3 {
			t.Errorf("%d is shown, want %d", got[at], red[at])
		}
	}
}
