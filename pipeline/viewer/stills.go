package viewer

import (
	"context"
	"errors"
	"log/slog"
	"runtime"
	"slices"
	"sync"

	"trenchcut/pipeline/film"
	"trenchcut/tags"
)

// How many frames one run of ffmpeg decodes, and how few may be left on that side of what a
// pane shows before more are decoded. A window of sixty costs about what a single still does
// ten seconds behind its key picture. What lies before is decoded from the key picture on each
// time, and its last frame, which is needed first, comes last: there are more at once, and sooner.
const (
	windowForth, lowForth tags.Frame = 60, 40
	windowBack, lowBack   tags.Frame = 120, 80
)

// before is how many frames are decoded before one that somebody waits for.
const before tags.Frame = 6

// mostViews bounds how many panes are remembered; mostRuns how many runs are at work at once.
const (
	mostViews = 32
	mostRuns  = 8
)

// stills decodes stills ahead of those who look at them.
type stills struct {
	library *film.Library
	log     *slog.Logger
	ctx     context.Context
	group   sync.WaitGroup

	mu      sync.Mutex
	kept    *shelf
	runs    []*run // in the order they were asked for, those at work among them
	views   map[string]*view
	clock   int64         // counts the looks of views
	changed chan struct{} // closed, and another put in its place, when a still came or a run ended
	decoded int           // how many runs were started, for tests
}

// run is one run of ffmpeg: it decodes the frames of span from the first to the last.
type run struct {
	sized
	span    tags.Span
	next    tags.Frame // the frame that it decodes next
	view    string     // whose it is
	urgent  bool       // somebody waited or waits for a frame of it
	waiting int        // how many do
	stop    context.CancelFunc
	started bool
	ended   bool
	err     error
}

// view is one pane of a page.
type view struct {
	sized
	at      tags.Frame
	back    bool // it moved backwards last
	touched int64
}

func newStills(ctx context.Context, library *film.Library, room int64, log *slog.Logger) *stills {
	return &stills{library: library, log: log, ctx: ctx, kept: newShelf(room), views: map[string]*view{}, changed: make(chan struct{})}
}

func (s *stills) wait() { s.group.Wait() }

// get is frame n of film at width, for the view of that name, which shows frame at. For no
// view, of an empty name, it does not hurry, and nothing around n is decoded but one window.
func (s *stills) get(ctx context.Context, o sized, n, at tags.Frame, name string) ([]byte, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	var v *view
	if name != "" {
		v = s.look(name, o, at)
	}
	for {
		if jpeg, ok := s.kept.get(place{o, n}); ok {
			if v != nil {
				s.keepAhead(name, v)
			}
			return jpeg, nil
		}
		r := s.covering(o, n)
		if r == nil {
			r = s.begin(o, s.gap(o, n, before, windowForth), name)
		}
		r.urgent = r.urgent || v != nil
		r.waiting++
		s.start()
		changed := s.changed
		s.mu.Unlock()
		select {
		case <-changed:
		case <-ctx.Done():
		case <-s.ctx.Done():
		}
		s.mu.Lock()
		r.waiting--
		switch {
		case ctx.Err() != nil:
			return nil, context.Cause(ctx)
		case s.ctx.Err() != nil:
			return nil, context.Cause(s.ctx)
		case r.ended && r.err != nil && !errors.Is(r.err, context.Canceled) && n >= r.next:
			return nil, r.err
		}
	}
}

// look notes what a view shows now, and stops what was decoded for what it showed before.
func (s *stills) look(name string, o sized, at tags.Frame) *view {
	s.clock++
	v := s.views[name]
	if v == nil {
		v = &view{sized: o, at: at}
		s.views[name] = v
		s.forget()
	}
	v.back = v.sized == o && at < v.at || at == v.at && v.back
	v.sized, v.at, v.touched = o, at, s.clock
	near := tags.Span{In: at - windowBack, Out: at + windowBack}
	for _, r := range s.runs {
		if r.view == name && r.waiting == 0 && (r.sized != o || r.next >= near.Out || r.span.Out <= near.In) {
			r.stop()
			r.ended = true
		}
	}
	s.runs = slices.DeleteFunc(s.runs, func(r *run) bool { return r.ended })
	return v
}

