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

// angleFilms is the film of the demo's first game from two angles, each play a shot, with noise
// as sensors make it, so that it is as hard to decode as film of a camera.
func angleFilms(b *testing.B, dir string) []string {
	demo := b.TempDir()
	ours(b, demo, filepath.Join(demo, "cache"), "demo", ".")
	films := []string{filepath.Join(dir, "endzone.mp4"), filepath.Join(dir, "sideline.mp4")}
	for i, clean := range []string{"wk1-harbor-endzone.mp4", "wk1-harbor-sideline.mp4"} {
		plain(b, append(append([]string{"-i", filepath.Join(demo, "film", clean), "-vf", "noise=alls=7:allf=t"}, encoder...), "-c:a", "copy", films[i])...)
	}
	return films
}

// BenchmarkOutline says how many times as long as a plain decoding of the same film an outline
// of two angles takes, and a second one with a pin.
func BenchmarkOutline(b *testing.B) {
	dir := b.TempDir()
	cache := filepath.Join(dir, "cache")
	films := angleFilms(b, dir)
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
