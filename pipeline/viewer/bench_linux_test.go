package viewer_test

import (
	"cmp"
	"flag"
	"fmt"
	"math/rand/v2"
	"net/http"
	"path/filepath"
	"slices"
	"strconv"
	"syscall"
	"testing"
	"time"

	"trenchcut/pipeline/viewer"
	"trenchcut/tags"
)

var (
	longMinutes = flag.Int("minutes", 0, "how long the film of BenchmarkJump and TestJumpInPage is; 0 is 180, and no TestJumpInPage")
	longFilm    = flag.String("film", "", "the film of BenchmarkJump, in place of one that is made")
	jumps       = flag.Int("jumps", 12, "how many jumps BenchmarkJump makes")
)

// BenchmarkJump is how long it takes until the still is there of a frame anywhere in long film
// of 1080 lines with ten seconds between key pictures, and then of the frames beside it. A plain
// ffmpeg that seeks to the same frame and writes it as wide stands beside it, in turns, because
// seconds tell of the machine.
func BenchmarkJump(b *testing.B) {
	bench := newBench(b)
	path := *longFilm
	if path == "" {
		path = bench.long(cmp.Or(*longMinutes, 180))
	}
	v := bench.viewer(viewer.Options{})
	f, err := v.Add(b.Context(), path)
	if err != nil {
		b.Fatal(err)
	}
	still := func(n, at tags.Frame) time.Duration {
		b.Helper()
		start := time.Now()
		if w := get(v, fmt.Sprintf("/%s/stills/%d.jpg?width=960&view=pane&at=%d", f.ID, n, at)); w.Code != http.StatusOK {
			b.Fatalf("frame %d: %d %s", n, w.Code, w.Body)
		}
		return time.Since(start)
	}
	r := rand.New(rand.NewPCG(1, 2))
	var plainly, jumped, stepped, plainCPU, ownCPU []time.Duration
	for b.Loop() {
		for range *jumps {
			n := tags.Frame(r.Int64N(int64(f.Source.Frames)-200)) + 100
			out := filepath.Join(bench.dir, "plain.jpg")
			start, before := time.Now(), spent()
			if err := bench.tool.Run(b.Context(), []string{
				"-ss", f.Source.Clock().At(n).Decimal(), "-i", "file:" + path, "-an", "-frames:v", "1", "-vf", "scale=960:-2", "-q:v", "4", "-y", "file:" + out,
			}, nil, nil); err != nil {
				b.Fatal(err)
			}
			plainly, plainCPU = append(plainly, time.Since(start)), append(plainCPU, spent()-before)

			before = spent()
			if err := bench.library.Stills(b.Context(), path, tags.Span{In: n, Out: n + 1}, 960, 540, func(tags.Frame, []byte) {}); err != nil {
				b.Fatal(err)
			}
			ownCPU = append(ownCPU, spent()-before)

			jumped = append(jumped, still(n, n))
			// A hand that steps takes a tenth of a second a step, and the page fetches ahead.
			for step := range tags.Frame(20) {
				time.Sleep(100 * time.Millisecond)
				stepped = append(stepped, still(n+1+step, n+1+step))
			}
			for {
				if _, live := v.Runs(); len(live) == 0 {
					break // so that the next is not slowed by what this one left
				}
				time.Sleep(10 * time.Millisecond)
			}
		}
	}
	for _, m := range []struct {
		what string
		took []time.Duration
	}{{"plain", plainly}, {"jump", jumped}, {"step", stepped}, {"plain-cpu", plainCPU}, {"still-cpu", ownCPU}} {
		slices.Sort(m.took)
		b.ReportMetric(m.took[len(m.took)/2].Seconds()*1000, m.what+"-median-ms")
		b.ReportMetric(m.took[0].Seconds()*1000, m.what+"-best-ms")
		b.ReportMetric(m.took[len(m.took)*9/10].Seconds()*1000, m.what+"-9in10-ms")
	}
	b.ReportMetric(0, "ns/op")
}

