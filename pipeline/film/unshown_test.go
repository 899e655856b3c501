package film_test

import (
	"context"
	"path/filepath"
	"testing"

	"trenchcut/tags"
)

// Pictures of VP9 that are stored by themselves and never shown are no frames of the film, and
// do not make its rate vary.
func TestPicturesThatAreNeverShown(t *testing.T) {
	t.Parallel()
	library, tool := newLibrary(t, "")
	dir := t.TempDir()
	joined := filepath.Join(dir, "joined.webm")
	for _, pass := range []string{"1", "2"} { // in one pass there are none
		makeFilm(t, tool, joined, "-f", "lavfi", "-i", "testsrc2=s=96x64:r=30:d=2,format=yuv420p10le", "-c:v", "libvpx-vp9", "-b:v", "100k",
			"-auto-alt-ref", "1", "-lag-in-frames", "25", "-cpu-used", "5", "-threads", "1", "-g", "250", "-pass", pass, "-passlogfile", filepath.Join(dir, "pass"))
	}
	for _, name := range []string{"parted.webm", "parted.mp4"} {
		path := filepath.Join(dir, name)
		makeFilm(t, tool, path, "-i", joined, "-c", "copy", "-bsf:v", "vp9_superframe_split", "-fflags", "-autobsf")
		report, err := tool.Probe(context.Background(), path)
		if err != nil {
			t.Fatal(err)
		}
		if n := len(report.Packets); n <= 60 {
			t.Fatalf("%s: %d packets hold 60 frames, so that none is never shown", name, n)
		}
		s, err := library.Source(context.Background(), path)
		if err != nil {
			t.Fatal(err)
		}
		if (s.Rate != tags.Rate{Num: 30, Den: 1} || s.Variable || s.Gaps || s.Frames != 60) {
			t.Errorf("%s: %d frames at %s, variable %v, gaps %v; want 60 at 30", name, s.Frames, s.Rate, s.Variable, s.Gaps)
		}
	}
}
