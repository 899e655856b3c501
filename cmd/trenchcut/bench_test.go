package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"trenchcut/pipeline/session"
)

// Speed is a ratio beside plain ffmpeg doing the same work in the same run, with the
// same encoder settings: seconds tell of the machine, ratios of this program.
const (
	benchRuns  = 3
	clipLength = 8  // seconds
	filmLength = 30 // minutes
)

// benchFilm makes film of half an hour.
func benchFilm(b *testing.B, dir, name string) string {
	b.Helper()
	return filmOf(b, dir, name, filmLength)
}

// filmOf makes film of so many minutes: one of moving picture with noise, as cameras have
// it, repeated by copying.
func filmOf(b *testing.B, dir, name string, minutes int) string {
	b.Helper()
	minute, film := filepath.Join(dir, "minute.mp4"), filepath.Join(dir, name)
	if _, err := os.Stat(minute); err != nil {
		plain(b, "-f", "lavfi", "-i", "testsrc2=s=1280x720:r=30000/1001,noise=alls=8:allf=t", "-f", "lavfi", "-i", "anoisesrc=r=48000:a=0.05",
			"-t", "60.06", "-c:v", "libx264", "-preset", "veryfast", "-crf", "23", "-g", "60", "-pix_fmt", "yuv420p", "-c:a", "aac", minute)
	}
	plain(b, "-stream_loop", fmt.Sprint(minutes-1), "-i", minute, "-c", "copy", film)
	return film
}

// plain runs ffmpeg as anyone would.
func plain(b *testing.B, args ...string) {
	b.Helper()
	cmd := exec.Command("ffmpeg", append([]string{"-v", "error", "-nostdin", "-y"}, args...)...)
	if out, err := cmd.CombinedOutput(); err != nil {
		b.Fatalf("ffmpeg %q: %v\n%s", args, err, out)
	}
}

var encoder = []string{"-c:v", "libx264", "-preset", "veryfast", "-crf", "20", "-pix_fmt", "yuv420p", "-g", "60"}

// starts is where clips begin, in whole seconds, spread over a film.
func starts(clips int) []int {
	list := make([]int, clips)
	for i := range list {
		list[i] = 5 + i*(filmLength*60-20)/clips
	}
	return list
}

// Cutting does not take longer out of longer film: the clips are spread over all of it.
func BenchmarkFilmLength(b *testing.B) {
	const clips = 6
	dir := b.TempDir()
	minutes := []int{10, 30, 120}
	var works []func()
	for _, m := range minutes {
		at := make([]int, clips)
		for i := range at {
			at[i] = 5 + i*(m*60-20)/clips
		}
		own := filepath.Join(dir, fmt.Sprint(m))
		if err := os.Mkdir(own, 0o777); err != nil {
			b.Fatal(err)
		}
		benchGameAt(b, own, []string{filmOf(b, dir, fmt.Sprintf("of%d.mp4", m), m)}, at)
		cache, out := filepath.Join(own, "cache"), filepath.Join(own, "reel.mp4")
		works = append(works, func() {
			for _, p := range []string{cache, out, filepath.Join(own, "reel.reel.json")} { // probed anew, too
				if err := os.RemoveAll(p); err != nil {
					b.Fatal(err)
				}
			}
			ours(b, own, cache, "reel", "-o", out, "--set", "before=3s", "--set", "after=1s")
		})
	}
	times := median(works...)
	for i, m := range minutes {
		b.ReportMetric(times[i].Seconds()/times[0].Seconds(), fmt.Sprintf("%dmin/%dmin", m, minutes[0]))
		b.Logf("%d clips of %d s from %d minutes: %.2f s", clips, clipLength, m, times[i].Seconds())
	}
}

