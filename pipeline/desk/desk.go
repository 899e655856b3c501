// Package desk is the page at which somebody tags a game, and the server of it. All that is
// decided about tags is decided by package mark; the page shows and sends.
//
// The server listens on this computer alone. Whoever asks must have come by the address that
// [Server.Address] gives, must ask for this host, and must not ask on behalf of another page.
// It serves the films of the one game and nothing else that lies on a disk.
package desk

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"path/filepath"
	"strconv"
	"sync"
	"time"

	"trenchcut/pipeline/mark"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/pipeline/session"
	"trenchcut/pipeline/viewer"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Request says which game is tagged, and how.
type Request struct {
	Game     string // the tag file
	Staff    tags.StaffFiles
	ReadOnly bool
	Port     int // 0 is any that is free
	Log      *slog.Logger
	Events   render.Events // is told how far a reel is that the page has made; nil is nobody
}

// Server serves the page of one game.
type Server struct {
	Missing []string // films that cannot be shown, and why

	doc      *mark.Document
	viewer   *viewer.Viewer
	films    map[string]string // the ID of each film file that is shown
	listener net.Listener
	guard    *guard
	log      *slog.Logger
	readOnly bool
	reels    *reels
	work     sync.WaitGroup // what goes on beside the answers
}

// Open reads the game, looks at its film and begins to listen. Faults in the game are for the
// page to show, but for those of a file that cannot be read at all.
func Open(ctx context.Context, r Request) (*Server, error) {
	request := session.Request{Games: []string{r.Game}, Staff: r.Staff, Film: session.FilmOfGames}
	staff, err := request.StaffFiles()
	if err != nil {
		return nil, err
	}
	keys, err := mark.ReadKeys(staff.Keys)
	if err != nil {
		return nil, err
	}
	loaded, err := session.Load(ctx, request)
	if err != nil {
		return nil, err
	}
	if len(loaded.Season.Games) == 0 {
		return nil, fmt.Errorf("%s holds no game: %w", r.Game, loaded.Faults.Err())
	}
	doc, err := mark.Open(r.Game, loaded.Season.Vocabulary, mark.Options{ReadOnly: r.ReadOnly, Films: plan.Extents(loaded.Films), Keys: keys})
	if err != nil {
		return nil, err
	}
	s := &Server{doc: doc, films: map[string]string{}, log: r.Log, readOnly: r.ReadOnly}
	s.reels = &reels{
		request: request, folder: filepath.Dir(r.Game), events: r.Events,
		made: map[string]string{}, changed: map[chan struct{}]bool{},
	}
	if s.log == nil {
		s.log = slog.New(slog.DiscardHandler)
	}
	if err := s.openFilms(ctx, loaded); err != nil {
		s.Close()
		return nil, err
	}
	if s.listener, err = net.Listen("tcp", net.JoinHostPort(loopback, strconv.Itoa(r.Port))); err != nil {
		s.Close()
		return nil, fmt.Errorf("listen for the page: %w", err)
	}
	s.guard = newGuard(s.listener.Addr().String())
	return s, nil
}

// loopback is the address of this computer that no other reaches.
const loopback = "127.0.0.1"

// openFilms has the game's films shown. One that is missing is no failure: what needs no film
// can be tagged all the same.
func (s *Server) openFilms(ctx context.Context, loaded *session.Session) error {
	machine, err := loaded.Machine()
	if err != nil {
		return err
	}
	o := viewer.Options{Log: s.log}
	if machine.NoCache == nil {
		o.Folder = filepath.Join(machine.Cache, "standins")
	}
	s.viewer = viewer.New(machine.Library, o)
	for _, ref := range s.doc.Look().Game.Files() {
		film, err := s.viewer.Add(ctx, ref.File)
		switch {
		case ctx.Err() != nil:
			return context.Cause(ctx)
		case err != nil:
			s.Missing = append(s.Missing, fmt.Sprintf("%s: %v", files.Base(ref.File), err))
			continue
		}
		s.films[ref.File] = film.ID
	}
	return nil
}

// Address is where the page is; who has it may tag the game.
func (s *Server) Address() string {
	return "http://" + s.guard.host + "/?" + tokenKey + "=" + s.guard.token
}

// followEvery is how often the tag file is looked at for what others write to it.
const followEvery = 300 * time.Millisecond

// Serve answers until ctx ends. Nothing waits to be saved then.
func (s *Server) Serve(ctx context.Context) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	go s.follow(ctx)
	server := &http.Server{
		Handler: s.handler(ctx), ReadHeaderTimeout: 10 * time.Second, MaxHeaderBytes: 32 << 10,
		BaseContext: func(net.Listener) context.Context { return ctx },
	}
	context.AfterFunc(ctx, func() { _ = server.Close() })
	defer s.work.Wait()
	defer stop()
	if err := server.Serve(s.listener); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}

// follow takes in what others write to the tag file.
func (s *Server) follow(ctx context.Context) {
	tick := time.NewTicker(followEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			if _, err := s.doc.Refresh(); err != nil {
				s.log.Debug("the tag file cannot be read", "error", err)
			}
		}
	}
}

// Close lets go of the game and its film.
func (s *Server) Close() {
	if s.listener != nil {
		_ = s.listener.Close()
	}
	if s.viewer != nil {
		s.viewer.Close()
	}
	s.doc.Close()
}

// secret is text that nobody guesses.
func secret() string { return rand.Text() }
