package sync

import (
	"context"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/film"
	"trenchcut/tags"
)

func newLibrary(t *testing.T) (*film.Library, ffmpeg.Tool) {
	t.Helper()
	tool, err := ffmpeg.Find()
	if err != nil {
		t.Fatal(err)
	}
	return film.NewLibrary(tool, t.TempDir()), tool
}

// makeFilm makes a film with the arguments given.
func makeFilm(t *testing.T, tool ffmpeg.Tool, path string, args ...string) {
	t.Helper()
	if err := tool.Run(context.Background(), append(args, "file:"+path), nil, nil); err != nil {
		t.Fatal(err)
	}
}

// Two films of one event, through encoders: a telephone's sound against a camera's.
func TestListenToFilm(t *testing.T) {
	library, tool := newLibrary(t)
	dir := t.TempDir()
	const crowd = "anoisesrc=r=48000:a=0.4:c=brown:seed=7:d=70"
	a, b, other := filepath.Join(dir, "a.mp4"), filepath.Join(dir, "b.mkv"), filepath.Join(dir, "other.mp4")
	picture := func(rate string) []string { return []string{"-f", "lavfi", "-i", "color=s=64x36:r=" + rate} }
	encode := []string{"-map", "0:v", "-map", "[a]", "-shortest", "-c:v", "libx264", "-pix_fmt", "yuv420p"}
	makeFilm(t, tool, a, slices.Concat(picture("30000/1001"), []string{"-f", "lavfi", "-i", crowd, "-filter_complex", "[1]atrim=end=60[a]", "-c:a", "aac"}, encode)...)
	makeFilm(t, tool, b, slices.Concat(picture("25"), []string{
		"-f", "lavfi", "-i", crowd, "-f", "lavfi", "-i", "anoisesrc=r=48000:a=0.02:c=white:seed=8", "-filter_complex",
		// 40 millionths: what is a second on a lasts so much less on b.
		"[1]atrim=start=11.4,asetpts=PTS-STARTPTS,asetrate=48002,aresample=48000,aecho=0.8:0.7:31|77:0.3|0.2,volume=8[x];[x][2]amix=duration=first:normalize=0[a]",
		"-c:a", "libopus", "-b:a", "48k",
	}, encode)...)
	makeFilm(t, tool, other, slices.Concat(picture("25"), []string{"-f", "lavfi", "-i", strings.Replace(crowd, "seed=7", "seed=9", 1), "-filter_complex", "[1]anull[a]"}, encode)...)
	hear := func(path string) film.Sound {
		s, err := library.Hear(context.Background(), path, 0, 1<<62, nil)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	first := hear(a)
	got, err := Listen(context.Background(), first, hear(b))
	if err != nil {
		t.Fatal(err)
	}
	for _, at := range []float64{12, 35, 59} {
		want := (at - 11.4) * 48000 / 48002
		by := got.On(tags.Time(at * float64(tags.Second)))
		if off := at + by.Seconds() - want; max(off, -off) > 1.0/60 { // half a frame at 30 a second
			t.Errorf("at %g s it is %.4f s off (%+v)", at, off, got)
		}
	}
	if got, err := Listen(context.Background(), first, hear(other)); err == nil {
		t.Errorf("another crowd is put in step: %+v", got)
	}
}
