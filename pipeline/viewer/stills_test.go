package viewer_test

import (
	"bytes"
	"fmt"
	"image/jpeg"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"testing"

	"trenchcut/pipeline/demo/strip"
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
	for _, test := range []struct {
		footage
		parts int
		shows func(n tags.Frame) tags.Frame // the number that frame n carries; nil is its own
	}{
		{footage: footage{"long-groups.mp4", rate2997, 700, true, nil}},
		{footage: footage{"long-groups.mkv", rate2997, 700, true, nil}},
		{footage: footage{"fast.mp4", rate5994, 700, false, nil}},
		{footage: footage{"transport.ts", rate2997, 700, true, []string{"-g", "60"}}},
		{footage: footage{"parts.mts", rate2997, 700, true, []string{"-g", "60", "-f", "mpegts"}}, parts: 3},
		{footage: footage{"one-group.mp4", rate2997, 700, false, []string{"-g", "10000"}}},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			b := newBench(t)
			path := b.film(test.footage)
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