// floor seeks, cuts and encodes each range without labels, two at a time, and joins by
// copy: the least that any program could do.
func floor(b *testing.B, dir, film string, clips int) {
	var list strings.Builder
	var wg sync.WaitGroup
	slots := make(chan struct{}, 2)
	for i, s := range starts(clips) {
		out := filepath.Join(dir, fmt.Sprintf("floor%d.mov", i))
		fmt.Fprintf(&list, "file '%s'\n", out)
		wg.Go(func() {
			slots <- struct{}{}
			plain(b, append(append([]string{"-threads", "1", "-ss", fmt.Sprint(s), "-i", film, "-t", fmt.Sprint(clipLength)}, encoder...),
				"-threads", "1", "-c:a", "pcm_s16le", out)...)
			<-slots
		})
	}
	wg.Wait()
	concat(b, dir, list.String())
}

func concat(b *testing.B, dir, list string) {
	file := filepath.Join(dir, "list")
	if err := os.WriteFile(file, []byte(list), 0o666); err != nil {
		b.Fatal(err)
	}
	plain(b, "-f", "concat", "-safe", "0", "-i", file, "-c:v", "copy", "-c:a", "aac", "-b:a", "160k", "-movflags", "+faststart", filepath.Join(dir, "concat.mp4"))
}

// graph is one command that trims each range out of the whole film and joins them.
func graph(b *testing.B, dir, film string, clips int) {
	var g strings.Builder
	for i, s := range starts(clips) {
		fmt.Fprintf(&g, "[0:v]trim=%d:%d,setpts=PTS-STARTPTS[v%d];[0:a]atrim=%d:%d,asetpts=PTS-STARTPTS[a%d];", s, s+clipLength, i, s, s+clipLength, i)
	}
	for i := range clips {
		fmt.Fprintf(&g, "[v%d][a%d]", i, i)
	}
	fmt.Fprintf(&g, "concat=n=%d:v=1:a=1[v][a]", clips)
	plain(b, append(append([]string{"-i", film, "-filter_complex", g.String(), "-map", "[v]", "-map", "[a]"}, encoder...),
		"-c:a", "aac", "-movflags", "+faststart", filepath.Join(dir, "graph.mp4"))...)
}

// benchGame tags one rep a clip on each of the films.
func benchGame(b *testing.B, dir string, films []string, clips int) {
	b.Helper()
	benchGameAt(b, dir, films, starts(clips))
}

// benchGameAt tags one rep on each of the films from each second in at.
func benchGameAt(b *testing.B, dir string, films []string, at []int) {
	var t strings.Builder
	t.WriteString("trenchcut: 1\ngame: {id: wk1}\nfilm:\n")
	for i, film := range films {
		fmt.Fprintf(&t, "  %s: {file: %q}\n", []string{"endzone", "sideline"}[i], film)
	}
	t.WriteString("people: {marlow: {name: Teo Marlow, team: us, jersey: 91}}\nplays:\n")
	for i, s := range at {
		fmt.Fprintf(&t, "  - play: %d\n    type: dropback\n    down: 3\n    distance: 8\n    angles:\n", i+1)
		for a := range films {
			fmt.Fprintf(&t, "      %s: {in: %ds, out: %ds, snap: %ds}\n", []string{"endzone", "sideline"}[a], s, s+clipLength, s+3)
		}
		t.WriteString("    marks: {finish: +4s}\n    reps: [91 9 long-arm>up-and-under short won sack]\n")
	}
	if err := os.WriteFile(filepath.Join(dir, "wk1.game.yaml"), []byte(t.String()), 0o666); err != nil {
		b.Fatal(err)
	}
}

// ours runs this program and returns the most memory it took itself, in MB. What wait
// tells of a process counts its children too, and here that is ffmpeg.
func ours(b *testing.B, dir, cache string, args ...string) (megabytes float64) {
	b.Helper()
	cmd := exec.Command("trenchcut", args...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), session.CacheVariable+"="+cache)
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	if err := cmd.Start(); err != nil {
		b.Fatal(err)
	}
	done := make(chan error, 1)
	go func() { done <- cmd.Wait() }()
	for {
		select {
		case err := <-done:
			if err != nil {
				b.Fatalf("trenchcut %q: %v\n%s", args, err, out.Bytes())
			}
			return megabytes
		case <-time.After(20 * time.Millisecond):
			megabytes = max(megabytes, peak(cmd.Process.Pid))
		}
	}
}

