//go:build unix

package film_test

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/film"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// patience is how long any look at a small film may take; all beyond it is a hang. It
// leaves a busy machine minutes to spare.
const patience = 5 * time.Minute

// lookAt is what a library that knows nothing yet finds the file to be. It must come to an
// end, and its error must say something.
func lookAt(t *testing.T, tool ffmpeg.Tool, path string) (plan.Source, error) {
	t.Helper()
	return lookWith(t, film.NewLibrary(tool, ""), path)
}

// lookWith is lookAt with a library that knows nothing of the file yet.
func lookWith(t *testing.T, library *film.Library, path string) (plan.Source, error) {
	t.Helper()
	ctx, stop := context.WithTimeout(context.Background(), patience)
	defer stop()
	src, err := library.Source(ctx, path)
	if ctx.Err() != nil {
		t.Fatalf("%s: still looking after %s", filepath.Base(path), patience)
	}
	if err != nil && len(err.Error()) < 8 {
		t.Errorf("%s: the error says only %q", filepath.Base(path), err)
	}
	return src, err
}

// containers is how small films of every kind of container are made.
var containers = map[string][]string{
	"fast.mp4": {"-c:a", "aac", "-movflags", "+faststart"},
	"plain.mp4": {
		"-c:a", "aac",
	},
	"pcm.mov":   {"-c:a", "pcm_s16le"},
	"film.mkv":  {"-c:a", "flac"},
	"film.ts":   {"-c:a", "mp2"},
	"film.avi":  {"-c:v", "mjpeg", "-bf", "0", "-pix_fmt", "yuvj420p", "-c:a", "pcm_s16le"},
	"film.mxf":  {"-c:v", "mpeg2video", "-c:a", "pcm_s16le", "-ar", "48000"},
	"frags.mp4": {"-c:a", "aac", "-movflags", "+frag_keyframe+empty_moov"},
}

// makeContainers makes a film of 50 frames in each container.
func makeContainers(t *testing.T, tool ffmpeg.Tool) map[string]string {
	t.Helper()
	dir := t.TempDir()
	files := map[string]string{}
	for name, args := range containers {
		files[name] = filepath.Join(dir, name)
		makeFilm(t, tool, files[name], slices.Concat([]string{
			"-f", "lavfi", "-i", "testsrc2=s=128x72:r=25", "-f", "lavfi", "-i", "anoisesrc=r=48000:a=0.2:seed=1", "-t", "2",
			"-c:v", "libx264", "-g", "20", "-bf", "2", "-pix_fmt", "yuv420p", "-shortest",
		}, args)...)
	}
	return files
}

var damages = flag.Int("damages", 1, "how often TestDamagedFilm turns bits of each kind of film")

// Film that is cut off or has bits turned is refused, or is told as what it was, or as
// something that film may be; and listening to it comes to an end.
func TestDamagedFilm(t *testing.T) {
	t.Parallel()
	_, tool := newLibrary(t, "")
	for name, whole := range makeContainers(t, tool) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			r := rand.New(rand.NewPCG(1, uint64(len(name))))
			was, err := lookAt(t, tool, whole)
			if err != nil || was.Frames != 50 {
				t.Fatalf("sound, it has %d frames (%v)", was.Frames, err)
			}
			data, err := os.ReadFile(whole)
			if err != nil {
				t.Fatal(err)
			}
			refused, trials := 0, 0
			try := func(what string, damaged []byte) {
				path := filepath.Join(dir, fmt.Sprint(trials, "-", name))
				if err := os.WriteFile(path, damaged, 0o666); err != nil {
					t.Fatal(err)
				}
				trials++
				library := film.NewLibrary(tool, "")
				got, err := lookWith(t, library, path)
				if err != nil {
					refused++
					return
				}
				const most = 4 * 24 * 3600 * 120 // four days at 120 frames a second
				if got.Frames < 1 || got.Frames > most || !got.Rate.Known() || !got.Ticks.Known() ||
					got.Width < 16 || got.Height < 16 || got.Width > 1<<15 || got.Height > 1<<15 ||
					got.First < 0 || got.Preroll < 0 || got.Preroll > time20 {
					t.Errorf("%s, it is taken for %+v", what, got)
				}
				if len(damaged) < len(data) && (got.Frames > was.Frames || got.Rate != was.Rate || got.Width != was.Width || got.Height != was.Height) {
					t.Errorf("%s, it is taken for %+v, which was %+v", what, got, was)
				}
				if got.Audio >= 0 && trials%3 == 0 {
					ctx, stop := context.WithTimeout(context.Background(), patience)
					defer stop()
					sound, err := library.Hear(ctx, path, 0, 4*tags.Second, nil)
					if ctx.Err() != nil {
						t.Errorf("%s: still listening after %s", what, patience)
					}
					if err == nil && len(sound.Samples) == 0 {
						t.Errorf("%s, nothing is heard and nothing is said of it", what)
					}
				}
			}
			for _, part := range []float64{0.0001, 0.3, 0.99} {
				try(fmt.Sprintf("cut off at %g of it", part), data[:int(part*float64(len(data)))])
			}
			for range *damages {
				damaged := slices.Clone(data)
				bits := 1 + r.IntN(200)
				for range bits {
					damaged[r.IntN(len(damaged))] ^= 1 << r.IntN(8)
				}
				try(fmt.Sprintf("%d bits turned", bits), damaged)
			}
			for range 1 + *damages { // the head, where the tables are
				damaged := slices.Clone(data)
				for range 1 + r.IntN(12) {
					damaged[r.IntN(min(len(damaged), 2048))] ^= 1 << r.IntN(8)
				}
				try("its head turned", damaged)
			}
			if refused == 0 {
				t.Errorf("of %d damaged films none is refused, cut off at the first bytes or not", trials)
			}
		})
	}
}

