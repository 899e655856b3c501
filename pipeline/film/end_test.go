package film_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Film ends with its last picture, whatever its header says, and an out behind that is a
// fault.
func TestWhereFilmEnds(t *testing.T) {
	t.Parallel()
	library, tool := newLibrary(t, "")
	vocabulary, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	base := filepath.Join(dir, "base.mp4")
	makeFilm(t, tool, base, "-f", "lavfi", "-i", "testsrc2=s=64x64:r=30000/1001", "-frames:v", "90", "-c:v", "libx264", "-preset", "ultrafast", "-g", "30", "-bf", "2", "-pix_fmt", "yuv420p")
	claims := func(length float64) func([]byte) []byte {
		return func(data []byte) []byte {
			const name = "duration\x00" // and the number's type, then the number
			at := bytes.Index(data, []byte(name)) + len(name)
			binary.BigEndian.PutUint64(data[at:], math.Float64bits(length))
			return data
		}
	}
	cutOff := func(data []byte) []byte { return data[:len(data)*6/10] }
	for name, c := range map[string]struct {
		args   []string
		change func([]byte) []byte
		frames [2]tags.Frame // at least and at most
		note   string
	}{
		"whole.flv":     {nil, nil, [2]tags.Frame{90, 90}, ""},
		"silent.flv":    {[]string{"-flvflags", "no_duration_filesize"}, nil, [2]tags.Frame{90, 90}, ""},
		"boastful.flv":  {nil, claims(60), [2]tags.Frame{90, 90}, "its header says that it lasts 0:01:00.000, but its pictures end at 0:00:03.003"},
		"modest.flv":    {nil, claims(1), [2]tags.Frame{90, 90}, ""},
		"cut off.flv":   {nil, cutOff, [2]tags.Frame{40, 65}, "its header says that it lasts 0:00:03.0"},
		"whole.mkv":     {nil, nil, [2]tags.Frame{90, 90}, ""},
		"live.mkv":      {[]string{"-f", "matroska", "-live", "1"}, nil, [2]tags.Frame{90, 90}, ""},
		"cut off.mkv":   {nil, cutOff, [2]tags.Frame{40, 65}, "its header says that it lasts 0:00:03.0"},
		"cut off.ts":    {nil, cutOff, [2]tags.Frame{40, 65}, ""},
		"fragments.mp4": {[]string{"-movflags", "frag_keyframe+empty_moov"}, nil, [2]tags.Frame{90, 90}, ""},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(dir, name)
			makeFilm(t, tool, path, append([]string{"-i", base, "-c", "copy"}, c.args...)...)
			if c.change != nil {
				data, err := os.ReadFile(path)
				if err != nil {
					t.Fatal(err)
				}
				if err := os.WriteFile(path, c.change(data), 0o666); err != nil {
					t.Fatal(err)
				}
			}
			s, err := library.Source(context.Background(), path)
			if err != nil {
				t.Fatal(err)
			}
			if s.Frames < c.frames[0] || s.Frames > c.frames[1] {
				t.Errorf("%d frames, want %v", s.Frames, c.frames)
			}
			notes, err := library.Notes(context.Background(), path)
			if err != nil {
				t.Fatal(err)
			}
			said := slices.ContainsFunc(notes, func(n string) bool { return c.note != "" && strings.HasPrefix(n, c.note) })
			if odd := slices.ContainsFunc(notes, func(n string) bool { return strings.HasPrefix(n, "its header") }); odd != (c.note != "") || odd != said {
				t.Errorf("notes %q, want one as %q", notes, c.note)
			}
			for out, late := range map[tags.Frame]bool{s.Frames: false, s.Frames + 2: true} {
				game, faults := tags.ParseGame(filepath.Join(dir, "x.game.yaml"), fmt.Appendf(nil,
					"trenchcut: 1\ngame: {id: x, date: 2026-09-05, us: A, opponent: B}\nfilm: {side: {file: %q}}\nplays:\n  - {play: 1, angles: {side: {in: f10, out: f%d}}}\n", name, out), vocabulary)
				if len(faults) > 0 {
					t.Fatal(faults)
				}
				if faults := game.CheckFilm(plan.Extents(map[string]plan.Source{path: s})); (len(faults) > 0) != late {
					t.Errorf("out at %d of %d frames: %v", out, s.Frames, faults)
				}
			}
		})
	}
}
