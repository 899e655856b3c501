package render

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"trenchcut/pipeline/ffmpeg"
)

// segmentMovie makes a movie as segments are: x264 and PCM in QuickTime, with a ramp for
// sound whose every sample is its own number.
func segmentMovie(t testing.TB, dir string, frames, samples int) string {
	t.Helper()
	tool, err := ffmpeg.Find()
	if err != nil {
		t.Fatal(err)
	}
	raw, path := filepath.Join(dir, "raw"), filepath.Join(dir, "segment.mov")
	if err := os.WriteFile(raw, ramp(samples), 0o666); err != nil {
		t.Fatal(err)
	}
	err = tool.Run(context.Background(), []string{
		"-f", "lavfi", "-i", fmt.Sprintf("testsrc2=s=64x36:r=25:d=%g", float64(frames)/25), "-f", "s16le", "-ar", "48000", "-ac", "2", "-i", "file:" + raw,
		"-c:v", "libx264", "-pix_fmt", "yuv420p", "-c:a", "pcm_s16le", "-f", "mov", "file:" + path,
	}, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	return path
}

func ramp(samples int) []byte {
	var b []byte
	for i := range samples {
		b = binary.LittleEndian.AppendUint32(b, uint32(i))
	}
	return b
}

func TestReadMovie(t *testing.T) {
	for _, c := range []struct{ frames, samples int }{{1, 1920}, {50, 96_000}, {250, 480_000}} {
		path := segmentMovie(t, t.TempDir(), c.frames, c.samples)
		m, err := readMovie(path)
		if err != nil {
			t.Fatal(err)
		}
		if m.frames != int64(c.frames) || m.samples != int64(c.samples) || len(m.params) < 20 {
			t.Errorf("%d frames, %d samples and %d bytes of parameters, want %d and %d", m.frames, m.samples, len(m.params), c.frames, c.samples)
		}
		// The sound comes out sample for sample, whole or in part.
		for _, n := range []int{c.samples, c.samples - 1, 1, 0} {
			var got bytes.Buffer
			if err := copySound(&got, path, m, int64(n)); err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(got.Bytes(), ramp(n)) {
				t.Errorf("%d samples come out as %d bytes, or others", n, got.Len())
			}
		}
		if err := copySound(&bytes.Buffer{}, path, m, int64(c.samples+1)); err == nil {
			t.Error("more sound than there is: no error")
		}
	}
}

// A movie cut short anywhere is found out.
func TestReadMovieCutShort(t *testing.T) {
	path := segmentMovie(t, t.TempDir(), 50, 96_000)
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for n := 0; n < len(whole); n += 1 + len(whole)/200 {
		if err := os.WriteFile(path, whole[:n], 0o666); err != nil {
			t.Fatal(err)
		}
		if m, err := readMovie(path); err == nil && m.frames == 50 && m.samples == 96_000 {
			t.Errorf("the first %d of %d bytes were taken for the whole", n, len(whole))
		}
	}
}

func FuzzReadMovie(f *testing.F) {
	path := segmentMovie(f, f.TempDir(), 2, 100)
	whole, err := os.ReadFile(path)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(whole)
	f.Add([]byte("\x00\x00\x00\x01moov\x00\x00\x00\x00\x00\x00\x00\x10"))
	f.Fuzz(func(t *testing.T, data []byte) {
		path := filepath.Join(t.TempDir(), "fuzz.mov")
		if err := os.WriteFile(path, data, 0o666); err != nil {
			t.Fatal(err)
		}
		m, err := readMovie(path)
		if err != nil {
			return
		}
		// Whatever the tables claim, no sound is read from beyond the file.
		if err := copySound(&bytes.Buffer{}, path, m, m.samples); err != nil {
			t.Errorf("tables were accepted, yet %v", err)
		}
	})
}
