package viewer_test

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"trenchcut/pipeline/demo/strip"
	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/film"
	"trenchcut/pipeline/viewer"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

var (
	rate2997 = tags.Rate{Num: 30000, Den: 1001}
	rate5994 = tags.Rate{Num: 60000, Den: 1001}
)

// footage is film whose frames carry their number, with groups of 300 pictures and three
// B-frames unless mux says otherwise.
type footage struct {
	name   string
	rate   tags.Rate
	frames tags.Frame
	sound  bool
	mux    []string // further arguments for ffmpeg
}

// bench is a workplace of a test.
type bench struct {
	t       testing.TB
	tool    ffmpeg.Tool
	library *film.Library
	dir     string
}

func newBench(t testing.TB) *bench {
	t.Helper()
	tool, err := ffmpeg.Find()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	return &bench{t, tool, film.NewLibrary(tool, filepath.Join(dir, "cache")), dir}
}

// viewer is one with stand-ins, closed when the test ends.
func (b *bench) viewer(o viewer.Options) *viewer.Viewer {
	b.t.Helper()
	if o.Folder == "" {
		o.Folder = filepath.Join(b.dir, "standins")
	}
	v := viewer.New(b.library, o)
	b.t.Cleanup(v.Close)
	return v
}

// shot holds the bytes of footage that was made for any test, by how it is made.
var shot sync.Map // of func() ([]byte, error)

// film makes the footage, or copies it where another test had the same made.
func (b *bench) film(f footage) string {
	b.t.Helper()
	path := filepath.Join(b.dir, f.name)
	once, _ := shot.LoadOrStore(fmt.Sprint(f), sync.OnceValues(func() ([]byte, error) {
		if err := b.shoot(f, path); err != nil {
			return nil, err
		}
		return os.ReadFile(path)
	}))
	data, err := once.(func() ([]byte, error))()
	if err == nil {
		err = os.WriteFile(path, data, 0o666)
	}
	if err != nil {
		b.t.Fatal(err)
	}
	return path
}

func (b *bench) shoot(f footage, path string) error {
	const width, height = 320, 180
	args := []string{"-f", "rawvideo", "-pix_fmt", "rgba", "-s", fmt.Sprintf("%dx%d", width, height), "-r", f.rate.String(), "-i", "pipe:0"}
	if f.sound {
		args = append(args, "-f", "lavfi", "-i", "sine=f=440:r=48000:d="+f.rate.Duration(f.frames).Decimal(), "-c:a", "aac")
	}
	args = append(args, "-pix_fmt", "yuv420p", "-c:v", "libx264", "-preset", "ultrafast", "-refs", "3", "-crf", "18", "-g", "300", "-bf", "3", "-sc_threshold", "0")
	args = append(append(args, f.mux...), "file:"+path)
	r, w := io.Pipe()
	go func() { w.CloseWithError(strip.Film(w, width, height, f.frames)) }()
	return b.tool.Run(context.Background(), args, r, nil)
}

// split cuts the file at path into so many parts beside it, each a whole number of packets.
func (b *bench) split(path string, packet, n int) string {
	b.t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		b.t.Fatal(err)
	}
	var parts []string
	packets := len(data) / packet
	for i := range n {
		part := filepath.Join(b.dir, fmt.Sprintf("part%d%s", i+1, filepath.Ext(path)))
		if err := os.WriteFile(part, data[packets*i/n*packet:packets*(i+1)/n*packet], 0o666); err != nil {
			b.t.Fatal(err)
		}
		parts = append(parts, part)
	}
	return files.Whole(parts)
}