// peak is the most memory a running process has had so far, in MB; 0 where it is gone, or
// where there is no proc file system.
func peak(pid int) float64 {
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return 0
	}
	for line := range strings.Lines(string(status)) {
		var kilobytes float64
		if _, err := fmt.Sscanf(line, "VmHWM: %f kB", &kilobytes); err == nil {
			return kilobytes / 1024
		}
	}
	return 0
}

// median is of the runs of several works, taken by turns so that a busy spell of the
// machine falls on all of them.
func median(works ...func()) []time.Duration {
	times := make([][]time.Duration, len(works))
	for range benchRuns {
		for i, work := range works {
			start := time.Now()
			work()
			times[i] = append(times[i], time.Since(start))
		}
	}
	medians := make([]time.Duration, len(works))
	for i, t := range times {
		slices.Sort(t)
		medians[i] = t[len(t)/2]
	}
	return medians
}

func BenchmarkReel(b *testing.B) {
	const clips = 20
	dir := b.TempDir()
	film := benchFilm(b, dir, "one.mp4")
	benchGame(b, dir, []string{film}, clips)
	out, cache := filepath.Join(dir, "reel.mp4"), filepath.Join(dir, "cache")
	reel := []string{"reel", "-o", out, "--set", "before=3s", "--set", "after=1s"}

	remove := func(paths ...string) {
		for _, p := range paths {
			if err := os.RemoveAll(p); err != nil {
				b.Fatal(err)
			}
		}
	}
	manifest := filepath.Join(dir, "reel.reel.json")
	cold := median(
		func() { remove(out, manifest, filepath.Join(cache, "segments")); ours(b, dir, cache, reel...) },
		func() { floor(b, dir, film, clips) },
	)
	once := time.Now()
	graph(b, dir, film, clips)
	whole := time.Since(once)

	var list strings.Builder
	segments, err := filepath.Glob(filepath.Join(cache, "segments", "*", "*.mov"))
	if err != nil || len(segments) != clips+2 {
		b.Fatalf("%d segments (%v), want %d", len(segments), err, clips+2)
	}
	for _, s := range segments {
		fmt.Fprintf(&list, "file '%s'\n", s)
	}
	warm := median(
		func() { remove(out, manifest); ours(b, dir, cache, reel...) },
		func() { concat(b, dir, list.String()) },
		func() { ours(b, dir, cache, reel...) },
	)
	b.ReportMetric(cold[0].Seconds()/cold[1].Seconds(), "cold/floor")
	b.ReportMetric(cold[0].Seconds()/whole.Seconds(), "cold/graph")
	b.ReportMetric(warm[0].Seconds()/warm[1].Seconds(), "warm/concat")
	b.ReportMetric(warm[2].Seconds(), "s-unchanged")
	b.Logf("%d clips of %d s from %d minutes: this program %.1f s, floor %.1f s, one filter graph %.1f s; from a full cache %.2f s, concat %.2f s; unchanged %.3f s",
		clips, clipLength, filmLength, cold[0].Seconds(), cold[1].Seconds(), whole.Seconds(), warm[0].Seconds(), warm[1].Seconds(), warm[2].Seconds())
}

// The memory of this program itself over a long reel.
func BenchmarkMemory(b *testing.B) {
	dir := b.TempDir()
	films := []string{benchFilm(b, dir, "one.mp4"), benchFilm(b, dir, "two.mp4")}
	benchGame(b, dir, films, 30)
	b.ReportMetric(ours(b, dir, filepath.Join(dir, "cache"), "reel", "-o", filepath.Join(dir, "reel.mp4")), "MB")
}
