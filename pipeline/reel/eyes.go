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

// eyes look at film for a plan, each thing once. A plan asks for one thing after the other, so it is
// built twice: first to know what it asks for, which is then looked at side by side.
type eyes struct {
	ctx     context.Context
	library *film.Library
	asking  bool // nothing is looked at yet

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

type answer[T any] struct {
	looked bool
	it     T
	err    error
}

func newEyes(ctx context.Context, library *film.Library) *eyes {
	return &eyes{ctx: ctx, library: library, moves: map[question]*answer[plan.Motion]{}, ways: map[question]*answer[plan.Way]{}}
}

// motion is a [plan.Eye].
func (e *eyes) motion(path string, span tags.Span, snap tags.Frame) (plan.Motion, error) {
	return answered(e, e.moves, question{path, span, snap, tags.Point{}})
}

// way is a [plan.Tracker].
func (e *eyes) way(path string, span tags.Span, snap tags.Frame, at tags.Point) (plan.Way, error) {
	return answered(e, e.ways, question{path, span, snap, at})
}

// answered is what is known of a question, which is asked for where it is not.
func answered[T any](e *eyes, known map[question]*answer[T], q question) (T, error) {
	a := known[q]
	if a == nil {
		a = &answer[T]{}
		known[q] = a
	}
	if !a.looked && !e.asking { // the first plan did not come as far
		e.look(q, a)
	}
	return a.it, a.err
}

// look finds an answer, which is one of the two kinds.
func (e *eyes) look(q question, into any) {
	switch a := into.(type) {
	case *answer[plan.Motion]:
		a.it, a.err = watch.Motion(e.ctx, e.library, q.path, q.span, q.snap)
		a.looked = true
	case *answer[plan.Way]:
		a.it, a.err = watch.Way(e.ctx, e.library, q.path, q.span, q.snap, q.at)
		a.looked = true
	}
}

// twice builds a plan: of what it asked for the first time, it knows the answers the second time.
// Events, where there are any, are told how much of the film that it asks for was looked at.
func (e *eyes) twice(events render.Events, build func() (*plan.Plan, error)) (*plan.Plan, error) {
	e.asking = true
	p, err := build()
	e.asking = false
	if err != nil {
		return nil, err
	}
	type look struct {
		question
		into any
	}
	var work []look
	told := render.Event{Stage: render.Following}
	add := func(q question, into any) {
		work = append(work, look{q, into})
		told.Total += q.span.Len()
	}
	for q, a := range e.moves {
		if !a.looked {
			add(q, a)
		}
	}
	for q, a := range e.ways {
		if !a.looked {
			add(q, a)
		}
	}
	if len(work) == 0 {
		return p, nil
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
	for _, l := range work {
		looking.Go(func() error {
			e.look(l.question, l.into) // what went wrong is in the answer
			tell(l.span.Len())
			return nil
		})
	}
	_ = looking.Wait()
	if err := e.ctx.Err(); err != nil {
		return nil, err
	}
	return build()
}
