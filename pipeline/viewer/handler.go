package viewer

import (
	"bytes"
	"embed"
	"encoding/json"
	"errors"
	"net/http"
	"os"
	"strconv"
	"strings"
	"time"

	"trenchcut/pipeline/film"
	"trenchcut/tags"
)

//go:embed *.js
var modules embed.FS

//go:embed film.css
var style []byte

// Facts is what a page must know of a film.
type Facts struct {
	Frames   tags.Frame    `json:"frames"` // how many it has, the first is 0
	Rate     tags.Rate     `json:"rate"`   // of its frames, {num, den}
	First    float64       `json:"first"`  // when frame 0 is shown on the film's own time, in seconds
	Start    tags.Frame    `json:"start"`  // its start timecode, as frames from 00:00:00:00
	Counting tags.Counting `json:"counting"`
	Width    int           `json:"width"` // as shown
	Height   int           `json:"height"`
	Sound    bool          `json:"sound"`
	Columns  int           `json:"columns"` // bytes a second of sound.bin and motion.bin
	Video    Video         `json:"video"`
}

// Video is how a film is played.
type Video struct {
	// File is what to play, beside film.json: film.mp4, or standin.mp4 once it is ready. Its
	// frame n is shown from n/rate on.
	File string `json:"file"`
	Progress
}

// The widths that stills come in.
var widths = []int{320, 480, 640, 960, 1280, 1600, 1920, 2560, 3840}

// wide returns the least of widths that is no less than asked, and never more than the film is
// wide.
func (f *Film) wide(asked int) int {
	for _, w := range widths {
		if w >= min(asked, f.Source.Width) {
			return min(w, f.Source.Width)
		}
	}
	return widths[len(widths)-1]
}

// ServeHTTP answers what the package's documentation lists.
func (v *Viewer) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("X-Content-Type-Options", "nosniff")
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		w.Header().Set("Allow", "GET, HEAD")
		http.Error(w, "only GET is answered here", http.StatusMethodNotAllowed)
		return
	}
	id, rest, _ := strings.Cut(strings.TrimPrefix(r.URL.Path, "/"), "/")
	if rest == "" {
		switch id {
		case "film.js", "facts.js", "screen.js", "stills.js", "video.js":
			module, _ := modules.ReadFile(id) // it is in the program
			serve(w, "text/javascript; charset=utf-8", module)
		case "film.css":
			serve(w, "text/css; charset=utf-8", style)
		default:
			http.NotFound(w, r)
		}
		return
	}
	f := v.film(id)
	if f == nil {
		http.Error(w, "no such film is open", http.StatusNotFound)
		return
	}
	switch rest {
	case "film.json":
		v.serveFacts(w, f, r.URL.Query().Get("video") == "standin")
	case "film.mp4":
		v.serveFilm(w, r, f)
	case "standin.mp4":
		v.serveStandIn(w, r, f)
	case "sound.bin", "motion.bin":
		data, p := v.strip(f, strings.TrimSuffix(rest, ".bin"))
		if p.State != Ready {
			tell(w, p)
			return
		}
		serve(w, "application/octet-stream", data)
	default:
		if name, ok := strings.CutPrefix(rest, "stills/"); ok {
			v.serveStill(w, r, f, name)
			return
		}
		http.NotFound(w, r)
	}
}

func (v *Viewer) serveFacts(w http.ResponseWriter, f *Film, standIn bool) {
	src := f.Source
	facts := Facts{
		Frames: src.Frames, Rate: src.Rate, First: src.First.Seconds(), Start: src.Start, Counting: src.Counting,
		Width: src.Width, Height: src.Height, Sound: src.Audio >= 0, Columns: Columns,
	}
	if f.Plain && !standIn {
		facts.Video = Video{"film.mp4", v.playing(f)}
	} else {
		facts.Video = Video{"standin.mp4", v.standingIn(f)}
	}
	serveJSON(w, http.StatusOK, facts)
}

// serveFilm answers with the film itself.
func (v *Viewer) serveFilm(w http.ResponseWriter, r *http.Request, f *Film) {
	if !f.Plain {
		http.Error(w, "browsers do not play this film as it is", http.StatusNotFound)
		return
	}
	if err := f.unchanged(); err != nil {
		fail(w, err)
		return
	}
	serveMovie(w, r, f.path)
}

func (v *Viewer) serveStandIn(w http.ResponseWriter, r *http.Request, f *Film) {
	if p := v.standingIn(f); p.State != Ready {
		tell(w, p)
		return
	}
	v.mu.Lock()
	movie := v.standIns[f.ID]
	v.mu.Unlock()
	serveMovie(w, r, movie.path)
}

func serveMovie(w http.ResponseWriter, r *http.Request, path string) {
	file, err := os.Open(path)
	if err != nil {
		http.Error(w, "the film cannot be read", http.StatusNotFound)
		return
	}
	defer file.Close()
	w.Header().Set("Content-Type", "video/mp4") // QuickTime's files are read as these
	http.ServeContent(w, r, "", time.Time{}, file)
}

func (v *Viewer) serveStill(w http.ResponseWriter, r *http.Request, f *Film, name string) {
	number, isJPEG := strings.CutSuffix(name, ".jpg")
	n, err := strconv.ParseInt(number, 10, 64)
	if !isJPEG || err != nil || n < 0 || tags.Frame(n) >= f.Source.Frames {
		http.Error(w, "the film has no such frame", http.StatusNotFound)
		return
	}
	query := r.URL.Query()
	asked, at := int64(standInWidth), n
	for key, into := range map[string]*int64{"width": &asked, "at": &at} {
		if !query.Has(key) {
			continue
		}
		if *into, err = strconv.ParseInt(query.Get(key), 10, 32); err != nil || *into < 0 {
			http.Error(w, key+" is to be a number", http.StatusBadRequest)
			return
		}
	}
	view := query.Get("view")
	if len(view) > 64 {
		http.Error(w, "the name of a view has at most 64 letters", http.StatusBadRequest)
		return
	}
	at = min(at, int64(f.Source.Frames)-1)
	jpeg, err := v.stills.get(r.Context(), sized{f, f.wide(int(asked))}, tags.Frame(n), tags.Frame(at), view)
	if err != nil {
		fail(w, err)
		return
	}
	serve(w, "image/jpeg", jpeg)
}

// fail answers with what went wrong.
func fail(w http.ResponseWriter, err error) {
	status := http.StatusInternalServerError
	switch {
	case errors.Is(err, ErrChanged):
		status = http.StatusConflict
	case errors.Is(err, film.ErrNoPicture):
		status = http.StatusUnprocessableEntity
	}
	http.Error(w, err.Error(), status)
}

// tell answers with how far work is that is not done.
func tell(w http.ResponseWriter, p Progress) {
	status := http.StatusAccepted
	switch p.State {
	case Failed:
		http.Error(w, p.Said, http.StatusInternalServerError)
		return
	case None:
		http.Error(w, p.Said, http.StatusNotFound)
		return
	}
	serveJSON(w, status, p)
}

func serveJSON(w http.ResponseWriter, status int, value any) {
	var b bytes.Buffer
	if err := json.NewEncoder(&b).Encode(value); err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_, _ = w.Write(b.Bytes()) // who asked has gone
}

func serve(w http.ResponseWriter, kind string, data []byte) {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Length", strconv.Itoa(len(data)))
	_, _ = w.Write(data) // who asked has gone
}