// time20 is the most that film need be decoded before a cut.
const time20 = 20 * tags.Second

// What is no film is refused, and a film by any name is one.
func TestNotFilm(t *testing.T) {
	t.Parallel()
	_, tool := newLibrary(t, "")
	dir := t.TempDir()
	good := filepath.Join(dir, "good.mp4")
	makeFilm(t, tool, good, "-f", "lavfi", "-i", "testsrc2=s=64x36:r=25", "-frames:v", "30", "-pix_fmt", "yuv420p")
	data, err := os.ReadFile(good)
	if err != nil {
		t.Fatal(err)
	}
	write := func(name string, content []byte) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, content, 0o666); err != nil {
			t.Fatal(err)
		}
		return path
	}
	link := func(name, to string) string {
		path := filepath.Join(dir, name)
		if err := os.Symlink(to, path); err != nil {
			t.Fatal(err)
		}
		return path
	}
	pipe := filepath.Join(dir, "pipe.mp4")
	if err := syscall.Mkfifo(pipe, 0o666); err != nil {
		t.Fatal(err)
	}
	for name, path := range map[string]string{
		"nothing in it":     write("empty.mp4", nil),
		"one byte":          write("byte.mp4", []byte{0}),
		"zeros":             write("zeros.mp4", make([]byte, 1<<16)),
		"text":              write("text.mp4", []byte("endzone, second half\n")),
		"a picture":         write("picture.mp4", []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x00\x10\x00\x00\x00\x10\x08\x02\x00\x00\x00")),
		"a folder":          dir,
		"a pipe":            pipe,
		"a link to a pipe":  link("link-to-pipe.mp4", pipe),
		"a link to itself":  link("self.mp4", "self.mp4"),
		"a device":          "/dev/zero",
		"none":              filepath.Join(dir, "none.mp4"),
		"a file's child":    filepath.Join(good, "x.mp4"),
		"a name with a NUL": "good\x00.mp4",
	} {
		if src, err := lookAt(t, tool, path); err == nil {
			t.Errorf("%s is taken for film: %+v", name, src)
		}
	}
	// H.264 with B-frames has no times in an AVI, and the error says what to do.
	untimed := filepath.Join(dir, "untimed.avi")
	makeFilm(t, tool, untimed, "-f", "lavfi", "-i", "testsrc2=s=64x36:r=25", "-frames:v", "30", "-c:v", "libx264", "-bf", "3", "-pix_fmt", "yuv420p")
	if _, err := lookAt(t, tool, untimed); err == nil || !strings.Contains(err.Error(), "carry no times: convert it first") {
		t.Errorf("film without times: %v", err)
	}
	for _, name := range []string{
		"good.mkv", "good.txt", "good", "GOOD.M3U8", "-i.mp4", "--help", "concat:a|b.mp4", "http:example.mp4", "pipe:0.mp4",
		"f%03d.mp4", "it's \"50%\": [a];b,c.mp4", "two\nlines.mp4", "back\\slash.mp4", "\xff\xfe.mp4", " .mp4", "*?.mp4", "subfile,,start,0,end,0,,:x.mp4",
	} {
		src, err := lookAt(t, tool, write(name, data))
		if err != nil || src.Frames != 30 || src.Rate != (tags.Rate{Num: 25, Den: 1}) {
			t.Errorf("film by the name %q is %+v (%v)", name, src, err)
		}
	}
	if src, err := lookAt(t, tool, link("linked.mp4", good)); err != nil || src.Frames != 30 {
		t.Errorf("film behind a link is %+v (%v)", src, err)
	}
}

