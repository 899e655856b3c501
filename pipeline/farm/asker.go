package farm

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
	"golang.org/x/sync/errgroup"

	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
)

// Asker has segments rendered by a farm, and works for it as well while it waits. It is safe
// for concurrent use.
type Asker struct {
	farm    *Farm
	urgency Urgency
	lanes   int
	log     *slog.Logger
	lender  *lender
	trust   *trust

	ctx     context.Context // of the lanes
	end     context.CancelFunc
	working sync.WaitGroup
	once    sync.Once
	remove  func()  // the folder for film that others lend
	others  *Worker // does the jobs of others

	mu      sync.Mutex
	wake    chan struct{} // closed when a lane may have something to do, and then made anew
	waiting map[plan.Key]*waiting
	pace    float64 // frames of film a second that this machine renders
}

// NewAsker asks a farm for segments. This machine renders as many at once itself as there are
// lanes. What it finds out about workers it keeps in the file known, where that is not empty.
func NewAsker(ctx context.Context, f *Farm, u Urgency, lanes int, known string, log *slog.Logger) *Asker {
	a := &Asker{
		farm: f, urgency: u, lanes: max(lanes, 1), log: log, wake: make(chan struct{}),
		waiting: map[plan.Key]*waiting{}, remove: func() {},
	}
	a.trust = &trust{file: known, kit: f.kit}
	a.lender = &lender{farm: f, size: blockSize, turn: make(chan struct{}, a.lanes)}
	a.ctx, a.end = context.WithCancel(ctx)
	return a
}

// Close ends the work for the farm. What this machine was at for others goes back into the
// queue.
func (a *Asker) Close() {
	a.end()
	a.working.Wait()
	a.remove()
}

// Renderer has the jobs of a reel rendered. Home renders what this machine does itself.
func (a *Asker) Renderer(home *render.Local) render.Renderer {
	a.once.Do(func() {
		folder, remove, err := borrowedFolder(home.Store.Root)
		if err == nil { // else nothing is borrowed
			a.remove = remove
		}
		a.others = &Worker{
			Farm: a.farm, Name: a.name(), Tool: home.Tool, Toolchain: home.Toolchain, Store: home.Store, Copies: home.Films,
			Borrowed: folder, Log: a.log,
		}
		for range a.lanes {
			a.working.Go(func() { a.lane(a.ctx) })
		}
		a.working.Go(func() { a.farm.tellKits(a.ctx) })
		a.working.Go(a.tellWho)
	})
	return asking{a, home}
}

func (a *Asker) tellWho() {
	all, err := a.farm.Who(a.ctx, time.Second)
	if err != nil || a.ctx.Err() != nil {
		return
	}
	atOnce := 0
	for _, s := range all {
		if s.Kit == a.farm.kit {
			atOnce += s.AtOnce
		} else {
			a.log.Warn("takes no part", "machine", s.Name, "because", "it has "+s.Program+", and here is "+a.farm.program+", or another version of trenchcut")
		}
	}
	a.log.Info("farm", "machines", len(all), "at once", atOnce)
}

type asking struct {
	*Asker
	home *render.Local
}

// waiting is a job that was asked for and is not done.
type waiting struct {
	job  render.Job
	home *render.Local
	ctx  context.Context // ends when it is there
	stop func()          // ends the waiting; it may be called again
	// Queue put it into the queue, or it was there.
	asked bool

	ready    chan struct{} // the farm's store may have it
	rendered chan error    // this machine rendered it, or failed to

	mu       sync.Mutex
	progress func(tags.Frame)
	begun    time.Time // by the worker that was heard of last
	heard    time.Time
	frames   tags.Frame
	worker   string // which process renders it
	here     bool   // this machine does
	athome   bool   // this machine must
}

// mostLooks is how many segments are looked for in the farm's store at once.
const mostLooks = 64

