package viewer_test

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"testing"

	xdraw "golang.org/x/image/draw"

	"trenchcut/pipeline/demo/strip"
	"trenchcut/pipeline/internal/brief"
	"trenchcut/pipeline/internal/realfilm"
	"trenchcut/pipeline/viewer"
	"trenchcut/tags"
)

// get asks v for what is at an address below it.
func get(v *viewer.Viewer, address string) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	v.ServeHTTP(w, httptest.NewRequest(http.MethodGet, address, nil))
	return w
}

// shown is the number that the still of frame n carries.
func shown(t *testing.T, v *viewer.Viewer, f *viewer.Film, n tags.Frame) (tags.Frame, error) {
	t.Helper()
	w := get(v, fmt.Sprintf("/%s/stills/%d.jpg?view=test", f.ID, n))
	if w.Code != http.StatusOK {
		return -1, fmt.Errorf("%d %s", w.Code, w.Body)
	}
	img, err := jpeg.Decode(bytes.NewReader(w.Body.Bytes()))
	if err != nil {
		return -1, err
	}
	return strip.Read(img, img.Bounds())
}

// The still of every frame is that frame, whatever the film is and however one gets there.
func TestExact(t *testing.T) {
	t.Parallel()
	// In short: long groups of pictures, a transport stream, its parts, uneven times, hidden frames.
	briefly := []string{"long-groups.mkv", "late.ts", "parts.mts", "variable.mp4", "edit-list.mp4"}
	for _, test := range []struct {
		footage
		parts  int
		change func(b *bench, path string)
		shows  func(n tags.Frame) tags.Frame // the number that frame n carries; nil is its own
	}{
		{footage: footage{"long-groups.mp4", rate2997, 700, true, nil}},
		{footage: footage{"long-groups.mkv", rate2997, 700, true, nil}},
		{footage: footage{"fast.mp4", rate5994, 700, false, nil}},
		{footage: footage{"transport.ts", rate2997, 700, true, []string{"-g", "60"}}},
		{footage: footage{"parts.mts", rate2997, 700, true, []string{"-g", "60", "-f", "mpegts"}}, parts: 3},
		{footage: footage{"variable.mp4", tags.Rate{Num: 30, Den: 1}, 700, true, []string{"-vf", "select='not(eq(mod(n,7),3)+eq(mod(n,7),5))'", "-fps_mode", "vfr"}}, shows: variable},
		{footage: footage{"late.ts", rate2997, 700, true, []string{"-g", "60", "-output_ts_offset", "10"}}},
		{footage: footage{"interlaced.mts", tags.Rate{Num: 25, Den: 1}, 300, true, []string{"-flags", "+ildct+ilme", "-x264-params", "tff=1"}}},
		{footage: footage{"edit-list.mp4", rate2997, 700, true, nil}, change: trim, shows: func(n tags.Frame) tags.Frame { return n + trimmed }},
		{footage: footage{"one-group.mp4", rate2997, 700, false, []string{"-g", "10000"}}},
	} {
		t.Run(test.name, func(t *testing.T) {
			brief.Only(t, slices.Contains(briefly, test.name))
			t.Parallel()
			b := newBench(t)
			path := b.film(test.footage)
			if test.change != nil {
				test.change(b, path)
			}
			if test.parts > 0 {
				path = b.split(path, 188, test.parts)
			}
			v := b.viewer(viewer.Options{})
			f, err := v.Add(t.Context(), path)
			if err != nil {
				t.Fatal(err)
			}
			frames := f.Source.Frames
			walk(t, frames, func(n tags.Frame) {
				t.Helper()
				want := n
				if test.shows != nil {
					want = test.shows(n)
				}
				if got, err := shown(t, v, f, n); err != nil || got != want {
					t.Errorf("frame %d shows %d (%v), want %d", n, got, err, want)
				}
			})
			if w := get(v, fmt.Sprintf("/%s/stills/%d.jpg", f.ID, frames)); w.Code != http.StatusNotFound {
				t.Errorf("the frame after the last is %d", w.Code)
			}
		})
	}
}

