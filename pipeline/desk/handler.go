package desk

import (
	"bytes"
	"context"
	"embed"
	"encoding/json"
	"fmt"
	"html/template"
	"net/http"
	"path"
	"slices"
	"strings"
	"time"

	"trenchcut/pipeline/mark"
	"trenchcut/pipeline/reel"
	"trenchcut/tags/files"
)

//go:embed page.html *.html *.css *.js
var assets embed.FS

var pages = template.Must(template.ParseFS(assets, "page.html", "intake.html"))

// served is the files that pages ask for, and what they are.
var served = func() map[string]string {
	all := map[string]string{}
	list, _ := assets.ReadDir(".") // it is in the program
	for _, entry := range list {
		if kind := map[string]string{".css": "text/css", ".js": "text/javascript"}[path.Ext(entry.Name())]; kind != "" {
			all[entry.Name()] = kind
		}
	}
	return all
}()

// mostSent bounds what a page may send: a note is the longest of it.
const mostSent = 256 << 10

func (s *Server) handler(ctx context.Context) http.Handler {
	mux := s.shared()
	mux.HandleFunc("GET /{$}", s.servePage)
	mux.HandleFunc("POST /act", s.serveAct)
	mux.HandleFunc("POST /view", s.serveView)
	mux.HandleFunc("POST /preview", s.servePreview)
	mux.HandleFunc("GET /drawn/{preview}/{what}", s.serveDrawn)
	mux.HandleFunc("POST /make", func(w http.ResponseWriter, r *http.Request) { s.serveMake(ctx, w, r) })
	mux.HandleFunc("POST /stop", s.serveStop)
	mux.HandleFunc("GET /made/{name}", s.serveMade)
	mux.HandleFunc("GET /changes", func(w http.ResponseWriter, r *http.Request) { s.serveChanges(ctx, w, r) })
	return mux
}

// shared answers what both pages ask for.
func (s *Server) shared() *http.ServeMux {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /favicon.ico", func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusNoContent) })
	for name, kind := range served {
		mux.HandleFunc("GET /"+name, func(w http.ResponseWriter, _ *http.Request) {
			data, _ := assets.ReadFile(name) // it is in the program
			w.Header().Set("Content-Type", kind+"; charset=utf-8")
			_, _ = w.Write(data)
		})
	}
	mux.Handle("/film/", http.StripPrefix("/film", s.viewer))
	return mux
}

// intakeHandler answers the page of the intake.
func (s *Server) intakeHandler(ctx context.Context) http.Handler {
	mux := s.shared()
	mux.HandleFunc("GET /{$}", func(w http.ResponseWriter, _ *http.Request) {
		s.execute(w, "intake.html", map[string]any{"Title": files.Base(s.request.Game)})
	})
	mux.HandleFunc("POST /board", func(w http.ResponseWriter, _ *http.Request) { writeJSON(w, s.intake.board()) })
	mux.HandleFunc("POST /pair", func(w http.ResponseWriter, r *http.Request) { s.servePair(ctx, w, r) })
	mux.HandleFunc("POST /keep", s.serveKeep)
	mux.HandleFunc("POST /write", func(w http.ResponseWriter, r *http.Request) { s.serveWrite(ctx, w, r) })
	mux.HandleFunc("GET /changes", func(w http.ResponseWriter, r *http.Request) {
		changes, stop := s.intake.waiting.Watch()
		defer stop()
		serveEvents(ctx, w, r, map[string]source{"board": {changes, func() (any, bool) {
			b := s.intake.board()
			return map[string]any{"version": b.Version, "state": b.boardState}, true
		}}})
	})
	return mux
}

