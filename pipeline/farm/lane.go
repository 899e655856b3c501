package farm

import (
	"context"
	"time"

	"github.com/nats-io/nats.go/jetstream"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// lane is this machine at work while it waits: first for what only it can render, then for the
// queue, then for what takes too long elsewhere.
func (a *Asker) lane(ctx context.Context) {
	t := &taker{farm: a.farm}
	for ctx.Err() == nil {
		if w := a.pick((*waiting).mustBeHere); w != nil {
			a.here(ctx, w, nil)
			continue
		}
		if a.idle() {
			a.rest(ctx, time.Second)
			continue
		}
		if a.farm.nc.IsConnected() {
			if msg := t.now(ctx); msg != nil {
				switch w, known := a.own(lastWord(msg.Subject())); {
				case w != nil:
					a.here(ctx, w, msg)
				case known:
					_ = msg.NakWithDelay(lease) // another lane is at it
				default:
					a.others.do(ctx, msg)
				}
				continue
			}
		}
		if w := a.slowest(); w != nil {
			a.log.Info("rendering it here as well", "clip", w.job.Name, "because", "it takes long elsewhere")
			a.here(ctx, w, nil)
			continue
		}
		a.rest(ctx, restTime)
	}
}

// restTime is after which a lane without work looks for some again.
const restTime = 300 * time.Millisecond

func (a *Asker) rest(ctx context.Context, most time.Duration) {
	a.mu.Lock()
	wake := a.wake
	a.mu.Unlock()
	select {
	case <-ctx.Done():
	case <-wake:
	case <-time.After(most):
	}
}

// rouse has the lanes look for work.
func (a *Asker) rouse() {
	a.mu.Lock()
	defer a.mu.Unlock()
	close(a.wake)
	a.wake = make(chan struct{})
}

func (a *Asker) idle() bool {
	a.mu.Lock()
	defer a.mu.Unlock()
	return len(a.waiting) == 0
}

func (w *waiting) mustBeHere() bool { return w.athome }

// pick takes one for this machine of those that may be.
func (a *Asker) pick(may func(*waiting) bool) *waiting {
	a.mu.Lock()
	defer a.mu.Unlock()
	for _, w := range a.waiting {
		if w.takeIf(may) {
			return w
		}
	}
	return nil
}

// own is what is waited for with a key, unless this machine is at it already.
func (a *Asker) own(key plan.Key) (w *waiting, known bool) {
	a.mu.Lock()
	w, known = a.waiting[key]
	a.mu.Unlock()
	if !known || !w.takeIf(func(*waiting) bool { return true }) {
		return nil, known
	}
	return w, true
}

// takeIf takes w for this machine, if it is not at it.
func (w *waiting) takeIf(may func(*waiting) bool) bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.here || !may(w) {
		return false
	}
	w.here = true
	return true
}

// slowest takes what will be ready here sooner than where it is being rendered: the worker was
// not heard of, or needs much longer than this machine would.
func (a *Asker) slowest() *waiting {
	a.mu.Lock()
	pace := a.pace
	a.mu.Unlock()
	connected := a.farm.nc.IsConnected()
	return a.pick(func(w *waiting) bool {
		if w.athome || !connected || time.Since(w.heard) > lease*3/2 {
			return true
		}
		if pace == 0 || w.begun.IsZero() || w.frames == 0 {
			return false
		}
		took, all := time.Since(w.begun).Seconds(), float64(w.job.Segment.Frames())
		left, here := took*(all-float64(w.frames))/float64(w.frames), all/pace
		return took > slower*here && left > here+1
	})
}

// slower is how many times longer than here a segment must have taken elsewhere to be begun here.
const slower = 1.5

// here renders w on this machine, and answers the message of its job where there is one.
func (a *Asker) here(ctx context.Context, w *waiting, msg jetstream.Msg) {
	stop := func() {}
	if msg != nil {
		stop = keepLease(msg)
	}
	defer stop()
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	defer context.AfterFunc(w.ctx, cancel)()
	start := time.Now()
	frames := w.job.Segment.Frames()
	t := &teller{tell: func(n tags.Frame) { a.farm.tell(w.job.Key, notice{Worker: a.name(), Frames: n}) }}
	err := w.home.Render(ctx, w.job, func(n tags.Frame) {
		w.mu.Lock()
		w.progress(n)
		w.mu.Unlock()
		if msg != nil {
			t.progress(n)
		}
	})
	if err == nil && w.job.Segment.Kind == plan.Film {
		a.mu.Lock()
		a.pace = float64(frames) / max(time.Since(start).Seconds(), 0.001)
		a.mu.Unlock()
	}
	switch {
	case msg == nil:
	case w.ctx.Err() != nil && err != nil:
		confirm(msg) // it came from elsewhere, or is wanted no more
	case ctx.Err() != nil:
		_ = msg.Nak()
	case err != nil:
		a.farm.tell(w.job.Key, notice{Worker: a.name(), Home: "it failed where it was asked for"})
		_ = msg.TermWithReason("it failed where it was asked for")
	default:
		confirm(msg)
	}
	w.rendered <- err
}