// forget lets go of the view that looked at nothing for longest where there are too many.
func (s *stills) forget() {
	if len(s.views) <= mostViews {
		return
	}
	oldest := ""
	for name, v := range s.views {
		if oldest == "" || v.touched < s.views[oldest].touched {
			oldest = name
		}
	}
	delete(s.views, oldest)
}

// covering is the run that is yet to decode frame n; nil is none.
func (s *stills) covering(o sized, n tags.Frame) *run {
	for _, r := range s.runs {
		if r.sized == o && !r.ended && r.next <= n && n < r.span.Out {
			return r
		}
	}
	return nil
}

// there reports whether frame n is kept or will be.
func (s *stills) there(o sized, n tags.Frame) bool {
	return s.kept.has(place{o, n}) || s.covering(o, n) != nil
}

// gap is the frames around n that are neither kept nor being decoded: at most so many before
// it, and so many from it on.
func (s *stills) gap(o sized, n, before, after tags.Frame) tags.Span {
	span := tags.Span{In: n, Out: n + 1}
	for span.In > max(n-before, 0) && !s.there(o, span.In-1) {
		span.In--
	}
	for span.Out < min(n+after, o.film.Source.Frames) && !s.there(o, span.Out) {
		span.Out++
	}
	return span
}

// keepAhead has more decoded on both sides of what a view shows where little is left, first on
// the side it moves to.
func (s *stills) keepAhead(name string, v *view) {
	forth := func() {
		n := v.at
		for n < v.film.Source.Frames && n < v.at+lowForth && s.there(v.sized, n) {
			n++
		}
		if n < v.film.Source.Frames && n < v.at+lowForth {
			s.begin(v.sized, s.gap(v.sized, n, 0, windowForth), name)
		}
	}
	back := func() {
		n := v.at
		for n >= 0 && n > v.at-lowBack && s.there(v.sized, n) {
			n--
		}
		if n >= 0 && n > v.at-lowBack {
			s.begin(v.sized, s.gap(v.sized, n, windowBack-1, 1), name)
		}
	}
	if v.back {
		back()
		forth()
	} else {
		forth()
		back()
	}
	s.start()
}

func (s *stills) begin(o sized, span tags.Span, name string) *run {
	r := &run{sized: o, span: span, next: span.In, view: name, stop: func() {}}
	s.runs = append(s.runs, r)
	return r
}

// start sets runs to work: those that somebody waits for at once, the others as there are
// processors.
func (s *stills) start() {
	working := 0
	for _, r := range s.runs {
		if r.started {
			working++
		}
	}
	for _, urgent := range []bool{true, false} {
		most := mostRuns
		if !urgent {
			most = runtime.GOMAXPROCS(0)
		}
		for _, r := range s.runs {
			if r.started || r.urgent != urgent || working >= most {
				continue
			}
			working++
			ctx, stop := context.WithCancel(s.ctx)
			r.started, r.stop = true, stop
			s.decoded++
			s.group.Go(func() {
				defer stop()
				s.decode(ctx, r)
			})
		}
	}
}

// decode does the work of r.
func (s *stills) decode(ctx context.Context, r *run) {
	width, height := r.film.size(r.width)
	err := r.film.unchanged()
	if err == nil {
		err = s.library.Stills(ctx, r.film.path, r.span, width, height, func(n tags.Frame, jpeg []byte) {
			s.mu.Lock()
			defer s.mu.Unlock()
			s.kept.put(place{r.sized, n}, jpeg)
			r.next = n + 1
			s.tell()
		})
	}
	if ctx.Err() != nil {
		err = context.Canceled
	} else if err != nil {
		s.log.Info("stills end early", "film", r.film.path, "frame", r.next, "error", err)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	r.ended, r.err = true, err
	s.runs = slices.DeleteFunc(s.runs, func(o *run) bool { return o == r })
	s.start()
	s.tell()
}

// tell wakes all who wait.
func (s *stills) tell() {
	close(s.changed)
	s.changed = make(chan struct{})
}