// walk goes through a film as one who tags it does: first and last frame, jumps, a few steps
// either way after each, and a run of steps back across more than a window.
func walk(t *testing.T, frames tags.Frame, look func(n tags.Frame)) {
	t.Helper()
	look(0)
	look(1)
	look(frames - 1)
	look(frames - 2)
	r := rand.New(rand.NewPCG(1, 2))
	for range 5 {
		n := tags.Frame(r.Int64N(int64(frames)))
		for _, step := range []tags.Frame{0, 1, 2, 1, 0, -1, -2, -8} {
			look(min(max(n+step, 0), frames-1))
		}
	}
	for n := frames/2 + 70; n > frames/2-70; n -= 5 {
		look(n)
	}
}

// variable is the number that frame n of film carries of whose every seven frames the third
// and the fifth are not there, so that the one before stays on.
func variable(n tags.Frame) tags.Frame {
	if n%7 == 3 || n%7 == 5 {
		return n - 1
	}
	return n
}

// trimmed is how many frames trim takes off the start.
const trimmed = 36

// trim cuts the start off without coding anew: an edit list hides the frames before.
func trim(b *bench, path string) {
	b.t.Helper()
	whole := path + ".whole.mp4"
	err := os.Rename(path, whole)
	if err == nil {
		err = b.tool.Run(b.t.Context(), []string{"-ss", rate2997.Duration(trimmed).Decimal(), "-i", "file:" + whole, "-c", "copy", "file:" + path}, nil, nil)
	}
	if err != nil {
		b.t.Fatal(err)
	}
}

// Stills of film of real cameras are the pictures that the film has there when it is decoded
// from its start.
func TestExactInRealFilm(t *testing.T) {
	t.Parallel()
	folder := realfilm.Folder(t)
	b := newBench(t)
	v := b.viewer(viewer.Options{})
	names := []string{"phone-rotated-hdr-editlist.mp4", "phone-variable-rate.mp4", "interlaced-25.mts", "starts-at-10s-anamorphic.mp4"}
	if testing.Short() {
		names = names[:1]
	}
	for _, name := range names {
		f, err := v.Add(t.Context(), filepath.Join(folder, name))
		if err != nil {
			t.Fatal(err)
		}
		const most = 100
		frames := min(f.Source.Frames, most)
		const width, height = 64, 36
		truth := make([]*image.Gray, frames)
		if err := b.library.Pictures(t.Context(), filepath.Join(folder, name), tags.Span{Out: frames}, width, height, func(n tags.Frame, planes []byte) {
			truth[n] = &image.Gray{Pix: bytes.Clone(planes[:width*height]), Stride: width, Rect: image.Rect(0, 0, width, height)}
		}); err != nil {
			t.Fatal(err)
		}
		for _, n := range []tags.Frame{frames - 1, frames / 2, frames/2 - 1, 0, 1} {
			w := get(v, fmt.Sprintf("/%s/stills/%d.jpg?width=320", f.ID, n))
			if w.Code != http.StatusOK {
				t.Errorf("frame %d of %s: %d %s", n, name, w.Code, w.Body)
				continue
			}
			got := small(t, w.Body.Bytes(), width, height)
			best, least := tags.Frame(-1), math.Inf(1)
			for m, picture := range truth {
				if d := apart(got, picture); d < least {
					best, least = tags.Frame(m), d
				}
			}
			// Frames that repeat are as near as the one.
			if own := apart(got, truth[n]); own > least+0.02 || own > 6 {
				t.Errorf("%s: the still of frame %d is %.2f steps of light from it, and %.2f from frame %d", name, n, own, least, best)
			}
		}
	}
}

// small is a JPEG made small, in grey of limited range.
func small(t *testing.T, data []byte, width, height int) *image.Gray {
	t.Helper()
	img, err := jpeg.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	out := image.NewGray(image.Rect(0, 0, width, height))
	xdraw.CatmullRom.Scale(out, out.Bounds(), img, img.Bounds(), xdraw.Src, nil)
	for i, light := range out.Pix {
		out.Pix[i] = uint8(16 + int(light)*219/255)
	}
	return out
}

// apart is by how much two pictures differ, but for how light each is as a whole.
func apart(a, b *image.Gray) float64 {
	mean := 0.0
	for i := range a.Pix {
		mean += (float64(a.Pix[i]) - float64(b.Pix[i])) / float64(len(a.Pix))
	}
	sum := 0.0
	for i := range a.Pix {
		sum += math.Abs(float64(a.Pix[i]) - float64(b.Pix[i]) - mean)
	}
	return sum / float64(len(a.Pix))
}