// Whatever a file says, no other file is opened and nobody is called. The other file is a
// pipe: whoever opens it waits there until we look; the one who is called is ourselves.
func TestNothingElseIsRead(t *testing.T) {
	t.Parallel()
	_, tool := newLibrary(t, "")
	dir := t.TempDir()
	bait := filepath.Join(dir, "bait.ts")
	if err := syscall.Mkfifo(bait, 0o666); err != nil {
		t.Fatal(err)
	}
	line, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = line.Close() }()
	var calls, opened atomic.Int64
	go func() {
		for {
			c, err := line.Accept()
			if err != nil {
				return
			}
			calls.Add(1)
			_ = c.Close()
		}
	}()
	done := make(chan struct{})
	defer close(done)
	go func() {
		for {
			select {
			case <-done:
				return
			case <-time.After(5 * time.Millisecond):
			}
			if f, err := os.OpenFile(bait, os.O_WRONLY|syscall.O_NONBLOCK, 0); err == nil {
				opened.Add(1)
				_ = f.Close() // and whoever reads it reads its end
			}
		}
	}()
	// The bait works.
	if _, err := os.ReadFile(bait); err != nil || opened.Load() == 0 {
		t.Fatalf("a reader of the bait is not noticed (%v)", err)
	}
	opened.Store(0)

	web := "http://" + line.Addr().String() + "/x.ts"
	hls := func(what string) string {
		return "#EXTM3U\n#EXT-X-VERSION:3\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\n" + what + "\n#EXT-X-ENDLIST\n"
	}
	dash := func(what string) string {
		return `<?xml version="1.0"?><MPD xmlns="urn:mpeg:dash:schema:mpd:2011" type="static" mediaPresentationDuration="PT1S" profiles="urn:mpeg:dash:profile:isoff-on-demand:2011"><Period><AdaptationSet mimeType="video/mp4"><Representation id="1" bandwidth="1"><BaseURL>` + what + `</BaseURL></Representation></AdaptationSet></Period></MPD>`
	}
	texts := map[string]string{}
	for _, to := range []string{bait, "bait.ts", "file:" + bait, web, "concat:" + bait + "|" + bait, "subfile,,start,0,end,100,,:" + bait, "crypto+" + bait} {
		texts["playlist of "+to] = hls(to)
		texts["master playlist of "+to] = "#EXTM3U\n#EXT-X-STREAM-INF:BANDWIDTH=1\n" + to + "\n"
		texts["keyed playlist of "+to] = strings.Replace(hls("x.ts"), "#EXTINF", "#EXT-X-KEY:METHOD=AES-128,URI=\""+to+"\"\n#EXTINF", 1)
		texts["script of "+to] = "ffconcat version 1.0\nfile '" + to + "'\n"
		texts["script that is not safe of "+to] = "ffconcat version 1.0\noption safe 0\nfile " + to + "\nduration 1\n"
		texts["manifest of "+to] = dash(to)
	}
	texts["a session"] = "v=0\no=- 0 0 IN IP4 127.0.0.1\ns=x\nc=IN IP4 127.0.0.1\nt=0 0\nm=video 5004 RTP/AVP 96\na=rtpmap:96 H264/90000\n"
	texts["metadata"] = ";FFMETADATA1\ntitle=" + bait + "\n"
	texts["a list of pictures"] = bait + "\n" + bait + "\n"
	texts["a graph"] = "movie=" + bait + "\n"
	if len(texts) < 40 {
		t.Fatalf("only %d texts", len(texts))
	}
	suffixes := []string{".mp4", ".m3u8", ".ts", ".mkv", ".mpd", ".ffconcat", ".txt", ".sdp", ".mov"}
	n := 0
	for what, text := range texts {
		path := filepath.Join(dir, fmt.Sprint("x", n, suffixes[n%len(suffixes)]))
		n++
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		if src, err := lookAt(t, tool, path); err == nil {
			t.Errorf("%s is taken for film: %+v", what, src)
		}
		if n := opened.Swap(0); n > 0 {
			t.Errorf("%s: another file was opened", what)
		}
		if n := calls.Swap(0); n > 0 {
			t.Errorf("%s: somebody was called", what)
		}
	}
}

