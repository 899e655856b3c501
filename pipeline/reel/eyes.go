package reel

import (
	"context"
	"runtime"
	"sync"

	"golang.org/x/sync/errgroup"

	"trenchcut/pipeline/film"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/pipeline/watch"
	"trenchcut/tags"
)

// eyes look at film for a plan, once for each question. The plan is built twice: the first time
// only collects its questions, which are then answered side by side.
type eyes struct {
	ctx     context.Context
	library *film.Library
	asking  bool // what is asked for now is looked at later
	asked   []look

	moves map[question]*answer[plan.Motion]
	ways  map[question]*answer[plan.Way]
}

// question is a play on film, and for a way where a man is at the snap.
type question struct {
	path string
	span tags.Span
	snap tags.Frame
	at   tags.Point
}

// answer is what was found in film; what went wrong there is part of it.
type answer[T any] struct {
	it  T
	err error
}

// look finds an answer in so many frames of film.
type look struct {
	frames tags.Frame
	find   func()
}

func newEyes(ctx context.Context, library *film.Library) *eyes {
	return &eyes{ctx: ctx, library: library, moves: map[question]*answer[plan.Motion]{}, ways: map[question]*answer[plan.Way]{}}
}

// motion is a [plan.Eye].
func (e *eyes) motion(path string, span tags.Span, snap tags.Frame) (plan.Motion, error) {
	return answered(e, e.moves, question{path: path, span: span, snap: snap}, func() (plan.Motion, error) {
		return watch.Motion(e.ctx, e.library, path, span, snap)
	})
}

// way is a [plan.Tracker].
func (e *eyes) way(path string, span tags.Span, snap tags.Frame, at tags.Point) (plan.Way, error) {
	return answered(e, e.ways, question{path, span, snap, at}, func() (plan.Way, error) {
		return watch.Way(e.ctx, e.library, path, span, snap, at)
	})
}

// answered returns the answer to a question. While a plan is built the first time it returns
// nothing yet and only notes the question, which find answers later.
func answered[T any](e *eyes, known map[question]*answer[T], q question, find func() (T, error)) (T, error) {
	a := known[q]
	if a == nil {
		a = &answer[T]{}
		known[q] = a
		l := look{q.span.Len(), func() { a.it, a.err = find() }}
		if e.asking {
			e.asked = append(e.asked, l)
		} else { // the first plan did not come as far
			l.find()
		}
	}
	return a.it, a.err
}

// twice builds a plan once to learn its questions and again with the answers. Events, where it is
// not nil, is told how much of the film asked for was looked at.
func (e *eyes) twice(events render.Events, build func() (*plan.Plan, error)) (*plan.Plan, error) {
	e.asking = true
	p, err := build()
	e.asking = false
	if err != nil || len(e.asked) == 0 {
		return p, err
	}
	told := render.Event{Stage: render.Following}
	for _, l := range e.asked {
		told.Total += l.frames
	}
	var telling sync.Mutex
	tell := func(frames tags.Frame) {
		telling.Lock()
		defer telling.Unlock()
		if told.Done += frames; events != nil {
			events(told)
		}
	}
	tell(0)
	var looking errgroup.Group
	looking.SetLimit(runtime.GOMAXPROCS(0))
	for _, l := range e.asked {
		looking.Go(func() error {
			l.find()
			tell(l.frames)
			return nil
		})
	}
	_ = looking.Wait()
	e.asked = nil
	if err := e.ctx.Err(); err != nil {
		return nil, err
	}
	return build()
}
