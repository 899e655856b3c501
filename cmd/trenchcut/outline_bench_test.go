package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"trenchcut/pipeline/session"
)

// angleFilm is so many minutes of a camera that stops between plays: each shot is of another
// place of a field that has lines, with men who stand and then run, and noise over all.
func angleFilm(b *testing.B, path, seed string, minutes string) {
	b.Helper()
	field := "color=c=0x3f7a38:s=2560x1440:r=30000/1001,noise=alls=30:all_seed=" + seed + ",drawgrid=w=160:h=1440:t=6:c=white," +
		"crop=1280:720:x=600+300*sin(t/3)+floor(t/7)*97-floor(t/28)*388:y=300+100*mod(floor(t/7)\\,3),noise=alls=8:allf=t"
	minute := path + ".minute.mp4"
	plain(b, "-f", "lavfi", "-i", field, "-f", "lavfi", "-i", "testsrc2=s=900x400:r=30000/1001",
		"-filter_complex", "[1]crop=600:200:100:100[m];[0][m]overlay=x=340:y=320:enable=gt(mod(t\\,7)\\,3)",
		"-t", "56", "-c:v", "libx264", "-preset", "veryfast", "-crf", "23", "-g", "60", "-pix_fmt", "yuv420p", minute)
	plain(b, "-stream_loop", minutes, "-i", minute, "-c", "copy", path)
}

// BenchmarkOutline says how many times as long as a plain decoding of the same film an outline
// of two angles takes, and a second one with a pin.
func BenchmarkOutline(b *testing.B) {
	dir := b.TempDir()
	cache := filepath.Join(dir, "cache")
	films := []string{filepath.Join(dir, "endzone.mp4"), filepath.Join(dir, "sideline.mp4")}
	for i, film := range films {
		angleFilm(b, film, string(rune('1'+i)), "0")
	}
	var cpu [2][]time.Duration
	run := func(i int, name string, args ...string) {
		cmd := exec.Command(name, args...)
		cmd.Dir = dir
		cmd.Env = append(os.Environ(), session.CacheVariable+"="+cache)
		var said bytes.Buffer
		cmd.Stdout, cmd.Stderr = &said, &said
		if err := cmd.Run(); err != nil {
			b.Fatalf("%s %q: %v\n%s", name, args, err, said.Bytes())
		}
		cpu[i] = append(cpu[i], cmd.ProcessState.UserTime()+cmd.ProcessState.SystemTime())
	}
	outline := func() {
		for _, name := range []string{"cache", "wk1.game.yaml", "wk1.outline.png"} {
			if err := os.RemoveAll(filepath.Join(dir, name)); err != nil {
				b.Fatal(err)
			}
		}
		run(0, "trenchcut", "outline", "endzone.mp4", "sideline.mp4", "-o", "wk1.game.yaml")
	}
	decode := func() {
		for _, film := range films {
			run(1, "ffmpeg", "-v", "error", "-nostdin", "-i", film, "-an", "-f", "null", "-")
		}
	}
	again := func() {
		ours(b, dir, cache, "outline", "endzone.mp4", "sideline.mp4", "-o", "wk1.game.yaml", "--leave-out", "3")
	}
	times := median(outline, decode, again)
	sum := func(all []time.Duration) (s float64) {
		for _, d := range all {
			s += d.Seconds()
		}
		return s
	}
	b.ReportMetric(times[0].Seconds()/times[1].Seconds(), "outline/decode")
	b.ReportMetric(sum(cpu[0])/sum(cpu[1]), "cpu-outline/decode")
	b.ReportMetric(times[2].Seconds(), "s-again")
	b.Logf("outline %.1f s, decoding %.1f s, again %.2f s; %.1f and %.1f CPU seconds",
		times[0].Seconds(), times[1].Seconds(), times[2].Seconds(), sum(cpu[0])/benchRuns, sum(cpu[1])/benchRuns)
}