// A file that is written while it is looked at is not taken for what it was or will be, and
// nothing wrong is kept of it.
func TestChangingFilm(t *testing.T) {
	t.Parallel()
	_, tool := newLibrary(t, "")
	dir, cache := t.TempDir(), t.TempDir()
	one, two, film25 := filepath.Join(dir, "one.mp4"), filepath.Join(dir, "two.mp4"), filepath.Join(dir, "film.mp4")
	makeFilm(t, tool, one, "-f", "lavfi", "-i", "testsrc2=s=64x36:r=25", "-frames:v", "30", "-pix_fmt", "yuv420p")
	makeFilm(t, tool, two, "-f", "lavfi", "-i", "testsrc2=s=128x72:r=50", "-frames:v", "70", "-pix_fmt", "yuv420p")
	copyTo := func(from, to string) {
		t.Helper()
		data, err := os.ReadFile(from)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(to, data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	copyTo(one, film25)
	// An ffprobe in whose run the file is written anew.
	slow := tool
	slow.FFprobe = filepath.Join(dir, "ffprobe")
	script := fmt.Sprintf("#!/bin/sh\ncp '%s' '%s'\nexec '%s' \"$@\"\n", two, film25, tool.FFprobe)
	if err := os.WriteFile(slow.FFprobe, []byte(script), 0o777); err != nil {
		t.Fatal(err)
	}
	src, err := film.NewLibrary(slow, cache).Source(context.Background(), film25)
	if err == nil || !strings.Contains(err.Error(), "changed") {
		t.Errorf("it is taken for %+v (%v), want it refused as changed", src, err)
	}
	copyTo(one, film25)
	src, err = film.NewLibrary(tool, cache).Source(context.Background(), film25)
	if err != nil || src.Frames != 30 || src.Width != 64 {
		t.Errorf("as it was, it is %+v (%v), want 30 frames 64 wide", src, err)
	}
	// Written over and over, as fast as can be.
	stop := make(chan struct{})
	stopped := make(chan error)
	go func() {
		var err error
		for i := 0; err == nil; i++ {
			select {
			case <-stop:
				stopped <- nil
				return
			default:
			}
			var data []byte
			if data, err = os.ReadFile([]string{one, two}[i%2]); err == nil {
				err = os.WriteFile(film25, data, 0o666)
			}
		}
		stopped <- err
	}()
	for range 10 {
		src, err := lookAt(t, tool, film25)
		if err != nil {
			continue
		}
		is := func(frames tags.Frame, width int) bool { return src.Frames == frames && src.Width == width }
		if !is(30, 64) && !is(70, 128) {
			t.Errorf("amid writing it is taken for %+v", src)
		}
	}
	close(stop)
	if err := <-stopped; err != nil {
		t.Fatal(err)
	}
}

// A look that is called off ends, whatever ffprobe does.
func TestLookIsCalledOff(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path, stuck := filepath.Join(dir, "a.mp4"), filepath.Join(dir, "ffprobe")
	for file, text := range map[string]string{path: "x", stuck: "#!/bin/sh\nexec sleep 3600\n"} {
		if err := os.WriteFile(file, []byte(text), 0o777); err != nil {
			t.Fatal(err)
		}
	}
	ctx, stop := context.WithTimeout(context.Background(), 200*time.Millisecond)
	defer stop()
	// Were ffprobe waited for, it would end well after an hour.
	_, err := film.NewLibrary(ffmpeg.Tool{FFprobe: stuck}, "").Source(ctx, path)
	if !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("it says %v", err)
	}
}