// spent is the CPU time of processes that were started and have ended.
func spent() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_CHILDREN, &u); err != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// long makes film of so many minutes, one minute repeated by copying.
func (b *bench) long(minutes int) string {
	b.t.Helper()
	picture, sound, path := filepath.Join(b.dir, "minute.mp4"), filepath.Join(b.dir, "minute.m4a"), filepath.Join(b.dir, "long.mp4")
	again := strconv.Itoa(minutes - 1)
	for _, args := range [][]string{
		{
			"-f", "lavfi", "-i", "testsrc2=s=1920x1080:r=30000/1001,noise=alls=12:allf=t", "-t", "60.06",
			"-c:v", "libx264", "-preset", "ultrafast", "-b:v", "8M", "-g", "300", "-keyint_min", "300", "-sc_threshold", "0", "-bf", "2", "-pix_fmt", "yuv420p",
			"file:" + picture,
		},
		{"-f", "lavfi", "-i", "anoisesrc=r=48000:a=0.05", "-t", "60.06", "-c:a", "aac", "file:" + sound},
		// Apart, or the end of the sound would part the minutes, and the rate would not be constant.
		{"-stream_loop", again, "-i", "file:" + picture, "-stream_loop", again, "-i", "file:" + sound, "-c", "copy", "file:" + path},
	} {
		if err := b.tool.Run(b.t.Context(), args, nil, nil); err != nil {
			b.t.Fatal(err)
		}
	}
	return path
}

// TestJumpInPage says how long a jump in that film takes in a browser, until its very frame is on
// the screen, and until its still is, which a step needs. It is for make bench, by -minutes, or
// for a film that browsers play, by -film.
func TestJumpInPage(t *testing.T) {
	if *longMinutes == 0 && *longFilm == "" {
		t.Skip("neither -minutes nor -film is given")
	}
	b := newBench(t)
	path := *longFilm
	if path == "" {
		path = b.long(*longMinutes)
	}
	v := b.viewer(viewer.Options{})
	f, err := v.Add(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	s := openScreen(t, v, f)
	s.Wait("screen.lead.smooth")
	s.Eval("screen.show(10)", nil)
	r := rand.New(rand.NewPCG(3, 4))
	var shown, still, steps, plain []float64
	for range *jumps {
		n := r.Int64N(int64(f.Source.Frames)-200) + 100
		start := time.Now()
		if err := b.tool.Run(t.Context(), []string{
			"-ss", f.Source.Clock().At(tags.Frame(n)).Decimal(), "-i", "file:" + path, "-an", "-frames:v", "1", "-vf", "scale=960:-2", "-q:v", "4", "-y", "file:" + filepath.Join(b.dir, "plain.jpg"),
		}, nil, nil); err != nil {
			t.Fatal(err)
		}
		plain = append(plain, float64(time.Since(start).Milliseconds()))
		var took struct {
			Shown, Still float64
			Steps        []float64
		}
		s.Eval(fmt.Sprintf(`(async () => {
			const start = performance.now();
			await screen.show(%[1]d);
			const shown = performance.now() - start;
			await fetch("film/%[2]s/stills/%[1]d.jpg?width=640");
			const still = performance.now() - start;
			const steps = [];
			for (let by = 1; by <= 20; by++) { // as fast as a hand steps
				await new Promise((done) => setTimeout(done, 100));
				const pressed = performance.now();
				await screen.show(%[1]d + by);
				steps.push(performance.now() - pressed);
			}
			return {shown, still, steps};
		})()`, n, f.ID), &took)
		shown, still, steps = append(shown, took.Shown), append(still, took.Still), append(steps, took.Steps...)
		for {
			if _, live := v.Runs(); len(live) == 0 {
				break
			}
			time.Sleep(10 * time.Millisecond)
		}
	}
	for _, list := range [][]float64{shown, still, steps, plain} {
		slices.Sort(list)
	}
	for _, m := range []struct {
		what string
		took []float64
	}{{"until the frame is there", shown}, {"until its still is", still}, {"a step", steps}, {"a plain ffmpeg", plain}} {
		t.Logf("%s: %.0f ms in the median, %.0f at best, %.0f in nine of ten", m.what, m.took[len(m.took)/2], m.took[0], m.took[len(m.took)*9/10])
	}
}