// Queue implements [render.Queuer]. A job that it cannot put into the queue, Render does.
func (a asking) Queue(ctx context.Context, jobs []render.Job) {
	waits := make([]*waiting, len(jobs))
	var group errgroup.Group
	group.SetLimit(mostLooks)
	for i, j := range jobs {
		group.Go(func() error {
			w, err := a.expect(ctx, j)
			if err != nil {
				return err
			}
			if waits[i] = w; a.farm.has(ctx, j.Key) {
				w.asked = true
				w.signal()
			}
			return nil
		})
	}
	if group.Wait() != nil {
		return
	}
	var missing []job
	for i, j := range jobs {
		if !waits[i].asked {
			missing = append(missing, job{j.Key, j.Segment})
		}
	}
	asked := a.farm.askAll(ctx, a.urgency, missing)
	for _, w := range waits {
		w.asked = w.asked || asked[w.job.Key]
	}
}

// Render implements [render.Renderer].
func (a asking) Render(ctx context.Context, j render.Job, progress func(tags.Frame)) error {
	w, err := a.expected(ctx, j)
	if err != nil {
		return fmt.Errorf("wait for a segment: %w", err)
	}
	stop := w.stop
	defer stop()
	w.mu.Lock()
	w.progress = progress
	w.mu.Unlock()
	switch {
	case w.asked:
	case a.farm.has(ctx, j.Key):
		w.signal()
	default:
		a.ask(ctx, w)
	}
	look := time.NewTicker(lookEvery)
	defer look.Stop()
	for {
		select {
		case <-ctx.Done():
			return context.Cause(ctx)
		case err := <-w.rendered:
			stop()
			if err == nil {
				a.handOn(ctx, w)
			}
			return err
		case <-w.ready:
			got, err := a.fetch(ctx, w)
			var full *render.FullError
			switch {
			case err == nil && got != nil: // the first of its worker
				return a.try(ctx, w, got, stop)
			case err == nil:
				stop()
				a.tidy(ctx, j.Key)
				return nil
			case errors.Is(err, jetstream.ErrObjectNotFound):
				a.ask(ctx, w) // another asker had it, and it is gone
			case errors.As(err, &full):
				return &render.Error{Key: j.Key, Err: err}
			case ctx.Err() == nil:
				a.atHome(w, err.Error())
			}
		case <-look.C:
			a.look(ctx, w)
		}
	}
}

// lookEvery is how often the asker looks for a segment of which no notice came.
const lookEvery = lease

// expected is what is waited for of a job since Queue, or from now on.
func (a asking) expected(ctx context.Context, j render.Job) (*waiting, error) {
	a.mu.Lock()
	w := a.waiting[j.Key]
	a.mu.Unlock()
	if w != nil && w.ctx.Err() == nil {
		return w, nil
	}
	return a.expect(ctx, j)
}

// expect makes a job known to the lanes and to workers, until it is stopped or ctx ends.
func (a asking) expect(ctx context.Context, j render.Job) (*waiting, error) {
	ctx, done := context.WithCancel(ctx)
	w := &waiting{
		job: j, home: a.home, ctx: ctx, heard: time.Now(), ready: make(chan struct{}, 1), rendered: make(chan error, 1),
		progress: func(tags.Frame) {},
	}
	notices, err := a.farm.hear(j.Key, func(n notice) { a.noticed(w, n) })
	if err != nil {
		done()
		return nil, err
	}
	wants, err := a.farm.nc.Subscribe(wantOf(j.Key), func(m *nats.Msg) {
		go a.answer(ctx, w, m) // film takes a while to be read
	})
	if err != nil {
		_ = notices.Unsubscribe()
		done()
		return nil, err
	}
	w.stop = sync.OnceFunc(func() {
		a.mu.Lock()
		if a.waiting[j.Key] == w {
			delete(a.waiting, j.Key)
		}
		a.mu.Unlock()
		w.mu.Lock()
		w.progress = func(tags.Frame) {}
		w.mu.Unlock()
		_, _ = notices.Unsubscribe(), wants.Unsubscribe()
		done()
	})
	context.AfterFunc(ctx, w.stop)
	a.mu.Lock()
	a.waiting[j.Key] = w
	a.mu.Unlock()
	a.rouse()
	return w, nil
}

