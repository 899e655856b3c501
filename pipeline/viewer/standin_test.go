package viewer_test

import (
	"net/http"
	"os"
	"path/filepath"
	"testing"
	"time"

	"trenchcut/pipeline/film"
	"trenchcut/pipeline/viewer"
	"trenchcut/tags"
)

// A stand-in has every frame of the film in its turn, is kept, and made again where it is
// damaged or was cut off.
func TestStandIn(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	path := b.film(footage{"transport.ts", rate5994, 700, true, []string{"-g", "60"}})
	folder := filepath.Join(b.dir, "standins")
	only := func() (path string, info os.FileInfo) {
		t.Helper()
		list, err := filepath.Glob(filepath.Join(folder, "*.mp4"))
		if err != nil || len(list) != 1 {
			t.Fatalf("the folder has %q (%v)", list, err)
		}
		info, err = os.Stat(list[0])
		if err != nil {
			t.Fatal(err)
		}
		for _, names := range []string{".*", "*.parts"} {
			if left, _ := filepath.Glob(filepath.Join(folder, names)); len(left) > 0 {
				t.Errorf("left over: %q", left)
			}
		}
		return list[0], info
	}
	show := func() {
		t.Helper()
		v := viewer.New(b.library, viewer.Options{Folder: folder})
		defer v.Close()
		f, err := v.Add(t.Context(), path)
		if err != nil {
			t.Fatal(err)
		}
		waitFor(t, v, "/"+f.ID+"/standin.mp4")
	}
	show()
	movie, made := only()
	src, err := film.NewLibrary(b.tool, "").Source(t.Context(), movie)
	if err != nil || src.Frames != 700 || src.Rate != rate5994 || src.Variable || src.First > 0 {
		t.Errorf("the stand-in is %+v (%v)", src, err)
	}
	// Every frame of it carries the number of the film's.
	v := viewer.New(b.library, viewer.Options{})
	defer v.Close()
	f, err := v.Add(t.Context(), movie)
	if err != nil {
		t.Fatal(err)
	}
	if !f.Plain {
		t.Error("browsers do not play the stand-in")
	}
	for n := tags.Frame(0); n < src.Frames; n += 23 {
		if got, err := shown(t, v, f, n); err != nil || got != n {
			t.Errorf("frame %d of the stand-in shows %d (%v)", n, got, err)
		}
	}
	show()
	if _, info := only(); !os.SameFile(info, made) {
		t.Error("a stand-in that is there was made again")
	}
	data, err := os.ReadFile(movie)
	if err != nil {
		t.Fatal(err)
	}
	data[len(data)/2] ^= 1
	if err := os.WriteFile(movie, data, 0o666); err != nil {
		t.Fatal(err)
	}
	// And one that was killed amid its work.
	if err := os.WriteFile(filepath.Join(folder, ".standin-1-"+filepath.Base(movie)), data[:1000], 0o666); err != nil {
		t.Fatal(err)
	}
	show()
	if _, info := only(); os.SameFile(info, made) {
		t.Error("a damaged stand-in is shown")
	}
}

// A stand-in of many parts is one movie in step with its sound, and goes on where the making
// of it was ended.
func TestPartsOfStandIn(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	// A tone from second 4 to 5 of 12.
	tone := []string{"-filter_complex", "[1:a]volume=volume='between(t,4,5)':eval=frame[a]", "-map", "0:v", "-map", "[a]", "-g", "60"}
	path := b.film(footage{"transport.ts", rate5994, 720, true, tone})
	o := viewer.Parted(viewer.Options{Folder: filepath.Join(b.dir, "standins")}, 2*tags.Second)
	v := viewer.New(b.library, o)
	f, err := v.Add(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	for v.Prepare(f).Done < 300 {
		if p := v.Prepare(f); p.State == viewer.Failed {
			t.Fatal(p.Said)
		}
		time.Sleep(5 * time.Millisecond)
	}
	v.Close()
	parts, err := filepath.Glob(filepath.Join(o.Folder, "*.parts", "*-*.mp4"))
	if err != nil || len(parts) == 0 || len(parts) > 5 {
		t.Fatalf("amid its making there are %q (%v)", parts, err)
	}
	data, err := os.ReadFile(parts[0])
	if err == nil { // one of them is damaged, and made again
		data[len(data)/2] ^= 1
		err = os.WriteFile(parts[0], data, 0o666)
	}
	if err != nil {
		t.Fatal(err)
	}
	again := b.viewer(o)
	if _, err := again.Add(t.Context(), path); err != nil {
		t.Fatal(err)
	}
	waitFor(t, again, "/"+f.ID+"/standin.mp4")
	movies, err := filepath.Glob(filepath.Join(o.Folder, "*.mp4"))
	if err != nil || len(movies) != 1 {
		t.Fatalf("there are %q (%v)", movies, err)
	}
	m, err := again.Add(t.Context(), movies[0])
	if err != nil {
		t.Fatal(err)
	}
	if !m.Plain || m.Source.Frames != f.Source.Frames || m.Source.Rate != rate5994 {
		t.Errorf("the stand-in is %+v", m)
	}
	for n := tags.Frame(0); n < 720; n += 7 {
		if got, err := shown(t, again, m, n); err != nil || got != n {
			t.Errorf("frame %d of the stand-in shows %d (%v)", n, got, err)
		}
	}
	sound := waitFor(t, again, "/"+m.ID+"/sound.bin")
	for c, loud := range sound {
		if in := c >= 41 && c < 49; in && loud < 150 || (c < 39 || c > 51) && loud > 60 {
			t.Errorf("at %d tenths of a second the stand-in's sound is %d", c, loud)
		}
	}
	if w := get(again, "/"+m.ID+"/film.mp4"); w.Code != http.StatusOK {
		t.Errorf("the stand-in as film is %d", w.Code)
	}
}
