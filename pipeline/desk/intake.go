package desk

import (
	"context"
	"errors"
	"net/http"
	"slices"
	"strings"
	"sync"

	"trenchcut/pipeline/mark"
	"trenchcut/pipeline/outline"
	"trenchcut/pipeline/page"
	"trenchcut/pipeline/session"
	"trenchcut/pipeline/viewer"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// intake is the board on which the shots of untagged film are held against the rows of a play
// sheet, before there is a tag file. All that is decided about them is decided by package
// outline: what somebody moves is a pin of its next look.
type intake struct {
	machine *session.Machine
	viewer  *viewer.Viewer
	events  func(stage string, done, total tags.Frame)

	mu      sync.Mutex
	request outline.Request // with what was pinned and left out
	found   *outline.Proposal
	films   map[string]string  // the ID of each film file
	rows    map[int]*tags.Play // of the sheet, as earlier looks had them: a play that no film shows is none of a proposal's
	state   boardState
	version int
	stop    context.CancelFunc // of the look that goes on; nil is none
	waiting mark.Watchers
}

// boardState is how far a look through the film is.
type boardState struct {
	Looking bool   `json:"looking"`
	Stage   string `json:"stage,omitempty"`
	Done    int64  `json:"done"`
	Of      int64  `json:"of"`
	Said    string `json:"said,omitempty"` // what is wrong
	Written bool   `json:"written"`        // the tag file is there: the page of tagging is open
}

// board is all that the page of the intake shows.
type board struct {
	boardState
	Version int        `json:"version"`
	File    string     `json:"file"`
	Rows    []boardRow `json:"rows"`
	Unused  []shotCard `json:"unused"`
	Sheet   *sheetRead `json:"sheet,omitempty"`
	moves
	Doubtful int `json:"doubtful"` // how many plays are not sure
}

// boardRow is a play of the sheet with the shots that show it.
type boardRow struct {
	Play      int        `json:"play"`
	Situation string     `json:"situation,omitempty"`
	YardLine  string     `json:"yardLine,omitempty"`
	Hash      string     `json:"hash,omitempty"`
	Clock     string     `json:"clock,omitempty"`
	Shots     []shotCard `json:"shots"`
	Doubt     string     `json:"doubt,omitempty"`
	Pinned    bool       `json:"pinned"`
	Absent    bool       `json:"absent"` // no film shows it
}

// says takes over what the sheet says of the play; nil is nothing.
func (r *boardRow) says(of *tags.Play) {
	if of != nil {
		r.Situation = strings.TrimSpace(of.DownAndDistance() + " " + of.Type)
		r.YardLine, r.Hash, r.Clock = of.YardLine, of.Hash, of.Clock
	}
}

type shotCard struct {
	Shot  int        `json:"shot"`
	Angle mark.Angle `json:"angle"`
	Still tags.Frame `json:"still"`
	Why   string     `json:"why,omitempty"` // it is of no play
}

// moves is all that somebody has said against what was found. A page always sends all of it:
// sending an earlier moves takes back what was said since.
type moves struct {
	Pins    []pinned          `json:"pins"`
	LeftOut []int             `json:"leftOut"`
	Columns map[string]string `json:"columns"` // what columns of the sheet are, by their headings
}

type pinned struct {
	Play int `json:"play"`
	Shot int `json:"shot"` // 0 is a play that was not filmed
}

// look searches the film again with what is pinned, and ends a search that is under way.
func (i *intake) look(ctx context.Context, work *sync.WaitGroup) {
	i.mu.Lock()
	defer i.mu.Unlock()
	if i.stop != nil {
		i.stop()
	}
	ctx, stop := context.WithCancel(ctx)
	i.stop = stop
	i.state = boardState{Looking: true}
	request := i.request
	request.Pins, request.LeaveOut = slices.Clone(request.Pins), slices.Clone(request.LeaveOut)
	i.told()
	work.Go(func() {
		defer stop()
		found, err := outline.Find(ctx, i.machine.Library, request, func(stage outline.Stage, done, total tags.Frame) {
			i.mu.Lock()
			defer i.mu.Unlock()
			if ctx.Err() == nil {
				i.progress(string(stage), done, total)
			}
		})
		var ids map[string]string
		if err == nil {
			ids, err = i.show(ctx, found)
		}
		i.mu.Lock()
		defer i.mu.Unlock()
		if ctx.Err() != nil {
			return // another look goes on
		}
		i.state = boardState{}
		if err != nil {
			i.state.Said = said(err)
		} else {
			i.found, i.films = found, ids
			for _, p := range found.Plays {
				if p.Row != nil {
					i.rows[p.Number] = p.Row
				}
			}
		}
		i.told()
	})
}

// show has the films of the shots shown.
func (i *intake) show(ctx context.Context, found *outline.Proposal) (map[string]string, error) {
	ids := map[string]string{}
	for _, s := range found.Shots {
		if ids[s.File] != "" {
			continue
		}
		f, err := i.viewer.Add(ctx, s.File)
		if err != nil {
			return nil, err
		}
		ids[s.File] = f.ID
	}
	return ids, nil
}

func (i *intake) progress(stage string, done, total tags.Frame) {
	i.state.Stage, i.state.Done, i.state.Of = stage, int64(done), int64(total)
	if i.events != nil {
		i.events(stage, done, total)
	}
	i.told()
}

// told tells whoever watches that the board is another.
func (i *intake) told() {
	i.version++
	i.waiting.Tell()
}

// card is a shot as the page shows it.
func (i *intake) card(s *outline.Shot) shotCard {
	c := shotCard{Shot: s.ID, Still: s.Span.In + s.Span.Len()/2}
	c.Angle = mark.Angle{Angle: s.Angle, Film: "film/" + i.films[s.File], Step: s.Span.In, Marks: []mark.MarkedAt{
		{Mark: "in", Name: "in", Frame: s.Span.In}, {Mark: "out", Name: "out", Frame: s.Span.Out},
	}}
	if s.Snaps {
		c.Still, c.Angle.Step = s.Snap, s.Snap
		c.Angle.Marks = append(c.Angle.Marks, mark.MarkedAt{Mark: "snap", Name: "snap", Frame: s.Snap, Guess: true})
	}
	return c
}

func (i *intake) board() board {
	i.mu.Lock()
	defer i.mu.Unlock()
	b := board{boardState: i.state, Version: i.version, File: files.Base(i.request.File)}
	b.LeftOut, b.Columns = i.request.LeaveOut, i.request.Told
	for _, pin := range i.request.Pins {
		b.Pins = append(b.Pins, pinned{pin.Play, pin.Shot})
	}
	if i.found == nil {
		return b
	}
	b.Sheet = readSheet(i.found.Sheet, i.request)
	for _, p := range i.found.Plays {
		row := boardRow{Play: p.Number, Doubt: p.Doubt()}
		row.says(p.Row)
		for _, s := range p.Shots {
			row.Shots = append(row.Shots, i.card(s))
		}
		row.Pinned = slices.ContainsFunc(i.request.Pins, func(pin outline.Pin) bool { return pin.Play == p.Number })
		if row.Doubt != "" {
			b.Doubtful++
		}
		b.Rows = append(b.Rows, row)
	}
	for _, number := range i.found.Absent {
		row := boardRow{Play: number, Absent: true}
		row.says(i.rows[number])
		row.Pinned = slices.ContainsFunc(i.request.Pins, func(pin outline.Pin) bool { return pin.Play == number })
		b.Rows = append(b.Rows, row)
	}
	slices.SortStableFunc(b.Rows, func(x, y boardRow) int { return x.Play - y.Play })
	for _, s := range i.found.Unused() {
		c := i.card(s)
		c.Why = s.Why()
		b.Unused = append(b.Unused, c)
	}
	return b
}

// servePair takes what somebody moved, and looks again.
func (s *Server) servePair(ctx context.Context, w http.ResponseWriter, r *http.Request) {
	var moved moves
	if !readJSON(w, r, &moved) {
		return
	}
	s.intake.mu.Lock()
	next := s.intake.request
	s.intake.mu.Unlock()
	next.Pins, next.LeaveOut, next.Told = nil, moved.LeftOut, moved.Columns
	for _, p := range moved.Pins {
		next.Pins = append(next.Pins, outline.Pin{Play: p.Play, Shot: p.Shot})
	}
	if err := next.Check(); err != nil {
		http.Error(w, err.Error(), http.StatusConflict)
		return
	}
	s.intake.mu.Lock()
	s.intake.request = next
	s.intake.mu.Unlock()
	s.intake.look(ctx, &s.work)
	writeJSON(w, s.intake.board())
}

// serveWrite writes the tag file and opens the page at which it is tagged.
func (s *Server) serveWrite(ctx context.Context, w http.ResponseWriter, _ *http.Request) {
	if err := s.intake.write(ctx); err != nil {
		http.Error(w, err.Error(), http.StatusConflict)
		return
	}
	if err := s.openGame(ctx); err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	s.begin(ctx)
	s.intake.mu.Lock()
	s.intake.state.Written = true
	s.intake.told()
	s.intake.mu.Unlock()
	w.WriteHeader(http.StatusNoContent)
}

func (i *intake) write(ctx context.Context) error {
	i.mu.Lock()
	found, looking, file := i.found, i.state.Looking, i.request.File
	if found == nil || looking {
		i.mu.Unlock()
		return errors.New("the film is still being looked through")
	}
	i.state = boardState{Looking: true}
	i.told()
	i.mu.Unlock()
	defer func() {
		i.mu.Lock()
		defer i.mu.Unlock()
		i.state = boardState{}
		i.told()
	}()
	picture, err := found.ContactSheet(ctx, i.machine.Library, func(stage outline.Stage, done, total tags.Frame) {
		i.mu.Lock()
		defer i.mu.Unlock()
		i.progress(string(stage), done, total)
	})
	if err != nil {
		return err
	}
	if picture, err = page.MarkPNG(picture); err != nil {
		return err
	}
	return found.Write(outline.ContactFile(file), picture, files.Policy{Ours: page.IsFile})
}