// ask puts w into the queue. What the farm does not take is rendered here.
func (a asking) ask(ctx context.Context, w *waiting) {
	err := a.farm.ask(ctx, a.urgency, job{w.job.Key, w.job.Segment})
	if err != nil && !errors.Is(err, errTaken) && ctx.Err() == nil {
		a.atHome(w, err.Error())
	}
}

// answer answers a worker that needs film, or whoever wants to know whether w is still waited
// for.
func (a asking) answer(ctx context.Context, w *waiting, m *nats.Msg) {
	var asked want
	if json.Unmarshal(m.Data, &asked) != nil {
		return
	}
	var l lent
	if len(asked.Films) > 0 {
		start := time.Now()
		var err error
		if l, err = a.lender.lend(ctx, w.home, w.job.Segment, asked.Films); err != nil {
			if ctx.Err() != nil {
				return
			}
			l = lent{Refused: "its film does not travel"}
			a.atHome(w, err.Error())
		} else {
			a.log.Info("film lent", "clip", w.job.Name, "bytes", l.bytes(), render.Seconds(start))
		}
	}
	if data, err := encode(l); err == nil {
		_ = m.Respond(data)
	}
}

// bytes is how much of film was lent.
func (l lent) bytes() int64 {
	var n int64
	for _, f := range l.Films {
		n += int64(len(f.Blocks)) * f.Block
	}
	return n
}

// noticed takes a notice of w.
func (a asking) noticed(w *waiting, n notice) {
	if n.From == a.farm.id {
		return // which a lane of this machine said for others
	}
	if n.Home != "" {
		a.atHome(w, n.Home)
		return
	}
	w.mu.Lock()
	if n.From != w.worker {
		w.worker, w.begun = n.From, time.Now()
	}
	w.heard, w.frames = time.Now(), n.Frames
	if !w.here {
		w.progress(n.Frames)
	}
	w.mu.Unlock()
	if n.Ready {
		w.signal()
	}
}

func (w *waiting) signal() {
	select {
	case w.ready <- struct{}{}:
	default:
	}
}

// look finds out what became of w where nothing was heard of it for a while.
func (a asking) look(ctx context.Context, w *waiting) {
	w.mu.Lock()
	quiet := time.Since(w.heard) > lookEvery && !w.here && !w.athome
	w.mu.Unlock()
	if !quiet || !a.farm.nc.IsConnected() {
		return
	}
	if a.farm.has(ctx, w.job.Key) {
		w.signal()
	} else if seq, err := a.farm.asked(ctx, w.job.Key); err == nil && seq == 0 {
		a.ask(ctx, w) // it was lost, with the server's disk or because nobody seemed to wait for it
	}
}

// atHome has w rendered on this machine.
func (a *Asker) atHome(w *waiting, why string) {
	w.mu.Lock()
	again := w.athome || w.here
	w.athome = true
	w.mu.Unlock()
	if !again {
		a.log.Info("rendering it here", "clip", w.job.Name, "because", why)
		a.rouse()
	}
}

// fetched is a segment that was fetched and not taken.
type fetched struct {
	worker string
	folder string // to be removed
	path   string
}

// tidy takes a segment that was fetched out of the farm's store, unless others wait for it.
func (a asking) tidy(ctx context.Context, key plan.Key) {
	if !a.farm.wanted(ctx, key) {
		_ = a.farm.segments.Delete(ctx, string(key))
	}
}

// handOn lets others know of a segment that was rendered here: who waits for it has it, and who
// is at it stops.
func (a asking) handOn(ctx context.Context, w *waiting) {
	if !a.farm.nc.IsConnected() {
		return
	}
	key := w.job.Key
	if a.farm.wanted(ctx, key) {
		if path, err := w.home.Store.Open(ctx, key); err == nil {
			_ = a.farm.put(ctx, key, path, a.name())
		}
	} else {
		a.farm.withdraw(ctx, key)
	}
	a.farm.tell(key, notice{Worker: a.name(), Frames: w.job.Segment.Frames(), Ready: true})
}

func (a *Asker) name() string { return a.farm.nc.Opts.Name }
