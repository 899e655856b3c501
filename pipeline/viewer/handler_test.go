package viewer_test

import (
	"encoding/json"
	"errors"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"trenchcut/pipeline/viewer"
)

// Nothing is answered but what films that were added are asked for.
func TestHandler(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	v := b.viewer(viewer.Options{})
	path := b.film(footage{"film.mp4", rate2997, 60, false, nil})
	f, err := v.Add(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	other := filepath.Join(b.dir, "other.mp4")
	data, err := os.ReadFile(path)
	if err == nil {
		err = os.WriteFile(other, append(data, 0), 0o666)
	}
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		method, address string
		want            int
		kind            string
	}{
		{"GET", "/film.js", 200, "text/javascript; charset=utf-8"},
		{"GET", "/screen.js", 200, "text/javascript; charset=utf-8"},
		{"GET", "/facts.js", 200, "text/javascript; charset=utf-8"},
		{"GET", "/video.js", 200, "text/javascript; charset=utf-8"},
		{"GET", "/viewer.go", 404, ""},
		{"GET", "/film.css", 200, "text/css; charset=utf-8"},
		{"GET", "/" + f.ID + "/film.json", 200, "application/json"},
		{"GET", "/" + f.ID + "/film.mp4", 200, "video/mp4"},
		{"GET", "/" + f.ID + "/stills/59.jpg?width=320&at=50&view=a", 200, "image/jpeg"},
		{"GET", "/" + f.ID + "/sound.bin", 404, ""},
		{"GET", "/" + f.ID + "/stills/60.jpg", 404, ""},
		{"GET", "/" + f.ID + "/stills/-1.jpg", 404, ""},
		{"GET", "/" + f.ID + "/stills/0x1.jpg", 404, ""},
		{"GET", "/" + f.ID + "/stills/99999999999999999999.jpg", 404, ""},
		{"GET", "/" + f.ID + "/stills/1", 404, ""},
		{"GET", "/" + f.ID + "/stills/1.jpg?width=wide", 400, ""},
		{"GET", "/" + f.ID + "/stills/1.jpg?width=-5", 400, ""},
		{"GET", "/" + f.ID + "/stills/1.jpg?at=99999999999999", 400, ""},
		{"GET", "/" + f.ID + "/stills/1.jpg?view=" + strings.Repeat("a", 65), 400, ""},
		{"GET", "/" + f.ID + "/../film.js", 404, ""},
		{"GET", "/" + f.ID + "/..%2f..%2fother.mp4", 404, ""},
		{"GET", "/" + f.ID + "/other.mp4", 404, ""},
		{"GET", "/" + f.ID, 404, ""},
		{"GET", "/", 404, ""},
		{"GET", "/other.mp4", 404, ""},
		{"GET", "/" + strings.ToUpper(f.ID) + "/film.json", 404, ""},
		{"GET", "/../../other.mp4/film.mp4", 404, ""},
		{"POST", "/" + f.ID + "/film.json", 405, ""},
		{"DELETE", "/film.js", 405, ""},
	} {
		w := httptest.NewRecorder()
		v.ServeHTTP(w, httptest.NewRequest(test.method, test.address, nil))
		head := w.Result().Header
		if w.Code != test.want || test.kind != "" && head.Get("Content-Type") != test.kind {
			t.Errorf("%s %s is %d %s, want %d %s", test.method, test.address, w.Code, head.Get("Content-Type"), test.want, test.kind)
		}
		if head.Get("Cache-Control") != "no-store" {
			t.Errorf("%s %s may be kept: %q", test.method, test.address, head.Get("Cache-Control"))
		}
	}
	var facts viewer.Facts
	if err := json.Unmarshal(get(v, "/"+f.ID+"/film.json").Body.Bytes(), &facts); err != nil {
		t.Fatal(err)
	}
	if facts.Frames != 60 || facts.Rate != rate2997 || facts.Width != 320 || facts.Height != 180 || facts.Sound || facts.Video.State != viewer.Ready || facts.Video.File != "film.mp4" {
		t.Errorf("the facts are %+v", facts)
	}
	r := httptest.NewRequest(http.MethodGet, "/"+f.ID+"/film.mp4", nil)
	r.Header.Set("Range", "bytes=10-19")
	w := httptest.NewRecorder()
	v.ServeHTTP(w, r)
	if w.Code != http.StatusPartialContent || w.Body.String() != string(data[10:20]) {
		t.Errorf("a range is %d of %d bytes", w.Code, w.Body.Len())
	}
}

// Film that was changed is not shown as what it was.
func TestChangedFilm(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	v := b.viewer(viewer.Options{})
	path := b.film(footage{"film.mp4", rate2997, 60, false, nil})
	f, err := v.Add(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(b.film(footage{"other.mp4", rate2997, 90, false, nil}))
	if err == nil {
		err = os.WriteFile(path, data, 0o666)
	}
	if err != nil {
		t.Fatal(err)
	}
	for _, address := range []string{"/film.mp4", "/stills/5.jpg"} {
		if w := get(v, "/"+f.ID+address); w.Code != http.StatusConflict || !strings.Contains(w.Body.String(), "changed") {
			t.Errorf("%s of changed film is %d %s", address, w.Code, w.Body)
		}
	}
	if _, err := v.Add(t.Context(), path); !errors.Is(err, viewer.ErrChanged) {
		t.Errorf("opened again: error %v, want that it was changed", err)
	}
}