// execute answers with a page.
func (s *Server) execute(w http.ResponseWriter, name string, data any) {
	var out bytes.Buffer
	if err := pages.ExecuteTemplate(&out, name, data); err != nil {
		http.Error(w, "the page cannot be made", http.StatusInternalServerError)
		s.log.Error("make the page", "error", err)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write(out.Bytes())
}

// keyGroup is the keys that are listed together.
type keyGroup struct {
	Name string
	Keys []listedKey
}

// listedKey is a line of the list of keys.
type listedKey struct {
	Shown, What string
	Pass        mark.Pass
}

func (s *Server) servePage(w http.ResponseWriter, _ *http.Request) {
	var groups []keyGroup
	list := func(group string, k listedKey) {
		if i := slices.IndexFunc(groups, func(g keyGroup) bool { return g.Name == group }); i >= 0 {
			groups[i].Keys = append(groups[i].Keys, k)
			return
		}
		groups = append(groups, keyGroup{group, []listedKey{k}})
	}
	shown, film := map[string]string{}, map[string]string{}
	var marks []mark.Key
	for _, k := range s.doc.Keys() {
		list(k.Group, listedKey{k.Shown(), k.What, k.Pass})
		shown[k.Name] = k.Shown()
		if does, ok := strings.CutPrefix(k.Do, "film "); ok {
			film[k.Key] = does
		}
		if strings.HasPrefix(k.Do, "mark ") {
			k.What = k.Marks()
			marks = append(marks, k)
		}
	}
	for _, k := range mark.FieldKeys {
		list("In a field", listedKey{Shown: k.Shown, What: k.What})
	}
	filmKeys, err := json.Marshal(film)
	if err != nil {
		http.Error(w, "the page cannot be made", http.StatusInternalServerError)
		return
	}
	s.execute(w, "page.html", map[string]any{
		"Title": s.view(mark.Desk{}).Title, "Groups": groups, "Marks": marks, "Missing": s.Missing,
		"Key": shown, "FilmKeysJSON": string(filmKeys), "Recipes": reel.RecipeNames(),
	})
}

// answer is what the page is told after an act.
type answer struct {
	Desk mark.Desk `json:"desk"`
	View mark.View `json:"view"`
}

func (s *Server) serveAct(w http.ResponseWriter, r *http.Request) {
	var asked struct {
		Desk mark.Desk `json:"desk"`
		Act  mark.Act  `json:"act"`
	}
	if !readJSON(w, r, &asked) {
		return
	}
	desk := s.doc.Act(asked.Desk, asked.Act)
	writeJSON(w, answer{desk, s.view(desk)})
}

func (s *Server) serveView(w http.ResponseWriter, r *http.Request) {
	var asked struct {
		Desk mark.Desk `json:"desk"`
	}
	if !readJSON(w, r, &asked) {
		return
	}
	desk := s.doc.Settled(asked.Desk)
	writeJSON(w, answer{desk, s.view(desk)})
}

// view is what the page shows, with the addresses of the films.
func (s *Server) view(desk mark.Desk) mark.View {
	v := s.doc.View(desk)
	v.Angles = slices.DeleteFunc(v.Angles, func(a mark.Angle) bool { return s.films[a.File] == "" })
	for i, a := range v.Angles {
		v.Angles[i].Film = "film/" + s.films[a.File]
	}
	return v
}

func readJSON(w http.ResponseWriter, r *http.Request, into any) bool {
	d := json.NewDecoder(http.MaxBytesReader(w, r.Body, mostSent))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		http.Error(w, "this is not what the page sends", http.StatusBadRequest)
		return false
	}
	return true
}

func writeJSON(w http.ResponseWriter, v any) {
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(v) // whoever asked may have gone
}

// stillThere is how often a page is told that the server still runs, while nothing changes.
const stillThere = 15 * time.Second

// serveChanges tells a page each time the game has changed, or a reel is further on.
func (s *Server) serveChanges(ctx context.Context, w http.ResponseWriter, r *http.Request) {
	changes, stop := s.doc.Watch()
	defer stop()
	further, stopReels := s.reels.waiting.Watch()
	defer stopReels()
	serveEvents(ctx, w, r, map[string]source{
		"message": {changes, func() (any, bool) { return s.doc.Look().Version, true }},
		"making":  {further, func() (any, bool) { return s.reels.now() }},
	})
}

// source is what a page is told of: when, and what.
type source struct {
	changes <-chan struct{}
	now     func() (any, bool) // false where there is nothing to tell
}

// serveEvents tells a page what sources have, by server-sent events: what there is at first,
// and whatever changes until ctx or the request ends.
func serveEvents(ctx context.Context, w http.ResponseWriter, r *http.Request, sources map[string]source) {
	w.Header().Set("Content-Type", "text/event-stream")
	send := func(text string) bool {
		_, err := fmt.Fprint(w, text)
		return err == nil && http.NewResponseController(w).Flush() == nil
	}
	tell := func(name string) bool {
		value, has := sources[name].now()
		data, err := json.Marshal(value)
		return !has || err == nil && send(fmt.Sprintf("event: %s\ndata: %s\n\n", name, data))
	}
	told := make(chan string)
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	for name, source := range sources {
		go func() {
			for {
				select {
				case <-ctx.Done():
					return
				case <-source.changes:
				}
				select {
				case <-ctx.Done():
					return
				case told <- name:
				}
			}
		}()
		if !tell(name) {
			return
		}
	}
	tick := time.NewTicker(stillThere)
	defer tick.Stop()
	for {
		more := true
		select {
		case <-ctx.Done():
			return
		case <-r.Context().Done():
			return
		case <-tick.C:
			more = send(": still here\n\n")
		case name := <-told:
			more = tell(name)
		}
		if !more {
			return
		}
	}
}
