// Package desk is the page at which somebody tags a game, and the server of it. All that is
// decided about tags is decided by package mark; the page shows and sends.
//
// The server listens on this computer alone, unless it is told to serve the network. Whoever
// asks must have come by the address that [Server.Address] gives, must ask for this host, and
// must not ask on behalf of another page. It serves the films of the one game and the reels made
// of it, and nothing else that lies on a disk.
package desk

import (
	"context"
	"crypto/rand"
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"path/filepath"
	"strconv"
	"sync"
	"sync/atomic"
	"time"

	"trenchcut/pipeline/farm"
	"trenchcut/pipeline/mark"
	"trenchcut/pipeline/outline"
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
	Port     int  // 0 is any that is free
	LAN      bool // other devices of the network may ask too, over TLS
	Log      *slog.Logger
	// Intake is untagged film to hold against a play sheet before there is a tag file; nil is
	// none. Its File is Game.
	Intake *outline.Request
	// At is the farm at which reels are cut as well; nil is this machine alone.
	At     *farm.Place
	Events render.Events // is told how far long work is that the page began; nil is nobody
}

// Server serves the page of one game.
type Server struct {
	Missing []string // films that cannot be shown, and why

	request  Request
	machine  *session.Machine
	doc      *mark.Document // nil while there is no tag file yet
	intake   *intake        // nil where there is none
	viewer   *viewer.Viewer
	films    map[string]string // the ID of each film file that is shown
	listener net.Listener
	guard    *guard
	log      *slog.Logger
	reels    *reels
	work     sync.WaitGroup               // what goes on beside the answers
	answers  atomic.Pointer[http.Handler] // of the page that is open
}

// Open reads the game, looks at its film and begins to listen. Faults in the game are for the
// page to show, but for those of a file that cannot be read at all.
func Open(ctx context.Context, r Request) (*Server, error) {
	s := &Server{request: r, films: map[string]string{}, log: r.Log}
	if s.log == nil {
		s.log = slog.New(slog.DiscardHandler)
	}
	if err := s.open(ctx); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

func (s *Server) open(ctx context.Context) error {
	var err error
	if s.machine, err = session.OpenMachine(); err != nil {
		return err
	}
	if err := s.machine.Ready(ctx); err != nil {
		return err
	}
	o := viewer.Options{Log: s.log, Room: stillsKept}
	if s.machine.NoCache == nil {
		o.Folder = session.StandIns(s.machine.Cache)
	}
	s.viewer = viewer.New(s.machine.Library, o)
	if s.request.Intake != nil {
		request := *s.request.Intake
		if err := request.Check(); err != nil {
			return err
		}
		s.intake = &intake{machine: s.machine, viewer: s.viewer, request: request, rows: map[int]*tags.Play{}}
		if events := s.request.Events; events != nil {
			s.intake.events = func(stage string, done, total tags.Frame) {
				events(render.Event{Stage: render.Stage(stage), Done: done, Total: total})
			}
		}
	} else if err := s.openGame(ctx); err != nil {
		return err
	}
	host := loopback
	if s.request.LAN {
		host = ""
	}
	if s.listener, err = net.Listen("tcp", net.JoinHostPort(host, strconv.Itoa(s.request.Port))); err != nil {
		return fmt.Errorf("listen for the page: %w", err)
	}
	s.guard, err = newGuard(s.listener.Addr(), s.request.LAN)
	return err
}

// stillsKept is how many bytes of stills are kept: a thousand or so of large film.
const stillsKept = 64 << 20

// loopback is the address of this computer that no other reaches.
const loopback = "127.0.0.1"

// openGame reads the tag file and has its films shown.
func (s *Server) openGame(ctx context.Context) error {
	r := s.request
	request := session.Request{Games: []string{r.Game}, Staff: r.Staff, Film: session.FilmOfGames}
	staff, err := request.StaffFiles()
	if err != nil {
		return err
	}
	keys, err := mark.ReadKeys(staff.Keys)
	if err != nil {
		return err
	}
	loaded, err := session.Load(ctx, request)
	if err != nil {
		return err
	}
	if len(loaded.Season.Games) == 0 {
		return fmt.Errorf("%s holds no game: %w", r.Game, loaded.Faults.Err())
	}
	doc, err := mark.Open(r.Game, loaded.Season.Vocabulary, mark.Options{ReadOnly: r.ReadOnly, Films: plan.Extents(loaded.Films), Keys: keys})
	if err != nil {
		return err
	}
	s.doc = doc
	s.reels = &reels{
		request: request, folder: filepath.Dir(r.Game), at: r.At, events: r.Events,
		made: map[string]string{},
	}
	return s.openFilms(ctx)
}

// openFilms has the game's films shown. One that is missing is no failure: what needs no film
// can be tagged all the same.
func (s *Server) openFilms(ctx context.Context) error {
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
func (s *Server) Address() string { return s.guard.addresses()[0] }

// Others is the addresses of the page on the other networks of this computer.
func (s *Server) Others() []string { return s.guard.addresses()[1:] }

// Fingerprint is the SHA-256 of the certificate by which other devices know the server; empty
// where it answers this computer alone.
func (s *Server) Fingerprint() string { return s.guard.fingerprint }

// followEvery is how often the tag file is looked at for what others write to it.
const followEvery = 300 * time.Millisecond

// Serve answers until ctx ends. Nothing waits to be saved then.
func (s *Server) Serve(ctx context.Context) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	s.begin(ctx)
	server := &http.Server{
		Handler: s.guard.protect(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { (*s.answers.Load()).ServeHTTP(w, r) })), ReadHeaderTimeout: 10 * time.Second, MaxHeaderBytes: 32 << 10,
		BaseContext: func(net.Listener) context.Context { return ctx },
	}
	context.AfterFunc(ctx, func() { _ = server.Close() })
	defer s.work.Wait()
	defer stop()
	server.ErrorLog = slog.NewLogLogger(s.log.Handler(), slog.LevelDebug) // devices that refuse the certificate are no fault
	listener := s.listener
	if s.guard.tls != nil {
		listener = tls.NewListener(listener, s.guard.tls)
	}
	if err := server.Serve(listener); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}

// begin opens the page: that of the intake, or of the game.
func (s *Server) begin(ctx context.Context) {
	page := s.handler
	if s.doc == nil {
		page = s.intakeHandler
		s.intake.look(ctx, &s.work)
	} else {
		go s.follow(ctx)
	}
	handler := page(ctx)
	s.answers.Store(&handler)
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
	if s.doc != nil {
		s.doc.Close()
	}
}

// secret is text that nobody guesses.
func secret() string { return rand.Text() }
