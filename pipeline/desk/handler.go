package desk

import (
	"bytes"
	"context"
	"embed"
	"encoding/json"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strings"
	"time"

	"trenchcut/pipeline/mark"
	"trenchcut/pipeline/reel"
)

//go:embed page.html page.css page.js form.js stage.js line.js reel.js
var assets embed.FS

var page = template.Must(template.ParseFS(assets, "page.html"))

// mostSent bounds what a page may send: a note is the longest of it.
const mostSent = 256 << 10

func (s *Server) handler(ctx context.Context) http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", s.servePage)
	mux.HandleFunc("GET /favicon.ico", func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusNoContent) })
	for name, kind := range map[string]string{"page.css": "text/css", "page.js": "text/javascript", "form.js": "text/javascript", "stage.js": "text/javascript", "line.js": "text/javascript", "reel.js": "text/javascript"} {
		mux.HandleFunc("GET /"+name, func(w http.ResponseWriter, _ *http.Request) {
			data, _ := assets.ReadFile(name)
			w.Header().Set("Content-Type", kind+"; charset=utf-8")
			_, _ = w.Write(data)
		})
	}
	mux.Handle("/film/", http.StripPrefix("/film", s.viewer))
	mux.HandleFunc("POST /act", s.serveAct)
	mux.HandleFunc("POST /view", s.serveView)
	mux.HandleFunc("POST /preview", s.servePreview)
	mux.HandleFunc("POST /make", func(w http.ResponseWriter, r *http.Request) { s.serveMake(ctx, w, r) })
	mux.HandleFunc("POST /stop", s.serveStop)
	mux.HandleFunc("GET /made/{name}", s.serveMade)
	mux.HandleFunc("GET /changes", func(w http.ResponseWriter, r *http.Request) { s.serveChanges(ctx, w, r) })
	return s.guard.protect(mux)
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
	var out bytes.Buffer
	err = page.Execute(&out, map[string]any{"Title": s.view(mark.Desk{}).Title, "Groups": groups, "Marks": marks, "Missing": s.Missing, "Key": shown, "FilmKeysJSON": string(filmKeys), "Recipes": reel.RecipeNames()})
	if err != nil {
		http.Error(w, "the page cannot be made", http.StatusInternalServerError)
		s.log.Error("make the page", "error", err)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write(out.Bytes())
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

// stillThere is how often a page that nothing happens on is told so.
const stillThere = 15 * time.Second

// serveChanges tells a page each time the game has changed, by server-sent events.
func (s *Server) serveChanges(ctx context.Context, w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "text/event-stream")
	changes, stop := s.doc.Watch()
	defer stop()
	send := func(text string) bool {
		_, err := fmt.Fprint(w, text)
		return err == nil && http.NewResponseController(w).Flush() == nil
	}
	further, stopReels := s.reels.watch()
	defer stopReels()
	tellReel := func() bool {
		state, any := s.reels.now()
		if !any {
			return true
		}
		data, err := json.Marshal(state)
		return err == nil && send(fmt.Sprintf("event: making\ndata: %s\n\n", data))
	}
	if !send(": here\n\n") || !tellReel() {
		return
	}
	tick := time.NewTicker(stillThere)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-r.Context().Done():
			return
		case <-tick.C:
			if !send(": still here\n\n") {
				return
			}
		case <-further:
			if !tellReel() {
				return
			}
		case <-changes:
			if !send(fmt.Sprintf("data: %d\n\n", s.doc.Look().Version)) {
				return
			}
		}
	}
}
