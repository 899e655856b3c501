package desk

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"

	"trenchcut/pipeline/farm"
	"trenchcut/pipeline/mark"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/reel"
	"trenchcut/pipeline/render"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// asked is a reel as the page asks for it.
type asked struct {
	Terms  string `json:"terms"`  // as find takes them
	Recipe string `json:"recipe"` // the name of one that comes with the program; empty is the default one
	Title  string `json:"title"`
	Plays  bool   `json:"plays"` // the unit is the play
}

// take is a play of a reel as the page previews it, or a slate.
type take struct {
	Play  int        `json:"play"`
	Rep   string     `json:"rep,omitempty"`
	Shown string     `json:"shown"`
	Angle string     `json:"angle,omitempty"` // the one that leads
	In    tags.Frame `json:"in"`
	Out   tags.Frame `json:"out"`
	// Drawn is the address of what is drawn: the picture of a slate, or the list of what lies
	// over the film.
	Drawn   string  `json:"drawn,omitempty"`
	Seconds float64 `json:"seconds,omitempty"` // for how long a slate stands
}

// making is how far a reel is.
type making struct {
	Stage string `json:"stage"`
	Done  int64  `json:"done"`
	Of    int64  `json:"of"`
	Said  string `json:"said,omitempty"` // what came of it, once it has ended
	Wrong bool   `json:"wrong,omitempty"`
	Made  string `json:"made,omitempty"` // the address of the reel
	Ended bool   `json:"ended"`
}

// reels makes one reel after the other.
type reels struct {
	request session.Request
	folder  string // of the game: reels go there
	at      *farm.Place
	events  render.Events

	mu      sync.Mutex
	state   making
	stop    context.CancelFunc // of the one that is being made; nil is none
	made    map[string]string  // paths by name
	preview preview            // the last one
	waiting mark.Watchers
}

// draft chooses what is asked for in the game as it is in the file.
func (r *reels) draft(ctx context.Context, a asked) (*reel.Draft, error) {
	if a.Recipe != "" && !slices.Contains(reel.RecipeNames(), a.Recipe) {
		return nil, fmt.Errorf("there is no recipe %q", a.Recipe)
	}
	request := reel.Request{Recipe: a.Recipe, Terms: spaced(a.Terms)}
	if a.Title != "" {
		request.Settings = append(request.Settings, plan.Setting{Key: "title", Value: a.Title})
	}
	if a.Plays {
		request.Settings = append(request.Settings, plan.Setting{Key: "plays", Value: "yes"})
	}
	recipe, err := reel.ReadRecipe(request)
	if err != nil {
		return nil, err
	}
	s, err := session.Load(ctx, r.request)
	if err != nil {
		return nil, err
	}
	draft, err := reel.Choose(ctx, s, recipe)
	if err != nil && !errors.Is(err, plan.ErrNothing) {
		return nil, err
	}
	return draft, errors.Join(s.Faults.Err(), err)
}

// spaced is text at its spaces, but for those between quotes.
func spaced(text string) []string {
	var words []string
	var word strings.Builder
	quote := rune(0)
	end := func() {
		if word.Len() > 0 {
			words = append(words, word.String())
			word.Reset()
		}
	}
	for _, r := range text {
		switch {
		case quote == 0 && (r == '"' || r == '\''):
			quote = r
		case r == quote:
			quote = 0
		case quote == 0 && (r == ' ' || r == '\t' || r == '\n'):
			end()
		default:
			word.WriteRune(r)
		}
	}
	end()
	return words
}

// takes is the plays of a reel in its order, each once, with the slates amid them. What is drawn
// for entry n of the plan is found at drawn(n).
func takes(p *plan.Plan, g *tags.Game, drawn func(n int) string) []take {
	var all []take
	last := ""
	for n, e := range p.Entries {
		if e.Segment.Card != nil {
			all = append(all, take{
				Play: e.Play, Shown: strings.TrimSuffix("Slate: "+e.Segment.Card.Title, ": "), Drawn: drawn(n) + ".png",
				Seconds: e.Segment.House.Rate.Duration(e.Segment.Frames()).Seconds(),
			})
			last = ""
			continue
		}
		if !e.Clip() {
			continue
		}
		key := fmt.Sprint(e.Play, e.Reps, e.Shows)
		if key == last {
			continue
		}
		last = key
		t := take{Play: e.Play, Angle: e.Angle, In: e.Segment.Span.In, Out: e.Segment.Span.Out, Shown: fmt.Sprintf("Play %d", e.Play), Drawn: drawn(n)}
		if len(e.Who) > 0 {
			t.Shown += ", " + strings.Join(e.Who, ", ")
		}
		if e.Shows == plan.ShowsModel {
			t.Shown += " (model)"
		}
		for _, play := range g.Plays {
			for _, rep := range play.Reps {
				if play.Number == e.Play && (slices.Contains(e.Reps, rep.Name()) || slices.Contains(e.Reps, plan.Unnamed(rep))) && t.Rep == "" {
					t.Rep = rep.Rusher.ID
				}
			}
		}
		all = append(all, t)
	}
	return all
}

