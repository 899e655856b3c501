package farm

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"github.com/nats-io/nats.go/jetstream"
	"golang.org/x/sync/errgroup"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
)

// Worker renders what others ask for.
type Worker struct {
	Farm      *Farm
	Name      string // of this machine, for people
	Tool      ffmpeg.Tool
	Toolchain string
	Store     render.Dir   // where what it rendered is kept
	Copies    render.Films // film that is here
	Borrowed  string       // folder for stretches of film that is not; Run makes one for itself
	AtOnce    int          // how many segments, at least 1
	Log       *slog.Logger // is told what it does

	once     sync.Once
	borrowed *borrowed
	mu       sync.Mutex
	doing    map[plan.Key]*Doing
	done     int
	full     error // why there is no room to work in
}

// mostTries is how often a job is begun by workers at most; then it is left to the asker.
const mostTries = 6

// The delays before a job is tried again, and before a worker whose disk is full looks again.
const (
	afterFailure = 2 * time.Second
	afterFull    = 30 * time.Second
)

func (w *Worker) prepare() {
	w.once.Do(func() {
		w.borrowed = &borrowed{farm: w.Farm, tool: w.Tool, folder: w.Borrowed}
		w.doing = map[plan.Key]*Doing{}
	})
}

// Run works until ctx ends. What it is at then goes back into the queue.
func (w *Worker) Run(ctx context.Context) error {
	folder, remove, err := borrowedFolder(w.Store.Root)
	if err != nil {
		return err
	}
	defer remove()
	w.Borrowed = folder
	w.prepare()
	stop, err := w.answer()
	if err != nil {
		return err
	}
	defer stop()
	unhear, err := w.hearKits()
	if err != nil {
		return err
	}
	defer unhear()
	group, ctx := errgroup.WithContext(ctx)
	for range max(w.AtOnce, 1) {
		group.Go(func() error {
			t := &taker{farm: w.Farm}
			for ctx.Err() == nil {
				if msg := t.wait(ctx); msg != nil {
					w.do(ctx, msg)
				}
			}
			return nil
		})
	}
	return group.Wait()
}

// errFirst says that another was quicker.
var errFirst = errors.New("another machine was quicker")

// do does the job of a message and answers it.
func (w *Worker) do(ctx context.Context, msg jetstream.Msg) {
	w.prepare()
	key := lastWord(msg.Subject())
	j, err := w.read(msg, key)
	if err != nil {
		w.giveBack(msg, key, err)
		return
	}
	ctx, end := context.WithCancelCause(ctx)
	defer end(nil)
	stop := keepLease(msg)
	defer stop()
	sub, err := w.Farm.hear(key, func(n notice) {
		if n.Ready && n.From != w.Farm.id {
			end(errFirst)
		}
	})
	if err == nil {
		defer func() { _ = sub.Unsubscribe() }()
	}
	start := time.Now()
	w.begin(j)
	letGo, err := w.Store.Hold(ctx) // for this job only, or the cache could never be pruned
	if err == nil {
		err = w.render(ctx, j)
		letGo()
	}
	w.end(j, err)
	switch cause := context.Cause(ctx); {
	case err == nil:
		w.Farm.tell(key, notice{Worker: w.Name, Frames: j.Segment.Frames(), Ready: true})
		confirm(msg)
		w.Log.Info("rendered", "what", what(j.Segment), render.Seconds(start))
	case errors.Is(cause, errFirst):
		confirm(msg)
		w.Log.Info("left", "what", what(j.Segment), "because", errFirst.Error())
	case cause != nil:
		_ = msg.Nak() // this machine stops
	default:
		w.failed(ctx, msg, j, err)
	}
}

// read is the job of a message; it fails where this machine cannot render it.
func (w *Worker) read(msg jetstream.Msg, key plan.Key) (job, error) {
	var j job
	if err := json.Unmarshal(msg.Data(), &j); err != nil {
		return j, fmt.Errorf("the job cannot be read: %w", err)
	}
	own, err := j.Segment.Key(w.Toolchain)
	if err != nil {
		return j, err
	}
	if own != key || j.Key != key {
		return j, errors.New("its key is not that of its segment here: another version of ffmpeg or of trenchcut asked for it")
	}
	if m, err := msg.Metadata(); err == nil && m.NumDelivered > mostTries {
		return j, fmt.Errorf("it was begun %d times and never done", m.NumDelivered-1)
	}
	return j, nil
}

// giveBack leaves a job to whoever asked for it.
func (w *Worker) giveBack(msg jetstream.Msg, key plan.Key, why error) {
	w.Farm.tell(key, notice{Worker: w.Name, Home: why.Error()})
	_ = msg.TermWithReason("left to the asker")
	w.Log.Info("given back", "because", why.Error())
}