// servePreview is the takes of the reel that is asked for.
func (s *Server) servePreview(w http.ResponseWriter, r *http.Request) {
	var a asked
	if !readJSON(w, r, &a) {
		return
	}
	draft, err := s.reels.draft(r.Context(), a)
	var p *plan.Plan
	if err == nil {
		draft.Recipe.Tracker = nil // it is watched at once: rings stand where they were marked
		p, err = draft.Plan(nil)
	}
	answer := struct {
		Takes []take `json:"takes"`
		Title string `json:"title"`
		Said  string `json:"said,omitempty"`
	}{}
	if err != nil {
		answer.Said = err.Error()
	} else {
		answer.Takes = takes(p, draft.Session.Season.Games[0], s.reels.show(p))
		answer.Title = draft.Recipe.Title
	}
	writeJSON(w, answer)
}

// serveMake begins to make a reel. How far it is is told by serveChanges.
func (s *Server) serveMake(ctx context.Context, w http.ResponseWriter, r *http.Request) {
	var a asked
	if !readJSON(w, r, &a) {
		return
	}
	if s.request.ReadOnly {
		http.Error(w, "no reel is made: the page was opened with --read-only", http.StatusConflict)
		return
	}
	ctx, stop := context.WithCancel(ctx)
	if !s.reels.begin(stop) {
		stop()
		http.Error(w, "a reel is being made already", http.StatusConflict)
		return
	}
	s.work.Go(func() {
		defer stop()
		path, said, err := s.reels.make(ctx, a)
		s.reels.end(path, said, err)
	})
	w.WriteHeader(http.StatusNoContent)
}

// serveStop ends the making of a reel.
func (s *Server) serveStop(w http.ResponseWriter, _ *http.Request) {
	s.reels.mu.Lock()
	defer s.reels.mu.Unlock()
	if s.reels.stop != nil {
		s.reels.stop()
	}
	w.WriteHeader(http.StatusNoContent)
}

// serveMade answers with a reel that was made here.
func (s *Server) serveMade(w http.ResponseWriter, r *http.Request) {
	s.reels.mu.Lock()
	path := s.reels.made[r.PathValue("name")]
	s.reels.mu.Unlock()
	if path == "" {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", "video/mp4")
	http.ServeFile(w, r, path)
}

// make makes the reel in the game's folder.
func (r *reels) make(ctx context.Context, a asked) (path, said string, err error) {
	draft, err := r.draft(ctx, a)
	if err != nil {
		return "", "", err
	}
	path, err = draft.Output(filepath.Join(r.folder, plan.FileName(draft.Recipe.Title)+".mp4"))
	if err != nil {
		return "", "", err
	}
	maker := &reel.Maker{Workers: max(runtime.GOMAXPROCS(0), 1), Events: r.tell}
	if r.at != nil {
		stop, err := maker.CutAt(ctx, *r.at, farm.Awaited)
		if err != nil {
			return "", "", err
		}
		defer stop()
	}
	report, err := maker.Make(ctx, draft, path)
	if !report.Made {
		return "", "", err
	}
	p := report.Plan
	said = fmt.Sprintf("%s: %s, %s", files.Base(path), tags.Count(p.Clips(), "clip"), p.House.Rate.Duration(report.Frames))
	if report.Replaced != "" {
		said += fmt.Sprintf(", in place of a reel of %q", report.Replaced)
	}
	return path, said, err
}

func (r *reels) begin(stop context.CancelFunc) bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.stop != nil {
		return false
	}
	r.stop, r.state = stop, making{Stage: "choosing"}
	r.waiting.Tell()
	return true
}

// tell is a [render.Events].
func (r *reels) tell(e render.Event) {
	if r.events != nil {
		r.events(e)
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.state = making{Stage: string(e.Stage), Done: int64(e.Done), Of: int64(e.Total)}
	r.waiting.Tell()
}

func (r *reels) end(path, said string, err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.stop = nil
	r.state = making{Said: said, Ended: true}
	if path != "" {
		name := files.Base(path)
		r.made[name] = path
		r.state.Made = "made/" + name
	}
	if err != nil {
		r.state.Said, r.state.Wrong = strings.TrimPrefix(said+"; "+err.Error(), "; "), true
	}
	if errors.Is(err, context.Canceled) {
		r.state.Said = "stopped"
	}
	r.waiting.Tell()
}

// now is how far the reel is; false where none was made yet.
func (r *reels) now() (making, bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.state, r.state != (making{})
}