// failed answers the message of a job that failed.
func (w *Worker) failed(ctx context.Context, msg jetstream.Msg, j job, err error) {
	var failed *render.Error
	var full *render.FullError
	switch {
	case errors.Is(err, errNobody):
		_ = msg.TermWithReason("nobody waits for it, and its film is not here")
		w.Log.Info("dropped", "what", what(j.Segment), "because", err.Error())
	case errors.As(err, &full):
		_ = msg.Nak()
		w.pause(ctx, full)
	case errors.As(err, &failed) && !failed.Again, errors.Is(err, errLent):
		w.giveBack(msg, j.Key, err)
	default:
		_ = msg.NakWithDelay(afterFailure)
		w.Log.Warn("again later", "what", what(j.Segment), "because", err.Error())
	}
}

// pause keeps the worker from taking jobs for which there is no room.
func (w *Worker) pause(ctx context.Context, full *render.FullError) {
	w.mu.Lock()
	told := w.full != nil
	w.full = full
	w.mu.Unlock()
	if !told {
		w.Log.Warn("no room", "because", full.Error(), "now", "taking no segments until there is room")
	}
	select {
	case <-ctx.Done():
	case <-time.After(afterFull):
	}
}

// render renders a job and puts the segment into the farm's store.
func (w *Worker) render(ctx context.Context, j job) error {
	if w.Farm.has(ctx, j.Key) {
		return nil
	}
	films, stretches := map[string]string{}, false
	if have, err := w.Store.Lookup(ctx, j.Key, j.Segment); err != nil {
		return err
	} else if !have {
		if films, stretches, err = w.films(ctx, j); err != nil {
			return err
		}
	}
	local := &render.Local{
		Tool: w.Tool, Toolchain: w.Toolchain, Store: w.Store, Log: w.Log, Away: true, Stretches: stretches,
		Films: filmsAt(films), Vouch: w.borrowed.vouch,
	}
	t := &teller{tell: func(n tags.Frame) {
		w.advance(j.Key, n)
		w.Farm.tell(j.Key, notice{Worker: w.Name, Frames: n})
	}}
	t.progress(0)
	if err := local.Render(ctx, render.Job{Key: j.Key, Segment: j.Segment}, t.progress); err != nil {
		return err
	}
	path, err := w.Store.Open(ctx, j.Key)
	if err != nil {
		return err
	}
	return w.Farm.put(ctx, j.Key, path, w.Name)
}

// films is where everything lies that a segment shows: copies that are here, else what the
// asker lends of them, which are stretches.
func (w *Worker) films(ctx context.Context, j job) (at map[string]string, stretches bool, err error) {
	at = map[string]string{}
	var missing []string
	for _, print := range shows(j.Segment) {
		path, err := w.Copies.Path(ctx, print)
		if ctx.Err() != nil {
			return nil, false, context.Cause(ctx)
		}
		if err != nil {
			missing = append(missing, print)
			continue
		}
		at[print] = path
	}
	if len(missing) == 0 {
		return at, false, nil
	}
	return at, true, w.borrowed.borrow(ctx, j, missing, at)
}

// shows is the fingerprints of the films that a segment shows, and of the staff's own picture.
func shows(s plan.Segment) []string {
	var list []string
	for _, f := range s.Films() {
		list = append(list, f.Fingerprint)
	}
	if s.Picture != "" {
		list = append(list, s.Picture)
	}
	return list
}

// filmsAt is film by fingerprint.
type filmsAt map[string]string

// Path implements [render.Films].
func (f filmsAt) Path(_ context.Context, fingerprint string) (string, error) {
	if path := f[fingerprint]; path != "" {
		return path, nil
	}
	return "", content.NotHere(fingerprint)
}

// what is a segment in words that name nobody.
func what(s plan.Segment) string {
	kind := "a slate of "
	if s.Kind == plan.Film {
		kind = "a clip of "
	}
	return kind + s.House.Rate.Duration(s.Frames()).String()
}

// keepLease tells the queue that a job is being worked on, until it is stopped.
func keepLease(msg jetstream.Msg) (stop func()) {
	done := make(chan struct{})
	go func() {
		for {
			select {
			case <-done:
				return
			case <-time.After(lease / 3):
				_ = msg.InProgress()
			}
		}
	}()
	return sync.OnceFunc(func() { close(done) })
}

// confirm takes a job out of the queue, and waits until it is out.
func confirm(msg jetstream.Msg) {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	if msg.DoubleAck(ctx) != nil {
		_ = msg.Ack() // what is lost is found done by the next who takes it
	}
}

func (w *Worker) begin(j job) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.doing[j.Key] = &Doing{What: what(j.Segment), Of: j.Segment.Frames()}
}

func (w *Worker) advance(key plan.Key, n tags.Frame) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if d := w.doing[key]; d != nil {
		d.Frames = n
	}
}

func (w *Worker) end(j job, err error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	delete(w.doing, j.Key)
	if err == nil {
		w.done++
		w.full = nil
	}
}
